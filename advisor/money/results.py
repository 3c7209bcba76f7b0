"""Every candidate's money over the years, against the plain replacement: the point at once, the draws when needed.

The point is one pass over plain arrays and runs in every comparison. The Monte Carlo draws the household some
thousand times and is worked out when somebody first reads what needs it. Whoever falls short, does not fit or may not
be made is costed like the others but can neither be the cheapest nor count among the chances: those are shared out
among the eligible.

One treatment of efficiency for all: what such heaters take in homes (``heaters.in_homes``), in the cost of a year as
over the years. Lives are those of the table ``lifetimes``, the only ones there are.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from advisor.case.money import Economics
from advisor.case.record import Assumption, Case
from advisor.core import tables
from advisor.core.arrays import Bools, Floats
from advisor.core.findings import note
from advisor.core.kinds import Fuel
from advisor.core.working import Working, worked
from advisor.money.candidate_costs import CandidateCosts
from advisor.money.chance import Range, band
from advisor.money.cost_arrays import CostArrays, Market, point, use_sigma
from advisor.money.escalation import division_of, index_frac, outlook_ends
from advisor.money.life_cycle import Measured, Option, Payback, Terms, heater_flows, measure, payback, yearly_flow
from advisor.money.monte_carlo import SEED, Simulation, simulate, yearly_bill_band_usd
from advisor.physics.present_value import uniform_present_value_yr

#: Versions of the household that are drawn. Percentiles hold to 1 or 2 % whatever the seed (tested).
DRAWS = 4_000


@dataclass(frozen=True)
class Band:
    """A figure with its likely range: one in ten is below ``p10``, nine in ten below ``p90``; ``point`` takes every
    input at its typical value."""

    p10: float
    p50: float
    p90: float
    point: float


@dataclass(frozen=True, eq=False)
class CandidateMoney:
    """One candidate's money over the years.

    What needs no draws (``point_usd``, ``installed_usd``, ``measured``) is there at once; the rest draws the household
    when it is first read.

    Parameters
    ----------
    results : MoneyResults
        All candidates' money, of which this is one.
    row : int
        Its row there.
    """

    results: MoneyResults = field(repr=False)
    row: int

    @property
    def costs(self) -> CandidateCosts:
        """What goes in: prices, yearly use, upkeep, life."""
        return self.results.costs[self.row]

    @property
    def is_eligible(self) -> bool:
        """It keeps up, fits and may be made."""
        return bool(self.results.eligible[self.row])

    @property
    def is_baseline(self) -> bool:
        """The others are measured against it."""
        return self.row == self.results.baseline.row

    @property
    def point_usd(self) -> float:
        """Life-cycle cost with every input typical. [$]"""
        return float(self.results.point_usd[self.row])

    @property
    def installed_usd(self) -> Band:
        """To put in, the work included, rebates taken off. [$]"""
        low, middle, high = (max(usd - self.rebate_usd, 0.0) for usd in self.costs.installed_usd)
        return Band(low, middle, high, middle)

    @cached_property
    def running_usd_per_yr(self) -> Range:
        """A year's energy and accounts at 10, 50 and 90 in a hundred homes like this one. [$/yr]"""
        alone, market = self.results.arrays.pick([self.row]), self.results.market
        low, middle, high = yearly_bill_band_usd(alone, market, draws=self.results.draws)[:, 0].tolist()
        return low, middle, high

    @property
    def upkeep_usd_per_yr(self) -> float:
        """Typical upkeep. [$/yr]"""
        return self.costs.upkeep.typical_usd_per_yr

    @property
    def rebate_usd(self) -> float:
        """Rebates taken off the price. [$]"""
        return self.costs.rebate_usd

    @property
    def life_yr(self) -> float:
        """Mean life. [yr]"""
        return self.costs.life.mean_yr

    @cached_property
    def option(self) -> Option:
        """Every cost and every return over the study, every input typical."""
        costs, market, terms, later = self.costs, self.results.market, self.results.terms, self.costs.later
        flows = list(
            heater_flows(
                terms,
                heater_usd=costs.heater_usd[1],
                life_yr=costs.life.mean_yr,
                replacement_usd=costs.again_usd[1],
                later_usd=later.again_usd[1] if later else costs.again_usd[1],
                later_from_yr=later.from_yr if later else np.inf,
                work_usd=costs.work_usd[1],
                rebate_usd=costs.rebate_usd,
            )
        )
        bought = [at for flow in flows if flow.kind == "replacement" for at in flow.at_yr]
        since_yr = next((at for at in bought if later and at >= later.from_yr), np.inf)
        use = 1 + ((later.use_frac if later else 1.0) - 1) * np.clip(terms.years - since_yr, 0.0, 1.0)
        prices = zip(Fuel.all(), costs.fuel_per_yr, market.price_usd_per_unit, market.index_frac, strict=True)
        for fuel, units, price, index in prices:
            if units:
                flows.append(yearly_flow(fuel.title, "energy", units * price, terms, index * use))
        flows.append(yearly_flow("upkeep", "upkeep", costs.upkeep.typical_usd_per_yr, terms))
        if costs.account_usd_per_yr:
            flows.append(yearly_flow("accounts begun or ended", "account", costs.account_usd_per_yr, terms))
        return Option(costs.id, tuple(flows))

    @cached_property
    def measured(self) -> Measured:
        """Against the baseline: net saving, payback, savings ratio."""
        return measure(self.option, self.results.baseline.option, self.results.terms)

    def payback_against(self, other: CandidateMoney) -> Payback:
        """When its extra price over another has come back."""
        return payback(self.option, other.option, self.results.terms)

    @property
    def life_cycle_cost_usd(self) -> Band:
        """Everything over the study in today's worth. [$]"""
        low, middle, high = (float(usd) for usd in self.results.bands_usd[:, self.row])
        return Band(low, middle, high, self.point_usd)

    @property
    def level(self) -> Working:
        """Years of a level amount that are worth as much as everything over the study. [yr]"""
        terms = self.results.terms
        return worked(
            note("working.level"),
            uniform_present_value_yr,
            discount_frac=terms.discount_frac,
            study_yr=terms.study_yr,
        )

    @property
    def workings(self) -> tuple[Working, ...]:
        """Of what is quoted besides sums: the level amount, the savings ratio, the return, the simple payback."""
        return (self.level, *self.measured.workings)

    @property
    def annualised_usd(self) -> Band:
        """The level yearly amount of the same worth. [$/yr]"""
        whole = self.life_cycle_cost_usd
        return Band(*(usd / self.level.result for usd in (whole.p10, whole.p50, whole.p90, whole.point)))

    @property
    def chance_saves_frac(self) -> float:
        """Share of versions in which it costs less than the baseline. [-]"""
        return self.results.simulation.chance_saves_frac(self.row, self.results.baseline.row)

    def chance_none_cheaper_frac(self, others: Sequence[CandidateMoney]) -> float:
        """Share of versions in which none of the others costs less. [-]"""
        return self.results.chance_none_cheaper_frac(self.row, [other.row for other in others])

    def chance_cheaper_frac(self, other: CandidateMoney) -> float:
        """Share of versions in which it costs less than another. [-]"""
        return 1.0 - other.chance_none_cheaper_frac([self])


