"""Tables name each other's rows: what one says must stand in the other, or a sentence names the file to mend."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from advisor.core.errors import TableError
from advisor.core.tables import Table, load, names


def check(tables: Iterable[str] | None = None) -> None:
    """Hold tables against those that they name and that must name them.

    Parameters
    ----------
    tables : iterable of str, optional
        Which ones, with all that must hold a row for each of theirs; every table that the advisor carries where not
        given.

    Raises
    ------
    TableError
        A value that the other table does not know, or a row that is missing there.
    """
    chosen = [load(name) for name in (names() if tables is None else tables)]
    needed = [need.table for table in chosen for need in table.must_have_row_in]
    for name in dict.fromkeys((*(table.id for table in chosen), *needed)):
        _names_known_rows(load(name))
    for table in chosen:
        _has_its_rows(table)


def _names_known_rows(table: Table) -> None:
    for column in table.columns.values():
        if column.references is None:
            continue
        other, key = column.references
        known = set(load(other)[key])
        for row, cell in enumerate(table[column.name], start=2):
            for word in _words(cell):
                if word not in known:
                    raise TableError(f"{table.id}.csv", f"{word} has no row in {other}", row=row, column=column.name)


def _has_its_rows(table: Table) -> None:
    for need in table.must_have_row_in:
        named = {
            word
            for row in load(need.table).rows()
            if all(row[name] == wanted for name, wanted in need.where.items())
            for word in _words(row[need.column])
        }
        for mine in table[table.key[0]]:
            if mine not in named:
                where = " and ".join(f"{name} {wanted}" for name, wanted in need.where.items())
                with_what = f" with {where}" if where else ""
                raise TableError(f"{table.id}.csv", f"{mine} has no row in {need.table}{with_what}")


def _words(cell: Any) -> tuple[Any, ...]:
    """What a cell names: nothing, one row, or a list of them."""
    return cell if isinstance(cell, tuple) else () if cell is None else (cell,)
