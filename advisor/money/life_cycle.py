"""Money over the years: life-cycle cost, and when an extra outlay comes back.

The method is the one in NIST Handbook 135 and 10 CFR 436 subpart A. Flows are in dollars of today's worth and
the discount rate is real, that is, above inflation; a nominal rate is turned into a real one first, so that
the two are never mixed. A yearly flow falls at the end of its year.
The failed heater is gone: what an option is measured against is the cheapest legal like-for-like replacement,
not doing nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from advisor.core.arrays import Floats, Ints, Numbers
from advisor.core.errors import InputError
from advisor.core.findings import note
from advisor.core.working import Working, worked
from advisor.physics.present_value import (
    adjusted_return_frac,
    indexed_present_value_yr,
    residual_usd,
    savings_to_investment_dimensionless,
    simple_payback_yr,
    single_present_value_frac,
    uniform_present_value_yr,
)

#: Kinds of flow. The first four are the investment; the rest is what it costs to run.
INVESTMENT = ("purchase", "incentive", "replacement", "residual")
OPERATION = ("energy", "upkeep", "account", "other")
KINDS = (*INVESTMENT, *OPERATION)


@dataclass(frozen=True)
class Terms:
    """How money is weighed over time, within the limits of ``case.money.Economics``.

    Parameters
    ----------
    study_yr : int
        Study period, the same for every option. [yr]
    discount_frac : float
        Real discount rate. 3 % is the rate of the federal energy programmes for 2023 to 2025. [-]
    """

    study_yr: int
    discount_frac: float

    @property
    def years(self) -> Ints:
        """1 to the end of the study. [yr]"""
        return np.arange(1, self.study_yr + 1)

    def present_value_yr(self, index_frac: Numbers = 1.0) -> Numbers:
        """Today's worth of a yearly cost of a dollar at today's prices that follows an index. [yr]"""
        index = np.asarray(index_frac, dtype=float)
        if index.ndim == 0:
            index = np.full(self.study_yr, float(index))
        if index.shape[-1] != self.study_yr:
            reason = "{study_yr} years are needed"
            raise InputError("index_frac", index.shape[-1], reason, "match the study", study_yr=self.study_yr)
        return indexed_present_value_yr(self.discount_frac, index)

    def weight_frac(self, at_yr: Numbers) -> Numbers:
        """Today's worth of a dollar at a time."""
        return single_present_value_frac(self.discount_frac, np.asarray(at_yr, dtype=float))


@dataclass(frozen=True)
class CashFlow:
    """One line of an option's account.

    Parameters
    ----------
    label : str
        For the reader.
    kind : str
        One of ``KINDS``.
    at_yr : tuple of float
        When each amount falls; 0 is today. [yr]
    amount_usd : tuple of float
        Costs are positive, what comes back is negative; in today's dollars. [$]
    """

    label: str
    kind: str
    at_yr: tuple[float, ...]
    amount_usd: tuple[float, ...]

    def __post_init__(self) -> None:
        if self.kind not in KINDS or len(self.at_yr) != len(self.amount_usd):
            raise ValueError(f"cash flow {self.label!r}: unknown kind, or times and amounts differ in number")
        if not all(math.isfinite(value) for value in (*self.at_yr, *self.amount_usd)):
            raise InputError(self.label, None, "an amount is missing or not finite", "give every amount")

    def present_usd(self, terms: Terms) -> float:
        """Today's worth. [$]"""
        return float(self.by_year_usd(terms, present=True).sum())

    def by_year_usd(self, terms: Terms, *, present: bool = False) -> Floats:
        """Amounts by year, 0 to the end of the study; a time inside a year counts at that year's end. [$]"""
        years, times = np.zeros(terms.study_yr + 1), np.array(self.at_yr)
        slots = np.ceil(times - 1e-9).astype(int)
        if ((slots < 0) | (slots > terms.study_yr)).any():
            raise InputError(self.label, self.at_yr, "a time lies outside the study", "leave it out")
        weight = terms.weight_frac(times) if present else 1.0
        np.add.at(years, slots, weight * np.array(self.amount_usd))
        return years


@dataclass(frozen=True)
class Option:
    """What one candidate costs over the study.

    Parameters
    ----------
    name : str
        Of the candidate.
    flows : tuple of CashFlow
        Every cost and every return.
    """

    name: str
    flows: tuple[CashFlow, ...]

    def outlay_usd(self) -> float:
        """What is paid at the start, incentives taken off where they come at once. [$]"""
        return sum(
            amount
            for flow in self.flows
            if flow.kind in INVESTMENT
            for at, amount in zip(flow.at_yr, flow.amount_usd, strict=True)
            if at == 0
        )


