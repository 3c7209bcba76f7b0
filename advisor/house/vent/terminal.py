"""Where the end of a vent may be: the distances for one input, as a checklist."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.findings import Finding, care, note
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.validation import not_negative, one_of
from advisor.core.verdicts import HouseVerdict, verdict_of

#: Direct vent: air comes from outdoors through a pipe of its own. Mechanical draft: the fan only blows out.
KINDS = ("direct_vent", "mechanical_draft")


@published("IFGC 503.8 = NFPA 54, direct-vent terminals", state="cross-checked", by_hand=True, input_btuh=180_000.0)
def direct_vent_clearance_in(input_btuh: Numbers) -> Numbers:
    """Least distance from a direct-vent terminal to an opening into the building.

    Parameters
    ----------
    input_btuh : float or ndarray
        Input of the appliance. [Btu/h]

    Returns
    -------
    float or ndarray
        6, 9 or 12; recent editions leave inputs above 150,000 Btu/h to the instructions (from memory,
        unverified); NaN where the input is not positive. [in.]

    Sources
    -------
    IFGC 503.8, read in several instructions that restate it. ``data/terminal_clearances``.
    """
    rows = [
        row
        for row in load("terminal_clearances").rows()
        if row["applies"] == "direct_vent" and row["distance_in"] is not None
    ]
    upper = np.array([_upper_btuh(row) for row in rows])
    distances = np.array([row["distance_in"] for row in rows] + [math.nan])
    given = np.asarray(input_btuh, dtype=float)
    index = np.where(given > 0, np.searchsorted(upper, given, side="left"), len(rows))
    return distances[index][()]


@dataclass(frozen=True)
class TerminalClearance:
    """One distance that the vent end must keep, and what was measured."""

    id: str
    required_in: float | None
    rule: Finding
    measured_in: float | None
    state: str

    @property
    def kept(self) -> bool | None:
        """True or False where both numbers are known, else None."""
        if self.required_in is None or self.measured_in is None:
            return None
        return self.measured_in >= self.required_in


@dataclass(frozen=True)
class TerminalCheck:
    """The checklist for the end of a vent of one kind."""

    kind: str
    finding: Finding
    clearances: tuple[TerminalClearance, ...]
    verdict: HouseVerdict
    cautions: tuple[str, ...]


def check_terminal(
    kind: str, input_btuh: float, *, condenses: bool, measured_in: Mapping[str, float] | None = None
) -> TerminalCheck:
    """Every distance that applies to a through-the-wall terminal, with the inches for this input.

    Parameters
    ----------
    kind : str
        One of ``KINDS``.
    input_btuh : float
        Full input. [Btu/h]
    condenses : bool
        True for a condensing heater, whose exhaust shows as a plume.
    measured_in : mapping, optional
        Measured distances by the ids of ``data/terminal_clearances``. [in.]

    Sources
    -------
    IFGC 503.8 and NFPA 54 as restated.
    """
    kinds = {kind, "any_through_wall", *(("condensing",) if condenses else ())}
    rows = [row for row in load("terminal_clearances").rows() if row["applies"] in kinds]
    measured = dict(measured_in or {})
    for name, value in measured.items():
        one_of("measured_in", name, [row["id"] for row in rows])
        not_negative("measured_in", value, "in")
    clearances = tuple(
        TerminalClearance(
            row["id"], row["distance_in"], note(f"vent.clearance.{row['id']}"), measured.get(row["id"]), row["state"]
        )
        for row in rows
        if row["above_btuh"] < input_btuh <= _upper_btuh(row)
    )
    short = [item for item in clearances if item.kept is False]
    unmeasured = [item for item in clearances if item.kept is None and item.required_in is not None]
    if short:
        worst = max(short, key=lambda item: (item.required_in or 0.0) - (item.measured_in or 0.0))
        distances = {"measured_in": worst.measured_in or 0.0, "least_in": worst.required_in or 0.0}
        found = care("vent.terminal.near", "IFGC 503.8", **distances, rule=worst.rule)
    elif unmeasured:
        found = care("vent.terminal.unmeasured", "IFGC 503.8", n=len(unmeasured))
    else:
        found = note("vent.terminal.kept", "IFGC 503.8")
    return TerminalCheck(kind, found, clearances, verdict_of(found), ("vent_terminal", "maker_and_code_govern"))


def _upper_btuh(row: Mapping[str, Any]) -> float:
    return math.inf if row["up_to_btuh"] is None else float(row["up_to_btuh"])
