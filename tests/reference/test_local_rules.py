"""Houses that need care of their own, each with its caution and its job, the section of the code beside it."""

from datetime import date

import pytest

from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK
from tests.houses import ELECTRIC_HOUSE, check, said

TANK, TANKLESS, CONDENSING = "gas-tank-50", "gas-tankless-condensing-180", "gas-tank-condensing-50"
POWER_VENT, HEAT_PUMP, ELECTRIC = "gas-tank-power-vent-50", "heat-pump-50", "electric-tank-50"
GARAGE = {"house__heater_space": "garage"}
#: A garage that follows the weather of Duluth halfway: 35 °F in the mean of January.
COLD = {"air_f": [35.0, 36, 40, 48, 55, 60, 64, 63, 58, 50, 43, 37]}


def cold_place():
    import numpy as np

    return {"air_f": np.array(COLD["air_f"]), "heater_space": "garage"}


def rules_of(heater, place=None, **keys):
    return check(heater, place=place, **keys).trade("rules")


def jobs_of(trade):
    return {job.job for job in trade.items} if trade else set()


@pytest.mark.parametrize(("heater", "job"), [(TANKLESS, True), (CONDENSING, True), (HEAT_PUMP, True), (TANK, False)])
def test_a_garage_whose_mean_is_above_freezing_still_freezes(heater, job):
    """A mean of 35 °F says nothing of the coldest night. Was: no word of frost."""
    found = rules_of(heater, cold_place(), **GARAGE)
    assert ("frost-protection" in jobs_of(found)) == job
    assert "frost" in found.cautions and "22 °F" in said(found.findings)
    assert not jobs_of(rules_of(heater, **GARAGE)), "a garage at 55 °F in winter does not freeze"


def test_cars():
    """IRC M1307.3: protected from impact."""
    assert jobs_of(rules_of(TANK, **GARAGE, house__is_guarded_from_cars=False)) == {"garage-post"}
    assert rules_of(TANK, **GARAGE, house__is_guarded_from_cars=True) is None
    assert "house.is_guarded_from_cars" in {one.field for one in rules_of(TANK, **GARAGE).assumed}


def test_the_height_of_a_flame_in_a_garage():
    """IRC M1307.3 and IFGC 305.3: 18 in. above the floor, but for heaters listed against vapors (IMC 304.3)."""
    low = check(TANK, **GARAGE, house__flame_height_in=6).trade("air")
    assert low.verdict == NEEDS_WORK and "flame-stand" in jobs_of(low)
    assert "flame-stand" not in jobs_of(check(TANK, **GARAGE, house__flame_height_in=18).trade("air"))
    listed = check(TANK, **GARAGE).trade("air")
    assert "flame-stand" not in jobs_of(listed) and "heaters" in {one.field for one in listed.assumed}


@pytest.mark.parametrize("room", ["bedroom", "bathroom"])
def test_a_closet_of_a_bedroom_or_bath(room):
    """IFGC 303.3: no room air for a flame there, but behind a self-closing gasketed door with air from outdoors."""
    closet = {"house__heater_space": "closet", "house__closet_opens_to": room}
    open_flame = check(TANK, **closet).trade("air")
    assert {"sealed-closet", "co-alarm", "combustion-air-one"} == jobs_of(open_flame)
    assert "bedroom_bath" in open_flame.cautions
    assert "combustion-air-indoor" not in {way.kind for way in open_flame.ways_out}
    assert "sealed-closet" not in jobs_of(check(TANK, **closet, house__has_sealed_closet=True).trade("air"))
    sealed = check(TANKLESS, **closet).trade("air")
    assert sealed.verdict == NEEDS_WORK and jobs_of(sealed) == {"co-alarm"}
    hall, unsaid = ({**closet, "house__closet_opens_to": opens_to} for opens_to in ("hall", None))
    assert check(TANK, **hall).trade("air").verdict != DOES_NOT_FIT
    for keys, is_assumed in ((hall, False), (unsaid, True), ({"house__heater_space": "basement"}, False)):
        told = {one.field for one in check(TANK, **keys).trade("air").assumed}
        assert ("house.closet_opens_to" in told) == is_assumed
    assert check(ELECTRIC, **closet, **ELECTRIC_HOUSE).trade("air") is None


def test_a_manufactured_home_takes_a_listed_model():
    found = rules_of(TANK, house__is_manufactured_home=True)
    assert jobs_of(found) == {"manufactured-listing"} and "manufactured_home" in found.cautions
    assert "air from outdoors" in said(found.findings)
    assert "air from outdoors" not in said(
        rules_of(ELECTRIC, house__is_manufactured_home=True, **ELECTRIC_HOUSE).findings
    )


def test_straps_where_the_law_asks_for_them():
    """California Health and Safety Code 19211(a): all new and replacement heaters. Was: only where somebody said so."""
    california = {"state": "CA"}
    assert "seismic-straps" in jobs_of(check(TANK, place=california).trade("water"))
    assert "seismic-straps" not in jobs_of(
        check(TANK, place=california, water__is_earthquake_country=False).trade("water")
    )
    assert "seismic-straps" not in jobs_of(check(TANKLESS, place=california).trade("water"))
    assert "seismic-straps" not in jobs_of(check(TANK, place={"state": "MN"}).trade("water"))


BAY = {"state": "CA", "county_fips": "06001"}


@pytest.mark.parametrize(
    ("heater", "place", "on", "job"),
    [
        # Bay Area Regulation 9 Rule 6: up to 75,000 Btu/h from 2027-01-01.
        (TANK, BAY, date(2026, 12, 31), None),
        (TANK, BAY, date(2027, 1, 1), "district-check"),
        (TANKLESS, BAY, date(2027, 1, 1), None),
        (TANK, {"state": "CA", "county_fips": "06067"}, date(2027, 1, 1), None),
        # South Coast Rule 1146.2: above 75,000 Btu/h, existing buildings from 2029.
        (TANKLESS, {"state": "CA", "county_fips": "06037"}, date(2029, 1, 1), "district-check"),
        (TANKLESS, {"state": "CA", "county_fips": "06037"}, date(2028, 12, 31), None),
        # Utah Code 15A-6-102; Colorado HB 23-1161.
        (TANK, {"state": "UT"}, date(2026, 11, 28), "low-nox-model"),
        (TANKLESS, {"state": "UT"}, date(2026, 11, 28), "low-nox-model"),
        (TANK, {"state": "CO"}, date(2026, 11, 28), "low-nox-model"),
        (TANK, {"state": "MD"}, date(2026, 11, 28), None),
        ("propane-tank-50", {"state": "CO"}, date(2026, 11, 28), None),
        (HEAT_PUMP, BAY, date(2027, 1, 1), None),
    ],
)
def test_rules_on_new_gas_heaters(heater, place, on, job):
    found = rules_of(heater, {**place, "installed_on": on})
    assert jobs_of(found) == ({job} if job else set())
    assert (found.verdict if found else FITS) == (NEEDS_WORK if job else FITS)


def test_a_rule_that_is_coming_is_told():
    found = rules_of(TANK, {**BAY, "installed_on": date(2026, 12, 1)})
    assert "from 2027-01-01" in said(found.findings) and "nox_rule" in found.cautions
