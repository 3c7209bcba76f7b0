"""Refuse a value at the door, in one sentence that names the field."""

from __future__ import annotations

import math
from collections.abc import Iterable

from advisor.core.errors import InputError, OutOfRangeError
from advisor.core.units import UNITS


def _with_unit(number: float, suffix: str) -> str:
    return f"{number:,g} {UNITS[suffix].label}".strip()


def require(condition: bool, field: str, value: object, reason: str, fix: str) -> None:
    """Refuse a value unless the condition holds.

    Raises
    ------
    InputError
        It does not hold.
    """
    if not condition:
        raise InputError(field, value, reason, fix)


def between(field: str, value: float, low: float, high: float, suffix: str) -> float:
    """The value, if it lies in the closed range; otherwise an error that states the range.

    Raises
    ------
    InputError
        Not a number, or outside the range.
    """
    if not (math.isfinite(value) and low <= value <= high):
        wanted = f"give a number from {low:,g} to {_with_unit(high, suffix)}"
        if math.isinf(high):
            wanted = f"give a number of at least {_with_unit(low, suffix)}"
        raise InputError(field, value, "this cannot be", wanted)
    return float(value)


def positive(field: str, value: float, suffix: str) -> float:
    """The value, if it is above zero.

    Raises
    ------
    InputError
        Zero, negative or not finite.
    """
    if not (math.isfinite(value) and value > 0):
        raise InputError(
            field, value, "this must be above zero", f"give it in {UNITS[suffix].label or 'plain numbers'}"
        )
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
        raise InputError(field, value, "this is not known here", f"write one of {', '.join(known)}")
    return value


def in_table(field: str, value: object, result: float, covered: str) -> float:
    """The result, unless the published table does not reach that far (NaN).

    Raises
    ------
    OutOfRangeError
        The table has no value there.
    """
    if math.isnan(result):
        raise OutOfRangeError(field, value, "the published values do not reach this far", f"stay within {covered}")
    return float(result)
