"""What turns the pick: each input alone, asked of the whole product where a case can say it."""

import json
from datetime import date

import pytest

from advisor import cli
from advisor.case.file import case_from, read_case
from advisor.comparison import compare
from advisor.core import paths
from advisor.core.kinds import Fuel
from advisor.core.tables import load
from advisor.turning import turns
from tests.houses import said

TODAY = date(2026, 11, 28)
NAME = "large-family-short-vent"


@pytest.fixture(scope="module")
def comparison():
    return compare(read_case(paths.CASES / f"{NAME}.toml"), today=TODAY)


@pytest.fixture(scope="module")
def found(comparison):
    return turns(comparison, TODAY)


def test_what_turns_comes_first_and_of_that_the_unverified(found):
    order = [(not one.turns, one.is_verified) for one in found]
    assert order == sorted(order)
    assert all(one.state for one in found)
    assert {one.is_verified for one in found} >= {False}


def _ids(one):
    return [None if pick is None else pick.heater.id for pick in one.picks]


def test_a_price_of_energy_is_moved_as_the_case_would_move_it(comparison, found):
    gas = Fuel.named("natural_gas")
    moved = next(one for one in found if "price of energy, natural gas" in said(one.what))
    values = comparison.case.model_dump(mode="python", exclude_unset=True, exclude_none=True)
    for factor, pick in zip((0.8, 1.2), _ids(moved), strict=True):
        price = comparison.prices.usd_per_unit[gas] * factor
        prices = values.get("prices", {}) | {"natural_gas_usd_per_therm": price}
        assert compare(case_from(values | {"prices": prices}), today=TODAY).recommended_id == pick


def test_an_average_price_is_as_far_checked_as_its_table_says():
    """The table of averages has a state for each; a price of one's own is given."""
    given = {
        "place": {"city": "Boston, MA"},
        "household": {"people": 2},
        "failed": {"fuel": "natural_gas"},
        "house": {"fuels": ["natural_gas"]},
        "prices": {"electricity_usd_per_kwh": 0.30},
    }
    told = compare(case_from(given), today=TODAY, by_hand=True)
    states = {said(one.what): one.state for one in turns(told, TODAY) if "price of energy" in said(one.what)}
    table = load("energy_prices").find("MA", "natural_gas")["state"]
    assert [states[what] for what in sorted(states)] == ["given", table]


def test_people_are_moved_by_one(comparison, found):
    moved = next(one for one in found if said(one.what).startswith("people"))
    values = comparison.case.model_dump(mode="python", exclude_unset=True, exclude_none=True)
    people = comparison.case.household.people
    for count, pick in zip((people - 1, people + 1), _ids(moved), strict=True):
        household = values["household"] | {"people": count}
        assert compare(case_from(values | {"household": household}), today=TODAY).recommended_id == pick


def test_an_end_that_no_household_has_stays_where_it_is(comparison):
    """A parent of one child is not moved to the child alone, nor 95 °F below what any heater is set to."""
    values = comparison.case.model_dump(mode="python", exclude_unset=True, exclude_none=True)
    small = case_from(values | {"household": {"people": 2, "children": 1, "set_point_f": 95.0}})
    told = compare(small, today=TODAY, by_hand=True)
    moved = {said(one.what).split()[0]: one for one in turns(told, TODAY)}
    assert moved["people"].picks[0] is told.advice.pick
    assert moved["set"].picks[0] is told.advice.pick


def test_people_by_bedrooms_are_moved_as_assumed(comparison):
    values = comparison.case.model_dump(mode="python", exclude_unset=True, exclude_none=True)
    told = compare(case_from(values | {"household": {"bedrooms": 3}}), today=TODAY, by_hand=True)
    (moved,) = (one for one in turns(told, TODAY) if said(one.what).startswith("people"))
    assert moved.state == "assumed" and not moved.is_verified


def test_the_command_prints_it_both_ways(capsys, comparison):
    assert cli.main(["turns", NAME]) == 0
    assert "each input moved alone" in " ".join(capsys.readouterr().out.split())
    assert cli.main(["turns", NAME, "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["pick"] == comparison.recommended_id
    assert {"name", "state", "turns_the_pick", "pick_at_low", "pick_at_high"} <= set(data["inputs"][0])
