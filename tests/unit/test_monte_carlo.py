"""The spread of the figures: what must hold whatever the inputs, and small cases worked by hand."""

from dataclasses import replace

import numpy as np
import pytest

from advisor.core.errors import InputError
from advisor.core.kinds import Technology
from advisor.money.escalation import index_frac
from advisor.money.life_cycle import Option, Terms, heater_flows, life_cycle, yearly_flow
from advisor.money.monte_carlo import (
    Candidates,
    Market,
    Width,
    cost_per_quote,
    one_at_a_time,
    point,
    simulate,
    straight_lines,
    use_sigma,
)

TERMS = Terms(15, 0.03)
PRICES = np.array([1.50, 0.18, 3.0, 4.0])
INDEX = index_frac("outlook", "United States", 2026, 15)
MARKET = Market(PRICES, INDEX, TERMS, 0.30, np.array([0.05, 0.05, 0.0, 0.0]))
STILL_MARKET = replace(MARKET, use_sigma=0.0, level_sigma=np.zeros(4))


def candidates(spread=True):
    """A like-for-like tank, a tankless heater, a heat pump, a resistance tank."""
    low, high = (0.65, 1.6) if spread else (1.0, 1.0)
    typical = np.array([2000.0, 5200.0, 4300.0, 1700.0])
    upkeep = np.array([30.0, 130.0, 35.0, 20.0])
    return Candidates(
        names=("tank", "tankless", "pump", "resistance"),
        technologies=(
            Technology.named("gas_storage_atmospheric"),
            Technology.named("gas_tankless_condensing"),
            Technology.named("heat_pump_storage_240v"),
            Technology.named("electric_storage_resistance"),
        ),
        fuel_per_yr=np.array([[160, 0, 0, 0], [110, 40, 0, 0], [0, 1050, 0, 0], [0, 3200, 0, 0.0]]),
        heater_usd=typical[:, None] * np.array([low, 1.0, high]),
        upkeep_usd_per_yr=upkeep[:, None] * np.array([low, 1.0, high]),
        life_mean_yr=np.array([13.0, 20.0, 14.0, 15.0]),
        life_shape=np.full(4, 2.5 if spread else np.inf),
        work_usd=np.array([[0, 0, 0], [low * 900, 900, high * 900], [0, 0, 0], [0, 0, 0.0]]),
        account_usd_per_yr=np.array([0, 0, -180.0, -180.0]),
        rebate_usd=np.array([0, 0, 500.0, 0]),
    )


def by_life_cycle(c, market, row, prices=None):
    """The same cost from the cash flows of the life-cycle module."""
    prices = market.price_usd_per_unit if prices is None else prices
    flows = list(
        heater_flows(
            market.terms,
            heater_usd=c.heater_usd[row, 1],
            life_yr=c.life_mean_yr[row],
            replacement_usd=c.again_usd[row, 1],
            work_usd=c.work_usd[row, 1],
            rebate_usd=c.rebate_usd[row],
        )
    )
    flows.append(yearly_flow("upkeep", "upkeep", c.upkeep_usd_per_yr[row, 1], market.terms))
    flows.append(yearly_flow("account", "account", c.account_usd_per_yr[row], market.terms))
    for fuel in range(4):
        yearly = c.fuel_per_yr[row, fuel] * prices[fuel]
        flows.append(yearly_flow("fuel", "energy", yearly, market.terms, market.index_frac[fuel]))
    return life_cycle(Option("o", tuple(flows)), market.terms).total_usd


@pytest.mark.parametrize("terms", [TERMS, Terms(15, 0.07), Terms(15, 0.03, mid_year=True)])
def test_the_point_is_the_life_cycle_cost(terms):
    market, c = replace(MARKET, terms=terms), candidates()
    total, running = point(c, market)
    assert total == pytest.approx([by_life_cycle(c, market, row) for row in range(4)], rel=1e-12)
    assert running[0] == pytest.approx(160 * 1.50 + 30)
    assert running[2] == pytest.approx(1050 * 0.18 + 35 - 180)


def test_without_spread_every_draw_is_the_point():
    c = candidates(spread=False)
    result = simulate(c, STILL_MARKET, width=Width.none(), draws=50)
    total, running = point(c, STILL_MARKET)
    assert result.total_usd == pytest.approx(np.tile(total, (50, 1)), rel=1e-12)
    assert result.running_usd_per_yr == pytest.approx(np.tile(running, (50, 1)), rel=1e-12)
    assert result.chance_cheapest().max() == 1


