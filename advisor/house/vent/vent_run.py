"""What vent a heater needs, whether the old one can serve, and how far a sealed one may run.

The vent belongs to the heater: a natural-draft tank lifts its gases up a warm flue, a fan-driven or
condensing heater pushes them through a sealed pipe. What one kind leaves behind seldom serves the other.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from advisor.case.usual import usual
from advisor.core.arrays import Numbers
from advisor.core.errors import OutOfRangeError
from advisor.core.findings import Finding, care, note, stop
from advisor.core.kinds import Technology
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.verdicts import FITS, HouseVerdict, verdict_of

#: Words for what stands there now.
EXISTING_VENTS = (
    "none",
    "unknown",
    "type_b",
    "type_l",
    "single_wall",
    "tile_liner",
    "metal_liner",
    "plastic",
    "stainless_sealed",
)


@dataclass(frozen=True)
class VentRequirement:
    """The vent that one kind of heater needs.

    Parameters
    ----------
    technology : Technology
        Kind of heater.
    category, pressure : str
        Category by pressure and condensation; pressure against the room.
    material, advice : Finding
        Usual material; what to mind, None where there is no vent.
    burns_fuel, condenses : bool
        Whether there is a flue at all; whether water is expected in it.
    accepts : tuple of str
        Existing vents that may serve again after inspection.
    state : str
        How far the row was verified.
    """

    technology: Technology
    category: str
    pressure: str
    condenses: bool
    material: Finding
    accepts: tuple[str, ...]
    advice: Finding | None
    state: str

    @property
    def burns_fuel(self) -> bool:
        """Has a flue."""
        return self.category != "none"


@cache
def vent_requirement(technology: Technology) -> VentRequirement:
    """The vent that a kind of heater needs.

    Sources
    -------
    IFGC 2018 definitions of the categories; IMC 2018 on plastic vents. ``data/heater_venting``.
    """
    row = load("heater_venting").find(technology.id)
    return VentRequirement(
        technology,
        row["category"],
        row["pressure"],
        technology.is_condensing,
        note(f"vent.material.{row['material']}"),
        row["accepts"] or (),
        None if row["category"] == "none" else note(f"vent.advice.{row['material']}"),
        row["state"],
    )


@dataclass(frozen=True)
class VentChange:
    """What happens to the existing vent when a heater of another kind comes."""

    finding: Finding
    requirement: VentRequirement
    reusable: bool
    verdict: HouseVerdict
    cautions: tuple[str, ...]


def vent_change(technology: Technology, existing_vent: str) -> VentChange:
    """Whether the vent that is there can serve the new heater.

    Parameters
    ----------
    technology : Technology
        Kind of the new heater.
    existing_vent : str
        One of ``EXISTING_VENTS``.

    Sources
    -------
    IFGC 2018 501 and 503: Type B is for Category I only; the instructions choose Category III and IV vents.
    """
    need = vent_requirement(technology)
    if not need.burns_fuel:
        none = note("vent.change.none") if existing_vent == "none" else note("vent.change.none_and_close")
        return VentChange(none, need, False, FITS, ())
    cautions = ["carbon_monoxide_alarm", "vents_not_interchangeable", "draft_test"]
    if need.category in {"I", "oil"}:
        cautions.append("shared_flue")
    if need.category == "oil":
        cautions.append("oil")
    reusable = existing_vent in need.accepts
    found = _kept(need) if reusable else _new(need, existing_vent)
    return VentChange(found, need, reusable, verdict_of(found), tuple(cautions))


def _kept(need: VentRequirement) -> Finding:
    """The old vent is of a kind that may serve again."""
    if need.category == "I":
        return note("vent.change.size_flue")
    if need.category == "oil":
        return note("vent.change.oil_flue")
    return care("vent.change.listed_pipe", "IFGC 501 and 503")


def _new(need: VentRequirement, existing_vent: str) -> Finding:
    """The old vent may not serve, or there is none."""
    if existing_vent in {"none", "unknown"}:
        return care("vent.change.own_vent", material=need.material)
    return care(
        "vent.change.replace", "IFGC 501 and 503", old=note(f"vent.kind.{existing_vent}"), material=need.material
    )


@published(
    "Heater instructions; 5 ft for an elbow and 10 ft for a tee are common",
    state="common practice, no published source",
    straight_ft=22.0,
    elbow_90_count=3.0,
    elbow_45_count=1.0,
    elbow_90_ft=5.0,
    elbow_45_ft=2.5,
    others_ft=10.0,
)
def vent_equivalent_length_ft(
    straight_ft: Numbers,
    elbow_90_count: Numbers,
    elbow_45_count: Numbers,
    elbow_90_ft: Numbers,
    elbow_45_ft: Numbers,
    others_ft: Numbers,
) -> Numbers:
    """Straight pipe that would resist the flue gas as much as this run does.

    Parameters
    ----------
    straight_ft : float or ndarray
        Straight pipe, measured. [ft]
    elbow_90_count, elbow_45_count : float or ndarray
        Elbows. [-]
    elbow_90_ft, elbow_45_ft : float or ndarray
        Allowance for one of each, from the heater instructions. [ft]
    others_ft : float or ndarray
        All tees, screens and terminals together. [ft]

    Returns
    -------
    float or ndarray
        [ft]
    """
    return straight_ft + elbow_90_count * elbow_90_ft + elbow_45_count * elbow_45_ft + others_ft


@published("Arithmetic on the instruction's limit", state="computed", margin_ft=12.0, elbow_90_ft=5.0)
def elbows_left_count(margin_ft: Numbers, elbow_90_ft: Numbers) -> Numbers:
    """How many more 90-degree elbows the margin would bear.

    Parameters
    ----------
    margin_ft : float or ndarray
        Limit minus equivalent length. [ft]
    elbow_90_ft : float or ndarray
        Allowance for one elbow. [ft]

    Returns
    -------
    float or ndarray
        Whole number, zero where nothing is left. [-]
    """
    return np.floor(np.maximum(margin_ft, 0.0) / elbow_90_ft + 1e-9)[()]


@dataclass(frozen=True)
class Run:
    """One pipe, exhaust or intake, as measured.

    Parameters
    ----------
    straight_ft : float
        [ft]
    elbows_90, elbows_45, tees, screens, concentric_ends : int
        Fittings.
    """

    straight_ft: float
    elbows_90: int = 0
    elbows_45: int = 0
    tees: int = 0
    screens: int = 0
    concentric_ends: int = 0


@dataclass(frozen=True)
class Allowances:
    """Equivalent feet of one fitting each; a 45 counts half a 90 where nobody says. [ft]"""

    elbow_90_ft: float
    elbow_45_ft: float | None = None
    tee_ft: float = 0.0
    screen_ft: float = 0.0
    concentric_ft: float = 0.0

    @property
    def _per_45_ft(self) -> float:
        return self.elbow_90_ft / 2 if self.elbow_45_ft is None else self.elbow_45_ft

    def pieces(self, run: Run) -> tuple[tuple[str, float], ...]:
        """Every fitting of a run by its kind, with what it counts. [ft]"""
        return (
            *((("elbow_90", self.elbow_90_ft),) * run.elbows_90),
            *((("elbow_45", self._per_45_ft),) * run.elbows_45),
            *((("tee", self.tee_ft),) * run.tees),
            *((("screen", self.screen_ft),) * run.screens),
            *((("concentric", self.concentric_ft),) * run.concentric_ends),
        )

    def length_ft(self, run: Run) -> float:
        """Equivalent length of a run. [ft]"""
        others_ft = run.tees * self.tee_ft + run.screens * self.screen_ft + run.concentric_ends * self.concentric_ft
        return float(
            vent_equivalent_length_ft(
                run.straight_ft, run.elbows_90, run.elbows_45, self.elbow_90_ft, self._per_45_ft, others_ft
            )
        )


@dataclass(frozen=True)
class VentRun:
    """A sealed vent against its length limit.

    Parameters
    ----------
    exhaust, pieces : Run, tuple of (str, float)
        The exhaust, and its fittings with what each counts. [ft]
    exhaust_ft, intake_ft, governing_ft : float
        Equivalent lengths; what the limit is held against. [ft]
    limit_ft, limit_assumed : float, bool
        The limit, and whether it is the generic one. [ft]
    """

    finding: Finding
    diameter_in: float
    exhaust: Run
    pieces: tuple[tuple[str, float], ...]
    exhaust_ft: float
    intake_ft: float | None
    governing_ft: float
    limit_ft: float
    limit_assumed: bool
    margin_ft: float
    elbows_left: int
    verdict: HouseVerdict
    cautions: tuple[str, ...]


def usual_allowances() -> Allowances:
    """What fittings mostly count where the instructions are not at hand. [ft]"""
    return Allowances(
        usual("vent.elbow_90_ft"),
        tee_ft=usual("vent.tee_ft"),
        screen_ft=usual("vent.screen_ft"),
        concentric_ft=usual("vent.concentric_ft"),
    )


def check_vent_run(
    exhaust: Run,
    intake: Run | None = None,
    *,
    diameter_in: float,
    limit_ft: float | None = None,
    limit_counts_both: bool = False,
    allowances: Allowances | None = None,
) -> VentRun:
    """Equivalent length of a sealed vent against the limit in the heater instructions.

    Parameters
    ----------
    exhaust, intake : Run
        The two pipes; no intake where the heater takes room air.
    diameter_in : float
        Pipe diameter. [in.]
    limit_ft : float, optional
        Limit from the instructions. Without it a generic range for the diameter is used and said so. [ft]
    limit_counts_both : bool
        True where the instructions limit exhaust and intake together, not each.
    allowances : Allowances, optional
        What fittings count, from the instructions; else what they mostly count.

    Raises
    ------
    OutOfRangeError
        No limit given and no generic range for the diameter.
    """
    generic = _generic_limit(diameter_in)
    if generic is None and limit_ft is None:
        raise OutOfRangeError(
            "vent.diameter_in",
            diameter_in,
            "there is no generic length for this diameter",
            "give vent.limit_ft from the heater instructions",
        )
    counts = allowances or usual_allowances()
    exhaust_ft = counts.length_ft(exhaust)
    intake_ft = None if intake is None else counts.length_ft(intake)
    governing_ft = exhaust_ft
    if intake_ft is not None:
        governing_ft = exhaust_ft + intake_ft if limit_counts_both else max(exhaust_ft, intake_ft)

    if limit_ft is not None:
        limit, longest = limit_ft, limit_ft
    else:
        assert generic is not None
        limit, longest = generic["low_ft"], generic["high_ft"]
    margin_ft = limit - governing_ft
    found = _run_finding(governing_ft, float(limit), float(longest), diameter_in, is_generic=limit_ft is None)
    return VentRun(
        found,
        diameter_in,
        exhaust,
        counts.pieces(exhaust),
        exhaust_ft,
        intake_ft,
        governing_ft,
        float(limit),
        limit_ft is None,
        margin_ft,
        int(elbows_left_count(margin_ft, counts.elbow_90_ft)) if counts.elbow_90_ft else 0,
        verdict_of(found),
        ("vents_not_interchangeable", "maker_and_code_govern"),
    )


def has_generic_limit(diameter_in: float) -> bool:
    """Whether there is a generic length for this diameter, where the instructions are not at hand."""
    return _generic_limit(diameter_in) is not None


def next_larger_in(diameter_in: float) -> float | None:
    """The next larger pipe that has a generic length; None above the largest. [in.]"""
    return next(
        (row["diameter_in"] for row in load("vent_length_limits").rows() if row["diameter_in"] > diameter_in), None
    )


def _generic_limit(diameter_in: float) -> Mapping[str, Any] | None:
    return next((row for row in load("vent_length_limits").rows() if row["diameter_in"] == diameter_in), None)


def _run_finding(
    counts_ft: float, limit_ft: float, longest_ft: float, diameter_in: float, *, is_generic: bool
) -> Finding:
    """What the run's equivalent length means; a generic range has a middle where the instructions decide."""
    whose = note("vent.limit.generic") if is_generic else note("vent.limit.given")
    if counts_ft <= limit_ft:
        return note("vent.run.fits", counts_ft=counts_ft, limit_ft=limit_ft, left_ft=limit_ft - counts_ft, whose=whose)
    if counts_ft <= longest_ft:
        return care("vent.run.some_allow", counts_ft=counts_ft, diameter_in=diameter_in)
    return stop("vent.run.too_long", counts_ft=counts_ft, over_ft=counts_ft - longest_ft, whose=whose)
