"""Air for the fire: room, next rooms, outdoors."""

import numpy as np
import pytest

from advisor.core.verdicts import FITS, NEEDS_WORK
from advisor.house.air.combustion_air import (
    check_combustion_air,
    combined_outdoor_area_in2,
    known_infiltration_volume_ft3,
    louver_face_area_in2,
    opening_free_area_in2,
)
from tests.houses import said


def test_no_flame_that_breathes_the_room():
    check = check_combustion_air(draft_hood_btuh=0, room_ft3=200)
    assert check.verdict == FITS
    assert check.required_ft3 == 0


def test_large_room_is_enough():
    assert check_combustion_air(draft_hood_btuh=40_000, room_ft3=2000).verdict == FITS
    assert check_combustion_air(draft_hood_btuh=40_000, room_ft3=1999).verdict == NEEDS_WORK


def test_a_measured_tight_house_needs_more_than_the_standard():
    standard = check_combustion_air(draft_hood_btuh=40_000, room_ft3=3000)
    tight = check_combustion_air(draft_hood_btuh=40_000, room_ft3=3000, infiltration_ach=0.2)
    assert standard.verdict == FITS
    assert (tight.required_ft3, tight.verdict) == (pytest.approx(4200), NEEDS_WORK)


def test_a_measured_loose_house_may_use_the_smaller_volume():
    at_half = check_combustion_air(draft_hood_btuh=40_000, room_ft3=300, infiltration_ach=0.5)
    at_limit = check_combustion_air(draft_hood_btuh=40_000, room_ft3=300, infiltration_ach=0.40)
    assert (at_half.required_ft3, said(at_half.method)) == (pytest.approx(1680), "known infiltration")
    assert at_limit.required_ft3 == 2000


def test_more_than_0_6_air_changes_are_not_credited():
    assert known_infiltration_volume_ft3(40_000, 0, 2.0) == known_infiltration_volume_ft3(40_000, 0, 0.6)
    assert np.isnan(known_infiltration_volume_ft3(40_000, 0, 0.0))


def test_next_rooms_help_only_where_they_are_large_enough():
    small = check_combustion_air(draft_hood_btuh=140_000, room_ft3=500, joined_ft3=3000)
    large = check_combustion_air(draft_hood_btuh=140_000, room_ft3=500, joined_ft3=7000)
    assert "indoor_same_storey" not in {way.arrangement for way in small.ways_out}
    indoor = large.ways_out[0]
    assert (indoor.arrangement, indoor.openings, indoor.free_area_in2) == ("indoor_same_storey", 2, 140)


def test_room_air_shrinks_the_outdoor_opening():
    check = check_combustion_air(draft_hood_btuh=140_000, room_ft3=3500)
    one = next(way for way in check.ways_out if way.arrangement == "outdoor_one")
    assert one.free_area_in2 == pytest.approx(140_000 / 3000 / 2)
    assert one.face_area_in2 == pytest.approx(one.free_area_in2 / 0.75)


def test_wood_louvers_are_three_times_as_large():
    assert louver_face_area_in2(30.0, 0.25) == 3 * louver_face_area_in2(30.0, 0.75)


def test_edges_of_the_formulas():
    assert opening_free_area_in2(0.0, 1000.0, 100.0) == 0
    assert opening_free_area_in2(1.0, 1000.0, 100.0) == 100
    assert combined_outdoor_area_in2(50.0, 9000.0, 7000.0) == 0
    assert combined_outdoor_area_in2(50.0, 0.0, 7000.0) == 50
    assert combined_outdoor_area_in2(50.0, 0.0, 0.0) == 0
