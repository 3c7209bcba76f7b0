"""What a number was made of is kept as the engine made it, and makes it again; thin air is in it."""

from dataclasses import replace

import pytest

from advisor import formulas
from advisor.case.file import read_case
from advisor.comparison import compare
from advisor.core import paths
from advisor.core.units import BTU_PER_KWH
from advisor.report.as_json import comparison_dict
from advisor.report.words import LOCALES, say

CASES = sorted(path.stem for path in paths.CASES.glob("*.toml"))
HIGH_FT = 7_000.0


def _compared(name, elevation_ft=None):
    case = read_case(paths.CASES / f"{name}.toml")
    if elevation_ft is not None:
        case = case.model_copy(update={"place": case.place.model_copy(update={"elevation_ft": elevation_ft})})
    return compare(case)


def _result(candidate, figure):
    return next(one.result for one in candidate.workings if one.figure.code == figure)


@pytest.mark.parametrize("elevation_ft", [None, HIGH_FT])
@pytest.mark.parametrize("name", CASES)
def test_a_working_makes_its_number_again(name, elevation_ft):
    for candidate in _compared(name, elevation_ft).candidates:
        for working in candidate.workings:
            again = formulas.run(working.formula, working.inputs)
            assert again.result == pytest.approx(working.result, rel=1e-9), (candidate.heater.id, working)


@pytest.mark.parametrize("elevation_ft", [None, HIGH_FT])
@pytest.mark.parametrize("name", CASES)
def test_workings_are_of_the_numbers_that_are_quoted(name, elevation_ft):
    comparison = _compared(name, elevation_ft)
    for candidate in comparison.candidates:
        heater, capacity, cost = candidate.heater, candidate.capacity, candidate.running_cost
        gives = "working.hour" if heater.is_storage else "working.flow"
        assert _result(candidate, gives) == capacity.deliverable
        if heater.min_input_btuh is not None and heater.is_tankless:
            starts = heater.activation_gpm or 0.0
            assert max(starts, _result(candidate, "working.least_winter")) == capacity.least_flow_winter_gpm
            assert max(starts, _result(candidate, "working.least_summer")) == capacity.least_flow_summer_gpm
        if heater.is_storage:
            assert _result(candidate, "working.loss") == candidate.use.loss_btuh_per_df
        if heater.is_heat_pump or not (heater.is_storage and heater.fuel.is_electric):
            code = "cop" if heater.is_heat_pump else "efficiency" if heater.is_storage else "drawn"
            assert _result(candidate, f"working.{code}") == candidate.use.efficiency_frac
        bought = candidate.energy.fuel_btu + candidate.energy.electricity_kwh * BTU_PER_KWH
        pump_btu = comparison.circumstances.loop.pump_kwh_per_yr * BTU_PER_KWH
        assert _result(candidate, "working.bought") == pytest.approx(float(bought.sum()) - pump_btu)
        bought = candidate.in_homes.fuel_btu + candidate.in_homes.electricity_kwh * BTU_PER_KWH
        assert _result(candidate, "working.in_homes") == pytest.approx(float(bought.sum()) - pump_btu)
        assert _result(candidate, "working.year") == pytest.approx(cost.usd_per_yr, abs=1e-6)
        parts = [one.result for one in candidate.workings if one.figure.code in {"working.energy", "working.room"}]
        assert sum(parts) + cost.fixed_usd_per_yr == pytest.approx(cost.usd_per_yr, abs=1e-6)
        money = candidate.money
        assert money.point_usd / _result(candidate, "working.level") == pytest.approx(money.annualised_usd.point)
        for code, quoted in (
            ("savings_ratio", money.measured.savings_ratio),
            ("return", money.measured.return_frac),
        ):
            if quoted is not None:
                assert _result(candidate, f"working.{code}") == quoted


def test_thin_air_is_in_the_working():
    """A burner 7,000 ft up gives less than at sea level, in the verdict and in the working alike."""
    low, high = (_compared("cold-city-basement", feet) for feet in (0.0, HIGH_FT))
    for heater_id in ("gas-tank-50", "gas-tankless-199"):
        least, most = high.candidate(heater_id).capacity, low.candidate(heater_id).capacity
        assert least.workings[0].inputs["altitude_frac"] < 0.9 < most.workings[0].inputs["altitude_frac"]
        assert least.workings[0].result == least.deliverable < 0.95 * most.deliverable
    electric = [one.candidate("electric-tank-50").capacity.workings[0] for one in (low, high)]
    # An element does not mind the height; the water up there is colder.
    assert [one.inputs["altitude_frac"] for one in electric] == [1.0, 1.0]


def test_json_carries_every_working():
    comparison = _compared("oil-house")
    for candidate, row in zip(comparison.candidates, comparison_dict(comparison)["candidates"], strict=True):
        assert [one["formula"] for one in row["workings"]] == [one.formula for one in candidate.workings]
        for one in row["workings"]:
            formula = formulas.find(one["formula"])
            assert (one["source"], one["state"]) == (formula.published.source, formula.published.state)
            assert one["unit"] == formulas.unit_label(formula.suffix)
            again = formulas.run(one["formula"], one["inputs"]).result
            assert again == pytest.approx(one["result"], rel=1e-4)


@pytest.mark.parametrize("language", LOCALES)
def test_every_working_is_named_and_can_be_followed(language):
    for candidate in _compared("full-panel").candidates:
        for working in candidate.workings:
            assert say(working.figure, language=language)
            assert formulas.lines(working)[-1].startswith("Source: ")
            moved = replace(working, result=float("nan"))
            assert "  = no answer for these inputs" in formulas.lines(moved)
