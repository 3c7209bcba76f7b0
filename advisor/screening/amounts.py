"""What is paid: steps in the order in which they stand, each said as it was worked, rounded at the end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.screening.applicants import Applicants
from advisor.screening.conditions import MISSING, Condition, missing_reasons
from advisor.screening.of_program import Measure
from advisor.screening.wording import Said, fill, numbers

#: Ten-thousandths of a cent: sums such as 0.8 x 850 are held to this before they are rounded down.
_DIGITS = 6


@dataclass(frozen=True)
class Step:
    """One step of an amount. Steps of one id are ways of the same step: the first whose condition passes is taken.

    Parameters
    ----------
    id, title : str
        Shown with the step; ``id`` is the rule's where one asks for it.
    how : str
        ``measure`` adds what the line pays, ``add`` dollars or a share of columns, ``multiply`` the sum so far,
        ``cap`` holds it to a share of columns, ``balance`` to what is left of a sum per household.
    value : float
        Dollars, share or factor.
    of, less, minus : tuple of str
        Columns: share x (of - less) - minus.
    at_most_usd : float or None
        Limit of what this step adds.
    when : Condition or None
        Whom it is for; everyone where there is none.
    """

    id: str
    title: str
    how: str
    value: float = 1.0
    of: tuple[str, ...] = ()
    less: tuple[str, ...] = ()
    minus: tuple[str, ...] = ()
    at_most_usd: float | None = None
    when: Condition | None = None

    @property
    def money_fields(self) -> tuple[str, ...]:
        """Columns of money that it reads."""
        return (*self.of, *self.less, *self.minus)

    @property
    def limits(self) -> bool:
        """Whether it can only lower the sum."""
        return self.how in {"cap", "balance"}

    def money(self, applicants: Applicants) -> np.ndarray:
        """Share x (of - less) - minus, never below 0; NaN where a column is missing."""
        if self.how == "balance":
            return np.maximum(self.value - _total(applicants, self.of), 0.0)
        inner = _total(applicants, self.of) - _total(applicants, self.less)
        return np.maximum(self.value * inner - _total(applicants, self.minus), 0.0)


def _total(applicants: Applicants, fields: tuple[str, ...]) -> np.ndarray:
    return sum((applicants.number(field) for field in fields), start=np.zeros(applicants.n_rows))


@dataclass
class Amount:
    """What the steps gave for every row.

    Parameters
    ----------
    usd : ndarray
        In whole units of the rounding. [$]
    limited_by, nothing_left, undecided : list of (Step, ndarray)
        Steps that lowered the sum, that left nothing, and whose numbers are missing, with the rows.
    steps, notes : list of Said
        The working, and what was not added and why.
    """

    usd: np.ndarray
    limited_by: list[tuple[Step, np.ndarray]]
    nothing_left: list[tuple[Step, np.ndarray]]
    undecided: list[tuple[Step, np.ndarray]]
    steps: list[Said]
    notes: list[Said]


def amount_of(
    applicants: Applicants,
    steps: tuple[Step, ...],
    measures: tuple[Measure, ...],
    chosen: np.ndarray,
    *,
    who: np.ndarray,
    rounding: str,
    language: str,
) -> Amount:
    """The amount of every row that fits a line of the program.

    Parameters
    ----------
    chosen : ndarray of int
        Number of the line that fits; -1 for none.
    who : ndarray of bool
        Rows whose working is written down.
    rounding : str
        ``down`` or ``nearest`` whole dollar, or ``cents``.
    """
    n_rows = applicants.n_rows
    found = Amount(np.zeros(n_rows), [], [], [], [], [])
    who = who & (chosen >= 0)
    paid = np.append([measure.usd for measure in measures], 0.0)[chosen]
    done: dict[str, np.ndarray] = {}
    for step in steps:
        applies = chosen >= 0
        if step.when is not None:
            outcome = step.when.judge(applicants)
            applies = applies & outcome.passed
            _note_missing(found, applicants, step, who & outcome.missing & (chosen >= 0), language)
        applies &= ~done.get(step.id, np.zeros(n_rows, dtype=bool))
        done[step.id] = done.get(step.id, np.zeros(n_rows, dtype=bool)) | applies
        _take(found, applicants, step, paid, applies, who, language)
    scale = 100.0 if rounding == "cents" else 1.0
    whole = np.round(found.usd * scale, _DIGITS)
    found.usd = (np.floor(whole) if rounding == "down" else np.floor(whole + 0.5)) / scale
    return found


def _take(
    found: Amount,
    applicants: Applicants,
    step: Step,
    paid: np.ndarray,
    applies: np.ndarray,
    who: np.ndarray,
    language: str,
) -> None:
    """One step, taken in the rows to which it applies."""
    before = found.usd
    if step.limits:
        limit = np.round(step.money(applicants), _DIGITS)
        unknown = applies & np.isnan(limit)
        if unknown.any():
            found.undecided.append((step, unknown))
        lowered = applies & (limit < before)
        found.usd = np.where(lowered, limit, before)
        if lowered.any():
            found.limited_by.append((step, lowered))
            found.nothing_left.append((step, lowered & (limit <= 0)))
            _say(found, "screening.step.limit", step, np.flatnonzero(lowered & who), limit, language)
        return
    if step.how == "multiply":
        after, code = before * step.value, "screening.step.multiply"
    else:
        added = paid if step.how == "measure" else np.full(len(paid), step.value)
        if step.of:
            added = step.money(applicants)
            _note_unknown(found, applicants, step, np.flatnonzero(who & applies & np.isnan(added)), language)
            added = np.nan_to_num(added)
        added = added if step.at_most_usd is None else np.minimum(added, step.at_most_usd)
        after, code = before + added, "screening.step.add"
    found.usd = np.where(applies, np.round(after, _DIGITS), before)
    shown = found.usd if step.how == "multiply" else added
    _say(found, code, step, np.flatnonzero(applies & who & (shown != 0)), shown, language)


def _say(found: Amount, code: str, step: Step, rows: np.ndarray, values: np.ndarray, language: str) -> None:
    """A step in words."""
    if len(rows):
        shown = numbers(np.round(values[rows], 2))
        found.steps.append(Said(rows, fill(code, language, shown, title=step.title, factor=f"{step.value:g}")))


def _note_missing(found: Amount, applicants: Applicants, step: Step, which: np.ndarray, language: str) -> None:
    if step.limits or step.when is None or not which.any():
        return
    for said in step.when.reasons(applicants, which, MISSING, language):
        if len(said.rows):
            found.notes.append(
                Said(said.rows, fill("screening.note.not_added", language, said.texts, title=step.title))
            )


def _note_unknown(found: Amount, applicants: Applicants, step: Step, rows: np.ndarray, language: str) -> None:
    for field in step.money_fields:
        for said in missing_reasons(applicants, field, rows, language):
            if len(said.rows):
                found.notes.append(
                    Said(said.rows, fill("screening.note.not_added", language, said.texts, title=step.title))
                )
