"""What must hold of every place: bounds, order, balance, and one answer for one house and for many."""

from datetime import date

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.core import tables
from advisor.physics.moist_air import station_pressure_psi, wet_bulb_f
from advisor.place.air import (
    INDOOR_F,
    altitude_frac,
    heater_air_f,
    heater_spaces,
)
from advisor.place.emissions import grid_co2_lb_per_kwh
from advisor.place.location import locate
from advisor.place.mains_water import FLOOR_F, SUPPLIES, city_main_f, mains_of, surface_f
from advisor.place.prices import is_stale
from advisor.place.typed import read_zip
from advisor.place.weather import distance_mi
from tests.place_tables import county_key

#: Islands for which no weather record is held.
NO_WEATHER = {"AS", "FM", "GU", "MH", "MP", "PW"}
quick = settings(max_examples=50, deadline=None)
CITIES = [
    f"{row['town']}, {row['us_state']}" for row in tables.load("towns").rows() if row["us_state"] not in NO_WEATHER
]
COUNTIES = [(row["us_state"], row["county"]) for row in tables.load("county_zones").rows()]
cities = st.sampled_from(CITIES)
air_years = st.lists(st.floats(-10, 100), min_size=12, max_size=12).map(np.array)
supplies = st.sampled_from(sorted(SUPPLIES))
points = st.tuples(st.floats(18, 72), st.floats(-180, -66))


@given(cities)
@quick
def test_the_mean_of_the_mains_is_that_of_the_air_and_six(city):
    """Exact over 365 days; twelve middles of months of unequal length are within 0.15 °F."""
    air = locate(city=city).outdoor_f
    assert abs(city_main_f(air).mean() - air.mean() - 6.0) < 0.15


@given(air_years, supplies)
@quick
def test_no_estimate_is_ice_and_the_extremes_are_of_the_months(air, supply):
    mains = mains_of(air, supply=supply)
    assert FLOOR_F <= mains.coldest_f <= mains.annual_f + 1e-9 <= mains.warmest_f + 2e-9
    assert mains.coldest_f == mains.mains_f.min()


@given(air_years)
@quick
def test_surface_water_is_never_warmer_and_never_more_than_ten_colder(air):
    drop = city_main_f(air) - surface_f(air)
    assert drop.min() >= -1e-9
    assert drop.max() <= 10.0 + 1e-9


@given(air_years, supplies)
@quick
def test_one_house_and_many(air, supply):
    estimate = SUPPLIES[supply]
    both = estimate(np.stack([air, air[::-1]]))
    assert np.array_equal(both[0], estimate(air))
    assert np.array_equal(both[1], estimate(air[::-1]))


@given(cities, st.floats(33, 90))
@quick
def test_the_coldest_month_reads_what_was_measured(city, measured_f):
    mains = mains_of(locate(city=city).outdoor_f, measured_f=measured_f)
    assert abs(mains.coldest_f - measured_f) < 1e-9


@given(cities, st.floats(0, 9000), st.floats(1, 3000))
@quick
def test_higher_is_colder_in_the_air_and_in_the_water(city, elevation_ft, more_ft):
    low, high = (locate(city=city, elevation_ft=ft) for ft in (elevation_ft, elevation_ft + more_ft))
    assert (high.outdoor_f < low.outdoor_f).all()
    assert mains_of(high.outdoor_f).annual_f <= mains_of(low.outdoor_f).annual_f


@given(air_years, st.sampled_from(heater_spaces()))
@quick
def test_air_at_the_heater_lies_between_its_neighbours_and_a_little_warmth(air, space):
    around = heater_air_f(space, air)
    gain = max(tables.load("heater_spaces")["gain_df"])
    assert around.shape == (12,)
    assert around.min() >= min(air.min(), INDOOR_F) - 1e-9
    assert around.max() <= max(air.max(), INDOOR_F) + gain + 1e-9


@given(st.floats(50, 120), st.floats(0.2, 0.94), st.floats(0.01, 0.05))
@quick
def test_moister_air_has_a_higher_wet_bulb(air_f, humidity, more):
    assert wet_bulb_f(air_f, humidity) < wet_bulb_f(air_f, humidity + more)


@given(st.floats(50, 119), st.floats(0.2, 0.9), st.floats(0.5, 3))
@quick
def test_warmer_air_has_a_higher_wet_bulb_below_its_own_temperature(air_f, humidity, more):
    assert wet_bulb_f(air_f, humidity) < wet_bulb_f(air_f + more, humidity)
    assert wet_bulb_f(air_f, humidity) < air_f


@given(st.floats(-300, 14_000), st.floats(1, 900))
@quick
def test_higher_is_thinner_and_burns_no_more(elevation_ft, more):
    assert station_pressure_psi(elevation_ft + more) < station_pressure_psi(elevation_ft)
    assert altitude_frac(elevation_ft + more) <= altitude_frac(elevation_ft) <= 1.0


@given(st.integers(0, 99_999), st.sampled_from(sorted(set(tables.load("state_subregions")["us_state"]))))
@quick
def test_a_grid_rate_lies_in_its_range(number, state):
    rate = grid_co2_lb_per_kwh(f"{number:05d}", state)
    assert 0 < rate.low_lb_per_kwh <= rate.co2_lb_per_kwh <= rate.high_lb_per_kwh
    assert 1 <= len(rate.subregions) == len(set(rate.subregions))


@given(st.integers(100, 99_999))
@quick
def test_a_zip_reads_alike_as_number_and_as_text(number):
    assert read_zip(number) == read_zip(f"{number:05d}") == read_zip(f"{number:05d}-0001") == f"{number:05d}"


@given(st.sampled_from(COUNTIES))
@quick
def test_a_county_key_does_not_mind_case_or_stops(county):
    state, name = county
    assert county_key(state, name) == county_key(state, name.upper()) == county_key(state, name.replace(".", ""))


@given(cities)
@quick
def test_every_city_of_the_table_is_found_as_itself(city):
    place = locate(city=city)
    assert f"{place.city}, {place.state}" == city
    assert place.climate_zone
    assert place == locate(city=city.upper())


@given(points, points, points)
@quick
def test_distance_is_a_distance(a, b, c):
    assert distance_mi(*a, *a) == 0
    assert abs(distance_mi(*a, *b) - distance_mi(*b, *a)) < 1e-6
    assert distance_mi(*a, *c) <= distance_mi(*a, *b) + distance_mi(*b, *c) + 1e-6


@given(st.dates(date(2020, 1, 1), date(2030, 1, 1)), st.integers(0, 3000), st.integers(0, 3000))
@quick
def test_a_stale_price_stays_stale(as_of, days, more):
    first = date.fromordinal(as_of.toordinal() + days)
    later = date.fromordinal(first.toordinal() + more)
    assert is_stale(as_of, later) >= is_stale(as_of, first)
