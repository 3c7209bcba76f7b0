"""The columns of a file of applicants: what each means, its unit and its bounds, and the same as JSON Schema."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from advisor.core.tables import load
from advisor.core.units import UNITS

_TYPES = {"number": "number", "flag": "boolean"}


@dataclass(frozen=True)
class Column:
    """One column of a file of applicants; a row of the table ``applicant_columns``."""

    name: str
    kind: str
    unit: str | None
    least: float | None
    most: float | None
    words: tuple[str, ...]
    meaning: str
    personal: bool

    @property
    def unit_label(self) -> str:
        """Unit as it is printed, or nothing."""
        return UNITS[self.unit].label if self.unit else ""


@cache
def columns() -> Mapping[str, Column]:
    """Every column, by name, in the table's order."""
    rows = load("applicant_columns").rows()
    return {row["name"]: Column(**{**row, "words": tuple(row["words"] or ())}) for row in rows}


def schema(needed: Mapping[str, tuple[str, ...]] | None = None) -> dict[str, Any]:
    """One applicant as JSON Schema.

    Parameters
    ----------
    needed : mapping, optional
        Column to the ids of the rules that read it; those columns are then required.
    """
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": load("applicant_columns").title,
        "type": "object",
        "properties": {
            column.name: _property(column, (needed or {}).get(column.name, ())) for column in columns().values()
        },
        "required": sorted(needed or ()),
    }


def _property(column: Column, rules: tuple[str, ...]) -> dict[str, Any]:
    found: dict[str, Any] = {"type": _TYPES.get(column.kind, "string"), "description": column.meaning}
    if column.kind == "date":
        found["format"] = "date"
    if column.words:
        found["enum"] = list(column.words)
    if column.least is not None:
        found["minimum"] = column.least
    if column.most is not None:
        found["maximum"] = column.most
    if column.unit_label:
        found["x-unit"] = column.unit_label
    if column.personal:
        found["x-personal"] = True
    if rules:
        found["x-rules"] = list(rules)
    return found
