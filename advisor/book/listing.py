"""What a list shows of a job: customer, day, state. Read from the few lines that hold them, for thousands of files."""

from __future__ import annotations

import functools
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from advisor.book.names import is_plain
from advisor.case.file import MAX_FILE_BYTES
from advisor.case.record import JobState

#: A file that is read whole takes a millisecond; its first lines and the table of the job take a thirtieth of it.
_HEAD = re.compile(rb"\A(?:(?!\[).*\n?)*")
_JOB = re.compile(rb"^\[job\][ \t]*\r?\n(?:(?!\[).*\n?)*", re.MULTILINE)
_TABLES = re.compile(rb"^\[\[(offers|readings)\]\]", re.MULTILINE)


@dataclass(frozen=True)
class Entry:
    """A job as it stands in the list.

    Parameters
    ----------
    file : str
        Name of its file.
    customer : str
        The customer, as typed; the file's name where that is not given.
    day : date or None
        Day of the visit; that of the file's name where it is not given.
    state : str
        ``asked``, ``offered`` or ``done``; ``unreadable`` where the file is no case.
    """

    file: str
    customer: str
    day: date | None
    state: str


def entries(folder: Path) -> list[Entry]:
    """Every job of a folder, the newest first."""
    files = [path for path in folder.iterdir() if is_plain(path.name) and path.is_file()]
    found = [_entry(path, path.stat().st_mtime_ns) for path in files]
    # Two sorts, as one order is down and the other is up.
    found.sort(key=lambda one: (one.customer.casefold(), one.file))
    found.sort(key=lambda one: one.day or date.min, reverse=True)
    return found


def matching(found: list[Entry], words: str, states: tuple[str, ...] = ()) -> list[Entry]:
    """The jobs that hold every one of some words, in any order, in the customer, the day or the file's name."""
    asked = words.casefold().split()
    return [
        one
        for one in found
        if (not states or one.state in states)
        and all(word in f"{one.customer} {one.day or ''} {one.file}".casefold() for word in asked)
    ]


@functools.lru_cache(maxsize=20_000)
def _entry(path: Path, _changed_ns: int) -> Entry:
    """One file; read again once it has changed."""
    try:
        with path.open("rb") as stream:
            content = stream.read(MAX_FILE_BYTES + 1)
        return _told(path.name, *_read(content))
    except (OSError, ValueError, RecursionError):
        return _told(path.name, {}, "unreadable")


def _read(content: bytes) -> tuple[Mapping[str, Any], JobState]:
    head = _HEAD.match(content)
    few = (head[0] if head else b"") + b"\n" + b"".join(_JOB.findall(content)[:1])
    try:
        found: Mapping[str, Any] = tomllib.loads(few.decode())
    except tomllib.TOMLDecodeError:  # laid out by hand in another way
        found = tomllib.loads(content.decode())
    held = set(found) | {name.decode() for name in _TABLES.findall(content)}
    job = found.get("job")
    given = job.get("state") if isinstance(job, dict) else None
    return found, given or state_of(has_offers="offers" in held, has_readings="readings" in held)


def state_of(*, has_offers: bool, has_readings: bool) -> JobState:
    """What a job that says no state of its own has come to."""
    return "done" if has_readings else "offered" if has_offers else "asked"


def _told(file: str, found: Mapping[str, Any], state: str) -> Entry:
    job = found.get("job")
    day = job.get("visit_on") if isinstance(job, dict) else None
    customer = found.get("name")
    if not isinstance(day, date):
        try:
            day = date.fromisoformat(file[:10])
        except ValueError:
            day = None
    return Entry(file, customer if isinstance(customer, str) and customer else Path(file).stem, day, state)