@dataclass(frozen=True, eq=False)
class MoneyResults:
    """All candidates' money over the years, one row a candidate.

    Parameters
    ----------
    costs : tuple of CandidateCosts
        What goes in, in the comparison's order.
    arrays, market : CostArrays, Market
        The same as plain arrays, and what all share.
    eligible : ndarray of bool
        Who may be chosen.
    baseline_id : str
        The plain replacement that the others are measured against.
    course, division : str
        Course of prices that is used, and the census division of the federal price outlook.
    base_year : int
        Year of today's prices.
    point_usd : ndarray
        Life-cycle cost with every input typical. [$]
    draws : int
        Versions of the household in the Monte Carlo.
    """

    costs: tuple[CandidateCosts, ...]
    arrays: CostArrays
    market: Market
    eligible: Bools
    baseline_id: str
    course: str
    division: str
    base_year: int
    point_usd: Floats
    draws: int = DRAWS

    def of(self, heater_id: str) -> CandidateMoney:
        """One candidate's."""
        return self._by_id[heater_id]

    @cached_property
    def _by_id(self) -> dict[str, CandidateMoney]:
        return {heater_id: CandidateMoney(self, row) for row, heater_id in enumerate(self.arrays.ids)}

    @property
    def baseline(self) -> CandidateMoney:
        """What the others are measured against."""
        return self.of(self.baseline_id)

    @property
    def terms(self) -> Terms:
        """Study period and discount rate."""
        return self.market.terms

    @cached_property
    def simulation(self) -> Simulation:
        """Every candidate in every version of the household; worked out once, when first asked for."""
        return simulate(self.arrays, self.market, draws=self.draws, seed=SEED)

    @cached_property
    def bands_usd(self) -> Floats:
        """Life-cycle cost at 10, 50 and 90 in a hundred, (3, n). [$]"""
        return band(self.simulation.total_usd)

    def chance_none_cheaper_frac(self, one: int, others: Sequence[int]) -> float:
        """Share of versions in which none of the others costs less. [-]"""
        drawn, rows = self._drawn([one, *others])
        return drawn.chance_none_cheaper_frac(rows[0], rows[1:])

    def chances_cheapest_frac(self, rows: Sequence[int]) -> Floats:
        """Share of versions in which each of these candidates costs least of them. [-]"""
        drawn, drawn_rows = self._drawn(rows)
        return drawn.chances_cheapest_frac(drawn_rows)

    def _drawn(self, rows: Sequence[int]) -> tuple[Simulation, Sequence[int]]:
        """A simulation that holds these rows, and where; only they are drawn, if none was yet."""
        if "simulation" in vars(self):
            return self.simulation, rows
        few = simulate(self.arrays.pick(rows), self.market, draws=self.draws, seed=SEED)
        return few, range(len(rows))

    def offered_usd(self, heater_id: str, price_usd: float) -> float:
        """A candidate's life-cycle cost if all of it were put in for a price that somebody offers. [$]

        Heater and work share the price as they share the candidate's own; a later heater costs what it cost before.
        """
        row = self.of(heater_id).row
        alone = self.arrays.pick([row])
        heater_usd, work_usd = (usd[:, 1].sum() for usd in (alone.heater_usd, alone.work_usd))
        whole_usd = heater_usd + work_usd
        heater = heater_usd / whole_usd * price_usd if whole_usd else price_usd
        priced = replace(
            alone,
            heater_usd=np.full((1, 3), heater),
            work_usd=np.full((1, 3), price_usd - heater),
            rebate_usd=np.minimum(alone.rebate_usd, price_usd),
        )
        return float(point(priced, self.market)[0][0])

    def with_course(self, course: str) -> MoneyResults:
        """The same with another course of prices."""
        index = index_frac(course, self.division, self.base_year, self.terms.study_yr)
        market = replace(self.market, index_frac=index)
        return replace(self, market=market, course=course, point_usd=point(self.arrays, market)[0])


