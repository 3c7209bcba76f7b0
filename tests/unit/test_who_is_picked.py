"""The rule at its own lines, which no table gives: at each limit and just past it, on stand-ins for candidates."""

from types import SimpleNamespace

import pytest

from advisor.core.findings import care, stop
from advisor.core.verdicts import FALLS_SHORT, KEEPS_UP, WITH_CARE
from advisor.money.life_cycle import Payback
from advisor.recommendation.against import Against, against
from advisor.recommendation.kinds import (
    bar_of,
    cheapest_of,
    first_choice,
    is_smaller,
    one_of_each,
    passed_over,
    wins_clearly,
)
from advisor.recommendation.rule import advise
from tests.stand_ins import stand_in


def advised(*candidates, same=None, has_240_v_circuit=False, usual_gal=0.0):
    same_id = None if same is None else same.heater.id
    return advise(candidates, same_id, has_240_v_circuit=has_240_v_circuit, usual_gal=usual_gal)


@pytest.mark.parametrize(
    ("against_it", "bar"),
    [
        ({}, None),
        ({"flags": (care("label.below_usual"),)}, None),
        ({"asks_first": ("service",)}, "asks_first"),
        ({"asks_first": ("service",), "fits": False}, "does_not_fit"),
        ({"fits": False, "keeps": FALLS_SHORT}, "falls_short"),
        ({"keeps": FALLS_SHORT, "sale_note": "made to order"}, "sale"),
        ({"sale_note": "made to order", "flags": (stop("label.below_rule"),)}, "made"),
        ({"flags": (stop("label.below_rule"), stop("label.adds_up"))}, "label"),
        ({"flags": (stop("label.below_rule"),), "may_be_sold": False}, "not_sold_here"),
    ],
)
def test_the_first_bar_is_the_one_that_is_told(against_it, bar):
    assert bar_of(stand_in("gas-tank-50", **against_it)) == bar


@pytest.mark.parametrize(
    ("usd", "chance_frac", "keeps", "wins"),
    [
        (9_000, 1.0, KEEPS_UP, False),  # a tenth is not more than a tenth
        (8_999, 0.6, KEEPS_UP, True),  # six in ten are enough
        (8_999, 0.5999, KEEPS_UP, False),
    ],
)
def test_winning_clearly_at_its_limits(usd, chance_frac, keeps, wins):
    other = stand_in("gas-tank-50", 10_000)
    assert wins_clearly(stand_in("heat-pump-50", usd, chance_frac=chance_frac, keeps=keeps), other) is wins


def test_where_the_other_needs_care_any_less_wins_and_nothing_less_does_not():
    other = stand_in("gas-tank-50", 10_000, keeps=WITH_CARE)
    assert wins_clearly(stand_in("heat-pump-50", 9_999), other)
    assert not wins_clearly(stand_in("heat-pump-50", 10_000), other)


@pytest.mark.parametrize(
    ("short", "margin_frac", "usd"),
    [
        ((10, 11), (-0.4, -0.1), (9_000, 5_000)),  # few short mornings first
        ((None, 1), (-0.4, -0.1), (9_000, 5_000)),  # none counted is none
        ((10, 10), (-0.1, -0.4), (9_000, 5_000)),  # then what is to spare
        ((10, 10), (-0.1, -0.1), (5_000, 9_000)),  # then the money
    ],
)
def test_which_of_those_that_need_care_keeps_up_best(short, margin_frac, usd):
    one, other = (
        stand_in("gas-tank-50", dollars, keeps=WITH_CARE, short_mornings=mornings, margin_frac=spare)
        for mornings, spare, dollars in zip(short, margin_frac, usd, strict=True)
    )
    assert first_choice([one, other]) is one and first_choice([other, one]) is one


def test_of_two_that_cost_the_same_the_first():
    one, other = stand_in("gas-tank-50", 5_000), stand_in("gas-tank-40", 5_000)
    assert cheapest_of([one, other]) is one and cheapest_of([]) is None


@pytest.mark.parametrize(
    ("one", "other", "smaller"),
    [
        ("gas-tank-40", "gas-tank-50", True),
        ("gas-tank-50", "gas-tank-50", False),
        ("gas-tankless-199", "gas-tank-50", False),  # holds nothing, and is no tank
        ("gas-boiler-tank-40", "gas-tank-50", False),  # a boiler's heat makes up for gallons
        ("gas-tank-40", "gas-boiler-tank-50", True),
    ],
)
def test_what_is_a_smaller_tank(one, other, smaller):
    assert is_smaller(stand_in(one), stand_in(other)) is smaller


