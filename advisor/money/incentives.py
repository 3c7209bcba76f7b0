"""Public money for water heaters, with the day on which each fact was true. Nothing here is a promise.

Only what a household enters itself is taken off a price; everything in the table is shown as something to ask
about, and the federal credit is nought for any heater put in after 2025.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from advisor.core import tables
from advisor.core.errors import InputError
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
    share_frac : float or None
        Share of the cost. [-]
    cap_usd : float or None
        At most. [$]
    ends, as_of : date
        Last day of installation (None: no end known) and the day of this knowledge.
    """

    id: str
    title: str
    kind: str
    status: str
    share_frac: float | None
    cap_usd: float | None
    ends: date | None
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
            row["share_frac"],
            row["cap_usd"],
            row["ends"],
            row["as_of"],
            row["note"],
            row["source"],
        )
        for row in tables.load("incentives").rows()
        if technology.id in row["technologies"]
    ]


def federal_credit_limit_usd(technology: Technology, installed_on: date, cost_usd: float) -> float:
    """The most that the federal credit could have been for a heater put in on a day.

    It lowers income tax and nothing else: without tax to pay it is lost. It is 0 after 2025-12-31.

    Parameters
    ----------
    technology : Technology
        Kind of heater.
    installed_on : date
        Day on which it is put in.
    cost_usd : float
        Heater and labor. [$]

    Returns
    -------
    float
        [$]

    Sources
    -------
    26 USC 25C; Public Law 119-21.
    """
    if not cost_usd >= 0:
        raise InputError("cost_usd", cost_usd, "a cost cannot be below 0", "give dollars")
    credits = (
        min(line.share_frac * cost_usd, line.cap_usd)
        for line in incentives_for(technology, installed_on)
        if line.kind == "tax credit" and line.status == "ask" and line.share_frac and line.cap_usd
    )
    return max(credits, default=0.0)


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
