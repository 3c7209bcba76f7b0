"""A candidate against the whole house: every trade's finding, one list of work, one verdict."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from advisor.case.base import Assumption
from advisor.circumstances import Circumstances
from advisor.core.errors import InputError
from advisor.core.findings import Finding, care, note, stop
from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK, HouseVerdict
from advisor.heaters.catalogue import Heater
from advisor.house.air.scope import check_air
from advisor.house.condensate.scope import check_condensate
from advisor.house.electrical.scope import check_power
from advisor.house.facts import HeaterUse, HouseFacts
from advisor.house.gas.scope import check_gas
from advisor.house.items import TradeCheck, Usd, WorkItem, base_item, item
from advisor.house.local_prices import local_prices
from advisor.house.rules.scope import check_rules
from advisor.house.space.scope import check_room
from advisor.house.vent.scope import check_vent
from advisor.house.water.loop_scope import check_loop
from advisor.house.water.scope import check_water


@dataclass(frozen=True)
class HouseCheck:
    """A candidate against the house.

    Parameters
    ----------
    verdict, why : str, tuple of Finding
        The gravest of the trades', and the reason.
    base, work : WorkItem, tuple of WorkItem
        The plain installation, and what this house adds to it.
    trades : tuple of TradeCheck
        What each trade found.
    cautions : tuple of str
        Ids in the table of cautions.
    assumed : tuple of Assumption
        What was taken for granted, each with the key of the case that changes it.
    """

    verdict: HouseVerdict
    why: tuple[Finding, ...]
    base: WorkItem
    work: tuple[WorkItem, ...]
    trades: tuple[TradeCheck, ...]
    cautions: tuple[str, ...]
    assumed: tuple[Assumption, ...]

    @property
    def installed_usd(self) -> Usd:
        """Low, expected and high price of everything, what nobody has looked at with its chance. [$]"""
        low, expected, high = zip(*(job.counted_usd for job in (self.base, *self.work)), strict=True)
        return sum(low), sum(expected), sum(high)

    @property
    def unseen(self) -> tuple[WorkItem, ...]:
        """Jobs that a look at the house will add or spare."""
        return tuple(job for job in self.work if job.chance_frac < 1)

    @property
    def two_prices_usd(self) -> tuple[float, float]:
        """Typical price if nothing of what nobody has looked at is needed, and if all of it is. [$]"""
        seen = sum(job.typical_usd for job in (self.base, *self.work) if job.chance_frac == 1)
        return seen, seen + sum(job.typical_usd for job in self.unseen)

    @property
    def asks_first(self) -> tuple[WorkItem, ...]:
        """Jobs without which it cannot run and whose price only the utility can say."""
        return tuple(job for job in self.work if job.asks_first)

    def trade(self, name: str) -> TradeCheck | None:
        """One trade's finding, or None where it has nothing to say."""
        return next((trade for trade in self.trades if trade.trade == name), None)


def check_house(heater: Heater, facts: HouseFacts, circumstances: Circumstances, use: HeaterUse) -> HouseCheck:
    """What the candidate needs against what the house has.

    Parameters
    ----------
    heater : Heater
        The candidate.
    facts : HouseFacts
        The house.
    circumstances : Circumstances
        What any heater meets in it.
    use : HeaterUse
        What the model says of the candidate there.
    """
    house = (heater, facts, circumstances)
    found = (
        _covered("gas", check_gas, *house),
        _covered("vent", check_vent, *house),
        _covered("air", check_air, *house),
        _covered("drain", check_condensate, *house, use),
        _covered("power", check_power, *house, use),
        _covered("water", check_water, *house),
        _covered("loop", check_loop, *house, use),
        _covered("room", check_room, *house, use),
        _covered("rules", check_rules, *house),
    )
    prices = local_prices(facts.case.price_list, circumstances.us_state)
    trades = tuple(prices.of_trade(trade) for trade in found if trade is not None)
    jobs = [job for trade in trades for job in trade.items]
    jobs.append(prices.of_job(item("permit", note("work.why.permit"))))
    if any(job.is_electrical for job in jobs):
        jobs.append(prices.of_job(item("permit-electrical", note("work.why.permit_electrical"))))
    verdict, why = _verdict(trades, jobs)
    cautions = tuple(dict.fromkeys(caution for trade in trades for caution in trade.cautions))
    assumed = tuple(dict.fromkeys(one for trade in trades for one in trade.assumed))
    return HouseCheck(verdict, why, prices.of_job(base_item(heater)), tuple(jobs), trades, cautions, assumed)


def _covered(trade: str, check: Callable[..., TradeCheck | None], *house: Any) -> TradeCheck | None:
    """What a trade found; where it cannot follow, that is its finding for this heater, and not the end of all."""
    try:
        return check(*house)
    except InputError as error:
        return TradeCheck(trade, (stop("work.beyond", key=error.field),))


def _verdict(trades: tuple[TradeCheck, ...], jobs: list[WorkItem]) -> tuple[HouseVerdict, tuple[Finding, ...]]:
    blocked = next((trade for trade in trades if trade.verdict == DOES_NOT_FIT), None)
    if blocked is not None:
        return DOES_NOT_FIT, blocked.findings
    if all(trade.verdict == FITS for trade in trades):
        return FITS, (note("work.plain_swap"),)
    work = [job for job in jobs if not job.is_usual]
    if not work:
        return NEEDS_WORK, next(trade.findings for trade in trades if trade.verdict == NEEDS_WORK)
    largest = max(work, key=lambda job: job.typical_usd)
    return NEEDS_WORK, (care("work.more_jobs", n=len(work), largest=largest.what),)
