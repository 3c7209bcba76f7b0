"""Results that several people share are made so that nobody can change them."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

import numpy as np

from advisor.core.findings import Finding
from advisor.core.kinds import Fuel, Technology

#: What cannot be changed and holds nothing that could.
_PLAIN = (str, int, float, bool, bytes, type(None), Finding, Technology, Fuel)


def freeze(*results: Any) -> None:
    """Make every array in dataclasses read-only and every dict a view, however deep."""
    seen: set[int] = set()
    for result in results:
        _freeze(result, seen)


def _freeze(held: Any, seen: set[int]) -> Any:
    """The thing itself, frozen; for a dict a view of it."""
    if isinstance(held, _PLAIN) or id(held) in seen:
        return held
    seen.add(id(held))
    if isinstance(held, np.ndarray):
        held.flags.writeable = False
    elif isinstance(held, dict | MappingProxyType):
        for value in held.values():
            _freeze(value, seen)
        return MappingProxyType(held) if isinstance(held, dict) else held
    elif isinstance(held, tuple | list):
        for value in held:
            _freeze(value, seen)
    else:
        for name in _names(type(held)):  # type: ignore[arg-type]
            value = getattr(held, name)
            frozen = _freeze(value, seen)
            if frozen is not value:
                object.__setattr__(held, name, frozen)
    return held


@cache
def _names(kind: Any) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind)) if is_dataclass(kind) else ()
