"""Relief valve, expansion, scalding and hard water: what the heater does to the pipes and the people."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.findings import Finding, care, note
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.verdicts import HouseVerdict, verdict_of
from advisor.physics.water import water_density_lb_per_gal

ATMOSPHERE_PSI = 14.7
#: Largest pressure that the plumbing codes allow in a house (IPC 604.8, IRC P2903.3.1).
CODE_LIMIT_PSI = 80.0
#: What a new pressure regulator is set to, and the expansion tank above which one comes first: tanks for houses are
#: sold up to about this size (common practice, no published source).
REGULATOR_PSI = 60.0
LARGEST_TANK_GAL = 5.0
#: Least flow pressure at a bath or shower valve that holds its temperature (IPC Table 604.3).
LEAST_FLOW_PSI = 20.0
#: The usual setting of a water heater's relief valve.
RELIEF_PSI = 150.0
#: A relief valve weeps near its setting: keep a tenth below (common practice, no published source).
RELIEF_MARGIN_FRAC = 0.10
#: Descaling heuristic: half the 1.6 years in which tankless heaters plugged at 26 grains a gallon.
_PLUGGED_YR, _PLUGGED_GPG = 1.6, 26.0
HEAVY_USE_GPD = 120.0


@dataclass(frozen=True)
class Rule:
    """One rule of ``data/water_side_rules``."""

    id: str
    rule: Finding
    source: str
    state: str


@cache
def rules(topic: str, *, storage: bool) -> tuple[Rule, ...]:
    """Checklist for one topic: ``relief``, ``discharge``, ``pan``, ``strap``, ``pressure`` or ``limit``."""
    rows = list(load("water_side_rules").rows())
    kinds = {"all", "storage" if storage else "tankless"}
    return tuple(
        Rule(row["id"], note(f"water.rule.{row['id']}"), row["source"], row["state"])
        for row in rows
        if row["topic"] == topic and row["applies"] in kinds
    )


@published("Kell 1975 densities", state="computed", volume_gal=50.0, cold_f=50.0, hot_f=120.0)
def expanded_gal(volume_gal: Numbers, cold_f: Numbers, hot_f: Numbers) -> Numbers:
    """Extra room that heated water asks for.

    Parameters
    ----------
    volume_gal : float or ndarray
        Water in the heater. [gal]
    cold_f, hot_f : float or ndarray
        Water before and after heating. [°F]

    Returns
    -------
    float or ndarray
        NaN outside 32 to 212 °F. [gal]
    """
    return volume_gal * (water_density_lb_per_gal(cold_f) / water_density_lb_per_gal(hot_f) - 1)


@published("Boyle's law on absolute pressures", state="computed", extra_gal=0.57, supply_psi=60.0, limit_psi=80.0)
def expansion_tank_gal(extra_gal: Numbers, supply_psi: Numbers, limit_psi: Numbers) -> Numbers:
    """Smallest expansion tank, precharged to the supply pressure.

    Parameters
    ----------
    extra_gal : float or ndarray
        Expanded volume. [gal]
    supply_psi : float or ndarray
        Supply pressure at the heater, which is also the precharge. [psi]
    limit_psi : float or ndarray
        Highest pressure that may be reached. [psi]

    Returns
    -------
    float or ndarray
        NaN where the supply is already at the limit. [gal]
    """
    start = np.asarray(supply_psi, dtype=float) + ATMOSPHERE_PSI
    end = np.asarray(limit_psi, dtype=float) + ATMOSPHERE_PSI
    with np.errstate(divide="ignore", invalid="ignore"):
        volume = extra_gal / (1 - start / end)
    return np.where(end > start, volume, np.nan)[()]


@dataclass(frozen=True)
class Expansion:
    """Expansion tank at both limits.

    Parameters
    ----------
    extra_gal : float
        Expanded volume. [gal]
    for_relief_gal, for_code_gal : float or None
        Tank that stays a tenth under the relief valve; tank that stays under the 80 psi of the code. [gal]
    needs_regulator : bool
        The supply has to come down before any expansion tank is bought.
    """

    finding: Finding
    extra_gal: float
    for_relief_gal: float | None
    for_code_gal: float | None
    verdict: HouseVerdict
    cautions: tuple[str, ...]
    needs_regulator: bool = False


def check_expansion(
    *,
    volume_gal: float,
    cold_f: float,
    hot_f: float,
    supply_psi: float,
    closed: bool | None,
    tank_gal: float = 0.0,
) -> Expansion:
    """Size the expansion tank, and say whether one is needed.

    Parameters
    ----------
    volume_gal : float
        Water in the heater. [gal]
    cold_f, hot_f : float
        Coldest supply and storage temperature. [°F]
    supply_psi : float
        Measured supply pressure. [psi]
    closed : bool or None
        A check valve, pressure regulator or backflow preventer closes the system; None where nobody knows.
    tank_gal : float
        Expansion tank that is there. [gal]

    Sources
    -------
    IPC 607.3 and 604.8, UPC 608.3, IRC P2903.3.1.
    """
    extra = float(expanded_gal(volume_gal, cold_f, hot_f))
    sizes = [
        float(expansion_tank_gal(extra, supply_psi, limit))
        for limit in ((1 - RELIEF_MARGIN_FRAC) * RELIEF_PSI, CODE_LIMIT_PSI)
    ]
    relief, code = (None if math.isnan(size) else size for size in sizes)
    if closed is False and supply_psi <= CODE_LIMIT_PSI:
        return Expansion(note("water.expansion.open"), extra, relief, code, verdict_of(), ())
    at_regulator_gal = float(expansion_tank_gal(extra, REGULATOR_PSI, CODE_LIMIT_PSI))
    regulate = supply_psi > CODE_LIMIT_PSI or _regulator_first(supply_psi, code, at_regulator_gal, tank_gal)
    found = _expansion(supply_psi, closed, tank_gal, relief, code, regulate=regulate)
    return Expansion(found, extra, relief, code, verdict_of(found), ("expansion", "relief_valve"), regulate)


def _regulator_first(supply_psi: float, for_code_gal: float | None, at_regulator_gal: float, tank_gal: float) -> bool:
    """Whether the tank would be larger than a house has, and a regulator brings it down to such, or halves it."""
    if supply_psi <= REGULATOR_PSI:
        return False
    if for_code_gal is None:
        return True
    if for_code_gal <= max(tank_gal, LARGEST_TANK_GAL):
        return False
    return at_regulator_gal <= max(LARGEST_TANK_GAL, for_code_gal / 2)


def _expansion(
    supply_psi: float,
    closed: bool | None,
    tank_gal: float,
    for_relief_gal: float | None,
    for_code_gal: float | None,
    *,
    regulate: bool,
) -> Finding:
    """Whether an expansion tank is needed and how large, where the water cannot push back into the main."""
    limit_psi = CODE_LIMIT_PSI
    if supply_psi > limit_psi:
        return care("water.expansion.over_limit", "IPC 604.8", supply_psi=supply_psi, limit_psi=limit_psi)
    system = note("water.expansion.closed") if closed else note("water.expansion.if_closed")
    if for_code_gal is None:
        lower = "water.expansion.lower_pressure"
        return care(
            lower, "IPC 604.8", system=system, supply_psi=supply_psi, limit_psi=limit_psi, set_psi=REGULATOR_PSI
        )
    if tank_gal >= for_code_gal:
        return note("water.expansion.large_enough", "IPC 607.3", tank_gal=tank_gal, for_code_gal=for_code_gal)
    if regulate:
        return care(
            "water.expansion.regulator_first",
            "IPC 607.3",
            system=system,
            supply_psi=supply_psi,
            for_code_gal=for_code_gal,
            limit_psi=limit_psi,
            set_psi=REGULATOR_PSI,
        )
    needed = care("water.expansion.needed", "IPC 607.3", system=system, for_code_gal=for_code_gal, limit_psi=limit_psi)
    if for_relief_gal is None:
        return needed
    return care("water.expansion.not_for_relief", "IPC 607.3", needed=needed, for_relief_gal=for_relief_gal)


@published("Moritz and Henriques 1947, as restated", state="cross-checked", water_f=125.0)
def second_degree_burn_s(water_f: Numbers) -> Numbers:
    """Time in which water gives adult skin a second-degree burn.

    Parameters
    ----------
    water_f : float or ndarray
        Water on the skin. [°F]

    Returns
    -------
    float or ndarray
        Interpolated on the logarithm of time. NaN outside 113 to 140 °F: above, it takes less than 3 s. [s]
    """
    return _burn_s(water_f, "second_degree_s")


@published("Moritz and Henriques 1947, as restated", state="cross-checked", by_hand=True, water_f=125.0)
def third_degree_burn_s(water_f: Numbers) -> Numbers:
    """Time in which water gives adult skin a third-degree burn.

    Parameters
    ----------
    water_f : float or ndarray
        Water on the skin. [°F]

    Returns
    -------
    float or ndarray
        As for ``second_degree_burn_s``; above 140 °F it takes less than 5 s. [s]
    """
    return _burn_s(water_f, "third_degree_s")


def _burn_s(water_f: Numbers, column: str) -> Numbers:
    table = load("scald_times")
    log_s = np.interp(water_f, table["water_f"], np.log(table[column]), left=np.nan, right=np.nan)
    return np.exp(log_s)[()]


@published(
    "Mixing balance", state="computed", by_hand=True, stored_gal=35.0, stored_f=140.0, mixed_f=120.0, cold_f=50.0
)
def mixed_gal(stored_gal: Numbers, stored_f: Numbers, mixed_f: Numbers, cold_f: Numbers) -> Numbers:
    """Gallons at the mixing valve's outlet that a stored volume makes.

    Parameters
    ----------
    stored_gal : float or ndarray
        Usable stored water. [gal]
    stored_f, mixed_f, cold_f : float or ndarray
        Stored, delivered and cold water. [°F]

    Returns
    -------
    float or ndarray
        Never less than the stored volume: a valve cannot warm water. NaN where the valve is not set above the
        cold water. [gal]
    """
    stored, mixed, cold = (np.asarray(value, dtype=float) for value in (stored_f, mixed_f, cold_f))
    with np.errstate(divide="ignore", invalid="ignore"):
        gain = np.maximum((stored - cold) / (mixed - cold), 1.0)
    return np.where(mixed > cold, stored_gal * gain, np.nan)[()]


@dataclass(frozen=True)
class Setpoint:
    """What a storage temperature means for skin."""

    finding: Finding
    second_degree_s: float | None
    verdict: HouseVerdict
    cautions: tuple[str, ...]


def check_setpoint(stored_f: float, *, mixing_valve: bool) -> Setpoint:
    """Burn times at the stored temperature, and whether a mixing valve belongs on it.

    Parameters
    ----------
    stored_f : float
        Set point. [°F]
    mixing_valve : bool
        A mixing valve at the heater is there or priced.

    Sources
    -------
    Moritz and Henriques 1947; IPC 2021 limits at fixtures (120 °F at a bath).
    """
    second = float(second_degree_burn_s(stored_f))
    needed = stored_f > 120
    cautions = ("scald", *(("mixing_valve",) if needed else ()), *(("bacteria",) if stored_f < 140 else ()))
    found = note("water.scald", stored_f=stored_f, time=_burn_time(stored_f, second))
    if needed and not mixing_valve:
        found = care("water.scald.valve", "IPC 2021", burns=found)
    return Setpoint(found, None if math.isnan(second) else second, verdict_of(found), cautions)


def _burn_time(stored_f: float, second_degree_s: float) -> Finding:
    """Time until water burns, rounded as it is spoken."""
    if math.isnan(second_degree_s):
        return note("water.burns.at_once", n=3) if stored_f > 140 else note("water.burns.hours")
    if second_degree_s < 90:
        return note("water.burns.seconds", n=round(second_degree_s))
    return note("water.burns.minutes", n=round(second_degree_s / 60))


def hardness_class(hardness_gpg: Numbers) -> Numbers:
    """Class of the US Geological Survey: ``soft``, ``moderately hard``, ``hard`` or ``very hard``.

    Parameters
    ----------
    hardness_gpg : float or ndarray
        [grains/gal]
    """
    table = load("hardness_classes")
    index = np.searchsorted(table["low_gpg"], np.asarray(hardness_gpg, dtype=float), side="left") - 1
    return table["hardness_class"][np.maximum(index, 0)]


@published(
    "Our heuristic from a study paid for by the softening trade (2009-10); no standard exists",
    state="assumed",
    hardness_gpg=10.0,
    daily_use_gpd=60.0,
    maker_limit_yr=5.0,
)
def descaling_interval_yr(hardness_gpg: Numbers, daily_use_gpd: Numbers, maker_limit_yr: Numbers = 5.0) -> Numbers:
    """About how often to descale a tankless heater: half the time in which some plugged, scaled by hardness.

    Parameters
    ----------
    hardness_gpg : float or ndarray
        Hardness of the water. [grains/gal]
    daily_use_gpd : float or ndarray
        Hot water; from 120 gallons a day the interval is halved. [gal/day]
    maker_limit_yr : float or ndarray
        The maker's own interval, never exceeded. [yr]

    Returns
    -------
    float or ndarray
        [yr]
    """
    with np.errstate(divide="ignore", over="ignore"):
        years = _PLUGGED_YR / 2 * _PLUGGED_GPG / np.asarray(hardness_gpg, dtype=float)
    years = np.where(np.asarray(daily_use_gpd) >= HEAVY_USE_GPD, years / 2, years)
    return np.minimum(years, maker_limit_yr)[()]


@dataclass(frozen=True)
class Hardness:
    """Hard water and what to plan for it."""

    finding: Finding
    hardness_class: str
    descale_every_yr: float | None
    plan: Finding
    cautions: tuple[str, ...]


def check_hardness(hardness_gpg: float, *, tankless: bool, daily_use_gpd: float = 50.0) -> Hardness:
    """Class of the water, plan for the heater, and a descaling interval for a tankless one (a heuristic)."""
    name = str(hardness_class(hardness_gpg))
    slug = name.replace(" ", "_")
    found = note("water.hard", hardness=note(f"water.hardness.{slug}"), hardness_gpg=hardness_gpg)
    cautions = ("hard_water",) if hardness_gpg > 3.5 else ()
    if not tankless:
        return Hardness(found, name, None, note(f"water.plan.tank.{slug}"), cautions)
    every = float(descaling_interval_yr(hardness_gpg, daily_use_gpd))
    found = note("water.hard.descale", found=found, every_yr=every)
    return Hardness(found, name, every, note(f"water.plan.tankless.{slug}"), cautions)
