"""Tariffs from the case: each shape worked by hand, each contradiction refused with its key."""

import numpy as np
import pytest

from advisor.case.file import case_from, parse_case, write_case
from advisor.comparison import compare
from advisor.core.errors import InputError
from advisor.core.kinds import Fuel, electricity
from advisor.money.bill import bills_of, hours_of_use
from advisor.report.money_words import rate
from tests.houses import said

FOUR = {
    "place": {"zip_code": "55811"},
    "household": {"people": 4},
    "failed": {"fuel": "natural_gas"},
    "house": {"fuels": ["natural_gas"]},
}
PEAK = {"price_usd_per_unit": 0.40, "start_h": 16, "end_h": 21, "days": "weekday"}
HUNDRED = np.full(12, 100.0)


def case_with(*tariffs, **more):
    return case_from(FOUR | {"tariffs": list(tariffs)} | more)


def bill(**tariff):
    return bills_of(case_with(tariff))[Fuel.named(tariff["fuel"])]


def test_a_flat_rate_with_tax():
    gas = bill(fuel="natural_gas", price_usd_per_unit=1.50, tax_frac=0.05, fixed_usd_per_mo=12)
    assert gas.added_usd(HUNDRED, timer_frac=0.0) == pytest.approx(HUNDRED * 1.575)
    assert gas.usual_usd_per_unit == pytest.approx(1.575)
    assert gas.fixed_usd_per_mo == pytest.approx(12.6)


def test_blocks_stand_on_top_of_the_rest_of_the_house():
    blocks = [{"price_usd_per_unit": 0.10, "up_to_units": 500}, {"price_usd_per_unit": 0.20}]
    power = bill(fuel="electricity", blocks=blocks, other_units_per_mo=450)
    # 100 kWh on top of 450: 50 at 0.10 and 50 at 0.20.
    assert power.added_usd(HUNDRED, timer_frac=0.0) == pytest.approx(np.full(12, 15.0))
    assert electricity().usual_units_per_mo == 250
    # The quoted price is that of a usual 250 kWh: 50 at 0.10 and 200 at 0.20.
    assert power.usual_usd_per_unit == pytest.approx(45 / 250)


def test_hours_follow_the_taps_and_a_timer_moves_them():
    power = bill(fuel="electricity", price_usd_per_unit=0.10, windows=[PEAK])
    inside = hours_of_use()[0, 16:21].sum()
    assert not hours_of_use().flags.writeable  # shared by all who ask
    by_hand = 100 * (0.10 + 0.30 * inside * 5 / 7)
    assert power.added_usd(HUNDRED, timer_frac=0.0) == pytest.approx(np.full(12, by_hand))
    assert power.added_usd(HUNDRED, timer_frac=1.0) == pytest.approx(np.full(12, 10.0))
    half = power.added_usd(HUNDRED, timer_frac=0.5)
    assert half == pytest.approx((power.added_usd(HUNDRED, timer_frac=0.0) + 10.0) / 2)


def test_seasons():
    summer = {"months": [6, 7, 8, 9], "price_usd_per_unit": 0.30}
    winter = {"months": [1, 2, 3, 4, 5, 10, 11, 12], "price_usd_per_unit": 0.10}
    cost = bill(fuel="electricity", seasons=[summer, winter]).added_usd(HUNDRED, timer_frac=0.0)
    assert cost[[0, 6]] == pytest.approx([10.0, 30.0])


