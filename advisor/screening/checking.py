"""What is wrong with a rule set that can be read: what never passes, never applies, overlaps, or leaves days out."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import combinations

from advisor.core.findings import Finding, care, stop
from advisor.screening.boxes import boxes, meet
from advisor.screening.rules import Rule, RuleSet


def check(rules: RuleSet) -> tuple[Finding, ...]:
    """Findings on a rule set; none if nothing is odd."""
    found = [*_names(rules), *_days(rules), *_dated(rules), *_never(rules), *_overlaps(rules), *_steps(rules)]
    return tuple(found)


def _names(rules: RuleSet) -> Iterator[Finding]:
    ids = [measure.id for measure in rules.measures]
    for one in sorted({one for one in ids if ids.count(one) > 1}):
        yield stop("screening.check.twice", rule=one)


def _days(rules: RuleSet) -> Iterator[Finding]:
    if rules.valid_to < rules.valid_from:
        yield stop("screening.check.no_days", first=str(rules.valid_from), last=str(rules.valid_to))


def _dated(rules: RuleSet) -> Iterator[Finding]:
    """Rules of one id stand one after another, without a gap and without an overlap."""
    by_id: dict[str, list[Rule]] = {}
    for rule in rules.rules:
        by_id.setdefault(rule.id, []).append(rule)
    for name, versions in by_id.items():
        spans = sorted((rule.valid_from or date.min, rule.valid_to or date.max) for rule in versions)
        for first, last in spans:
            if last < first:
                yield stop("screening.check.no_days", first=str(first), last=str(last))
            elif last < rules.valid_from or first > rules.valid_to:
                yield care("screening.check.outside", rule=name, first=str(first), last=str(last))
        at = rules.valid_from
        for first, last in spans:
            if first > at:
                yield care("screening.check.gap", rule=name, first=str(at), last=str(first - timedelta(days=1)))
            if first < at and at != rules.valid_from:
                yield stop("screening.check.overlap", rule=name, first=str(first))
            at = max(at, last + timedelta(days=1) if last < date.max else date.max)
        if at <= rules.valid_to:
            yield care("screening.check.gap", rule=name, first=str(at), last=str(rules.valid_to))


def _never(rules: RuleSet) -> Iterator[Finding]:
    """Lines and rules that nobody can meet, alone or together with the rules that deny."""
    alone = {measure.id: boxes(measure.whole) for measure in rules.measures}
    for measure in rules.measures:
        if not alone[measure.id]:
            yield stop("screening.check.never", rule=measure.id)
    denying = [rule for rule in rules.rules if rule.effect == "deny"]
    for rule in rules.rules:
        if not boxes(rule.test):
            yield stop("screening.check.never", rule=rule.id)
    for measure in rules.measures:
        for rule in denying:
            wanted = boxes(rule.test)
            if (
                alone[measure.id]
                and wanted
                and not any(meet(one, other) is not None for one in alone[measure.id] for other in wanted)
            ):
                yield stop("screening.check.never_with", rule=measure.id, other=rule.id)


def _overlaps(rules: RuleSet) -> Iterator[Finding]:
    """Two lines that one heater can fit: the first is taken."""
    held = {measure.id: boxes(measure.whole) for measure in rules.measures}
    for one, other in combinations(rules.measures, 2):
        if any(meet(box, another) is not None for box in held[one.id] for another in held[other.id]):
            yield care("screening.check.both", rule=one.id, other=other.id)


def _steps(rules: RuleSet) -> Iterator[Finding]:
    """A step after one of the same id for everyone is never taken; a rule that is another's copy says nothing."""
    closed: set[str] = set()
    for step in rules.steps:
        if step.id in closed:
            yield stop("screening.check.unreachable", rule=step.id, title=step.title)
        if step.when is None:
            closed.add(step.id)
    for one, other in combinations(rules.rules, 2):
        if one.id != other.id and one.test == other.test and one.effect == other.effect:
            yield care("screening.check.same", rule=other.id, other=one.id)
    if not any(step.how in {"measure", "add"} for step in rules.steps):
        yield stop("screening.check.pays_nothing")
