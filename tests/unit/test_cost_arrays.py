"""Costs as plain arrays: the point against cash flows, straight lines in prices, and what cannot be."""

from dataclasses import replace

import numpy as np
import pytest

from advisor.core.errors import InputError
from advisor.core.kinds import Technology
from advisor.money.chance import Z90
from advisor.money.cost_arrays import (
    Market,
    Width,
    cost_per_quote,
    evaluate,
    point,
    straight_lines,
    use_sigma,
    yearly_bill_usd,
)
from advisor.money.life_cycle import Option, Terms, life_cycle, yearly_flow
from tests.costs import MARKET, PRICES, TERMS, cost_arrays, flows_of, four_heaters


def by_life_cycle(c, market, row, prices=None):
    """The same cost from the cash flows of the life-cycle module."""
    prices = market.price_usd_per_unit if prices is None else prices
    flows = list(
        flows_of(
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


@pytest.mark.parametrize("terms", [TERMS, Terms(15, 0.07)])
def test_the_point_is_the_life_cycle_cost(terms):
    market, c = replace(MARKET, terms=terms), four_heaters()
    total, running = point(c, market)
    assert total == pytest.approx([by_life_cycle(c, market, row) for row in range(4)], rel=1e-12)
    # The bill alone: what is quoted as a year leaves upkeep out.
    assert running[0] == pytest.approx(160 * 1.50)
    assert running[2] == pytest.approx(1050 * 0.18 - 180)


def test_straight_lines_rebuild_the_point():
    fixed, units = straight_lines(four_heaters(), MARKET)
    assert fixed + units @ PRICES == pytest.approx(point(four_heaters(), MARKET)[0], rel=1e-12)


def test_a_dollar_on_the_quote():
    # The tank is replaced at 13, so that its price goes with it; a quarter of the tankless heater is left.
    assert cost_per_quote(four_heaters(), MARKET)[:2] == pytest.approx([1.0, 1 - 0.25 * 1.03**-15])


def test_the_widths_are_those_of_the_table():
    """Table ``spreads``; its own notes say how far each row was checked."""
    width = Width.from_table()
    assert width.field_efficiency["gas_storage_atmospheric"] == (0.75, 0.82, 1.0)
    assert width.field_efficiency["heat_pump_storage_240v"] == (0.6, 0.75, 0.95)
    assert set(width.field_efficiency) == {kind.id for kind in Technology.all()}
    assert width.drift_per_yr == (0.02, 0.015, 0.025, 0.025)
    assert (width.gas_electricity_link, width.installed_link, width.standby_sigma) == (0.4, 0.5, 0.7)
    assert Width.none() == Width({}, (0.0,) * 4, 0.0, 0.0, 0.0)


def quantile_of(means):
    """Where a life of shape 1 is so many mean lives: 1 - exp(-t)."""
    return np.array([1 - np.exp(-means)])


@pytest.mark.parametrize(
    ("mean_yr", "means", "years", "heaters"),
    [
        # Bought at 0, after 5 and after 8 more; the third, of 4 years, has half of itself left at 15.
        (10.0, (0.5, 0.8, 0.4), 15, 2.5),
        # Nothing wears out in less than a year: bought at 0, 1 and 2; nothing left at 3.
        (10.0, (0.01, 0.02, 0.03), 3, 3.0),
        (1.0, (0.01, 0.02), 3, 3.0),
        (1.0, (3.0,), 1, 1 / 3),
        # Lives that end with the study are not bought again; of 20 years a quarter is left.
        (10.0, (1.5, 1.0, 1.0), 15, 1.0),
        (10.0, (2.0, 1.0, 1.0), 15, 0.75),
    ],
)
def test_drawn_lives_by_hand(mean_yr, means, years, heaters):
    """One heater of $1,000, no discount, nothing else: how often it is bought, less what is left."""
    c = cost_arrays(
        ids=("one",),
        technologies=(Technology.named("oil_storage"),),
        fuel_per_yr=np.zeros((1, 4)),
        heater_usd=np.full((1, 3), 1000.0),
        life_mean_yr=np.array([mean_yr]),
        life_shape=np.array([1.0]),
    )
    market = Market(np.zeros(4), np.ones((4, years)), Terms(years, 0.0), 0.0)
    scores = {f"life{turn}:one": quantile_of(one) for turn, one in enumerate(means)}
    total, bill = evaluate(c, market, Width.none(), scores)
    assert total == pytest.approx(np.array([[1000 * heaters]])) and not bill.any()


def test_one_version_of_a_household_by_hand():
    """Each score at 1: prices, use, standby and the year's drift, and the efficiency at its low end."""
    c = cost_arrays(
        ids=("one",),
        technologies=(Technology.named("oil_storage"),),
        fuel_per_yr=np.array([[0.0, 0.0, 0.0, 100.0]]),
        heater_usd=np.array([[900.0, 1000.0, 1200.0]]),
        work_usd=np.array([[0.0, 0.0, 300.0]]),
        upkeep_usd_per_yr=np.array([[10.0, 20.0, 30.0]]),
        account_usd_per_yr=np.array([60.0]),
        rebate_usd=np.array([200.0]),
        life_mean_yr=np.array([2.0]),
        standby_frac=np.array([0.25]),
    )
    market = Market(np.array([0, 0, 0, 3.0]), np.ones((4, 2)), Terms(2, 0.0), 0.4, np.array([0, 0, 0, 0.1]))
    width = Width({"oil_storage": (0.5, 0.8, 1.0)}, (0, 0, 0, 0.02), 0.0, 0.0, 0.7)
    names = ("use", "standby", "level:heating_oil", "drift:heating_oil")
    scores = {name: np.array([1.0]) for name in names} | {"efficiency:oil_storage": np.array([0.0])}
    scores |= {f"{kind}:one": np.array([Z90]) for kind in ("install", "upkeep")}
    total, bill = evaluate(c, market, width, scores)
    # 100 gal at $3, a tenth dearer in the logarithm; a quarter of it standby; 0.8 of the rating was 0.5.
    energy = 300 * np.exp(0.1) * (0.25 * np.exp(0.7) + 0.75 * np.exp(0.4)) * 0.8 / 0.5
    assert bill == pytest.approx(np.array([[energy + 60]]))
    # Two years, the price 2 % a year more in the logarithm; everything else at its 90 point; it just lasts.
    years = energy * (np.exp(0.02) + np.exp(0.04)) + 2 * (30 + 60)
    assert total == pytest.approx(np.array([[1200 + 300 - 200 + years]]))
    assert yearly_bill_usd(c, market, width, scores) == pytest.approx(bill)


def test_how_well_the_people_are_known():
    assert use_sigma("people_known") == 0.45
    assert use_sigma("people_unknown") == 0.55


@pytest.mark.parametrize(
    "change",
    [
        {"heater_usd": np.ones((3, 3))},
        {"heater_usd": np.tile([3.0, 2.0, 4.0], (4, 1))},
        {"work_usd": np.tile([1.0, 3.0, 2.0], (4, 1))},
        {"fuel_per_yr": np.full((4, 4), np.nan)},
        {"life_mean_yr": np.full(4, 0.99)},
        {"ids": ("tank", "tank", "pump", "resistance")},
        {"technologies": (Technology.named("oil_storage"),)},
    ],
)
def test_candidates_that_cannot_be(change):
    with pytest.raises(InputError):
        replace(four_heaters(), **change)
