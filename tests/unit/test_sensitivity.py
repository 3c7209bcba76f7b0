"""What would change the answer, put back through the product's own path: prices and quotes into the case."""

from datetime import date

import numpy as np
import pytest

from advisor.case.file import case_from, read_case
from advisor.comparison import compare
from advisor.core import paths
from advisor.core.kinds import Fuel
from advisor.money.sensitivity import drivers, price_map, turns
from advisor.recommendation.rule import rival_of, worth_choosing

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
    first = next(item for item in comparison.standings if item.id == comparison.recommended_id)
    return first, rival_of(first, comparison.standings, comparison.outlook)


def test_the_price_map_agrees_with_brute_force(cold):
    """Each cell asked of the whole product: the prices put into the case and everything worked out anew."""
    outlook = cold.outlook
    places = [standing.place for standing in worth_choosing(cold.standings)]
    drawn = price_map(outlook.candidates, outlook.market, places, Fuel.named("natural_gas"), columns=5, rows=5)
    assert drawn.gas_usd_per_unit[2] == pytest.approx(cold.prices.usd_per_unit[Fuel.named("natural_gas")])
    assert drawn.here == (2, 2)
    for row, electricity in enumerate(drawn.electricity_usd_per_kwh):
        for column, gas in enumerate(drawn.gas_usd_per_unit):
            there = with_changes(
                "cold-city-basement",
                prices={
                    "natural_gas_usd_per_therm": float(gas),
                    "electricity_usd_per_kwh": float(electricity),
                },
            ).outlook
            cheapest = min(places, key=lambda place: there.point_usd[place])
            assert drawn.cheapest[row, column] == cheapest
    assert len(np.unique(drawn.cheapest)) >= 2


@pytest.mark.parametrize("name", ["large-family-short-vent", "propane-at-altitude"])
def test_a_price_that_turns_the_answer_draws_two_level(name):
    comparison = with_changes(name)
    first, rival = first_and_rival(comparison)
    found = turns(comparison.outlook.candidates, comparison.outlook.market, first.place, rival.place)
    keys = {
        "natural_gas": "natural_gas_usd_per_therm",
        "electricity": "electricity_usd_per_kwh",
        "propane": "propane_usd_per_gal",
    }
    tried = 0
    for turn in found.prices:
        if turn.turn_usd_per_unit > 3:  # the case refuses absurd prices
            continue
        there = with_changes(name, prices={keys[turn.fuel.id]: turn.turn_usd_per_unit}).outlook.point_usd
        assert there[first.place] == pytest.approx(there[rival.place], rel=1e-6)
        beyond = turn.turn_usd_per_unit * (1.05 if turn.wins_above else 0.95)
        there = with_changes(name, prices={keys[turn.fuel.id]: beyond}).outlook.point_usd
        assert there[rival.place] < there[first.place]
        tried += 1
    assert tried


@pytest.mark.parametrize("name", ["cold-city-basement", "warm-city-small-household", "propane-at-altitude"])
def test_a_quote_that_turns_the_answer_draws_two_level(name):
    comparison = with_changes(name)
    first, rival = first_and_rival(comparison)
    found = turns(comparison.outlook.candidates, comparison.outlook.market, first.place, rival.place)
    assert 0 < found.quote_turn_usd < found.quote_now_usd
    quote = [{"candidate": rival.id, "installed_usd": found.quote_turn_usd}]
    there = with_changes(name, quotes=quote).outlook.point_usd
    assert there[first.place] == pytest.approx(there[rival.place], rel=1e-4)


def test_even_a_gift_may_not_do():
    comparison = with_changes("oil-house")
    first, rival = first_and_rival(comparison)
    found = turns(comparison.outlook.candidates, comparison.outlook.market, first.place, rival.place)
    assert found.quote_turn_usd is None


def test_drivers_are_ranked_and_differ_by_what_moves_alone(cold):
    first, rival = first_and_rival(cold)
    arrays, market = cold.outlook.candidates, cold.outlook.market
    found = drivers(arrays, market, first.place, rival.place)
    assert len(found) == 3
    assert [driver.reach_usd for driver in found] == sorted((driver.reach_usd for driver in found), reverse=True)
    every = drivers(arrays, market, first.place, rival.place, most=99)
    names = {driver.name for driver in every}
    assert {"price of the job, rival", "price of the job, recommended heater", "hot water used"} <= names
    # The saving with everything typical lies inside every driver's ends.
    centre = cold.outlook.point_usd[first.place] - cold.outlook.point_usd[rival.place]
    assert all(min(driver.saving_usd) - 1 <= centre <= max(driver.saving_usd) + 1 for driver in every)


def test_a_driver_says_when_it_turns_the_answer():
    comparison = with_changes("large-family-short-vent")
    first, rival = first_and_rival(comparison)
    found = drivers(comparison.outlook.candidates, comparison.outlook.market, first.place, rival.place, most=99)
    assert {driver.turns_the_answer for driver in found} == {True, False}
    for driver in found:
        assert driver.turns_the_answer == (min(driver.saving_usd) <= 0 < max(driver.saving_usd))
