"""What the next heater must be by the rule of 10 CFR 430.32(d)(2) for heaters made from 6 May 2029 (89 FR 37778)."""

from datetime import date

import pytest

from advisor.case.file import case_from
from advisor.comparison import compare
from advisor.recommendation.successor import barred_from, successor_of
from advisor.report.money_words import later_heaters
from tests.houses import said

TODAY, RULE = date(2026, 11, 28), date(2029, 5, 6)


def compared(fuel, size_gal, **more):
    house = {
        "place": {"city": "Columbus, OH"},
        "household": {"people": 3},
        "failed": {"fuel": fuel, "size_gal": size_gal},
        "house": {"fuels": [fuel]},
    }
    return compare(case_from(house | more), today=TODAY, by_hand=True)


@pytest.mark.parametrize(
    ("fuel", "size_gal", "next_id"),
    [("natural_gas", 50, "gas-tank-damper-50"), ("electricity", 50, "heat-pump-50")],
)
def test_what_comes_after_a_plain_tank(fuel, size_gal, next_id):
    comparison = compared(fuel, size_gal)
    same = comparison.advice.same_again
    assert barred_from(same, TODAY) == RULE
    found = successor_of(same, comparison.candidates, TODAY)
    assert found.next_one.heater.id == next_id
    assert found.extra_usd > 0 and found.saving_usd_per_yr > 0
    told = said(later_heaters(comparison))
    assert "2029-05-06" in told and found.next_one.heater.title in told and "was not verified" in told


def test_small_electric_tanks_heat_pumps_and_damper_tanks_go_on():
    """The rule leaves electric tanks of 20 to 35 gal as they are; a heat pump meets it."""
    comparison = compared("electricity", 30)
    for heater_id in ("electric-tank-30", "heat-pump-50"):
        assert barred_from(comparison.candidate(heater_id), TODAY) is None
    gas = compared("natural_gas", 40)
    assert barred_from(gas.candidate("gas-tank-damper-40"), TODAY) is None


def test_after_the_rule_nothing_is_told():
    comparison = compared("natural_gas", 50, install_date="2029-06-01")
    assert comparison.advice.pick.heater.variant == "damper"
    assert later_heaters(comparison) == []
