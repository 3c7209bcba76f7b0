"""Costs as plain arrays: the point against cash flows, straight lines in prices, and what cannot be."""

from dataclasses import replace

import numpy as np
import pytest

from advisor.core.errors import InputError
from advisor.core.kinds import Technology
from advisor.money.cost_arrays import cost_per_quote, point, straight_lines, use_sigma
from advisor.money.life_cycle import Option, Terms, life_cycle, yearly_flow
from tests.costs import MARKET, PRICES, TERMS, flows_of, four_heaters


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


def test_how_well_the_people_are_known():
    assert use_sigma("people_known") == 0.45
    assert use_sigma("people_unknown") == 0.55


@pytest.mark.parametrize(
    "change",
    [
        {"heater_usd": np.ones((3, 3))},
        {"heater_usd": np.tile([3.0, 2.0, 4.0], (4, 1))},
        {"fuel_per_yr": np.full((4, 4), np.nan)},
        {"life_mean_yr": np.zeros(4)},
        {"ids": ("tank", "tank", "pump", "resistance")},
        {"technologies": (Technology.named("oil_storage"),)},
    ],
)
def test_candidates_that_cannot_be(change):
    with pytest.raises(InputError):
        replace(four_heaters(), **change)
