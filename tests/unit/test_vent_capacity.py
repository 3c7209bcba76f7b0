"""Type B capacity: cells, what lies between them, and what does not."""

import numpy as np
import pytest

from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK
from advisor.house.vent.vent_capacity import (
    capacity_with_elbows_btuh,
    check_common_vent,
    check_type_b,
    common_vent_capacity_btuh,
    connector_limits_btuh,
    type_b_capacity_btuh,
)
from tests.houses import said


def test_a_short_lateral_takes_the_shortest_printed_cell():
    assert type_b_capacity_btuh(6, 1, 3) == type_b_capacity_btuh(6, 2, 3)
    assert type_b_capacity_btuh(20, 1, 3) == type_b_capacity_btuh(20, 2, 3) == 51_000
    assert type_b_capacity_btuh(6, 0, 3) > type_b_capacity_btuh(6, 1, 3)


def test_a_printed_height_needs_only_its_own_row():
    # 15 ft at 15 ft lateral is printed; 10 ft stops at 10 ft lateral, so nothing lies between them there.
    assert type_b_capacity_btuh(15, 15, 3) == 37_000
    assert np.isnan(type_b_capacity_btuh(14, 15, 3))


@pytest.mark.parametrize("place", [(5.9, 2, 3), (20.1, 5, 3), (10, 11, 3), (10, 2, 5), (10, -1, 3)])
def test_nothing_is_extrapolated(place):
    assert np.isnan(type_b_capacity_btuh(*place))


def test_a_gap_in_the_common_vent_table_stays_a_gap():
    assert np.isnan(common_vent_capacity_btuh(20, 5))
    assert np.isnan(common_vent_capacity_btuh(25, 5))
    assert common_vent_capacity_btuh(25, 6) == pytest.approx((247_000 + 286_000) / 2)


def test_arrays_of_both_tables():
    heights = np.array([[6.0, 8.0, 11.0], [20.0, 21.0, 15.0]])
    result = type_b_capacity_btuh(heights, 5.0, np.array([3.0, 4.0, 3.0]))
    expected = [[type_b_capacity_btuh(h, 5.0, d) for h, d in zip(row, (3, 4, 3), strict=True)] for row in heights]
    np.testing.assert_array_equal(result, expected)


def test_check_reads_all_three_ways():
    fits = check_type_b(40_000, height_ft=15, lateral_ft=2, diameter_in=3)
    assert (fits.verdict, fits.capacity_btuh, fits.margin_btuh) == (FITS, 48_000, 8000)
    assert check_type_b(50_000, height_ft=15, lateral_ft=2, diameter_in=3).verdict == DOES_NOT_FIT
    unknown = check_type_b(40_000, height_ft=40, lateral_ft=2, diameter_in=3)
    assert (unknown.verdict, unknown.capacity_btuh) == (NEEDS_WORK, None)
    assert "professional" in said(unknown.finding)


def test_liner_and_elbows_take_from_the_capacity():
    check = check_type_b(30_000, height_ft=15, lateral_ft=2, diameter_in=3, extra_90=1, corrugated_liner=True)
    assert check.capacity_btuh == pytest.approx(48_000 * 0.9 * 0.8)
    assert capacity_with_elbows_btuh(48_000, 30, 0) == 0


def test_common_vent_adds_the_inputs():
    assert check_common_vent(100_000, 40_000, height_ft=15, diameter_in=5).margin_btuh == 19_000
    assert check_common_vent(130_000, 40_000, height_ft=15, diameter_in=5).verdict == DOES_NOT_FIT
    assert check_common_vent(100_000, 40_000, height_ft=15, diameter_in=5, extra_90=2).verdict == DOES_NOT_FIT
    two_hoods = check_common_vent(0, 40_000, height_ft=15, diameter_in=5)
    assert (two_hoods.verdict, two_hoods.capacity_btuh) == (NEEDS_WORK, None)


def test_connector_limits_between_and_beyond_the_rises():
    assert connector_limits_btuh(3, 1) == (47_000, 60_000)
    assert connector_limits_btuh(4, 2.5) == (83_000, 117_000)
    assert np.isnan(connector_limits_btuh(4, 4)[0])
    least, largest = connector_limits_btuh(np.array([3.0, 4.0, 5.0]), 2.0)
    np.testing.assert_array_equal(least, [50_000, 81_000, np.nan])
    np.testing.assert_array_equal(largest, [62_000, 115_000, np.nan])


def test_the_least_that_the_table_prints_is_enough():
    """IFGC Table 504.2(1), 4 in., 10 ft high, 2 ft across: a fan-assisted appliance of 17,000 Btu/h at least."""
    place = {"height_ft": 10, "lateral_ft": 2, "diameter_in": 4, "fan_assisted": True}
    codes = [check_type_b(btuh, **place).finding.code for btuh in (16_999, 17_000)]
    assert codes == ["vent.capacity.too_wide", "vent.capacity.at_least"]
