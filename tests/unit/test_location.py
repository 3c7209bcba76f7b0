"""Finding the house: ZIP codes, city names, county join, and errors that help."""

import numpy as np
import pytest

from advisor.core import paths, tables
from advisor.core.errors import InputError, TableError, UnsupportedCaseError
from advisor.core.long_tables import LongTable, long_table
from advisor.place.location import locate
from advisor.place.typed import read_zip
from advisor.place.weather import distance_mi
from tests.houses import said
from tests.place_tables import county_fips, county_key, towns


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("80202", "80202"),
        (80202, "80202"),
        (2129, "02129"),
        ("2129", "02129"),
        (2129.0, "02129"),
        ("02129-1234", "02129"),
        ("021291234", "02129"),
        (" 02129 ", "02129"),
        (501, "00501"),
    ],
)
def test_a_zip_is_read_as_people_and_spreadsheets_write_it(typed, code):
    assert read_zip(typed) == code


@pytest.mark.parametrize("typed", ["8020x", "80202-12", "", "12", "1234567", -80202, True, 80202.5, float("nan")])
def test_what_is_no_zip_is_refused(typed):
    with pytest.raises(InputError, match="not a ZIP code") as caught:
        read_zip(typed)
    assert caught.value.field == "place.zip_code"


# County facts in the next tests: US Census Bureau county names and codes (FIPS 6-4).
@pytest.mark.parametrize(
    ("zip_code", "city", "state", "county", "fips"),
    [
        ("80202", "Denver", "CO", "Denver County", "08031"),
        ("99701", "Fairbanks", "AK", "Fairbanks North Star Borough", "02090"),
        ("02129", "Charlestown", "MA", "Suffolk County", "25025"),
        ("21201", "Baltimore", "MD", "Baltimore city", "24510"),
        ("21228", "Catonsville", "MD", "Baltimore County", "24005"),
        ("23220", "Richmond", "VA", "Richmond city", "51760"),
        ("63101", "Saint Louis", "MO", "St. Louis city", "29510"),
        ("89701", "Carson City", "NV", "Carson City", "32510"),
        ("99801", "Juneau", "AK", "Juneau Borough", "02110"),
        ("99501", "Anchorage", "AK", "Anchorage Borough", "02020"),
        ("99686", "Valdez", "AK", "Valdez-Cordova Census Area", "02261"),
        ("06103", "Hartford", "CT", "Hartford County", "09003"),
        ("70112", "New Orleans", "LA", "Orleans Parish", "22071"),
    ],
)
def test_a_zip_finds_its_city_and_county(zip_code, city, state, county, fips):
    place = locate(zip_code=zip_code)
    assert (place.zip_code, place.city, place.state) == (zip_code, city, state)
    assert (place.county, place.county_fips) == (county, fips)


def test_a_place_comes_with_its_climate():
    place = locate(zip_code="80202")
    assert place.climate_zone == "5B"
    assert place.outdoor_f.shape == (12,)
    assert place.outdoor_f.argmax() in (6, 7)
    assert not place.outdoor_f.flags.writeable
    assert said(place.elevation_source) == "assumed: the height of Denver"
    assert 5000 < place.elevation_ft < 5600
    assert place.notes == ()


def test_a_place_says_which_stations_how_far_how_high_and_how_much():
    place = locate(zip_code="80202")
    assert len({station.id for station in place.stations}) == 12
    assert sum(station.weight_frac for station in place.stations) == pytest.approx(1.0)
    away = [station.distance_mi for station in place.stations]
    assert away == sorted(away) and away[0] < 5
    weights = [station.weight_frac for station in place.stations]
    assert weights == sorted(weights, reverse=True)
    told = said(place.weather_source)
    assert "12 weather stations" in told and place.stations[0].name in told


def test_lost_zeros_leave_a_note():
    assert "02129" in said(locate(zip_code=2129).notes[0])
    assert locate(zip_code="02129-1234").notes == ()


@pytest.mark.parametrize(
    ("city", "state"),
    [
        ("Duluth", "MN"),
        ("Duluth, MN", None),
        ("duluth mn", None),
        (" DULUTH , mn ", "MN"),
        ("Duluth, M.N.", None),
        ("Duluth", "Minnesota"),
    ],
)
def test_a_city_is_read_as_people_write_it(city, state):
    place = locate(city=city, state=state)
    assert (place.city, place.state, place.climate_zone) == ("Duluth", "MN", "7")
    assert place.zip_code is None


