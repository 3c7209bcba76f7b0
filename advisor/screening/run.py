"""One machine: a file of any size, chunk by chunk, in one process or several, in memory that does not grow.

First the keys of all rows, where a rule asks for them; then the decisions, written in order. A chunk's text depends
on its rows alone, so neither its size nor who works it out changes a byte.
"""

from __future__ import annotations

import io
import os
import threading
import time
from collections import Counter, deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from advisor.report.words import template
from advisor.screening.applicants import Applicants
from advisor.screening.decide import decide, has_key
from advisor.screening.duplicates import Ledger, others_of
from advisor.screening.keys import Keys, keys_of
from advisor.screening.of_program import SHARED
from advisor.screening.reading import Source
from advisor.screening.records import Chunk
from advisor.screening.rules import RuleSet, parse_rules
from advisor.screening.totals import totals_of

CHUNK_ROWS = 25_000
_RISKY = r"^[ \n]*[=+\-@\t\r]"


@dataclass(frozen=True)
class Job:
    """What a process needs to know of a run.

    Parameters
    ----------
    source : Source
        The file.
    rules : bytes
        The rule set's file.
    language : str
        Of the sentences.
    parquet : str or None
        Folder for the decisions as Parquet too, a file a chunk.
    """

    source: Source
    rules: bytes
    language: str = "en"
    parquet: str | None = None

    @property
    def rule_set(self) -> RuleSet:
        """The rules, read once in a process."""
        return _rules(self.rules)


@lru_cache(maxsize=4)
def _rules(content: bytes) -> RuleSet:
    return parse_rules(content)


class Part(NamedTuple):
    """The text of a chunk's decisions and rejects, and its totals."""

    decisions: bytes
    rejects: bytes
    totals: Counter[tuple[str, ...]]


def key_columns(shared: tuple[str, ...], day: str = "install_date") -> tuple[str, ...]:
    """Columns that tell what applications share, when they came, and the day that counts."""
    return tuple(dict.fromkeys([*(name for per in shared for name in SHARED[per]), "received_date", day]))


def keys_of_chunk(job: Job, chunk: Chunk) -> dict[str, Keys]:
    """Keys of the rows of a chunk."""
    shared = job.rule_set.shared()
    frame = Applicants(job.source.frame(chunk, key_columns(shared)).table)
    return keys_of(frame, chunk.first_row, shared)


def decide_chunk(job: Job, chunk: Chunk, found: dict[str, np.ndarray]) -> Part:
    """Decisions of the rows of a chunk, as text."""
    frame = job.source.frame(chunk)
    decisions = decisions_of(job, frame.table, frame.unread, found, chunk.first_row)
    if job.parquet is not None:
        _write_parquet(decisions, Path(job.parquet), chunk.number)
    return Part(
        csv_bytes(decisions),
        rejects_bytes(frame.lines, frame.unread, chunk.first_row, job.language),
        totals_of(decisions),
    )


def _write_parquet(decisions: Any, folder: Path, number: int) -> None:
    """A chunk's decisions as a file that is whole once it bears its name."""
    from pyarrow import parquet

    folder.mkdir(parents=True, exist_ok=True)
    unfinished = folder / f".part-{number:06}"
    parquet.write_table(decisions, unfinished)
    unfinished.replace(folder / f"part-{number:06}.parquet")


def decisions_of(job: Job, table: Any, unread: dict[int, str], found: dict[str, np.ndarray], first_row: int) -> Any:
    """The decisions on a frame, each with the number of its row, and with what was found of other applications."""
    import pyarrow as pa

    applicants = Applicants(table)
    others = {per: others_of(rows, has_key(applicants, per), first_row) for per, rows in found.items()}
    reasons = {row: template(f"screening.not_read.{why}", job.language) for row, why in unread.items()}
    decisions = decide(table, job.rule_set, others, reasons, job.language)
    rows = pa.array(np.arange(first_row, first_row + decisions.num_rows))
    return decisions.add_column(0, "row", rows)


def csv_bytes(table: Any, *, header: bool = False) -> bytes:
    """A frame as CSV that no spreadsheet runs."""
    from pyarrow import csv as arrow_csv

    stream = io.BytesIO()
    arrow_csv.write_csv(_harmless(table), stream, arrow_csv.WriteOptions(include_header=header))
    return stream.getvalue()


def _harmless(table: Any) -> Any:
    """Text that a spreadsheet would run gets an apostrophe in front."""
    import pyarrow as pa
    import pyarrow.compute as pc

    for place, field in enumerate(table.schema):
        if not pa.types.is_string(field.type):
            continue
        risky = pc.match_substring_regex(table[field.name], _RISKY)
        if pc.any(risky).as_py():
            marked = pc.binary_join_element_wise("'", table[field.name], "")
            table = table.set_column(place, field, pc.if_else(risky, marked, table[field.name]))
    return table


def rejects_bytes(lines: dict[int, str], unread: dict[int, str], first_row: int, language: str) -> bytes:
    """The rows that could not be read, as they stand in the file."""
    import pyarrow as pa

    rows = sorted(unread)
    if not rows:
        return b""
    return csv_bytes(
        pa.table(
            {
                "row": pa.array([first_row + row for row in rows], pa.int64()),
                "reason": pa.array([template(f"screening.not_read.{unread[row]}", language) for row in rows]),
                "line": pa.array([lines[row] for row in rows], pa.string()),
            }
        )
    )


class Worker:
    """Runs tasks here, or in processes of its own; results come in the order of the tasks."""

    def __init__(self, executor: Executor | None, processes: int) -> None:
        self.executor, self.processes = executor, processes

    def map(self, task: Callable[..., Any], calls: Iterable[tuple[Any, ...]]) -> Iterator[tuple[tuple[Any, ...], Any]]:
        """Every call and its result, no more of them waiting than there are processes."""
        if self.executor is None:
            yield from ((call, task(*call)) for call in calls)
            return
        waiting: deque[tuple[tuple[Any, ...], Future[Any]]] = deque()
        for call in calls:
            waiting.append((call, self.executor.submit(task, *call)))
            if len(waiting) > self.processes:
                done, future = waiting.popleft()
                yield done, future.result()
        while waiting:
            done, future = waiting.popleft()
            yield done, future.result()


@contextmanager
def workers(processes: int) -> Iterator[Worker]:
    """Processes that end with this one, however it ends."""
    if processes <= 1:
        yield Worker(None, 1)
        return
    import multiprocessing

    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(
        processes, mp_context=context, initializer=_stay_with, initargs=(os.getpid(),)
    ) as executor:
        try:
            yield Worker(executor, processes)
        except BaseException:
            executor.shutdown(wait=False, cancel_futures=True)
            raise


def _stay_with(parent: int) -> None:
    """End this process when the one that started it is gone; one thread for arrays in each."""
    import pyarrow as pa

    pa.set_cpu_count(1)

    def watch() -> None:
        while os.getppid() == parent:
            time.sleep(0.5)
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


def find_others(
    job: Job, worker: Worker, ledger: Ledger, chunks: Iterable[Chunk], progress: Callable[[int], None]
) -> None:
    """Keys of all rows into the ledger, then what they tell."""
    calls = ((job, chunk) for chunk in chunks)
    for (_, chunk), keys in worker.map(keys_of_chunk, calls):
        ledger.add(keys)
        progress(chunk.n_rows)
    ledger.resolve()
