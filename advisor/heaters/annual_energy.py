"""The two-parameter model: a label turned into a year of energy, month by month, for this household.

This is the figure that is quoted. A tank has a conversion efficiency and a loss coefficient, both solved from the
label; a tankless heater has its rating and a penalty for real, short draws; a heat pump has a coefficient of
performance that follows the air, the set point and the inlet. Everything takes arrays of months, and arrays of
houses in front of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from advisor.circumstances import Circumstances, by_month
from advisor.core.arrays import Floats, Numbers
from advisor.core.findings import Finding, note
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.units import BTU_PER_KWH, DAYS_BY_MONTH
from advisor.core.working import Working, worked
from advisor.heaters import rating
from advisor.heaters.catalogue import Heater
from advisor.heaters.heat_pump import relative_cop_dimensionless

#: Rating to real draws for every flow-activated heater: later editions of ANSI/RESNET/ICC 301, on the uniform
#: energy factor; from memory, unverified. On the older energy factor the factor was 0.92 (verified).
TANKLESS_DRAW_FACTOR = 0.94
#: Air below which a heat pump heater's compressor stops: 37 to 45 °F; from memory, unverified.
COMPRESSOR_LOCKOUT_F = 37.0
#: Spread of hourly air temperature about its monthly mean, to tell how much of a month lies below that; assumed.
_HOURLY_AIR_SPREAD_DF = 9.0
#: The condenser works on water between inlet and set point; the share of that span below the set point; assumed.
_CONDENSER_SHARE_FRAC = 0.2
# Conditions of the federal test: 67.5 °F air at 50 % relative humidity has a wet bulb of 56.4 °F.
_TEST_WET_BULB_F = 56.4
_TEST_SET_POINT_F, _TEST_INLET_F = 125.0, 58.0


@dataclass(frozen=True)
class Parameters:
    """What the label says about the heater, once solved.

    Parameters
    ----------
    efficiency_frac : float
        Share of the input that reaches the water; for a heat pump its rated coefficient of performance; for
        a tankless heater its rating times the factor for real draws. [-]
    loss_btuh_per_df : float
        Standby loss of the stored water. [Btu/(h °F)]
    workings : tuple of Working
        How the two were solved.
    """

    efficiency_frac: float
    loss_btuh_per_df: float
    workings: tuple[Working, ...]


@dataclass(frozen=True)
class Energy:
    """A year of energy by month.

    Parameters
    ----------
    fuel_btu, electricity_kwh : ndarray
        Bought for heating water. [Btu], [kWh]
    heat_btu : ndarray
        Delivered in hot water and to a loop. [Btu]
    room_heat_btu : ndarray
        Taken from the air around a heat pump, its own tank loss given back. [Btu]
    standby_btu_per_day : ndarray
        Lost by the tanks to the air around them; below 0 where that air is the warmer. [Btu/day]
    into_water_btu, bought_btu : ndarray
        What has to reach the water, and what is bought for it, a loop's pump left out. [Btu]
    """

    fuel_btu: Any
    electricity_kwh: Any
    heat_btu: Any
    room_heat_btu: Any
    standby_btu_per_day: Any
    into_water_btu: Any
    bought_btu: Any

    @property
    def working(self) -> Working:
        """Of the year's energy of one house."""
        heat, into_water, bought = (float(np.sum(x)) for x in (self.heat_btu, self.into_water_btu, self.bought_btu))
        inputs = {
            "heat_btu_per_yr": heat,
            "standby_btu_per_yr": into_water - heat,
            "efficiency_dimensionless": into_water / bought,
        }
        return Working(note("working.bought"), bought_btu_per_yr, inputs, bought)


@published(
    "Heat balance of a year",
    state="computed",
    heat_btu_per_yr=12e6,
    standby_btu_per_yr=3e6,
    efficiency_dimensionless=0.79,
)
def bought_btu_per_yr(
    heat_btu_per_yr: Numbers, standby_btu_per_yr: Numbers, efficiency_dimensionless: Numbers
) -> Numbers:
    """Energy that a heater takes in a year.

    Parameters
    ----------
    heat_btu_per_yr : float or ndarray
        Heat delivered in hot water and to a loop. [Btu/yr]
    standby_btu_per_yr : float or ndarray
        Heat lost by its tanks. [Btu/yr]
    efficiency_dimensionless : float or ndarray
        Share of the energy bought that reaches the water; of a heat pump its coefficient of performance over the
        year, the hours of its elements included. [-]

    Returns
    -------
    float or ndarray
        A loop's pump is left out. [Btu/yr]
    """
    return (heat_btu_per_yr + standby_btu_per_yr) / efficiency_dimensionless


