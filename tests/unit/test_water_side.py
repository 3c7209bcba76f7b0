"""Relief, expansion, scalding and scale."""

import numpy as np
import pytest

from advisor.core.verdicts import FITS, NEEDS_WORK
from advisor.house.water.water_side import (
    check_expansion,
    check_hardness,
    check_setpoint,
    descaling_interval_yr,
    expansion_tank_gal,
    hardness_class,
    mixed_gal,
    rules,
    second_degree_burn_s,
)
from tests.houses import said


def _expansion(**changes):
    given = {"volume_gal": 50, "cold_f": 50, "hot_f": 120, "supply_psi": 60, "closed": True}
    return check_expansion(**{**given, **changes})


def test_expansion_verdicts():
    assert _expansion().verdict == NEEDS_WORK
    assert _expansion(tank_gal=2.7).verdict == FITS
    assert _expansion(closed=False).verdict == FITS
    assert _expansion(closed=None).verdict == NEEDS_WORK


def test_supply_over_80_psi_comes_first():
    check = _expansion(supply_psi=95, closed=False)
    assert check.verdict == NEEDS_WORK
    assert check.for_code_gal is None
    assert check.for_relief_gal > 0


def test_the_tank_by_hand():
    """0.57 / (1 - (60 + 14.7) / (80 + 14.7)) = 0.57 x 94.7 / 20 = 2.69895 gal.

    Under the valve, a tenth below 150 psi (common practice, no published source): 0.57 x 149.7 / 75 = 1.13772.
    """
    assert expansion_tank_gal(0.57, 60, 80) == pytest.approx(2.69895, abs=1e-5)
    check = _expansion()
    assert check.for_relief_gal / check.extra_gal == pytest.approx(149.7 / 75, rel=1e-6)


@pytest.mark.parametrize(
    ("supply_psi", "tank_gal", "first"),
    [
        # 0.57 gal: 0.57 x 94.7 / 10 = 5.4 gal, which a regulator halves to 2.7; at 68 psi 4.5 gal.
        (70.0, 0.0, True),
        (68.0, 0.0, False),
        (70.0, 6.0, False),
    ],
)
def test_a_regulator_comes_before_a_tank_that_no_house_has(supply_psi, tank_gal, first):
    """Tanks to 5 gal, set to 60 psi: common practice, no published source."""
    check = _expansion(supply_psi=supply_psi, tank_gal=tank_gal)
    assert check.needs_regulator == first
    assert not first or "60 psi" in said(check.finding)


def test_no_tank_where_supply_is_at_the_limit():
    assert np.isnan(expansion_tank_gal(0.5, 80, 80))
    check = _expansion(supply_psi=80)
    assert check.for_code_gal is None
    assert "lower supply pressure" in said(check.finding)


def test_scald_outside_the_table_is_unknown_not_extrapolated():
    assert np.isnan(second_degree_burn_s(112.9))
    assert np.isnan(second_degree_burn_s(140.1))
    assert check_setpoint(150, mixing_valve=True).second_degree_s is None
    assert "under 3 seconds" in said(check_setpoint(150, mixing_valve=True).finding)


@pytest.mark.parametrize(
    ("stored_f", "time"),
    [
        (105, "in hours, if at all"),
        (120, "in about 8 minutes"),
        (124.9, "in about 2 minutes"),
        (125.1, "in about 88 seconds"),
        (140, "in about 3 seconds"),
        (150, "in under 3 seconds"),
    ],
)
def test_how_fast_hot_water_burns_is_said_as_one_speaks(stored_f, time):
    """Moritz and Henriques 1947 at 120 and 140 °F; seconds up to a minute and a half, then minutes."""
    assert said(check_setpoint(stored_f, mixing_valve=True).finding).endswith(f"{time}.")


def test_hot_storage_wants_a_mixing_valve():
    assert check_setpoint(140, mixing_valve=False).verdict == NEEDS_WORK
    assert check_setpoint(140, mixing_valve=True).verdict == FITS
    assert check_setpoint(120, mixing_valve=False).verdict == FITS
    assert "mixing_valve" not in check_setpoint(120, mixing_valve=False).cautions


def test_mixing_makes_more_water():
    assert mixed_gal(35, 140, 120, 50) == pytest.approx(35 * 90 / 70)
    assert mixed_gal(35, 110, 120, 50) == 35
    assert np.isnan(mixed_gal(35, 140, [45, 50], 50)).all()


def test_hardness_takes_arrays():
    assert list(hardness_class(np.array([0.0, 3.5, 3.6, 7.1, 10.6]))) == [
        "soft",
        "soft",
        "moderately hard",
        "hard",
        "very hard",
    ]


def test_descaling_is_capped_and_halved():
    assert descaling_interval_yr(1.0, 60, 3.0) == 3.0
    assert descaling_interval_yr(0.0, 60, 3.0) == 3.0
    # Half of 1.6 years at 26 grains: 20.8 / grains; where a maker says nothing, no more than 5 years (assumed).
    assert descaling_interval_yr(10.0, 60) == pytest.approx(2.08)
    assert check_hardness(1.0, tankless=True).descale_every_yr == 5.0
    assert descaling_interval_yr(20, 120, 9) == pytest.approx(descaling_interval_yr(20, 119, 9) / 2)


def test_hardness_plan_differs_by_heater():
    assert check_hardness(12, tankless=False).descale_every_yr is None
    assert "before choosing tankless" in said(check_hardness(12, tankless=True).plan)


def test_rules_by_topic_and_kind():
    tank = {rule.id for rule in rules("pan", storage=True)}
    tankless = {rule.id for rule in rules("pan", storage=False)}
    assert "pan_size" in tank
    assert tankless == {"pan_tankless"}
    assert len(rules("discharge", storage=True)) >= 6
