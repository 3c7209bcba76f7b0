"""The commissioning sheet as text to fill in by hand, and as plain data."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from functools import partial
from typing import Any

from advisor.core.units import UNITS, show
from advisor.house.commissioning import Reading, Symptom
from advisor.report.words import say

_WIDTH = 100


def readings_text(
    title: str,
    readings: Sequence[Reading],
    symptoms: Sequence[Symptom] = (),
    *,
    si: bool = False,
    language: str = "en",
) -> str:
    """The sheet: what to read, how, what to expect, a line to write on; and what may go wrong."""
    word = partial(say, language=language, si=si)
    lines = [word("reading.title", heater=title), "", *textwrap.wrap(word("reading.care"), _WIDTH), ""]
    for number, reading in enumerate(readings, start=1):
        lines.append(f"{number:>2}. {word(reading.what)}: {expected_words(reading, si=si, language=language)}")
        for text in (word(reading.how), word("reading.because", why=reading.why)):
            lines += textwrap.wrap(text, _WIDTH, initial_indent="    ", subsequent_indent="    ")
        lines.append(f"    {word('reading.read')}: ______________")
    if symptoms:
        lines += ["", word("symptom.title"), ""]
    for symptom in symptoms:
        lines += textwrap.wrap(f"{word(symptom.what)}: {word(symptom.look)}", _WIDTH, subsequent_indent="    ")
    return "\n".join(lines)


def judged_words(reading: Reading, measured: float | None, *, language: str = "en") -> str:
    """What a measured value says of a reading; nothing where none was taken or there is no range."""
    if measured is None or (reading.low is None and reading.high is None):
        return ""
    return say("reading.holds" if reading.holds(measured) else "reading.fails", language=language)


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


def readings_dict(candidate_id: str, readings: Sequence[Reading]) -> dict[str, Any]:
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
            }
            for item in readings
        ],
    }
