"""Every candidate's money over the years, point and spread, against the plain replacement.

The point is one pass over plain arrays and runs in every comparison. The spread draws the household some
thousand times and is worked out when somebody first asks for it. Whoever falls short, does not fit or may not be
made is costed like the others but can neither be the cheapest nor count among the chances: those are shared out
among the eligible.

One treatment of efficiency for all: the yearly running cost that is quoted is the two-parameter model's, as on
the label's terms; the money over the years takes what heaters of the kind take in homes beyond that
(``bids.field_gap_dimensionless``). Lives are those of the table ``lifetimes``, the only ones there are.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from advisor.case.money import Economics
from advisor.core import tables
from advisor.core.kinds import Fuel
from advisor.money.candidate_costs import Bid
from advisor.money.chance import band
from advisor.money.escalation import division_of, index_frac, outlook_reaches
from advisor.money.life_cycle import Measured, Option, Payback, Terms, heater_flows, measure, payback, yearly_flow
from advisor.money.monte_carlo import SEED, Candidates, Market, Spread, point, simulate, use_sigma
from advisor.physics.present_value import uniform_present_value_yr

#: Versions of the household that are drawn. Percentiles hold to 1 or 2 % whatever the seed (tested).
DRAWS = 4_000


@dataclass(frozen=True)
class Band:
    """A figure with its spread: one in ten is below ``p10``, nine in ten below ``p90``; ``point`` takes every
    input at its typical value."""

    p10: float
    p50: float
    p90: float
    point: float


@dataclass(frozen=True)
class Money:
    """One candidate's money.

    Parameters
    ----------
    installed_usd : Band
        To put in, the work included, rebates taken off. [$]
    life_cycle_cost_usd, annualised_usd : Band
        Everything over the study in today's worth, and the level yearly amount of it. [$], [$/yr]
    chance_cheapest_frac : float
        Share of versions in which it costs least of all eligible candidates; 0 where it is not eligible. [-]
    is_eligible : bool
        It keeps up, fits and may be made.
    measured : Measured
        Against the plain replacement: net saving, payback, savings ratio.
    chance_saves_frac : float
        Share of versions in which it costs less than the plain replacement. [-]
    upkeep_usd_per_yr, rebate_usd : float
        Typical upkeep; rebates taken off. [$/yr], [$]
    life_yr : float
        Mean life. [yr]
    """

    installed_usd: Band
    life_cycle_cost_usd: Band
    annualised_usd: Band
    chance_cheapest_frac: float
    is_eligible: bool
    measured: Measured
    chance_saves_frac: float
    upkeep_usd_per_yr: float
    rebate_usd: float
    life_yr: float


@dataclass(frozen=True)
class Outlook:
    """All candidates' money.

    Parameters
    ----------
    bids : tuple of Bid
        In the comparison's order.
    candidates, market : Candidates, Market
        The same as plain arrays.
    eligible : tuple of bool
        Who may be chosen.
    baseline : int
        Place of the plain replacement that the others are measured against.
    course, division : str
        Course of prices that is used, and the census division of the outlook.
    base_year : int
        Year of today's prices.
    point_usd : ndarray
        Life-cycle cost with every input typical. [$]
    draws : int
        Versions of the household in the spread.
    """

    bids: tuple[Bid, ...]
    candidates: Candidates
    market: Market
    eligible: tuple[bool, ...]
    baseline: int
    course: str
    division: str
    base_year: int
    point_usd: np.ndarray = field(compare=False)
    draws: int = DRAWS

    def place(self, bid_id: str) -> int:
        """Place of a candidate in the list."""
        return self.candidates.names.index(bid_id)

    @property
    def terms(self) -> Terms:
        """Study period and discount rate."""
        return self.market.terms

    @cached_property
    def eligible_places(self) -> list[int]:
        """Places of those that may be chosen."""
        return [place for place, may in enumerate(self.eligible) if may]

    @cached_property
    def spread(self) -> Spread:
        """Every candidate in every version of the household; worked out once, when first asked for."""
        return simulate(self.candidates, self.market, baseline=self.baseline, draws=self.draws, seed=SEED)

    @cached_property
    def chance_cheapest_frac(self) -> np.ndarray:
        """Share of versions in which each eligible candidate costs least of them. [-]"""
        chance = np.zeros(len(self.bids))
        if self.eligible_places:
            winners = np.argmin(self.spread.total_usd[:, self.eligible_places], axis=1)
            chance[self.eligible_places] = np.bincount(winners, minlength=len(self.eligible_places)) / self.draws
        return chance

    def chance_none_cheaper_frac(self, one: int, others: Sequence[int]) -> float:
        """Share of versions in which none of the others costs less than one: the same versions as in ``spread``. [-]"""
        places = [one, *others]
        if "spread" in vars(self):
            total = self.spread.total_usd[:, places]
        else:
            total = simulate(self.candidates.pick(places), self.market, draws=self.draws, seed=SEED).total_usd
        return float((total[:, 0] <= total[:, 1:].min(axis=1, initial=np.inf)).mean())

    def chance_cheaper_frac(self, one: int, other: int) -> float:
        """Share of versions in which one candidate costs less than another. [-]"""
        return 1.0 - self.chance_none_cheaper_frac(other, [one])

    def option(self, place: int) -> Option:
        """A candidate's flows with every input typical."""
        bid, terms = self.bids[place], self.terms
        flows = list(
            heater_flows(
                terms,
                heater_usd=bid.heater_usd[1],
                life_yr=bid.life.mean_yr,
                replacement_usd=bid.again_usd[1],
                work_usd=bid.work_usd[1],
                rebate_usd=bid.rebate_usd,
            )
        )
        prices = zip(Fuel.all(), bid.fuel_per_yr, self.market.price_usd_per_unit, self.market.index_frac, strict=True)
        for fuel, units, price, index in prices:
            if units:
                flows.append(yearly_flow(fuel.title, "energy", units * price, terms, index))
        flows.append(yearly_flow("upkeep", "upkeep", bid.upkeep.typical_usd_per_yr, terms))
        if bid.account_usd_per_yr:
            flows.append(yearly_flow("accounts begun or ended", "account", bid.account_usd_per_yr, terms))
        return Option(bid.id, tuple(flows), place == self.baseline)

    def payback(self, place: int, against: int) -> Payback:
        """When a candidate's extra price over another has come back."""
        return payback(self.option(place), self.option(against), self.terms)

    def money(self, place: int) -> Money:
        """One candidate's money, spread and all."""
        bid, level_yr = self.bids[place], float(uniform_present_value_yr(self.terms.discount_frac, self.terms.study_yr))
        low, middle, high = (max(usd - bid.rebate_usd, 0.0) for usd in bid.installed_usd)
        ends = [float(end) for end in self._bands_usd[:, place]]
        total = Band(ends[0], ends[1], ends[2], float(self.point_usd[place]))
        return Money(
            installed_usd=Band(low, middle, high, middle),
            life_cycle_cost_usd=total,
            annualised_usd=Band(*(usd / level_yr for usd in (total.p10, total.p50, total.p90, total.point))),
            chance_cheapest_frac=float(self.chance_cheapest_frac[place]),
            is_eligible=self.eligible[place],
            measured=measure(self.option(place), self.option(self.baseline), self.terms),
            chance_saves_frac=float((self.spread.saving_usd[:, place] > 0).mean()),
            upkeep_usd_per_yr=bid.upkeep.typical_usd_per_yr,
            rebate_usd=bid.rebate_usd,
            life_yr=bid.life.mean_yr,
        )

    @cached_property
    def _bands_usd(self) -> np.ndarray:
        return band(self.spread.total_usd)

    def with_course(self, course: str) -> Outlook:
        """The same with another course of prices."""
        index = index_frac(course, self.division, self.base_year, self.terms.study_yr)
        market = replace(self.market, index_frac=index)
        return replace(self, market=market, course=course, point_usd=point(self.candidates, market)[0])


