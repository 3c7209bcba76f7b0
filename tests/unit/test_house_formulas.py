"""Every published formula of the house: it runs, names its units, and treats a float and an array alike."""

import importlib
import inspect
import pkgutil

import numpy as np
import pytest

import advisor.house
from advisor.core.units import suffix_of
from advisor.physics import combustion

MODULES = [
    importlib.import_module(name.name) for name in pkgutil.walk_packages(advisor.house.__path__, "advisor.house.")
]
FORMULAS = [
    function
    for module in [*MODULES, combustion]
    for function in vars(module).values()
    if hasattr(function, "__published__") and function.__module__ == module.__name__
]


@pytest.mark.parametrize("function", FORMULAS, ids=lambda f: f"{f.__module__}.{f.__name__}")
def test_formula_names_its_units_and_takes_arrays(function):
    example = function.__published__.example
    parameters = inspect.signature(function).parameters
    assert suffix_of(function.__name__)
    assert all(suffix_of(name) for name in parameters)
    required = {name for name, p in parameters.items() if p.default is inspect.Parameter.empty}
    assert required <= set(example) <= set(parameters)
    scalar = function(**example)
    assert np.ndim(scalar) == 0
    assert np.isfinite(scalar)
    for name in example:
        spread = np.array([0.9, 1.0, 1.1]) * example[name]
        together = function(**{**example, name: spread})
        one_by_one = [function(**{**example, name: float(value)}) for value in spread]
        np.testing.assert_allclose(together, one_by_one, rtol=1e-9)
        assert together[1] == pytest.approx(scalar, rel=1e-9)


#: Modules that connect a case to the checks; all others stand alone. `test_layers.py` holds their order.
GATHERING = {
    "facts",
    "items",
    "work",
    "lead_time",
    "readings",
    "scope",
    "loop_scope",
    "old_flue",
    "new_run",
    "local_prices",
}


def test_no_check_imports_its_sibling():
    for module in MODULES:
        name = module.__name__.rpartition(".")[2]
        source = inspect.getsource(module)
        assert len(source.splitlines()) < 420
        if name in GATHERING or ".gas" in module.__name__:
            continue
        # The printed vent tables are the ground under the checks of a vent.
        assert "from advisor.house" not in source.replace("from advisor.house.vent.vent_tables", "")
        assert "import advisor.house" not in source
