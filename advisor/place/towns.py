"""Towns by their names: all that bear one, the largest first, and those whose names are near."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

import numpy as np

from advisor.core.long_tables import LongTable, long_table
from advisor.place.names import name_key

#: Letters that may be wrong, by the length of the name; shorter names are near too many others.
_WRONG_LETTERS = ((11, 3), (7, 2), (4, 1))


class Town(NamedTuple):
    """A name, its state, the ZIP that stands for it, and how many ZIP codes bear it: a measure of its size."""

    name: str
    state: str
    zip_code: str
    zip_codes: int

    def __str__(self) -> str:
        return f"{self.name}, {self.state}"


def towns_named(name: str) -> list[Town]:
    """Every town of a name, however it is spelled, the largest first."""
    return _by_size([_town(row) for row in _table().all(name_key(name))])


def town_in(name: str, state: str) -> Town | None:
    """The town of a name in a state."""
    return next((town for town in towns_named(name) if town.state == state), None)


def towns_near(name: str, state: str = "") -> list[Town]:
    """Towns that begin with the same letter and differ in few others, the nearest and largest first."""
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    key = name_key(name)
    most = next((wrong for length, wrong in _WRONG_LETTERS if len(key) >= length), 0)
    if not most:
        return []
    letters, keys = key[:1], _keys_beginning_with(key[:1])
    start = _table().beginning_with(letters).start
    if state:
        states = _table().texts("us_state")[start : start + len(keys)]
        keys = {int(row): keys[row] for row in np.flatnonzero(states == state.encode())}
    found = process.extract(key, keys, scorer=OSA.distance, score_cutoff=most, limit=20)
    towns = [(away, _town(_table().row(start + row))) for _, away, row in found]
    return [town for _, town in sorted(towns, key=lambda pair: (pair[0], -pair[1].zip_codes))]


def largest_towns(state: str) -> list[Town]:
    """Some of the largest towns of a state, the largest first."""
    sizes = np.where(_table().texts("us_state") == state.encode(), _table().numbers("zip_codes"), 0)
    rows = np.argsort(-sizes, kind="stable")[:5]
    return [_town(_table().row(int(row))) for row in rows if sizes[row] > 0]


def _by_size(towns: list[Town]) -> list[Town]:
    return sorted(towns, key=lambda town: (-town.zip_codes, town.state))


def _town(row: Mapping[str, Any]) -> Town:
    return Town(row["town"], row["us_state"], row["zip_code"], row["zip_codes"])


def _table() -> LongTable:
    return long_table("towns")


@cache
def _keys_beginning_with(letter: str) -> Any:
    return [key.decode().rstrip() for key in _table().keys[np.s_[_span(letter)]]]


def _span(letter: str) -> slice:
    rows = _table().beginning_with(letter)
    return slice(rows.start, rows.stop)
