"""Finding the house: ZIP codes, city names, county join, and errors that help."""

import numpy as np
import pytest

from advisor.core import tables
from advisor.core.errors import InputError, UnsupportedCaseError
from advisor.place.location import county_fips, county_key, distance_mi, locate, read_zip


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
    assert place.air_by_month_f.shape == (12,)
    assert place.air_by_month_f.argmax() in (6, 7)
    assert not place.air_by_month_f.flags.writeable
    assert place.station_distance_mi < 5
    assert place.elevation_source.startswith("assumed")
    assert place.station_name in place.elevation_source
    assert 5000 < place.elevation_ft < 5600
    assert place.notes == ()


def test_lost_zeros_leave_a_note():
    assert "02129" in locate(zip_code=2129).notes[0]
    assert locate(zip_code="02129-1234").notes == ()


def test_a_neighbourhood_takes_the_record_of_its_city():
    place = locate(zip_code="02129")
    assert "Boston, MA" in place.matched_by


@pytest.mark.parametrize(
    ("city", "state"),
    [("Duluth", "MN"), ("Duluth, MN", None), ("duluth mn", None), (" DULUTH , mn ", "MN"), ("Duluth, M.N.", None)],
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
    assert place.county == "Suffolk County"
    assert "post office" in place.matched_by


def test_a_city_without_state_is_taken_only_where_it_is_the_only_one():
    alone = locate(city="Punxsutawney")
    assert alone.state == "PA"
    assert "only" in alone.notes[0]
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
        ({"city": "Denver", "state": "Colorado"}, "place.state"),
        ({"city": "Denver", "state": "XX"}, "place.state"),
        ({"city": "Denver, Colorado"}, "place.city"),
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


@pytest.mark.parametrize("zip_code", ["00901", "96910", "09000"])
def test_territories_and_military_addresses_are_refused(zip_code):
    with pytest.raises(UnsupportedCaseError):
        locate(zip_code=zip_code)


def test_a_city_that_disagrees_with_the_zip_leaves_a_note():
    assert "not the city Boulder" in locate(zip_code="80202", city="Boulder").notes[0]
    assert locate(zip_code="02129", city="Boston").notes == ()


def test_a_given_elevation_is_kept_and_a_great_difference_told():
    place = locate(zip_code="80202", elevation_ft=8000)
    assert (place.elevation_ft, place.elevation_source) == (8000.0, "given")
    assert "colder" in place.notes[0]
    assert locate(zip_code="80202", elevation_ft=5300).notes == ()


def test_a_far_station_is_told():
    assert any("mi away" in note for note in locate(zip_code="99546").notes)  # Adak, in the Aleutians


def test_a_county_without_zone_borrows_and_says_so():
    place = locate(city="Emmonak, AK")
    assert place.county == "Kusilvak Census Area"
    assert place.climate_zone == "8"
    assert any("zone is that of" in note for note in place.notes)


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


def test_every_row_of_the_city_table_joins_to_a_zone():
    zones = {row["county_fips"]: row["climate_zone"] for row in tables.load("county_zones").rows()}
    assert all(zones[fips] for fips in tables.load("places")["county_fips"])
    assert set(zones.values()) - {None} == {zones[fips] for fips in tables.load("places")["county_fips"]}


def test_nearly_every_post_office_finds_its_county():
    """A sample of every 97th ordinary ZIP code: the join is by name, so a few that straddle counties may miss."""
    sample = [r for r in list(tables.load("zip_codes").rows())[::97] if r["kind"] == "standard"]
    sample = [r for r in sample if r["us_state"] in set(tables.load("county_zones")["us_state"])]
    found = [county_fips(r["us_state"], r["county"]) is not None for r in sample]
    assert len(found) > 250
    assert np.mean(found) > 0.99


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
        assert (row["city"], row["us_state"], row["county"] or "") == (
            record["city"],
            record["state"],
            record["county"] or "",
        )
        assert row["county_fips"] == (county_fips(record["state"], record["county"]) if record["county"] else None)
        assert row["active"] == record["active"]
        assert (row["other_cities"] or "") == ";".join(record["acceptable_cities"])
        assert (row["latitude_deg"] or 0.0, row["longitude_deg"] or 0.0) == (
            float(record["lat"]),
            float(record["long"]),
        )


def test_one_zip_is_found_without_the_others():
    whole = {row["zip_code"]: dict(row) for row in tables.load("zip_codes").rows()}
    for code in [*list(whole)[::1009], "00501", list(whole)[-1]]:
        assert dict(tables.find("zip_codes", code)) == whole[code]
    assert tables.find("zip_codes", "00000") is None and tables.find("zip_codes", "") is None