def yearly_flow(label: str, kind: str, cost_usd_per_yr: float, terms: Terms, index_frac: Numbers = 1.0) -> CashFlow:
    """A cost that comes every year, at today's prices, following an index.

    Parameters
    ----------
    label, kind : str
        As in ``CashFlow``.
    cost_usd_per_yr : float
        At today's prices. [$/yr]
    terms : Terms
        For the number of years.
    index_frac : float or array of one number a year
        Real price over today's price at the end of each year. [-]
    """
    amounts = cost_usd_per_yr * np.broadcast_to(np.asarray(index_frac, dtype=float), (terms.study_yr,))
    return CashFlow(label, kind, tuple(terms.years.tolist()), tuple(amounts.tolist()))


def heater_flows(
    terms: Terms,
    *,
    heater_usd: float,
    life_yr: float,
    replacement_usd: float,
    later_usd: float,
    later_from_yr: float,
    work_usd: float,
    rebate_usd: float,
) -> tuple[CashFlow, ...]:
    """Buying a heater, the work around it, buying it again when it fails, and what is left at the end.

    Parameters
    ----------
    terms : Terms
        Study period.
    heater_usd : float
        The heater put in, without one-off work. [$]
    life_yr : float
        Until it fails. [yr]
    replacement_usd : float
        A later heater put in. [$]
    later_usd, later_from_yr : float
        Another heater that has to be bought from a time on, as the law of that year asks; infinite for none.
        [$], [yr]
    work_usd : float
        One-off work on gas line, vent or wiring, not done again and worth nothing at the end. [$]
    rebate_usd : float
        Taken off at the start. [$]
    """
    end = float(terms.study_yr)
    bought = [step * life_yr for step in range(math.ceil((end - 1e-9) / life_yr))]
    pieces = [heater_usd, *(later_usd if at >= later_from_yr else replacement_usd for at in bought[1:])]
    left = float(residual_usd(pieces[-1], life_yr, end - bought[-1]))
    flows = [
        CashFlow("heater, put in", "purchase", (0.0,), (heater_usd,)),
        CashFlow("work around it", "purchase", (0.0,), (work_usd,)),
        CashFlow("incentives", "incentive", (0.0,), (-rebate_usd,)),
        CashFlow("next heater", "replacement", tuple(bought[1:]), tuple(pieces[1:])),
        CashFlow("value left at the end", "residual", (end,), (-left,)),
    ]
    return tuple(flow for flow in flows if any(flow.amount_usd))


@dataclass(frozen=True)
class LifeCycle:
    """The life-cycle cost of an option.

    Parameters
    ----------
    name : str
        Of the option.
    present_usd : dict
        Today's worth by kind of flow. [$]
    total_usd : float
        Life-cycle cost. [$]
    annualised_usd_per_yr : float
        The level yearly amount of the same worth. [$/yr]
    """

    name: str
    present_usd: dict[str, float]
    total_usd: float
    annualised_usd_per_yr: float

    def sum_usd(self, kinds: tuple[str, ...]) -> float:
        """Today's worth of some kinds together. [$]"""
        return sum(self.present_usd[kind] for kind in kinds)


def life_cycle(option: Option, terms: Terms) -> LifeCycle:
    """Add up an option's flows in today's worth (Handbook 135, equation 7-1)."""
    present = dict.fromkeys(KINDS, 0.0)
    for flow in option.flows:
        present[flow.kind] += flow.present_usd(terms)
    total = sum(present.values())
    level = total / float(uniform_present_value_yr(terms.discount_frac, terms.study_yr))
    return LifeCycle(option.name, present, total, level)


@dataclass(frozen=True)
class Payback:
    """When an extra outlay has come back.

    Parameters
    ----------
    state : str
        ``saves from day one`` (no dearer to buy or to run), ``pays back``, ``does not pay back``,
        ``cheaper to buy, dearer to run`` or ``no difference``.
    simple_yr : float or None
        Extra outlay over the first year's saving; None where it never comes back. [yr]
    discounted_yr : float or None
        First time that savings in today's worth cover the outlay, with a fraction inside the year; None where
        that does not happen within the study. [yr]
    holds : bool
        Once paid back it stays so to the end of the study: no later replacement undoes it.
    working : Working or None
        Of the simple payback.
    """

    state: str
    simple_yr: float | None
    discounted_yr: float | None
    holds: bool
    working: Working | None = None

    @property
    def whole_yr(self) -> int | None:
        """Whole years until an extra price has come back: 0 from the first day, None never. [yr]"""
        if self.discounted_yr is None or self.state == "cheaper to buy, dearer to run":
            return None
        return 0 if self.state == "saves from day one" else max(1, round(self.discounted_yr))


