"""From a frame of applicants to a frame of decisions: arrays all the way, the same rows in the same order.

Every rule is asked of every row. A row that fails one that denies is denied, with every rule that it fails; else it
is held while something is missing or can be mended; else it is paid, less where a limit lowers the sum. What is
missing is never a pass.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from advisor.screening.amounts import Amount, amount_of
from advisor.screening.applicants import Applicants
from advisor.screening.conditions import FAILED, MISSING, missing_reasons
from advisor.screening.of_program import SHARED, Others, nothing_known
from advisor.screening.places import Places, places_of
from advisor.screening.rules import Rule, RuleSet
from advisor.screening.saved import saved_columns
from advisor.screening.tiers import tier_codes, tier_names
from advisor.screening.wording import Said, by_row, fill, gather, repeat

#: Columns that every decision reads, whatever its rules.
ALWAYS = (
    "application_id",
    "received_date",
    "install_date",
    "zip_code",
    "ef",
    "draw_pattern",
    "first_hour_gal",
    "max_gpm",
    "new_technology",
)
#: Columns that savings read.
FOR_SAVINGS = (
    "made_date",
    "people",
    "existing_fuel",
    "existing_technology",
    "existing_status",
    "existing_volume_gal",
    "existing_uef",
    "new_fuel",
    "input_btuh",
    "uef",
)
APPROVE, REDUCED, HOLD, DENY = "approve", "approve reduced", "hold", "deny"
DECISIONS = (APPROVE, REDUCED, HOLD, DENY)
READ, UNREAD = "read", "not read"


@dataclass
class Judged:
    """What a rule set says of a frame, before it is worded."""

    denied: np.ndarray
    held: np.ndarray
    deny_rules: list[Said]
    hold_rules: list[Said]
    reduce_rules: list[Said]
    deny_reasons: list[Said]
    hold_reasons: list[Said]


def decide(
    applicants: Any,
    rules: RuleSet,
    others: Mapping[str, Others] | None = None,
    unread: Mapping[int, str] | None = None,
    language: str = "en",
) -> Any:
    """The decision on every applicant.

    Parameters
    ----------
    applicants : pyarrow.Table
        Columns of the table ``applicant_columns``; others are left alone.
    rules : RuleSet
        The program's rules.
    others : mapping, optional
        What is known of other applications, by what they share: ``meter``, ``dwelling``, ``household``.
    unread : mapping, optional
        Rows that could not be taken apart, by their number in the frame, with the reason.
    language : str
        Of the sentences.

    Returns
    -------
    pyarrow.Table
        As many rows in the same order.
    """
    frame = Applicants(applicants)
    frame.others = {per: nothing_known(has_key(frame, per)) for per in SHARED} | dict(others or {})
    broken = np.zeros(frame.n_rows, dtype=bool)
    broken[list(unread or {})] = True
    judged = _judge(frame, rules, ~broken, language)
    chosen = np.where(broken, -1, rules.fits.chosen(frame))
    amount = amount_of(
        frame,
        rules.steps,
        rules.measures,
        chosen,
        who=~judged.denied & ~broken,
        rounding=rules.rounding,
        language=language,
    )
    _limit(judged, frame, amount, language)
    return _frame(frame, rules, judged, amount, chosen, broken, dict(unread or {}), language)


def columns_read(rules: RuleSet) -> tuple[str, ...]:
    """Every column that a decision by these rules reads."""
    return tuple(dict.fromkeys([*ALWAYS, *rules.needed(), *(FOR_SAVINGS if rules.deemed else ())]))


def has_key(frame: Applicants, per: str) -> np.ndarray:
    """Which rows say for which meter, dwelling or household they are."""
    own, *dwelling = SHARED[per]
    if per == "dwelling":
        return frame.written(own) & frame.written("zip_code")
    if per == "household":
        return frame.written(own) | (frame.written("service_address") & frame.written("zip_code"))
    return frame.written(own)


def _judge(frame: Applicants, rules: RuleSet, readable: np.ndarray, language: str) -> Judged:
    nobody = np.zeros(frame.n_rows, dtype=bool)
    judged = Judged(nobody.copy(), nobody.copy(), [], [], [], [], [])
    for rule in rules.rules:
        outcome = rule.test.judge(frame)
        asked = readable & _stands(frame, rules, rule)
        failed, missing = outcome.failed & asked, outcome.missing & asked
        denies = rule.effect == "deny"
        _note(judged, frame, rule, failed, FAILED, denies, language)
        _note(judged, frame, rule, missing, MISSING, False, language)
    return judged


def _stands(frame: Applicants, rules: RuleSet, rule: Rule) -> np.ndarray:
    """Rows on whose day a dated rule stands; one without dates stands always."""
    day = frame.date(rules.dated_by)
    stands = np.ones(frame.n_rows, dtype=bool)
    if rule.valid_from is not None:
        stands &= ~(day < np.datetime64(rule.valid_from, "D"))
    if rule.valid_to is not None:
        stands &= ~(day > np.datetime64(rule.valid_to, "D"))
    return stands


def _note(
    judged: Judged, frame: Applicants, rule: Rule, which: np.ndarray, how: str, denies: bool, language: str
) -> None:
    """Write down a rule that some rows fail, or that cannot be judged for them."""
    if not which.any():
        return
    rows = np.flatnonzero(which)
    if denies:
        judged.denied |= which
    else:
        judged.held |= which
    ids = judged.deny_rules if denies else judged.hold_rules
    ids.append(Said(rows, repeat(rule.id, len(rows))))
    details = by_row(list(rule.test.reasons(frame, which, how, language)), ", ")
    told = judged.deny_reasons if denies else judged.hold_reasons
    told.append(Said(details.rows, fill("screening.reason", language, details.texts, rule=rule.id)))
    plain = np.setdiff1d(rows, details.rows, assume_unique=True)
    text = fill("screening.reason.plain", language, message=rule.message, rule=rule.id)
    told.append(Said(plain, repeat(text, len(plain))))


def _limit(judged: Judged, frame: Applicants, amount: Amount, language: str) -> None:
    """What the limits of the amount do to the decision."""
    for step, which in amount.undecided:
        rows = np.flatnonzero(which)
        judged.held |= which
        judged.hold_rules.append(Said(rows, repeat(step.id, len(rows))))
        said = [one for field in step.money_fields for one in missing_reasons(frame, field, rows, language)]
        details = by_row(said, ", ")
        text = fill("screening.reason", language, details.texts, rule=step.id)
        judged.hold_reasons.append(Said(details.rows, text))
    for step, which in amount.nothing_left:
        rows = np.flatnonzero(which)
        judged.denied |= which
        text = fill("screening.nothing_left", language, message=step.title, rule=step.id)
        judged.deny_rules.append(Said(rows, repeat(step.id, len(rows))))
        judged.deny_reasons.append(Said(rows, repeat(text, len(rows))))
    for step, which in amount.limited_by:
        rows = np.flatnonzero(which & ~judged.denied)
        judged.reduce_rules.append(Said(rows, repeat(step.id, len(rows))))


def _frame(
    frame: Applicants,
    rules: RuleSet,
    judged: Judged,
    amount: Amount,
    chosen: np.ndarray,
    broken: np.ndarray,
    unread: dict[int, str],
    language: str,
) -> Any:
    import pyarrow as pa

    n_rows = frame.n_rows
    lowered = np.zeros(n_rows, dtype=bool)
    for _, which in amount.limited_by:
        lowered |= which
    held = (judged.held | broken) & ~judged.denied
    codes = np.where(judged.denied, 3, np.where(held, 2, np.where(lowered, 1, 0)))
    nothing_but = ~judged.denied & (chosen >= 0)
    rows = np.array(sorted(unread), dtype=int)
    status = [Said(rows, pa.array([unread[int(row)] for row in rows], pa.string()))]
    reasons = [*status, *judged.deny_reasons, *judged.hold_reasons]
    places = places_of(frame)
    columns: dict[str, Any] = {
        "application_id": frame.texts("application_id", np.arange(n_rows)),
        "status": pa.array(np.array([READ, UNREAD], dtype=object)[broken.astype(int)], pa.string()),
        "decision": _words(codes, DECISIONS),
        "deny_rules": gather(judged.deny_rules, n_rows, " "),
        "hold_rules": gather(judged.hold_rules, n_rows, " "),
        "reduce_rules": gather(judged.reduce_rules, n_rows, " "),
        "reasons": gather(reasons, n_rows, "; "),
        "measure": _words(chosen, (*(measure.id for measure in rules.measures), "")),
        "amount_usd": _money(np.where(codes <= 1, amount.usd, 0.0), rules.rounding),
        "amount_once_mended_usd": _money(np.where(nothing_but & (codes == 2), amount.usd, 0.0), rules.rounding),
        "amount_steps": gather(amount.steps, n_rows, "; "),
        "notes": gather(amount.notes, n_rows, "; "),
        "county": pa.array(places.county, pa.string()).take(pa.array(places.at)),
        "received_date": pa.array(frame.date("received_date")),
    }
    if names := tier_names(rules):
        columns["income_tier"] = _words(tier_codes(frame, rules), (*names, ""))
    if rules.deemed is not None:
        columns |= _savings(frame, rules, chosen, places)
    columns["rule_set"] = repeat(f"{rules.id} {rules.version}", n_rows)
    return pa.table(columns)


def _words(codes: np.ndarray, words: tuple[str, ...]) -> Any:
    import pyarrow as pa

    return pa.array(words, pa.string()).take(pa.array(np.where(codes < 0, len(words) - 1, codes)))


def _money(values: np.ndarray, rounding: str) -> Any:
    import pyarrow as pa

    return pa.array(values if rounding == "cents" else np.round(values).astype(np.int64))


def _savings(frame: Applicants, rules: RuleSet, chosen: np.ndarray, places: Places) -> dict[str, Any]:
    import pyarrow as pa

    assert rules.deemed is not None
    columns = saved_columns(frame, rules.deemed, rules.measures, chosen, places)
    return {
        name: pa.array(values, pa.string()) if name == "baseline" else pa.array(values, from_pandas=True)
        for name, values in columns.items()
    }
