"""The two conditions that look beyond a column: does a line of the program fit, and was there a rebate before?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from advisor.screening import wording
from advisor.screening.applicants import NO_DAY, Applicants
from advisor.screening.conditions import MISSING, All, AnyOf, Condition, Outcome, missing_reasons
from advisor.screening.wording import Said, fill, repeat, title_of

#: What two applications can share, and the columns that say which it is.
SHARED = {
    "meter": ("meter_id",),
    "dwelling": ("service_address", "zip_code"),
    "household": ("household_id", "service_address", "zip_code"),
}


class Others(NamedTuple):
    """What is known of other applications for the same meter, dwelling or household.

    Parameters
    ----------
    has_key : ndarray of bool
        Whether the row says enough to be compared at all.
    paid_on : ndarray of datetime64
        Day of the last rebate in the history, or not-a-time.
    earlier_row : ndarray of int
        Number in the file of the application that came before; -1 for none.
    earlier_on : ndarray of datetime64
        Day on which the heater of that application was put in.
    """

    has_key: np.ndarray
    paid_on: np.ndarray
    earlier_row: np.ndarray
    earlier_on: np.ndarray


def nothing_known(has_key: np.ndarray) -> Others:
    """No history and no other application."""
    none = np.full(len(has_key), NO_DAY)
    return Others(has_key, none, np.full(len(has_key), -1), none)


@dataclass(frozen=True)
class Measure:
    """One line of a program: which heaters it is about, what they must reach, and what it pays."""

    id: str
    title: str
    kind: Condition
    test: Condition
    usd: float
    life_yr: float | None = None

    @property
    def whole(self) -> All:
        """Both conditions."""
        return All((self.kind, self.test))


@dataclass(frozen=True)
class FitsMeasure(Condition):
    """The new heater fits a line of the program."""

    measures: tuple[Measure, ...]

    @property
    def fields(self) -> tuple[str, ...]:
        return AnyOf(tuple(measure.whole for measure in self.measures)).fields

    def _judge(self, applicants: Applicants) -> Outcome:
        return AnyOf(tuple(measure.whole for measure in self.measures)).judge(applicants)

    def chosen(self, applicants: Applicants) -> np.ndarray:
        """Number of the first line that fits; -1 for none."""
        passed = np.array([measure.whole.judge(applicants).passed for measure in self.measures])
        return np.where(passed.any(axis=0), passed.argmax(axis=0), -1)

    def nearest(self, applicants: Applicants) -> np.ndarray:
        """Number of the line about such heaters that the fewest numbers fail; -1 where no line is about them."""
        wrong = np.array(
            [
                np.where(measure.kind.judge(applicants).failed, 1000, _count_failed(measure.test, applicants))
                for measure in self.measures
            ]
        )
        return np.where(wrong.min(axis=0) < 1000, wrong.argmin(axis=0), -1)

    def reasons(self, applicants: Applicants, which: np.ndarray, how: str, language: str) -> Iterator[Said]:
        outcome = self.judge(applicants)
        which = which & (outcome.missing if how == MISSING else outcome.failed)
        nearest = self.nearest(applicants)
        for index, measure in enumerate(self.measures):
            mine = which & (nearest == index)
            if mine.any():
                yield from measure.whole.reasons(applicants, mine, how, language)

    def told(self, language: str) -> str:
        return fill("screening.told.fits", language, measures=", ".join(measure.id for measure in self.measures))


def _count_failed(condition: Condition, applicants: Applicants) -> np.ndarray:
    if type(condition) is All:
        return np.sum([_count_failed(part, applicants) for part in condition.parts], axis=0)
    return condition.judge(applicants).failed.astype(int)


@dataclass(frozen=True)
class NoRebate(Condition):
    """No rebate for the same meter, dwelling or household in so many years before a day.

    A rebate in the history, or one that the applicant names, fails. An earlier application in the same file is not
    settled yet: until it is, this one cannot be judged.
    """

    per: str
    years: float
    before: str

    @property
    def fields(self) -> tuple[str, ...]:
        return (*SHARED[self.per], "prior_rebate_date", self.before)

    def _last_paid(self, applicants: Applicants) -> np.ndarray:
        paid, said = applicants.others[self.per].paid_on, applicants.date("prior_rebate_date")
        # Not-a-time is later than no day.
        return np.where(np.isnat(paid) | (said > paid), said, paid)

    def _judge(self, applicants: Applicants) -> Outcome:
        others, day = applicants.others[self.per], applicants.date(self.before)
        paid = self._last_paid(applicants)
        failed = ~np.isnat(paid) & (years_after(paid, self.years) > day)
        missing = ~failed & (~others.has_key | np.isnat(day) | self._unsettled(applicants))
        # What the applicant wrote of an earlier rebate must be read before anything passes.
        missing |= ~failed & applicants.written("prior_rebate_date") & ~applicants.given("prior_rebate_date")
        return Outcome(~failed & ~missing, missing)

    def _unsettled(self, applicants: Applicants) -> np.ndarray:
        others, day = applicants.others[self.per], applicants.date(self.before)
        too_near = ~(years_after(others.earlier_on, self.years) <= day)
        return (others.earlier_row >= 0) & too_near

    def reasons(self, applicants: Applicants, which: np.ndarray, how: str, language: str) -> Iterator[Said]:
        outcome, others = self.judge(applicants), applicants.others[self.per]
        per = fill(f"screening.per.{self.per}", language)
        if how != MISSING:
            rows = np.flatnonzero(which & outcome.failed)
            paid = wording.days(self._last_paid(applicants)[rows])
            yield Said(rows, fill("screening.failed.rebate", language, paid, per=per))
            return
        waiting = which & outcome.missing & self._unsettled(applicants)
        rows = np.flatnonzero(waiting)
        shown = wording.numbers(others.earlier_row[rows])
        yield Said(rows, fill("screening.missing.earlier", language, shown, per=per))
        rows = np.flatnonzero(which & outcome.missing & ~others.has_key)
        yield Said(rows, repeat(fill("screening.missing.key", language, per=per), len(rows)))
        rest = which & outcome.missing & ~waiting
        yield from missing_reasons(applicants, self.before, np.flatnonzero(rest), language)
        unread = rest & applicants.written("prior_rebate_date")
        yield from missing_reasons(applicants, "prior_rebate_date", np.flatnonzero(unread), language)

    def told(self, language: str) -> str:
        return fill(
            "screening.told.no_rebate",
            language,
            per=fill(f"screening.per.{self.per}", language),
            years=f"{self.years:g}",
            before=title_of(self.before, language),
        )


def years_after(day: np.ndarray, years: float) -> np.ndarray:
    """The same day of the month so many years later; 29 February becomes the 28th where there is none."""
    months = day.astype("datetime64[M]")
    moved = months + np.timedelta64(round(years * 12), "M")
    of_month = (day - months.astype("datetime64[D]")).astype("timedelta64[D]")
    last = (moved + np.timedelta64(1, "M")).astype("datetime64[D]") - np.timedelta64(1, "D")
    return np.minimum(moved.astype("datetime64[D]") + of_month, last)
