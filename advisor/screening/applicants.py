"""A frame of applicants as typed arrays: every cell is a value, or missing, or could not be read.

A column is taken apart into its distinct spellings once; each spelling is read, and the rows take what it gave.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from typing import Any, NamedTuple

import numpy as np

from advisor.core.tables import load
from advisor.heaters.rating import draw_pattern_of
from advisor.screening.dictionary import Column, columns

_NUMBER = r"^\$?[+-]?((\d{1,3}(,\d{3})+|\d+)(\.\d*)?|\.\d+)([eE][+-]?\d{1,2})?$"
_DAY = r"^(\d{4}-\d{2}-\d{2})([T ]\d{1,2}:\d{2}(:\d{2}(\.\d+)?)?)?$"
_US_DAY = r"^\d{1,2}/\d{1,2}/\d{4}$"
_YES, _NO = ("yes", "y", "true", "t", "1"), ("no", "n", "false", "f", "0")
PATTERNS = ("very_small", "low", "medium", "high")
NO_DAY = np.datetime64("NaT", "D")


class Spellings(NamedTuple):
    """A column's distinct texts, trimmed, and which of them each row holds; -1 is an empty cell."""

    codes: np.ndarray
    texts: Any


class Words(NamedTuple):
    """Distinct words, and which of them each row holds; -1 is missing or could not be read."""

    codes: np.ndarray
    words: np.ndarray


class Applicants:
    """Typed columns of one frame of applicants.

    Parameters
    ----------
    table : pyarrow.Table
        Columns of text, plain or as dictionaries; other types are read as the text they print.
    """

    def __init__(self, table: Any) -> None:
        self.table = table
        self.n_rows: int = table.num_rows
        self.others: Mapping[str, Any] = {}
        self._kept: dict[Any, Any] = {}

    def keep(self, key: Any, make: Callable[[], Any]) -> Any:
        """What was worked out once for this frame."""
        if key not in self._kept:
            self._kept[key] = make()
        return self._kept[key]

    def spellings(self, name: str) -> Spellings:
        """A column taken apart; wholly empty where the frame has none of that name."""
        return self.keep(("spellings", name), lambda: _spellings(self.table, name))

    def number(self, name: str) -> np.ndarray:
        """Values of a number's column; NaN where missing or unread."""
        scale = self._scale(name)
        return self.keep(
            ("number", name), lambda: self._typed(name, lambda column, texts: _numbers(column, texts, scale), np.nan)
        )

    def _scale(self, name: str) -> float:
        """What the file's numbers are multiplied by; the frame carries it with the column."""
        if name not in self.table.column_names:
            return 1.0
        return float((self.table.schema.field(name).metadata or {}).get(b"scale", b"1"))

    def date(self, name: str) -> np.ndarray:
        """Days; not-a-time where missing or unread."""
        return self.keep(("date", name), lambda: self._typed(name, _days, NO_DAY))

    def flag(self, name: str) -> np.ndarray:
        """1, 0, or -1 where missing or unread."""
        return self.keep(("flag", name), lambda: self._typed(name, _flags, np.int8(-1)))

    def word(self, name: str) -> Words:
        """Words in small letters."""
        return self.keep(("word", name), lambda: self._draw_pattern() if name == "draw_pattern" else self._words(name))

    def among(self, name: str, wanted: tuple[str, ...]) -> np.ndarray:
        """Which rows hold one of some words."""
        codes, words = self.word(name)
        return np.append(np.isin(words, wanted), False)[codes]

    def given(self, name: str) -> np.ndarray:
        """Which rows have a value that could be read."""
        kind = columns()[name].kind
        if kind == "number":
            return ~np.isnan(self.number(name))
        if kind == "date":
            return ~np.isnat(self.date(name))
        if kind == "flag":
            return self.flag(name) >= 0
        return self.word(name).codes >= 0 if kind == "word" else self.written(name)

    def written(self, name: str) -> np.ndarray:
        """Which rows have anything in the cell."""
        return self.spellings(name).codes >= 0

    def texts(self, name: str, rows: np.ndarray) -> Any:
        """The cells of some rows as they were written."""
        import pyarrow as pa

        codes, texts = self.spellings(name)
        return texts.take(pa.array(codes[rows], mask=codes[rows] < 0)).fill_null("")

    def _typed(self, name: str, read: Callable[[Column, Any], np.ndarray], missing: Any) -> np.ndarray:
        codes, texts = self.spellings(name)
        values = read(columns()[name], texts)
        # The last place is what a row without a cell takes: its code is -1.
        return np.append(values, np.array([missing], dtype=values.dtype))[codes]

    def draw_pattern_conflicts(self) -> np.ndarray:
        """Rows whose draw pattern is another than their rating selects."""
        return self.keep("conflicts", lambda: self._rated_pattern()[1])

    def _words(self, name: str) -> Words:
        codes, texts = self.spellings(name)
        read = _words_of(columns()[name], texts)
        words, index = np.unique(read.astype(str), return_inverse=True)
        index = np.where(words[index] == "", -1, index) if len(words) else index
        return Words(np.append(index, -1)[codes].astype(np.int32), words.astype(object))

    def _draw_pattern(self) -> Words:
        return self._rated_pattern()[0]

    def _rated_pattern(self) -> tuple[Words, np.ndarray]:
        """The draw pattern, from the rating where the cell is empty, and where the two disagree."""
        written, words = self._words("draw_pattern")
        at = np.array([PATTERNS.index(word) if word in PATTERNS else -1 for word in words] + [-1])[written]
        is_tankless = self.among("new_technology", ("gas_tankless", "electric_tankless"))
        by_flow, by_hour = _patterns(self.number("max_gpm"), False), _patterns(self.number("first_hour_gal"), True)
        rated = np.where(is_tankless, by_flow, by_hour)
        conflict = (rated >= 0) & (at >= 0) & (at != rated)
        codes = np.where(conflict, -1, np.where(at >= 0, at, rated)).astype(np.int32)
        return Words(codes, np.array(PATTERNS, dtype=object)), conflict


