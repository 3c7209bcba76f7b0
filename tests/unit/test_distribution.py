"""The wait at the tap."""

import math

import pytest

from advisor.core.errors import InputError
from advisor.house.water.distribution import Pipe, check_wait, hot_water_wait_s, pipe_content_floz_per_ft, wasted_gal
from tests.houses import said


def test_start_delay_adds_to_the_wait():
    assert hot_water_wait_s(1.0, 2.0, 1.0, 5.0) == 35
    assert math.isinf(hot_water_wait_s(1.0, 0.0)) and math.isinf(hot_water_wait_s(0.0, 0.0))
    # Without a delay, and purged 1.25 times: a gallon at 2 gpm.
    assert hot_water_wait_s(1.0, 2.0) == 37.5
    assert hot_water_wait_s(1.0, 0.5) == 150


def test_waste_is_flow_times_wait():
    wait = check_wait([Pipe("copper_l", "3/4", 60)], flow_gpm=1.5, start_delay_s=6)
    assert wait.wasted_gal == pytest.approx(wasted_gal(wait.wait_s, 1.5))
    assert wait.wasted_gal_per_yr == pytest.approx(wait.wasted_gal * 6 * 365)
    assert "unacceptable" in said(wait.finding)
    assert wasted_gal(75.0, 1.5) == 1.875


@pytest.mark.parametrize(("feet", "rating"), [(10, "acceptable"), (40, "marginal"), (120, "unacceptable")])
def test_ratings(feet, rating):
    found = check_wait([Pipe("pex_sdr9", "1/2", feet)], flow_gpm=1.5).finding
    assert found.number("rating").code == f"water.wait.{rating}"


def test_the_start_of_a_tankless_heater_raises_its_caution():
    pipe = [Pipe("copper_l", "3/4", 60)]
    assert check_wait(pipe, flow_gpm=1.5, start_delay_s=0.5).cautions == ("tankless_flow",)
    assert check_wait(pipe, flow_gpm=1.5).cautions == ()


@pytest.mark.parametrize(("seconds", "rating"), [(10, "acc"), (10.1, "marginal"), (30, "marginal"), (30.1, "un")])
def test_classes_of_the_wait(seconds, rating):
    """American Society of Plumbing Engineers' classes, seen second-hand: to 10 s, to 30 s, beyond.

    3/4 in. copper type L holds 3.22 fl oz/ft (IPC 2009 Table E202.1): 40 ft, 1.006 gal; purged 1.25 times at 60 s a
    minute, it takes 75.47 / gpm seconds.
    """
    flow_gpm = 60 * 1.25 * 40 * 3.22 / 128 / seconds
    found = check_wait([Pipe("copper_l", "3/4", 40)], flow_gpm=flow_gpm * (1 + 1e-9)).finding
    assert found.number("rating").code.startswith(f"water.wait.{rating}")


def test_pipe_that_is_not_printed_is_refused():
    with pytest.raises(InputError, match="water.pipe_size_in"):
        pipe_content_floz_per_ft("cpvc_sdr11", "3/8")
    with pytest.raises(InputError, match="water.pipe_material"):
        pipe_content_floz_per_ft("lead", "1/2")
