"""One sentence for the person at fault: what is wrong, where, and how to mend it.

A refusal is worded where it is raised, because a traceback or a notebook must read it too; its English words, blanks
unfilled, are the key under which the catalogues have them in another language.
"""

from __future__ import annotations

import string
from typing import Any

from advisor.core.findings import Finding, Value, finding


def _one_line(text: str) -> str:
    """A line break or a control character in somebody's key or value must not reach the terminal."""
    return "".join(letter if letter.isprintable() else " " for letter in text)


def _cut(text: str, letters: int) -> str:
    return text if len(text) <= letters else f"{text[: letters - 3]}..."


class _English(string.Formatter):
    """Fills the blanks of English words; ``report.words`` does it in any language."""

    def format_field(self, value: Any, format_spec: str) -> str:
        if isinstance(value, Finding):
            return str(dict(value.numbers).get("title") or _filled(value))
        if isinstance(value, tuple):
            return " and ".join(self.format_field(item, format_spec) for item in value)
        return value if isinstance(value, str) else format(value, format_spec)


def _filled(said: Finding) -> str:
    return _English().vformat(said.code, (), dict(said.numbers))


def _said(words: str, numbers: dict[str, Value]) -> Finding:
    """Words and what fills their blanks; words without numbers have no blanks, whatever they quote."""
    if not numbers:
        return Finding(words.replace("{", "{{").replace("}", "}}"))
    clean = {name: _one_line(value) if isinstance(value, str) else value for name, value in numbers.items()}
    return Finding(words, tuple(clean.items()))


class AdvisorError(Exception):
    """Anything the advisor refuses to do, said in a sentence a user can read.

    Parameters
    ----------
    words : str
        The sentence in English, with blanks as a message of the catalogues has them.
    **numbers
        What fills the blanks.
    """

    #: The same as data, for any language.
    finding: Finding

    def __init__(self, words: str, /, **numbers: Value) -> None:
        self.finding = _said(words, numbers)
        super().__init__(_one_line(_filled(self.finding)))


class InputError(AdvisorError, ValueError):
    """A value that somebody gave cannot be used.

    Parameters
    ----------
    field : str
        The key as the user wrote it, for example ``household.people``.
    value : object
        What was given.
    reason : str
        What is wrong with it, in English, without a full stop; it may have blanks.
    fix : str
        How to mend it, likewise.
    **numbers
        What fills the blanks of both.
    """

    def __init__(self, field: str, value: object, reason: str, fix: str, /, **numbers: Value) -> None:
        self.field, self.value, self._words = field, value, (reason, fix, numbers)
        why, mend = _said(reason, numbers), _said(fix, numbers)
        self.reason, self.fix = _filled(why), _filled(mend)
        where, given = _one_line(_cut(field, 80)), _shown(value)
        shown = f" = {_filled(given)}" if given else ""
        super().__init__(f"{where}{shown}: {self.reason}; {self.fix}.")
        self.finding = (
            finding("refusal.of_a_value", field=where, given=given, reason=why, fix=mend)
            if given
            else finding("refusal.of_a_key", field=where, reason=why, fix=mend)
        )

    def at(self, field: str) -> InputError:
        """The same refusal of another key: a part knows only its own."""
        reason, fix, numbers = self._words
        return InputError(field, self.value, reason, fix, **numbers)


def _shown(value: object) -> Finding | None:
    """A value in a length that a sentence can bear; None where there is none to show."""
    if value is None:
        return None
    try:
        text = repr(value) if isinstance(value, str) else str(value)
    except ValueError:  # Python writes no whole number of more than some thousand digits
        return Finding("a number of thousands of digits")
    return _said("{given}", {"given": _cut(" ".join(text.split()), 60)})


class OutOfRangeError(InputError):
    """A value lies outside the range for which a method was published."""


class UnsupportedCaseError(InputError):
    """A valid case that the advisor has no method for."""


class TableError(AdvisorError):
    """A table in ``data`` is damaged: file, row and column are named."""

    def __init__(self, file: str, reason: str, *, row: int | None = None, column: str | None = None) -> None:
        self.file, self.row, self.column, self.reason = file, row, column, reason
        where = file
        if row is not None:
            where += f", row {row}"
        if column is not None:
            where += f", column {column}"
        super().__init__(f"{where}: {reason}.")