def _patterns(ratings: np.ndarray, is_storage: bool) -> np.ndarray:
    """Numbers of the draw patterns that ratings select; -1 where there is no rating."""
    distinct, index = np.unique(ratings, return_inverse=True)
    known = ~np.isnan(distinct)
    codes = np.full(len(distinct), -1)
    codes[known] = [PATTERNS.index(word) for word in draw_pattern_of(distinct[known], is_storage=is_storage)]
    return codes[index]


def _spellings(table: Any, name: str) -> Spellings:
    import pyarrow as pa
    import pyarrow.compute as pc

    if name not in table.column_names:
        return Spellings(np.full(table.num_rows, -1, dtype=np.int32), pa.array([], pa.string()))
    column = table[name].combine_chunks()
    if isinstance(column, pa.ChunkedArray):
        column = column.chunk(0) if column.num_chunks else pa.array([], column.type)
    if not pa.types.is_dictionary(column.type):
        if pa.types.is_timestamp(column.type):
            column = column.cast(pa.date32())
        column = column.cast(pa.string()).dictionary_encode()
    codes = column.indices.fill_null(-1).to_numpy(zero_copy_only=False).astype(np.int32)
    texts = pc.utf8_trim_whitespace(column.dictionary.cast(pa.string()))
    is_empty = pc.equal(pc.utf8_length(texts), 0).fill_null(True).to_numpy(zero_copy_only=False)
    if is_empty.any():
        codes = np.where(np.append(is_empty, True)[codes], np.int32(-1), codes)
    return Spellings(codes, texts.fill_null(""))


def _numbers(column: Column, texts: Any, scale: float) -> np.ndarray:
    import pyarrow as pa
    import pyarrow.compute as pc

    fits = pc.match_substring_regex(texts, _NUMBER)
    plain = pc.replace_substring_regex(pc.if_else(fits, texts, None), r"[$,+]", "")
    values = np.array(pc.cast(plain, pa.float64()).to_numpy(zero_copy_only=False), dtype=float)
    if scale != 1.0:
        values = np.round(values * scale, 6)
    least = -np.inf if column.least is None else column.least
    most = np.inf if column.most is None else column.most
    with np.errstate(invalid="ignore"):
        return np.where((values >= least) & (values <= most), values, np.nan)


def _days(column: Column, texts: Any) -> np.ndarray:
    """Of some hundred distinct spellings; the calendar is Python's own."""
    from datetime import date

    import pyarrow.compute as pc

    iso = pc.match_substring_regex(texts, _DAY).to_pylist()
    us = pc.match_substring_regex(texts, _US_DAY).to_pylist()
    found = np.full(len(texts), NO_DAY)
    for index in np.flatnonzero(np.array(iso, dtype=bool) | np.array(us, dtype=bool)):
        text = texts[int(index)].as_py()
        if us[index]:
            month, day, year = text.split("/")
            text = f"{year}-{int(month):02}-{int(day):02}"
        try:
            found[index] = np.datetime64(date.fromisoformat(text[:10]), "D")
        except ValueError:
            continue
    return found


def _flags(column: Column, texts: Any) -> np.ndarray:
    small = _small(texts)
    return np.where(np.isin(small, _YES), 1, np.where(np.isin(small, _NO), 0, -1)).astype(np.int8)


def _words_of(column: Column, texts: Any) -> np.ndarray:
    small = _small(texts)
    if not column.words:
        return small
    found = np.array([_aliases().get(word, word) for word in small], dtype=object)
    return np.where(np.isin(found, column.words), found, "")


def _small(texts: Any) -> np.ndarray:
    import pyarrow.compute as pc

    plain = pc.replace_substring_regex(pc.utf8_lower(texts), r"[ \-]+", "_")
    return np.array(plain.to_pylist(), dtype=object)


@cache
def _aliases() -> Mapping[str, str]:
    return {row["written"]: row["word"] for row in load("applicant_words").rows()}
