"""A repair of what failed: the survival curve behind it, when it is told, and whose price counts."""

from dataclasses import replace
from datetime import date
from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest

from advisor.case.file import case_from
from advisor.comparison import compare
from advisor.core.errors import InputError
from advisor.core.tables import load
from advisor.money.upkeep import Lifetime, lasts_on_frac, mean_left_yr
from advisor.recommendation.repair import must_hold_yr, repair_of
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
        # Cut off six means ahead: the share exp(-6), 1 in 400 of the mean, is still to come.
        assert mean_left_yr(age_yr, 12.0, 1.0) == pytest.approx(12.0 * (1 - np.exp(-6.0)), rel=1e-5)


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
    assert must_hold_yr(300.0, 0.5) == 600.0
    assert must_hold_yr(300.0, -0.5) == must_hold_yr(0.0, 0.0) == float("inf")


def costing(installed_usd, energy_usd_per_yr, upkeep_usd_per_yr, life):
    """A tank of so much a year, and of so many years."""
    money = SimpleNamespace(installed_usd=SimpleNamespace(point=installed_usd), upkeep_usd_per_yr=upkeep_usd_per_yr)
    heater, costs = SimpleNamespace(is_storage=True), SimpleNamespace(life=life)
    return SimpleNamespace(
        money=money, running_cost=SimpleNamespace(usd_per_yr=energy_usd_per_yr), heater=heater, costs=costs
    )


def repaired(installed_usd, discount_frac=0.0, **failed):
    """A repair beside a heater of 10 years that would save $50 a year, and need $20 less for upkeep."""
    house = {
        "place": {"city": "Columbus, OH"},
        "household": {"people": 4},
        "failed": {"fuel": "natural_gas", "size_gal": 50, "trouble": "nothing", **failed},
        "house": {"fuels": ["natural_gas"]},
        "economics": {"discount_frac": discount_frac},
    }
    # Shape 1: whatever its age, exp(-t / 10) of such heaters run t years longer.
    life = Lifetime(10.0, 1.0, "", "assumed")
    same, new = costing(1_500, 300, 30, life), costing(installed_usd, 250, 10, life)
    return repair_of(case_from(house), "OH", same, new), repair_of(case_from(house), "OH", same, None)


@pytest.mark.parametrize(
    ("installed_usd", "discount_frac", "spared_usd_per_yr"),
    [
        # Over 10 years $2,000 are $200 a year; $50 and $20 of it come back.
        (2_000, 0.0, 130.0),
        # At 10 % an annuity of 10 years is worth 6.1446 payments (any table of annuities): $325.49 a year.
        (2_000, 0.10, 255.49),
        (705, 0.0, 0.5),
        (700, 0.0, 0.0),
        (695, 0.0, -0.5),
    ],
)
def test_what_a_year_of_waiting_spares_by_hand(installed_usd, discount_frac, spared_usd_per_yr):
    repair, unasked = repaired(installed_usd, discount_frac, age_yr=6)
    assert repair.holds.inputs["spared_usd_per_yr"] == pytest.approx(spared_usd_per_yr, abs=0.005)
    assert unasked.holds is None and unasked.lasts is None and unasked.left.result == repair.left.result
    assert repair.left.result == pytest.approx(10.0, rel=0.003) and repair.age_yr == 6 and not repair.assumptions
    if spared_usd_per_yr > 0:
        assert repair.holds.result == pytest.approx(repair.usd[1] / spared_usd_per_yr, rel=1e-4)
        assert repair.lasts.result == pytest.approx(np.exp(-repair.holds.result / 10), abs=1e-9)
    else:
        assert repair.lasts is None and not repair.is_likely_to_pay


def test_eight_of_ten_must_hold_on():
    repair, _ = repaired(2_000)
    assert repair.age_is_assumed and repair.age_yr == 10 and [one.value for one in repair.assumptions] == [10.0]
    for share, is_likely in ((0.8, True), (0.799, False)):
        assert replace(repair, lasts=SimpleNamespace(result=share)).is_likely_to_pay is is_likely


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
