"""A folder of jobs: opened, written whole or not at all, and never over what somebody else has written meanwhile."""

from __future__ import annotations

import hashlib
import os
import re
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import date
from pathlib import Path
from typing import NoReturn

from advisor.book import listing
from advisor.book.names import file_name, is_plain
from advisor.case.file import parse_case, read_case, write_case
from advisor.case.record import Case
from advisor.core.errors import AdvisorError, InputError
from advisor.core.files import write_whole

ARCHIVE = "archive"
_MOST_OF_A_NAME = 1_000
_WRITING = threading.Lock()
#: A job that was not written to its end: hidden, and never listed; nobody needs an hour for one.
_WAITING = re.compile(r"\.\d{4}-\d\d-\d\d .{0,29}-\w{8}")
_FORGOTTEN_S = 3_600


class ChangedMeanwhileError(AdvisorError):
    """The job was written, or put away, by another window since it was opened here."""


class Book:
    """The jobs of one folder.

    Parameters
    ----------
    folder : Path
        It must be there, and be one that can be written to.

    Raises
    ------
    InputError
        It is not.
    """

    def __init__(self, folder: Path) -> None:
        if not folder.is_dir():
            raise InputError("book", str(folder), "there is no such folder", "make it, or name another")
        if not os.access(folder, os.R_OK | os.W_OK | os.X_OK):
            raise InputError("book", str(folder), "this folder cannot be written to", "check its permissions")
        self.folder = folder.resolve()
        self._sweep()

    def _sweep(self) -> None:
        """Take away what a kill left of a job that was being written; what another server writes now is minutes old."""
        with suppress(OSError):
            for path in self.folder.iterdir():
                if _WAITING.fullmatch(path.name) and time.time() - path.stat().st_mtime > _FORGOTTEN_S:
                    path.unlink(missing_ok=True)

    def jobs(self, *, is_archived: bool = False) -> list[listing.Entry]:
        """Every job, the newest first; or those that were put away."""
        folder = self.folder / ARCHIVE if is_archived else self.folder
        try:
            return listing.entries(folder) if folder.is_dir() else []
        except OSError as error:
            _cannot(error)

    def read(self, file: str) -> tuple[Case, str]:
        """A job, and the version that it is.

        Raises
        ------
        InputError
            There is no such job, or its file is no case.
        """
        path = self._path(file)
        version = _version(path)
        if version is None:
            raise InputError("job", file, "it is not in the book", "look whether it was put away")
        return read_case(path), version

    def add(self, case: Case) -> tuple[str, str]:
        """Put a new job into the book: the name of its file, and its version.

        Raises
        ------
        InputError
            It bears no customer's name, or the folder cannot be written to.
        """
        if not (case.name or "").strip():
            raise InputError("name", case.name, "the job bears no customer's name", "type one")
        content = write_case(case).encode()
        day = case.job.visit_on or date.today()
        for number in range(1, _MOST_OF_A_NAME):
            file = file_name(case.name or "", day, number)
            try:
                write_whole(self.folder / file, content)
            except FileExistsError:
                continue
            except OSError as error:
                _cannot(error)
            return file, _hash(content)
        raise InputError("name", case.name, "too many jobs of this day bear it", "add something to it")

    def save(self, case: Case, file: str, version: str) -> str:
        """Write a job that is in the book, if nobody has since; gives back its new version.

        Parameters
        ----------
        case : Case
            What to write.
        file, version : str
            Its file, and the version that was opened here.

        Raises
        ------
        ChangedMeanwhileError
            Another window has written it or put it away; nothing was written.
        InputError
            The folder cannot be written to.
        """
        path, content = self._path(file), write_case(case).encode()
        with _alone(self.folder):
            there = _version(path)
            if there is None:
                raise ChangedMeanwhileError(
                    "{file} is no longer in the book: it was put away or taken out meanwhile.", file=file
                )
            if there != version:
                raise ChangedMeanwhileError("{file} was changed in another window since it was opened here.", file=file)
            try:
                write_whole(path, content, replace=True)
            except OSError as error:
                _cannot(error)
        return _hash(content)

    def copy(self, file: str) -> str:
        """The same job once more, under today's date; gives back the name of its file."""
        case, _ = self.read(file)
        today = case.job.model_copy(update={"visit_on": date.today()})
        again = case.model_copy(update={"job": today, "name": case.name or Path(file).stem})
        return self.add(parse_case(write_case(again)))[0]

    def archive(self, file: str) -> None:
        """Put a job away."""
        self._move(self._path(file), self.folder / ARCHIVE)

    def take_back(self, file: str) -> None:
        """Take a job that was put away back into the book."""
        self._move(self._path(file, ARCHIVE), self.folder)

    def _move(self, path: Path, into: Path) -> None:
        """To another folder, under a name that is free there."""
        with _alone(self.folder):
            try:
                into.mkdir(exist_ok=True)
                for number in range(1, _MOST_OF_A_NAME):
                    there = into / (path.name if number == 1 else f"{path.stem} {number}{path.suffix}")
                    if not there.exists():
                        path.rename(there)
                        return
            except FileNotFoundError as error:
                raise InputError("job", path.name, "it is not there any more", "look at the list again") from error
            except OSError as error:
                _cannot(error)

    def _path(self, file: str, *within: str) -> Path:
        """Where a job stands; a name that leads elsewhere is refused."""
        path = self.folder.joinpath(*within, file) if is_plain(file) else None
        if path is None or path.is_symlink():
            raise InputError("job", file, "this is no name of a job's file", "take one from the list")
        return path


def _hash(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()[:16]


def _version(path: Path) -> str | None:
    """What tells one state of a file from another; None where it is not there."""
    try:
        return _hash(path.read_bytes())
    except FileNotFoundError:
        return None
    except OSError as error:
        _cannot(error)


def _cannot(error: OSError) -> NoReturn:
    why = str(error.strerror)
    raise InputError("book", None, "the folder cannot be used ({why})", "make room or check it", why=why) from error


@contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """Nobody else compares and writes meanwhile: no other window of this server, no other server of this folder."""
    with _WRITING:
        try:
            import fcntl
        except ImportError:  # a system without such locks: this server's windows alone are kept apart
            yield
            return
        handle = os.open(folder, os.O_RDONLY)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX)
            yield
        finally:
            with suppress(OSError):
                fcntl.flock(handle, fcntl.LOCK_UN)
            os.close(handle)
