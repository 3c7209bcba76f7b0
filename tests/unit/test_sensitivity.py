"""What would change the answer, put back through the product's own path: prices and quotes into the case."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from advisor.case.file import case_from, read_case
from advisor.comparison import compare
from advisor.core import paths
from advisor.core.findings import note
from advisor.core.kinds import Fuel
from advisor.money.cost_arrays import point
from advisor.money.sensitivity import Driver, break_even_of, drivers, one_at_a_time, price_map
from advisor.report.money_words import driver_name
from tests.costs import INDEX, MARKET, TERMS, costs_of, four_heaters, money_of
from tests.houses import said

TODAY = date(2026, 11, 25)


def with_changes(name, **sections):
    """A demo, compared again with some sections changed."""
    values = read_case(paths.CASES / f"{name}.toml").model_dump(mode="python", exclude_unset=True, exclude_none=True)
    for section, more in sections.items():
        values[section] = values.get(section, {}) | more if isinstance(more, dict) else more
    return compare(case_from(values), today=TODAY)


@pytest.fixture(scope="module")
def cold():
    return with_changes("cold-city-basement")


def first_and_rival(comparison):
    advice = comparison.advice
    return advice.pick.money, (advice.tankless or advice.rival).money


def points_usd(comparison, *moneys):
    """Life-cycle costs of the same heaters in another comparison."""
    return [comparison.money.of(money.costs.id).point_usd for money in moneys]


def test_the_price_map_agrees_with_brute_force(cold):
    """Each cell asked of the whole product: the prices put into the case and everything worked out anew."""
    worth = [candidate.money for candidate in cold.candidates if candidate.money.is_eligible]
    drawn = price_map(worth, Fuel.named("natural_gas"), columns=5)
    assert drawn.gas_usd_per_unit[2] == pytest.approx(cold.prices.usd_per_unit[Fuel.named("natural_gas")])
    assert drawn.here == (4, 2)
    for row in range(0, 9, 2):
        electricity = drawn.electricity_usd_per_kwh[row]
        for column, gas in enumerate(drawn.gas_usd_per_unit):
            there = with_changes(
                "cold-city-basement",
                prices={
                    "natural_gas_usd_per_therm": float(gas),
                    "electricity_usd_per_kwh": float(electricity),
                },
            )
            cheapest = min(worth, key=lambda money: there.money.of(money.costs.id).point_usd)
            assert drawn.cheapest_id[row][column] == cheapest.costs.id
    assert len({heater_id for row in drawn.cheapest_id for heater_id in row}) >= 2


@pytest.mark.parametrize("name", ["large-family-short-vent", "hard-water-recirculation"])
def test_a_price_that_turns_the_answer_draws_two_level(name):
    comparison = with_changes(name)
    first, rival = first_and_rival(comparison)
    found = break_even_of(first, rival)
    keys = {
        "natural_gas": "natural_gas_usd_per_therm",
        "electricity": "electricity_usd_per_kwh",
        "propane": "propane_usd_per_gal",
    }
    tried = 0
    for price in found.prices:
        if price.level_usd_per_unit > 5 * price.now_usd_per_unit:  # the case refuses absurd prices
            continue
        there = with_changes(name, prices={keys[price.fuel.id]: price.level_usd_per_unit})
        first_usd, rival_usd = points_usd(there, first, rival)
        assert first_usd == pytest.approx(rival_usd, rel=1e-6)
        beyond = price.level_usd_per_unit * (1.05 if price.wins_above else 0.95)
        first_usd, rival_usd = points_usd(with_changes(name, prices={keys[price.fuel.id]: beyond}), first, rival)
        assert rival_usd < first_usd
        tried += 1
    assert tried


@pytest.mark.parametrize("name", ["cold-city-basement", "warm-city-small-household", "propane-at-altitude"])
def test_a_quote_that_turns_the_answer_draws_two_level(name):
    comparison = with_changes(name)
    first, rival = first_and_rival(comparison)
    found = break_even_of(first, rival)
    assert 0 < found.quote_level_usd < found.quote_now_usd
    quote = [{"candidate": rival.costs.id, "total_usd": round(found.quote_level_usd, 2)}]
    first_usd, rival_usd = points_usd(with_changes(name, offers=quote), first, rival)
    assert first_usd == pytest.approx(rival_usd, rel=1e-4)


def test_even_a_gift_may_not_do():
    # Its tankless heater hangs on the utility's answer: here that is known.
    comparison = with_changes("oil-house", price_list=[{"id": "service-upgrade", "price_usd": 6000}])
    first, rival = first_and_rival(comparison)
    found = break_even_of(first, rival)
    assert found.quote_level_usd is None


def test_drivers_are_ranked_and_differ_by_what_moves_alone(cold):
    first, rival = first_and_rival(cold)
    found = drivers(first, rival)
    assert len(found) == 3
    assert [driver.reach_usd for driver in found] == sorted((driver.reach_usd for driver in found), reverse=True)
    every = drivers(first, rival, most=99)
    names = {said(driver_name(driver)) for driver in every}
    assert {"price of the job, rival", "price of the job, recommended heater", "hot water used"} <= names
    # The saving with everything typical lies inside every driver's ends.
    centre = first.point_usd - rival.point_usd
    assert all(min(driver.saving_usd) - 1 <= centre <= max(driver.saving_usd) + 1 for driver in every)


def test_a_driver_says_when_it_turns_the_answer():
    comparison = with_changes("large-family-short-vent")
    first, rival = first_and_rival(comparison)
    found = drivers(first, rival, most=99)
    assert {driver.turns_the_answer for driver in found} == {True, False}
    for driver in found:
        assert driver.turns_the_answer == (min(driver.saving_usd) <= 0 < max(driver.saving_usd))


def test_one_input_at_a_time_by_hand():
    c = four_heaters()
    swings = {said(swing.driver): swing for swing in one_at_a_time(c, MARKET) if swing.whose != "first"}
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


def a_tank_and_a_pump(**pump):
    """15 years without discount: $1,800 and 1,500 therms; $2,800 (half of $3,000, $1,000, upkeep) and 750 kWh."""
    given = {"heater_usd": (3000.0,) * 3, "work_usd": (1000.0,) * 3, "fuel_per_yr": (0.0, 50.0, 0.0, 0.0)} | pump
    tank, pump = costs_of(), costs_of("pump", "heat_pump_storage_240v", "electricity", **given)
    results = money_of(tank, pump)
    return results.of("gas"), results.of("pump")


def test_where_two_draw_level_by_hand():
    tank, pump = a_tank_and_a_pump()
    assert (tank.point_usd, pump.point_usd) == pytest.approx((3300, 3550))
    found = break_even_of(tank, pump)
    # Gas a sixth dearer is nearer than power a third cheaper.
    told = [(one.fuel.id, one.now_usd_per_unit, one.wins_above) for one in found.prices]
    assert told == [("natural_gas", 1.0, True), ("electricity", 1.0, False)]
    assert [one.level_usd_per_unit for one in found.prices] == pytest.approx([1750 / 1500, 500 / 750])
    # Three quarters of a dearer quote are heater, half of which is left: 62.5 cents a dollar, for $250.
    assert (found.quote_now_usd, found.quote_level_usd) == pytest.approx((4000, 3600))
    # What is given away is all heater once it is sold: 50 cents a dollar, for $2,250.
    nothing = (0.0,) * 3
    free = break_even_of(*a_tank_and_a_pump(heater_usd=nothing, work_usd=nothing))
    assert (free.quote_now_usd, free.quote_level_usd) == pytest.approx((0, 4500))


def test_a_map_by_hand():
    """Prices from 2.5 times less to 2.5 times more; the pump wins where gas is dear or power cheap."""
    found = price_map(a_tank_and_a_pump(), Fuel.named("natural_gas"), columns=3)
    assert found.gas_usd_per_unit == pytest.approx([0.4, 1.0, 2.5]) and found.here == (4, 1)
    power = found.electricity_usd_per_kwh
    assert power[[0, 4, 8]] == pytest.approx([0.4, 1.0, 2.5]) and len(power) == 9
    # 1,800 + 1,500 g against 2,800 + 750 e.
    for row, usd in enumerate(power):
        wins = ["pump" if 2800 + 750 * usd < 1800 + 1500 * gas else "gas" for gas in (0.4, 1.0, 2.5)]
        assert list(found.cheapest_id[row]) == wins
    (one,) = {len(row) for row in price_map(a_tank_and_a_pump(), Fuel.named("natural_gas"), columns=1).cheapest_id}
    assert one == 1
    assert price_map(a_tank_and_a_pump(), Fuel.named("natural_gas"), columns=1).gas_usd_per_unit.tolist() == [1.0]


def test_what_moves_less_than_a_dollar_is_no_driver():
    """Upkeep of $20 a year give or take 5 cents is $1.50 over 15 years; give or take 2.5 cents it is 75 cents."""
    for apart, is_driver in ((0.05, True), (0.025, False)):
        upkeep = replace(costs_of().upkeep, low_usd_per_yr=20 - apart, high_usd_per_yr=20 + apart)
        found = drivers(*a_tank_and_a_pump(upkeep=upkeep), most=99)
        of_rival = [one for one in found if (one.what.code, one.whose) == ("driver.upkeep", "rival")]
        assert bool(of_rival) == is_driver
        for one in of_rival:
            # The pump is $250 dearer; its upkeep moves that by 75 cents either way.
            assert one.saving_usd == pytest.approx((-249.25, -250.75))
            assert one.reach_usd == pytest.approx(1.5)


@pytest.mark.parametrize(
    ("saving_usd", "turns"),
    [((0.0, 0.5), True), ((0.5, -0.5), True), ((-0.5, 0.0), False), ((0.5, 2.0), False), ((-0.5, -2.0), False)],
)
def test_what_turns_the_answer(saving_usd, turns):
    assert Driver(note("driver.use"), None, saving_usd).turns_the_answer is turns
