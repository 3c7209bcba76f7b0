"""A whole run with its record: what went in, by hash; what came out; and whether it comes out again."""

from __future__ import annotations

import hashlib
import json
import platform
import shutil
import tempfile
import time
from collections.abc import Callable, Collection, Iterable
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager
from dataclasses import dataclass
from itertools import tee
from pathlib import Path
from typing import Any

from advisor import __version__
from advisor.core import paths, tables
from advisor.core.errors import InputError
from advisor.screening.applicants import Applicants
from advisor.screening.decide import columns_read
from advisor.screening.duplicates import Ledger
from advisor.screening.keys import keys_of
from advisor.screening.mapping import Reading, read_mapping
from advisor.screening.output import DECISIONS, PARQUET, REJECTS, Staged, refuse_bad_folder, sha256_of, staging_folder
from advisor.screening.reading import Source, open_source
from advisor.screening.records import Chunk
from advisor.screening.rules import RuleSet, parse_rules
from advisor.screening.run import (
    CHUNK_ROWS,
    Job,
    Worker,
    csv_bytes,
    decide_chunk,
    decisions_of,
    find_others,
    key_columns,
    workers,
)
from advisor.screening.totals import summary

_REJECTS_HEADER = b'"row","reason","line"\n'
#: A smaller file is done before other processes have started.
_SMALL_BYTES = 8_000_000
#: A rebate of the past: the day on which it was paid stands where a heater's day of installation would.
PAID = "prior_rebate_date"


@dataclass(frozen=True)
class Order:
    """What somebody wants screened.

    Parameters
    ----------
    applicants, rules : Path
        The file and the rule set.
    out : Path
        The folder of the output.
    history, mapping : Path or None
        Rebates of the past, and how the file is read.
    processes : int or None
        How many work at once; two, and one for a small file, if not said.
    scheduler : str or None
        Address of a Dask scheduler, where a cluster is to work.
    parquet : bool
        The decisions as a folder of Parquet files too.
    """

    applicants: Path
    rules: Path
    out: Path
    history: Path | None = None
    mapping: Path | None = None
    chunk_rows: int = CHUNK_ROWS
    processes: int | None = None
    resume: bool = False
    scheduler: str | None = None
    parquet: bool = False
    language: str = "en"


def screen(order: Order, progress: Callable[[str, int], None] = lambda stage, rows: None) -> dict[str, Any]:
    """Screen a file into a folder.

    Parameters
    ----------
    order : Order
        What is wanted.
    progress : callable
        Told the stage and how many more rows are done.

    Returns
    -------
    dict
        The record, as it stands in the folder.

    Raises
    ------
    InputError
        A file that cannot be read, or a rule set that is not one.
    """
    begun = time.perf_counter()
    if order.chunk_rows < 1:
        raise InputError("chunk-rows", order.chunk_rows, "a chunk has at least one row", "write 1 or more")
    rules, job = prepare(order)
    shared = rules.shared()
    ledger_folder = Path(tempfile.mkdtemp(prefix="keys-", dir=staging_folder(order.out)))
    try:
        with ThreadPoolExecutor(1) as hashing, working_on(order) as worker:
            hashes = hashing.submit(_input_hashes, order)
            ledger = Ledger(ledger_folder)
            for_keys, for_decisions = tee(job.source.chunks(order.chunk_rows))  # the rows are found once
            find_all_others(order, job, worker, ledger, for_keys, lambda rows: progress("keys", rows))
            inputs = hashes.result()
            staged = Staged(order.out, _job_hash(inputs, order), resume=order.resume)
            staged.begin({DECISIONS: _header(job), REJECTS: _REJECTS_HEADER})
            _decide_all(job, worker, ledger, staged, for_decisions, shared, progress)
    finally:
        shutil.rmtree(ledger_folder, ignore_errors=True)
    (staging_folder(order.out) / "applicants-utf-8.csv").unlink(missing_ok=True)
    record = _record(order, rules, job.source, inputs, staged, worker.processes)
    return staged.finish(record | {"seconds": round(time.perf_counter() - begun, 3)})


def working_on(order: Order) -> AbstractContextManager[Worker]:
    """Who works: a cluster, two processes, or this one alone for a small file."""
    if order.scheduler:
        from advisor.screening.cluster import cluster

        return cluster(order.scheduler)
    small = order.applicants.is_file() and order.applicants.stat().st_size < _SMALL_BYTES
    return workers(order.processes or (1 if small else 2))


def find_all_others(
    order: Order,
    job: Job,
    worker: Worker,
    ledger: Ledger,
    chunks: Iterable[Chunk],
    progress: Callable[[int], None] = lambda rows: None,
) -> None:
    """The applications before, if a rule asks: by a shuffle on a cluster, in files on one machine."""
    shared = job.rule_set.shared()
    if not shared:
        return
    history = _history(order.history, shared) if order.history else None
    if order.scheduler:
        from advisor.screening.cluster import shuffle_others

        shuffle_others(job, ledger, (history, PAID) if history else None, chunks, progress)
        return
    if history is not None:
        for chunk in history.chunks(CHUNK_ROWS):
            frame = Applicants(history.frame(chunk).table)
            ledger.add(keys_of(frame, chunk.first_row, shared, PAID), is_history=True)
    find_others(job, worker, ledger, chunks, progress)


