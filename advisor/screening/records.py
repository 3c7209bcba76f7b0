"""Where the rows of a CSV file begin and end, in blocks of any size, with the rows that no reader could take apart.

A row is a line, or several where a quoted field holds line ends. A quote stands at the beginning of a field and its
partner at the end; a line whose quotes do not pair is a row that cannot be read, and the next line is a row again: one
stray quote costs one row, not the rest of the file.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np

#: A quoted field that runs over more lines than these has lost its closing quote.
MOST_LINES = 50
_BLOCK_BYTES = 8_000_000
_NEWLINE, _RETURN, _QUOTE = 10, 13, 34


class Chunk(NamedTuple):
    """Some rows of a file, told by where they lie.

    Parameters
    ----------
    number, offset, length : int
        Which chunk it is, and its bytes in the file; of Parquet, its first row within its file and the file's number.
    first_row, n_rows : int
        Number of its first row in the file, counted from 1, and how many there are.
    cut : tuple of (int, int, int)
        Bytes, counted from the chunk's own begin, that no reader is shown: begin, end, and the number of the row within
        the chunk that cannot be read, or -1 for an empty line.
    """

    number: int
    offset: int
    length: int
    first_row: int
    n_rows: int
    cut: tuple[tuple[int, int, int], ...]


def chunks_of(path: Path, offset: int, delimiter: str, chunk_rows: int) -> Iterator[Chunk]:
    """The rows of a file from some byte on, so many at a time.

    Parameters
    ----------
    path : Path
        The file.
    offset : int
        Where the first row begins.
    delimiter : str
        Between fields.
    chunk_rows : int
        Rows of every chunk but the last.
    """
    number, first_row, begin = 0, 1, offset
    ends: list[np.ndarray] = []
    kinds: list[np.ndarray] = []
    waiting = 0
    for block_ends, block_kinds in _rows(path, offset, ord(delimiter)):
        ends.append(block_ends)
        kinds.append(block_kinds)
        waiting += int(np.count_nonzero(block_kinds != _EMPTY))
        while waiting >= chunk_rows:
            all_ends, all_kinds = np.concatenate(ends), np.concatenate(kinds)
            last = int(np.flatnonzero(np.cumsum(all_kinds != _EMPTY) == chunk_rows)[0]) + 1
            yield _chunk(number, begin, first_row, all_ends[:last], all_kinds[:last])
            number, first_row, begin = number + 1, first_row + chunk_rows, int(all_ends[last - 1])
            ends, kinds, waiting = [all_ends[last:]], [all_kinds[last:]], waiting - chunk_rows
    if ends and waiting:
        yield _chunk(number, begin, first_row, np.concatenate(ends), np.concatenate(kinds))


def _chunk(number: int, begin: int, first_row: int, ends: np.ndarray, kinds: np.ndarray) -> Chunk:
    starts = np.concatenate([[begin], ends[:-1]]) - begin
    rows = np.cumsum(kinds != _EMPTY) - 1
    cut = tuple(
        (int(starts[one]), int(ends[one]) - begin, int(rows[one]) if kinds[one] == _BROKEN else -1)
        for one in np.flatnonzero(kinds != _GOOD)
    )
    return Chunk(number, begin, int(ends[-1]) - begin, first_row, int(rows[-1]) + 1, cut)


_GOOD, _BROKEN, _EMPTY = 0, 1, 2


def _rows(path: Path, offset: int, delimiter: int) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    """Where rows end, as bytes of the file, and what they are; block by block."""
    with path.open("rb") as stream:
        stream.seek(offset)
        begin, rest = offset, b""
        while True:
            block = stream.read(_BLOCK_BYTES)
            text = rest + block if rest else block
            if not block and text and not text.endswith(b"\n"):
                text += b"\n"
            ends, broken = _ends(text, delimiter, is_last=not block)
            if len(ends):
                starts = np.concatenate([[0], ends[:-1]])
                yield ends + begin, _kinds(text, starts, ends, broken)
                rest, begin = text[int(ends[-1]) :], begin + int(ends[-1])
            else:
                rest = text
            if not block:
                return


def _kinds(text: bytes, starts: np.ndarray, ends: np.ndarray, broken: np.ndarray) -> np.ndarray:
    letters = np.frombuffer(text, dtype=np.uint8)
    lengths = ends - starts
    is_empty = (lengths == 1) | ((lengths == 2) & (letters[starts] == _RETURN))
    return np.where(is_empty, _EMPTY, np.where(broken, _BROKEN, _GOOD)).astype(np.int8)


def _ends(text: bytes, delimiter: int, *, is_last: bool) -> tuple[np.ndarray, np.ndarray]:
    """Ends of the rows of a block, and which of them are broken; what is not settled yet is left to the next block."""
    letters = np.frombuffer(text, dtype=np.uint8)
    lines = np.flatnonzero(letters == _NEWLINE)
    if b'"' not in text:
        return lines + 1, np.zeros(len(lines), dtype=bool)
    quotes = np.flatnonzero(letters == _QUOTE)
    broken_lines: list[int] = []
    done = 0
    while True:
        wrong = _first_wrong(letters, quotes[done:], lines, delimiter, is_last)
        if wrong is None:
            break
        at = int(quotes[done:][wrong])
        line = int(np.searchsorted(lines, at))
        if line >= len(lines):
            break
        # The row begins after the last line end outside of quotes; its quotes are not looked at again.
        parity = np.searchsorted(quotes[: done + wrong], lines[:line]) % 2
        first = int(np.flatnonzero(parity == 0)[-1]) + 1 if (parity == 0).any() else 0
        before, after = np.searchsorted(quotes, (int(lines[first - 1]) if first else -1, int(lines[line])))
        quotes, done = np.concatenate([quotes[: int(before)], quotes[int(after) :]]), int(before)
        broken_lines += range(first, line + 1)
    inside = np.searchsorted(quotes, lines) % 2 == 1
    ends = lines[~inside]
    if not is_last and len(quotes) % 2 and len(ends):
        # The last field is still open: its row begins after the last line end outside.
        opened = int(quotes[-1])
        ends = ends[ends < opened]
    broken = np.isin(ends, lines[np.array(broken_lines, dtype=int)])
    return ends + 1, broken


def _first_wrong(
    letters: np.ndarray, quotes: np.ndarray, lines: np.ndarray, delimiter: int, is_last: bool
) -> int | None:
    """Number of the first opening quote whose field is not written as it must be."""
    opening, closing = quotes[0::2], quotes[1::2]
    if not len(opening):
        return None
    before = letters[np.maximum(opening - 1, 0)]
    opens = (opening == 0) | (before == delimiter) | (before == _NEWLINE) | (before == _QUOTE)
    # A quote right after another is the second of a pair within a field only where that one closed it.
    paired = len(closing)
    follows = np.concatenate([[False], opening[1:] == closing[: len(opening) - 1] + 1]) if paired else np.zeros(1, bool)
    opens &= (before != _QUOTE) | follows[: len(opening)] | (opening == 0)
    after = letters[np.minimum(closing + 1, len(letters) - 1)]
    at_end = closing + 1 >= len(letters)
    closes = at_end | (after == delimiter) | (after == _NEWLINE) | (after == _RETURN) | (after == _QUOTE)
    spans = np.searchsorted(lines, closing) - np.searchsorted(lines, opening[:paired])
    closes &= spans <= MOST_LINES
    wrong = ~opens
    wrong[:paired] |= ~closes
    found = np.flatnonzero(wrong)
    if len(found):
        return int(found[0]) * 2
    if len(opening) > paired:
        lines_after = len(lines) - int(np.searchsorted(lines, opening[-1]))
        if is_last or lines_after > MOST_LINES:
            return (len(opening) - 1) * 2
    return None


def ends_within(content: bytes, delimiter: str) -> tuple[list[int], list[bool]]:
    """Ends of the rows of a whole chunk, and which are broken."""
    ends, broken = _ends(content, ord(delimiter), is_last=True)
    return ends.tolist(), broken.tolist()
