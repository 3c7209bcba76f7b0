"""What a later heater will have to be, where the law of that year does not allow the same again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import cache

from advisor.candidate import CheckedHeater
from advisor.core.kinds import Fuel
from advisor.core.tables import load
from advisor.heaters.rating import may_be_made
from advisor.money.candidate_costs import Later
from advisor.recommendation.kinds import is_eligible, is_smaller

_DAYS_PER_YR = 365.25


def barred_from(one: CheckedHeater, made_on: date) -> date | None:
    """The first day after this one on which the heater may no longer be made; None where no such rule is known."""
    return next((day for day in _days() if day > made_on and not may_be_made(one.heater, day)[0]), None)


@cache
def _days() -> tuple[date, ...]:
    """The days on which a federal floor begins."""
    return tuple(sorted({day for day in load("minimum_ratings")["effective_from"] if day is not None}))


def with_successors(checked: Sequence[CheckedHeater], made_on: date) -> list[CheckedHeater]:
    """Every heater with what is bought again in its place from a day on.

    Parameters
    ----------
    checked : sequence of CheckedHeater
        All that are compared.
    made_on : date
        When the heater of today is made.
    """
    return [replace(one, costs=replace(one.costs, later=later_of(one, checked, made_on))) for one in checked]


def later_of(one: CheckedHeater, checked: Sequence[CheckedHeater], made_on: date) -> Later | None:
    """The like heater, else the first to put in of its fuel on its circuit, no smaller, that may still be made then."""
    from_day = barred_from(one, made_on)
    if from_day is None:
        return None
    heater = one.heater
    able = [
        other
        for other in checked
        if other.heater.fuel == heater.fuel
        and other.heater.is_storage == heater.is_storage
        and other.heater.n_units == heater.n_units
        and other.heater.circuit_v == heater.circuit_v
        and not other.heater.technology.is_boiler_heated
        and is_eligible(other)
        and not is_smaller(other, one)
        and may_be_made(other.heater, from_day)[0]
    ]
    like = [other for other in able if other.heater.technology == heater.technology]
    chosen = min(like or able, key=lambda other: other.costs.again_usd[1], default=None)
    if chosen is None:
        return None
    own = Fuel.all().index(heater.fuel)
    used, next_used = (float(other.costs.fuel_per_yr[own]) for other in (one, chosen))
    return Later(
        id=chosen.heater.id,
        from_day=from_day,
        from_yr=(from_day - made_on).days / _DAYS_PER_YR,
        again_usd=chosen.costs.again_usd,
        use_frac=next_used / used if used > 0 else 1.0,
    )
