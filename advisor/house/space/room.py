"""What the room allows: where a flame may stand, and whether a heat pump has air enough."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.findings import Finding, Severity, care, finding, note, stop
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.verdicts import HouseVerdict, verdict_of

PLACES = (
    "garage",
    "bedroom",
    "bathroom",
    "closet",
    "attic",
    "crawl_space",
    "basement",
    "utility_room",
    "outdoors",
)
GARAGE_IGNITION_IN = 18.0
#: Air around a heat pump: no loss measured above, ducts or louvers below.
FULL_COP_FT3, LEAST_FT3 = 700.0, 450.0
#: Air in which the units are meant to stand all year (government consumer advice).
COLDEST_ROOM_F, HOTTEST_ROOM_F = 40.0, 90.0


@dataclass(frozen=True)
class LocationRule:
    """One rule of ``data/fuel_location_rules``."""

    id: str
    rule: Finding
    source: str
    state: str


@dataclass(frozen=True)
class Location:
    """Whether a heater may stand where it is meant to."""

    finding: Finding
    rules: tuple[LocationRule, ...]
    verdict: HouseVerdict
    cautions: tuple[str, ...]


def check_location(
    place: str,
    *,
    burns_fuel: bool,
    direct_vent: bool = False,
    ignition_height_in: float | None = None,
    vapor_resistant: bool = False,
    sealed_enclosure: bool = False,
) -> Location:
    """Location rules for one place.

    Parameters
    ----------
    place : str
        One of ``PLACES``.
    burns_fuel, direct_vent : bool
        Whether it has a flame, and whether that takes its air from outdoors through its own pipe.
    ignition_height_in : float, optional
        Lowest flame, spark or switch above the garage floor. [in.]
    vapor_resistant : bool
        Listed as flammable-vapor resistant.
    sealed_enclosure : bool
        An enclosure of its own with a self-closing gasketed door and outdoor combustion air.

    Sources
    -------
    IRC M1307.3, IFGC 303.3 and 305.3, IMC 304.3.
    """
    kinds = {"all"} | ({"fuel"} if burns_fuel else set())
    kinds |= {"room_air_fuel"} if burns_fuel and not direct_vent else set()
    rules = tuple(
        LocationRule(row["id"], note(f"room.rule.{row['id']}"), row["source"], row["state"])
        for row in load("fuel_location_rules").rows()
        if row["place"] in {place, "any"} and row["applies"] in kinds
    )
    if not burns_fuel:
        # Only room for service and drainage matter, and the way to it.
        is_hard_to_reach = place in {"attic", "crawl_space"}
        return _located(care("room.no_flame") if is_hard_to_reach else note("room.no_flame"), rules, "leak")
    if place in {"bedroom", "bathroom"}:
        return _sleeping_place(place, rules, direct_vent or sealed_enclosure)
    if place == "garage" and not vapor_resistant:
        return _garage(rules, ignition_height_in)
    if place == "closet" and not direct_vent:
        found = care("room.closet", "IFGC 304.5 and 304.6")
        return _located(found, rules, "tight_house", "carbon_monoxide_alarm", "bedroom_bath")
    if place in {"attic", "crawl_space"}:
        return _located(care("room.access", "IRC M1305.1"), rules, "leak", "carbon_monoxide_alarm")
    return _located(note("room.no_rule"), rules, "carbon_monoxide_alarm")


def _located(found: Finding, rules: tuple[LocationRule, ...], *cautions: str) -> Location:
    return Location(found, rules, verdict_of(found), cautions)


def _sleeping_place(place: str, rules: tuple[LocationRule, ...], closed_off: bool) -> Location:
    where = note(f"room.in_a.{place}")
    if closed_off:
        found = care("room.shut_off", "IFGC 303.3", where=where)
    else:
        found = stop("room.forbidden", "IFGC 303.3", where=where)
    return _located(found, rules, "bedroom_bath", "carbon_monoxide_alarm")


def _garage(rules: tuple[LocationRule, ...], ignition_height_in: float | None) -> Location:
    section = "IRC M1307.3, IFGC 305.3"
    if ignition_height_in is None:
        found = care("room.garage.measure", section, least_in=GARAGE_IGNITION_IN)
    elif ignition_height_in >= GARAGE_IGNITION_IN:
        found = note("room.garage.high_enough", section, flame_in=ignition_height_in)
    else:
        found = care("room.garage.too_low", section, flame_in=ignition_height_in, least_in=GARAGE_IGNITION_IN)
    return _located(found, rules, "garage", "carbon_monoxide_alarm")


@published("Heat balance of a heat pump", state="computed", delivered_btu_per_day=33_500.0, working_cop=3.2)
def room_heat_btu_per_day(delivered_btu_per_day: Numbers, working_cop: Numbers) -> Numbers:
    """Heat that a heat pump takes from its room: delivered heat less the electricity.

    Parameters
    ----------
    delivered_btu_per_day : float or ndarray
        Heat into the water. [Btu/day]
    working_cop : float or ndarray
        Coefficient of performance. [-]

    Returns
    -------
    float or ndarray
        Zero at a coefficient of 1 or less: an element takes nothing. [Btu/day]
    """
    return delivered_btu_per_day * (1 - 1 / np.maximum(np.asarray(working_cop, dtype=float), 1.0))[()]


@published(
    "Regional efficiency alliance, laboratory work 2022",
    state="cross-checked",
    room_ft3=500.0,
    daily_use_gpd=60.0,
)
def room_cop_frac(room_ft3: Numbers, daily_use_gpd: Numbers) -> Numbers:
    """Coefficient of performance in a small room over that in 700 ft³.

    Parameters
    ----------
    room_ft3 : float or ndarray
        Room volume. [ft³]
    daily_use_gpd : float or ndarray
        Hot water. Below 55 the loss at 55 is used, the cautious end; NaN above 84, where nothing was
        read. [gal/day]

    Returns
    -------
    float or ndarray
        1 from 700 ft³ up, NaN below 450 ft³: vents or ducts are needed there. [-]
    """
    cops = {(row["daily_use_gpd"], row["room_ft3"]): row["cop"] for row in load("heat_pump_room").rows()}
    uses = sorted({use for use, _ in cops})
    worst = [cops[use, LEAST_FT3] / cops[use, FULL_COP_FT3] for use in uses]
    at_least = np.interp(daily_use_gpd, uses, worst, right=np.nan)
    room = np.asarray(room_ft3, dtype=float)
    between = at_least + (1 - at_least) * (room - LEAST_FT3) / (FULL_COP_FT3 - LEAST_FT3)
    # From 700 ft3 up nothing is lost, whatever the use.
    return np.where(room >= FULL_COP_FT3, 1.0, np.where(room >= LEAST_FT3, between, np.nan))[()]


@dataclass(frozen=True)
class HeatPumpRoom:
    """A heat pump in its room."""

    finding: Finding
    cop_frac: float | None
    is_out_of_range: bool
    verdict: HouseVerdict
    cautions: tuple[str, ...]


def check_heat_pump_room(
    *,
    room_ft3: float,
    daily_use_gpd: float,
    delivered_btu_per_day: float,
    working_cop: float,
    coldest_f: float,
    hottest_f: float,
    louvered: bool = False,
    beside_flame: bool = False,
) -> HeatPumpRoom:
    """Air volume, temperature and cooling of the room.

    Parameters
    ----------
    room_ft3 : float
        Volume of the room. [ft³]
    daily_use_gpd : float
        Hot water. [gal/day]
    delivered_btu_per_day : float
        Heat into the water. [Btu/day]
    working_cop : float
        Coefficient of performance. [-]
    coldest_f, hottest_f : float
        Room over the year. [°F]
    louvered : bool
        Louvers, grilles or ducts join it to more air.
    beside_flame : bool
        A fuel appliance in the same room draws its air from it.

    Sources
    -------
    EPA guidance (40 to 90 °F); laboratory work 2022 as restated.
    """
    cooling = float(room_heat_btu_per_day(delivered_btu_per_day, working_cop)) / 24
    factor = 1.0 if louvered else float(room_cop_frac(room_ft3, daily_use_gpd))
    known = None if np.isnan(factor) else factor
    cautions = ("heat_pump_air", "heat_pump_drain", *(("heat_pump_beside_flame",) if beside_flame else ()))
    cools = note("room.cools", taken_btuh=cooling)
    out_of_range = coldest_f < COLDEST_ROOM_F or hottest_f > HOTTEST_ROOM_F
    if room_ft3 < LEAST_FT3 and not louvered:
        found = care("room.air.too_small", room_ft3=room_ft3, least_ft3=LEAST_FT3, cools=cools)
        known = None
    elif out_of_range:
        found = care(
            "room.air.temperature",
            coldest_f=coldest_f,
            hottest_f=hottest_f,
            least_f=COLDEST_ROOM_F,
            most_f=HOTTEST_ROOM_F,
            cools=cools,
        )
    elif known is None:
        found = care("room.air.not_measured", daily_use_gpd=daily_use_gpd, cools=cools)
    else:
        weight = Severity.CARE if beside_flame else Severity.NOTE
        found = finding("room.air.ample", weight, cools=cools)
        if factor < 1:
            found = finding("room.air.small", weight, lost_frac=1 - factor, cools=cools)
    return HeatPumpRoom(found, known, out_of_range, verdict_of(found), cautions)
