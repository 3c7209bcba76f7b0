"""The spread of the figures: what must hold whatever the inputs, and small cases worked by hand."""

from dataclasses import replace
from functools import partial

import numpy as np
import pytest

from advisor.core.kinds import Technology
from advisor.money import monte_carlo
from advisor.money.cost_arrays import CostArrays, Width, evaluate, point
from advisor.money.life_cycle import Terms
from advisor.money.monte_carlo import yearly_bill_band_usd
from tests.costs import MARKET, STILL_MARKET, cost_arrays, four_heaters

#: Enough that percentiles hold to one percent.
simulate = partial(monte_carlo.simulate, draws=20_000)


def test_without_spread_every_draw_is_the_point():
    c = four_heaters(spread=False)
    result = simulate(c, STILL_MARKET, width=Width.none(), draws=50)
    total, running = point(c, STILL_MARKET)
    assert result.total_usd == pytest.approx(np.tile(total, (50, 1)), rel=1e-12)
    assert result.running_usd_per_yr == pytest.approx(np.tile(running, (50, 1)), rel=1e-12)
    assert result.chances_cheapest_frac(range(4)).max() == 1


def test_reproducible_and_moved_by_the_seed():
    first, again, other = (simulate(four_heaters(), MARKET, draws=500, seed=seed) for seed in (1, 1, 2))
    assert (first.total_usd == again.total_usd).all()
    assert not (first.total_usd == other.total_usd).all()


def test_percentiles_hold_to_one_percent_whatever_the_seed():
    """At 20,000 draws; 10, 50 and 90 points of the cost of four candidates, six seeds."""
    runs = [simulate(four_heaters(), MARKET, seed=seed).total_usd for seed in range(1, 7)]
    bands = np.array([np.percentile(run, (10, 50, 90), axis=0) for run in runs])
    assert abs(bands / bands.mean(axis=0) - 1).max() < 0.01


def test_adding_a_candidate_does_not_move_the_others():
    full = four_heaters()
    pair = CostArrays(**{name: value[:2] for name, value in vars(full).items()})
    together, alone = (simulate(c, MARKET, draws=200).total_usd for c in (full, pair))
    assert together[:, :2] == pytest.approx(alone, rel=1e-12)


def test_what_is_shared_cancels_in_a_difference():
    """Two heaters of one kind that differ only in use: the ratio of their bills is fixed."""
    c = cost_arrays(
        ids=("small", "large"),
        technologies=(Technology.named("gas_storage_atmospheric"),) * 2,
        fuel_per_yr=np.array([[150, 0, 0, 0], [165, 0, 0, 0.0]]),
        heater_usd=np.full((2, 3), 2000.0),
    )
    result = simulate(c, MARKET, draws=1000)
    ratio = result.running_usd_per_yr[:, 1] / result.running_usd_per_yr[:, 0]
    assert np.ptp(ratio) < 1e-12 and np.ptp(result.running_usd_per_yr[:, 0]) > 100
    assert (result.total_usd[:, 0] < result.total_usd[:, 1]).all()
    assert result.chance_none_cheaper_frac(0, [1]) == 1 and result.chance_none_cheaper_frac(1, [0]) == 0


def test_use_alone_spreads_a_bill_as_a_lognormal():
    """Bill = median x exp(sigma z): 10 and 90 points at exp(-/+ 1.2816 sigma), to the grid's evenness."""
    c = replace(four_heaters(spread=False), upkeep_usd_per_yr=np.zeros((4, 3)), account_usd_per_yr=np.zeros(4))
    market = replace(STILL_MARKET, use_sigma=0.3)
    bill = simulate(c, market, width=Width.none()).running_usd_per_yr[:, 0]
    expected = 240 * np.exp(np.array([-1.2815516, 0, 1.2815516]) * 0.3)
    assert np.percentile(bill, (10, 50, 90)) == pytest.approx(expected, rel=1e-4)


def test_field_efficiency_spreads_around_its_typical_value():
    """The use given is at the typical efficiency; a bill moves by typical over drawn, 0.82 in 0.75 to 1.0."""
    c = replace(four_heaters(spread=False), upkeep_usd_per_yr=np.zeros((4, 3)), account_usd_per_yr=np.zeros(4))
    width = replace(Width.none(), field_efficiency={"gas_storage_atmospheric": (0.75, 0.82, 1.0)})
    bill = simulate(c, STILL_MARKET, width=width).running_usd_per_yr
    assert bill[:, 0].max() == pytest.approx(240 * 0.82 / 0.75, rel=2e-3)
    assert bill[:, 0].min() == pytest.approx(240 * 0.82 / 1.0, rel=2e-3)
    # Most likely at the typical value: a share of 0.07 / 0.25 of the draws is less efficient than that.
    assert (bill[:, 0] > 240).mean() == pytest.approx(0.28, abs=1e-3)
    assert np.ptp(bill[:, 1]) == 0


def test_prices_of_jobs_are_linked_as_asked():
    """Nothing but the outlay: its logarithm is a normal score where both sides of the range are alike."""
    ends = np.tile([1000.0, 2000.0, 4000.0], (3, 1))
    c = cost_arrays(
        ids=("one", "two", "three"),
        technologies=tuple(map(Technology.named, ("gas_storage_atmospheric", "heat_pump_storage_240v", "oil_storage"))),
        fuel_per_yr=np.zeros((3, 4)),
        heater_usd=ends,
    )
    for link in (0.0, 0.5, 1.0):
        width = replace(Width.none(), installed_link=link)
        outlay = np.log(simulate(c, STILL_MARKET, width=width).total_usd.T)
        between_pairs = np.corrcoef(outlay)[np.triu_indices(3, 1)]
        # Error of a correlation from 20,000 draws: 0.007 at most; three of these.
        assert between_pairs == pytest.approx([link] * 3, abs=0.021)