@pytest.mark.parametrize(
    ("tariff", "field", "says"),
    [
        ({}, "tariffs.1.price_usd_per_unit", "there is no price"),
        ({"price_usd_per_unit": 12}, "tariffs.1.price_usd_per_unit", "dollars, not cents"),
        ({"blocks": [{"price_usd_per_unit": 0.1}]}, "tariffs.1.other_units_per_mo", "blocks need it"),
        (
            {"blocks": [{"price_usd_per_unit": 0.1, "up_to_units": 5}], "other_units_per_mo": 9},
            "tariffs.1.blocks.up_to_units",
            "the last block must have no end",
        ),
        (
            {"blocks": [{"price_usd_per_unit": 0.1}], "other_units_per_mo": 9, "price_usd_per_unit": 0.1},
            "tariffs.1.blocks",
            "beside another price",
        ),
        ({"windows": [PEAK]}, "tariffs.1.price_usd_per_unit", "there is no price"),
        (
            {"blocks": [{"price_usd_per_unit": 0.1}], "other_units_per_mo": 9, "windows": [PEAK]},
            "tariffs.1.blocks",
            "beside another price",
        ),
        *(
            (beside | {"seasons": [{"months": [1], "price_usd_per_unit": 0.1}]}, "tariffs.1.seasons", "seasons only")
            for beside in ({"windows": [PEAK]}, {"blocks": [{"price_usd_per_unit": 0.1}], "other_units_per_mo": 9})
        ),
        (
            {"seasons": [{"months": [1], "blocks": [{"price_usd_per_unit": 0.1}]}]},
            "tariffs.1.other_units_per_mo",
            "blocks need it",
        ),
        ({"seasons": [{"months": [1]}]}, "tariffs.1.seasons.price_usd_per_unit", "there is no price"),
        ({"price_usd_per_unit": 0.1, "windows": [PEAK, PEAK]}, "tariffs.1.windows.start_h", "overlap"),
        (
            {"price_usd_per_unit": 0.1, "seasons": [{"months": [1], "price_usd_per_unit": 0.1}]},
            "tariffs.1.seasons",
            "keep the seasons only",
        ),
        ({"seasons": [{"months": [1, 2], "price_usd_per_unit": 0.1}]}, "tariffs.1.seasons.months", "share out months"),
        ({"fuel": "natural_gas", "price_usd_per_unit": 1.0, "windows": [PEAK]}, "tariffs.1.windows", "by the hour"),
    ],
)
def test_contradictions_are_refused_with_their_key(tariff, field, says):
    with pytest.raises(InputError, match=says) as caught:
        bills_of(case_with({"fuel": "electricity"} | tariff))
    assert caught.value.field == field


def test_nothing_is_said_twice():
    flat = {"fuel": "natural_gas", "price_usd_per_unit": 1.0}
    for case, says in (
        (case_with(flat, flat), "two tariffs"),
        (case_with(flat, prices={"natural_gas_usd_per_therm": 1.0}), "a tariff and a price"),
        (case_with(flat, prices={"gas_fixed_usd_per_mo": 10}), "write it once"),
    ):
        with pytest.raises(InputError, match=says):
            bills_of(case)


def test_a_flat_tariff_is_the_price_it_states():
    """Through the whole product: the same answer whichever way the price is told."""
    told = compare(case_with({"fuel": "natural_gas", "price_usd_per_unit": 1.30}))
    price = compare(case_from(FOUR | {"prices": {"natural_gas_usd_per_therm": 1.30}}))
    for one, other in zip(told.candidates, price.candidates, strict=True):
        assert one.running_cost.usd_per_yr == pytest.approx(other.running_cost.usd_per_yr, rel=1e-12)
        assert one.costs.fuel_per_yr == pytest.approx(other.costs.fuel_per_yr, rel=1e-12)
    assert told.money.point_usd == pytest.approx(price.money.point_usd, rel=1e-12)
    assert "prices.natural_gas_usd_per_therm" not in {item.field for item in told.assumed}


def test_a_timer_lowers_the_heat_pump_alone():
    tariff = {"fuel": "electricity", "price_usd_per_unit": 0.12, "windows": [PEAK]}
    without = compare(case_with(tariff))
    with_timer = compare(case_with(tariff, economics={"heat_pump_timer_frac": 0.8}))
    for before, after in zip(without.candidates, with_timer.candidates, strict=True):
        if before.heater.is_heat_pump:
            assert after.running_cost.usd_per_yr < before.running_cost.usd_per_yr
        else:
            assert after.running_cost.usd_per_yr == before.running_cost.usd_per_yr


@pytest.mark.parametrize("otherwise", [True, False])
def test_an_account_charge_counts_where_only_the_heater_keeps_it(otherwise):
    tariff = {"fuel": "natural_gas", "price_usd_per_unit": 1.0, "fixed_usd_per_mo": 15}
    comparison = compare(case_with(tariff, house={"fuels": ["natural_gas"], "uses_gas_otherwise": otherwise}))
    for candidate in comparison.candidates:
        keeps = candidate.heater.burns_fuel and not otherwise
        assert candidate.costs.account_usd_per_yr == pytest.approx(180 if keeps else 0)


def test_a_tariff_survives_the_file():
    case = case_with(
        {
            "fuel": "electricity",
            "seasons": [
                {"months": [6, 7, 8, 9], "price_usd_per_unit": 0.2, "windows": [PEAK]},
                {"months": [1, 2, 3, 4, 5, 10, 11, 12], "price_usd_per_unit": 0.1},
            ],
            "source": "bill of May",
        }
    )
    assert parse_case(write_case(case)) == case
    words = said(rate(bills_of(case)[electricity()].tariff.rate))
    assert "months 6, 7, 8, 9: $0.4 from 16 to 21 h (weekdays), $0.2 otherwise" in words
