"""What can hurt someone or cost them dear: which cautions stand, and in which order they are read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from advisor.core.findings import Finding, Severity, finding
from advisor.core.tables import load

#: Kinds of heater that a caution calls "it".
_KINDS = frozenset({"condensing", "electric", "heat_pump"})
#: Weight of what can hurt someone.
_CAN_HURT = 1
#: A house's own is read before what comes with a kind of heater, and that before what holds for all.
_NEAREST_FIRST = ("house", "kind", "all")


def gravest_first(ids: Iterable[str]) -> tuple[Finding, ...]:
    """Cautions of one house as a list, each once; those that always stand are left out.

    Parameters
    ----------
    ids : iterable of str
        Ids in the table of cautions.
    """
    rows = sorted(_raised(ids), key=lambda row: (row["weight"], _NEAREST_FIRST.index(row["holds_for"])))
    return tuple(_in_a_list(row["id"], row["topic"]) for row in rows)


def own_first(ids: Iterable[str]) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
    """The same in two lists: what this house must know first, and what is true of most.

    First comes what holds in some houses only, and what can hurt someone with this kind of heater.
    """
    rows = _raised(ids)
    own = [
        row["id"]
        for row in rows
        if row["holds_for"] == "house" or (row["holds_for"] == "kind" and row["weight"] == _CAN_HURT)
    ]
    return gravest_first(own), gravest_first(row["id"] for row in rows if row["id"] not in own)


def _raised(ids: Iterable[str]) -> list[Mapping[str, Any]]:
    """Rows of the table, each once, without those that always stand."""
    rows = [load("cautions").find(name) for name in dict.fromkeys(ids)]
    return [row for row in rows if row["raised_by"] != "always"]


@cache
def always() -> tuple[Finding, ...]:
    """What stands under every comparison, gravest first."""
    rows = [row for row in load("cautions").rows() if row["raised_by"] == "always"]
    return tuple(caution(row["id"]) for row in sorted(rows, key=lambda row: row["weight"]))


def caution(name: str) -> Finding:
    """A caution by its id in the table, where it is plain what it speaks of; what can hurt someone asks for care."""
    can_hurt = load("cautions").find(name)["weight"] == _CAN_HURT
    return finding(f"caution.{name}", Severity.CARE if can_hurt else Severity.NOTE)


def _in_a_list(name: str, topic: str) -> Finding:
    """A caution among others: which heaters it speaks of goes before it."""
    plain = caution(name)
    return finding(f"caution.of.{topic}", plain.severity, caution=plain) if topic in _KINDS else plain
