"""Finding what is inside a heater, so that the federal tests on the bench return its label.

Nothing is bent: every value stays within what such a heater can have, and a label that cannot be reproduced there
is reported with the likely reason. Of several insides that return the label, the one nearest to common practice is
taken. The catalogue's own fits are kept in the table ``bench_fits``; any other label is fitted when asked for.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass, fields, replace
from functools import lru_cache
from itertools import product

import numpy as np

from advisor.bench import federal_tests
from advisor.bench.internals import TEST_AIR_F, Internals, sources_of, tank_of, unit_of
from advisor.core.findings import Finding, care
from advisor.core.tables import load
from advisor.heaters import label_limits, rating
from advisor.heaters.catalogue import Heater, by_id, catalogue
from advisor.physics.water import TEST_BTU_PER_GAL_DF

#: Within what a label counts as met: first-hour rating and maximum flow 2 %, energy factor 0.01 (heat pump 1 %).
FLOW_TOLERANCE, UEF_TOLERANCE = 0.02, 0.01
#: The jet of a dip tube stirs the lowest 10 to 15 % (from memory, unverified); the search starts there.
USUAL_MIX_FRAC = 0.125
#: Immersed elements are assigned this recovery efficiency (10 CFR 430 subpart B app. E sec. 6.3.2; verified).
ELEMENT_RECOVERY_FRAC = 0.98
#: Missing the first-hour rating by another 1 % weighs as much as stirring a third of the height higher than usual.
MISS_WEIGHT = 33.0
_MIX_FRACS = np.concatenate([np.arange(0.02, 0.30, 0.02), np.arange(0.30, 0.751, 0.05)])
_AIR = np.array([TEST_AIR_F])


@dataclass(frozen=True)
class Retest:
    """What the bench made of a label.

    Parameters
    ----------
    heater_id : str
        Heater.
    internals : Internals
        What was found to be inside.
    fhr_label_gal, fhr_bench_gal : float or None
        First-hour rating of a tank. [gal]
    max_gpm_label, max_gpm_bench : float or None
        Maximum flow of a tankless heater. [gpm]
    uef_label, uef_bench : float
        Uniform energy factor. [-]
    recovery_label_frac : float or None
        Recovery efficiency on the label. [-]
    recovery_bench_frac : float
        The same on the bench. [-]
    cannot_meet : Finding or None
        Why the label cannot be reproduced; None where it is.
    """

    heater_id: str
    internals: Internals
    fhr_label_gal: float | None
    fhr_bench_gal: float | None
    max_gpm_label: float | None
    max_gpm_bench: float | None
    uef_label: float
    uef_bench: float
    recovery_label_frac: float | None
    recovery_bench_frac: float
    cannot_meet: Finding | None


@lru_cache(maxsize=1024)
def retest(heater: Heater) -> Retest:
    """Fit a heater's label, or look the fit up when it is the catalogue's own.

    Parameters
    ----------
    heater : Heater
        Its number of units in parallel does not matter: the label is of one.

    Returns
    -------
    Retest
    """
    found = _fits(_label_alone(heater))
    return found if found.heater_id == heater.id else replace(found, heater_id=heater.id)


def possible_internals(heater: Heater) -> tuple[Internals, ...]:
    """Several insides that return one label, the usual first: a label does not say what is inside a tank.

    A tankless heater has one: what it heats follows from input and flow.
    """
    return _possible_internals(_label_alone(heater))


@lru_cache(maxsize=1024)
def _possible_internals(label: Heater) -> tuple[Internals, ...]:
    usual = _fits(label)
    if label.is_tankless or usual.cannot_meet:
        return (usual.internals,)
    kept = _catalogue_id().get(label)
    other = _other(label, usual.internals) if kept is None else _kept_others()[kept]
    return (usual.internals,) if other is None else (usual.internals, other)


def _other(label: Heater, usual: Internals) -> Internals | None:
    """An inside unlike the usual one in everything that may differ, where one returns the label too."""
    found = _fit_tank(label, unlike=usual)
    return None if found.cannot_meet else found.internals


@lru_cache(maxsize=1)
def _kept_others() -> dict[str, Internals | None]:
    names = {field.name for field in fields(Internals)}
    kept: dict[str, Internals | None] = dict.fromkeys(_kept())
    for row in load("other_insides").rows():
        kept[row["heater_id"]] = Internals(**{name: row[name] for name in names})
    return kept


def run_again(heater: Heater) -> Retest:
    """Run both federal tests once more on what was found to be inside, and say what they give now."""
    return _retested(replace(heater, n_units=1), retest(heater).internals)


def _label_alone(heater: Heater) -> Heater:
    """A heater without its name: two of one label, or three in parallel, have the same inside."""
    return replace(heater, id="", title="", n_units=1)


@lru_cache(maxsize=1024)
def _fits(label: Heater) -> Retest:
    kept = _catalogue_id().get(label)
    return _fit(label) if kept is None else _kept()[kept]


@lru_cache(maxsize=1)
def _catalogue_id() -> dict[Heater, str]:
    return {_label_alone(heater): heater.id for heater in catalogue() if heater.id in _kept()}


@lru_cache(maxsize=1)
def _kept() -> dict[str, Retest]:
    names = {field.name for field in fields(Internals)}
    kept = {}
    for row in load("bench_fits").rows():
        internals = Internals(**{name: row[name] for name in names})
        label = {name: value for name, value in row.items() if name not in names}
        heater, gives = by_id(row["heater_id"]), row["fhr_bench_gal"] or row["max_gpm_bench"]
        assert heater is not None, row
        trouble = (_tank_trouble if heater.is_storage else _tankless_trouble)(heater, gives, row["uef_bench"])
        kept[heater.id] = Retest(internals=internals, **label, cannot_meet=trouble)
    return kept


def fit(heater: Heater) -> Retest:
    """Fit a heater's label from nothing; once found, it is remembered."""
    return replace(_fit(_label_alone(heater)), heater_id=heater.id)