def test_reproducible_and_moved_by_the_seed():
    first, again, other = (simulate(candidates(), MARKET, draws=500, seed=seed) for seed in (1, 1, 2))
    assert (first.total_usd == again.total_usd).all()
    assert not (first.total_usd == other.total_usd).all()


def test_percentiles_hold_to_one_percent_whatever_the_seed():
    """At the default number of draws; 10, 50 and 90 points of the cost of four candidates, six seeds."""
    runs = [simulate(candidates(), MARKET, seed=seed).total_usd for seed in range(1, 7)]
    bands = np.array([np.percentile(run, (10, 50, 90), axis=0) for run in runs])
    assert abs(bands / bands.mean(axis=0) - 1).max() < 0.01


def test_adding_a_candidate_does_not_move_the_others():
    full = candidates()
    pair = Candidates(**{name: (value[:2] if value is not None else None) for name, value in vars(full).items()})
    together, alone = (simulate(c, MARKET, draws=200).total_usd for c in (full, pair))
    assert together[:, :2] == pytest.approx(alone, rel=1e-12)


def test_what_is_shared_cancels_in_a_difference():
    """Two heaters of one kind that differ only in use: the ratio of their bills is fixed."""
    c = Candidates(
        ("small", "large"),
        (Technology.named("gas_storage_atmospheric"),) * 2,
        np.array([[150, 0, 0, 0], [165, 0, 0, 0.0]]),
        np.full((2, 3), 2000.0),
        np.zeros((2, 3)),
        np.full(2, 15.0),
        np.full(2, np.inf),
    )
    result = simulate(c, MARKET, draws=1000)
    ratio = result.running_usd_per_yr[:, 1] / result.running_usd_per_yr[:, 0]
    assert np.ptp(ratio) < 1e-12 and np.ptp(result.running_usd_per_yr[:, 0]) > 100
    assert result.chance_cheaper()[0, 1] == 1
    assert result.ranking() == [(0, 1.0), (1, None)]


def test_use_alone_spreads_a_bill_as_a_lognormal():
    """Bill = median x exp(sigma z): 10 and 90 points at exp(-/+ 1.2816 sigma), to the grid's evenness."""
    c = replace(candidates(spread=False), upkeep_usd_per_yr=np.zeros((4, 3)), account_usd_per_yr=np.zeros(4))
    market = replace(STILL_MARKET, use_sigma=0.3)
    bill = simulate(c, market, width=Width.none()).running_usd_per_yr[:, 0]
    expected = 240 * np.exp(np.array([-1.2815516, 0, 1.2815516]) * 0.3)
    assert np.percentile(bill, (10, 50, 90)) == pytest.approx(expected, rel=1e-4)


def test_field_efficiency_spreads_around_its_typical_value():
    """The use given is at the typical efficiency; a bill moves by typical over drawn, 0.82 in 0.75 to 1.0."""
    c = replace(candidates(spread=False), upkeep_usd_per_yr=np.zeros((4, 3)), account_usd_per_yr=np.zeros(4))
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
    c = Candidates(
        ("one", "two", "three"),
        tuple(map(Technology.named, ("gas_storage_atmospheric", "heat_pump_storage_240v", "oil_storage"))),
        np.zeros((3, 4)),
        ends,
        np.zeros((3, 3)),
        np.full(3, 15.0),
        np.full(3, np.inf),
    )
    for link in (0.0, 0.5, 1.0):
        width = replace(Width.none(), installed_link=link)
        outlay = np.log(simulate(c, STILL_MARKET, width=width).total_usd.T)
        between_pairs = np.corrcoef(outlay)[np.triu_indices(3, 1)]
        # Error of a correlation from 20,000 draws: 0.007 at most; three of these.
        assert between_pairs == pytest.approx([link] * 3, abs=0.021)


def test_standby_does_not_follow_the_use():
    c = replace(candidates(spread=False), standby_frac=np.ones(4))
    result = simulate(c, replace(STILL_MARKET, use_sigma=0.5), width=Width.none(), draws=100)
    assert np.ptp(result.total_usd, axis=0) == pytest.approx(np.zeros(4), abs=1e-9)


