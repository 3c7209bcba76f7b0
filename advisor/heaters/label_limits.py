"""What a label cannot say: numbers that contradict each other or physics, and ratings below the federal floor.

A label that stays within these limits may still be one that the bench does not return: that is told, and bars nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import lru_cache

from advisor.core.findings import Finding, note, stop
from advisor.core.units import BTU_PER_KWH
from advisor.heaters.catalogue import Heater
from advisor.heaters.rating import TEST_RISE_DF, draw_pattern_of, may_be_made
from advisor.physics.water import TEST_BTU_PER_GAL_DF

_APP_E = "10 CFR 430 subpart B appendix E"
#: Above this the exhaust condenses, and a heater that is not made for it has no drain. Of the higher heating value, as
#: ratings are; our own choice, a little above where fuel gases begin to.
NON_CONDENSING_MOST_UEF = 0.88
#: What a 120 V plug on a 15 A circuit carries. [kW]
_PLUG_MOST_KW = 1.8
#: The first hour ends 15 °F below its start, so its water is on average no more than 10 °F below: 57 of the 67 °F.
_FIRST_HOUR_RISE_DF = 57.0
#: Hottest that a tank with a built-in mixing valve stores, over what it gives; from memory, unverified. [°F]
_MOST_BOOST_DF = 20.0
#: A tank that is stirred throughout is 15 °F colder after a quarter of its volume: 1 - exp(-x) = 15/67.
_STIRRED_FRAC = 0.253
#: The first-hour test draws this much; and what is left of its cycles where the last one is cut off; assumed. [gpm]
_TEST_GPM, _WHOLE_CYCLES_FRAC = 3.0, 0.8
#: Heat of a compressor of 240 V; from memory, unverified. [Btu/h]
_MOST_COMPRESSOR_BTUH = 8_500.0
#: A rated flow may lie this much above the heat balance: it is measured and rounded.
_FLOW_OVER_BALANCE = 1.07
#: Below this share of the heat balance the labelled flow is a limit of its own: beyond the 2 % that the bench fits a
#: flow to, it says nothing of the efficiency. Listed labels run from 0.93 to 1.04.
_LIMITED_BELOW_BALANCE = 0.98


@lru_cache(maxsize=1024)
def label_flags(heater: Heater, made_on: date) -> tuple[Finding, ...]:
    """What is wrong with a label; each bars a recommendation.

    Parameters
    ----------
    heater : Heater
        As its label says.
    made_on : date
        Day it was made: the federal floor is that day's.
    """
    flags = [*_pattern(heater), *_efficiency(heater), *_first_hour(heater), *_power(heater)]
    allowed, floor = may_be_made(heater, made_on)
    return tuple(flags if allowed else [*flags, floor])


def _pattern(heater: Heater) -> Iterator[Finding]:
    rated = heater.fhr_gal if heater.is_storage else heater.max_gpm
    if rated is None:
        return
    selected = draw_pattern_of(rated, is_storage=heater.is_storage)
    if selected != heater.draw_pattern:
        belongs = {"belongs_to": note(f"pattern.{selected}"), "printed": note(f"pattern.{heater.draw_pattern}")}
        if heater.is_storage:
            yield stop("label.pattern.hour", _APP_E, rating_gal=rated, **belongs)
        else:
            yield stop("label.pattern.flow", _APP_E, rating_gpm=rated, **belongs)


def _efficiency(heater: Heater) -> Iterator[Finding]:
    """No more comes out than goes in, and a tank loses some of it."""
    uef, recovery = heater.uef, heater.recovery_frac
    # The test decrees 0.98 for elements, so theirs is no measurement.
    if recovery is not None and recovery < uef and (heater.burns_fuel or heater.is_heat_pump):
        yield stop("label.recovery_below_uef", recovery_dimensionless=recovery, rating_uef=uef)
    if heater.is_heat_pump:
        return
    if uef >= 1:
        yield stop("label.uef_above_one", rating_uef=uef)
    elif heater.burns_fuel and not heater.is_condensing and uef > NON_CONDENSING_MOST_UEF:
        yield stop("label.uef_condenses", rating_uef=uef, most_uef=NON_CONDENSING_MOST_UEF)
    if recovery is not None and recovery > 1:
        yield stop("label.recovery_above_one", recovery_dimensionless=recovery)
    if heater.burns_fuel and heater.is_storage and recovery is not None and recovery == uef:
        yield stop("label.no_loss", rating_uef=uef)


def _first_hour(heater: Heater) -> Iterator[Finding]:
    if heater.fhr_gal is None:
        return
    least, most = first_hour_limits_gal(heater)
    if not least <= heater.fhr_gal <= most:
        yield stop(
            "label.first_hour",
            rating_gal=heater.fhr_gal,
            volume_gal=heater.rated_volume_gal,
            input_btuh=heater.power_btuh,
            least_gal=least,
            most_gal=most,
        )


def first_hour_limits_gal(heater: Heater) -> tuple[float, float]:
    """Least and most that a tank can give in the first-hour test.

    The most is all it stores and an hour of its heat, delivered as cool as the test allows; the least is what a tank
    gives whose every draw stirs it throughout, time after time as its heat brings it back. Energy balances. [gal]
    """
    volume_gal = heater.rated_volume_gal
    least_btuh, most_btuh = _heat_btuh(heater)
    boost_df = 0.0 if heater.burns_fuel or heater.technology.is_resistance else _MOST_BOOST_DF
    per_gal = TEST_BTU_PER_GAL_DF * TEST_RISE_DF
    stored_gal = volume_gal * (1 + boost_df / TEST_RISE_DF)
    most = (stored_gal + most_btuh / per_gal) * TEST_RISE_DF / _FIRST_HOUR_RISE_DF
    draw_gal = _STIRRED_FRAC * volume_gal
    cycle_min = draw_gal / _TEST_GPM + 60 * draw_gal / (least_btuh / per_gal)
    return draw_gal * max(1.0, _WHOLE_CYCLES_FRAC * 60 / cycle_min), most


def _heat_btuh(heater: Heater) -> tuple[float, float]:
    """Least and most heat into the water in an hour. [Btu/h]"""
    if heater.burns_fuel:
        return heater.power_btuh * min(heater.usual_recovery_frac, 1.0), heater.power_btuh
    if not heater.is_heat_pump:
        return heater.power_btuh, heater.power_btuh
    if heater.technology.has_backup_element:
        return heater.power_btuh, heater.power_btuh + _MOST_COMPRESSOR_BTUH
    return heater.power_btuh, heater.power_btuh * max(heater.uef, 1.0) * TEST_RISE_DF / _FIRST_HOUR_RISE_DF


def _power(heater: Heater) -> Iterator[Finding]:
    """What a plug carries, and the flow that an input heats: less may pass, for the pipes inside set a limit."""
    if heater.is_heat_pump and not heater.technology.has_backup_element and (heater.input_kw or 0.0) > _PLUG_MOST_KW:
        yield stop("label.plug", input_btuh=(heater.input_kw or 0.0) * BTU_PER_KWH, most_kw=_PLUG_MOST_KW)
    if heater.max_gpm is not None and heater.max_gpm > _FLOW_OVER_BALANCE * balance_gpm(heater):
        yield stop(
            "label.flow_input",
            rating_gpm=heater.max_gpm,
            input_btuh=heater.power_btuh,
            balance_gpm=balance_gpm(heater),
        )


def balance_gpm(heater: Heater) -> float:
    """Flow that a tankless heater's input heats by the rated 67 °F, whatever passes through it. [gpm]"""
    efficiency = heater.recovery_frac or heater.uef
    return heater.power_btuh * efficiency / (60 * TEST_BTU_PER_GAL_DF * TEST_RISE_DF)


def is_flow_limited(heater: Heater) -> bool:
    """A tankless heater that passes less than its input heats: the label says what the pipes inside let through."""
    return heater.max_gpm is not None and heater.max_gpm < _LIMITED_BELOW_BALANCE * balance_gpm(heater)