def money_over_the_years(
    costs: Sequence[CandidateCosts],
    *,
    eligible: Sequence[bool],
    like_for_like_id: str | None,
    economics: Economics,
    usd_per_unit: Mapping[Fuel, float],
    averages: Sequence[Fuel],
    us_state: str,
    base_year: int,
    use_known_by: str,
) -> MoneyResults:
    """Cost all candidates over the study.

    Parameters
    ----------
    costs : sequence of CandidateCosts
        Of every candidate.
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
        Two letters, for the federal price outlook.
    base_year : int
        Year of today's prices.
    use_known_by : str
        What the hot water rests on, a row of the table ``spreads``: ``people_known``, ``measured`` ...

    Raises
    ------
    OutOfRangeError
        The federal price outlook was asked for and says nothing of these years.
    """
    terms = Terms(economics.study_yr, economics.discount_frac)
    division, course = division_of(us_state), course_of(economics, base_year)
    level = _average_price_sigma()
    market = Market(
        price_usd_per_unit=np.array([usd_per_unit[fuel] for fuel in Fuel.all()]),
        index_frac=index_frac(course, division, base_year, terms.study_yr),
        terms=terms,
        use_sigma=use_sigma(use_known_by),
        level_sigma=np.array([level if fuel in averages else 0.0 for fuel in Fuel.all()]),
    )
    arrays = _arrays(costs)
    return MoneyResults(
        costs=tuple(costs),
        arrays=arrays,
        market=market,
        eligible=np.array(eligible, dtype=bool),
        baseline_id=baseline_id(costs, eligible, like_for_like_id),
        course=course,
        division=division,
        base_year=base_year,
        point_usd=point(arrays, market)[0],
    )


