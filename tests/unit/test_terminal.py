"""Distances at the vent end."""

import pytest

from advisor.core.errors import InputError
from advisor.core.verdicts import FITS, NEEDS_WORK
from advisor.house.vent.terminal import check_terminal
from tests.houses import said


def _ids(check):
    return {item.id for item in check.clearances}


def test_only_the_band_of_this_input_is_listed():
    small = _ids(check_terminal("direct_vent", 40_000, condenses=False))
    large = _ids(check_terminal("direct_vent", 140_000, condenses=False))
    assert "dv_opening_medium" in small
    assert "dv_opening_large" not in small
    assert "dv_opening_large" in large
    assert "dv_opening_very_large" not in large


def test_very_large_inputs_carry_the_unverified_row():
    check = check_terminal("direct_vent", 199_000, condenses=True)
    row = next(item for item in check.clearances if item.id == "dv_opening_very_large")
    assert row.required_in is None
    assert row.kept is None
    assert row.state == "from memory, unverified"
    assert "plume" in _ids(check)


def test_mechanical_draft_has_its_own_rows():
    check = check_terminal("mechanical_draft", 40_000, condenses=False)
    assert {"md_opening_below", "forced_inlet", "meter", "walkway"} <= _ids(check)
    assert "dv_opening_medium" not in _ids(check)
    assert check.verdict == NEEDS_WORK


def test_measured_distances_are_compared():
    asked = check_terminal("direct_vent", 140_000, condenses=False).clearances
    kept = {item.id: item.required_in for item in asked}
    assert check_terminal("direct_vent", 140_000, condenses=False, measured_in=kept).verdict == FITS
    short = check_terminal("direct_vent", 140_000, condenses=False, measured_in={**kept, "grade": 11.5})
    assert short.verdict == NEEDS_WORK
    assert "11.5 in." in said(short.finding)


def test_a_distance_that_does_not_apply_is_refused():
    with pytest.raises(InputError, match="^measured_in"):
        check_terminal("direct_vent", 140_000, condenses=False, measured_in={"md_opening_below": 50})
