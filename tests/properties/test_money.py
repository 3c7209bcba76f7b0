"""What must hold for any bill and any stream of money."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.core.kinds import Fuel
from advisor.money.life_cycle import CashFlow, Option, Terms, life_cycle, measure, yearly_flow
from advisor.money.rates import BlockRate, FlatRate, Tier, TimeOfUseRate, Window
from advisor.money.tariffs import (
    Tariff,
    monthly_cost_usd,
    shift_out_of_peak,
)
from advisor.physics.present_value import escalated_present_value_yr, indexed_present_value_yr
from tests.costs import flows_of

quick = settings(max_examples=50, deadline=None)
price = st.floats(0.01, 0.9)
amount = st.floats(0, 3000)
rate = st.floats(-0.02, 0.2)


@st.composite
def block_rates(draw):
    ends = sorted(draw(st.lists(st.integers(1, 2500), min_size=1, max_size=3, unique=True)))
    tiers = [Tier(draw(price), float(end)) for end in ends] + [Tier(draw(price))]
    return Tariff(Fuel.named("electricity"), BlockRate(tuple(tiers), per_day=draw(st.booleans())))


@quick
@given(block_rates(), amount, amount, amount)
def test_bills_add_up(tariff, first, second, rest):
    """The second heater on top of the first costs what both cost together less what the first costs."""
    one, two = np.full(12, first), np.full(12, second)
    both = monthly_cost_usd(tariff, one + two, rest)
    apart = monthly_cost_usd(tariff, one, rest) + monthly_cost_usd(tariff, two, rest + one)
    assert both == pytest.approx(apart, abs=1e-7)


@quick
@given(block_rates(), amount, amount, amount)
def test_more_use_never_costs_less(tariff, less, more, rest):
    low, high = sorted((less, more))
    cost = [monthly_cost_usd(tariff, np.full(12, use), rest) for use in (low, high)]
    assert (cost[1] >= cost[0] - 1e-9).all() and (cost[0] >= -1e-9).all()


@quick
@given(block_rates(), amount, amount)
def test_a_marginal_price_lies_between_the_tiers(tariff, use, rest):
    cost = monthly_cost_usd(tariff, np.full(12, use), rest)
    prices = tariff.rate.prices()
    assert (cost <= max(prices) * use + 1e-7).all() and (cost >= min(prices) * use - 1e-7).all()


@quick
@given(
    st.floats(0.05, 0.3),
    st.floats(0.0, 0.6),
    st.integers(0, 23),
    st.integers(1, 23),
    st.lists(st.floats(0.01, 1), min_size=24, max_size=24),
    st.floats(0, 1),
)
def test_a_timer_never_costs_more(base, step, start, length, weights, share):
    rate = TimeOfUseRate(base, (Window(base + step, start, (start + length) % 24),))
    tariff, hours = Tariff(Fuel.named("electricity"), rate), np.array(weights) / sum(weights)
    use = np.full(12, 100.0)
    plain = monthly_cost_usd(tariff, use, 0.0, hours)
    timed = monthly_cost_usd(tariff, use, 0.0, shift_out_of_peak(rate, hours, share))
    assert (timed <= plain + 1e-9).all()
    assert (timed >= 100 * base - 1e-9).all()


@quick
@given(price, st.lists(amount, min_size=12, max_size=12), st.floats(0, 0.2))
def test_one_block_is_a_flat_rate(one, use, tax):
    flat = Tariff(Fuel.named("electricity"), FlatRate(one), tax_frac=tax)
    block = Tariff(Fuel.named("electricity"), BlockRate((Tier(one, 300.0), Tier(one))), tax_frac=tax)
    assert monthly_cost_usd(block, use, 100.0) == pytest.approx(monthly_cost_usd(flat, use, 100.0), abs=1e-7)


@quick
@given(rate, st.floats(-0.05, 0.1), st.integers(1, 40))
def test_closed_form_is_the_sum(discount, escalation, years):
    index = (1 + escalation) ** np.arange(1, years + 1)
    closed = escalated_present_value_yr(discount, escalation, years)
    assert closed == pytest.approx(float(indexed_present_value_yr(discount, index)), rel=1e-10)


@quick
@given(rate, st.integers(1, 40), st.floats(100, 9000), st.floats(1, 40), st.floats(0, 900))
def test_worth_is_the_sum_of_the_year_by_year_account(discount, years, outlay, life, yearly):
    terms = Terms(years, discount)
    flows = (*flows_of(terms, heater_usd=outlay, life_yr=life), yearly_flow("e", "energy", yearly, terms))
    total = life_cycle(Option("o", flows), terms).total_usd
    account = sum(flow.by_year_usd(terms, present=True) for flow in flows)
    assert account.sum() == pytest.approx(total, rel=1e-9)
    # What is left is less than was paid, so that the start never pays for itself.
    assert total >= yearly * terms.present_value_yr() - 1e-6 or discount < 0


@quick
@given(rate, st.floats(0, 4000), st.floats(0, 4000), st.floats(0, 900), st.floats(0, 900))
def test_measures_agree_with_each_other(discount, outlay_a, outlay_b, run_a, run_b):
    terms = Terms(15, discount)

    def option(name, outlay, run):
        start = CashFlow("start", "purchase", (0.0,), (outlay,))
        return Option(name, (start, yearly_flow("run", "energy", run, terms)))

    a, b = option("a", outlay_a, run_a), option("b", outlay_b, run_b)
    result, mirror = measure(a, b, terms), measure(b, a, terms)
    assert result.net_saving_usd == pytest.approx(-mirror.net_saving_usd, abs=1e-6)
    assert result.net_saving_usd == pytest.approx(result.operating_saving_usd - result.extra_investment_usd, abs=1e-6)
    if result.savings_ratio is not None and abs(result.net_saving_usd) > 0.02:
        assert (result.savings_ratio > 1) == (result.net_saving_usd > 0)
        if result.return_frac is not None:
            assert (result.return_frac > discount) == (result.savings_ratio > 1)
    if result.payback.state == "pays back":
        assert 0 <= result.payback.discounted_yr <= 15
        assert result.net_saving_usd >= -0.02