def test_standby_does_not_follow_the_use():
    c = replace(four_heaters(spread=False), standby_frac=np.ones(4))
    result = simulate(c, replace(STILL_MARKET, use_sigma=0.5), width=Width.none(), draws=100)
    assert np.ptp(result.total_usd, axis=0) == pytest.approx(np.zeros(4), abs=1e-9)


def test_standby_spreads_by_itself():
    c = replace(four_heaters(spread=False), standby_frac=np.ones(4), account_usd_per_yr=np.zeros(4))
    width = replace(Width.none(), standby_sigma=0.7)
    bill = simulate(c, replace(STILL_MARKET, use_sigma=0.5), width=width).running_usd_per_yr[:, 0]
    # Nothing but the loss: median 240 and 10 and 90 points at exp(-/+ 1.2816 x 0.7).
    expected = 240 * np.exp(np.array([-1.2815516, 0, 1.2815516]) * 0.7)
    assert np.percentile(bill, (10, 50, 90)) == pytest.approx(expected, rel=1e-4)


def test_the_range_of_a_year_is_that_of_the_whole_simulation():
    """The few inputs that move a year's bill give the same draws as all of them together."""
    c = replace(four_heaters(), standby_frac=np.array([0.3, 0.0, 0.1, 0.1]))
    whole = np.percentile(simulate(c, MARKET, draws=500).running_usd_per_yr, (10, 50, 90), axis=0)
    assert yearly_bill_band_usd(c, MARKET, draws=500) == pytest.approx(whole, rel=1e-12)


def test_price_drifts_of_gas_and_electricity_are_linked_as_asked():
    """Two heaters that differ only in fuel, drift alone: the log of the cost is nearly linear in it."""
    c = cost_arrays(
        ids=("gas", "power"),
        technologies=tuple(map(Technology.named, ("gas_storage_atmospheric", "electric_storage_resistance"))),
        fuel_per_yr=np.array([[100, 0, 0, 0], [0, 1000, 0, 0.0]]),
        heater_usd=np.zeros((2, 3)),
    )
    width = Width({}, (0.02, 0.015, 0.025, 0.025), 0.4, 0.0)
    result = simulate(c, replace(STILL_MARKET, index_frac=np.ones((4, 15))), width=width)
    # 20,000 draws: the correlation's own error is about (1 - 0.4^2) / sqrt(20,000) = 0.006; four of these.
    assert np.corrcoef(np.log(result.total_usd.T))[0, 1] == pytest.approx(0.4, abs=0.024)


def test_lives_have_the_asked_mean_and_renewals_are_paid():
    """No discount, all lives equal to a third of the study: two renewals and nothing left."""
    c = replace(four_heaters(spread=False), life_mean_yr=np.full(4, 5.0))
    terms = Terms(15, 0.0)
    total, _ = point(c, replace(STILL_MARKET, terms=terms, price_usd_per_unit=np.zeros(4)))
    assert total[0] == pytest.approx(3 * 2000 + 15 * 30)
    with_luck = simulate(replace(c, life_shape=np.full(4, 2.5)), replace(STILL_MARKET, terms=terms), draws=4000)
    assert np.isfinite(with_luck.total_usd).all()


def test_chances_add_up_and_agree():
    result = simulate(four_heaters(), MARKET, draws=2000)
    chance = result.chances_cheapest_frac(range(4))
    assert chance.sum() == pytest.approx(1)
    for one in range(4):
        others = [other for other in range(4) if other != one]
        # The grid is fine enough that no two cost the same to the last digit.
        assert result.chance_none_cheaper_frac(one, others) == pytest.approx(chance[one])
        for other in others:
            beaten = result.chance_none_cheaper_frac(one, [other])
            assert beaten + result.chance_none_cheaper_frac(other, [one]) == pytest.approx(1)
            assert beaten == result.chance_saves_frac(one, other)
        assert result.chance_saves_frac(one, one) == 0


def test_those_who_are_asked_about_share_the_chance():
    result = simulate(four_heaters(), MARKET, draws=500)
    chance = result.chances_cheapest_frac([0, 2])
    assert chance.shape == (2,) and chance.sum() == 1
    assert chance[0] == result.chance_none_cheaper_frac(0, [2])


def test_three_lives_are_drawn_and_any_after_them_last_the_mean():
    drawn = monte_carlo._scores(("one",), (Technology.named("oil_storage"),), 0.0, 0.0, 4, 1)
    assert {name for name in drawn if name.startswith("life")} == {"life0:one", "life1:one", "life2:one"}
    # A life of four mean lives drawn three times, in a study of 40 years without discount: the fourth is the mean.
    c = cost_arrays(
        ids=("one",),
        technologies=(Technology.named("oil_storage"),),
        fuel_per_yr=np.zeros((1, 4)),
        heater_usd=np.full((1, 3), 1000.0),
        life_mean_yr=np.array([3.0]),
        life_shape=np.array([1.0]),
    )
    market = replace(STILL_MARKET, terms=Terms(40, 0.0), index_frac=np.ones((4, 40)))
    lives = {f"life{turn}:one": np.array([1 - np.exp(-4.0)]) for turn in range(3)}
    # Bought at 0, 12 and 24, then at 36 and 39, two thirds of the last being left.
    assert evaluate(c, market, Width.none(), lives)[0] == pytest.approx(np.array([[5000 - 2000 / 3]]))
