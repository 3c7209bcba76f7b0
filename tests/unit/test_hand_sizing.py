"""Verdicts and the two flows below which a tankless heater does not serve."""

from dataclasses import replace

import numpy as np
import pytest

from advisor.core.verdicts import FALLS_SHORT, KEEPS_UP, WITH_CARE
from advisor.heaters.catalogue import by_id
from advisor.heaters.hand_sizing import (
    AMPLE_RATIO,
    LEAST_RATIO,
    hand_method,
    least_steady_flow_gpm,
    local_first_hour_gal,
    local_max_flow_gpm,
    rated_recovery_gph,
    storage_capacity,
    tankless_capacity,
)
from tests.circumstances import asking, circumstances
from tests.houses import said

RATED = circumstances(set_point_f=125.0, mains_f=np.linspace(58.0, 75.0, 12))
TANKLESS = by_id("gas-tankless-180")


def _tankless(heater=TANKLESS, met=RATED, *, asked=3.0, shower=1.3, tap=0.7):
    return tankless_capacity(
        heater, asking(met, simultaneous_gpm=asked, summer_shower_gpm=shower, smallest_summer_gpm=tap)
    )


def _tank(heater, busy_hour_gal, met=RATED):
    return storage_capacity(heater, asking(met, busy_hour_gal=busy_hour_gal))


def test_one_and_many_agree():
    rises = np.array([-5.0, 0.0, 20.0, 67.0, 90.0])
    for function, arguments in (
        (local_first_hour_gal, (82.0, 56.5, 48.0)),
        (local_max_flow_gpm, (5.0,)),
        (least_steady_flow_gpm, (19_900.0, 0.95)),
    ):
        together = function(*arguments, rises)
        assert together.tolist() == [function(*arguments, float(rise)) for rise in rises]


def test_stored_gallons_stay_and_reheated_ones_shrink():
    # 82 = 25.5 stored + 56.5 reheated at 67 F; at 75 F the reheated ones are 56.5 x 67/75.
    assert local_first_hour_gal(82.0, 56.5, 48.0, 75.0) == pytest.approx(25.5 + 56.5 * 67 / 75)
    # No less than a third of the tank and no more than all of it is taken to be stored.
    assert local_first_hour_gal(60.0, 59.0, 48.0, 134.0) == pytest.approx(16 + 44 / 2)
    assert local_first_hour_gal(97.0, 10.0, 48.0, 134.0) == pytest.approx(48 + 49 / 2)
    # A rating smaller than a third of the tank is all stored.
    assert local_first_hour_gal(10.0, 5.0, 48.0, 134.0) == pytest.approx(10.0)
    # Without a rise there is nothing to heat; half a degree is heated 134 times as fast as 67.
    assert np.isinf(local_first_hour_gal([82.0, 10.0, 82.0], [56.5, 5.0, 56.5], 48.0, [0.0, 0.0, -0.5])).all()
    assert local_first_hour_gal(82.0, 56.5, 48.0, 0.5) == pytest.approx(25.5 + 56.5 * 134)


def test_flow_is_limited_by_the_pipes_inside():
    """1.7 times the rated flow, from memory, unverified: 8.5 gpm, which 5 gpm at 67 °F make at 39.4 °F."""
    rises = np.array([-5.0, 0.0, 39.0, 40.0, 67.0])
    assert local_max_flow_gpm(5.0, rises) == pytest.approx([8.5, 8.5, 8.5, 8.375, 5.0])
    assert local_max_flow_gpm(5.0, 40.0, flow_limit_frac=0.9) == pytest.approx(4.5)


@pytest.mark.parametrize(
    ("ratio", "verdict"),
    [
        (AMPLE_RATIO + 1e-6, KEEPS_UP),
        (AMPLE_RATIO - 1e-6, WITH_CARE),
        (LEAST_RATIO + 1e-6, WITH_CARE),
        (LEAST_RATIO - 1e-6, FALLS_SHORT),
    ],
)
def test_edges_of_the_verdicts(ratio, verdict):
    tank = by_id("electric-tank-50")
    found = _tank(tank, tank.fhr_gal / ratio)
    assert found.verdict == verdict
    assert found.margin_frac == pytest.approx(ratio - 1)
    assert _tankless(asked=TANKLESS.max_gpm / ratio).verdict == verdict


def test_nothing_asked_is_always_served():
    assert _tank(by_id("electric-tank-30"), 0.0).verdict == KEEPS_UP
    assert _tankless(asked=0.0).verdict == KEEPS_UP