@published("Normal spread of hourly air about the monthly mean", state="assumed", air_f=40.0)
def lockout_share_frac(air_f: Numbers) -> Numbers:
    """Share of a month in which the air is too cold for the compressor.

    Parameters
    ----------
    air_f : float or ndarray
        Mean air temperature of the month around the heater. [°F]

    Returns
    -------
    float or ndarray
        A logistic curve in place of the normal one (within 0.01). [-]
    """
    z = (COMPRESSOR_LOCKOUT_F - np.asarray(air_f, dtype=float)) / _HOURLY_AIR_SPREAD_DF
    # More than three spreads above, the tail is a room that never cools so far.
    return np.where(z < -3, 0.0, 1 / (1 + np.exp(-1.702 * z)))[()]


@published(
    "Later editions of ANSI/RESNET/ICC 301: every flow-activated heater reaches 0.94 of its uniform energy factor",
    state="from memory, unverified",
    rating_uef=0.82,
)
def drawn_efficiency_frac(rating_uef: Numbers) -> Numbers:
    """Efficiency of a tankless heater over the short draws of a home.

    Parameters
    ----------
    rating_uef : float or ndarray
        Uniform energy factor. [-]

    Returns
    -------
    float or ndarray
        [-]
    """
    return rating_uef * TANKLESS_DRAW_FACTOR


@lru_cache(maxsize=1024)
def parameters_of(heater: Heater) -> Parameters:
    """Solve a label for the model's parameters.

    A tank whose label gives no recovery efficiency takes the usual one of its class (table ``technologies``).
    A heat pump's tank is taken to lose what a resistance tank of its volume just at the federal minimum loses.
    """
    daily, label = rating.pattern_daily_gal(heater.draw_pattern), {"rating_uef": heater.uef}
    if heater.is_tankless:
        drawn = worked(note("working.drawn"), drawn_efficiency_frac, **label)
        return Parameters(drawn.result, 0.0, (drawn,))
    if heater.is_heat_pump:
        loss = _resistance_tank_loss(heater.rated_volume_gal)
        cop = worked(note("working.cop"), rating.rated_cop, **label, loss_btuh_per_df=loss.result, daily_gal=daily)
        return Parameters(cop.result, loss.result, (loss, cop))
    if not heater.burns_fuel:
        loss = worked(note("working.loss"), rating.resistance_loss_btuh_per_df, **label, daily_gal=daily)
        return Parameters(1.0, loss.result, (loss,))
    burner = {"recovery_frac": max(heater.usual_recovery_frac, heater.uef), "power_btuh": heater.power_btuh}
    loss = worked(note("working.loss"), rating.loss_coefficient_btuh_per_df, **label, **burner, daily_gal=daily)
    efficiency = worked(
        note("working.efficiency"), rating.conversion_efficiency_frac, **burner, loss_btuh_per_df=loss.result
    )
    return Parameters(efficiency.result, loss.result, (loss, efficiency))


@lru_cache(maxsize=1024)
def jacket_share_frac(heater: Heater) -> float:
    """Share of a tank's standby loss that its room feels; the rest goes up the flue. [-]

    A burner's tank is taken to lose as much through its jacket as an electric one of its volume just at the federal
    minimum, never more than it loses in all; assumed.
    """
    loss = parameters_of(heater).loss_btuh_per_df
    if not heater.burns_fuel or loss <= 0:
        return 1.0
    return min(1.0, _resistance_tank_loss(heater.rated_volume_gal).result / loss)


def _resistance_tank_loss(volume_gal: float) -> Working:
    """Loss of an electric tank of this volume at the medium-pattern minimum of 10 CFR 430.32(d), 0.9307 - 0.0002 V."""
    least_uef, daily = 0.9307 - 0.0002 * volume_gal, rating.pattern_daily_gal("medium")
    return worked(note("working.loss"), rating.resistance_loss_btuh_per_df, rating_uef=least_uef, daily_gal=daily)


