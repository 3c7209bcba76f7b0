"""A floor, a cap, an adder or the budget moved: what it costs, what it saves, and whose decision turns."""

from __future__ import annotations

import math
import tempfile
import tomllib
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import tee
from pathlib import Path
from typing import Any

from advisor.core.errors import InputError
from advisor.screening.decide import DECISIONS, columns_read
from advisor.screening.duplicates import Ledger
from advisor.screening.record import Order, find_all_others, prepare, working_on
from advisor.screening.records import Chunk
from advisor.screening.rules import parse_rules
from advisor.screening.run import Job, decisions_of
from advisor.screening.totals import summary, totals_of

_LISTS = ("measures", "rules", "amount")
_LIMITS = ("at_least", "more_than", "at_most", "less_than", "within_days", "no_rebate_in_years", "at_least_by")

Turned = Counter[tuple[str, str]]


def moved(rules: bytes, moves: Sequence[str]) -> bytes:
    """A rule set's file with numbers of it moved.

    Parameters
    ----------
    rules : bytes
        The file.
    moves : sequence of str
        Each a place and a number: ``budget_usd=300000``, ``measures.M1.usd=400``, ``measures.M1.uef.high=0.88``,
        ``amount.A-13.cap_frac=0.6``, ``rules.A-04.received_date.within_days=120``.

    Raises
    ------
    InputError
        There is no number at that place, or the rule set cannot be with it.
    """
    import tomli_w

    parse_rules(rules)
    data = tomllib.loads(rules.decode("utf-8"))
    for move in moves:
        place, equals, text = move.partition("=")
        try:
            value = float(text)
        except ValueError:
            value = float("nan")
        if not equals or not math.isfinite(value):
            raise InputError("what-if", move, "this is no place and number", "write for example measures.M1.usd=400")
        if not _move(data, place.strip().split("."), int(value) if value == int(value) else value):
            fix = "write for example measures.M1.usd=400, measures.M1.uef.high=0.88 or budget_usd=300000"
            raise InputError("what-if", move, "the rule set has no number at that place", fix)
    found = tomli_w.dumps(data).encode()
    parse_rules(found)
    return found


def _move(data: dict[str, Any], place: list[str], value: float) -> int:
    """How many numbers stand at a place and were moved; a rule of several versions has several."""
    if place[0] in _LISTS and len(place) > 2:
        return sum(_within(one, place[2:], value) for one in data.get(place[0], []) if one.get("id") == place[1])
    return _within(data, place, value)


def _within(node: dict[str, Any], place: list[str], value: float) -> int:
    head, *rest = place
    if not rest and isinstance(node.get(head), int | float) and not isinstance(node.get(head), bool):
        node[head] = value
        return 1
    return sum(_limit(one, rest, value) for one in _conditions(node) if one.get("field") == head)


def _conditions(node: Any) -> Iterator[dict[str, Any]]:
    """Every condition within, at any depth."""
    if isinstance(node, dict):
        if "field" in node:
            yield node
        for inner in node.values():
            yield from _conditions(inner)
    elif isinstance(node, list):
        for inner in node:
            yield from _conditions(inner)


def _limit(condition: dict[str, Any], rest: list[str], value: float) -> int:
    """Move the one limit of a condition, or the one that is named by its key or its word."""
    count = 0
    for key in _LIMITS:
        held = condition.get(key)
        if isinstance(held, dict):
            for words in held.values():
                for word in words:
                    if rest == [word]:
                        words[word] = value
                        count += 1
        elif isinstance(held, int | float) and rest in ([], [key]):
            condition[key] = value
            count += 1
    return count


def compared(job: Job, other: Job, chunk: Chunk, found: Mapping[str, Any]) -> tuple[Any, Any, Turned]:
    """Totals of a chunk by two rule sets, and how many decisions turn from what to what."""
    frame = job.source.frame(chunk)
    was, becomes = (decisions_of(one, frame.table, frame.unread, dict(found), chunk.first_row) for one in (job, other))
    pairs = zip(was["decision"].to_pylist(), becomes["decision"].to_pylist(), strict=True)
    return totals_of(was), totals_of(becomes), Counter(pair for pair in pairs if pair[0] != pair[1])


def what_if(order: Order, moves: Sequence[str]) -> dict[str, Any]:
    """A whole file by its rule set and by the same with numbers moved.

    Returns
    -------
    dict
        ``was`` and ``becomes`` are totals as in a record; ``turned`` counts decisions from what to what.
    """
    with tempfile.TemporaryDirectory(prefix="advisor-") as folder:
        order = replace(order, out=Path(folder) / "none", parquet=False)
        rules, job = prepare(order)
        other = replace(job, rules=moved(job.rules, moves))
        wanted = columns_read(rules) + columns_read(other.rule_set)
        source = replace(job.source, wanted=tuple(dict.fromkeys(wanted)))
        job, other = replace(job, source=source), replace(other, source=source)
        was: Counter[tuple[str, ...]] = Counter()
        becomes: Counter[tuple[str, ...]] = Counter()
        turned: Turned = Counter()
        with working_on(order) as worker:
            ledger = Ledger(Path(folder) / "keys")
            for_keys, for_decisions = tee(job.source.chunks(order.chunk_rows))
            find_all_others(order, job, worker, ledger, for_keys)
            shared = rules.shared()
            calls = (
                (job, other, chunk, {per: ledger.found(per, chunk.first_row, chunk.n_rows) for per in shared})
                for chunk in for_decisions
            )
            for _, (before, after, pairs) in worker.map(compared, calls):
                was.update(before)
                becomes.update(after)
                turned.update(pairs)
    return {
        "moves": list(moves),
        "was": summary(was, rules.budget_usd),
        "becomes": summary(becomes, other.rule_set.budget_usd),
        "turned": [
            {"from": one, "to": another, "count": turned[one, another]}
            for one in DECISIONS
            for another in DECISIONS
            if turned[one, another]
        ],
    }