def test_units_in_parallel_add_up():
    tank = by_id("gas-tank-40")
    two = _tank(replace(tank, n_units=2), 100.0)
    assert two.deliverable == pytest.approx(2 * tank.fhr_gal)
    assert said(two.why).startswith("2 together give")
    three = _tankless(replace(TANKLESS, n_units=3), asked=12.0)
    assert three.deliverable == pytest.approx(3 * TANKLESS.max_gpm)
    # Small draws are served by the first alone.
    assert three.least_flow_summer_gpm == _tankless().least_flow_summer_gpm


def test_least_flow_is_the_higher_of_burner_and_flow_switch():
    burner = float(least_steady_flow_gpm(TANKLESS.min_input_btuh, TANKLESS.recovery_frac, 125.0 - 58.0))
    assert burner < TANKLESS.activation_gpm
    assert _tankless().least_flow_winter_gpm == TANKLESS.activation_gpm
    big = replace(TANKLESS, min_input_btuh=36_000.0)
    assert _tankless(big).least_flow_winter_gpm == pytest.approx(2 * burner)
    assert _tankless(replace(TANKLESS, activation_gpm=None)).least_flow_winter_gpm == pytest.approx(burner)
    electric = by_id("electric-tankless-24")
    assert _tankless(electric).least_flow_summer_gpm == electric.activation_gpm


def test_a_summer_shower_that_is_too_small_needs_care():
    warm = circumstances(set_point_f=110.0, mains_f=np.linspace(60.0, 88.0, 12))
    least = _tankless(met=warm).least_flow_summer_gpm
    too_small = _tankless(met=warm, shower=least - 0.01)
    assert too_small.verdict == WITH_CARE and "less than a shower" in said(too_small.why)
    enough = _tankless(met=warm, shower=least + 0.01, tap=least - 0.01)
    assert enough.verdict == KEEPS_UP and "may stay cool or swing" in said(enough.why)
    assert "swing" not in said(_tankless(met=warm, shower=least + 0.01, tap=least + 0.01).why)
    # What falls short is not made better by it.
    assert _tankless(met=warm, asked=50.0, shower=0.1).verdict == FALLS_SHORT


def test_a_plug_in_heat_pump_is_told_to_be_slow():
    heater = by_id("heat-pump-plug-in-50")
    assert "reheats slowly" in said(_tank(heater, 30.0).why)
    assert "reheats slowly" not in said(_tank(heater, 90.0).why)
    assert rated_recovery_gph(replace(heater, recovery_gph=None)) == rated_recovery_gph(heater)


def test_height_takes_no_more_than_the_burner_s_share():
    # A burner that could reheat more in an hour than the rating draws keeps at least its share of the rating.
    tank = replace(by_id("oil-tank-32"), fhr_gal=60.0)
    assert rated_recovery_gph(tank) > tank.fhr_gal
    high = _tank(tank, 40.0, replace(RATED, altitude_frac=0.5))
    assert high.deliverable == pytest.approx(30.0)


def test_an_element_for_240_v_gives_three_quarters_at_208():
    """(208 / 240)² = 0.751: the flow of a tankless heater, the reheated part of a tank; not burners, not plugs."""
    low, full = circumstances(element_frac=0.751), circumstances()
    ratio = [hand_method(by_id("electric-tankless-27"), met).deliverable for met in (low, full)]
    assert ratio[0] / ratio[1] == pytest.approx(0.751)
    # 27 kW at 67 °F rise, by hand: 27 x 0.751 x 3,412 / (60 x 8.24 x 67) = 2.09 gpm. Was 2.7, and "keeps up".
    warm = circumstances(element_frac=(208 / 240) ** 2, mains_f=53.0)
    by_hand = 27 * (208 / 240) ** 2 * 3412.14 / (60 * 8.24 * 67)
    assert by_hand == pytest.approx(2.09, abs=0.005)
    assert hand_method(by_id("electric-tankless-27"), warm).deliverable == pytest.approx(by_hand, rel=0.05)
    tank = [hand_method(by_id("electric-tank-50"), met).deliverable for met in (low, full)]
    assert 0.85 < tank[0] / tank[1] < 1
    for unchanged in ("gas-tank-50", "heat-pump-plug-in-50"):
        assert hand_method(by_id(unchanged), low).deliverable == hand_method(by_id(unchanged), full).deliverable