@pytest.mark.parametrize(
    ("same_gal", "usual_gal", "found"), [(None, 0, 40), (None, 50, 50), (50, 40, 50), (40, 50, 50)]
)
def test_of_another_kind_none_smaller_than_what_failed_nor_than_is_usual(same_gal, usual_gal, found):
    pumps = [stand_in("heat-pump-40", 5_000), stand_in("heat-pump-50", 6_000)]
    same = stand_in(f"gas-tank-{same_gal}") if same_gal else None
    kinds = one_of_each(pumps, same, has_240_v_circuit=True, usual_gal=usual_gal)
    assert kinds["heat_pump", True].heater.nominal_gal == found
    # Where none is as large, the largest.
    assert one_of_each(pumps, same, has_240_v_circuit=True, usual_gal=65)["heat_pump", True] is pumps[1]


@pytest.mark.parametrize(
    ("usd", "keeps", "is_chosen"),
    [
        (11_500, KEEPS_UP, True),  # 15 % more for keeping up without care
        (11_501, KEEPS_UP, False),
        (9_100, WITH_CARE, False),  # no better, and no tenth less
    ],
)
def test_what_ease_is_worth_at_its_limit(usd, keeps, is_chosen):
    failed = stand_in("gas-tank-50", 10_000, keeps=WITH_CARE, margin_frac=-0.5)
    larger = stand_in("gas-tank-75", usd, keeps=keeps)
    assert advised(failed, larger, same=failed).pick is (larger if is_chosen else failed)


@pytest.mark.parametrize(
    ("others", "found"),
    [
        # 15 % more than 2,000 is 2,300: what costs 2,300 stands until it is more.
        ([("gas-tank-50", 2_000, 0.2)], 0),
        ([("gas-tank-50", 1_999, 0.2)], 1),
        # Of those the larger, though the other has more to spare.
        ([("gas-tank-50", 1_900, 0.2), ("gas-tank-40", 1_800, 0.9)], 1),
        # Of that size the one that keeps up best for 15 % more: 1,150, and not 1,151.
        ([("gas-tank-50", 1_000, 0.2), ("gas-tank-50-fastest", 1_150, 0.5)], 2),
        ([("gas-tank-50", 1_000, 0.2), ("gas-tank-50-fastest", 1_151, 0.5)], 1),
    ],
)
def test_a_smaller_one_for_much_less_at_its_limits(others, found):
    failed = stand_in("gas-tank-75", fits=False)
    all_of_them = [stand_in("gas-tank-condensing-75", 2_300)]
    all_of_them += [stand_in(name, usd, margin_frac=spare) for name, usd, spare in others]
    assert advised(failed, *all_of_them, same=failed).pick is all_of_them[found]


@pytest.mark.parametrize(
    ("plug_in", "stands", "is_named"),
    [
        ({}, {}, True),
        ({"usd": 6_000}, {}, False),
        ({"keeps": WITH_CARE}, {}, False),
        ({"keeps": WITH_CARE}, {"keeps": WITH_CARE}, True),
        ({"n_units": 2}, {}, False),
        ({"n_units": 2}, {"n_units": 3}, True),
        ({"heater_id": "heat-pump-plug-in-40"}, {}, False),
        ({"heater_id": "gas-tank-50"}, {}, False),
        ({}, {"heater_id": "heat-pump-plug-in-65"}, False),
    ],
)
def test_the_plug_in_that_is_passed_over(plug_in, stands, is_named):
    one = stand_in(**{"heater_id": "heat-pump-plug-in-50", "usd": 5_999} | plug_in)
    other = stand_in(**{"heater_id": "heat-pump-50", "usd": 6_000} | stands)
    assert passed_over([other, one], {("heat_pump", True): other}) is (one if is_named else None)
    assert passed_over([one], {}) is None


def test_why_the_pick_is_what_it_is():
    failed, pump = stand_in("gas-tank-50", 10_000), stand_in("heat-pump-50", 5_000)
    barred = stand_in("gas-tank-50", 10_000, fits=False)
    found = [advised(failed, same=failed), advised(failed, pump, same=failed), advised(barred, pump, same=barred)]
    assert [one.why for one in (*found, advised(pump))] == ["same", "wins", "instead", "instead"]
    assert [one.is_smaller for one in found] == [False] * 3
    # The kind in the house, where no other wins; of several that do the cheapest, which is then told of each place.
    tankless = stand_in("gas-tankless-199", 4_000)
    three = advised(failed, pump, tankless, same=failed)
    assert three.pick is three.cheapest_to_own is tankless and three.tankless is None
    assert three.rival is pump and list(three.kinds) == [tankless, pump, failed]
    near = advised(failed, stand_in("heat-pump-50", 9_100), stand_in("gas-tankless-199", 9_200), same=failed)
    assert near.pick is failed and near.rival.heater.is_heat_pump and near.tankless.heater.id == "gas-tankless-199"


def test_the_pick_is_the_cheapest_to_own_where_another_costs_the_same():
    smaller, failed = stand_in("gas-tank-40", 5_000), stand_in("gas-tank-50", 5_000)
    assert advised(smaller, failed, same=failed).cheapest_to_own is failed


