"""What a heater meets: gathered once from case, place and demand, for one house or for many."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from advisor.case.base import known
from advisor.case.record import Household
from advisor.circumstances import by_month, circumstances_of
from advisor.comparison import compare
from advisor.core.errors import InputError
from advisor.demand.household import demand_of
from advisor.demand.recirculation import NO_LOOP
from advisor.physics.water import heat_in_water_btu
from advisor.place.site import site_for
from tests.circumstances import circumstances
from tests.houses import case_of

TODAY = date(2026, 11, 28)


def gathered(**keys):
    """A case, its place, and what a heater meets there."""
    case = case_of(**keys)
    site = site_for(case, TODAY)
    return case, site, circumstances_of(case, site, demand_of(case.household, case.water, site.mains.mains_f, 50.0))


def test_it_holds_what_the_place_and_the_people_say():
    case, site, met = gathered(place__zip_code="80202", household__set_point_f=130, water__recirculation="timer")
    assert (met.set_point_f, met.use_f) == (130, case.household.use_temperature_f)
    assert (met.heater_space, met.us_state, met.elevation_ft) == ("basement", "CO", site.location.elevation_ft)
    assert met.altitude_frac < 0.9
    assert met.coldest_mains_f == site.mains.coldest_f < met.warmest_mains_f == site.mains.warmest_f
    assert met.coldest_outdoor_f == site.location.outdoor_f.min()
    assert met.daily_gal is met.demand.daily_gal
    assert met.loop.control == "timer" and met.loop.loss_btuh > 0
    assert gathered()[2].loop is NO_LOOP


def test_heat_is_that_of_the_drawn_water():
    met = circumstances(daily_gal=50.0, mains_f=np.linspace(40.0, 62.0, 12))
    np.testing.assert_allclose(met.heat_btu_per_day, heat_in_water_btu(50.0, 120.0 - met.mains_f))
    assert met.mean_heat_btu_per_day == pytest.approx(heat_in_water_btu(50.0, 120.0 - 51.0))


def test_water_that_comes_in_hotter_than_it_is_wanted_takes_no_heat():
    assert not circumstances(set_point_f=90.0, mains_f=95.0).heat_btu_per_day.any()


def test_a_set_point_below_the_cold_water_is_refused():
    with pytest.raises(InputError, match=r"household.set_point_f = 90.*cold water alone comes in at 95") as caught:
        gathered(household__set_point_f=90, water__measured_cold_f=95)
    assert "water.measured_cold_f" in str(caught.value)


def test_houses_may_stand_in_front_of_the_months():
    many = circumstances(
        daily_gal=np.array([[30.0], [60.0]]), set_point_f=np.array([110.0, 140.0]), mains_f=np.full((2, 12), 50.0)
    )
    assert many.heat_btu_per_day.shape == (2, 12)
    assert many.mean_heat_btu_per_day.shape == many.coldest_mains_f.shape == many.warmest_mains_f.shape == (2,)
    for house, (gallons, set_point_f) in enumerate(((30.0, 110.0), (60.0, 140.0))):
        one = circumstances(daily_gal=gallons, set_point_f=set_point_f, mains_f=50.0)
        np.testing.assert_array_equal(many.heat_btu_per_day[house], one.heat_btu_per_day)
        assert many.mean_heat_btu_per_day[house] == one.mean_heat_btu_per_day


def test_a_number_of_each_house_stands_against_months():
    assert (by_month(120.0) - np.zeros(12)).shape == (12,)
    assert (by_month(np.array([110.0, 120.0])) - np.zeros((2, 12))).tolist() == [[110.0] * 12, [120.0] * 12]


def test_a_new_question_to_the_household_ends_no_comparison():
    """What nobody asks for yet is passed over by everyone."""

    class AskedMore(Household):
        """A household with one key more."""

        sauna_evenings: int | None = known("Evenings in the sauna a week", ge=0, le=7)

    case = case_of()
    asked = AskedMore(**{name: getattr(case.household, name) for name in case.household.model_fields_set})
    more = case.model_copy(update={"household": asked.model_copy(update={"sauna_evenings": 3})})
    before, after = (compare(one, today=TODAY) for one in (case, more))
    assert after.case.household.sauna_evenings == 3
    assert [item.money.point_usd for item in after.candidates] == [item.money.point_usd for item in before.candidates]


def test_it_is_one_house_s_own():
    """Two records are never mistaken for each other, and a changed copy works everything out again."""
    one = circumstances(mains_f=50.0)
    other = replace(one, mains_f=np.full(12, 60.0))
    assert one != other and one.coldest_mains_f == 50.0 and other.coldest_mains_f == 60.0
