"""A tank heated by the boiler: only where the boiler is, on the boiler's own pipe, flue and air."""

from datetime import date

import pytest

from advisor.bench.calibration import run_again
from advisor.case.file import case_from
from advisor.comparison import compare
from advisor.core.errors import InputError
from advisor.core.tables import load
from advisor.heaters.catalogue import by_id, catalogue
from advisor.heaters.label_limits import label_flags
from advisor.heaters.rating import may_be_made
from advisor.heaters.regional_rules import sale_of
from advisor.recommendation.kinds import is_eligible
from advisor.web import draft, drawings, today
from tests.houses import check, said

TODAY = date(2026, 11, 28)
ALL = [heater for heater in catalogue() if heater.technology.is_boiler_heated]
TANKS = {heater.fuel.id: heater for heater in ALL if heater.nominal_gal == 40}


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


def failed(fuel="heating_oil", size_gal=50, trouble="leaks", **house):
    """A house whose boiler heated the tank that failed."""
    return compare(
        case_from(
            {
                "place": {"city": "Boston, MA"},
                "household": {"people": 4},
                "failed": {"fuel": fuel, "kind": "boiler_tank", "size_gal": size_gal, "trouble": trouble},
                "house": {"fuels": [fuel], "heater_space": "basement", **house},
            }
        ),
        today=TODAY,
        by_hand=True,
    )


def test_there_is_one_for_every_fuel_that_boilers_burn():
    assert set(TANKS) == {"natural_gas", "propane", "heating_oil"}


@pytest.mark.parametrize("fuel", sorted(TANKS))
@pytest.mark.parametrize("size_gal", [30, 40, 50, 60, 80])
def test_one_that_leaks_is_replaced_by_its_like(fuel, size_gal):
    """Common practice, no published source: the boiler's pump, valve, control and pipes stay."""
    comparison = failed(fuel, size_gal)
    same = comparison.advice.same_again
    assert same.heater.technology.is_boiler_heated and same.heater.nominal_gal == size_gal
    assert same.heater.fuel.id == fuel and is_eligible(same)
    assert "boiler-zone" not in {job.job for job in same.house.work}
    # Nothing of the old tank's is closed or taken over by others: it had neither flame nor flue nor gas pipe.
    for one in comparison.candidates:
        jobs = {job.job for job in one.house.work}
        assert "flue-cap" not in jobs, one.heater.id
    if fuel == "natural_gas":
        tank = comparison.candidate("gas-tank-50")
        assert any(job.job.startswith("gas-branch") for job in tank.house.work)


def test_a_new_one_pays_for_its_zone_and_comes_in_the_usual_size():
    [new] = boiler_tanks(compared(has_boiler=True))
    [zone] = [job for job in new.house.work if job.job == "boiler-zone"]
    assert new.heater.nominal_gal == 40
    known = failed(size_gal=40).candidate(new.heater.id)
    assert new.installed_usd[1] - known.installed_usd[1] >= zone.typical_usd > 0


def test_a_larger_one_costs_and_gives_more():
    """Values from memory: their order is what is held."""
    for fuel in TANKS:
        row = sorted((one for one in ALL if one.fuel.id == fuel), key=lambda one: one.nominal_gal)
        prices = [load("installed_costs").find(one.id)["typical_usd_per_unit"] for one in row]
        assert prices == sorted(prices) and len(set(prices)) == len(row) == 5
        assert [one.fhr_gal for one in row] == sorted(one.fhr_gal for one in row)
        assert [one.uef for one in row] == sorted((one.uef for one in row), reverse=True)
        assert all(not label_flags(one, TODAY) and run_again(one).cannot_meet is None for one in row)


@pytest.mark.parametrize("trouble", ["nothing", "too_little", "noise"])
def test_it_may_be_mended_but_not_when_it_leaks(trouble):
    assert failed(trouble=trouble).repair.id.startswith("repair-boiler-tank")
    assert failed(trouble="leaks").repair is None


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"failed": {"fuel": "electricity", "kind": "boiler_tank"}}, "failed.fuel"),
        ({"house": {"fuels": ["heating_oil"], "has_boiler": False}}, "house.has_boiler"),
        ({"house": {"fuels": ["heating_oil", "natural_gas"], "heating_fuel": "natural_gas"}}, "house.heating_fuel"),
    ],
)
def test_a_boiler_that_cannot_be_is_refused(changed, field):
    given = {
        "place": {"city": "Boston, MA"},
        "household": {"people": 4},
        "failed": {"fuel": "heating_oil", "kind": "boiler_tank"},
        "house": {"fuels": ["heating_oil"]},
    }
    with pytest.raises(InputError, match=field):
        case_from(given | changed)


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


def test_the_questions_draw_it_and_know_it_again():
    given = {
        "place": {"city": "Boston, MA"},
        "household": {"people": 4},
        "failed": {"fuel": "heating_oil", "kind": "boiler_tank", "size_gal": 40},
        "house": {"fuels": ["heating_oil"]},
    }
    found = draft.begun(given)
    assert found["heater"] == "tank_boiler" and draft.shape_of(found).kind == "boiler_tank"
    assert "size" in draft.steps_of(found) and draft.fuel_of(found).id == "heating_oil"
    again = draft.given_of(found | {"place": given["place"]}, given)
    assert again["failed"] == given["failed"]
    assert set(drawings.OF_HEATERS) == set(draft.SHAPES)


def test_today_its_own_leak_and_its_own_fault():
    codes = {trouble: [one.code for one in today.today(failed(trouble=trouble))] for trouble in ("leaks", "nothing")}
    assert "stopgap.boiler_leak" in codes["leaks"] and "stopgap.boiler_tank" not in codes["leaks"]
    assert "stopgap.boiler_tank" in codes["nothing"] and "stopgap.boiler_leak" not in codes["nothing"]
    # Nobody is sent to a flame that is not there.
    assert not {"tonight.off", "tonight.burns"} & {one.code for one in today.tonight(failed())}
