"""The index of formulas leaves none out, and each runs, cites its source and says what its inputs mean."""

import importlib
import pkgutil

import pytest

import advisor
from advisor import figures
from advisor.quantities import UNITS


def _published():
    """Every published formula of the package by module: ``{module: {name}}``."""
    found = {}
    for module in pkgutil.walk_packages(advisor.__path__, "advisor."):
        if module.name.startswith("advisor.web") or module.name.endswith("__main__"):
            continue
        for name, value in vars(importlib.import_module(module.name)).items():
            # An alias of a formula is no second formula.
            if hasattr(value, "__published__") and value.__module__ == module.name and value.__name__ == name:
                found.setdefault(module.name.removeprefix("advisor."), set()).add(name)
    return found


def test_every_module_with_a_published_formula_is_listed_once():
    assert sorted(figures.MODULES) == sorted(_published())


def test_every_published_formula_is_in_the_index_and_no_two_share_a_name():
    found = _published()
    assert set(figures.index()) == set().union(*found.values())
    assert len(figures.index()) == sum(map(len, found.values()))


@pytest.mark.parametrize("name", figures.index())
def test_a_formula_runs_on_its_example_and_explains_itself(name):
    working = figures.run(name, {})
    figure = working.figure
    assert figure.suffix in UNITS and figure.published.source and figure.published.state
    assert figure.summary.endswith(".")
    for parameter in figure.parameters:
        assert parameter.meaning, f"{name}({parameter.name}) has no meaning in its docstring"
    for si in (False, True):
        text = "\n".join(working.lines(si=si))
        assert figure.published.source in text and "no answer" not in text
