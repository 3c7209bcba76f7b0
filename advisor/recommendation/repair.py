"""Mending what failed instead: what it costs, how long it must hold to be worth it, and how likely that is.

An option beside the four places; it changes none of them. A tank that leaks has none.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from advisor.candidate import Candidate
from advisor.case.base import Assumption
from advisor.case.record import Case
from advisor.case.usual import assumption
from advisor.core.arrays import Numbers
from advisor.core.findings import note
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.working import Working, worked
from advisor.house.items import Usd
from advisor.house.local_prices import LISTED, local_prices
from advisor.money.upkeep import lasts_on_frac, mean_left_yr
from advisor.physics.present_value import uniform_present_value_yr

#: Unless this share of heaters of its age runs as long as it must hold, a repair is not worth it: who loses that bet
#: has no hot water a second time. Our own choice.
SURE_FRAC = 0.8


@published(
    "Straight line: what is paid over what a year of waiting spares",
    state="assumed",
    repair_usd=300.0,
    spared_usd_per_yr=150.0,
)
def must_hold_yr(repair_usd: Numbers, spared_usd_per_yr: Numbers) -> Numbers:
    """How long a repair must hold until it has cost no more than a new heater would have.

    Parameters
    ----------
    repair_usd : float or ndarray
        [$]
    spared_usd_per_yr : float or ndarray
        What a year without the new heater spares; infinite years where it spares nothing. [$/yr]

    Returns
    -------
    float or ndarray
        [yr]
    """
    spared = np.asarray(spared_usd_per_yr, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(spared > 0, repair_usd / spared, np.inf)


@dataclass(frozen=True, eq=False)
class Repair:
    """A repair of what failed.

    Parameters
    ----------
    id, state : str
        Row of the table of repairs, and how far its price was checked.
    usd : tuple of float
        Low, typical, high. [$]
    age_yr, age_is_assumed : float, bool
        Age of what failed; where nobody gave it, the mean life of its kind. [yr]
    left : Working
        How many more years such heaters last on average. [yr]
    holds : Working or None
        How long the repair must hold to be worth it; None where there is no pick to put off. [yr]
    lasts : Working or None
        Share of heaters of that age that run so much longer; None where no time is long enough. [-]
    is_tank : bool
        It may yet leak.
    assumptions : tuple of Assumption
        What was taken for granted.
    """

    id: str
    state: str
    usd: Usd
    age_yr: float
    age_is_assumed: bool
    left: Working
    holds: Working | None
    lasts: Working | None
    is_tank: bool
    assumptions: tuple[Assumption, ...]

    @property
    def is_listed(self) -> bool:
        """Its price is the household's own."""
        return self.state == LISTED

    @property
    def is_likely_to_pay(self) -> bool:
        """Enough heaters of that age run as long as it must hold."""
        return self.lasts is not None and self.lasts.result >= SURE_FRAC


def repair_of(case: Case, us_state: str, same_again: Candidate | None, pick: Candidate | None) -> Repair | None:
    """The repair of what failed; None where nobody said what is wrong or it cannot be mended.

    Parameters
    ----------
    case : Case
        What failed, and the household's own prices.
    us_state : str
        Whose wages move the price.
    same_again, pick : Candidate or None
        The plain replacement, which stands for what failed, and what would be put in.
    """
    row = _row(case)
    if row is None or same_again is None:
        return None
    table_usd = row["low_usd"], row["typical_usd"], row["high_usd"]
    usd, state = local_prices(case.price_list, us_state).of_repair(row["id"], table_usd, row["state"])
    life = same_again.costs.life
    age_yr = life.mean_yr if case.failed.age_yr is None else case.failed.age_yr
    curve = {"age_yr": age_yr, "mean_yr": life.mean_yr, "shape_dimensionless": life.shape_dimensionless}
    holds = lasts = None
    if pick is not None:
        spared = _spared_usd_per_yr(case.economics.discount_frac, same_again, pick)
        holds = worked(note("working.must_hold"), must_hold_yr, repair_usd=usd[1], spared_usd_per_yr=spared)
        if spared > 0:
            lasts = worked(note("working.lasts_on"), lasts_on_frac, more_yr=holds.result, **curve)
    return Repair(
        id=row["id"],
        state=state,
        usd=usd,
        age_yr=age_yr,
        age_is_assumed=case.failed.age_yr is None,
        left=worked(note("working.mean_left"), mean_left_yr, **curve),
        holds=holds,
        lasts=lasts,
        is_tank=same_again.heater.is_storage,
        assumptions=() if case.failed.age_yr is not None else (assumption("failed.age_yr", life.mean_yr),),
    )


def _row(case: Case) -> Mapping[str, Any] | None:
    failed = case.failed
    return next(
        (
            row
            for row in load("repairs").rows()
            if failed.fuel.id in row["fuels"] and (row["kind"], row["trouble"]) == (failed.kind, failed.trouble)
        ),
        None,
    )


def _spared_usd_per_yr(discount_frac: float, old: Candidate, new: Candidate) -> float:
    """What a year of waiting spares: a year's share of the new heater, less what the new one would save.

    The old heater is taken to use and to need what the plain replacement does.
    """
    a_year = new.money.installed_usd.point / float(uniform_present_value_yr(discount_frac, new.costs.life.mean_yr))
    saving = old.running_cost.usd_per_yr - new.running_cost.usd_per_yr
    return a_year - saving - (old.money.upkeep_usd_per_yr - new.money.upkeep_usd_per_yr)
