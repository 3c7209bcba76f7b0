"""Three routes, and the panel."""

import dataclasses

import pytest

from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK
from advisor.house.electrical.service_load import (
    ServiceLoads,
    check_panel,
    check_service,
    existing_dwelling_load_va,
    one_range_va,
    optional_load_va,
    standard_general_va,
)
from tests.houses import said

HOUSE = ServiceLoads(1800, appliances_va=18_200, cooling_va=5000)


def test_the_knees():
    assert optional_load_va(10_000, 0) == 10_000
    assert optional_load_va(10_100, 0) == 10_040
    assert existing_dwelling_load_va(8000, 0) == 8000
    assert existing_dwelling_load_va(8100, 0) == 8040


def test_the_largest_of_heating_and_cooling_counts():
    house = dataclasses.replace(HOUSE, heat_pump_va=4000, heat_pump_backup_va=10_000, central_heat_va=15_000)
    assert house.optional_heating_cooling_va == 4000 + 6500
    assert house.full_heating_cooling_va == 15_000
    assert dataclasses.replace(HOUSE, room_heat_va=9000, room_heaters=3).optional_heating_cooling_va == 0.65 * 9000
    assert dataclasses.replace(HOUSE, room_heat_va=9000, room_heaters=4).optional_heating_cooling_va == 5000


def test_swapping_an_electric_tank_adds_nothing():
    house = dataclasses.replace(HOUSE, water_heater_va=4500)
    check = check_service(house, service_a=100, new_heater_va=4500)
    assert check.verdict == FITS
    assert check.routes[0].before_a == check.routes[0].after_a


def test_solar_closes_the_measured_route():
    with_meter = check_service(HOUSE, service_a=100, new_heater_va=4500, measured_peak_a=40)
    with_solar = check_service(HOUSE, service_a=100, new_heater_va=4500, measured_peak_a=40, solar=True)
    assert [route.section for route in with_meter.routes] == ["220.82", "220.83", "220.87"]
    assert [route.section for route in with_solar.routes] == ["220.82", "220.83"]
    assert with_meter.routes[2].after_a == pytest.approx(68.75)


def test_two_va_a_square_foot_is_a_setting():
    later = dataclasses.replace(HOUSE, general_va_per_ft2=2.0)
    assert HOUSE.connected_va - later.connected_va == 1800


def test_panel():
    assert check_panel(spaces_needed=0, spaces_free=None).verdict == FITS
    assert check_panel(spaces_needed=2, spaces_free=2).verdict == FITS
    short = check_panel(spaces_needed=6, spaces_free=1, tandem_listed=True)
    assert (short.verdict, short.spaces_short) == (NEEDS_WORK, 5)
    assert "tandem" in said(short.finding)
    overloaded = check_panel(spaces_needed=2, spaces_free=4, panel_a=100, load_a=101)
    assert (overloaded.verdict, overloaded.spaces_short) == (DOES_NOT_FIT, 0)
    assert check_panel(spaces_needed=2, spaces_free=4, panel_a=100, load_a=100).verdict == FITS
    assert check_panel(spaces_needed=2, spaces_free=4, panel_a=61).verdict == FITS
    for trouble in ({"damaged": True}, {"aluminum_branches": True}, {"panel_a": 60}):
        check = check_panel(spaces_needed=2, spaces_free=9, **trouble)
        assert check.verdict == NEEDS_WORK
        assert "old_panel" in check.cautions


def test_a_heater_that_draws_more_than_the_service_does_not_fit_whatever_the_routes_count():
    """72 kW draws 300 A; 220.83 counts four tenths of it and would pass it on 200 A."""
    loads = ServiceLoads(floor_area_ft2=1000, appliances_va=0)
    found = check_service(loads, service_a=200, new_heater_va=72_000)
    assert all(route.carries for route in found.routes)
    assert found.verdict == DOES_NOT_FIT and "300 A" in said(found.finding)
    assert found.least_a == 300
    assert check_service(loads, service_a=300, new_heater_va=72_000).verdict == FITS


def test_an_existing_dwelling_counts_its_heating_in_full():
    """NEC 220.83(B): 100 %, where 220.82(C) takes 65 % of central heat.

    1,000 ft², 8 kW range, dishwasher, 15 kW heat, and a new 4.5 kW tank: general 7,500 + 8,000 + 1,200 + 4,500 =
    21,200; 8,000 + 0.4 x 13,200 = 13,280; and 15,000: 28,280 VA, 117.8 A. At 65 % it came to 96.0 A and passed.
    """
    loads = ServiceLoads(1000, appliances_va=1200, range_va=8000, central_heat_va=15_000)
    check = check_service(loads, service_a=100, new_heater_va=4500)
    optional, existing = check.routes
    assert existing.after_a == pytest.approx(117.8, abs=0.05)
    assert optional.after_a == pytest.approx((10_000 + 0.4 * 11_200 + 0.65 * 15_000) / 240)
    assert check.verdict == DOES_NOT_FIT


def test_the_standard_calculation_stands_beside():
    """NEC 220 Part III by hand (from memory, unverified): 3,000 + 35 % of 6,000; one 12 kW range 8,000; dryer 5,000;
    two fixed appliances in full; the air conditioner in full."""
    loads = ServiceLoads(1500, appliances_va=1200, range_va=12_000, dryer_va=4500, cooling_va=5000)
    beside = check_service(loads, service_a=200, new_heater_va=4500).beside
    assert beside.after_a == pytest.approx((3000 + 0.35 * 6000 + 8000 + 5000 + 1200 + 4500 + 5000) / 240)


def test_what_is_not_there_adds_nothing():
    loads = ServiceLoads(1500)
    assert loads.standard_va(0) == standard_general_va(loads.general_va)
    plain, nothing_pauses = (
        check_service(loads, service_a=100, new_heater_va=4500, **one) for one in ({}, {"pausable_va": 0})
    )
    assert plain == nothing_pauses


def test_four_fixed_appliances_count_three_quarters():
    loads = ServiceLoads(1500, appliances_va=6000, n_appliances=3)
    assert loads.standard_va(4000) - loads.standard_va(0) == pytest.approx(0.75 * 10_000 - 6000)


@pytest.mark.parametrize(
    ("plate_va", "demand_va"),
    [
        (0, 0),
        (3500, 3500),
        (10_000, 8000),
        (12_000, 8000),
        (12_001, 8400),
        (13_000, 8400),
        (14_001, 9200),
        (15_500, 9600),
    ],
)
def test_one_range(plate_va, demand_va):
    assert one_range_va(plate_va) == pytest.approx(demand_va)


def test_sharing_the_load_is_offered_only_where_it_holds():
    """NEC 220.60: of two loads that never run together the smaller is left out.

    36 kW on 150 A with a charger of 9.6 kW: 8,000 + 0.4 x (9,900 + 18,200 + 9,600 + 36,000 - 8,000) + 5,000 are
    39,280 VA, 163.7 A; without the charger 35,440 VA, 147.7 A, and the heater alone draws 150.
    """
    loads = ServiceLoads(1800, appliances_va=18_200 + 9_600, cooling_va=5_000)
    check = check_service(loads, service_a=150, new_heater_va=36_000, pausable_va=9_600)
    assert check.routes[1].after_a == pytest.approx(163.7, abs=0.05)
    assert (check.verdict, check.sharing_a, check.can_share) == (DOES_NOT_FIT, 150.0, True)
    assert not check_service(loads, service_a=149, new_heater_va=36_000, pausable_va=9_600).can_share
    assert not check_service(loads, service_a=150, new_heater_va=36_000, pausable_va=5_000).can_share