@lru_cache(maxsize=1024)
def _fit(label: Heater) -> Retest:
    return _fit_tank(label) if label.is_storage else _fit_tankless(label)


def _retested(heater: Heater, internals: Internals) -> Retest:
    """Both tests on a given inside, beside the label."""
    if heater.is_storage:
        hour, day = _first_hour_gal(heater, internals), _day(heater, internals)
        return Retest(
            heater.id,
            internals,
            heater.fhr_gal,
            round(hour, 2),
            None,
            None,
            heater.uef,
            round(day.uef, 4),
            heater.recovery_frac,
            round(day.recovery_frac, 4),
            _tank_trouble(heater, hour, day.uef),
        )
    unit = unit_of(heater, internals)
    day, flow = federal_tests.simulated_use_tankless(unit, heater.draw_pattern), federal_tests.max_gpm(unit)
    if heater.max_gpm is not None and label_limits.is_flow_limited(heater):
        flow = min(flow, heater.max_gpm)
    return Retest(
        heater.id,
        internals,
        None,
        None,
        heater.max_gpm,
        round(flow, 3),
        heater.uef,
        round(day.uef, 4),
        heater.recovery_frac,
        round(day.recovery_frac, 4),
        _tankless_trouble(heater, flow, day.uef),
    )


def as_row(result: Retest) -> dict[str, object]:
    """A fit as one flat row, as the table of fits keeps it."""
    row = {name: value for name, value in asdict(result).items() if name != "cannot_meet"}
    internals = row.pop("internals")
    return {"heater_id": row.pop("heater_id"), **internals, **row}


# Tanks --------------------------------------------------------------------------------------------------------


def _fit_tank(heater: Heater, unlike: Internals | None = None) -> Retest:
    internals = unlike or _first_guess(heater)
    for _ in range(3):
        internals = _fit_first_hour(heater, internals, unlike)
        internals = _fit_energy(heater, internals)
        off = 0.0 if heater.fhr_gal is None else abs(_first_hour_gal(heater, internals) / heater.fhr_gal - 1)
        if off < 0.006 or off > 0.05:  # met; or so far off that another loss would not bring it within reach
            break
    return _retested(heater, _rounded(internals))


def _rounded(internals: Internals) -> Internals:
    """Five figures, as the table of fits keeps them."""
    return Internals(**{name: float(f"{value:.5g}") for name, value in asdict(internals).items()})


def _first_hour_gal(heater: Heater, internals: Internals) -> float:
    return federal_tests.first_hour(tank_of(heater, internals), sources_of(heater, internals, _AIR)[0]).fhr_gal


