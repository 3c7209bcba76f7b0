"""One heater in this house: what it uses, gives and needs, and what it costs."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from advisor.core.findings import Finding
from advisor.core.tables import least_sure
from advisor.core.working import Working
from advisor.heaters.annual_energy import Energy, parameters_of
from advisor.heaters.catalogue import Heater
from advisor.heaters.hand_sizing import Capacity
from advisor.heaters.in_homes import in_homes_working
from advisor.heaters.regional_rules import Sale
from advisor.house.facts import HeaterUse
from advisor.house.lead_time import LeadTime
from advisor.house.local_prices import LISTED
from advisor.house.work import HouseCheck
from advisor.money.candidate_costs import CandidateCosts
from advisor.money.results import CandidateMoney
from advisor.money.running_cost import RunningCost

#: State of a price that somebody offered.
QUOTED = "quoted"


def least_sure_price(states: Iterable[str]) -> str:
    """The state that vouches for least; what the household was told or wrote down counts as sure."""
    told = tuple(states)
    return least_sure([state for state in told if state not in (QUOTED, LISTED)] or told)


@dataclass(frozen=True)
class CheckedHeater:
    """A heater checked against this house, before it is set beside the others.

    Parameters
    ----------
    heater : Heater
        Label.
    energy : Energy
        The two-parameter model's year, by month: as the label alone has it.
    in_homes : Energy
        What such heaters take in homes: every figure that is told rests on it.
    label_energy : Working
        The label's own figure, at its draw pattern. [Btu/yr]
    in_place : tuple or None
        Energy in Btu/yr if it misses its rating as its class did in homes, and the measurement.
    running_cost : RunningCost
        A year's money and carbon dioxide, as in homes.
    cost_as_labelled : callable
        The same as the label alone has it.
    capacity : Capacity
        Whether it keeps up.
    house : HouseCheck
        Whether it fits, and the work.
    lead_time : LeadTime
        How soon it could give hot water.
    use : HeaterUse
        What the trades were told of it.
    quote_usd : float or None
        A price somebody offered, all work included. [$]
    costs : CandidateCosts
        What it costs to put in, to fuel and to look after, and how long it lasts.
    flags : tuple of Finding
        What is wrong with the label, and whether it may still be made or sold here.
    sale : Sale
        What the rules of the state or the air district say of it.
    """

    heater: Heater
    energy: Energy
    in_homes: Energy
    label_energy: Working
    in_place: tuple[float, Finding] | None
    running_cost: RunningCost
    cost_as_labelled: Callable[[], RunningCost]
    capacity: Capacity
    house: HouseCheck
    lead_time: LeadTime
    use: HeaterUse
    quote_usd: float | None
    costs: CandidateCosts
    flags: tuple[Finding, ...]
    sale: Sale

    @property
    def installed_usd(self) -> tuple[float, float, float]:
        """Low, typical and high installed price (10, 50 and 90 in a hundred); a quote replaces all three. [$]"""
        return self.costs.installed_usd

    @property
    def price_state(self) -> str:
        """How far the least certain part of its installed price was checked; a quote is a price."""
        if self.quote_usd is not None:
            return QUOTED
        return least_sure_price(job.state for job in (self.house.base, *self.house.work))

    @property
    def money_state(self) -> str:
        """The same of all its money: upkeep and life too."""
        return least_sure_price((self.price_state, self.costs.upkeep.state, self.costs.life.state))

    @property
    def workings(self) -> tuple[Working, ...]:
        """How each number was made: the label's, the model's, the hand method's, the year's money."""
        model = parameters_of(self.heater).workings
        energy = (self.energy.working, in_homes_working(self.heater, self.energy))
        return (self.label_energy, *model, *energy, *self.capacity.workings, *self.running_cost.workings)

    @property
    def work_usd(self) -> float:
        """Part of the typical price that is work on the house; a quote is taken to be made up as the table's is. [$]"""
        work = sum(job.counted_usd[1] for job in self.house.work)
        return work / (work + self.house.base.typical_usd) * self.costs.installed_usd[1]


@dataclass(frozen=True)
class Candidate(CheckedHeater):
    """One heater in this house, and its money over the years beside the others'.

    Parameters
    ----------
    money : CandidateMoney
        Life-cycle cost with its likely range, payback, chance of being cheapest.
    """

    money: CandidateMoney

    @property
    def workings(self) -> tuple[Working, ...]:
        """Those too of the money over the years."""
        return (*super().workings, *self.money.workings)