def outlook_of(
    bids: Sequence[Bid],
    *,
    eligible: Sequence[bool],
    like_for_like_id: str | None,
    economics: Economics,
    usd_per_unit: Mapping[Fuel, float],
    averages: Sequence[Fuel],
    us_state: str,
    base_year: int,
) -> Outlook:
    """Cost all candidates over the study.

    Parameters
    ----------
    bids : sequence of Bid
        The candidates.
    eligible : sequence of bool
        Who keeps up, fits and may be made.
    like_for_like_id : str or None
        The plain replacement of what failed.
    economics : Economics
        Study period, discount rate and course of prices.
    usd_per_unit : dict
        Today's price by fuel. [$/unit]
    averages : sequence of Fuel
        Fuels whose price is a state's average and not the household's own.
    us_state : str
        Two letters, for the outlook.
    base_year : int
        Year of today's prices.

    Raises
    ------
    OutOfRangeError
        The outlook was asked for and ends before the study does.
    """
    terms = Terms(economics.study_yr, economics.discount_frac)
    division, course = division_of(us_state), course_of(economics, base_year)
    level = _average_price_sigma()
    market = Market(
        price_usd_per_unit=np.array([usd_per_unit[fuel] for fuel in Fuel.all()]),
        index_frac=index_frac(course, division, base_year, terms.study_yr),
        terms=terms,
        use_sigma=use_sigma(people_known=True),
        level_sigma=np.array([level if fuel in averages else 0.0 for fuel in Fuel.all()]),
    )
    candidates = _arrays(bids)
    return Outlook(
        tuple(bids),
        candidates,
        market,
        tuple(eligible),
        baseline_place(bids, eligible, like_for_like_id),
        course,
        division,
        base_year,
        point(candidates, market)[0],
    )


