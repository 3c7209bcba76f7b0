"""What a later heater will have to be, where the law will not allow the same again.

Told beside the money, which counts every later heater as it costs today.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from advisor.candidate import Candidate
from advisor.core.tables import load
from advisor.heaters.rating import may_be_made
from advisor.recommendation.kinds import is_eligible, is_smaller


@dataclass(frozen=True, eq=False)
class Successor:
    """A heater that may stand in for another from a day on.

    Parameters
    ----------
    of, next_one : Candidate
        The heater, and what comes after it.
    from_day : date
        From this day the heater may no longer be made.
    """

    of: Candidate
    next_one: Candidate
    from_day: date

    @property
    def extra_usd(self) -> float:
        """What it costs more to buy again, at today's typical prices. [$]"""
        return self.next_one.costs.again_usd[1] - self.of.costs.again_usd[1]

    @property
    def saving_usd_per_yr(self) -> float:
        """What it saves on energy in a year, at today's prices. [$/yr]"""
        return self.of.running_cost.usd_per_yr - self.next_one.running_cost.usd_per_yr


def barred_from(candidate: Candidate, made_on: date) -> date | None:
    """The first day after this one on which the heater may no longer be made; None where no such rule is known."""
    days = sorted({day for day in load("minimum_ratings")["effective_from"] if day is not None and day > made_on})
    return next((day for day in days if not may_be_made(candidate.heater, day)[0]), None)


def successor_of(candidate: Candidate, candidates: Sequence[Candidate], made_on: date) -> Successor | None:
    """The like heater, else the cheapest over the years of its fuel, no smaller, that may still be made then.

    Parameters
    ----------
    candidate : Candidate
        What is put in now.
    candidates : sequence of Candidate
        All that serve the house.
    made_on : date
        When it was made.
    """
    from_day = barred_from(candidate, made_on)
    if from_day is None:
        return None
    heater = candidate.heater
    able = [
        one
        for one in candidates
        if one.heater.fuel == heater.fuel
        and one.heater.is_storage == heater.is_storage
        and one.heater.n_units == heater.n_units
        and is_eligible(one)
        and not is_smaller(one, candidate)
        and may_be_made(one.heater, from_day)[0]
    ]
    like = [one for one in able if one.heater.technology == heater.technology]
    chosen = min(like or able, key=lambda one: one.money.point_usd, default=None)
    return None if chosen is None else Successor(candidate, chosen, from_day)
