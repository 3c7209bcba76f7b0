"""The commissioning sheet as text to fill in by hand, and as plain data."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

from advisor.core.units import UNITS, show
from advisor.house.commissioning import Reading

_WIDTH = 100
_CARE = (
    "For a licensed installer. The rating plate, the maker's instructions and local code overrule every value here."
    " Smell gas? Stop, leave, and phone the gas company from outside."
)


def readings_text(title: str, readings: Sequence[Reading], *, si: bool = False) -> str:
    """The sheet: what to read, how, what to expect, and a line to write on."""
    lines = [f"Readings when it runs: {title}", "", *textwrap.wrap(_CARE, _WIDTH), ""]
    for number, reading in enumerate(readings, start=1):
        lines.append(f"{number:>2}. {reading.what}: {expected_words(reading, si=si)}")
        for text in (reading.how, f"Why: {reading.why}."):
            lines += textwrap.wrap(text, _WIDTH, initial_indent="    ", subsequent_indent="    ")
        lines.append("    read: ______________")
    return "\n".join(lines)


def expected_words(reading: Reading, *, si: bool) -> str:
    """What the reading should show, in words with units."""
    if reading.low is None and reading.high is None:
        return "write it down" if reading.expected is None else f"about {show(reading.expected, reading.suffix, si=si)}"
    low = None if reading.low is None else show(reading.low, reading.suffix, si=si)
    high = None if reading.high is None else show(reading.high, reading.suffix, si=si)
    if low is not None and high is not None:
        span = f"{low} to {high}"
    else:
        span = f"at least {low}" if low is not None else f"at most {high}"
    return span if reading.expected is None else f"about {show(reading.expected, reading.suffix, si=si)} ({span})"


def readings_dict(candidate_id: str, readings: Sequence[Reading]) -> dict[str, Any]:
    """The sheet as plain data."""
    return {
        "candidate": candidate_id,
        "readings": [
            {
                "what": item.what,
                "how": item.how,
                "expected": item.expected,
                "low": item.low,
                "high": item.high,
                "unit": UNITS[item.suffix].label,
                "why": item.why,
            }
            for item in readings
        ],
    }
