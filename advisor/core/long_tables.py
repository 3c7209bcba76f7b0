"""Long tables: every line of the file has one length, so that a row is found and a column read without the others.

The file is a CSV like any other, its cells padded with spaces, and ``tables.load`` reads it too. What this saves is
time: taking forty thousand lines apart costs a second, finding one by halving costs nothing.
"""

from __future__ import annotations

import mmap
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping
from functools import cache
from types import MappingProxyType
from typing import Any

import numpy as np

from advisor.core import tables
from advisor.core.arrays import Floats, Ints
from advisor.core.errors import TableError
from advisor.core.paths import DATA


class LongTable:
    """A table whose lines have one length, in the order of its first column.

    Parameters
    ----------
    name : str
        Of the table in ``data``.

    Raises
    ------
    TableError
        The file cannot be read, or a line is longer or shorter than the others.
    """

    def __init__(self, name: str) -> None:
        self.file = f"{name}.csv"
        try:
            with (DATA / self.file).open("rb") as stream:
                content = mmap.mmap(stream.fileno(), 0, access=mmap.ACCESS_READ)
        except (OSError, ValueError) as error:
            raise TableError(self.file, "the file cannot be read") from error
        header, first = content.readline(), content.readline()
        declared = tables.columns_of(name)
        try:
            self.columns = [declared[column] for column in header.decode().strip().split(",")]
            widths = [len(cell) for cell in first.rstrip(b"\n").split(b",")]
            parts = [part for column, width in zip(self.columns, widths, strict=True) for part in _part(column, width)]
            self._lines = np.frombuffer(content, dtype=parts, offset=len(header))
        except (KeyError, ValueError) as error:
            raise TableError(self.file, "its header or the length of its lines is not as declared") from error
        if content[-1:] != b"\n":
            raise TableError(self.file, "its lines are not of one length")
        self.keys = self._lines[self.columns[0].name]
        self._numbers: dict[str, Floats] = {}

    def __len__(self) -> int:
        return len(self._lines)

    def texts(self, column: str) -> np.ndarray:
        """A column as it stands in the file, padding and all."""
        return self._lines[column]

    def numbers(self, column: str) -> Floats:
        """A column of numbers, none of them missing."""
        if column not in self._numbers:
            try:
                values = self._lines[column].astype(float)
            except ValueError as error:
                raise TableError(self.file, "a cell is not a number", column=column) from error
            values.flags.writeable = False
            self._numbers[column] = values
        return self._numbers[column]

    def numbers_of(self, column: str, rows: Ints | slice) -> Floats:
        """A column of numbers in some rows only."""
        return np.asarray(self._lines[column][rows].astype(float))

    def row(self, index: int) -> Mapping[str, Any]:
        """One row, read-only; an empty cell is None."""
        cells = self._lines[index].tobytes().decode().split(",")
        values = {}
        for column, padded_cell in zip(self.columns, cells, strict=True):
            cell = padded_cell.strip()
            is_empty = not cell and not column.required
            values[column.name] = None if is_empty else tables.cell_value(self.file, column, cell, index + 2)
        return MappingProxyType(values)

    def all(self, key: str) -> Iterator[Mapping[str, Any]]:
        """Every row that bears a key in the first column."""
        wanted = self._padded(key)
        index = bisect_left(self.keys, wanted)
        while wanted and index < len(self) and self.keys[index] == wanted:
            yield self.row(index)
            index += 1

    def find(self, key: str) -> Mapping[str, Any] | None:
        """The first row that bears a key; None where there is none."""
        return next(self.all(key), None)

    def at_or_before(self, key: str) -> Mapping[str, Any] | None:
        """The last row whose key is not beyond this one; None where all are."""
        index = bisect_right(self.keys, self._padded(key)) - 1
        return None if index < 0 else self.row(index)

    def beginning_with(self, letters: str) -> range:
        """The rows whose key begins with some letters."""
        start = letters.encode()
        return range(bisect_left(self.keys, start), bisect_left(self.keys, start + b"\x7f"))

    def _padded(self, key: str) -> bytes:
        width, text = self.keys.dtype.itemsize, key.encode("ascii", "replace")
        return text.ljust(width) if text and len(text) <= width else b""


def _part(column: tables.Column, width: int) -> list[tuple[str, str]]:
    """A cell, and what parts it from the next."""
    return [(column.name, f"S{width}"), (f"after {column.name}", "S1")]


@cache
def long_table(name: str) -> LongTable:
    """A long table of ``data``, its file read once."""
    return LongTable(name)
