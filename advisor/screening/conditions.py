"""What a rule asks of an applicant: structured, three-valued, and able to say which number failed.

A condition passes, fails, or cannot be judged because something is missing; missing is never a pass. Conditions are
read from the tables of a rule set, never from text that is run.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from advisor.report.words import template
from advisor.screening import wording
from advisor.screening.applicants import Applicants
from advisor.screening.dictionary import columns
from advisor.screening.wording import Said, fill, repeat, title_of, with_unit

PASSED, FAILED, MISSING = "passed", "failed", "missing"


class Outcome(NamedTuple):
    """Which rows pass and which cannot be judged; the others fail."""

    passed: np.ndarray
    missing: np.ndarray

    @property
    def failed(self) -> np.ndarray:
        """Rows that fail."""
        return ~self.passed & ~self.missing


class Condition:
    """One condition; ``judge`` gives its outcome, ``reasons`` what failed or is missing, ``told`` itself in words."""

    def judge(self, applicants: Applicants) -> Outcome:
        """The outcome, worked out once for a frame."""
        return applicants.keep(("outcome", self), lambda: self._judge(applicants))

    def _judge(self, applicants: Applicants) -> Outcome:
        raise NotImplementedError

    def reasons(self, applicants: Applicants, which: np.ndarray, how: str, language: str) -> Iterator[Said]:
        """What failed (or is missing) in some rows."""
        raise NotImplementedError

    def told(self, language: str) -> str:
        """The condition in words."""
        raise NotImplementedError

    @property
    def fields(self) -> tuple[str, ...]:
        """Columns that it reads."""
        raise NotImplementedError


@dataclass(frozen=True)
class Leaf(Condition):
    """A condition on one column."""

    field: str

    @property
    def fields(self) -> tuple[str, ...]:
        return (self.field,)

    def reasons(self, applicants: Applicants, which: np.ndarray, how: str, language: str) -> Iterator[Said]:
        outcome = self.judge(applicants)
        rows = np.flatnonzero(which & (outcome.missing if how == MISSING else outcome.failed))
        if not len(rows):
            return
        if how == MISSING:
            for field in self.fields:
                yield from missing_reasons(applicants, field, rows, language)
        else:
            yield from self._why_failed(applicants, rows, language)

    def _why_failed(self, applicants: Applicants, rows: np.ndarray, language: str) -> Iterator[Said]:
        yield Said(rows, repeat(fill("screening.failed.told", language, told=self.told(language)), len(rows)))


def missing_reasons(applicants: Applicants, field: str, rows: np.ndarray, language: str) -> Iterator[Said]:
    """Why a column has no value in some rows: empty, not to be read, or a rating by the former test alone."""
    rows = rows[~applicants.given(field)[rows]]
    written = applicants.written(field)[rows]
    fixed = {"title": title_of(field, language)}
    if field == "draw_pattern":
        conflict = applicants.draw_pattern_conflicts()[rows]
        yield Said(rows[conflict], repeat(fill("screening.missing.pattern", language, **fixed), int(conflict.sum())))
        rows, written = rows[~conflict], written[~conflict]
    empty = rows[~written]
    if field == "uef":
        former = applicants.given("ef")[empty]
        yield Said(empty[former], repeat(fill("screening.missing.former", language, **fixed), int(former.sum())))
        empty = empty[~former]
    yield Said(empty, repeat(fill("screening.missing.empty", language, **fixed), len(empty)))
    unread = rows[written]
    kind = columns()[field].kind
    if len(unread):
        yield Said(unread, fill(f"screening.unread.{kind}", language, applicants.texts(field, unread), **fixed))


@dataclass(frozen=True)
class Compare(Leaf):
    """A number or a day against a limit: ``at_least``, ``more_than``, ``at_most``, ``less_than``."""

    how: str
    limit: Any

    def _judge(self, applicants: Applicants) -> Outcome:
        given = applicants.given(self.field)
        is_day = columns()[self.field].kind == "date"
        values = applicants.date(self.field) if is_day else applicants.number(self.field)
        limit = np.datetime64(self.limit, "D") if is_day else float(self.limit)
        compared = {
            "at_least": np.greater_equal,
            "more_than": np.greater,
            "at_most": np.less_equal,
            "less_than": np.less,
        }
        with np.errstate(invalid="ignore"):
            return Outcome(compared[self.how](values, limit) & given, ~given)

    def _why_failed(self, applicants: Applicants, rows: np.ndarray, language: str) -> Iterator[Said]:
        is_day = columns()[self.field].kind == "date"
        values = (
            wording.days(applicants.date(self.field)[rows])
            if is_day
            else wording.numbers(applicants.number(self.field)[rows])
        )
        words = {"title": title_of(self.field, language), "limit": self._limit()}
        filled = fill(f"screening.failed.{self.how}", language, with_unit_each(self.field, values), **words)
        yield Said(rows, filled)

    def _limit(self) -> str:
        return with_unit(self.field, shortest(self.limit))

    def told(self, language: str) -> str:
        return fill(f"screening.told.{self.how}", language, title=title_of(self.field, language), limit=self._limit())


def shortest(limit: Any) -> str:
    """A limit as people write it."""
    return f"{limit:,g}" if isinstance(limit, float | int) and abs(limit) < 1e6 else str(limit)


def with_unit_each(field: str, values: Any) -> Any:
    """The unit of a column beside every number of an array of texts."""
    import pyarrow.compute as pc

    before, _, after = with_unit(field, "\x00").partition("\x00")
    return pc.binary_join_element_wise(before, values, after, "") if before or after else values


@dataclass(frozen=True)
class OneOf(Leaf):
    """A word among some; how they are written where the column may hold any word."""

    words: tuple[str, ...]
    written: tuple[str, ...]

    def _judge(self, applicants: Applicants) -> Outcome:
        return Outcome(applicants.among(self.field, self.words), ~applicants.given(self.field))

    def _why_failed(self, applicants: Applicants, rows: np.ndarray, language: str) -> Iterator[Said]:
        yield Said(
            rows,
            fill(
                "screening.failed.one_of",
                language,
                applicants.texts(self.field, rows),
                title=title_of(self.field, language),
                words=_either(self.written, language),
            ),
        )

    def told(self, language: str) -> str:
        title = title_of(self.field, language)
        return fill("screening.told.one_of", language, title=title, words=_either(self.written, language))


def _either(words: tuple[str, ...], language: str) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {template('screening.or', language)} {words[-1]}"


@dataclass(frozen=True)
class Is(Leaf):
    """Yes, or no."""

    wanted: bool

    def _judge(self, applicants: Applicants) -> Outcome:
        values = applicants.flag(self.field)
        return Outcome(values == int(self.wanted), values < 0)

    def _why_failed(self, applicants: Applicants, rows: np.ndarray, language: str) -> Iterator[Said]:
        code = "screening.failed.is_not" if self.wanted else "screening.failed.is"
        yield Said(rows, repeat(fill(code, language, title=title_of(self.field, language)), len(rows)))

    def told(self, language: str) -> str:
        code = "screening.told.is" if self.wanted else "screening.told.is_not"
        return fill(code, language, title=title_of(self.field, language))


@dataclass(frozen=True)
class Given(Leaf):
    """There is something in the cell; an empty one is missing."""

    def _judge(self, applicants: Applicants) -> Outcome:
        given = applicants.given(self.field)
        return Outcome(given, ~given)

    def told(self, language: str) -> str:
        return fill("screening.told.given", language, title=title_of(self.field, language))


@dataclass(frozen=True)
class Floor(Leaf):
    """At least a number that depends on a word of another column; a word without a number fails."""

    by: str
    limits: tuple[tuple[str, float], ...]

    @property
    def fields(self) -> tuple[str, ...]:
        return (self.by, self.field)

    def _judge(self, applicants: Applicants) -> Outcome:
        limit = self._limits(applicants)
        has_word, given = applicants.given(self.by), applicants.given(self.field)
        no_line = has_word & np.isnan(limit)
        with np.errstate(invalid="ignore"):
            passed = applicants.number(self.field) >= limit
        return Outcome(passed & given & has_word, ~has_word | (~given & ~no_line))

    def _limits(self, applicants: Applicants) -> np.ndarray:
        codes, words = applicants.word(self.by)
        limits = dict(self.limits)
        return np.array([limits.get(word, np.nan) for word in words] + [np.nan])[codes]

    def _why_failed(self, applicants: Applicants, rows: np.ndarray, language: str) -> Iterator[Said]:
        codes, words = applicants.word(self.by)
        title, by = title_of(self.field, language), title_of(self.by, language)
        for index, word in enumerate(words):
            mine = rows[codes[rows] == index]
            if not len(mine):
                continue
            shown = word.replace("_", " ")
            if word not in dict(self.limits):
                yield Said(mine, repeat(fill("screening.failed.no_line", language, by=by, word=shown), len(mine)))
                continue
            values = wording.numbers(applicants.number(self.field)[mine])
            filled = {"title": title, "limit": shortest(dict(self.limits)[word]), "by": by, "word": shown}
            yield Said(mine, fill("screening.failed.floor", language, values, **filled))

    def told(self, language: str) -> str:
        floors = [
            fill("screening.told.floor_of", language, limit=shortest(limit), word=word.replace("_", " "))
            for word, limit in self.limits
        ]
        title, by = title_of(self.field, language), title_of(self.by, language)
        return fill("screening.told.floor", language, title=title, by=by, floors=", ".join(floors))


@dataclass(frozen=True)
class WithinDays(Leaf):
    """No more days after another date; that day is day 0, and the last day counts."""

    after: str
    days: int

    @property
    def fields(self) -> tuple[str, ...]:
        return (self.after, self.field)

    def _judge(self, applicants: Applicants) -> Outcome:
        days = self._days(applicants)
        known = applicants.given(self.field) & applicants.given(self.after)
        return Outcome(known & (days >= 0) & (days <= self.days), ~known)

    def _days(self, applicants: Applicants) -> np.ndarray:
        return (applicants.date(self.field) - applicants.date(self.after)).astype("timedelta64[D]").astype(np.int64)

    def _why_failed(self, applicants: Applicants, rows: np.ndarray, language: str) -> Iterator[Said]:
        days = self._days(applicants)[rows]
        words = {"title": title_of(self.field, language), "after": title_of(self.after, language)}
        late, early = rows[days >= 0], rows[days < 0]
        shown = wording.numbers(days[days >= 0])
        yield Said(late, fill("screening.failed.late", language, shown, limit=self.days, **words))
        yield Said(early, repeat(fill("screening.failed.early", language, **words), len(early)))

    def told(self, language: str) -> str:
        words = {"title": title_of(self.field, language), "after": title_of(self.after, language)}
        return fill("screening.told.within_days", language, limit=self.days, **words)


@dataclass(frozen=True)
class All(Condition):
    """Every one of some conditions."""

    parts: tuple[Condition, ...]

    @property
    def fields(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(field for part in self.parts for field in part.fields))

    def _judge(self, applicants: Applicants) -> Outcome:
        outcomes = [part.judge(applicants) for part in self.parts]
        passed = np.logical_and.reduce([one.passed for one in outcomes])
        failed = np.logical_or.reduce([one.failed for one in outcomes])
        return Outcome(passed, ~passed & ~failed)

    def reasons(self, applicants: Applicants, which: np.ndarray, how: str, language: str) -> Iterator[Said]:
        for part in self.parts:
            yield from part.reasons(applicants, which, how, language)

    def told(self, language: str) -> str:
        return "; ".join(part.told(language) for part in self.parts)


@dataclass(frozen=True)
class AnyOf(All):
    """At least one of some conditions."""

    def _judge(self, applicants: Applicants) -> Outcome:
        outcomes = [part.judge(applicants) for part in self.parts]
        passed = np.logical_or.reduce([one.passed for one in outcomes])
        return Outcome(passed, ~passed & np.logical_or.reduce([one.missing for one in outcomes]))

    def reasons(self, applicants: Applicants, which: np.ndarray, how: str, language: str) -> Iterator[Said]:
        outcome = self.judge(applicants)
        yield from super().reasons(
            applicants, which & (outcome.missing if how == MISSING else outcome.failed), how, language
        )

    def told(self, language: str) -> str:
        told = [part.told(language) for part in self.parts]
        return f" {template('screening.or', language)} ".join(f"({one})" if ";" in one else one for one in told)


@dataclass(frozen=True)
class Not(Condition):
    """The opposite; what is missing stays missing."""

    part: Condition

    @property
    def fields(self) -> tuple[str, ...]:
        return self.part.fields

    def _judge(self, applicants: Applicants) -> Outcome:
        inner = self.part.judge(applicants)
        return Outcome(inner.failed, inner.missing)

    def reasons(self, applicants: Applicants, which: np.ndarray, how: str, language: str) -> Iterator[Said]:
        if how == MISSING:
            yield from self.part.reasons(applicants, which, how, language)

    def told(self, language: str) -> str:
        return fill("screening.told.not", language, told=self.part.told(language))
