"""One sentence for the person at fault: what is wrong, where, and how to mend it."""


def _one_line(text: str) -> str:
    """A line break or a control character in somebody's key or value must not reach the terminal."""
    return "".join(letter if letter.isprintable() else " " for letter in text)


def _cut(text: str, letters: int) -> str:
    return text if len(text) <= letters else f"{text[: letters - 3]}..."


class AdvisorError(Exception):
    """Anything the advisor refuses to do, said in a sentence a user can read."""


class InputError(AdvisorError, ValueError):
    """A value that somebody gave cannot be used.

    Parameters
    ----------
    field : str
        The key as the user wrote it, for example ``household.people``.
    value : object
        What was given.
    reason : str
        What is wrong with it, without a full stop.
    fix : str
        How to mend it, without a full stop.
    """

    def __init__(self, field: str, value: object, reason: str, fix: str) -> None:
        self.field, self.value, self.reason, self.fix = field, value, reason, fix
        super().__init__(_one_line(f"{_cut(field, 80)}{self._shown(value)}: {reason}; {fix}."))

    @staticmethod
    def _shown(value: object) -> str:
        if value is None:
            return ""
        try:
            text = repr(value) if isinstance(value, str) else str(value)
        except ValueError:  # Python writes no whole number of more than some thousand digits
            text = "a number of thousands of digits"
        return f" = {_cut(' '.join(text.split()), 60)}"


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
