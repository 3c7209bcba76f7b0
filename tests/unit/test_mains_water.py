"""Incoming water: supplies, floor, flags, measured values."""

from calendar import monthrange

import numpy as np
import pytest

from advisor.core.errors import InputError
from advisor.place.location import locate
from advisor.place.mains_water import (
    FLOOR_F,
    MID_MONTH_DAY,
    SUPPLIES,
    city_main_f,
    mains_of,
    mains_on_day_f,
    surface_f,
    well_f,
)
from tests.houses import said

CHICAGO = np.array([26.0, 28.3, 38.0, 48.7, 59.5, 69.5, 74.1, 73.2, 66.2, 54.2, 41.7, 30.9])


def test_the_floor_bites_and_is_flagged_in_alaska():
    mains = mains_of(locate(zip_code="99701").outdoor_f)
    assert mains.coldest_f == FLOOR_F
    assert mains.is_outside_fitted_range
    assert any("measure" in said(note) for note in mains.notes)


def test_a_temperate_city_is_not_flagged():
    mains = mains_of(CHICAGO)
    assert not mains.is_outside_fitted_range
    assert mains.coldest_f == mains.mains_f.min() == mains.mains_f[1]
    assert mains.warmest_f == mains.mains_f.max() == mains.mains_f[7]
    assert mains.annual_f == pytest.approx(mains.mains_f.mean())
    assert not mains.mains_f.flags.writeable


def test_the_middle_day_of_each_month_by_the_calendar():
    ends = np.cumsum([monthrange(2026, month)[1] for month in range(1, 13)])
    starts = np.concatenate([[0], ends[:-1]])
    assert MID_MONTH_DAY.tolist() == ((starts + ends) // 2).tolist()


@pytest.mark.parametrize(
    ("air_f", "coldest_f", "is_outside"),
    [(26.9, 33.0, True), (27.5, 33.5, True), (29.9, 35.9, True), (30.0, 36.0, False)],
)
def test_the_floor_and_the_flag_of_a_year_without_seasons(air_f, coldest_f, is_outside):
    """The formula gives the air's mean and 6 °F; the flag below 36 °F and the floor of 33 °F are our own."""
    mains = mains_of(np.full(12, air_f))
    assert mains.coldest_f == pytest.approx(coldest_f)
    assert mains.is_outside_fitted_range == is_outside
    assert "5 °F" in said(mains.notes[0])


def test_a_cold_lake_is_not_blamed_on_the_formula():
    madison = locate(zip_code="53703").outdoor_f
    mains = mains_of(madison, supply="surface")
    assert mains.coldest_f == FLOOR_F
    assert not mains.is_outside_fitted_range


def test_surface_water_is_ten_degrees_colder_in_its_coldest_month_and_equal_in_its_warmest():
    drop = city_main_f(CHICAGO) - surface_f(CHICAGO)
    assert drop.max() == pytest.approx(10.0)
    assert drop.argmax() == city_main_f(CHICAGO).argmin()
    assert drop.min() == pytest.approx(0.0)
    assert drop.argmin() == city_main_f(CHICAGO).argmax()


def test_a_year_without_seasons_has_no_winter_drop():
    assert np.allclose(surface_f(np.full(12, 75.0)), 81.0)


def test_a_well_is_three_degrees_above_the_air_of_the_year():
    mains = mains_of(CHICAGO, supply="well")
    assert np.allclose(mains.mains_f, CHICAGO.mean() + 3)
    assert mains.coldest_f == mains.warmest_f


def test_a_measured_value_moves_the_year_to_meet_it():
    estimate = mains_of(CHICAGO)
    measured = mains_of(CHICAGO, measured_f=40.0)
    assert measured.coldest_f == pytest.approx(40.0)
    assert np.allclose(np.diff(measured.mains_f), np.diff(estimate.mains_f))
    assert "coldest month" in said(measured.origin)
    assert not measured.is_outside_fitted_range


def test_measured_water_may_be_colder_than_the_floor_but_not_ice():
    for measured_f in (32.0, 100.0):
        assert mains_of(CHICAGO, measured_f=measured_f).coldest_f == pytest.approx(measured_f)


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"supply": "rain"}, "water.supply"),
        ({"measured_f": 31.9}, "water.measured_cold_f"),
        ({"measured_f": 100.1}, "water.measured_cold_f"),
        ({"measured_f": float("nan")}, "water.measured_cold_f"),
        ({"measured_f": "cold"}, "water.measured_cold_f"),
    ],
)
def test_every_refusal_names_its_field(given, field):
    with pytest.raises(InputError) as caught:
        mains_of(CHICAGO, **given)
    assert caught.value.field == field


@pytest.mark.parametrize("supply", sorted(SUPPLIES))
def test_one_house_and_many_give_the_same(supply):
    estimate = SUPPLIES[supply]
    houses = np.stack([CHICAGO, CHICAGO + 10, np.full(12, 75.0)])
    assert np.array_equal(estimate(houses), np.stack([estimate(house) for house in houses]))


def test_a_number_and_an_array_give_the_same():
    days = np.array([1.0, 43.0, 200.0])
    one_by_one = [mains_on_day_f(50.8, 48.1, day) for day in days]
    assert np.array_equal(mains_on_day_f(50.8, 48.1, days), one_by_one)


def test_the_mean_of_a_well_stays_that_of_its_own_house():
    many = well_f(np.stack([CHICAGO, CHICAGO + 10]))
    assert np.allclose(many[1] - many[0], 10.0)
