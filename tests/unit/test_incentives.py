"""Public money: ended means nothing, and nothing is promised."""

from datetime import date, timedelta

import pytest

from advisor.core.errors import InputError
from advisor.core.kinds import Technology
from advisor.money.incentives import federal_credit_limit_usd, incentives_for, reported_open_on

LAST_DAY = date(2025, 12, 31)
PUMP, TANKLESS = map(Technology.named, ("heat_pump_storage_240v", "gas_tankless_condensing"))
KINDS = Technology.all()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("later_day", [1, 329, 3650])
def test_no_federal_credit_after_2025(kind, later_day):
    """Public Law 119-21: none for property placed in service after 31 December 2025."""
    day = LAST_DAY + timedelta(days=later_day)
    assert federal_credit_limit_usd(kind, day, 10_000) == 0
    assert all(line.status == "ended" for line in incentives_for(kind, day) if line.kind == "tax credit")


def test_the_last_day_and_its_limits():
    """26 USC 25C: 30 %, up to $2,000 for a heat pump and $600 for a gas water heater."""
    assert federal_credit_limit_usd(PUMP, LAST_DAY, 10_000) == 2000
    assert federal_credit_limit_usd(PUMP, LAST_DAY, 4000) == pytest.approx(1200)
    assert federal_credit_limit_usd(TANKLESS, LAST_DAY, 5000) == 600
    assert federal_credit_limit_usd(Technology.named("electric_storage_resistance"), LAST_DAY, 5000) == 0


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


def test_a_cost_below_nought_is_refused():
    with pytest.raises(InputError):
        federal_credit_limit_usd(PUMP, LAST_DAY, -1)
