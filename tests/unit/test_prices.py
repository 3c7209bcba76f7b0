"""State prices: every state, every fuel, units and age."""

from datetime import date

import pytest

from advisor.core import tables
from advisor.core.errors import InputError
from advisor.core.kinds import Fuel
from advisor.core.tables import STATES
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


def test_a_price_of_2024_is_stale_in_2026_and_one_of_2025_is_not():
    assert state_prices("CT", today=TODAY)[Fuel.named("natural_gas")].is_stale
    assert not state_prices("CT", today=date(2025, 6, 1))[Fuel.named("natural_gas")].is_stale
    assert not state_prices("CO", today=TODAY)[Fuel.named("natural_gas")].is_stale


def test_age_is_counted_from_the_end_of_the_period():
    assert not is_stale(date(2024, 1, 1), date(2025, 7, 2))
    assert is_stale(date(2024, 1, 1), date(2025, 7, 3))


def test_what_was_seen_in_one_copy_does_not_look_read():
    maine = state_prices("ME", today=TODAY)[Fuel.named("natural_gas")]
    assert maine.state == "seen second-hand" and maine.period == "2024"


def test_gas_and_oil_of_2025_by_state_and_region():
    """EIA, residential natural gas by state, 2025, over 10.37 therms a thousand cubic feet: 12.96 dollars in Alaska,
    17.56 in Alabama. EIA, Heating Oil and Propane Update, published months of 2025: Midwest 3.361, New England
    3.709."""
    for state, per_mcf in (("AK", 12.96), ("AL", 17.56), ("AR", 19.25), ("AZ", 18.58)):
        assert state_prices(state, today=TODAY)[Fuel.named("natural_gas")].value == pytest.approx(
            per_mcf / 10.37, abs=6e-4
        )
    oil = Fuel.named("heating_oil")
    assert [state_prices(state, today=TODAY)[oil].value for state in ("MN", "ME")] == [3.361, 3.709]


def test_a_national_average_says_that_it_is_one():
    for state in ("WA", "AZ"):
        assert "this state is not surveyed" in state_prices(state, today=TODAY)[Fuel.named("propane")].source
    assert "this state" in state_prices("MN", today=TODAY)[Fuel.named("propane")].source


def test_what_has_moved_far_says_so():
    prices = state_prices("ME", today=TODAY)
    assert (prices[Fuel.named("heating_oil")].moved_frac, prices[Fuel.named("propane")].moved_frac) == (0.48, None)


def test_the_code_may_be_small():
    assert state_prices("co", today=TODAY) == state_prices("CO", today=TODAY)


@pytest.mark.parametrize("state", ["PR", "", "Colorado"])
def test_what_is_no_state_is_refused(state):
    with pytest.raises(InputError) as caught:
        state_prices(state, today=TODAY)
    assert caught.value.field == "place.state"
