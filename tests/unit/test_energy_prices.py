"""What energy costs a household: its own price, else the state's average less the share that no unit moves."""

from dataclasses import replace
from datetime import date
from types import SimpleNamespace

import pytest

from advisor.case.file import case_from
from advisor.core.kinds import Fuel
from advisor.heaters.catalogue import by_id
from advisor.money.energy_prices import account_of, prices_of
from advisor.place.prices import Price
from advisor.place.refusal import PlaceError

GAS, POWER, PROPANE, OIL = Fuel.all()
AVERAGES = dict(zip(Fuel.all(), (1.2343, 0.16, 3.0, 4.0), strict=True))


def site(state="OH", **of_gas):
    """A place with averages of our own."""
    prices = {
        fuel: Price(fuel, usd, fuel.price_unit, "2025", date(2025, 12, 31), "a table", "verified", False)
        for fuel, usd in AVERAGES.items()
    }
    prices[GAS] = replace(prices[GAS], **of_gas)
    where, grid = SimpleNamespace(state=state), SimpleNamespace(co2_lb_per_kwh=0.9)
    return SimpleNamespace(location=where, prices=prices, grid=grid)


def case(prices=None, **house):
    return case_from(
        {
            "place": {"city": "Columbus, OH"},
            "household": {"people": 3},
            "failed": {"fuel": "natural_gas"},
            "house": {"fuels": ["natural_gas"], **house},
            "prices": prices or {},
        }
    )


def test_an_average_loses_what_no_unit_moves_and_a_price_of_ones_own_does_not():
    # A quarter of the gas bill is fixed: 0.925725 of 1.2343; a tenth of the electricity's: 0.144 of 0.16.
    shares = {"natural_gas_fixed_frac": 0.25, "electricity_fixed_frac": 0.1}
    found = prices_of(case(shares), site())
    assert found.usd_per_unit == pytest.approx({GAS: 0.925725, POWER: 0.144, PROPANE: 3.0, OIL: 4.0})
    assert found.averages == Fuel.all()
    # Only what this house may burn is told, and electricity, to a hundredth of a cent.
    told = {one.field: one.value for one in found.assumptions}
    assert told == {"prices.natural_gas_usd_per_therm": 0.9257, "prices.electricity_usd_per_kwh": 0.144}
    own = prices_of(case(shares | {"natural_gas_usd_per_therm": 1.5}), site())
    assert own.usd_per_unit[GAS] == 1.5 and GAS not in own.averages
    assert [one.field for one in own.assumptions] == ["prices.electricity_usd_per_kwh"]
    assert own.co2_lb_per_unit[POWER] == 0.9 and own.fixed_usd_per_mo == {GAS: 0.0, **_other_accounts(own)}


def _other_accounts(found):
    return {fuel: 0.0 for fuel in found.fixed_usd_per_mo if fuel is not GAS}


@pytest.mark.parametrize(
    ("moved", "code"),
    [
        ({}, "assumed.price"),
        ({"moved_frac": 0.1, "moved_by": "2026-10"}, "assumed.price_moved"),
        ({"moved_frac": 0.1}, "assumed.price"),
        ({"moved_by": "2026-10"}, "assumed.price"),
    ],
)
def test_an_average_that_has_moved_since_is_said_to_have(moved, code):
    assert prices_of(case(), site(**moved)).assumptions[0].reason.code == code


def test_a_territory_has_no_averages_so_that_what_counts_must_be_given():
    with pytest.raises(PlaceError) as caught:
        prices_of(case({"natural_gas_usd_per_therm": 2.0}), site("PR"))
    assert caught.value.field == "prices.electricity_usd_per_kwh"
    with pytest.raises(PlaceError) as caught:
        prices_of(case(), site("PR"))
    assert caught.value.field == "prices.natural_gas_usd_per_therm"
    both = {"natural_gas_usd_per_therm": 2.0, "electricity_usd_per_kwh": 0.3}
    assert prices_of(case(both), site("PR")).usd_per_unit[POWER] == 0.3


@pytest.mark.parametrize(
    ("otherwise", "charge", "heater_id", "account"),
    [
        (True, 15.0, "gas-tank-50", (None, 0)),
        (False, 15.0, "gas-tank-50", (GAS, 12)),
        (False, 15.0, "heat-pump-50", (GAS, 0)),
        (False, None, "gas-tank-50", (None, 0)),
    ],
)
def test_the_account_that_only_a_heater_keeps(otherwise, charge, heater_id, account):
    house = case({} if charge is None else {"gas_fixed_usd_per_mo": charge}, uses_gas_otherwise=otherwise)
    found = prices_of(house, site())
    assert found.fixed_usd_per_mo[GAS] == (charge or 0.0)
    assert account_of(by_id(heater_id), house, found) == account