def _day(heater: Heater, internals: Internals) -> federal_tests.SimulatedUse:
    decreed = ELEMENT_RECOVERY_FRAC if heater.technology.is_resistance else None
    tank, source = tank_of(heater, internals), sources_of(heater, internals, _AIR)[0]
    return federal_tests.simulated_use(tank, source, heater.draw_pattern, decreed)


def _usual_recovery_frac(heater: Heater) -> float:
    """Recovery efficiency on the label, else the usual one of its class, which a high rating may exceed."""
    return heater.recovery_frac or max(heater.usual_recovery_frac, heater.uef + 0.02)


def _first_guess(heater: Heater) -> Internals:
    """The two-parameter model of ``rating``, and common practice for the rest."""
    daily = rating.pattern_daily_gal(heater.draw_pattern)
    if heater.is_heat_pump:
        minimum_uef = 0.9307 - 0.0002 * heater.rated_volume_gal  # a resistance tank of like volume, 10 CFR 430.32(d)
        loss = float(rating.resistance_loss_btuh_per_df(minimum_uef, rating.pattern_daily_gal("medium")))
        cop = float(rating.rated_cop(heater.uef, loss, daily))
        return Internals(cop, loss, capacity_btuh=_compressor_btuh(heater))
    if not heater.burns_fuel:
        return Internals(1.0, float(rating.resistance_loss_btuh_per_df(heater.uef, daily)))
    recovery = _usual_recovery_frac(heater)
    loss = float(rating.loss_coefficient_btuh_per_df(heater.uef, recovery, heater.power_btuh, daily))
    loss = 1.0 if np.isnan(loss) else loss
    return Internals(float(rating.conversion_efficiency_frac(recovery, loss, heater.power_btuh)), loss)


def _compressor_btuh(heater: Heater) -> float:
    """Heat of the compressor: the catalogue's recovery at a 90 °F rise less its element; else a usual 4,500 Btu/h."""
    if heater.recovery_gph is None:
        return 4500.0
    heat = heater.recovery_gph * 90 * TEST_BTU_PER_GAL_DF
    if heater.technology.has_backup_element:
        heat -= heater.power_btuh
    return float(np.clip(heat, 4000.0, 8500.0))


def _variants(
    heater: Heater, internals: Internals, unlike: Internals | None = None
) -> Iterator[tuple[float, Internals]]:
    """What else may differ inside such a tank, from usual to unusual, each with how unusual it is.

    Where it is to be unlike another inside, it shares none of these with it.
    """
    if heater.technology.is_resistance:
        choices: dict[str, tuple[float, ...]] = {
            "upper_frac": (0.70, 0.67, 0.73, 0.65, 0.75),
            "element_frac": (0.12, 0.10, 0.15, 0.08, 0.18),
        }
    elif heater.technology.has_backup_element:
        choices = {"backup_drop_df": (25.0, 20.0, 30.0, 15.0, 35.0)}
    elif heater.is_heat_pump:
        # Plug-in heat pumps have no element; many store hotter and mix down (from memory, unverified).
        choices = {"boost_df": (0.0, 2.5, 5.0, 7.5, 10.0, 12.5, 15.0, 17.5, 20.0)}
    else:
        choices = {
            "dead_band_df": (10.0, 8.0, 12.0, 6.0, 15.0, 20.0),
            "sensor_frac": (0.30, 0.25, 0.35, 0.20, 0.45),
        }
    ranked = []
    for ranks in product(*(range(len(values)) for values in choices.values())):
        picked = {name: values[rank] for (name, values), rank in zip(choices.items(), ranks, strict=True)}
        if unlike is not None and any(getattr(unlike, name) == value for name, value in picked.items()):
            continue
        ranked.append((0.05 * sum(ranks), picked))
    for unusual, picked in sorted(ranked, key=lambda item: item[0]):
        yield unusual, replace(internals, **picked)


def _fit_first_hour(heater: Heater, internals: Internals, unlike: Internals | None = None) -> Internals:
    """The inlet mixing, and one more property of its kind, for which the first-hour test returns the label."""
    label = heater.fhr_gal
    if label is None:
        return internals
    best: tuple[float, Internals] = (np.inf, internals)
    for unusual, variant in _variants(heater, internals, unlike):

        def error(mix_frac: float, variant: Internals = variant) -> float:
            return _first_hour_gal(heater, replace(variant, mix_frac=mix_frac)) / label - 1

        if unusual > best[0]:  # nothing better can come
            break
        for mix_frac, off in _near_zeros(error):
            missed = max(0.0, abs(off) - 0.004)
            cost = unusual + abs(mix_frac - USUAL_MIX_FRAC) + MISS_WEIGHT * missed
            trial = replace(variant, mix_frac=mix_frac)
            # A heat pump whose element came on in the 24-hour test would not have its label's efficiency.
            if cost < best[0] and not (heater.is_heat_pump and _day(heater, trial).backup_btu > 0):
                best = (cost, trial)
    return best[1]


