"""Public money: ended means nothing, and nothing is promised."""

from datetime import date, timedelta

import pytest

from advisor.core import tables
from advisor.core.kinds import Technology
from advisor.money.incentives import incentives_for, reported_open_on

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
