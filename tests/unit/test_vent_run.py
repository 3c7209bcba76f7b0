"""What vent a heater needs, and how far it may run."""

import pytest

from advisor.core.errors import InputError, OutOfRangeError
from advisor.core.kinds import Technology
from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK
from advisor.house.vent.vent_run import (
    Run,
    check_vent_run,
    elbows_left_count,
    vent_change,
    vent_equivalent_length_ft,
    vent_requirement,
)
from tests.houses import check, said


@pytest.mark.parametrize(
    ("technology", "category", "condenses"),
    [
        ("gas_storage_atmospheric", "I", False),
        ("gas_tankless_noncondensing", "III", False),
        ("gas_tankless_condensing", "IV", True),
        ("gas_storage_condensing", "IV", True),
        ("heat_pump_storage_240v", "none", False),
    ],
)
def test_category_by_kind_of_heater(technology, category, condenses):
    need = vent_requirement(Technology.named(technology))
    assert (need.category, need.condenses) == (category, condenses)
    assert need.burns_fuel == (category != "none")


def test_power_vent_and_oil_say_that_they_are_unverified():
    assert vent_requirement(Technology.named("gas_storage_power_vent")).state == "from memory, unverified"
    assert vent_requirement(Technology.named("oil_storage")).state == "from memory, unverified"


def test_oil_may_keep_its_flue_but_not_untouched():
    change = vent_change(Technology.named("oil_storage"), "tile_liner")
    # Sweeping, sizing and setting the draft come with every oil heater: they are a priced job, not a doubt.
    assert (change.reusable, change.verdict) == (True, FITS)
    assert {"oil", "shared_flue"} <= set(change.cautions)
    assert "swept" in said(change.finding)
    assert not vent_change(Technology.named("oil_storage"), "type_b").reusable


def test_unknown_kind_is_refused():
    with pytest.raises(InputError, match="technology"):
        vent_requirement(Technology.named("steam"))


def test_like_for_like_keeps_the_flue():
    change = vent_change(Technology.named("gas_storage_atmospheric"), "type_b")
    assert change.reusable
    assert change.verdict == FITS
    assert "shared_flue" in change.cautions


def test_electric_heater_closes_the_flue():
    change = vent_change(Technology.named("electric_storage_resistance"), "tile_liner")
    assert change.verdict == FITS
    assert "closed" in said(change.finding)
    assert "closed" not in said(vent_change(Technology.named("electric_tankless"), "none").finding)


def test_old_plastic_needs_the_instructions():
    change = vent_change(Technology.named("gas_tankless_condensing"), "plastic")
    assert change.reusable
    assert change.verdict == NEEDS_WORK


def test_run_counts_elbows_against_the_limit():
    run = check_vent_run(Run(22, 3, 1), Run(20, 2), diameter_in=2, limit_ft=60)
    assert run.exhaust_ft == 22 + 15 + 2.5
    assert run.intake_ft == 30
    assert run.margin_ft == pytest.approx(20.5)
    assert run.elbows_left == 4
    assert run.verdict == FITS
    assert not run.limit_assumed


def test_limit_can_count_both_pipes_together():
    apart = check_vent_run(Run(22, 3), Run(30), diameter_in=2, limit_ft=60)
    together = check_vent_run(Run(22, 3), Run(30), diameter_in=2, limit_ft=60, limit_counts_both=True)
    assert apart.margin_ft == 23
    assert together.margin_ft == -7
    assert together.verdict == DOES_NOT_FIT


def test_generic_range_is_marked_and_has_a_middle():
    short, middle, long = (check_vent_run(Run(feet), diameter_in=2) for feet in (20, 40, 90))
    assert short.limit_assumed
    assert "assumed" in said(short.finding)
    assert (short.verdict, middle.verdict, long.verdict) == (FITS, NEEDS_WORK, DOES_NOT_FIT)


def test_unknown_diameter_needs_a_limit():
    with pytest.raises(OutOfRangeError, match="vent.diameter_in"):
        check_vent_run(Run(10), diameter_in=7)
    assert check_vent_run(Run(10), diameter_in=7, limit_ft=20).verdict == FITS


def test_equivalent_length_by_hand():
    """22 ft, three 90s of 5 ft, a 45 of 2.5 and a tee of 10 (common practice, no published source): 49.5 ft."""
    assert vent_equivalent_length_ft(22.0, 3.0, 1.0, 5.0, 2.5, 10.0) == 49.5


def test_no_elbow_is_left_beyond_the_limit():
    assert elbows_left_count(-3.0, 5.0) == elbows_left_count(-3.0, 1.0) == 0
    assert elbows_left_count(5.0, 5.0) == 1
    assert elbows_left_count(4.99, 5.0) == 0


@pytest.mark.parametrize("keys", [{}, {"vent__n_elbows": 3}, {"vent__run_ft": 30}])
def test_what_nobody_counted_or_measured_is_marked_as_assumed(keys):
    jobs = {one.job: one for one in check("gas-tankless-condensing-199", **keys).trade("vent").items}
    assert jobs["vent-elbow"].is_assumed == ("vent__n_elbows" not in keys)
    assert jobs["vent-plastic"].is_assumed == ("vent__run_ft" not in keys)
    assert jobs["vent-plastic-extra"].is_assumed == ("vent__run_ft" not in keys)


@pytest.mark.parametrize(
    ("piece", "length"),
    [
        ({"vent__n_tees": 1}, "tee_ft"),
        ({"vent__has_bird_screen": True}, "screen_ft"),
        ({"vent__has_concentric_end": True}, "concentric_ft"),
        ({"vent__n_elbows": 1}, "elbow_90_ft"),
    ],
)
def test_what_a_piece_counts_for_is_assumed_where_there_is_one_and_nobody_says(piece, length):
    def is_assumed(**keys):
        keys = {"vent__n_elbows": 0, **keys}
        return f"vent.{length}" in {one.field for one in check("gas-tankless-condensing-199", **keys).assumed}

    assert is_assumed(**piece)
    assert not is_assumed() and not is_assumed(**piece, **{f"vent__{length}": 5})
