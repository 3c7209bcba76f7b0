"""Tables name each other's rows: what one says must stand in the other, or a sentence names the file to mend."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from advisor.core.errors import TableError
from advisor.core.tables import Table, load, names


def check(chosen: Iterable[str] | None = None, read: Callable[[str], Table] = load) -> None:
    """Hold tables against those that they name and those that must name them.

    Parameters
    ----------
    chosen : iterable of str, optional
        Which ones, and with them the tables that must hold a row for each of theirs; all that the advisor carries
        where not given.
    read : callable
        Name to Table.

    Raises
    ------
    TableError
        A value that the other table does not know, or a row that is missing there.
    """
    asked = [read(name) for name in (names() if chosen is None else chosen)]
    needed = [read(need.table) for table in asked for need in table.must_have_row_in]
    for table in {table.id: table for table in (*asked, *needed)}.values():
        _names_known_rows(table, read)
    for table in asked:
        _has_its_rows(table, read)


def _names_known_rows(table: Table, read: Callable[[str], Table]) -> None:
    for column in table.columns.values():
        if column.references is None:
            continue
        other, key = column.references
        known = set(read(other)[key])
        for row, cell in enumerate(table[column.name], start=2):
            for word in _words(cell):
                if word not in known:
                    raise TableError(f"{table.id}.csv", f"{word} has no row in {other}", row=row, column=column.name)


def _has_its_rows(table: Table, read: Callable[[str], Table]) -> None:
    for need in table.must_have_row_in:
        rows = [row for row in read(need.table).rows() if all(row[name] == value for name, value in need.where.items())]
        named = {word for row in rows for word in _words(row[need.column])}
        for row in table.rows():
            mine = row[table.key[0]]
            if mine not in named and all(row[name] == value for name, value in need.only.items()):
                where = " and ".join(f"{name} {value}" for name, value in need.where.items())
                raise TableError(
                    f"{table.id}.csv", f"{mine} has no row in {need.table}{f' with {where}' if where else ''}"
                )


def _words(cell: Any) -> tuple[Any, ...]:
    """What a cell names: nothing, one row, or a list of them."""
    return cell if isinstance(cell, tuple) else () if cell is None else (cell,)
