"""State prices: every state, every fuel, units and age."""

from datetime import date

import pytest

from advisor.core import tables
from advisor.core.errors import InputError
from advisor.core.kinds import Fuel
from advisor.core.published import STATES
from advisor.core.units import UNITS
from advisor.place.prices import is_stale, state_prices

TODAY = date(2026, 11, 25)
ALL_STATES = sorted(set(tables.load("county_zones")["us_state"]))


@pytest.mark.parametrize("state", [*ALL_STATES, "US"])
def test_every_state_has_a_price_for_every_fuel(state):
    prices = state_prices(state, today=TODAY)
    assert tuple(prices) == Fuel.all()
    for fuel, price in prices.items():
        assert price.fuel == fuel
        assert price.value > 0
        assert price.unit in UNITS
        assert price.source and price.period
        assert price.state in STATES
        assert price.as_of < TODAY
        assert price.kind == "average"


def test_units_go_with_the_fuel():
    units = {fuel.id: price.unit for fuel, price in state_prices("CO", today=TODAY).items()}
    assert units == {
        "electricity": "usd_per_kwh",
        "natural_gas": "usd_per_therm",
        "propane": "usd_per_gal",
        "heating_oil": "usd_per_gal",
    }


def test_a_price_of_2023_is_stale_in_2026_and_was_not_in_2024():
    assert state_prices("CO", today=TODAY)[Fuel.named("natural_gas")].is_stale
    assert not state_prices("CO", today=date(2024, 6, 1))[Fuel.named("natural_gas")].is_stale
    assert not state_prices("CO", today=TODAY)[Fuel.named("electricity")].is_stale


def test_age_is_counted_from_the_end_of_the_period():
    assert not is_stale(date(2024, 1, 1), date(2025, 7, 2))
    assert is_stale(date(2024, 1, 1), date(2025, 7, 3))


def test_months_weighted_here_do_not_look_read():
    maine = state_prices("ME", today=TODAY)[Fuel.named("natural_gas")]
    assert maine.state == "computed"
    assert "6 published months" in maine.source


def test_a_projection_says_that_it_is_one():
    for state in ("WA", "AZ"):
        assert "modelled" in state_prices(state, today=TODAY)[Fuel.named("propane")].period
    assert "modelled" not in state_prices("MN", today=TODAY)[Fuel.named("propane")].period


def test_the_code_may_be_small():
    assert state_prices("co", today=TODAY) == state_prices("CO", today=TODAY)


@pytest.mark.parametrize("state", ["PR", "", "Colorado"])
def test_what_is_no_state_is_refused(state):
    with pytest.raises(InputError) as caught:
        state_prices(state, today=TODAY)
    assert caught.value.field == "place.state"