def test_the_closest_is_told_where_nothing_may_be_put_in_of_what_fits():
    far, near = (stand_in("gas-tank-50", keeps=FALLS_SHORT, margin_frac=frac) for frac in (-0.3, -0.1))
    too_large = stand_in("gas-tank-75", keeps=FALLS_SHORT, margin_frac=0.0, fits=False)
    assert advised(far, near, too_large, stand_in("gas-tank-40", fits=False)).closest is near
    assert advised(far, near, stand_in("heat-pump-50")).closest is None


def _who_is_soonest(*rest):
    pick = stand_in("heat-pump-50", 1_000, days=9.0)
    return advised(pick, *rest, same=rest[0]).soonest


def test_who_is_soonest_of_those_that_come_on_the_same_day():
    """The pick first; then what failed, the fewest side by side, the kind in the house, what stands for its kind."""
    same = stand_in("gas-tank-50", 9_000, days=2.0)
    assert _who_is_soonest(same, stand_in("gas-tank-40", 8_900, days=1.9)).heater.id == "gas-tank-40"
    assert _who_is_soonest(same, stand_in("gas-tank-40", 8_900, days=2.0)) is same
    barred = stand_in("gas-tank-50", 9_000, fits=False)
    pair = stand_in("gas-tank-40", 8_000, days=2.0, n_units=2)
    electric = stand_in("electric-tank-55", 8_800, days=2.0)
    assert _who_is_soonest(barred, pair, electric) is electric
    of_home = stand_in("gas-tank-75", 8_900, days=2.0)
    assert _who_is_soonest(barred, electric, of_home) is of_home
    # 55 gal stands for its kind beside 50 that failed, though 40 would cost less.
    small = stand_in("electric-tank-40", 8_000, days=2.0)
    assert _who_is_soonest(barred, small, electric) is electric
    assert _who_is_soonest(barred, electric, stand_in("gas-tankless-199", 8_700, days=2.0)).heater.is_tankless
    pick, other = stand_in("heat-pump-50", 1_000, days=2.0), stand_in("gas-tank-50", 9_000, days=2.0)
    assert advised(other, pick, same=other).soonest is pick


NEVER = Payback("does not pay back", None, None, False)


@pytest.mark.parametrize(
    ("extra_usd", "saving_usd_per_yr", "upkeep_usd_per_yr", "installs", "runs", "upkeep"),
    [
        (50.0, 5.0, 15.0, "more", "less", "more"),
        (49.9, 4.9, 14.9, "same", "same", "same"),
        (-50.0, -5.0, -15.0, "less", "more", "less"),
        (-49.9, -4.9, -14.9, "same", "same", "same"),
    ],
)
def test_what_counts_as_the_same_at_its_limits(extra_usd, saving_usd_per_yr, upkeep_usd_per_yr, installs, runs, upkeep):
    found = Against(extra_usd, saving_usd_per_yr, upkeep_usd_per_yr, NEVER)
    assert (found.installs, found.runs, found.upkeep) == (installs, runs, upkeep)


@pytest.mark.parametrize(
    ("extra_usd", "saving_usd_per_yr", "is_trade_off"),
    [
        (100, 0.5, True),
        (100, 0, False),  # saves nothing and costs more
        (-100, 0, True),
        (-100, 0.5, False),
        (-100, -0.5, True),
        (100, -0.5, False),
        (49, 100, False),
        (-49, -100, False),
    ],
)
def test_one_for_it_and_one_against_it_is_a_trade_off(extra_usd, saving_usd_per_yr, is_trade_off):
    assert Against(extra_usd, saving_usd_per_yr, 0.0, NEVER).is_a_trade_off is is_trade_off


def _costing(name, usd):
    money = SimpleNamespace(
        installed_usd=SimpleNamespace(point=usd),
        upkeep_usd_per_yr=usd / 100,
        payback_against=lambda other: (name, other.name),
        name=name,
    )
    return SimpleNamespace(money=money, running_cost=SimpleNamespace(usd_per_yr=500 - usd / 10))


@pytest.mark.parametrize(
    ("other_usd", "back"),
    [
        (3_000, ("other", "first")),
        (2_001, ("other", "first")),
        (2_000, ("first", "other")),
        (1_999, ("first", "other")),
    ],
)
def test_the_dearer_of_two_has_to_pay_back(other_usd, back):
    found = against(_costing("first", 2_000), _costing("other", other_usd))
    assert found.back == back and found.extra_usd == other_usd - 2_000
    assert found.saving_usd_per_yr == pytest.approx((other_usd - 2_000) / 10)
    assert found.extra_upkeep_usd_per_yr == pytest.approx((other_usd - 2_000) / 100)
