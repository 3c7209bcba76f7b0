"""Flames and heat pumps in rooms."""

import numpy as np
import pytest

from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK
from advisor.house.space.room import check_heat_pump_room, check_location, room_cop_frac, room_heat_btu_per_day
from tests.houses import check as check_trades


@pytest.mark.parametrize("place", ["bedroom", "bathroom"])
def test_open_flame_where_people_sleep_and_bathe(place):
    assert check_location(place, burns_fuel=True).verdict == DOES_NOT_FIT
    assert check_location(place, burns_fuel=True, direct_vent=True).verdict == NEEDS_WORK
    assert check_location(place, burns_fuel=True, sealed_enclosure=True).verdict == NEEDS_WORK
    assert check_location(place, burns_fuel=False).verdict == FITS


def test_garage_counts_inches():
    assert check_location("garage", burns_fuel=True).verdict == NEEDS_WORK
    assert check_location("garage", burns_fuel=True, ignition_height_in=17.9).verdict == NEEDS_WORK
    assert check_location("garage", burns_fuel=True, ignition_height_in=18).verdict == FITS
    assert check_location("garage", burns_fuel=True, vapor_resistant=True).verdict == FITS


def test_closet_and_attic():
    assert check_location("closet", burns_fuel=True).verdict == NEEDS_WORK
    assert check_location("closet", burns_fuel=True, direct_vent=True).verdict == FITS
    assert check_location("attic", burns_fuel=False).verdict == NEEDS_WORK
    assert "attic_access" in {rule.id for rule in check_location("attic", burns_fuel=False).rules}


def test_alarm_rule_is_for_fuel_only():
    assert "co_alarm" in {rule.id for rule in check_location("basement", burns_fuel=True).rules}
    assert "co_alarm" not in {rule.id for rule in check_location("basement", burns_fuel=False).rules}


def test_room_factor_inside_and_outside_what_was_measured():
    assert room_cop_frac(700, 60) == room_cop_frac(700, 300) == 1
    # Laboratory work 2022: 2.96 in 450 ft³ against 3.21 in 700 at 55 gal; 550 ft³ are two fifths of the way.
    assert room_cop_frac(550, 55) == pytest.approx(2.96 / 3.21 + 0.4 * (1 - 2.96 / 3.21))
    assert room_cop_frac([450, 450], [55, 84]) == pytest.approx([2.96 / 3.21, 2.26 / 2.63])
    assert room_cop_frac(5000, 300) == 1
    assert np.isnan(room_cop_frac(449, 60))
    assert np.isnan(room_cop_frac(500, 85))
    assert room_cop_frac(500, 20) == room_cop_frac(500, 55)


def test_an_element_takes_nothing_from_the_room():
    assert room_heat_btu_per_day(30_000, 1.0) == 0
    assert room_heat_btu_per_day(30_000, [1.25, 3.0]) == pytest.approx([6_000, 20_000])
    assert room_heat_btu_per_day(30_000, 0.98) == 0


def _heat_pump(**changes):
    given = {
        "room_ft3": 1200,
        "daily_use_gpd": 60,
        "delivered_btu_per_day": 33_500,
        "working_cop": 3.2,
        "coldest_f": 50,
        "hottest_f": 80,
    }
    return check_heat_pump_room(**{**given, **changes})


def test_heat_pump_room():
    assert _heat_pump().verdict == FITS
    assert _heat_pump(room_ft3=400).verdict == NEEDS_WORK
    assert _heat_pump(room_ft3=400, louvered=True).verdict == FITS
    assert _heat_pump(room_ft3=600).cop_frac < 1
    assert [_heat_pump(room_ft3=ft3).finding.code for ft3 in (600, 5000)] == ["room.air.small", "room.air.ample"]
    assert _heat_pump(room_ft3=600, daily_use_gpd=100).cop_frac is None
    # Government consumer advice: a room of 40 to 90 °F all year.
    for name, last, beyond in (("coldest_f", 40, 39.9), ("hottest_f", 90, 90.1)):
        assert _heat_pump(**{name: last}).verdict == FITS
        assert _heat_pump(**{name: beyond}).verdict == NEEDS_WORK
    assert "heat_pump_beside_flame" in _heat_pump(beside_flame=True).cautions


@pytest.mark.parametrize(
    ("heater", "room_in", "short"),
    [
        ("gas-tank-50", 57, "gas-tank-short-50"),
        ("gas-tank-50", 56, "gas-tank-short-50"),  # 50 in. and 6 in. above it just go in
        ("gas-tank-50", 55.9, ""),
        ("electric-tank-50", 40, "electric-tank-short"),
        ("gas-tank-75", 20, ""),
    ],
)
def test_a_tank_too_tall_for_its_room_has_a_short_model_as_its_way_out(heater, room_in, short):
    """Was: "does not fit", and no word of what would. The short one is a candidate of its own and goes in."""
    room = check_trades(heater, house__room_height_in=room_in).trade("room")
    assert room.verdict == DOES_NOT_FIT
    assert [way.kind.startswith(f"short model {short}") for way in room.ways_out] == ([True] if short else [])
    for way in room.ways_out:
        instead = check_trades(way.kind.removeprefix("short model "), house__room_height_in=room_in).trade("room")
        assert instead is None or instead.verdict != DOES_NOT_FIT