def course_of(economics: Economics, base_year: int) -> str:
    """The course of prices; level prices where nobody asked for the outlook and it says nothing of these years."""
    if "price_course" in economics.model_fields_set or outlook_ends(base_year) is not None:
        return economics.price_course
    return "flat"


def _average_price_sigma() -> float:
    table = tables.load("spreads")
    return float(table["typical_dimensionless"][np.flatnonzero(table["applies_to"] == "average_price")[0]])


def _arrays(costs: Sequence[CandidateCosts]) -> CostArrays:
    return CostArrays(
        ids=tuple(one.id for one in costs),
        technologies=tuple(one.technology for one in costs),
        fuel_per_yr=np.array([one.fuel_per_yr for one in costs]),
        heater_usd=np.array([one.heater_usd for one in costs]),
        again_usd=np.array([one.again_usd for one in costs]),
        law_yr=np.array([one.later.from_yr if one.later else np.inf for one in costs]),
        later_usd=np.array([(one.later or one).again_usd for one in costs]),
        later_use_frac=np.array([one.later.use_frac if one.later else 1.0 for one in costs]),
        work_usd=np.array([one.work_usd for one in costs]),
        upkeep_usd_per_yr=np.array([one.upkeep.range_usd_per_yr for one in costs]),
        life_mean_yr=np.array([one.life.mean_yr for one in costs]),
        life_shape=np.array([one.life.shape_dimensionless for one in costs]),
        rebate_usd=np.array([one.rebate_usd for one in costs]),
        account_usd_per_yr=np.array([one.account_usd_per_yr for one in costs]),
        standby_frac=np.array([one.standby_frac for one in costs]),
    )


def baseline_id(costs: Sequence[CandidateCosts], eligible: Sequence[bool], like_for_like_id: str | None) -> str:
    """What the others are measured against: the cheapest legal like-for-like.

    The plain replacement where it is eligible; else the eligible candidate of its kind, of its fuel, or of any,
    that is cheapest to put in; where nothing is eligible the plain replacement all the same.
    """
    able = [one for one, may in zip(costs, eligible, strict=True) if may]
    same = next((one for one in costs if one.id == like_for_like_id), None)
    if same is not None and (same in able or not able):
        return same.id
    if not able:
        return costs[0].id
    if same is not None:
        of_fuel = [one for one in able if one.fuel == same.fuel]
        of_kind = [one for one in of_fuel if one.technology == same.technology]
        able = of_kind or of_fuel or able
    return min(able, key=lambda one: one.installed_usd[1] - one.rebate_usd).id


def assumptions(case: Case, money: MoneyResults) -> tuple[Assumption, ...]:
    """What the money over the years takes for granted besides the keys of ``economics``."""
    found = []
    if money.course != case.economics.price_course:
        found.append(Assumption("economics.price_course", money.course, note("assumed.level_prices")))
    last = outlook_ends(money.base_year)
    if money.course == "outlook" and last is not None and money.base_year + money.terms.study_yr > last:
        found.append(Assumption("economics.price_course", money.course, note("assumed.outlook_ends", year=str(last))))
    if not case.rebates:
        found.append(Assumption("rebates", "none", note("assumed.rebates")))
    return tuple(found)
