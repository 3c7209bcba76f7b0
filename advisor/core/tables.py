"""Tables are data: ``data/<name>.csv`` holds the values, ``data/<name>.toml`` says what they are and whence.

Loading is strict. An unknown column, a missing source, a value out of bounds or a unit that
``quantities.UNITS`` does not know is an error that names file, row and column. Columns come back as frozen
numpy arrays and are read from disk once.
"""

from __future__ import annotations

import csv
import math
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache, cached_property
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np

from advisor.core.errors import TableError
from advisor.core.paths import DATA
from advisor.core.units import UNITS

STATES = (
    "verified",
    "cross-checked",
    "computed",
    "seen second-hand",
    "mixed, see the state column",
    "assumed",
    "common practice, no published source",
    "from memory, unverified",
)
#: States of what nobody has read in its source.
UNSURE = ("seen second-hand", "assumed", "common practice, no published source", "from memory, unverified")


def least_sure(states: Iterable[str]) -> str:
    """Of several states the one that vouches for least; a word of a row's own vouches for as little as memory."""
    told = tuple(states)
    return max(told, key=lambda state: STATES.index(state) if state in STATES else len(STATES))


_KINDS = ("text", "number", "integer", "date", "flag", "list")
_FLAGS = {"yes": True, "no": False}
_TABLE_KEYS = {
    "id",
    "title",
    "publication",
    "edition",
    "locator",
    "state",
    "licence",
    "notes",
    "key",
    "columns",
    "must_have_row_in",
}
_TABLE_REQUIRED = {"id", "title", "publication", "edition", "locator", "state", "licence", "columns"}
_COLUMN_KEYS = {"kind", "unit", "meaning", "required", "min", "max", "allowed", "references"}
_NEED_KEYS = {"table", "column", "where", "only"}


@dataclass(frozen=True)
class Column:
    """One column's declaration.

    A ``flag`` is written yes or no, a ``list`` as words with spaces between them. ``references`` names the table and
    column, ``heaters.id``, in which every value must stand; ``references.check`` looks.
    """

    name: str
    kind: str
    meaning: str
    unit: str | None = None
    required: bool = True
    min: float | None = None
    max: float | None = None
    allowed: tuple[str, ...] = ()
    references: tuple[str, str] | None = None


@dataclass(frozen=True)
class Need:
    """Every row of a table must be named in a column of another, among the rows that hold what ``where`` says.

    Where ``only`` says something, rows of which that is true must be; no others.
    """

    table: str
    column: str
    where: Mapping[str, str]
    only: Mapping[str, Any]


@dataclass(frozen=True)
class Table:
    """A loaded table: provenance and frozen columns."""

    id: str
    title: str
    publication: str
    edition: str
    locator: str
    state: str
    licence: str
    notes: str
    key: tuple[str, ...]
    columns: Mapping[str, Column]
    data: Mapping[str, np.ndarray]
    must_have_row_in: tuple[Need, ...] = ()

    def __len__(self) -> int:
        return len(next(iter(self.data.values())))

    def __getitem__(self, column: str) -> np.ndarray:
        return self.data[column]

    @cached_property
    def _rows(self) -> tuple[Mapping[str, Any], ...]:
        columns = [[_plain(value) for value in values] for values in self.data.values()]
        return tuple(MappingProxyType(dict(zip(self.data, cells, strict=True))) for cells in zip(*columns, strict=True))

    def row(self, index: int) -> Mapping[str, Any]:
        """One row, read-only; an empty cell is None (it is NaN in a column's array)."""
        if "_rows" in vars(self):
            return self._rows[index]
        return MappingProxyType({name: _plain(values[index]) for name, values in self.data.items()})

    def rows(self) -> Iterator[Mapping[str, Any]]:
        """Every row, read-only."""
        return iter(self._rows)

    @cached_property
    def _by_key(self) -> dict[tuple[Any, ...], Mapping[str, Any]]:
        return {tuple(row[name] for name in self.key): row for row in self._rows}

    def get(self, *key: Any) -> Mapping[str, Any] | None:
        """The row with this key, read-only; None where there is none."""
        return self._by_key.get(key)

    def find(self, *key: Any) -> Mapping[str, Any]:
        """The row with this key, read-only.

        Raises
        ------
        TableError
            There is none.
        """
        row = self.get(*key)
        if row is None:
            raise TableError(f"{self.id}.csv", f"there is no row for {', '.join(map(str, key))}")
        return row

    @property
    def citation(self) -> str:
        """Publication, edition and place in it, with the state of verification."""
        return f"{self.publication}, {self.edition}, {self.locator} [{self.state}]"


