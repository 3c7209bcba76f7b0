"""The index of every published formula in the code: listed, run with units, shown with its working, cited."""

from __future__ import annotations

import importlib
import inspect
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from advisor.core.errors import InputError
from advisor.core.findings import note
from advisor.core.published import Published
from advisor.core.units import UNITS, read_quantity, show, suffix_of
from advisor.core.working import Working


@dataclass(frozen=True)
class Parameter:
    """One input of a formula: a number with a unit, a word, or yes or no."""

    name: str
    suffix: str
    meaning: str
    kind: str
    default: Any

    def read(self, value: object) -> Any:
        """Take a value as typed."""
        if self.kind == "number":
            return read_quantity(self.name, value, self.suffix)
        if self.kind == "word" or isinstance(value, bool):
            return value
        if str(value).lower() in {"yes", "true"}:
            return True
        if str(value).lower() in {"no", "false"}:
            return False
        raise InputError(self.name, value, "this is neither yes nor no", "write yes or no")

    def shown(self, value: Any, *, si: bool) -> str:
        """The value as a reader sees it."""
        if self.kind == "number":
            return show(value, self.suffix, si=si)
        return str(value) if self.kind == "word" else ("yes" if value else "no")


@dataclass(frozen=True)
class Formula:
    """A published formula.

    Parameters
    ----------
    name, summary : str
        Function name and first line of its docstring.
    module : str
        Where it is defined.
    parameters : tuple of Parameter
        Inputs with unit and meaning.
    suffix : str
        Unit of the result.
    published : Published
        Source, state of verification and a worked example.
    function : callable
        The formula itself.
    """

    name: str
    summary: str
    module: str
    parameters: tuple[Parameter, ...]
    suffix: str
    published: Published
    function: Any


@cache
def index() -> dict[str, Formula]:
    """Every published formula by name."""
    found: dict[str, Formula] = {}
    for module in map(importlib.import_module, _modules()):
        for name, function in inspect.getmembers(module, inspect.isfunction):
            published = getattr(function, "__published__", None)
            if published is not None and function.__module__ == module.__name__ and name == function.__name__:
                found[name] = _formula(name, function, published)
    return dict(sorted(found.items()))


def _modules() -> list[str]:
    """Every module that marks a formula as published."""
    package = Path(__file__).parent
    marked = (path for path in package.rglob("*.py") if b"\n@published(" in path.read_bytes())
    return [".".join(path.relative_to(package.parent).with_suffix("").parts) for path in marked]


def _formula(name: str, function: Any, published: Published) -> Formula:
    doc = inspect.getdoc(function) or ""
    meanings = _meanings(doc)
    parameters = tuple(
        Parameter(key, suffix_of(key) or "dimensionless", meanings.get(key, ""), _kind(item.default), item.default)
        for key, item in inspect.signature(function).parameters.items()
    )
    module = function.__module__.removeprefix("advisor.")
    return Formula(
        name, doc.splitlines()[0], module, parameters, suffix_of(name) or "dimensionless", published, function
    )


def _kind(default: Any) -> str:
    return "yes or no" if isinstance(default, bool) else "word" if isinstance(default, str) else "number"


def _meanings(doc: str) -> dict[str, str]:
    """Parameter name to description, from a numpydoc docstring."""
    section = re.search(r"Parameters\n-+\n(.*?)(?:\n\n[A-Z]\w+\n-+|\Z)", doc, re.S)
    found: dict[str, str] = {}
    names: list[str] = []
    for line in (section.group(1) if section else "").splitlines():
        if line and not line.startswith(" "):
            names = [name.strip() for name in line.split(":")[0].split(",")]
        elif names and line.strip():
            for name in names:
                found[name] = f"{found.get(name, '')} {line.strip()}".strip()
    return {name: re.sub(r"\s*\[[^\]]*\](?=[\s,.;]|$)", "", text) for name, text in found.items()}


def find(name: str) -> Formula:
    """One formula by name.

    Raises
    ------
    InputError
        No such formula; the nearest names are offered.
    """
    import difflib

    if name in index():
        return index()[name]
    near = difflib.get_close_matches(name, index(), n=3, cutoff=0.4)
    offered = "did you mean {near}" if near else "'advisor formula' lists them all"
    raise InputError("formula", name, "there is no such formula", offered, near=", ".join(near))


def run(name: str, given: Mapping[str, object]) -> Working:
    """Run a formula on values with or without units; what is not given comes from the worked example.

    Parameters
    ----------
    name : str
        Formula.
    given : mapping
        Parameter to a number in its canonical unit, or a string with a unit.
    """
    formula = find(name)
    known = {parameter.name: parameter for parameter in formula.parameters}
    for key in given:
        if key not in known:
            reason, fix = "{formula} has no such input", "its inputs are {known}"
            raise InputError(key, None, reason, fix, formula=name, known=", ".join(known))
    inputs = {key: item.default for key, item in known.items() if item.default is not inspect.Parameter.empty}
    inputs |= formula.published.example
    inputs |= {key: known[key].read(value) for key, value in given.items()}
    missing = [key for key in known if key not in inputs]
    if missing:
        raise InputError(missing[0], None, "this input is not given", "add {key}=VALUE", key=missing[0])
    try:
        with np.errstate(all="ignore"):
            result = np.asarray(formula.function(**inputs))
    except InputError:
        raise
    except (ArithmeticError, ValueError):  # plain floats raise where arrays give NaN
        result = np.asarray(np.nan)
    return Working(
        note("working.formula"), formula.function, inputs, np.nan if np.iscomplexobj(result) else float(result)
    )


def lines(working: Working, *, si: bool = False) -> list[str]:
    """A working as a reader follows it: what the formula is, its inputs, its result, its source."""
    formula = index()[working.formula]
    width = max(len(parameter.name) for parameter in formula.parameters)
    told = [formula.summary, ""]
    for parameter in formula.parameters:
        value = parameter.shown(working.inputs.get(parameter.name, parameter.default), si=si)
        told.append(f"  {parameter.name:<{width}}  {value:>14}  {parameter.meaning}".rstrip())
    shown = show(working.result, working.suffix, si=si) if np.isfinite(working.result) else "no answer for these inputs"
    told += ["", f"  = {shown}", "", f"Source: {formula.published.source} [{formula.published.state}]"]
    return told


def unit_label(suffix: str) -> str:
    """How a unit is printed, '' for a plain number."""
    return UNITS[suffix].label