def test_spellings_of_saint_and_fort_meet():
    assert locate(city="Saint Louis, MO") == locate(city="St Louis, MO")
    assert locate(city="Ft. Worth, TX") == locate(city="Fort Worth, TX")


def test_a_city_of_an_independent_city_is_in_no_county():
    assert locate(city="St. Louis, MO").county == "St. Louis city"


def test_a_small_town_is_found_through_its_post_office():
    place = locate(city="Charlestown, MA")
    assert (place.county, said(place.matched_by)) == ("Suffolk County", "Charlestown, MA.")


def test_a_city_without_state_is_taken_only_where_it_is_the_only_one():
    alone = locate(city="Punxsutawney")
    assert alone.state == "PA"
    assert "only" in said(alone.notes[0])
    with pytest.raises(InputError) as caught:
        locate(city="Springfield")
    assert caught.value.field == "place.state"
    assert "add the state" in caught.value.fix


def test_an_unknown_zip_offers_real_ones_near_it():
    with pytest.raises(InputError) as caught:
        locate(zip_code="80200")
    assert caught.value.field == "place.zip_code"
    assert "not found" in caught.value.reason
    assert "80202 Denver CO" in caught.value.fix


def test_a_misspelt_city_offers_near_names():
    with pytest.raises(InputError) as caught:
        locate(city="Mineapolis, MN")
    assert caught.value.field == "place.city"
    assert "Minneapolis, MN" in caught.value.fix


def test_a_city_of_another_state_is_told():
    with pytest.raises(InputError, match="though GA, KS and MN have one"):
        locate(city="Duluth, TX")


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({}, "place"),
        ({"state": "CO"}, "place"),
        ({"zip_code": "", "city": " "}, "place"),
        ({"city": "Denver", "state": "XX"}, "place.state"),
        ({"city": "Denver, CO", "state": "NM"}, "place.state"),
        ({"zip_code": "80202", "state": "NM"}, "place.state"),
        ({"zip_code": "80202", "elevation_ft": 20_000}, "place.elevation_ft"),
        ({"zip_code": "80202", "elevation_ft": float("nan")}, "place.elevation_ft"),
    ],
)
def test_every_refusal_names_its_field(given, field):
    with pytest.raises(InputError) as caught:
        locate(**given)
    assert caught.value.field == field


@pytest.mark.parametrize("zip_code", ["96910", "96799", "96941", "09000"])
def test_islands_without_weather_and_military_addresses_are_refused(zip_code):
    with pytest.raises(UnsupportedCaseError):
        locate(zip_code=zip_code)


@pytest.mark.parametrize(("zip_code", "state"), [("00901", "PR"), ("00802", "VI")])
def test_the_territories_with_stations_have_their_air(zip_code, state):
    place = locate(zip_code=zip_code)
    assert (place.state, place.climate_zone) == (state, "1A")
    assert 74 < place.outdoor_f.min() < place.outdoor_f.max() < 86


def test_a_city_that_disagrees_with_the_zip_leaves_a_note():
    assert "not the city Boulder" in said(locate(zip_code="80202", city="Boulder").notes[0])
    assert locate(zip_code="02129", city="Boston").notes == ()


def test_a_given_elevation_moves_the_air_and_a_great_difference_is_told():
    given, usual = locate(zip_code="80202", elevation_ft=8000), locate(zip_code="80202")
    assert (given.elevation_ft, said(given.elevation_source)) == (8000.0, "given")
    assert np.allclose(usual.outdoor_f - given.outdoor_f, 3.0 * (8000 - usual.elevation_ft) / 1000)
    assert "colder" in said(given.notes[0])
    assert locate(zip_code="80202", elevation_ft=5300).notes == ()


def test_a_far_station_is_told():
    assert any("mi away" in said(note) for note in locate(zip_code="99546").notes)  # Adak, in the Aleutians


def test_a_county_without_zone_borrows_and_says_so():
    place = locate(city="Emmonak, AK")
    assert place.county == "Kusilvak Census Area"
    assert place.climate_zone == "8"
    assert any("zone is that of" in said(note) for note in place.notes)


