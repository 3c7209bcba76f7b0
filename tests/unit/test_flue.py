"""Who stays on the flue, and whether it still suits them: both directions."""

import pytest

from advisor.core.errors import InputError
from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK
from advisor.house.vent.flue import Flue, FlueAppliance, check_shared_flue, tile_liner_area_in2
from tests.houses import said

HEATER = FlueAppliance("water heater", False, 40_000, 4)
FURNACE = FlueAppliance("furnace", False, 100_000, 5)
METAL = Flue("metal_liner", 19.6, table_capacity_btuh=120_000)


def test_heater_leaves_and_furnace_stays():
    check = check_shared_flue(METAL, (FURNACE,), None, was_shared=True)
    assert check.staying == ("furnace",)
    assert "once served more" in said(check.finding)
    assert check.verdict == FITS
    assert "draft test" in said(check.finding)


def test_heater_was_already_alone():
    check = check_shared_flue(METAL, (), HEATER, was_shared=True)
    assert check.staying == ("water heater",)
    assert check.area_ratio_frac == pytest.approx(1.56, abs=0.01)


def test_both_stay_and_a_professional_decides():
    check = check_shared_flue(METAL, (FURNACE,), HEATER, was_shared=False)
    assert check.verdict == NEEDS_WORK
    assert "professional" in said(check.finding)


def test_nobody_stays():
    check = check_shared_flue(METAL, (), None, was_shared=True)
    assert check.staying == ()
    assert "closed" in said(check.finding)


def test_the_gravest_reason_speaks():
    big = Flue("tile_liner", 200.0, exterior=True)
    check = check_shared_flue(big, (), HEATER, was_shared=True)
    assert check.verdict == DOES_NOT_FIT
    assert "over 7" in said(check.finding)
    assert len(check.reasons) > 2


def test_input_above_the_table_does_not_fit():
    assert (
        check_shared_flue(Flue("metal_liner", 19.6, table_capacity_btuh=30_000), (), HEATER, was_shared=False).verdict
        == DOES_NOT_FIT
    )


def test_without_a_table_reading_nothing_fits():
    check = check_shared_flue(Flue("metal_liner", 19.6), (), HEATER, was_shared=False)
    assert check.verdict == NEEDS_WORK


def test_unknown_words_are_refused():
    with pytest.raises(InputError, match=r"vent\.tile_liner"):
        tile_liner_area_in2("9x9")