def _near_zeros(error: Callable[[float], float]) -> Iterator[tuple[float, float]]:
    """Every mixing height on the grid with its error, and the points between where the error changes sign.

    The first-hour rating jumps where one more draw fits into the hour, so it is not monotonic and has to be scanned.
    """
    errors = [error(float(mix_frac)) for mix_frac in _MIX_FRACS]
    for i, (mix_frac, off) in enumerate(zip(_MIX_FRACS, errors, strict=True)):
        yield float(mix_frac), off
        if i and off * errors[i - 1] < 0:
            low, high, low_off = float(_MIX_FRACS[i - 1]), float(mix_frac), errors[i - 1]
            for _ in range(5):
                middle = (low + high) / 2
                middle_off = error(middle)
                yield middle, middle_off
                if middle_off * low_off > 0:
                    low, low_off = middle, middle_off
                else:
                    high = middle


def _fit_energy(heater: Heater, internals: Internals) -> Internals:
    """Loss and efficiency for which the 24-hour test returns energy factor and recovery efficiency."""
    for _ in range(6):
        day = _day(heater, internals)
        off = heater.uef / day.uef
        if heater.is_heat_pump:
            internals = replace(internals, eff_frac=_held(internals.eff_frac * off, *_efficiency_range(heater)))
            settled = abs(off - 1) < 3e-4
        elif not heater.burns_fuel:
            internals = replace(internals, loss_btuh_per_df=_shifted_loss(heater, internals, 1.0))
            settled = abs(off - 1) < 3e-4
        else:
            wanted = _usual_recovery_frac(heater)
            efficiency = _held(internals.eff_frac + wanted - day.recovery_frac, *_efficiency_range(heater))
            internals = replace(internals, eff_frac=efficiency)
            internals = replace(internals, loss_btuh_per_df=_shifted_loss(heater, internals, efficiency))
            settled = abs(off - 1) < 3e-4 and abs(wanted - day.recovery_frac) < 1e-3
        if settled:
            break
    return internals


def _shifted_loss(heater: Heater, internals: Internals, efficiency: float) -> float:
    """Loss moved by what the test day's energy is off, as standby heat: 24 h times 57.5 °F."""
    day = _day(heater, internals)
    heat = float(rating.pattern_heat_btu_per_day(rating.pattern_daily_gal(heater.draw_pattern)))
    shift = efficiency * heat * (1 / heater.uef - 1 / day.uef) / (24 * rating.TEST_TANK_MINUS_AIR_DF)
    return _held(internals.loss_btuh_per_df + shift, *_loss_range(heater))


def _held(value: float, low: float, high: float) -> float:
    return min(max(value, low), high)


def _loss_range(heater: Heater) -> tuple[float, float]:
    """What the shell of such a tank can lose, Btu/(h °F): orders of size from memory, widened; unverified."""
    if not heater.burns_fuel:
        return 0.5, 8.0
    return (0.4, 8.0) if heater.is_condensing else (2.5, 20.0)


def _efficiency_range(heater: Heater) -> tuple[float, float]:
    """Share of the fuel that can reach the water, by whether the vapour condenses; or a compressor's coefficient."""
    if heater.is_heat_pump:
        return 1.5, 6.0
    return (0.86, 0.995) if heater.is_condensing else (0.65, 0.88)


def _tank_trouble(heater: Heater, fhr_gal: float, uef: float) -> Finding | None:
    label = heater.fhr_gal
    if label is not None and abs(fhr_gal / label - 1) > FLOW_TOLERANCE:
        return care(
            "label.bench.hour",
            rating_gal=label,
            volume_gal=heater.rated_volume_gal,
            input_btuh=heater.power_btuh,
            bench_gal=fhr_gal,
        )
    tolerance = 0.01 * heater.uef if heater.is_heat_pump else UEF_TOLERANCE
    if abs(uef - heater.uef) <= tolerance:
        return None
    if heater.burns_fuel and heater.recovery_frac is not None and heater.recovery_frac <= heater.uef:
        return care("label.bench.no_loss_left", recovery_dimensionless=heater.recovery_frac, rating_uef=heater.uef)
    return care("label.bench.uef", rating_uef=heater.uef, bench_uef=uef)


