"""A tank heated by the boiler: only where the boiler is, on the boiler's own pipe, flue and air."""

from datetime import date

import pytest

from advisor.case.file import case_from
from advisor.comparison import compare
from advisor.heaters.catalogue import by_id, catalogue
from advisor.heaters.rating import may_be_made
from advisor.heaters.regional_rules import sale_of
from tests.houses import check, said

TODAY = date(2026, 11, 28)
TANKS = {heater.fuel.id: heater for heater in catalogue() if heater.technology.is_boiler_heated}


def compared(fuel="heating_oil", **house):
    return compare(
        case_from(
            {
                "place": {"city": "Boston, MA"},
                "household": {"people": 4},
                "failed": {"fuel": fuel, "size_gal": 32 if fuel == "heating_oil" else 50},
                "house": {"fuels": [fuel], "heater_space": "basement", **house},
            }
        ),
        today=TODAY,
        by_hand=True,
    )


def boiler_tanks(comparison):
    return [one for one in comparison.candidates if one.heater.technology.is_boiler_heated]


def test_there_is_one_for_every_fuel_that_boilers_burn():
    assert set(TANKS) == {"natural_gas", "propane", "heating_oil"}


@pytest.mark.parametrize(
    ("house", "is_there"),
    [
        ({}, False),
        ({"has_boiler": False}, False),
        ({"has_boiler": True}, True),
        ({"has_boiler": True, "heating_fuel": "heating_oil"}, True),
        ({"has_boiler": True, "heating_fuel": "electricity"}, False),
    ],
)
def test_it_is_compared_only_where_a_boiler_can_heat_it(house, is_there):
    assert bool(boiler_tanks(compared(**house))) == is_there


def test_it_is_never_the_same_again_and_no_smaller_tank():
    comparison = compared("natural_gas", has_boiler=True)
    assert comparison.advice.same_again.heater.id == "gas-tank-50"
    [tank] = boiler_tanks(comparison)
    assert tank.heater.nominal_gal < 50 and tank.capacity.verdict.key == "verdict.keeps_up"
    oil = compared(has_boiler=True).advice
    # Common practice, no published source: in a house with an oil boiler its tank is what the trade puts in.
    assert oil.pick.heater.id == "oil-boiler-tank-40" and oil.why == "wins" and not oil.is_smaller


def test_gas_line_air_and_rules_on_flames_are_the_boilers_matter():
    found = check("gas-boiler-tank-40", house__has_boiler=True)
    trades = {trade.trade for trade in found.trades}
    assert not trades & {"gas", "air"} and {"water", "rules", "power"} <= trades
    jobs = {job.job for job in found.work}
    assert "gas-trap-and-valve" not in jobs and "vent-connector" not in jobs
    assert "the boiler heats it as one more zone" in said(found.trade("rules").findings)
    # With the old heater's flame gone its opening in the chimney is closed, as behind an electric tank.
    assert "flue-cap" in jobs


def test_the_federal_floor_and_the_regional_rules_do_not_know_it():
    for heater in TANKS.values():
        assert may_be_made(heater, date(2029, 6, 1))[0]
        sale = sale_of(heater, "CO", None, TODAY)
        assert sale.may_be_sold and not sale.told
    assert sale_of(by_id("gas-tank-50"), "CO", None, TODAY).told
