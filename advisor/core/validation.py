"""Refuse a value at the door, in one sentence that names the field."""

from __future__ import annotations

import math
from collections.abc import Iterable

from advisor.core.errors import InputError, OutOfRangeError
from advisor.core.findings import Value
from advisor.core.units import UNITS


def _with_unit(number: float, suffix: str) -> str:
    return f"{number:,g} {UNITS[suffix].label}".strip()


def require(condition: bool, field: str, value: object, reason: str, fix: str, **numbers: Value) -> None:
    """Refuse a value unless the condition holds.

    Raises
    ------
    InputError
        It does not hold.
    """
    if not condition:
        raise InputError(field, value, reason, fix, **numbers)


def between(field: str, value: float, low: float, high: float, suffix: str) -> float:
    """The value, if it lies in the closed range; otherwise an error that states the range.

    Raises
    ------
    InputError
        Not a number, or outside the range.
    """
    if not (math.isfinite(value) and low <= value <= high):
        wanted = "give a number from {low:,g} to {most}"
        if math.isinf(high):
            wanted = "give a number of at least {least}"
        least, most = _with_unit(low, suffix), _with_unit(high, suffix)
        raise InputError(field, value, "this cannot be", wanted, low=low, least=least, most=most)
    return float(value)


def positive(field: str, value: float, suffix: str) -> float:
    """The value, if it is above zero.

    Raises
    ------
    InputError
        Zero, negative or not finite.
    """
    if not (math.isfinite(value) and value > 0):
        unit = UNITS[suffix].label
        fix = "give it in {unit}" if unit else "give it in plain numbers"
        raise InputError(field, value, "this must be above zero", fix, unit=unit)
    return float(value)


def not_negative(field: str, value: float, suffix: str) -> float:
    """The value, if it is zero or more.

    Raises
    ------
    InputError
        Negative or not finite.
    """
    return between(field, value, 0.0, math.inf, suffix)


def one_of(field: str, value: str, choices: Iterable[str]) -> str:
    """The value, if it is one of the words that are known.

    Raises
    ------
    InputError
        Any other word.
    """
    known = sorted(choices)
    if value not in known:
        raise InputError(field, value, "this is not known here", "write one of {known}", known=", ".join(known))
    return value


def in_table(field: str, value: object, result: float, fix: str) -> float:
    """The result, unless the published table does not reach that far (NaN).

    Raises
    ------
    OutOfRangeError
        The table has no value there.
    """
    if math.isnan(result):
        raise OutOfRangeError(field, value, "the published values do not reach this far", fix)
    return float(result)
