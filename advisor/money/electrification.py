"""What the law of the state-run electrification rebate would pay of a heat pump, by income. Never counted by itself."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.published import published
from advisor.core.tables import load
from advisor.house.items import WorkItem


def share_of_income_frac(income_of_median_frac: float) -> float:
    """Share of the cost that is paid at an income, which is over the area's median. [-]"""
    for row in load("electrification_shares").rows():
        limit = row["up_to_income_frac"]
        if income_of_median_frac < limit or (row["is_included"] and income_of_median_frac == limit):
            return float(row["share_frac"])
    return 0.0


def cap_usd(part: str) -> float:
    """The most that is paid for a part: heater, panel, wiring or the whole household. [$]"""
    return float(load("electrification_rebate").find(part)["cap_usd"])


@published(
    "42 USC 18795a: a share of each part's cost up to its limit, all of it up to the household's",
    state="verified",
    heater_usd=3000.0,
    panel_usd=0.0,
    wiring_usd=900.0,
    share_frac=0.5,
)
def rebate_usd(heater_usd: Numbers, panel_usd: Numbers, wiring_usd: Numbers, share_frac: Numbers) -> Numbers:
    """The most that the law pays.

    Parameters
    ----------
    heater_usd, panel_usd, wiring_usd : float or ndarray
        What each part costs. [$]
    share_frac : float or ndarray
        Share that is paid, by income. [-]

    Returns
    -------
    float or ndarray
        [$]
    """
    paid = np.minimum(share_frac * np.asarray(heater_usd, dtype=float), cap_usd("heater"))
    paid = paid + np.minimum(share_frac * np.asarray(panel_usd, dtype=float), cap_usd("panel"))
    paid = paid + np.minimum(share_frac * np.asarray(wiring_usd, dtype=float), cap_usd("wiring"))
    return np.minimum(paid, cap_usd("household"))


@dataclass(frozen=True)
class Parts:
    """An installed price by what the law counts apart. [$]"""

    heater_usd: float
    panel_usd: float
    wiring_usd: float


def parts_of(base: WorkItem, work: Iterable[WorkItem]) -> Parts:
    """Typical prices: panel, wiring, and all the rest with the heater."""
    jobs = {row["part"]: set(row["jobs"] or ()) for row in load("electrification_rebate").rows()}
    cost = dict.fromkeys(("heater", "panel", "wiring"), 0.0)
    cost["heater"] = base.counted_usd[1]
    for job in work:
        part = next((name for name in ("panel", "wiring") if job.job in jobs[name]), "heater")
        cost[part] += job.counted_usd[1]
    return Parts(cost["heater"], cost["panel"], cost["wiring"])
