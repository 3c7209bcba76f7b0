"""The wait at the tap."""

import math

import pytest

from advisor.core.errors import InputError
from advisor.house.water.distribution import Pipe, check_wait, hot_water_wait_s, pipe_content_floz_per_ft, wasted_gal
from tests.houses import said


def test_start_delay_adds_to_the_wait():
    assert hot_water_wait_s(1.0, 2.0, 1.0, 5.0) == 35
    assert math.isinf(hot_water_wait_s(1.0, 0.0))


def test_waste_is_flow_times_wait():
    wait = check_wait([Pipe("copper_l", "3/4", 60)], flow_gpm=1.5, start_delay_s=6)
    assert wait.wasted_gal == pytest.approx(wasted_gal(wait.wait_s, 1.5))
    assert wait.wasted_gal_per_yr == pytest.approx(wait.wasted_gal * 6 * 365)
    assert "unacceptable" in said(wait.finding)


@pytest.mark.parametrize(("feet", "rating"), [(10, "acceptable"), (40, "marginal"), (120, "unacceptable")])
def test_ratings(feet, rating):
    found = check_wait([Pipe("pex_sdr9", "1/2", feet)], flow_gpm=1.5).finding
    assert found.number("rating").code == f"water.wait.{rating}"


def test_pipe_that_is_not_printed_is_refused():
    with pytest.raises(InputError, match="water.pipe_size_in"):
        pipe_content_floz_per_ft("cpvc_sdr11", "3/8")
    with pytest.raises(InputError, match="water.pipe_material"):
        pipe_content_floz_per_ft("lead", "1/2")