def _plain(value: Any) -> Any:
    """A cell as plain Python: an empty number is None."""
    if isinstance(value, float):
        return None if math.isnan(value) else float(value)
    if isinstance(value, np.bool_):
        return bool(value)
    return int(value) if isinstance(value, np.integer) else value


@cache
def load(name: str) -> Table:
    """Load ``data/<name>.csv`` with its declaration, once.

    Raises
    ------
    TableError
        Anything wrong, with file, row and column.
    """
    return load_from(DATA, name)


def columns_of(name: str) -> dict[str, Column]:
    """What a table declares of its columns, by their names.

    Raises
    ------
    TableError
        The declaration is damaged.
    """
    declared = _declaration(DATA / f"{name}.toml")
    return {key: _column(f"{name}.toml", key, spec) for key, spec in declared["columns"].items()}


def names() -> list[str]:
    """Every table that the advisor carries, in alphabetical order."""
    return sorted(path.stem for path in DATA.glob("*.toml"))


def sources_used() -> list[dict[str, str]]:
    """Every table the numbers rest on, with edition and state of verification."""
    return [
        {"id": table.id, "title": table.title, "citation": table.citation, "state": table.state}
        for table in map(load, names())
    ]


def load_from(folder: Path, name: str) -> Table:
    """Load a table from any folder; ``load`` is the usual way in."""
    declared = _declaration(folder / f"{name}.toml")
    columns = {key: _column(f"{name}.toml", key, spec) for key, spec in declared["columns"].items()}
    cells = _cells(folder / f"{name}.csv", columns)
    data = {column.name: _array(f"{name}.csv", column, cells[column.name]) for column in columns.values()}
    key = tuple(declared.get("key", ()))
    _check_key(f"{name}.csv", key, data)
    return Table(
        **{field: str(declared[field]).strip() for field in _TABLE_REQUIRED - {"columns"}},
        notes=str(declared.get("notes", "")).strip(),
        key=key,
        columns=columns,
        data=data,
        must_have_row_in=tuple(_need(f"{name}.toml", need) for need in declared.get("must_have_row_in", ())),
    )


def _declaration(path: Path) -> dict[str, Any]:
    try:
        declared = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise TableError(path.name, "the declaration cannot be read") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise TableError(path.name, f"not valid TOML: {error}") from error
    if unknown := set(declared) - _TABLE_KEYS:
        raise TableError(path.name, f"unknown key {sorted(unknown)[0]!r}")
    for field in sorted(_TABLE_REQUIRED):
        if not declared.get(field):
            raise TableError(path.name, f"missing {field!r}: every table names its source and its state")
    if declared["state"] not in STATES:
        raise TableError(path.name, f"state {declared['state']!r} is not one of {', '.join(STATES)}")
    if declared["state"].startswith("mixed") and "state" not in declared["columns"]:
        raise TableError(path.name, "the state is 'mixed' but there is no column 'state'")
    return declared


def _column(file: str, name: str, spec: dict[str, Any]) -> Column:
    if unknown := set(spec) - _COLUMN_KEYS:
        raise TableError(file, f"unknown key {sorted(unknown)[0]!r}", column=name)
    if spec.get("kind") not in _KINDS:
        raise TableError(file, f"kind must be one of {', '.join(_KINDS)}", column=name)
    if spec["kind"] in {"number", "integer"} and "unit" not in spec:
        raise TableError(file, "a number needs a unit", column=name)
    if "unit" in spec and spec["unit"] not in UNITS:
        raise TableError(file, f"unit {spec['unit']!r} is not known", column=name)
    if not spec.get("meaning"):
        raise TableError(file, "the column has no meaning written down", column=name)
    other = str(spec.get("references", "")).partition(".")
    if "references" in spec and not all(other):
        raise TableError(file, "references must read table.column", column=name)
    return Column(
        name,
        spec["kind"],
        spec["meaning"],
        spec.get("unit"),
        spec.get("required", True),
        spec.get("min"),
        spec.get("max"),
        tuple(spec.get("allowed", ())),
        (other[0], other[2]) if "references" in spec else None,
    )


def _need(file: str, spec: dict[str, Any]) -> Need:
    if unknown := set(spec) - _NEED_KEYS:
        raise TableError(file, f"unknown key {sorted(unknown)[0]!r} in must_have_row_in")
    if missing := {"table", "column"} - set(spec):
        raise TableError(file, f"must_have_row_in does not say its {sorted(missing)[0]}")
    return Need(
        spec["table"], spec["column"], MappingProxyType(spec.get("where", {})), MappingProxyType(spec.get("only", {}))
    )


