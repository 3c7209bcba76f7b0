"""Every published formula: units in its names, a docstring, a source, an example that runs, one answer for arrays."""

import importlib
import inspect
import pkgutil

import numpy as np
import pytest

import advisor
from advisor.core.published import STATES, published
from advisor.core.units import UNITS, suffix_of


def _is_published(name, function, module_name):
    """A formula where it is defined; neither an import of it nor a second name for it."""
    return hasattr(function, "__published__") and (name, module_name) == (function.__name__, function.__module__)


def _formulas():
    found = {}
    for module in pkgutil.walk_packages(advisor.__path__, "advisor."):
        # The entry point runs the program; pages and kernels hold no formulas.
        if module.name.endswith("__main__") or module.name.startswith("advisor.web"):
            continue
        for name, function in inspect.getmembers(importlib.import_module(module.name), inspect.isfunction):
            if _is_published(name, function, module.name):
                found[f"{module.name.removeprefix('advisor.')}.{name}"] = function
    return found


FORMULAS = _formulas()
every_formula = pytest.mark.parametrize("function", FORMULAS.values(), ids=FORMULAS)


def _numbers(function):
    """The numeric parameters: neither words nor yes-or-no."""
    return [
        name
        for name, item in inspect.signature(function).parameters.items()
        if not isinstance(item.default, str | bool)
    ]


def _inputs(function):
    defaults = {
        name: item.default
        for name, item in inspect.signature(function).parameters.items()
        if item.default is not inspect.Parameter.empty
    }
    return defaults | function.__published__.example


def test_there_are_formulas_in_every_layer():
    folders = {name.split(".")[0] for name in FORMULAS}
    assert {"physics", "place", "demand", "heaters", "house"} <= folders


@every_formula
def test_names_say_their_units(function):
    name = function.__name__
    assert suffix_of(name) in UNITS, f"{name} ends in no unit"
    for parameter in _numbers(function):
        assert suffix_of(parameter) in UNITS, f"{name}: {parameter} ends in no unit"


@every_formula
def test_a_temperature_is_a_reading_or_a_difference(function):
    """A rise, swing, drop or gain is a difference; reading it as a temperature would be off by 32."""
    for name in (*_numbers(function), function.__name__):
        if suffix_of(name) in {"f", "df"}:
            is_difference = {"rise", "swing", "drop", "gain", "spread", "minus", "band"} & set(name.split("_"))
            assert suffix_of(name) == ("df" if is_difference else "f"), name


@every_formula
def test_the_docstring_has_parameters_and_returns(function):
    doc = inspect.getdoc(function) or ""
    assert doc.splitlines()[0].endswith(".")
    for section in ("Parameters\n----------\n", "Returns\n-------\n"):
        assert section in doc
    described = doc.partition("Parameters\n----------\n")[2].partition("\nReturns\n")[0]
    for parameter in inspect.signature(function).parameters:
        assert parameter in described, f"{parameter} is not described"


@every_formula
def test_source_and_state_are_given(function):
    mark = function.__published__
    assert len(mark.source.strip()) > 5
    assert mark.state in STATES


@every_formula
def test_the_example_runs(function):
    mark = function.__published__
    assert set(mark.example) <= set(inspect.signature(function).parameters)
    result = function(**mark.example)
    assert np.ndim(result) == 0
    assert np.isfinite(result)


#: Formulas that add up along the last axis of an input instead of answering element by element: formula to input.
ADDS_UP = {"indexed_present_value_yr": "index_frac"}
FACTORS = np.array([1.0, 0.93, 0.85, 1.04, 1.1])


@every_formula
def test_one_and_many_give_the_same(function):
    """Every input varies on its own and all of them together; the array's answer is the scalar's at each element."""
    numbers, inputs = _numbers(function), _inputs(function)
    numbers = [name for name in numbers if name != ADDS_UP.get(function.__name__)]
    if not numbers:
        pytest.skip("words only: nothing to vary")
    varied = [[name] for name in numbers] + ([numbers] if len(numbers) > 1 else [])
    for names in varied:
        many = inputs | {name: inputs[name] * np.roll(FACTORS, shift) for shift, name in enumerate(names)}
        found = function(**many)
        one_by_one = [
            function(**inputs | {name: float(many[name][index]) for name in names}) for index in range(len(FACTORS))
        ]
        assert np.shape(found) == FACTORS.shape, names
        # Both run the same operations; the last bits differ where numpy's vector power and exponential do.
        np.testing.assert_allclose(found, np.array(one_by_one, dtype=float), rtol=1e-12, atol=0, err_msg=str(names))


@every_formula
def test_many_houses_and_many_months(function):
    """A row of an input with two dimensions is answered as if it stood alone."""
    numbers, inputs = _numbers(function), _inputs(function)
    if not numbers:
        pytest.skip("words only: nothing to vary")
    name = numbers[-1]
    grid = inputs[name] * np.array([[1.0, 0.95, 0.9], [1.02, 1.05, 1.1]])
    found = function(**inputs | {name: grid})
    assert np.shape(found) == (grid.shape[:1] if ADDS_UP.get(function.__name__) == name else grid.shape)
    for row, alone in zip(found, grid, strict=True):
        np.testing.assert_allclose(row, function(**inputs | {name: alone}), rtol=1e-12)


def test_an_unknown_state_is_refused():
    with pytest.raises(ValueError, match="'certain' is not one of"):
        published("A handbook", state="certain")
