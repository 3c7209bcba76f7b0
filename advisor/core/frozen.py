"""Results that several people share are made so that nobody can change them."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

import numpy as np

from advisor.core.findings import Finding
from advisor.core.kinds import Fuel, Technology

#: What cannot be changed and holds nothing that could; asked of thousands of values, so by their very class.
_PLAIN = frozenset((str, int, float, bool, bytes, type(None), Finding, Technology, Fuel))


def freeze(*results: Any) -> None:
    """Make every array in dataclasses read-only and every dict a view, however deep."""
    seen: set[int] = set()
    for result in results:
        _freeze(result, seen)


def _freeze(held: Any, seen: set[int]) -> Any:
    """The thing itself, frozen; for a dict a view of it."""
    if id(held) in seen:
        return held
    seen.add(id(held))
    if isinstance(held, np.ndarray):
        held.flags.writeable = False
    elif isinstance(held, dict | MappingProxyType):
        _freeze_all(held.values(), seen)
        return MappingProxyType(held) if isinstance(held, dict) else held
    elif isinstance(held, tuple | list):
        _freeze_all(held, seen)
    else:
        for name in _names(type(held)):  # type: ignore[arg-type]
            value = getattr(held, name)
            if type(value) not in _PLAIN and (frozen := _freeze(value, seen)) is not value:
                object.__setattr__(held, name, frozen)
    return held


def _freeze_all(values: Any, seen: set[int]) -> None:
    for value in values:
        if type(value) not in _PLAIN:
            _freeze(value, seen)


@cache
def _names(kind: Any) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind)) if is_dataclass(kind) else ()