def _cells(path: Path, columns: Mapping[str, Column]) -> dict[str, list[str]]:
    try:
        with path.open(encoding="utf-8", newline="") as stream:
            reader = csv.reader(stream, strict=True)
            header = next(reader, [])
            if unknown := [name for name in header if name not in columns]:
                raise TableError(path.name, "unknown column", column=unknown[0])
            if missing := [name for name in columns if name not in header]:
                raise TableError(path.name, "the column is declared but absent", column=missing[0])
            if len(set(header)) != len(header):
                raise TableError(path.name, "a column stands twice in the header")
            rows = []
            for number, row in enumerate(reader, start=2):
                if len(row) != len(header):
                    raise TableError(path.name, f"{len(row)} cells where {len(header)} are declared", row=number)
                rows.append(row)
    except OSError as error:
        raise TableError(path.name, "the file cannot be read") from error
    except (csv.Error, UnicodeDecodeError) as error:
        raise TableError(path.name, f"not a readable CSV file: {error}") from error
    if not rows:
        raise TableError(path.name, "there are no rows")
    return {name: list(column) for name, column in zip(header, zip(*rows, strict=True), strict=True)}


def _array(file: str, column: Column, cells: list[str]) -> np.ndarray:
    if column.kind == "number" and (array := _plain_numbers(column, cells)) is not None:
        return array
    values = [cell_value(file, column, cell.strip(), row) for row, cell in enumerate(cells, start=2)]
    dtype: Any = {"number": float, "integer": float}.get(column.kind, object)
    if column.required:
        dtype = {"integer": np.int64, "flag": np.bool_}.get(column.kind, dtype)
    # Told how many there are, numpy does not take lists of one length for a second dimension.
    array = np.fromiter(values, dtype=dtype, count=len(values))
    array.flags.writeable = False
    return array


def _plain_numbers(column: Column, cells: list[str]) -> np.ndarray | None:
    """All cells at once where each is a number within its bounds; None where one of them needs a closer look."""
    try:
        array = np.array(cells, dtype=float)
    except ValueError:
        return None
    low, high = (-math.inf if column.min is None else column.min), (math.inf if column.max is None else column.max)
    if not (np.isfinite(array).all() and (array >= low).all() and (array <= high).all()):
        return None
    array.flags.writeable = False
    return array


def cell_value(file: str, column: Column, cell: str, row: int) -> Any:
    """What a cell holds, of the kind and within the bounds that its column declares."""
    if not cell:
        if column.required:
            raise TableError(file, "the cell is empty", row=row, column=column.name)
        return math.nan if column.kind in {"number", "integer"} else None
    if column.kind in {"text", "list"}:
        words = cell.split() if column.kind == "list" else [cell]
        if column.allowed and (strange := [word for word in words if word not in column.allowed]):
            raise TableError(
                file, f"{strange[0]!r} is not one of {', '.join(column.allowed)}", row=row, column=column.name
            )
        return tuple(words) if column.kind == "list" else cell
    if column.kind == "flag":
        if cell not in _FLAGS:
            raise TableError(file, f"{cell!r} is neither yes nor no", row=row, column=column.name)
        return _FLAGS[cell]
    if column.kind == "date":
        try:
            return date.fromisoformat(cell)
        except ValueError as error:
            raise TableError(file, f"{cell!r} is not a date like 2026-11-25", row=row, column=column.name) from error
    try:
        number = float(cell)
    except ValueError as error:
        raise TableError(file, f"{cell!r} is not a number", row=row, column=column.name) from error
    if not math.isfinite(number):
        raise TableError(file, f"{cell!r} is not finite", row=row, column=column.name)
    if column.kind == "integer" and number != int(number):
        raise TableError(file, f"{cell!r} is not a whole number", row=row, column=column.name)
    if (column.min is not None and number < column.min) or (column.max is not None and number > column.max):
        raise TableError(file, f"{cell} lies outside {column.min} to {column.max}", row=row, column=column.name)
    return int(number) if column.kind == "integer" and column.required else number


def _check_key(file: str, key: tuple[str, ...], data: Mapping[str, np.ndarray]) -> None:
    if not key:
        return
    for name in key:
        if name not in data:
            raise TableError(file, "the key names a column that is not declared", column=name)
    seen: dict[tuple[Any, ...], int] = {}
    for row, values in enumerate(zip(*(data[name] for name in key), strict=True), start=2):
        if values in seen:
            raise TableError(file, f"the same key {values} stands in row {seen[values]}", row=row)
        seen[values] = row
