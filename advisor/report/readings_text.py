"""The commissioning sheet as text to fill in by hand, and as plain data."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from functools import partial
from typing import Any

from advisor.core.units import UNITS, show
from advisor.house.commissioning import Reading, Symptom
from advisor.house.readings import Judged
from advisor.report.words import say

_WIDTH = 100


def readings_text(
    title: str,
    readings: Sequence[Reading],
    symptoms: Sequence[Symptom] = (),
    *,
    si: bool = False,
    language: str = "en",
    taken: Sequence[Judged] = (),
) -> str:
    """The sheet: what to read, how, what to expect, what was read or a line to write on; and what may go wrong."""
    word = partial(say, language=language, si=si)
    lines = [word("reading.title", heater=title), "", *textwrap.wrap(word("reading.care"), _WIDTH), ""]
    for number, reading in enumerate(readings, start=1):
        lines.append(f"{number:>2}. {word(reading.what)}: {expected_words(reading, si=si, language=language)}")
        for text in (word(reading.how), word("reading.because", why=reading.why)):
            lines += textwrap.wrap(text, _WIDTH, initial_indent="    ", subsequent_indent="    ")
        found = [one for one in taken if one.reading is reading]
        for one in found:
            text = f"{word('reading.read')}: {taken_words(one, si=si, language=language)}"
            lines += textwrap.wrap(text, _WIDTH, initial_indent="    ", subsequent_indent="    ")
        if not found:
            lines.append(f"    {word('reading.read')}: ______________")
    if symptoms:
        lines += ["", word("symptom.title"), ""]
    for symptom in symptoms:
        lines += textwrap.wrap(f"{word(symptom.what)}: {word(symptom.look)}", _WIDTH, subsequent_indent="    ")
    return "\n".join(lines)


def verdict_words(one: Judged, *, language: str = "en") -> str:
    """What a value that was read says: as it should be, or outside and what that usually means; else nothing."""
    if one.holds is None:
        return ""
    verdict = say("reading.holds" if one.holds else "reading.fails", language=language)
    return verdict if one.means is None else f"{verdict}. {say(one.means, language=language)}"


def amount_words(one: Judged, *, si: bool, language: str = "en") -> str:
    """What was read: a number with its unit, words as they were typed; and at which of several heaters."""
    amount, suffix = one.taken.amount, one.reading.suffix
    # A hundred degrees and a third: rounded off, a value just outside would look as if it were inside.
    digits = 1 if amount is not None and abs(amount) >= 100 and not si else None
    shown = (
        one.taken.value if amount is None or suffix == "dimensionless" else show(amount, suffix, si=si, digits=digits)
    )
    return shown if one.taken.unit is None else say("reading.at_unit", language=language, n=one.taken.unit, read=shown)


def taken_words(one: Judged, *, si: bool, language: str = "en") -> str:
    """What was read, by whom and when, and what that says."""
    signed = ", ".join(filter(None, (one.taken.by, one.taken.read_on.isoformat() if one.taken.read_on else None)))
    shown = amount_words(one, si=si, language=language) + (f" ({signed})" if signed else "")
    verdict = verdict_words(one, language=language)
    return f"{shown} {verdict}" if verdict else shown


def expected_words(reading: Reading, *, si: bool, language: str = "en") -> str:
    """What the reading should show, in words with units."""
    word, shown = partial(say, language=language), partial(show, suffix=reading.suffix, si=si)
    low, high, expected = reading.low, reading.high, reading.expected
    about = None if expected is None else word("reading.expect.about", expected=shown(expected))
    if low is not None and high is not None:
        span = word("reading.expect.between", low=shown(low), high=shown(high))
    elif low is not None:
        span = word("reading.expect.at_least", low=shown(low))
    elif high is not None:
        span = word("reading.expect.at_most", high=shown(high))
    else:
        return about or word("reading.expect.write")
    return span if about is None else f"{about} ({span})"


def readings_dict(candidate_id: str, readings: Sequence[Reading], taken: Sequence[Judged] = ()) -> dict[str, Any]:
    """The sheet as plain data."""
    return {
        "candidate": candidate_id,
        "readings": [
            {
                "id": item.id,
                "what": say(item.what),
                "how": say(item.how),
                "expected": item.expected,
                "low": item.low,
                "high": item.high,
                "unit": UNITS[item.suffix].label,
                "why": say(item.why),
                "read": [_read_dict(one) for one in taken if one.reading is item],
            }
            for item in readings
        ],
    }


def _read_dict(one: Judged) -> dict[str, Any]:
    return {
        "value": one.taken.amount,
        "as_typed": one.taken.value,
        "heater": one.taken.unit or 1,
        "read_on": one.taken.read_on.isoformat() if one.taken.read_on else None,
        "by": one.taken.by,
        "holds": one.holds,
        "means": say(one.means) if one.means else None,
    }
