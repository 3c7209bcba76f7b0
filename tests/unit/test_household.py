"""The household's record: what is gathered, what is assumed and what is asked again."""

from types import SimpleNamespace

import numpy as np
import pytest

from advisor.case.record import Use as CaseUse
from advisor.core.units import DAYS_BY_MONTH
from advisor.money.cost_arrays import use_sigma
from tests.circumstances import household_demand
from tests.houses import said

MAINS = np.array([45.0, 46, 49, 54, 60, 66, 70, 71, 68, 62, 55, 49])
USUAL = {"people": 3, "bedrooms": 3, "full_baths": 2, "set_point_f": 120.0, "mains_f": MAINS}


def test_winter_sets_the_busy_hour_and_summer_the_smallest_flow():
    demand = household_demand(**USUAL)
    assert demand.daily_gal.argmax() == MAINS.argmin()
    assert demand.annual_gal == pytest.approx(np.dot(demand.daily_gal, DAYS_BY_MONTH))
    share = (105 - 45) / (120 - 45)
    assert demand.busy_hour_gal == pytest.approx(3 * 2.1 * 7.8 * share + 3 * 1.5)
    assert demand.simultaneous_gpm == pytest.approx(2 * 2.1 * share + 0.75)
    assert demand.smallest_summer_gpm == pytest.approx(1.2 * (105 - 71) / (120 - 71))
    assert demand.smallest_winter_gpm == pytest.approx(1.2 * share)
    assert [flow.name for flow in demand.steady_flows] == ["shower", "basin tap"]
    with pytest.raises(ValueError, match="read-only"):
        demand.daily_gal[0] = 0


def test_measured_use_keeps_the_shape_of_the_year():
    assumed, measured = household_demand(**USUAL), household_demand(**USUAL, hot_water_gpd=40.0)
    assert measured.annual_gal == pytest.approx(40 * 365)
    ratio = measured.daily_gal / assumed.daily_gal
    np.testing.assert_allclose(ratio, ratio[0], rtol=1e-12)
    fields = [item.field for item in measured.assumptions]
    assert "household.hot_water_gpd" in [item.field for item in assumed.assumptions]
    assert "household.hot_water_gpd" not in fields


def test_own_uses_replace_the_default_and_its_assumptions():
    uses = (
        CaseUse(name="shower", mixed_gpm=2.5, duration_min=10, count=2, together=2),
        CaseUse(name="bar sink", mixed_gpm=0.6, duration_min=1, together=0),
    )
    demand = household_demand(**USUAL, uses=uses)
    share = (105 - 45) / (120 - 45)
    assert demand.simultaneous_gpm == pytest.approx(5.0 * share)
    assert demand.busy_hour_gal == pytest.approx((50 + 0.6) * share)
    assert demand.smallest_winter_gpm == pytest.approx(0.6 * share)
    assert demand.worksheet.left_out == ("bar sink",)
    assert [item.field for item in demand.assumptions] == ["household.hot_water_gpd"]


def test_bathrooms_not_given_are_listed_as_assumed():
    known = {**USUAL, "full_baths": None}
    assert ("household.full_baths", 2) in [(a.field, a.value) for a in household_demand(**known).assumptions]
    known["bedrooms"] = 1
    assert ("household.full_baths", 1) in [(a.field, a.value) for a in household_demand(**known).assumptions]


def test_bedrooms_alone_give_gallons_in_a_wider_range():
    by_bedrooms = household_demand(**{**USUAL, "people": None})
    by_people = household_demand(**USUAL)  # three people usually live in three bedrooms
    np.testing.assert_array_equal(by_bedrooms.daily_gal, by_people.daily_gal)
    assert (by_bedrooms.known_by, by_people.known_by) == ("people_unknown", "people_known")
    assert use_sigma(by_bedrooms.known_by) > use_sigma(by_people.known_by)
    assert household_demand(bedrooms=3, hot_water_gpd=40.0).known_by == "measured"


def test_many_people_for_the_bedrooms_are_asked_again():
    assert household_demand(**USUAL).notes == ()
    (note,) = household_demand(**{**USUAL, "people": 7}).notes
    assert "3 bedrooms" in said(note) and "7 given" in said(note)
    assert "stretched beyond" in said(household_demand(**{**USUAL, "people": 7}).assumptions[0].reason)
    assert "stretched beyond" not in said(household_demand(**USUAL).assumptions[0].reason)


def test_a_cool_set_point_is_said():
    (note,) = household_demand(**{**USUAL, "set_point_f": 100.0}).notes
    assert "100 °F" in said(note) and "shower" in said(note)


def test_a_loop_multiplies_heat_and_saves_water():
    bare, loop = household_demand(**USUAL), household_demand(**USUAL, recirculation="always")
    assert loop.annual_gal < bare.annual_gal


def test_any_record_of_a_use_will_do():
    use = SimpleNamespace(name="tub", mixed_gpm=6.0, duration_min=10.0, use_f=105.0, count=1, together=1)
    assert household_demand(**USUAL, uses=[use]).busy_hour_uses[0].name == "tub"
