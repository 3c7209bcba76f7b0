"""A place that cannot be used, told twice: to whoever wrote a file, and in everyday words to whoever lives there."""

from __future__ import annotations

from advisor.core.errors import InputError, UnsupportedCaseError
from advisor.core.findings import Finding


class PlaceError(InputError):
    """A place that cannot be used.

    Parameters
    ----------
    field, value, reason, fix
        For the reader of a file, as of any ``InputError``.
    finding : Finding
        The same in everyday words, without the names of keys.
    choices : tuple of str
        What may have been meant, the likeliest first, each as it can be typed.
    """

    def __init__(
        self, field: str, value: object, reason: str, fix: str, *, finding: Finding, choices: tuple[str, ...] = ()
    ) -> None:
        super().__init__(field, value, reason, fix)
        self.finding, self.choices = finding, choices


class PlaceOutsideError(PlaceError, UnsupportedCaseError):
    """A real place of which too little is known here."""


def listed(names: tuple[str, ...] | list[str], last: str = "and") -> str:
    """Names as they are spoken, in English: for the reader of a file."""
    return f" {last} ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))
