"""The price map against brute force, and break-even points put back into the model."""

import numpy as np
import pytest

from advisor.core.errors import InputError
from advisor.core.kinds import Fuel, Technology, piped_gas
from advisor.money.break_even import break_even_price_usd_per_unit, break_even_quote_usd, cheapest_map
from advisor.money.cost_arrays import Market, cost_per_quote, point, straight_lines
from advisor.money.escalation import index_frac
from advisor.money.life_cycle import Option, Terms, life_cycle, yearly_flow
from tests.costs import cost_arrays, flows_of

TERMS = Terms(15, 0.03)
INDEX = index_frac("outlook", "Mountain", 2026, 15)
PRICES = np.array([1.20, 0.16, 2.9, 3.8])
OUTLAY = np.array([2000.0, 4600.0, 4300.0, 1700.0, 3900.0])
UPKEEP = np.array([30.0, 130.0, 35.0, 20.0, 220.0])
LIFE = np.array([14.5, 20.0, 14.0, 15.0, 11.0])
FUEL = np.array([[170, 0, 0, 0], [118, 45, 0, 0], [0, 1080, 0, 0], [0, 3150, 0, 0], [0, 60, 0, 130.0]])
NAMES = ("tank", "tankless", "pump", "resistance", "oil")
KINDS = (
    Technology.named("gas_storage_atmospheric"),
    Technology.named("gas_tankless_condensing"),
    Technology.named("heat_pump_storage_240v"),
    Technology.named("electric_storage_resistance"),
    Technology.named("oil_storage"),
)


def candidates(outlay=OUTLAY):
    again = np.repeat(OUTLAY[:, None], 3, axis=1)
    heater, upkeep = np.repeat(outlay[:, None], 3, axis=1), np.repeat(UPKEEP[:, None], 3, axis=1)
    return cost_arrays(
        ids=NAMES,
        technologies=KINDS,
        fuel_per_yr=FUEL,
        heater_usd=heater,
        upkeep_usd_per_yr=upkeep,
        life_mean_yr=LIFE,
        life_shape=np.full(5, 2.5),
        again_usd=again,
    )


def market(prices=PRICES):
    return Market(np.array(prices), INDEX, TERMS, 0.3)


def cheapest_by_cash_flows(prices):
    totals = []
    for row in range(5):
        flows = [
            *flows_of(TERMS, heater_usd=OUTLAY[row], life_yr=LIFE[row]),
            yearly_flow("upkeep", "upkeep", UPKEEP[row], TERMS),
            *(yearly_flow("f", "energy", FUEL[row, f] * prices[f], TERMS, INDEX[f]) for f in range(4)),
        ]
        totals.append(life_cycle(Option("o", tuple(flows)), TERMS).total_usd)
    return int(np.argmin(totals))


def test_the_map_agrees_with_brute_force_at_random_prices():
    rng = np.random.default_rng(11)
    gas, power = rng.uniform(0.3, 6.0, 15), rng.uniform(0.03, 0.5, 15)
    drawn = cheapest_map(*straight_lines(candidates(), market()), PRICES, gas, power, gas_fuel=piped_gas())
    assert drawn.shape == (15, 15)
    for i, electricity in enumerate(power):
        for j, therm in enumerate(gas):
            assert drawn[i, j] == cheapest_by_cash_flows([therm, electricity, PRICES[2], PRICES[3]])
    assert len(np.unique(drawn)) >= 3


def test_the_map_does_not_touch_the_prices_given():
    prices = PRICES.copy()
    cheapest_map(
        *straight_lines(candidates(), market()), prices, np.array([1.0]), np.array([0.1]), gas_fuel=piped_gas()
    )
    assert (prices == PRICES).all()


def test_another_fuel_along_the_side():
    fixed, units = straight_lines(candidates(), market())
    drawn = cheapest_map(
        fixed, units, PRICES, np.array([0.01, 9.0]), np.array([0.5]), gas_fuel=Fuel.named("heating_oil")
    )
    totals = [fixed + units @ np.array([1.20, 0.5, 2.9, oil]) for oil in (0.01, 9.0)]
    assert drawn[0].tolist() == [int(np.argmin(total)) for total in totals]


@pytest.mark.parametrize(("fuel", "column"), [("natural_gas", 0), ("electricity", 1)])
def test_a_break_even_price_makes_two_equal(fuel, column):
    price = break_even_price_usd_per_unit(*straight_lines(candidates(), market()), PRICES, Fuel.named(fuel), 0, 2)
    prices = PRICES.copy()
    prices[column] = price
    total = point(candidates(), market(prices))[0]
    assert total[0] == pytest.approx(total[2], rel=1e-12)


def test_no_price_does_it():
    lines = straight_lines(candidates(), market())
    assert break_even_price_usd_per_unit(*lines, PRICES, Fuel.named("propane"), 0, 2) is None
    # The resistance tank costs less to buy; below a price of nought only would the pump be level without use.
    fixed, units = np.array([1000.0, 1500.0]), np.array([[0, 100.0, 0, 0], [0, 200.0, 0, 0]])
    assert break_even_price_usd_per_unit(fixed, units, PRICES, Fuel.named("electricity"), 0, 1) is None


@pytest.mark.parametrize(
    ("fixed_usd", "level_usd"),
    [(50.0, 0.5), (-1.0, None), (0.0, None), (90.0, 0.9)],
)
def test_a_break_even_price_by_hand(fixed_usd, level_usd):
    """The second costs so much less without energy and uses 100 kWh more; their gas, of 1.20 each, is the same."""
    fixed, units = np.array([1000.0 + fixed_usd, 1000.0]), np.array([[5, 100.0, 0, 0], [5, 200.0, 0, 0]])
    electricity = Fuel.named("electricity")
    for order in ((0, 1), (1, 0)):
        level = break_even_price_usd_per_unit(fixed, units, PRICES, electricity, *order)
        assert level == (None if level_usd is None else pytest.approx(level_usd))
    assert break_even_price_usd_per_unit(fixed, units, PRICES, piped_gas(), 0, 1) is None


def test_a_break_even_quote_makes_two_equal():
    total, share = point(candidates(), market())[0], cost_per_quote(candidates(), market())
    quote = break_even_quote_usd(OUTLAY[1], total[1], total[0], share[1])
    changed = OUTLAY.copy()
    changed[1] = quote
    after = point(candidates(changed), market())[0]
    assert after[1] == pytest.approx(total[0], rel=1e-9)


def test_even_a_gift_would_cost_more():
    assert break_even_quote_usd(500.0, 5000.0, 1000.0, 1.0) is None
    # $4,000 too dear: a quote of 4,000 would have to be a gift, one of 4,000.50 half a dollar; at 80 cents of cost
    # for each dollar quoted, 5,000 dollars have to come off.
    quotes = [break_even_quote_usd(usd, 5000.0, 1000.0, 1.0) for usd in (4000.0, 4000.5)]
    assert quotes == [None, 0.5] and break_even_quote_usd(6000.0, 5000.0, 1000.0, 0.8) == 1000.0
    with pytest.raises(InputError):
        break_even_quote_usd(500.0, 5000.0, 1000.0, 0.0)


def test_an_unknown_fuel():
    with pytest.raises(InputError):
        break_even_price_usd_per_unit(np.zeros(2), np.zeros((2, 4)), PRICES, Fuel.named("coal"), 0, 1)
