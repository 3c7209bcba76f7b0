"""The air that a fire needs: from the room, from the next room, or from outdoors.

Count every fuel appliance in the space together. Direct-vent appliances bring their own air and are left out.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.findings import Finding, care, note
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.verdicts import FITS, HouseVerdict, verdict_of

_INDOOR = "indoor_same_storey"
#: Below this known infiltration the 50 ft3 rule may not be used; above the other one no more is credited.
LEAST_ACH_FOR_STANDARD = 0.40
MOST_ACH = 0.60
#: Free share of a metal louver's face where its maker does not print one (from memory, unverified).
METAL_LOUVER_FREE_FRAC = 0.75


@published("NFPA 54 9.3; IFGC 304.5.1, standard method", state="cross-checked", input_btuh=140_000.0)
def standard_volume_ft3(input_btuh: Numbers) -> Numbers:
    """Room volume that supplies the fire by ordinary leakage: 50 ft³ for each 1,000 Btu/h.

    Parameters
    ----------
    input_btuh : float or ndarray
        All fuel appliances in the space but direct-vent ones. [Btu/h]

    Returns
    -------
    float or ndarray
        [ft³]

    Validity
    --------
    Not where the house is known to change less than 0.40 of its air an hour.
    """
    return 50.0 * input_btuh / 1000.0


@published(
    "NFPA 54 9.3; IFGC 304.5.2, known infiltration",
    state="cross-checked",
    draft_hood_btuh=40_000.0,
    fan_assisted_btuh=100_000.0,
    infiltration_ach=0.35,
)
def known_infiltration_volume_ft3(
    draft_hood_btuh: Numbers, fan_assisted_btuh: Numbers, infiltration_ach: Numbers
) -> Numbers:
    """Room volume that supplies the fire at a measured air change.

    Parameters
    ----------
    draft_hood_btuh : float or ndarray
        Appliances without a fan, 21 ft³ a 1,000 Btu/h and air change. [Btu/h]
    fan_assisted_btuh : float or ndarray
        Fan-assisted appliances, 15 ft³. [Btu/h]
    infiltration_ach : float or ndarray
        Air changes an hour; more than 0.60 is not credited. NaN where not positive. [1/h]

    Returns
    -------
    float or ndarray
        [ft³]
    """
    rate = np.minimum(np.asarray(infiltration_ach, dtype=float), MOST_ACH)
    with np.errstate(divide="ignore", invalid="ignore"):
        volume = (21.0 * draft_hood_btuh + 15.0 * fan_assisted_btuh) / 1000.0 / rate
    return np.where(rate > 0, volume, np.nan)[()]


@published(
    "NFPA 54 9.3; IFGC 304.5 and 304.6",
    state="cross-checked",
    input_btuh=140_000.0,
    served_btuh_per_in2=4000.0,
    least_in2=0.0,
)
def opening_free_area_in2(input_btuh: Numbers, served_btuh_per_in2: Numbers, least_in2: Numbers) -> Numbers:
    """Free area of one opening for combustion air.

    Parameters
    ----------
    input_btuh : float or ndarray
        All fuel appliances in the space but direct-vent ones. [Btu/h]
    served_btuh_per_in2 : float or ndarray
        Input served by a square inch, from ``data/combustion_air_openings``. [Btu/h per in²]
    least_in2 : float or ndarray
        Smallest opening that counts. [in²]

    Returns
    -------
    float or ndarray
        Zero where nothing burns. [in²]
    """
    area = np.maximum(np.asarray(input_btuh, dtype=float) / served_btuh_per_in2, least_in2)
    return np.where(np.asarray(input_btuh) > 0, area, 0.0)[()]


@published(
    "NFPA 54 9.3.4; IFGC 304.7, combined indoor and outdoor air",
    state="cross-checked",
    full_area_in2=46.7,
    available_ft3=3000.0,
    required_ft3=7000.0,
)
def combined_outdoor_area_in2(full_area_in2: Numbers, available_ft3: Numbers, required_ft3: Numbers) -> Numbers:
    """Outdoor opening that is still needed when the room supplies part of the air.

    Parameters
    ----------
    full_area_in2 : float or ndarray
        Opening if all air came from outdoors. [in²]
    available_ft3, required_ft3 : float or ndarray
        Volume of the space and of the space that would be enough. [ft³]

    Returns
    -------
    float or ndarray
        [in²]
    """
    available, required = np.asarray(available_ft3, dtype=float), np.asarray(required_ft3, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(required > available, available / required, 1.0)
    return (full_area_in2 * (1 - share))[()]


@published("Definition of net free area", state="computed", free_area_in2=50.0, free_frac=0.25)
def louver_face_area_in2(free_area_in2: Numbers, free_frac: Numbers) -> Numbers:
    """Face of a louver or grille that leaves the free area open.

    Parameters
    ----------
    free_area_in2 : float or ndarray
        Needed free area. [in²]
    free_frac : float or ndarray
        Free share of the face: the maker's figure, else 0.25 for wood and 0.75 for metal. [-]

    Returns
    -------
    float or ndarray
        [in²]
    """
    return free_area_in2 / free_frac


@dataclass(frozen=True)
class Opening:
    """One way to bring the air in, and the job that makes it."""

    arrangement: str
    job: str
    openings: int
    free_area_in2: float
    face_area_in2: float
    rule: Finding


@dataclass(frozen=True)
class CombustionAir:
    """Whether the space can feed the fires in it."""

    finding: Finding
    counted_btuh: float
    required_ft3: float
    available_ft3: float
    method: Finding
    ways_out: tuple[Opening, ...]
    verdict: HouseVerdict
    cautions: tuple[str, ...]


def check_combustion_air(
    *,
    draft_hood_btuh: float,
    fan_assisted_btuh: float = 0.0,
    room_ft3: float,
    joined_ft3: float = 0.0,
    infiltration_ach: float | None = None,
    barred: Collection[str] = (),
    connectors_in2: float = 0.0,
    there: tuple[str, float] | None = None,
) -> CombustionAir:
    """Room volume against what the fires need, and the openings that would make up for it, the cheapest first.

    Parameters
    ----------
    draft_hood_btuh, fan_assisted_btuh : float
        Inputs that take their air from the space; leave direct-vent appliances out. [Btu/h]
    room_ft3, joined_ft3 : float
        The space with the heater, with rooms that are always open to it; rooms on the same storey that two
        openings could join to it. [ft³]
    infiltration_ach : float, optional
        Measured air change; without it the standard method is used. [1/h]
    barred : collection of str
        Arrangements that this place rules out.
    connectors_in2 : float
        Area of the vent connectors together: a single outdoor opening is no smaller. [in²]
    there : tuple of (str, float), optional
        Openings that are there: arrangement, and free area of each. [in²]

    Sources
    -------
    NFPA 54 9.3; IFGC 304.5 to 304.7 as restated.
    """
    counted = draft_hood_btuh + fan_assisted_btuh
    if counted == 0:
        return CombustionAir(note("air.none_burns"), 0.0, 0.0, room_ft3, note("air.method.none"), (), FITS, ())
    required, method = _required_ft3(draft_hood_btuh, fan_assisted_btuh, infiltration_ach)
    cautions = ("draft_test", "tight_house", "carbon_monoxide_alarm")
    if room_ft3 >= required:
        found = note("air.enough", "IFGC 304.5", room_ft3=room_ft3, needed_ft3=required)
        return CombustionAir(found, counted, required, room_ft3, method, (), FITS, cautions)
    openings = {
        row["arrangement"]: _opening(row, counted, room_ft3, required, connectors_in2)
        for row in load("combustion_air_openings").rows()
        if row["arrangement"] not in barred and (row["arrangement"] != _INDOOR or room_ft3 + joined_ft3 >= required)
    }
    if there is not None and there[0] in openings and there[1] >= openings[there[0]].free_area_in2:
        needed = openings[there[0]]
        found = note("air.openings_there", "IFGC 304.5 to 304.7", n=needed.openings, free_in2=needed.free_area_in2)
        return CombustionAir(found, counted, required, room_ft3, method, (), FITS, cautions)
    ways_out = tuple(sorted(openings.values(), key=lambda way: _typical_usd(way.job)))
    first = ways_out[0]
    where = note("air.to.next_rooms" if first.arrangement == _INDOOR else "air.to.outdoors")
    found = care(
        "air.openings",
        "IFGC 304.5 to 304.7",
        room_ft3=room_ft3,
        needed_ft3=required,
        n=first.openings,
        free_in2=first.free_area_in2,
        where=where,
    )
    return CombustionAir(found, counted, required, room_ft3, method, ways_out, verdict_of(found), cautions)


def _typical_usd(job: str) -> float:
    return float(load("jobs").find(job)["typical_usd_per_unit"])


def _required_ft3(
    draft_hood_btuh: float, fan_assisted_btuh: float, infiltration_ach: float | None
) -> tuple[float, Finding]:
    """Volume and method; an air change measured at 0.40 or more leaves both open and the smaller counts."""
    standard = float(standard_volume_ft3(draft_hood_btuh + fan_assisted_btuh)), note("air.method.standard")
    if infiltration_ach is None:
        return standard
    known = float(known_infiltration_volume_ft3(draft_hood_btuh, fan_assisted_btuh, infiltration_ach))
    if infiltration_ach >= LEAST_ACH_FOR_STANDARD and standard[0] <= known:
        return standard
    return known, note("air.method.known_infiltration")


def _opening(
    row: Mapping[str, Any],
    counted_btuh: float,
    room_ft3: float,
    required_ft3: float,
    connectors_in2: float,
) -> Opening:
    """One arrangement of the table; outdoor openings shrink by what the room already supplies."""
    least_in2 = max(row["least_in2"], connectors_in2 if row["openings"] == 1 else 0.0)
    free = float(opening_free_area_in2(counted_btuh, row["btuh_per_in2"], least_in2))
    if row["arrangement"] != _INDOOR:
        free = float(combined_outdoor_area_in2(free, room_ft3, required_ft3))
    face = float(louver_face_area_in2(free, METAL_LOUVER_FREE_FRAC))
    return Opening(
        row["arrangement"], row["job"], row["openings"], free, face, note(f"air.opening.{row['arrangement']}")
    )
