"""A file of applicants, CSV or Parquet, as frames with the columns of the dictionary."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from advisor.core.errors import InputError
from advisor.screening.dictionary import columns
from advisor.screening.mapping import Reading
from advisor.screening.records import Chunk, chunks_of, ends_within

#: Why a row could not be taken apart; none of them quotes the row.
QUOTES, FIELDS, LETTERS = "quotes", "fields", "letters"
_MOST_HEADER_BYTES = 1_000_000
_BOM = b"\xef\xbb\xbf"


class Frame(NamedTuple):
    """Some rows of a file.

    Parameters
    ----------
    table : pyarrow.Table
        Columns of the dictionary as text; a row that could not be read is empty.
    unread : dict of int to str
        Number of a row within the frame to why it could not be read.
    lines : dict of int to str
        The same rows as they stand in the file.
    """

    table: Any
    unread: dict[int, str]
    lines: dict[int, str]


@dataclass(frozen=True)
class Source:
    """A file and how it is read; small enough to be sent to another process.

    Parameters
    ----------
    path : str
        The file in UTF-8, or in Parquet.
    headings : tuple of str
        Headings as they stand in the file.
    names : mapping
        Column to its heading, for those that the file has.
    scales : mapping
        Column to what its numbers are multiplied by.
    """

    path: str
    headings: tuple[str, ...]
    names: Mapping[str, str]
    scales: Mapping[str, float]
    delimiter: str = ","
    offset: int = 0
    is_parquet: bool = False
    wanted: tuple[str, ...] = field(default=())

    def chunks(self, chunk_rows: int) -> Iterator[Chunk]:
        """The rows of the file, so many at a time."""
        if self.is_parquet:
            yield from _parquet_chunks(self.path, chunk_rows)
        else:
            yield from chunks_of(Path(self.path), self.offset, self.delimiter, chunk_rows)

    def frame(self, chunk: Chunk, wanted: tuple[str, ...] | None = None) -> Frame:
        """The rows of a chunk, the columns wanted of it (those of the source if not said)."""
        wanted = tuple(name for name in (wanted or self.wanted) if name in self.names)
        if self.is_parquet:
            return Frame(
                self._named(_parquet_rows(self.path, chunk, [self.names[name] for name in wanted]), wanted), {}, {}
            )
        with Path(self.path).open("rb") as stream:
            stream.seek(chunk.offset)
            return self.parse(stream.read(chunk.length), chunk, wanted)

    def parse(self, content: bytes, chunk: Chunk, wanted: tuple[str, ...]) -> Frame:
        """The bytes of a chunk as a frame."""
        content = content if content.endswith(b"\n") else content + b"\n"
        unread = {row: QUOTES for _, _, row in chunk.cut if row >= 0}
        lines = {row: _text(content[begin:end]) for begin, end, row in chunk.cut if row >= 0}
        cuts = list(chunk.cut)
        kept = _without(content, cuts)
        try:
            kept.decode("utf-8")
        except UnicodeDecodeError:
            broken = _not_utf8(content, chunk, self.delimiter)
            unread |= dict.fromkeys(broken, LETTERS)
            lines |= {row: _text(content[begin:end]) for row, (begin, end) in broken.items()}
            cuts = sorted([*cuts, *((begin, end, row) for row, (begin, end) in broken.items())])
            kept = _without(content, cuts)
        table, refused = self._read(kept, wanted)
        shown = np.setdiff1d(np.arange(chunk.n_rows), np.array(sorted(unread), dtype=int), assume_unique=True)
        unread |= {int(shown[number]): FIELDS for number in refused}
        lines |= {int(shown[number]): text for number, text in refused.items()}
        if table.num_rows + len(unread) != chunk.n_rows:
            raise AssertionError(f"rows {chunk.first_row} and on: {chunk.n_rows} rows became {table.num_rows}")
        if unread:
            table = _spread(table, chunk.n_rows, unread)
        return Frame(self._named(table, wanted), unread, lines)

    def _read(self, content: bytes, wanted: tuple[str, ...]) -> tuple[Any, dict[int, str]]:
        import pyarrow as pa
        from pyarrow import csv as arrow_csv

        refused: dict[int, str] = {}

        def skip(row: Any) -> str:
            refused[row.number - 1] = row.text
            return "skip"

        # Two columns of one heading cannot be asked for by name: every place has a name of its own.
        places = [str(place) for place in range(len(self.headings))]
        at = [str(self.headings.index(self.names[name])) for name in wanted]
        spellings = pa.dictionary(pa.int32(), pa.string())
        if not content:
            return pa.table({place: pa.array([], spellings) for place in at}), refused
        table = arrow_csv.read_csv(
            pa.BufferReader(content),
            read_options=arrow_csv.ReadOptions(column_names=places, use_threads=False, block_size=len(content) + 1),
            parse_options=arrow_csv.ParseOptions(
                delimiter=self.delimiter,
                newlines_in_values=True,
                invalid_row_handler=skip,
                ignore_empty_lines=False,
            ),
            convert_options=arrow_csv.ConvertOptions(
                column_types=dict.fromkeys(places, spellings),
                include_columns=at or places[:1],
                strings_can_be_null=False,
            ),
        )
        return table, refused

    def _named(self, table: Any, wanted: tuple[str, ...]) -> Any:
        import pyarrow as pa

        table = (
            table.select(list(range(len(wanted))))
            if wanted
            else pa.table({"application_id": pa.nulls(table.num_rows, pa.string())})
        )
        names = wanted or ("application_id",)
        fields = []
        for name, one in zip(names, table.schema, strict=True):
            scale = {b"scale": str(self.scales[name]).encode()} if name in self.scales else None
            fields.append(pa.field(name, one.type, metadata=scale))
        return pa.table(table.columns, schema=pa.schema(fields))


def _without(content: bytes, cuts: list[tuple[int, int, int]]) -> bytes:
    if not cuts:
        return content
    kept, at = [], 0
    for begin, end, _ in cuts:
        kept.append(content[at:begin])
        at = end
    return b"".join([*kept, content[at:]])


def _text(line: bytes) -> str:
    return line.decode("utf-8", errors="replace").rstrip("\r\n")


def _not_utf8(content: bytes, chunk: Chunk, delimiter: str) -> dict[int, tuple[int, int]]:
    """Rows of a chunk whose bytes are no letters, with where they lie."""
    spans = list(_row_spans(content, chunk, delimiter))
    row_ends = [end for _, end in spans]
    skipped = {row for _, _, row in chunk.cut}
    at, found = 0, {}
    while at < len(content):
        try:
            content[at:].decode("utf-8")
            break
        except UnicodeDecodeError as error:
            number = int(np.searchsorted(row_ends, at + error.start, side="right"))
            if number >= len(spans):
                break
            if number not in skipped:
                found[number] = spans[number]
            at = spans[number][1]
    return found


def _row_spans(content: bytes, chunk: Chunk, delimiter: str) -> Iterator[tuple[int, int]]:
    """Begin and end of every row of a chunk that is not an empty line."""
    ends, _ = ends_within(content, delimiter)
    starts = [0, *ends[:-1]]
    empty = {begin for begin, _, row in chunk.cut if row < 0}
    for begin, end in zip(starts, ends, strict=True):
        if begin not in empty:
            yield begin, end


def _spread(table: Any, n_rows: int, unread: Mapping[int, str]) -> Any:
    """The rows that were read in their places, and empty ones between them."""
    import pyarrow as pa

    is_read = np.ones(n_rows, dtype=bool)
    is_read[list(unread)] = False

    def spread(column: Any) -> Any:
        # Of spellings, only their numbers move: several times faster than taking the rows.
        told = column.chunk(0) if column.num_chunks == 1 else column.combine_chunks()
        at = np.zeros(n_rows, dtype=np.int32)
        at[is_read] = told.indices.to_numpy()
        return pa.DictionaryArray.from_arrays(pa.array(at, mask=~is_read), told.dictionary)

    return pa.table([spread(column) for column in table.columns], names=table.column_names)


def open_source(path: str | Path, reading: Reading, wanted: tuple[str, ...], work: Path) -> Source:
    """Look at a file's headings.

    Parameters
    ----------
    path : str or Path
        CSV or Parquet; a folder of Parquet files too.
    reading : Reading
        How it is written.
    wanted : tuple of str
        Columns that are read.
    work : Path
        Folder for a copy in UTF-8, where the file is written otherwise.

    Raises
    ------
    InputError
        It cannot be read, is empty, or has a heading twice.
    """
    path = Path(path)
    try:
        is_parquet = path.is_dir() or _begin(path) == b"PAR1"
    except OSError as error:
        raise InputError("applicants", str(path), "this file cannot be read", "name a CSV or Parquet file") from error
    if is_parquet:
        headings = _parquet_headings(path)
        return _source(str(path), headings, reading, wanted, is_parquet=True)
    path = _in_utf8(path, reading, work)
    with path.open("rb") as stream:
        head = stream.read(_MOST_HEADER_BYTES)
    offset, headings = _header(head, reading.delimiter)
    return _source(str(path), headings, reading, wanted, offset=offset)


def headings_of(path: Path, reading: Reading) -> tuple[str, ...]:
    """Headings of a file, as they stand in it."""
    if _begin(path) == b"PAR1":
        return _parquet_headings(path)
    with path.open("rb") as stream:
        return _header(stream.read(_MOST_HEADER_BYTES), reading.delimiter)[1]


def _begin(path: Path) -> bytes:
    with path.open("rb") as stream:
        return stream.read(4)


def _source(path: str, headings: tuple[str, ...], reading: Reading, wanted: tuple[str, ...], **how: Any) -> Source:
    names = {name: reading.heading_of(name) for name in columns() if reading.heading_of(name) in headings}
    for name, heading in reading.headings.items():
        if heading not in headings:
            raise InputError(f"columns.{name}", heading, "the file has no such heading", f"it has {_some(headings)}")
    for name, heading in names.items():
        if headings.count(heading) > 1:
            raise InputError(name, heading, "two columns of the file bear this heading", "rename one of them")
    if not names:
        raise InputError("applicants", None, f"no heading of the file is a column: {_some(headings)}", "give a mapping")
    return Source(
        # Whole, because another process or machine may stand elsewhere.
        str(Path(path).absolute()),
        headings,
        names,
        reading.scales(),
        reading.delimiter,
        wanted=tuple(n for n in columns() if n in wanted),
        **how,
    )


def _some(headings: tuple[str, ...]) -> str:
    return ", ".join(headings[:8]) + (" and more" if len(headings) > 8 else "")


def _in_utf8(path: Path, reading: Reading, work: Path) -> Path:
    """The file, or a copy of it in UTF-8; letters that are none in its encoding become a question mark of their own."""
    if reading.encoding.lower().replace("_", "-") in {"utf-8", "utf8", "utf-8-sig", "ascii"}:
        return path
    work.mkdir(parents=True, exist_ok=True)
    copy = work / "applicants-utf-8.csv"
    with (
        path.open(encoding=reading.encoding, errors="replace", newline="") as source,
        copy.open("w", encoding="utf-8", newline="") as out,
    ):
        while text := source.read(1_000_000):
            out.write(text)
    return copy


def _header(head: bytes, delimiter: str) -> tuple[int, tuple[str, ...]]:
    """Where the first row begins, and the headings."""
    skipped = len(_BOM) if head.startswith(_BOM) else 0
    if head[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise InputError("applicants", None, "the file is not in UTF-8", 'write encoding = "utf-16" in a mapping')
    while head[skipped : skipped + 1] in (b"\n", b"\r"):
        skipped += 1
    end = skipped
    while True:
        end = head.find(b"\n", end) + 1
        if not end:
            end = len(head)
            break
        if head[skipped:end].count(b'"') % 2 == 0:
            break
    try:
        line = head[skipped:end].decode("utf-8")
        headings = next(csv.reader(io.StringIO(line), delimiter=delimiter, strict=True), [])
    except (UnicodeDecodeError, csv.Error) as error:
        raise InputError(
            "applicants", None, "the headings in the first line cannot be read", "mend the first line"
        ) from error
    if not any(heading.strip() for heading in headings):
        raise InputError(
            "applicants", None, "the file has no headings", "write the names of the columns into its first line"
        )
    return end, tuple(heading.strip() for heading in headings)


def parquet_files(path: Path) -> list[Path]:
    """The files of a folder of Parquet, in order of their names; or the one file itself."""
    return sorted(path.glob("*.parquet")) if path.is_dir() else [path]


def _parquet_headings(path: Path) -> tuple[str, ...]:
    import pyarrow as pa
    from pyarrow import parquet

    try:
        found = [tuple(parquet.read_schema(file).names) for file in parquet_files(path)]
    except (pa.ArrowInvalid, OSError) as error:
        raise InputError("applicants", str(path), "this is no whole Parquet file", "write it again") from error
    if not found:
        raise InputError("applicants", str(path), "the folder holds no Parquet files", "name another")
    if any(set(one) != set(found[0]) for one in found):
        raise InputError("applicants", str(path), "its files have different columns", "write them alike")
    return found[0]


def _parquet_chunks(path: str, chunk_rows: int) -> Iterator[Chunk]:
    """No chunk runs from one file into the next."""
    from pyarrow import parquet

    number, first_row = 0, 1
    for place, file in enumerate(parquet_files(Path(path))):
        n_rows = parquet.read_metadata(file).num_rows
        for first in range(0, n_rows, chunk_rows):
            count = min(chunk_rows, n_rows - first)
            yield Chunk(number, first, place, first_row, count, ())
            number, first_row = number + 1, first_row + count


def _parquet_rows(path: str, chunk: Chunk, headings: list[str]) -> Any:
    """The rows of a chunk: the row groups that hold them, cut to size."""
    import pyarrow as pa
    from pyarrow import parquet

    file = parquet.ParquetFile(parquet_files(Path(path))[chunk.length])
    first, last, at, parts = chunk.offset, chunk.offset + chunk.n_rows, 0, []
    for group in range(file.num_row_groups):
        n_rows = file.metadata.row_group(group).num_rows
        begin, end = max(first - at, 0), min(last - at, n_rows)
        if begin < end:
            parts.append(file.read_row_group(group, columns=headings).select(headings).slice(begin, end - begin))
        at += n_rows
    return pa.concat_tables(parts)