def prepare(order: Order) -> tuple[RuleSet, Job]:
    """Read the rules and look at the file, before anything is written."""
    try:
        content = order.rules.read_bytes()
    except OSError as error:
        raise InputError("rules", str(order.rules), "this file cannot be read", "name a rule set in TOML") from error
    rules = parse_rules(content)
    reading = read_mapping(order.mapping) if order.mapping else Reading()
    refuse_bad_folder(order.out)
    source = open_source(order.applicants, reading, columns_read(rules), staging_folder(order.out))
    parquet = str(staging_folder(order.out) / PARQUET) if order.parquet else None
    return rules, Job(source, content, order.language, parquet)


def _decide_all(
    job: Job,
    worker: Worker,
    ledger: Ledger,
    staged: Staged,
    chunks: Iterable[Chunk],
    shared: tuple[str, ...],
    progress: Callable[[str, int], None],
) -> None:
    done = staged.n_parts

    def calls() -> Any:
        for chunk in chunks:
            if chunk.number >= done:
                yield job, chunk, {per: ledger.found(per, chunk.first_row, chunk.n_rows) for per in shared}

    for (_, chunk, _), part in worker.map(decide_chunk, calls()):
        staged.add(*part)
        progress("decisions", chunk.n_rows)


def _header(job: Job) -> bytes:
    """Names of the output's columns, from the decisions on nobody."""
    import pyarrow as pa

    empty = pa.table({name: pa.array([], pa.string()) for name in job.source.wanted})
    return csv_bytes(decisions_of(job, empty, {}, {}, 1), header=True)


def _history(path: Path, shared: tuple[str, ...]) -> Source:
    """Rebates of the past: the same keys, and the day on which each was paid."""
    source = open_source(path, Reading(), key_columns(shared, PAID), staging_folder(path))
    if PAID not in source.names:
        raise InputError("history", str(path), f"it has no column {PAID}", "name the day of each rebate so")
    return source


def _input_hashes(order: Order) -> dict[str, str]:
    given = {"applicants": order.applicants, "rules": order.rules, "history": order.history, "mapping": order.mapping}
    return {name: sha256_of(path) for name, path in given.items() if path is not None}


def _job_hash(inputs: dict[str, str], order: Order) -> str:
    how = [order.chunk_rows, order.language, order.parquet]
    said = json.dumps([inputs, __version__, how, _table_hashes()], sort_keys=True)
    return hashlib.sha256(said.encode()).hexdigest()


def _table_hashes() -> dict[str, str]:
    """Every table that a decision could rest on."""
    return {name: sha256_of(paths.DATA / f"{name}.csv") for name in tables.names()}


def _record(
    order: Order, rules: RuleSet, source: Source, inputs: dict[str, str], staged: Staged, processes: int
) -> dict[str, Any]:
    import numpy
    import pyarrow

    totals = summary(staged.totals, rules.budget_usd)
    given = {"applicants": order.applicants, "rules": order.rules, "history": order.history, "mapping": order.mapping}
    return {
        "advisor": __version__,
        "versions": {"python": platform.python_version(), "numpy": numpy.__version__, "pyarrow": pyarrow.__version__},
        "rule_set": {"id": rules.id, "version": rules.version, "title": rules.title, "program": rules.program},
        "inputs": {
            name: {"path": str(path.absolute()), "sha256": inputs[name]}
            for name, path in given.items()
            if path is not None
        },
        "tables": _table_hashes(),
        "seed": None,
        "language": order.language,
        "chunk_rows": order.chunk_rows,
        "engine": "dask" if order.scheduler else "one machine",
        "processes": processes,
        "absent_columns": absent_columns(rules, source.names),
        "rows_in": totals["rows"],
        "rows_out": totals["rows"],
        "totals": totals,
    }


def absent_columns(rules: RuleSet, names: Collection[str]) -> list[str]:
    """Columns that the rules read and the file has not; a draw pattern can come from a rating."""
    absent = [name for name in rules.needed() if name not in names]
    rated = {"first_hour_gal", "max_gpm"} & set(names)
    return [name for name in absent if not (name == "draw_pattern" and rated)]


def verify(path: Path, progress: Callable[[str, int], None] = lambda stage, rows: None) -> list[str]:
    """Run again what a record tells of; the names of what is no longer the same, none if it repeats.

    Raises
    ------
    InputError
        It is no record, or a file that it names cannot be read.
    """
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
        inputs = {name: Path(one["path"]) for name, one in record["inputs"].items()}
        told = {name: one["sha256"] for name, one in record["inputs"].items()}
        outputs, rows, totals = record["outputs"], record["rows_out"], record["totals"]
        chunk_rows, language = record["chunk_rows"], record["language"]
    except OSError as error:
        raise InputError("verify", str(path), "this file cannot be read", "name the record.json of a run") from error
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise InputError("verify", str(path), "this is no record of a run", "name the record.json of a run") from error
    for name, file in inputs.items():
        if not file.exists():
            raise InputError(name, str(file), "this file is no longer there", "put it back, or run again")
    wrong = [name for name, file in inputs.items() if file.is_file() and sha256_of(file) != told[name]]
    wrong += [name for name, sha256 in _table_hashes().items() if record.get("tables", {}).get(name) != sha256]
    wrong += [
        name for name in outputs if (path.parent / name).exists() and sha256_of(path.parent / name) != outputs[name]
    ]
    with tempfile.TemporaryDirectory(prefix="advisor-") as folder:
        again = screen(
            Order(
                inputs["applicants"],
                inputs["rules"],
                Path(folder) / "again",
                inputs.get("history"),
                inputs.get("mapping"),
                chunk_rows,
                language=language,
            ),
            progress,
        )
    wrong += [f"{name}, run again" for name in outputs if again["outputs"][name] != outputs[name]]
    if (again["rows_out"], again["totals"]) != (rows, totals):
        wrong.append("totals, run again")
    return wrong
