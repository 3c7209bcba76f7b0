"""Prices where the house stands: wages of the state, the household's own list, the chance of work nobody has seen."""

from datetime import date

import pytest

from advisor.case.file import case_from
from advisor.comparison import compare
from advisor.core import tables
from advisor.core.errors import InputError
from advisor.core.kinds import Fuel
from advisor.report.as_json import comparison_dict
from advisor.report.text import comparison_text

TODAY = date(2026, 11, 28)


def compared(city="Chicago, IL", **more):
    values = {
        "place": {"city": city},
        "household": {"people": 3},
        "failed": {"fuel": "natural_gas", "size_gal": 50},
        "house": {"fuels": ["natural_gas"]},
    }
    return compare(case_from(values | more), today=TODAY, by_hand=True)


@pytest.mark.parametrize(
    ("city", "tank", "tankless", "heat_pump"),
    # Labor 0.50, 0.40 and 0.33 of the price, plumbers' wages of May 2025 over the country's: 1.253, 0.702, 1.141.
    [
        ("Anchorage, AK", 1.127, 1.101, 1.083),
        ("Little Rock, AR", 0.851, 0.881, 0.902),
        ("Los Angeles, CA", 1.071, 1.056, 1.047),
    ],
)
def test_a_price_moves_by_its_share_of_labor(city, tank, tankless, heat_pump):
    comparison = compared(city)
    for heater, factor in (("gas-tank-50", tank), ("gas-tankless-180", tankless), ("heat-pump-50", heat_pump)):
        usd = tables.load("installed_costs").find(heater)["typical_usd_per_unit"]
        assert comparison.candidate(heater).house.base.typical_usd == pytest.approx(usd * factor, rel=1e-3)


def test_the_households_own_list_comes_first_and_says_so():
    price_list = [
        {"id": "gas-tank-50", "price_usd": 1500},
        {"id": "gas-trap-and-valve", "low_usd": 90, "typical_usd": 100, "high_usd": 110},
    ]
    candidate = compared(price_list=price_list).candidate("gas-tank-50")
    base, work = candidate.house.base, {job.job: job for job in candidate.house.work}
    assert (base.low_usd, base.typical_usd, base.high_usd, base.state) == (1500, 1500, 1500, "your own price list")
    trap = work["gas-trap-and-valve"]
    assert (trap.low_usd, trap.typical_usd, trap.high_usd, trap.state) == (90, 100, 110, "your own price list")
    assert work["permit"].state == "from memory, unverified"


def test_a_way_out_costs_the_same_wherever_it_is_told():
    """The gas page shows ``detail.ways``, the work page ``ways_out``: both at the wages of the place."""
    branch = {"gas": {"branch_size_in": "1/2", "branch_ft": 60}}
    typical = {}
    for city in ("Anchorage, AK", "Little Rock, AR"):
        trade = compared(city, **branch).candidate("gas-tankless-199").house.trade("gas")
        shown = {way.kind: way.price for way in trade.detail.ways}
        assert trade.ways_out
        for way in trade.ways_out:
            price = shown[way.kind]
            assert (price.low_usd, price.typical_usd, price.high_usd) == (way.low_usd, way.typical_usd, way.high_usd)
        run = next(job for job in trade.items if job.job == "gas-dedicated-run")
        # The utility's meter, which follows no wage, is a job of its own.
        meter = sum(job.typical_usd for job in trade.items if job.job == "gas-meter")
        assert shown["dedicated run"].typical_usd == pytest.approx(run.typical_usd + meter, rel=0.1)
        typical[city] = shown["dedicated run"].typical_usd
    assert typical["Anchorage, AK"] > 1.2 * typical["Little Rock, AR"]