def annual_energy(heater: Heater, circumstances: Circumstances) -> Energy:
    """Energy bought in each month.

    Parameters
    ----------
    heater : Heater
        Label and number of units in parallel.
    circumstances : Circumstances
        What it meets; houses may stand in front of the months.

    Returns
    -------
    Energy
        By month.
    """
    solved = parameters_of(heater)
    warmer_df = by_month(circumstances.set_point_f) - circumstances.air_f
    loss = 24 * solved.loss_btuh_per_df * heater.n_units * warmer_df
    heat = circumstances.heat_btu_per_day + by_month(circumstances.loop.heat_btu_per_day)
    # In a hot attic the air can warm a tank set low; what it brings is not sold back.
    into_tank = np.maximum(heat + loss, 0.0) * DAYS_BY_MONTH
    share_of_year = DAYS_BY_MONTH / DAYS_BY_MONTH.sum() + 0.0 * into_tank
    auxiliary = heater.aux_kwh_per_yr * heater.n_units * share_of_year
    pump = by_month(circumstances.loop.pump_kwh_per_yr) * share_of_year
    nothing = np.zeros_like(into_tank)
    if heater.is_heat_pump:
        by_elements = lockout_share_frac(circumstances.air_f) * heater.technology.has_backup_element
        return _heat_pump_energy(solved, circumstances, heat, loss, into_tank, auxiliary + pump, by_elements)
    bought = into_tank / solved.efficiency_frac
    if heater.burns_fuel:
        # The rating counts fan and controls as input; what they use is electricity, not fuel.
        fuel = np.maximum(bought - auxiliary * BTU_PER_KWH, 0.0)
        return Energy(fuel, auxiliary + pump, heat * DAYS_BY_MONTH, nothing, loss, into_tank, bought)
    return Energy(nothing, bought / BTU_PER_KWH + pump, heat * DAYS_BY_MONTH, nothing, loss, into_tank, bought)


def _heat_pump_energy(
    solved: Parameters,
    circumstances: Circumstances,
    heat: Floats,
    loss: Floats,
    into_tank: Floats,
    auxiliary: Floats,
    by_elements: Numbers,
) -> Energy:
    water = _water_at_condenser_f(by_month(circumstances.set_point_f), circumstances.mains_f)
    rated = relative_cop(_TEST_WET_BULB_F, _water_at_condenser_f(_TEST_SET_POINT_F, _TEST_INLET_F))
    alone = solved.efficiency_frac * relative_cop(circumstances.wet_bulb_f, water) / rated
    cop = np.maximum(alone * by_month(circumstances.loop.heat_pump_cop_frac), 1.0)
    per_heat = (1 - by_elements) / cop + by_elements
    bought = into_tank * per_heat
    taken_from_air = into_tank * (1 - by_elements) * (1 - 1 / cop) - loss * DAYS_BY_MONTH
    return Energy(
        np.zeros_like(into_tank),
        bought / BTU_PER_KWH + auxiliary,
        heat * DAYS_BY_MONTH,
        np.maximum(taken_from_air, 0.0),
        loss,
        into_tank,
        bought,
    )


def relative_cop(wet_bulb_f: Numbers, water_f: Numbers) -> Numbers:
    """The map, held at its edges: hotter or colder than it goes, a heat pump is taken to do as at the edge."""
    return relative_cop_dimensionless(np.clip(wet_bulb_f, 35, 80), np.clip(water_f, 50, 145))


def _water_at_condenser_f(set_point_f: Numbers, mains_f: Numbers) -> Numbers:
    return np.asarray(set_point_f) - _CONDENSER_SHARE_FRAC * (np.asarray(set_point_f) - mains_f)


@lru_cache(maxsize=1024)
def label_energy(heater: Heater) -> Working:
    """The label's own annual figure, at the gallons of its draw pattern. [Btu/yr]"""
    daily = rating.pattern_daily_gal(heater.draw_pattern)
    return worked(note("working.label"), rating.label_energy_btu_per_yr, rating_uef=heater.uef, daily_gal=daily)


def in_place_energy_btu_per_yr(heater: Heater, heat_btu_per_yr: float) -> tuple[float, Finding] | None:
    """Energy if the heater did as badly against its rating as heaters of its class measured in homes.

    Parameters
    ----------
    heater : Heater
        Whose class is looked up in the table of measured gaps.
    heat_btu_per_yr : float
        Heat this household takes. [Btu/yr]

    Returns
    -------
    tuple or None
        Energy in Btu/yr, and the measurement with its source; None for a class without one.
    """
    table = load("in_place_efficiency")
    index = np.flatnonzero(table["technology"] == heater.technology.id)
    if not len(index):
        return None
    row = table.row(int(index[0]))
    measured = note(
        "energy.in_place",
        row["source"],
        source=row["source"],
        share_frac=row["in_place_frac"],
        basis=note(f"energy.basis.{row['basis']}"),
        place=row["place"],
    )
    return heat_btu_per_yr / (heater.uef * row["in_place_frac"]), measured
