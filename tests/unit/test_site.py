"""Everything about a place, gathered."""

from datetime import date

import numpy as np
import pytest

from advisor.core.errors import InputError
from advisor.physics.moist_air import station_pressure_psi, wet_bulb_f
from advisor.place.air import HUMIDITY_FRAC, altitude_frac
from advisor.place.emissions import grid_co2_lb_per_kwh
from advisor.place.mains_water import mains_of
from advisor.place.prices import state_prices
from advisor.place.site import site_for, site_of
from tests.houses import case_of, said

TODAY = date(2026, 11, 25)


def test_a_site_holds_what_its_parts_say():
    site = site_of(zip_code="80202", heater_space="basement", supply="surface", today=TODAY)
    where = site.location
    assert site.mains == mains_of(where.outdoor_f, supply="surface")
    assert site.prices == state_prices("CO", today=TODAY)
    assert site.grid == grid_co2_lb_per_kwh("80202", "CO")
    assert site.altitude_frac == altitude_frac(where.elevation_ft)
    assert site.pressure_psi == station_pressure_psi(where.elevation_ft)
    wet_bulb = wet_bulb_f(site.air_f, HUMIDITY_FRAC, site.pressure_psi)
    assert np.array_equal(site.wet_bulb_f, wet_bulb)
    assert np.all(wet_bulb < site.air_f)
    assert not site.air_f.flags.writeable


def test_altitude_frost_age_and_grid_are_cautioned_where_they_matter():
    denver = said(site_of(zip_code="80202", heater_space="garage", today=date(2028, 6, 1)).cautions)
    assert "burns about 21% less" in denver
    assert "licensed installer" in denver
    assert "natural gas price is that of" in denver
    miami = said(site_of(city="Miami, FL", heater_space="garage", today=date(2024, 6, 1)).cautions)
    assert "burns" not in miami
    assert "freeze" not in miami
    assert "price is that" not in miami
    fairbanks = said(site_of(zip_code="99701", heater_space="garage", today=TODAY).cautions)
    assert "freeze" in fairbanks
    assert "measure your water" in fairbanks
    mississippi = said(site_of(zip_code="38621", heater_space="closet", today=TODAY).cautions)
    assert "SRMV, SRSO and SRTV" in mississippi


def test_what_was_assumed_is_told_and_what_was_given_is_not():
    told = {item.field: item.value for item in site_for(case_of(place__zip_code="80202"), TODAY).assumptions}
    assert told["place.elevation_ft"] == pytest.approx(5280, abs=200)
    assert 32 < told["water.measured_cold_f"] < 60
    assert "house.heater_space" not in told
    given = case_of(place__zip_code="80202", place__elevation_ft=5300, water__measured_cold_f=44)
    assert site_for(given, TODAY).assumptions == ()


@pytest.mark.parametrize(("zip_code", "space"), [("80202", "basement"), ("33101", "garage")])
def test_where_the_heater_stands_is_assumed_from_the_climate(zip_code, space):
    site = site_for(case_of(place__zip_code=zip_code, house__heater_space=None), TODAY)
    assert site.heater_space == space
    assert ("house.heater_space", space) in [(item.field, item.value) for item in site.assumptions]


def test_a_measured_temperature_reaches_the_water():
    site = site_of(zip_code="80202", measured_mains_f=44.0, heater_space="closet", today=TODAY)
    assert site.mains.coldest_f == pytest.approx(44.0)


def test_the_wet_bulb_is_known_in_the_coldest_place_too():
    site = site_of(zip_code="99701", heater_space="outdoors", today=TODAY)
    coldest = site.air_f.min()
    assert coldest < -4.0
    assert coldest - 1.5 < site.wet_bulb_f.min() < coldest


def test_a_refusal_of_a_part_comes_through():
    with pytest.raises(InputError, match=r"house\.heater_space"):
        site_of(zip_code="80202", heater_space="roof", today=TODAY)