@dataclass(frozen=True)
class Measured:
    """An option measured against the baseline.

    Parameters
    ----------
    name, baseline : str
        Of the option and of what it is measured against.
    net_saving_usd : float
        Life-cycle cost of the baseline less that of the option. [$]
    extra_investment_usd : float
        Today's worth of purchase, incentives, replacements and residual, option less baseline. [$]
    operating_saving_usd : float
        Today's worth of energy, upkeep and the like, baseline less option. [$]
    savings_ratio : float or None
        Savings-to-investment ratio; None where nothing extra is invested. [-]
    return_frac : float or None
        Adjusted internal rate of return, real; None where it has no meaning. [-]
    payback : Payback
        Simple and discounted.
    workings : tuple of Working
        Of the ratio, the return and the simple payback, as far as they have a meaning.
    """

    name: str
    baseline: str
    net_saving_usd: float
    extra_investment_usd: float
    operating_saving_usd: float
    savings_ratio: float | None
    return_frac: float | None
    payback: Payback
    workings: tuple[Working, ...]


def measure(option: Option, baseline: Option, terms: Terms) -> Measured:
    """Measure an option against the baseline over the same study period.

    Mutually exclusive options are ranked by life-cycle cost or net saving, never by ratio, return or payback.
    """
    mine, theirs = life_cycle(option, terms), life_cycle(baseline, terms)
    extra = mine.sum_usd(INVESTMENT) - theirs.sum_usd(INVESTMENT)
    saved = theirs.sum_usd(OPERATION) - mine.sum_usd(OPERATION)
    ratio = worked(
        note("working.savings_ratio"), savings_to_investment_dimensionless, saving_usd=saved, extra_usd=extra
    )
    rate = worked(
        note("working.return"),
        adjusted_return_frac,
        ratio_dimensionless=ratio.result,
        reinvest_frac=terms.discount_frac,
        study_yr=terms.study_yr,
    )
    back = payback(option, baseline, terms)
    made = (ratio, rate, *filter(None, (back.working,)))
    return Measured(
        name=option.name,
        baseline=baseline.name,
        net_saving_usd=theirs.total_usd - mine.total_usd,
        extra_investment_usd=extra,
        operating_saving_usd=saved,
        savings_ratio=_number(ratio.result),
        return_frac=_number(rate.result),
        payback=back,
        workings=tuple(working for working in made if math.isfinite(working.result)),
    )


def payback(option: Option, baseline: Option, terms: Terms) -> Payback:
    """Simple and discounted payback of an option against the baseline.

    Replacements count when they fall due; the value left at the end of the study does not, because nobody is
    paid it.
    """
    extra = option.outlay_usd() - baseline.outlay_usd()
    first_saving = _first_year_usd(baseline, terms) - _first_year_usd(option, terms)
    after = _but_residual_usd(baseline, terms) - _but_residual_usd(option, terms)
    balance = np.cumsum(after)
    tiny = 0.005
    if abs(extra) < tiny and not (np.abs(after) > tiny).any():
        return Payback("no difference", None, None, True)
    if extra < tiny:
        state = "saves from day one" if first_saving >= 0 else "cheaper to buy, dearer to run"
        return Payback(state, 0.0, 0.0, bool((balance >= -tiny).all()))
    working = worked(note("working.payback"), simple_payback_yr, extra_usd=extra, saving_usd_per_yr=first_saving)
    simple = _number(working.result)
    covered = balance >= 0
    # What the next heaters cost is no saving: what lower bills alone do not pay back in the study never comes back.
    if simple is None or simple > terms.study_yr or not covered.any():
        return Payback("does not pay back", simple, None, False, working)
    year = int(np.argmax(covered))
    fraction = -balance[year - 1] / after[year]
    return Payback("pays back", simple, float(year - 1 + fraction), bool(covered[year:].all()), working)


def _first_year_usd(option: Option, terms: Terms) -> float:
    return sum(float(flow.by_year_usd(terms)[1]) for flow in option.flows if flow.kind in OPERATION)


def _but_residual_usd(option: Option, terms: Terms) -> Floats:
    flows = (flow.by_year_usd(terms, present=True) for flow in option.flows if flow.kind != "residual")
    return sum(flows, np.zeros(terms.study_yr + 1))


def _number(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None
