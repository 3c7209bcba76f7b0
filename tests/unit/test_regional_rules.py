"""Which gas heaters states and air districts let anyone sell, on the day."""

from datetime import date

import pytest

from advisor.case.file import case_from
from advisor.comparison import compare
from advisor.core.tables import load
from advisor.heaters.catalogue import by_id
from advisor.heaters.regional_rules import sale_of
from advisor.report.as_json import comparison_dict
from advisor.report.words import say

ALAMEDA, LOS_ANGELES = "06001", "06037"


def codes(found):
    return [one.code.removeprefix("rule.") for one in found]


@pytest.mark.parametrize(
    ("heater", "state", "county", "on", "barred", "told"),
    [
        # Regulation 9 Rule 6 (amended 2023-03-15): up to 75,000 Btu/h, from 2027-01-01.
        ("gas-tank-50", "CA", ALAMEDA, date(2026, 12, 31), [], ["bay_area"]),
        ("gas-tank-50", "CA", ALAMEDA, date(2027, 1, 1), ["bay_area"], []),
        ("gas-tankless-199", "CA", ALAMEDA, date(2027, 1, 1), [], []),
        ("heat-pump-50", "CA", ALAMEDA, date(2027, 1, 1), [], []),
        ("gas-tank-50", "CA", "06067", date(2027, 1, 1), [], []),
        ("gas-tank-50", "CA", None, date(2027, 1, 1), [], []),
        # Rule 1146.2: above 75,000 Btu/h, existing houses from 2029-01-01.
        ("gas-tankless-199", "CA", LOS_ANGELES, date(2026, 11, 28), [], ["south_coast"]),
        ("gas-tank-50", "CA", LOS_ANGELES, date(2026, 11, 28), [], []),
        # Utah Code 15A-6-102: 75,000 Btu/h divides the two limits.
        ("gas-tank-50", "UT", None, date(2026, 11, 28), [], ["utah_small"]),
        ("gas-tankless-150", "UT", None, date(2026, 11, 28), [], ["utah_large"]),
        ("propane-tank-50", "UT", None, date(2026, 11, 28), [], []),
        # HB 23-1161, from 2026-01-01: the federal mark is enough.
        ("gas-tank-50", "CO", None, date(2026, 11, 28), [], ["colorado"]),
        ("gas-tank-condensing-50", "CO", None, date(2026, 11, 28), [], []),
        ("gas-tank-50", "MN", None, date(2026, 11, 28), [], []),
    ],
)
def test_by_place_day_and_burner(heater, state, county, on, barred, told):
    found = sale_of(by_id(heater), state, county, on)
    assert (codes(found.barred_by), codes(found.told)) == (barred, told)
    assert found.may_be_sold == (not barred)


def test_every_county_is_one_and_every_rule_has_its_words():
    known = set(load("county_zones")["county_fips"])
    for rule in load("regional_rules").rows():
        assert set(rule["counties"] or ()) <= known
        for language in ("en", "es"):
            assert say(f"rule.{rule['id']}", language=language, from_date="2026-01-01", state="read")


def oakland(on):
    case = {
        "place": {"city": "Oakland, CA"},
        "household": {"people": 3},
        "failed": {"fuel": "natural_gas", "size_gal": 50},
        "house": {"fuels": ["natural_gas"]},
        "install_date": on,
    }
    return compare(case_from(case), today=date(2026, 11, 28), by_hand=True)


def test_what_may_not_be_sold_is_not_the_pick():
    comparison = oakland("2027-02-01")
    tank = comparison.candidate("gas-tank-50")
    assert not tank.sale.may_be_sold and not tank.money.is_eligible
    pick = comparison.advice.pick
    assert pick is None or pick.sale.may_be_sold
    assert comparison.advice.cheapest_to_own is None or comparison.advice.cheapest_to_own.sale.may_be_sold
    data = {one["id"]: one for one in comparison_dict(comparison)["candidates"]}
    assert not data["gas-tank-50"]["may_be_sold"] and "Bay Area" in data["gas-tank-50"]["flags"][-1]
    assert data["heat-pump-50"]["may_be_sold"]
    before = oakland("2026-12-20").candidate("gas-tank-50")
    assert before.sale.may_be_sold and codes(before.sale.told) == ["bay_area"]
