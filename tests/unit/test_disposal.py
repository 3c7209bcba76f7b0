"""Gravity, pump or neither."""

import pytest

from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK
from advisor.house.condensate.disposal import (
    check_drain,
    drain_fall_in,
    heat_pump_condensate_gpd,
    neutralizer_used_lb,
)
from tests.houses import said


def _drain(**changes):
    given = {
        "acidic": True,
        "outlet_height_in": 12.0,
        "receptor_height_in": 2.0,
        "run_ft": 16.0,
        "receptacle_near": True,
        "drain_material": "plastic",
    }
    return check_drain(**{**given, **changes})


def test_fall_of_an_eighth_of_an_inch_a_foot():
    assert drain_fall_in(16.0) == 2.0


def test_gravity_pump_neither():
    assert (_drain().way, _drain().verdict) == ("gravity", FITS)
    assert (_drain(receptor_height_in=10.5).way, _drain(receptor_height_in=10.5).verdict) == (
        "pump",
        NEEDS_WORK,
    )
    assert (_drain(receptor_height_in=None).way, _drain(receptor_height_in=None).verdict) == (
        "neither",
        DOES_NOT_FIT,
    )
    # A small pump lifts 15 ft (common practice, no published source): 2 in. of fall and 178 in. of height.
    assert _drain(receptor_height_in=12 + 178).way == "pump"
    assert _drain(receptor_height_in=12 + 178.1).way == "neither"


def test_the_last_fraction_of_fall_decides():
    assert _drain(receptor_height_in=10.0).way == "gravity"
    assert _drain(receptor_height_in=10.01).way == "pump"


def test_a_pump_needs_an_outlet_and_a_stop_switch():
    check = _drain(receptor_height_in=20, receptacle_near=False)
    assert "120 V outlet" in said(check.finding)
    assert "condensate_pump" in check.cautions
    assert "pump_stop" in {rule.id for rule in check.rules}


@pytest.mark.parametrize(
    ("changes", "needed"),
    [
        ({}, False),
        ({"septic": True}, True),
        ({"drain_material": "copper"}, True),
        ({"drain_material": "cast_iron"}, True),
        ({"drain_material": "copper", "acidic": False}, False),
    ],
)
def test_neutralizer(changes, needed):
    check = _drain(**changes)
    assert check.neutralizer == needed
    assert check.verdict == (NEEDS_WORK if needed else FITS)


def test_frost_and_rooms_below():
    assert _drain(coldest_f=32).can_freeze
    assert not _drain(coldest_f=32.1).can_freeze
    assert _drain(coldest_f=20).verdict == NEEDS_WORK
    assert "pan_over_rooms" in {rule.id for rule in _drain(above_rooms=True).rules}


def test_the_rules_and_cautions_are_those_of_the_kind():
    condensing, heat_pump = (_drain(acidic=acidic) for acidic in (True, False))
    assert "coil_size" in {rule.id for rule in heat_pump.rules} - {rule.id for rule in condensing.rules}
    assert (condensing.cautions, heat_pump.cautions) == (("condensate_acidic",), ("heat_pump_drain",))


def test_dry_air_gives_no_heat_pump_condensate():
    assert heat_pump_condensate_gpd(23_000, 0.0) == 0
    # 23,000 x 0.3 / 1,060 / 8.34.
    assert heat_pump_condensate_gpd(23_000, 0.3) == pytest.approx(0.780508, rel=1e-5)


def test_chalk_by_hand():
    """94 gal at pH 3.5: 355.829 L x 10^-3.5 mol are 0.112523 mol of acid, half as much of 100.09 g: 0.0124147 lb."""
    assert neutralizer_used_lb(94.0, 3.5) == pytest.approx(0.0124147, rel=1e-5)
