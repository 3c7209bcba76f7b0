"""What a condition allows, as boxes: for each column a span of numbers or days, or a set of words.

Enough to tell that a condition can never be met, or that two can be met by one applicant. What a box cannot hold (a
rebate before, days between two dates, the opposite of a condition) leaves it as it is, so that nothing possible is
called impossible.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from typing import Any, NamedTuple

from advisor.screening.conditions import All, AnyOf, Compare, Condition, Floor, Is, OneOf
from advisor.screening.dictionary import columns
from advisor.screening.of_program import FitsMeasure

_MOST_BOXES = 500


class Span(NamedTuple):
    """From a number (or a day's number) to another; open ends leave the limit itself out."""

    low: float = float("-inf")
    high: float = float("inf")
    low_open: bool = False
    high_open: bool = False

    @property
    def is_empty(self) -> bool:
        """Whether no number is in it."""
        return self.low > self.high or (self.low == self.high and (self.low_open or self.high_open))

    def meet(self, other: Span) -> Span:
        """What is in both."""
        low, low_open = max((self.low, self.low_open), (other.low, other.low_open))
        high, closed = min((self.high, not self.high_open), (other.high, not other.high_open))
        return Span(low, high, low_open, not closed)


Box = dict[str, Any]


def boxes(condition: Condition) -> list[Box]:
    """The boxes of a condition: it is met in at least one of them."""
    if isinstance(condition, FitsMeasure):
        return boxes(AnyOf(tuple(measure.whole for measure in condition.measures)))
    if type(condition) is AnyOf:
        return [box for part in condition.parts for box in boxes(part)][:_MOST_BOXES]
    if type(condition) is All:
        found: list[Box] = [{}]
        for part in condition.parts:
            met = [meet(one, other) for one, other in product(found, boxes(part))]
            found = [box for box in met if box is not None]
            if len(found) > _MOST_BOXES:
                return [{}]
        return found
    return [box for box in _leaf(condition) if not _is_empty(box)]


def _leaf(condition: Condition) -> Iterator[Box]:
    if isinstance(condition, Compare):
        yield {condition.field: _within(condition.field, _span(condition.how, _number(condition.limit)))}
    elif isinstance(condition, OneOf):
        yield {condition.field: frozenset(condition.words)}
    elif isinstance(condition, Is):
        yield {condition.field: frozenset([condition.wanted])}
    elif isinstance(condition, Floor):
        for word, limit in condition.limits:
            yield {condition.by: frozenset([word]), condition.field: _within(condition.field, Span(low=limit))}
    else:
        yield {}


def _number(limit: Any) -> float:
    return float(limit.toordinal()) if hasattr(limit, "toordinal") else float(limit)


def _span(how: str, limit: float) -> Span:
    if how in {"at_least", "more_than"}:
        return Span(low=limit, low_open=how == "more_than")
    return Span(high=limit, high_open=how == "less_than")


def _within(field: str, span: Span) -> Span:
    """A span within what the dictionary lets a column be."""
    column = columns()[field]
    if column.kind != "number":
        return span
    least = float("-inf") if column.least is None else column.least
    most = float("inf") if column.most is None else column.most
    return span.meet(Span(least, most))


def meet(one: Box, other: Box) -> Box | None:
    """What is in both boxes; None if nothing is."""
    found = dict(one)
    for field, allowed in other.items():
        held = found.get(field)
        if held is None:
            found[field] = allowed
        else:
            found[field] = held.meet(allowed) if isinstance(held, Span) else held & allowed
    return None if _is_empty(found) else found


def _is_empty(box: Box) -> bool:
    return any(one.is_empty if isinstance(one, Span) else not one for one in box.values())