@pytest.mark.parametrize(
    ("state", "one", "other"),
    [
        ("AK", "Municipality of Anchorage", "Anchorage Borough"),
        ("AK", "City and Borough of Juneau", "Juneau Borough"),
        ("AK", "Sitka City and Borough", "Sitka Borough"),
        ("NM", "Doña Ana County", "Dona Ana County"),
        ("MO", "Saint Louis County", "St. Louis County"),
        ("MD", "Prince George's County", "Prince Georges County"),
        ("LA", "La Salle Parish", "LaSalle Parish"),
    ],
)
def test_spellings_of_a_county_fall_together(state, one, other):
    assert county_fips(state, one) == county_fips(state, other) is not None


@pytest.mark.parametrize("name", ["Baltimore", "St. Louis", "Richmond", "Fairfax", "Roanoke", "Franklin"])
def test_an_independent_city_and_its_namesake_county_stay_apart(name):
    state = {"Baltimore": "MD", "St. Louis": "MO"}.get(name, "VA")
    city, county = county_fips(state, f"{name} city"), county_fips(state, f"{name} County")
    assert city and county and city != county


def test_alaska_s_divided_area_keeps_its_zone():
    assert county_fips("AK", "Chugach Census Area") == county_fips("AK", "Copper River Census Area") == "02261"


def test_no_two_counties_share_a_key():
    rows = tables.load("county_zones").rows()
    keys = [county_key(row["us_state"], row["county"]) for row in rows]
    assert len(set(keys)) == len(keys) == 3142


def test_distance_takes_numbers_and_arrays_alike():
    many = distance_mi(39.74, -104.99, np.array([39.74, 41.88]), np.array([-104.99, -87.63]))
    assert many[0] == 0.0
    assert many[1] == distance_mi(39.74, -104.99, 41.88, -87.63)
    # A quarter of the meridian on a sphere of the radius used: geometry.
    assert distance_mi(0.0, 0.0, 90.0, 0.0) == pytest.approx(3958.8 * np.pi / 2)


def test_the_table_of_zip_codes_is_the_package():
    """zipcodes, the package that the table was made from: every record of it, nothing else."""
    import zipcodes

    for record, row in zip(zipcodes.list_all(), tables.load("zip_codes").rows(), strict=True):
        assert row["zip_code"] == record["zip_code"]
        assert row["kind"] == record["zip_code_type"].lower().replace(" ", "_")
        assert (row["city"], row["us_state"]) == (record["city"], record["state"])
        assert row["county_fips"] == (county_fips(record["state"], record["county"]) if record["county"] else None)
        assert row["active"] == record["active"]
        if not (row["us_state"] == "AK" and row["elevation_how"] == "station"):
            where = float(record["lat"]), float(record["long"])
            assert (row["latitude_deg"] or 0.0, row["longitude_deg"] or 0.0) == where


def test_a_rural_post_office_of_alaska_stands_in_its_town():
    """Nome's airfield, by its own weather station; the package puts the post office 45 miles inland."""
    station = tables.load("stations").find("USW00026617")
    nome = tables.load("zip_codes").find("99762")
    assert (nome["latitude_deg"], nome["longitude_deg"]) == (station["latitude_deg"], station["longitude_deg"])


def test_the_table_of_towns_is_what_the_package_names():
    kept = [{name: str(value) for name, value in row.items()} for row in tables.load("towns").rows()]
    assert kept == towns()


@pytest.mark.parametrize("name", ["zip_codes", "towns", "stations", "county_zones", "grid_subregions"])
def test_a_row_is_found_without_the_others(name):
    whole, long = tables.load(name), long_table(name)
    keys = list(whole[whole.columns and next(iter(whole.columns))])
    assert keys == sorted(keys) and len(long) == len(whole)
    for index in [*range(0, len(keys), 997), len(keys) - 1]:
        assert dict(long.row(index)) == dict(whole.row(index))
        assert dict(whole.row(index)) in [dict(row) for row in long.all(keys[index])]
    assert long.find("") is None and long.find("zzzzz") is None and long.find("x" * 99) is None


def test_a_damaged_long_table_names_its_file(tmp_path, monkeypatch):
    monkeypatch.setattr("advisor.core.long_tables.DATA", tmp_path)
    text = (paths.DATA / "towns.csv").read_bytes()
    for content in (b"", text[:-1], text.replace(b"town_key", b"town_kez"), text.replace(b"Aaron  ", b"Aaron", 1)):
        (tmp_path / "towns.csv").write_bytes(content)
        with pytest.raises(TableError, match=r"towns\.csv"):
            LongTable("towns")
