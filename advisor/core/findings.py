"""What was found, as data: a code, its numbers, how grave it is and where that is written.

Nothing below the report makes sentences. A check returns findings; ``report.words`` turns a code and its numbers into
a sentence of either language, from the message catalogues in ``assets/locale``.
"""

from __future__ import annotations

from enum import IntEnum
from typing import NamedTuple, Union

#: What may fill a blank: a number, a name that somebody typed, another finding that is worded where it stands, a list.
Value = Union[float, int, str, "Finding", tuple["Value", ...]]


class Severity(IntEnum):
    """How much a finding weighs; the gravest of several governs."""

    #: As it should be, or good to know.
    NOTE = 0
    #: It takes work, care or a professional's look.
    CARE = 1
    #: It cannot be.
    STOP = 2


class Finding(NamedTuple):
    """One thing that was found; a tuple, because a comparison makes some thousands of them.

    Parameters
    ----------
    code : str
        Key of the message catalogues, such as ``vent.run.too_long``.
    numbers : tuple of (str, value)
        What fills the blanks of the message, each name with its unit: ``("limit_ft", 65.0)``.
    severity : Severity
        How much it weighs.
    citation : str
        Section of a code or publication, or nothing.
    """

    code: str
    numbers: tuple[tuple[str, Value], ...] = ()
    severity: Severity = Severity.NOTE
    citation: str = ""

    def number(self, name: str) -> Value:
        """One of the numbers, by its name."""
        return dict(self.numbers)[name]


def finding(code: str, severity: Severity = Severity.NOTE, citation: str = "", **numbers: Value) -> Finding:
    """A finding, its numbers given by name."""
    return Finding(code, tuple(numbers.items()), severity, citation)


def plain(text: str | Finding) -> Finding:
    """A sentence that is still made in English where it was found; a finding stays what it is."""
    return text if isinstance(text, Finding) else finding("plain", text=text)


def note(code: str, citation: str = "", **numbers: Value) -> Finding:
    """As it should be, or good to know."""
    return Finding(code, tuple(numbers.items()), Severity.NOTE, citation)


def care(code: str, citation: str = "", **numbers: Value) -> Finding:
    """It takes work, care or a professional's look."""
    return Finding(code, tuple(numbers.items()), Severity.CARE, citation)


def stop(code: str, citation: str = "", **numbers: Value) -> Finding:
    """It cannot be."""
    return Finding(code, tuple(numbers.items()), Severity.STOP, citation)
