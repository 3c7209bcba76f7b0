"""What can hurt someone or cost them dear: which cautions stand, and in which order they are read."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from advisor.core.findings import Finding, Severity, finding
from advisor.core.tables import load

#: Kinds of heater that a caution calls "it".
_KINDS = frozenset({"condensing", "electric", "heat_pump"})


def gravest_first(ids: Iterable[str]) -> tuple[Finding, ...]:
    """Cautions of one house as a list, each once; those that always stand are left out.

    Parameters
    ----------
    ids : iterable of str
        Ids in the table of cautions.
    """
    rows = [load("cautions").find(name) for name in dict.fromkeys(ids)]
    rows = sorted((row for row in rows if row["raised_by"] != "always"), key=lambda row: row["weight"])
    return tuple(_in_a_list(row["id"], row["topic"]) for row in rows)


@cache
def always() -> tuple[Finding, ...]:
    """What stands under every comparison, gravest first."""
    rows = [row for row in load("cautions").rows() if row["raised_by"] == "always"]
    return tuple(caution(row["id"]) for row in sorted(rows, key=lambda row: row["weight"]))


def caution(name: str) -> Finding:
    """A caution by its id in the table, where it is plain what it speaks of; what can hurt someone asks for care."""
    can_hurt = load("cautions").find(name)["weight"] == 1
    return finding(f"caution.{name}", Severity.CARE if can_hurt else Severity.NOTE)


def _in_a_list(name: str, topic: str) -> Finding:
    """A caution among others: which heaters it speaks of goes before it."""
    plain = caution(name)
    return finding(f"caution.of.{topic}", plain.severity, caution=plain) if topic in _KINDS else plain
