"""Distances at the vent end."""

import numpy as np
import pytest

from advisor.core.errors import InputError
from advisor.core.verdicts import FITS, NEEDS_WORK
from advisor.house.vent.terminal import check_terminal, direct_vent_clearance_in
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


@pytest.mark.parametrize(
    ("input_btuh", "row", "next_row"),
    [(10_000, "small", "medium"), (50_000, "medium", "large"), (150_000, "large", "very_large")],
)
def test_an_input_at_the_limit_keeps_to_the_smaller_row(input_btuh, row, next_row):
    """IFGC 503.8 (3): 6 in. to 10,000 Btu/h, 9 in. to 50,000, 12 in. over 50,000."""
    at_limit, over = (
        _ids(check_terminal("direct_vent", more, condenses=False)) for more in (input_btuh, input_btuh + 1)
    )
    assert f"dv_opening_{row}" in at_limit and f"dv_opening_{next_row}" not in at_limit
    assert f"dv_opening_{next_row}" in over


def test_no_distance_without_an_input():
    np.testing.assert_array_equal(direct_vent_clearance_in([-1.0, 0.0, 0.5, 10_000.0]), [np.nan, np.nan, 6.0, 6.0])


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
    # Of several the one that falls shortest is told, wherever it stands in the table.
    for name in kept:
        measured = {one: inches - (3 if one == name else 0.5) for one, inches in kept.items() if inches}
        several = check_terminal("direct_vent", 140_000, condenses=False, measured_in=measured)
        told = dict(several.finding.numbers)
        assert (told["measured_in"], told["least_in"]) == (kept[name] - 3, kept[name])


def test_a_distance_that_does_not_apply_is_refused():
    with pytest.raises(InputError, match="^measured_in"):
        check_terminal("direct_vent", 140_000, condenses=False, measured_in={"md_opening_below": 50})
