"""The index of formulas: complete, runnable with units, and never at a loss for a sentence."""

import contextlib
import importlib
import inspect
import io
import pkgutil
import warnings

import numpy as np
import pytest

import advisor
from advisor import formulas
from advisor.cli import BAD_INPUT, DONE, main
from advisor.core.errors import InputError
from advisor.core.units import UNITS, show

INDEX = formulas.index()
every_formula = pytest.mark.parametrize("formula", INDEX.values(), ids=INDEX)


def _is_published(name, function, module_name):
    """A formula where it is defined; neither an import of it nor a second name for it."""
    return hasattr(function, "__published__") and (name, module_name) == (function.__name__, function.__module__)


def test_every_published_formula_is_in_the_index():
    published = {}
    for module in pkgutil.walk_packages(advisor.__path__, "advisor."):
        if module.name.endswith("__main__") or module.name.startswith("advisor.web"):
            continue
        for name, function in inspect.getmembers(importlib.import_module(module.name), inspect.isfunction):
            if _is_published(name, function, module.name):
                published.setdefault(name, []).append(module.name.removeprefix("advisor."))
    assert not {name: where for name, where in published.items() if len(where) > 1}, "one name, two formulas"
    missing = {where[0] for name, where in published.items() if name not in INDEX}
    assert not missing, "a module marks its formulas with @published at the start of a line"
    assert {name: [formula.module] for name, formula in INDEX.items()} == published
    assert list(INDEX) == sorted(INDEX)


@every_formula
def test_inputs_have_a_kind_and_a_unit(formula):
    assert formula.summary.endswith(".")
    assert formula.suffix in UNITS
    for parameter in formula.parameters:
        assert "[" not in parameter.meaning, "the unit is printed beside the number"
        assert parameter.kind in {"number", "word", "yes or no"}


@every_formula
def test_the_worked_example_is_the_function_s(formula):
    working = formulas.run(formula.name, {})
    assert working.result == pytest.approx(float(formula.function(**working.inputs)))
    for name, value in formula.published.example.items():
        assert working.inputs[name] == value
    for si in (False, True):
        lines = formulas.lines(working, si=si)
        assert lines[0] == formula.summary
        assert lines[-1] == f"Source: {formula.published.source} [{formula.published.state}]"
        assert f"  = {show(working.result, formula.suffix, si=si)}" in lines
        assert sum(any(line.startswith(f"  {item.name} ") for line in lines) for item in formula.parameters) == len(
            formula.parameters
        )


@every_formula
def test_units_are_read_for_every_number(formula):
    """The example written with units gives the example's result."""
    working = formulas.run(formula.name, {})
    given = {}
    for parameter in formula.parameters:
        if parameter.kind == "number":
            label = UNITS[parameter.suffix].label if UNITS[parameter.suffix].pint else ""
            text = f"{working.inputs[parameter.name]!r} {label}".strip()
            with contextlib.suppress(InputError):  # a few labels are for reading, not for typing
                parameter.read(text)
                given[parameter.name] = text
    assert formulas.run(formula.name, given).result == pytest.approx(working.result, rel=1e-6)


@every_formula
def test_wild_inputs_get_an_answer_or_a_sentence(formula):
    """Zero, negative and huge inputs: no traceback, no warning, no infinity in JSON."""
    for parameter in formula.parameters:
        wild = ["0", "-1", "1e9", "1e308", "-1e308", "1e-300"] if parameter.kind == "number" else ["zzz", "no", ""]
        for value in wild:
            out, err = io.StringIO(), io.StringIO()
            with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), warnings.catch_warnings():
                warnings.simplefilter("error")
                code = main(["formula", formula.name, f"{parameter.name}={value}", "--json"])
            told = (formula.name, parameter.name, value, err.getvalue())
            assert code in {DONE, BAD_INPUT}, told
            assert (err.getvalue() == "") == (code == DONE), told
            assert "Infinity" not in out.getvalue() and "NaN" not in out.getvalue(), told


def test_an_input_in_other_units():
    # 60 kW at a 35 K rise: 60 / (4.186 kJ/(kg K) x 35 K x 0.988 kg/L) = 0.414 L/s by hand; the test method's water
    # constants stand 0.4 % from these.
    working = formulas.run("heated_flow_gpm", {"output_btuh": "60 kW", "rise_df": "35 K"})
    litres_per_minute = working.result * 3.785411784
    assert litres_per_minute == pytest.approx(60 / (4.186 * 35 * 0.988) * 60, rel=5e-3)


def test_a_reading_and_a_difference_are_not_mixed():
    as_difference = formulas.run("heated_flow_gpm", {"rise_df": "40 C"}).inputs["rise_df"]
    as_reading = formulas.run("hot_share_frac", {"use_f": "40 C"}).inputs["use_f"]
    assert as_difference == pytest.approx(72.0)
    assert as_reading == pytest.approx(104.0)


@pytest.mark.parametrize(
    ("name", "given", "field"),
    [
        ("no_such_formula", {}, "formula"),
        ("heated_flow_gpm", {"rise": 5}, "rise"),
        ("heated_flow_gpm", {"rise_df": "five"}, "rise_df"),
        ("heated_flow_gpm", {"rise_df": float("nan")}, "rise_df"),
        ("heated_flow_gpm", {"rise_df": True}, "rise_df"),
        ("pipe_waste_frac", {"is_insulated": "perhaps"}, "is_insulated"),
    ],
)
def test_what_cannot_be_run_is_refused(name, given, field):
    with pytest.raises(InputError) as caught:
        formulas.run(name, given)
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("said", "meant"), [("yes", True), ("TRUE", True), ("no", False), ("False", False), (True, True)]
)
def test_yes_and_no_are_read(said, meant):
    assert formulas.run("pipe_waste_frac", {"is_insulated": said}).inputs["is_insulated"] is meant


def test_the_nearest_names_are_offered():
    with pytest.raises(InputError, match="did you mean heated_flow_gpm"):
        formulas.find("heated_flow")
    with pytest.raises(InputError, match="lists them all"):
        formulas.find("zzzzzz")


def test_no_answer_is_said_in_words():
    for given in ({"rise_df": 0}, {"rise_df": -3}):
        working = formulas.run("heated_flow_gpm", given)
        assert not np.isfinite(working.result)
        assert "  = no answer for these inputs" in formulas.lines(working)
    assert np.isnan(formulas.run("label_energy_btu_per_yr", {"rating_uef": 0}).result)
