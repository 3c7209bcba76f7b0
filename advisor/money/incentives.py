"""Public money for water heaters, with the day on which each fact was true. Nothing here is a promise.

Only what a household enters itself is taken off a price; everything in the table is shown as something to ask
about, and the federal credit is nought for any heater put in after 2025.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from advisor.core import tables
from advisor.core.kinds import Technology


@dataclass(frozen=True)
class Incentive:
    """One line of public money.

    Parameters
    ----------
    id, title, kind, note, source : str
        As in the table.
    status : str
        ``ended``, ``not begun`` or ``ask``; never more than that.
    cap_usd : float or None
        At most. [$]
    as_of : date
        The day of this knowledge.
    """

    id: str
    title: str
    kind: str
    status: str
    cap_usd: float | None
    as_of: date
    note: str
    source: str


def incentives_for(technology: Technology, installed_on: date) -> list[Incentive]:
    """Every known line for a kind of heater, with its status on the day it is put in.

    Parameters
    ----------
    technology : Technology
        Kind of heater.
    installed_on : date
        Day on which it is put in.
    """
    return [
        Incentive(
            row["id"],
            row["title"],
            row["kind"],
            _status(row["starts"], row["ends"], installed_on),
            row["cap_usd"],
            row["as_of"],
            row["note"],
            row["source"],
        )
        for row in tables.load("incentives").rows()
        if technology.id in row["technologies"]
    ]


def reported_open_on(state_code: str) -> date | None:
    """Day on which the state's electrification rebate was reported open; None where no report was seen.

    A report says nothing of today: rebates pause and run out.
    """
    table = tables.load("incentive_openings")
    found = np.flatnonzero(table["state_code"] == state_code.strip().upper())
    return table["reported_on"][int(found[0])] if len(found) else None


def _status(starts: date, ends: date | None, installed_on: date) -> str:
    if ends is not None and installed_on > ends:
        return "ended"
    return "not begun" if installed_on < starts else "ask"
