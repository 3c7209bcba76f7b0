"""What a house is taken to have where its case does not say: one table, ``data/usual_values``."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache
from typing import Any

from advisor.case.base import Assumption
from advisor.core.findings import Finding, Value
from advisor.core.published import state_word
from advisor.core.tables import load


def usual(key: str, way: str = "") -> Any:
    """What stands in for a key of the case: a number in the key's unit, a word, or true or false.

    Parameters
    ----------
    key : str
        Such as ``vent.run_ft``. A row without a value is worked out by whoever asks: None.
    way : str
        Which of several rows of the same key, such as ``propane``; the row that bears no way where none bears this.
    """
    row = _row(key, way)
    if row["value"] is not None:
        return row["value"]
    return {"true": True, "false": False}.get(row["text"], row["text"])


@lru_cache(maxsize=4096)
def assumption(key: str, value: Any = None, *, way: str = "", **numbers: Value) -> Assumption:
    """The usual value as something that nobody told us; its sentence is ``usual.<key>`` in the catalogues.

    Parameters
    ----------
    key : str
        Key of the case.
    value : object
        What is used, where that follows from the rest of the house; else the row's.
    way : str
        Which of several rows and sentences of the same key: ``usual.<key>.<way>``.
    **numbers : value
        What else fills the blanks. A number that is assumed fills the blank of its own name (``{run_ft}``), and
        ``{state}`` says how far it was checked.
    """
    used = usual(key, way) if value is None else value
    name = key.rpartition(".")[2]
    blanks: dict[str, Value] = {"state": state_word(_row(key, way)["state"])}
    if isinstance(used, int | float) and not isinstance(used, bool):
        blanks[name] = used
    code = f"usual.{key}.{way}" if way else f"usual.{key}"
    return Assumption(key, used, Finding(code, tuple((blanks | numbers).items())))


def _row(key: str, way: str) -> Mapping[str, Any]:
    rows = _rows()
    return rows.get((key, way)) or rows[key, ""]


@cache
def _rows() -> Mapping[tuple[str, str], Mapping[str, Any]]:
    return {(row["key"], row["way"] or ""): row for row in load("usual_values").rows()}