def course_of(economics: Economics, base_year: int) -> str:
    """The course of prices; level prices where nobody asked for the outlook and it does not reach far enough."""
    if "price_course" in economics.model_fields_set or outlook_reaches(base_year, economics.study_yr):
        return economics.price_course
    return "flat"


def _average_price_sigma() -> float:
    table = tables.load("spreads")
    return float(table["typical_dimensionless"][np.flatnonzero(table["applies_to"] == "average_price")[0]])


def _arrays(bids: Sequence[Bid]) -> Candidates:
    return Candidates(
        names=tuple(bid.id for bid in bids),
        technologies=tuple(bid.technology for bid in bids),
        fuel_per_yr=np.array([bid.fuel_per_yr for bid in bids]),
        heater_usd=np.array([bid.heater_usd for bid in bids]),
        again_usd=np.array([bid.again_usd for bid in bids]),
        work_usd=np.array([bid.work_usd for bid in bids]),
        upkeep_usd_per_yr=np.array([bid.upkeep.range_usd_per_yr for bid in bids]),
        life_mean_yr=np.array([bid.life.mean_yr for bid in bids]),
        life_shape=np.array([bid.life.shape_dimensionless for bid in bids]),
        rebate_usd=np.array([bid.rebate_usd for bid in bids]),
        account_usd_per_yr=np.array([bid.account_usd_per_yr for bid in bids]),
        standby_frac=np.array([bid.standby_frac for bid in bids]),
    )


def baseline_place(bids: Sequence[Bid], eligible: Sequence[bool], like_for_like_id: str | None) -> int:
    """What the others are measured against: the cheapest legal like-for-like.

    The plain replacement where it is eligible; else the eligible candidate of its kind, of its fuel, or of any,
    that is cheapest to put in; where nothing is eligible the plain replacement all the same.
    """
    places = {bid.id: place for place, bid in enumerate(bids)}
    same = places.get(like_for_like_id) if like_for_like_id else None
    if same is not None and eligible[same]:
        return same
    able = [place for place in range(len(bids)) if eligible[place]]
    if same is not None:
        of_fuel = [place for place in able if bids[place].fuel == bids[same].fuel]
        of_kind = [place for place in of_fuel if bids[place].technology == bids[same].technology]
        able = of_kind or of_fuel or able
    if not able:
        return same or 0
    return min(able, key=lambda place: bids[place].installed_usd[1] - bids[place].rebate_usd)
