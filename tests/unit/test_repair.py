"""A repair of what failed: the survival curve behind it, when it is told, and whose price counts."""

from datetime import date
from itertools import pairwise

import numpy as np
import pytest

from advisor.case.file import case_from
from advisor.comparison import compare
from advisor.core.errors import InputError
from advisor.core.tables import load
from advisor.money.upkeep import lasts_on_frac, mean_left_yr
from advisor.recommendation.repair import must_hold_yr
from advisor.report.as_json import comparison_dict
from advisor.report.repair_words import repair_findings
from advisor.report.text import comparison_text
from tests.houses import said

TODAY = date(2026, 11, 28)


def compared(price_list=(), **failed):
    house = {
        "place": {"city": "Columbus, OH"},
        "household": {"people": 4},
        "failed": {"fuel": "natural_gas", "size_gal": 50, **failed},
        "house": {"fuels": ["natural_gas"]},
        "price_list": list(price_list),
    }
    if failed.get("kind") == "tankless":
        house["failed"].pop("size_gal")
    return compare(case_from(house), today=TODAY, by_hand=True)


def test_a_curve_of_shape_one_has_no_memory():
    # Textbook property of the exponential distribution: whatever the age, the years left are the mean.
    for age_yr in (0.0, 5.0, 20.0):
        assert lasts_on_frac(3.0, age_yr, 12.0, 1.0) == pytest.approx(np.exp(-3.0 / 12.0), rel=1e-12)
        # Cut off six means ahead, where 1 in 400 of the mean is still to come.
        assert mean_left_yr(age_yr, 12.0, 1.0) == pytest.approx(12.0, rel=0.003)


def test_the_mean_life_is_what_a_new_heater_has_left():
    # Definition of the mean; the trapezoids err by less.
    assert mean_left_yr(0.0, 14.5, 2.5) == pytest.approx(14.5, rel=1e-4)


def test_the_older_the_less_is_left_and_the_less_likely_it_holds():
    left = [mean_left_yr(age, 14.5, 2.5) for age in (0.0, 5.0, 10.0, 20.0, 60.0)]
    holds = [float(lasts_on_frac(2.0, age, 14.5, 2.5)) for age in (0.0, 5.0, 10.0, 20.0, 60.0)]
    for values in (left, holds):
        assert all(older < younger for younger, older in pairwise(values))
    assert left[-1] > 0
    # Past the end of the floating numbers the curve holds nobody.
    assert lasts_on_frac(1.0, 500.0, 8.0, 5.0) == 0


def test_a_repair_must_hold_until_it_has_cost_no_more_than_waiting_spared():
    assert must_hold_yr(300.0, 150.0) == 2.0
    assert must_hold_yr(300.0, -5.0) == float("inf")


def test_every_kind_of_heater_has_its_repairs_and_a_leaking_tank_none():
    rows = list(load("repairs").rows())
    told = {(fuel, row["kind"], row["trouble"]) for row in rows for fuel in row["fuels"]}
    assert len(told) == sum(len(row["fuels"]) for row in rows)
    for fuel in ("natural_gas", "propane", "heating_oil", "electricity"):
        kinds = {"tank"} | ({"tankless"} if fuel != "heating_oil" else set())
        for kind in kinds | ({"heat_pump"} if fuel == "electricity" else set()):
            for trouble in ("nothing", "too_little", "noise"):
                assert (fuel, kind, trouble) in told
            assert ((fuel, kind, "leaks") in told) == (kind == "tankless")
    assert all(row["low_usd"] < row["typical_usd"] < row["high_usd"] for row in rows)


def test_a_repair_is_told_beside_the_four_places_and_moves_none():
    plain, leaking, broken = compared(), compared(trouble="leaks"), compared(trouble="nothing", age_yr=6)
    assert plain.repair is None and leaking.repair is None
    assert comparison_dict(leaking)["advice"]["repair"] is None
    repair = broken.repair
    assert repair is not None and repair.id == "repair-gas-tank-nothing" and repair.is_likely_to_pay
    data = comparison_dict(broken)["advice"]
    assert data["repair"]["state"] == "from memory, unverified"
    assert data["repair"]["chance_it_holds_frac"] == round(repair.lasts.result, 4)
    whole = comparison_dict(plain)["advice"]
    assert {**data, "repair": None} == whole
    text = " ".join(comparison_text(broken).split())
    assert "Or a repair: Most often it is the pilot, the igniter or the gas valve." in text
    assert "our own guess" in text and "licensed person" in text
    assert "Or a repair" not in comparison_text(leaking)


def test_an_old_heater_is_no_longer_worth_it_and_an_age_that_nobody_gave_is_said():
    old, unknown = compared(trouble="nothing", age_yr=24), compared(trouble="nothing")
    assert not old.repair.is_likely_to_pay
    # Common practice, no published source: who mends a tank of 24 years?
    assert "better use of the money" in said(repair_findings(old.repair))
    assert unknown.repair.age_is_assumed and unknown.repair.age_yr == unknown.advice.same_again.costs.life.mean_yr
    assert "failed.age_yr" in {one.field for one in unknown.assumed}
    assert "failed.age_yr" not in {one.field for one in old.assumed}


def test_the_households_own_price_comes_first():
    listed = compared([{"id": "repair-gas-tank-nothing", "price_usd": 90}], trouble="nothing", age_yr=24).repair
    ours = compared(trouble="nothing", age_yr=24).repair
    assert listed.usd == (90, 90, 90) and listed.is_listed and not ours.is_listed
    assert listed.holds.result < ours.holds.result and listed.lasts.result > ours.lasts.result
    assert "$90 by your own price list" in said(repair_findings(listed))
    with pytest.raises(InputError, match="no such heater, job or repair"):
        compared([{"id": "repair-gas-tank-nothings", "price_usd": 90}])


def test_a_box_on_the_wall_that_leaks_may_be_mended():
    repair = compared(kind="tankless", trouble="leaks").repair
    assert repair is not None and not repair.is_tank
    assert "tank leaks" not in said(repair_findings(repair))


def test_where_a_new_heater_saves_more_than_waiting_spares_no_repair_pays():
    house = {
        "place": {"city": "Boston, MA"},
        "household": {"people": 5},
        "failed": {"fuel": "heating_oil", "trouble": "nothing", "age_yr": 3},
        "house": {"fuels": ["heating_oil"]},
        "prices": {"heating_oil_usd_per_gal": 9.0},
    }
    comparison = compare(case_from(house), today=TODAY, by_hand=True)
    repair = comparison.repair
    assert repair.lasts is None and not repair.is_likely_to_pay
    assert "does not pay" in said(repair_findings(repair))
    assert comparison_dict(comparison)["advice"]["repair"]["must_hold_yr"] is None
