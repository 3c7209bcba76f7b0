"""What people share cannot be changed by any of them."""

from dataclasses import dataclass, field, fields, is_dataclass
from types import MappingProxyType

import numpy as np
import pytest

from advisor.case.file import read_case
from advisor.comparison import compare
from advisor.core import paths
from advisor.core.frozen import freeze


@dataclass(frozen=True)
class Inner:
    values: np.ndarray = field(default_factory=lambda: np.zeros(3))
    named: dict = field(default_factory=lambda: {"a": np.zeros(2)})


@dataclass(frozen=True)
class Outer:
    several: tuple = field(default_factory=lambda: (Inner(), Inner()))


def test_arrays_and_dicts_are_frozen_however_deep():
    held = Outer()
    freeze(held)
    freeze(held)  # once more does no harm
    for inner in held.several:
        with pytest.raises(ValueError, match="read-only"):
            inner.values[0] = 1
        with pytest.raises(TypeError):
            inner.named["b"] = 1
        with pytest.raises(ValueError, match="read-only"):
            inner.named["a"][0] = 1


def loose(held, path="", seen=None):
    """Every array that can be written and every dict, list or set, by its path."""
    seen = set() if seen is None else seen
    if id(held) in seen:
        return
    seen.add(id(held))
    if isinstance(held, np.ndarray) and held.flags.writeable or isinstance(held, dict | list | set):
        yield path
    elif isinstance(held, MappingProxyType):
        for key, value in held.items():
            yield from loose(value, f"{path}[{key}]", seen)
    elif isinstance(held, tuple):
        for number, value in enumerate(held):
            yield from loose(value, f"{path}[{number}]", seen)
    elif is_dataclass(held):
        for one in fields(held):
            yield from loose(getattr(held, one.name), f"{path}.{one.name}", seen)


@pytest.mark.parametrize("name", ["cold-city-basement", "oil-house"])
def test_nothing_in_a_comparison_can_be_changed(name):
    found = compare(read_case(paths.CASES / f"{name}.toml"))
    assert found.advice and found.money.simulation
    assert list(loose(found)) == []