# Tankless -----------------------------------------------------------------------------------------------------

#: Heat capacity of an exchanger: 4.40 Btu/°F measured on one non-condensing unit (Grant 2010; verified, abstract);
#: 1 to 3 electric (from memory, unverified). The bounds are wider; assumed. [Btu/°F]
_CORE_RANGE = {True: (1.2, 10.0), False: (0.4, 4.0)}
#: Loss of an idle exchanger, 6.84 Btu/(h °F) on that unit; a fifth of it is assumed for an electric one.
_CORE_LOSS = {True: 6.84, False: 1.4}


def _fit_tankless(heater: Heater) -> Retest:
    gas = heater.burns_fuel
    balance = heater.power_btuh / (60 * TEST_BTU_PER_GAL_DF * rating.TEST_RISE_DF)
    # A flow that the pipes limit says nothing of the efficiency: then recovery and energy factor do.
    from_flow = heater.recovery_frac or heater.uef + 0.02
    if heater.max_gpm is not None and not label_limits.is_flow_limited(heater):
        from_flow = heater.max_gpm / balance
    internals = Internals(heater.recovery_frac or from_flow, _CORE_LOSS[gas], core_btu_per_df=4.40 if gas else 2.0)
    low, high = _tankless_efficiency_range(heater, from_flow)
    internals = replace(internals, eff_frac=_held(internals.eff_frac + 0.01, low, high))
    for _ in range(12):
        day = federal_tests.simulated_use_tankless(unit_of(heater, internals), heater.draw_pattern)
        if abs(day.uef - heater.uef) < 3e-4:
            break
        core = _core_for(heater, internals)
        internals = replace(internals, core_btu_per_df=core)
        day = federal_tests.simulated_use_tankless(unit_of(heater, internals), heater.draw_pattern)
        internals = replace(internals, eff_frac=_held(internals.eff_frac * heater.uef / day.uef, low, high))
    return _retested(heater, _rounded(internals))


def _tankless_efficiency_range(heater: Heater, from_flow: float) -> tuple[float, float]:
    """Between what physics and what the label's flow allow; where they do not meet, physics."""
    low, high = (0.86, 0.995) if heater.is_condensing else (0.70, 0.88)
    if not heater.burns_fuel:
        low, high = 0.95, 1.0
    return _held(from_flow * 0.985, low, high), _held(from_flow * 1.015, low, high)


def _core_for(heater: Heater, internals: Internals) -> float:
    """Exchanger whose reheating brings the test day to the label, by bisection: a bigger one costs more."""
    low, high = _CORE_RANGE[heater.burns_fuel]
    for _ in range(14):
        middle = (low + high) / 2
        unit = unit_of(heater, replace(internals, core_btu_per_df=middle))
        if federal_tests.simulated_use_tankless(unit, heater.draw_pattern).uef > heater.uef:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _tankless_trouble(heater: Heater, flow_gpm: float, uef: float) -> Finding | None:
    if heater.max_gpm is not None and abs(flow_gpm / heater.max_gpm - 1) > FLOW_TOLERANCE:
        return care("label.bench.flow", rating_gpm=heater.max_gpm, input_btuh=heater.power_btuh, bench_gpm=flow_gpm)
    if abs(uef - heater.uef) <= UEF_TOLERANCE:
        return None
    return care("label.bench.uef", rating_uef=heater.uef, bench_uef=uef)


def main(table: str = "bench_fits") -> None:
    """Fit the catalogue and print a table: ``python -m advisor.bench.calibration``, with ``other_insides`` that one."""
    rows = [as_row(fit(heater)) for heater in catalogue()]
    if table == "other_insides":
        others = {
            heater.id: _other(_label_alone(heater), fit(heater).internals)
            for heater in catalogue()
            if heater.is_storage
        }
        rows = [{"heater_id": heater_id, **asdict(internals)} for heater_id, internals in others.items() if internals]
    writer = csv.DictWriter(sys.stdout, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)


if __name__ == "__main__":
    main(*sys.argv[1:])