def test_what_nobody_has_looked_at_counts_with_its_chance():
    candidate = compared().candidate("gas-tankless-199")
    pipe = next(job for job in candidate.house.work if job.job == "gas-larger-pipe")
    assert pipe.chance_frac == 0.5 and pipe.counted_usd == (0, 0.5 * pipe.typical_usd, pipe.high_usd)
    least, most = candidate.house.two_prices_usd
    assert least < candidate.installed_usd[1] < most
    sure = compared(price_list=[{"id": "gas-larger-pipe", "chance_frac": 1}]).candidate("gas-tankless-199")
    assert sure.installed_usd[1] - candidate.installed_usd[1] == pytest.approx(0.5 * pipe.typical_usd, abs=0.02)


def test_a_service_upgrade_is_a_question_and_no_number():
    electric = {"failed": {"fuel": "electricity", "size_gal": 50}, "electrical": {"service_a": 100}}
    open_question = compared(**electric).candidate("electric-tankless-36")
    job = next(job for job in open_question.house.work if job.job == "service-upgrade")
    assert job.asks_first and job.counted_usd == (0, 0, 0)
    assert not open_question.money.is_eligible
    answered = compared(**electric, price_list=[{"id": "service-upgrade", "price_usd": 2500}])
    candidate = answered.candidate("electric-tankless-36")
    assert not candidate.house.asks_first
    assert candidate.installed_usd[1] - open_question.installed_usd[1] == pytest.approx(2500, abs=0.02)


def test_every_price_says_how_it_was_checked():
    data = comparison_dict(compared(offers=[{"candidate": "gas-tank-40", "total_usd": 2000}]))
    for candidate in data["candidates"]:
        jobs = [candidate["house"]["base"], *candidate["house"]["work"]]
        assert all(job["state"] and job["is_assumed"] for job in jobs if job["state"] != "computed")
        state = candidate["installed_usd"]["state"]
        assert state == ("quoted" if candidate["id"] == "gas-tank-40" else "from memory, unverified")
        assert candidate["money"]["state"] in tables.UNSURE
        assert candidate["installed_usd"]["is_assumed"] == (candidate["id"] != "gas-tank-40")
    text = " ".join(comparison_text(compared()).split())
    assert "our own estimate" in text and "get quotes" in text and "8 quotes in 10" not in text
    assert "If none of it is needed" in text


@pytest.mark.parametrize(
    ("row", "field"),
    [
        ({"id": "gas-tank-500", "price_usd": 1}, "price_list.1.id"),
        ({"id": "gas-tank-50"}, "price_list.1.price_usd"),
        ({"id": "gas-tank-50", "price_usd": 1, "low_usd": 1}, "price_list.1.price_usd"),
        ({"id": "gas-tank-50", "low_usd": 1}, "price_list.1.typical_usd"),
        ({"id": "gas-tank-50", "low_usd": 3, "typical_usd": 2, "high_usd": 4}, "price_list.1.typical_usd"),
        ({"id": "gas-tank-50", "price_usd": -1}, "price_list.1.price_usd"),
    ],
)
def test_a_bad_row_gets_one_sentence(row, field):
    with pytest.raises(InputError) as caught:
        compared(price_list=[row])
    assert caught.value.field == field


def test_a_fixed_share_of_the_bill_is_no_part_of_what_a_unit_costs():
    plain, fixed = compared(), compared(prices={"natural_gas_fixed_frac": 0.25})
    gas = Fuel.named("natural_gas")
    assert fixed.prices.usd_per_unit[gas] == pytest.approx(0.75 * plain.prices.usd_per_unit[gas])
    one, other = (each.candidate("gas-tank-50").running_cost.usd_per_yr for each in (plain, fixed))
    assert other < 0.8 * one
    assert "standing charges included" in " ".join(comparison_text(plain).split())


def test_the_law_on_rebates_is_told_and_nothing_is_counted():
    """42 USC 18795a: 1,750 dollars for the heater, 14,000 a household; not a heat pump for a heat pump."""
    text = " ".join(comparison_text(compared()).split())
    assert "at most $1,750 for the heater" in text and "$14,000 a household" in text
    again = compared(failed={"fuel": "electricity", "kind": "heat_pump", "size_gal": 50})
    assert "not paid for a heat pump in place of a heat pump" in " ".join(comparison_text(again).split())
    assert all(one.money.rebate_usd == 0 for one in again.candidates)