def test_price_drifts_of_gas_and_electricity_are_linked_as_asked():
    """Two heaters that differ only in fuel, drift alone: the log of the cost is nearly linear in it."""
    c = Candidates(
        ("gas", "power"),
        tuple(map(Technology.named, ("gas_storage_atmospheric", "electric_storage_resistance"))),
        np.array([[100, 0, 0, 0], [0, 1000, 0, 0.0]]),
        np.zeros((2, 3)),
        np.zeros((2, 3)),
        np.full(2, 15.0),
        np.full(2, np.inf),
    )
    width = Width({}, (0.02, 0.015, 0.025, 0.025), 0.4, 0.0)
    result = simulate(c, replace(STILL_MARKET, index_frac=np.ones((4, 15))), width=width)
    # 20,000 draws: the correlation's own error is about (1 - 0.4^2) / sqrt(20,000) = 0.006; four of these.
    assert np.corrcoef(np.log(result.total_usd.T))[0, 1] == pytest.approx(0.4, abs=0.024)


def test_lives_have_the_asked_mean_and_renewals_are_paid():
    """No discount, all lives equal to a third of the study: two renewals and nothing left."""
    c = replace(candidates(spread=False), life_mean_yr=np.full(4, 5.0))
    terms = Terms(15, 0.0)
    total, _ = point(c, replace(STILL_MARKET, terms=terms, price_usd_per_unit=np.zeros(4)))
    assert total[0] == pytest.approx(3 * 2000 + 15 * 30)
    with_luck = simulate(replace(c, life_shape=np.full(4, 2.5)), replace(STILL_MARKET, terms=terms), draws=4000)
    assert np.isfinite(with_luck.total_usd).all()


def test_chances_add_up_and_agree():
    result = simulate(candidates(), MARKET, draws=2000)
    assert result.chance_cheapest().sum() == pytest.approx(1)
    pairs = result.chance_cheaper()
    assert pairs + pairs.T == pytest.approx(1 - np.eye(4))
    order = [place for place, _ in result.ranking()]
    medians = np.median(result.total_usd, axis=0)
    assert medians[order].tolist() == sorted(medians)
    for (here, chance), after in zip(result.ranking()[:-1], order[1:], strict=True):
        assert chance == pairs[here, after]
    assert (result.saving_usd[:, 0] == 0).all()


def test_one_input_at_a_time_by_hand():
    c = candidates()
    swings = {swing.driver: swing for swing in one_at_a_time(c, MARKET)}
    total = point(c, MARKET)[0]
    # Price of the job: low and high of the heater, its replacement at year 13 and what is left of that.
    tank = swings["price of the job"].total_usd[:, 0] - total[0]
    factor = 1 + 1.03**-13 - 11 / 13 * 1.03**-15
    assert tank == pytest.approx([-700 * factor, 1200 * factor], rel=1e-9)
    # It moves one candidate at a time: the saving of the pump moves with the pump's own price only.
    pump = swings["price of the job"]
    assert pump.saving_usd[:, 2] == pytest.approx(total[0] - pump.total_usd[:, 2])
    assert (pump.saving_usd[:, 0] == 0).all()
    # Use moves all together: 10 and 90 points of the tank's energy.
    energy = 240 * TERMS.present_value_yr(INDEX[0])
    use = swings["hot water used"].total_usd[:, 0] - total[0]
    assert use == pytest.approx(energy * (np.exp(np.array([-1, 1]) * 1.2815515655 * 0.3) - 1), rel=1e-9)
    # Better in the field, cheaper to run; nobody burns propane.
    assert swings["efficiency in the field, natural-draft tank"].total_usd[0, 0] > total[0]
    assert not any("propane" in driver or "oil" in driver for driver in swings)
    assert all((swing.reach_usd() >= 0).all() for swing in swings.values())


def test_straight_lines_rebuild_the_point():
    fixed, units = straight_lines(candidates(), MARKET)
    assert fixed + units @ PRICES == pytest.approx(point(candidates(), MARKET)[0], rel=1e-12)


def test_a_dollar_on_the_quote():
    # The tank is replaced at 13, so that its price goes with it; a quarter of the tankless heater is left.
    assert cost_per_quote(candidates(), MARKET)[:2] == pytest.approx([1.0, 1 - 0.25 * 1.03**-15])


def test_how_well_the_people_are_known():
    assert use_sigma(people_known=True) == 0.30
    assert use_sigma(people_known=False) == 0.50


@pytest.mark.parametrize(
    "change",
    [
        {"heater_usd": np.ones((3, 3))},
        {"heater_usd": np.tile([3.0, 2.0, 4.0], (4, 1))},
        {"fuel_per_yr": np.full((4, 4), np.nan)},
        {"life_mean_yr": np.zeros(4)},
        {"names": ("tank", "tank", "pump", "resistance")},
        {"technologies": (Technology.named("oil_storage"),)},
    ],
)
def test_candidates_that_cannot_be(change):
    with pytest.raises(InputError):
        replace(candidates(), **change)
