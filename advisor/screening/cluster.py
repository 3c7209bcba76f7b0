"""Beyond one machine: the same chunks and the same function, on a Dask cluster whose workers see the same files.

Decisions are handed to the cluster as they are to processes, and come back in order. Duplicates are found by a
shuffle: a data frame of keys, moved so that equal keys meet, resolved where they are.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from functools import partial
from typing import Any, NamedTuple

import numpy as np

from advisor.core.errors import InputError
from advisor.screening.applicants import Applicants
from advisor.screening.duplicates import FOUND, KEY, Ledger, records_of, resolve
from advisor.screening.keys import keys_of
from advisor.screening.reading import Source
from advisor.screening.records import Chunk
from advisor.screening.run import CHUNK_ROWS, Job, Worker, key_columns

_WAIT_S = 30


class Piece(NamedTuple):
    """Some rows whose keys are wanted: of the file, or of a history by the day of its column."""

    source: Source
    chunk: Chunk
    day: str
    is_history: bool


@contextmanager
def cluster(address: str) -> Iterator[Worker]:
    """A cluster's workers.

    Raises
    ------
    InputError
        Dask is not installed, or nobody answers.
    """
    try:
        from distributed import Client
    except ImportError as error:
        fix = "pip install 'water-heater-advisor[cluster]'"
        raise InputError("scheduler", address, "Dask is not installed here", fix) from error
    try:
        client = Client(address, timeout=_WAIT_S)
        client.wait_for_workers(1, timeout=_WAIT_S)
    except (OSError, TimeoutError, ValueError) as error:
        fix = "start a scheduler and workers, or leave --scheduler out"
        raise InputError("scheduler", address, "no cluster answers there", fix) from error
    with client:
        threads = sum(client.nthreads().values())
        yield Worker(client.get_executor(pure=False), 2 * threads)


def shuffle_others(
    job: Job,
    ledger: Ledger,
    history: tuple[Source, str] | None,
    chunks: Iterable[Chunk],
    progress: Callable[[int], None],
) -> None:
    """Find for every application the one before it and the last rebate, equal keys brought together by a shuffle.

    Parameters
    ----------
    ledger : Ledger
        Takes what is found, part by part.
    history : tuple of (Source, str) or None
        Rebates of the past, and the column of their days.
    """
    import dask
    from dask import dataframe

    shared = job.rule_set.shared()
    pieces = [Piece(job.source, chunk, "install_date", False) for chunk in chunks]
    n_rows = sum(piece.chunk.n_rows for piece in pieces)
    if history is not None:
        source, day = history
        pieces += [Piece(source, chunk, day, True) for chunk in source.chunks(CHUNK_ROWS)]
    if not n_rows:
        return
    keys = dataframe.from_map(partial(_keys_frame, shared=shared), pieces, meta=_frame(shared, {}, KEY))
    met = keys.shuffle("key")
    found = met.map_partitions(_found_frame, shared=shared, meta=_frame(shared, {}, FOUND))
    for part in found.to_delayed():
        (rows,) = dask.compute(part)
        for number, per in enumerate(shared):
            ledger.keep(per, _records(rows[rows["per"] == number], FOUND))
    progress(n_rows)


def _keys_frame(piece: Piece, shared: tuple[str, ...]) -> Any:
    frame = Applicants(piece.source.frame(piece.chunk, key_columns(shared, piece.day)).table)
    keys = keys_of(frame, piece.chunk.first_row, shared, piece.day)
    found = {per: records_of(one, is_history=piece.is_history) for per, one in keys.items()}
    return _frame(shared, found, KEY)


def _found_frame(keys: Any, shared: tuple[str, ...]) -> Any:
    found = {per: resolve(_records(keys[keys["per"] == number], KEY)) for number, per in enumerate(shared)}
    return _frame(shared, found, FOUND)


def _frame(shared: tuple[str, ...], records: dict[str, np.ndarray], kind: np.dtype) -> Any:
    """Records of each thing that is shared as one data frame."""
    import pyarrow as pa

    held = [(number, records[per]) for number, per in enumerate(shared) if per in records]
    of = np.concatenate(
        [np.full(len(rows), number, dtype=np.int64) for number, rows in held] or [np.empty(0, np.int64)]
    )
    rows = np.concatenate([rows for _, rows in held]) if held else np.empty(0, dtype=kind)
    names = kind.names or ()
    return pa.table({"per": of, **{name: np.ascontiguousarray(rows[name]) for name in names}}).to_pandas()


def _records(frame: Any, kind: np.dtype) -> np.ndarray:
    rows = np.empty(len(frame), dtype=kind)
    for name in kind.names or ():
        rows[name] = frame[name].to_numpy()
    return rows
