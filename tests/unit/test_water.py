"""Water and the heat balance: hand sums and edges. ``tests/reference/test_water.py`` holds the published values."""

import numpy as np
import pytest

from advisor.physics.water import heat_in_water_btu, heated_flow_gpm, hot_share_frac, water_density_lb_per_gal


def test_heat_by_hand():
    assert heat_in_water_btu(50, 67) == pytest.approx(50 * 8.24 * 67)
    assert heat_in_water_btu(0, 67) == 0
    assert heat_in_water_btu(50, 0) == 0
    np.testing.assert_allclose(heat_in_water_btu(np.array([1, 2]), 10), [82.4, 164.8])


def test_heat_and_flow_close():
    """What a flow carries away in an hour is the output that heats it."""
    outputs, rises = np.meshgrid([10_000.0, 160_000.0, 199_000.0], [0.5, 20.0, 67.0, 90.0])
    flow_gpm = heated_flow_gpm(outputs, rises)
    np.testing.assert_allclose(heat_in_water_btu(flow_gpm * 60, rises), outputs, rtol=1e-12)


def test_the_trades_five_hundred():
    # Common practice, no published source: Btu/h = 500 x gpm x rise. 60 x 8.24 = 494.4; the trade rounds 60 x 8.33.
    assert 160_000 / (heated_flow_gpm(160_000, 67) * 67) == pytest.approx(500, rel=0.012)


@pytest.mark.parametrize("rise_df", [0, -5, 0.0])
def test_nothing_to_heat_is_no_limit(rise_df):
    assert heated_flow_gpm(160_000, rise_df) == np.inf
    assert heated_flow_gpm(0, rise_df) == np.inf
    assert np.array_equal(heated_flow_gpm(1e5, np.array([rise_df, 1e9])) == np.inf, [True, False])


@pytest.mark.parametrize(
    ("use_f", "hot_f", "cold_f", "share"),
    [
        (105, 120, 50, 55 / 70),
        (105, 140, 40, 0.65),
        (50, 120, 50, 0),  # the tap wants it as cold as it comes
        (40, 120, 50, 0),  # colder than the cold: nothing hot is drawn
        (120, 120, 50, 1),
        (105, 95, 50, 1),  # cooler than wanted: all hot, and still short
        (105, 50, 50, 1),  # nothing to mix with
        (40, 50, 50, 1),
        (105, 50, 60, 1),  # a heater that is off stands colder than the mains
    ],
)
def test_hot_share(use_f, hot_f, cold_f, share):
    assert hot_share_frac(use_f, hot_f, cold_f) == pytest.approx(share)


def test_mixing_closes():
    """Hot and cold in that share give the wanted temperature."""
    use, hot, cold = np.meshgrid([90.0, 105.0, 110.0], [112.0, 120.0, 140.0], [35.0, 55.0, 80.0])
    share = hot_share_frac(use, hot, cold)
    np.testing.assert_allclose(share * hot + (1 - share) * cold, use, rtol=1e-12)


def test_density_ends_where_water_freezes_and_boils():
    assert np.isfinite(water_density_lb_per_gal(32.0))
    assert np.isfinite(water_density_lb_per_gal(212.0))
    for outside_f in (31.9, 212.1, -40.0, np.nan):
        assert np.isnan(water_density_lb_per_gal(outside_f))
    readings = np.array([20.0, 60.0, 250.0])
    assert np.isnan(water_density_lb_per_gal(readings)).tolist() == [True, False, True]


def test_density_falls_from_its_peak():
    readings = np.arange(40.0, 212.0)
    assert np.all(np.diff(water_density_lb_per_gal(readings)) < 0)
    assert water_density_lb_per_gal(39.2) > water_density_lb_per_gal(32.0)
