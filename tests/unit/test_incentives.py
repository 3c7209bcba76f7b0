"""Public money: ended means nothing, and nothing is promised."""

from datetime import date, timedelta

import pytest

from advisor.case.file import case_from
from advisor.comparison import compare
from advisor.core import tables
from advisor.core.kinds import Technology
from advisor.heaters.catalogue import by_id
from advisor.house.items import base_item, item
from advisor.money.electrification import parts_of, rebate_usd, share_of_income_frac
from advisor.money.incentives import incentives_for, reported_open_on
from advisor.report.money_words import public_money
from tests.houses import said

LAST_DAY = date(2025, 12, 31)
PUMP, TANKLESS = map(Technology.named, ("heat_pump_storage_240v", "gas_tankless_condensing"))
KINDS = Technology.all()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("later_day", [1, 329, 3650])
def test_no_federal_credit_after_2025(kind, later_day):
    """Public Law 119-21: none for property placed in service after 31 December 2025."""
    day = LAST_DAY + timedelta(days=later_day)
    assert all(line.status == "ended" for line in incentives_for(kind, day) if line.kind == "tax credit")


def test_the_last_day_and_its_limits():
    """26 USC 25C: 30 %, up to $2,000 for a heat pump and $600 for a gas water heater, none for a resistance tank."""
    resistance = Technology.named("electric_storage_resistance")
    for kind, caps in ((PUMP, [2000]), (TANKLESS, [600]), (resistance, [])):
        credits = [line for line in incentives_for(kind, LAST_DAY) if line.kind == "tax credit"]
        assert [(line.status, line.cap_usd) for line in credits] == [("ask", cap) for cap in caps]
    shares = [row["share_frac"] for row in tables.load("incentives").rows() if row["kind"] == "tax credit"]
    assert set(shares) == {0.30}


def test_what_begins_on_a_day_may_be_asked_about_on_that_day():
    """Table ``incentives``: the whole-house rebate of 42 USC 18795 begins with the law, on 16 August 2022."""
    for day, status in ((date(2022, 8, 15), "not begun"), (date(2022, 8, 16), "ask")):
        (line,) = (one for one in incentives_for(TANKLESS, day) if one.id == "state_run_performance")
        assert line.status == status and line.cap_usd is None


def test_an_installed_price_by_what_the_law_counts_apart():
    """Panel and wiring by the jobs of the table ``electrification_rebate``; all else counts with the heater."""
    base = base_item(by_id("heat-pump-50"))
    jobs = [item(name, "x") for name in ("panel-200", "circuit-240-30", "permit")]
    panel, wiring, permit = (job.counted_usd[1] for job in jobs)
    found = parts_of(base, jobs)
    assert (found.panel_usd, found.wiring_usd) == (panel, wiring)
    assert found.heater_usd == pytest.approx(base.counted_usd[1] + permit)
    assert min(panel, wiring, permit) > 0 and parts_of(base, []).panel_usd == 0


def test_nothing_stands_higher_than_ask():
    for kind in KINDS:
        for line in incentives_for(kind, date(2026, 11, 25)):
            assert line.status in {"ended", "ask", "not begun"}
            assert line.as_of <= date(2026, 11, 25) and line.note and line.source


def test_state_run_rebates_are_dated_facts():
    caps = {line.id: line.cap_usd for line in incentives_for(PUMP, date(2026, 11, 25))}
    assert caps["state_run_electrification"] == 1750
    assert reported_open_on("wi") == date(2025, 1, 30)
    assert reported_open_on("TX") is None


def _told(income_frac=None, **failed):
    house = {
        "place": {"city": "Atlanta, GA"},
        "household": {"people": 4},
        "failed": {"fuel": "natural_gas", **failed},
        "house": {"fuels": ["natural_gas"]},
    }
    if income_frac is not None:
        house["household"]["income_of_median_frac"] = income_frac
    if failed.get("kind") == "heat_pump":
        house["house"]["fuels"] = ["electricity"]
    return compare(case_from(house), today=date(2026, 11, 28), by_hand=True)


def test_the_share_goes_by_income():
    """42 USC 18795a: all of the cost below 80 % of the area's median income, half of it up to 150 %, none above."""
    shares = {0.0: 1.0, 0.79: 1.0, 0.8: 0.5, 1.2: 0.5, 1.5: 0.5, 1.51: 0.0, 4.0: 0.0}
    assert {income: share_of_income_frac(income) for income in shares} == shares


def test_each_part_has_its_limit_and_the_household_its_own():
    """42 USC 18795a and programme pages: $1,750 for the heater, $4,000 for a panel, $2,500 for wiring."""
    assert rebate_usd(3000.0, 0.0, 0.0, 1.0) == 1750
    assert rebate_usd(3000.0, 0.0, 0.0, 0.5) == 1500
    assert rebate_usd(9000.0, 9000.0, 9000.0, 1.0) == 1750 + 4000 + 2500
    assert rebate_usd(1000.0, 3000.0, 900.0, 0.5) == 500 + 1500 + 450
    assert tables.load("electrification_rebate").find("household")["cap_usd"] == 14_000


def test_what_the_law_would_pay_is_told_and_never_counted():
    plain, half, rich, again = _told(), _told(1.0), _told(2.0), _told(1.0, kind="heat_pump", fuel="electricity")
    pump = next(one for one in half.advice.kinds if one.heater.is_heat_pump)
    parts = parts_of(pump.house.base, pump.house.work)
    assert sum(vars(parts).values()) == pytest.approx(pump.installed_usd[1], abs=0.02)
    most = rebate_usd(parts.heater_usd, parts.panel_usd, parts.wiring_usd, 0.5)
    assert 0 < most <= 1750 + 2500
    words = {name: said(public_money(one)) for name, one in (("half", half), ("rich", rich), ("again", again))}
    assert f"at most ${round(most / 10) * 10:,.0f} for the" in words["half"] and "not counted" in words["half"]
    assert "that law pays nothing" in words["rich"]
    assert "not paid for a heat pump in place of a heat pump" in words["again"]
    assert "not counted above" not in words["again"]
    assert [one.money.point_usd for one in plain.candidates] == [one.money.point_usd for one in half.candidates]
    assert all(one.money.rebate_usd == 0 for one in half.candidates)
