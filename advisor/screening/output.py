"""A folder that holds either what it held before or the complete new output, however the run ends.

Everything is written beside the folder, with a list of what is whole; the last step exchanges the two folders at
once. A run that was cut short goes on from what the list names, after looking at it again.
"""

from __future__ import annotations

import ctypes
import errno
import hashlib
import json
import os
import shutil
from collections import Counter
from pathlib import Path
from typing import Any, BinaryIO

from advisor.core.errors import InputError

DECISIONS, REJECTS, RECORD = "decisions.csv", "rejects.csv", "record.json"
#: The decisions once more, as a folder of Parquet files, where somebody asks for it.
PARQUET = "decisions.parquet"
OURS = (DECISIONS, REJECTS, RECORD, PARQUET)
_LIST = "parts.jsonl"
_AT_FDCWD, _EXCHANGE = -100, 2


class Staged:
    """The output while it is written.

    Parameters
    ----------
    out : Path
        Where it will be.
    job : str
        What distinguishes this run; another run's parts are not its own.
    resume : bool
        Go on from whole parts of the same run.
    """

    def __init__(self, out: Path, job: str, *, resume: bool) -> None:
        self.out, self.job = out, job
        self.folder = staging_folder(out)
        self.n_parts = 0
        self.totals: Counter[tuple[str, ...]] = Counter()
        if not (resume and self._go_on()):
            self.folder.mkdir(parents=True, exist_ok=True)
            for name in (*OURS, _LIST):
                _remove(self.folder / name)
            (self.folder / _LIST).write_text(json.dumps({"job": job}) + "\n", encoding="utf-8")
        self._files = {name: (self.folder / name).open("ab") for name in (DECISIONS, REJECTS)}
        self._list = (self.folder / _LIST).open("a", encoding="utf-8")

    def begin(self, headers: dict[str, bytes]) -> None:
        """The first line of each file, unless it is there."""
        for name, file in self._files.items():
            if not file.tell():
                file.write(headers[name])

    def add(self, decisions: bytes, rejects: bytes, totals: Counter[tuple[str, ...]]) -> None:
        """A part: whole once it stands in the list."""
        marks = {}
        for name, content in ((DECISIONS, decisions), (REJECTS, rejects)):
            file = self._files[name]
            begin = file.tell()
            file.write(content)
            file.flush()
            marks[name] = [begin, file.tell(), hashlib.sha256(content).hexdigest()]
        self.totals.update(totals)
        self.n_parts += 1
        counted = [[list(key), value] for key, value in sorted(totals.items())]
        self._list.write(json.dumps({"files": marks, "totals": counted}) + "\n")
        self._list.flush()

    def _go_on(self) -> bool:
        """Take over the parts of a run that was cut short, as far as their bytes are what the list says."""
        try:
            lines = (self.folder / _LIST).read_text(encoding="utf-8").splitlines()
            if json.loads(lines[0]) != {"job": self.job}:
                return False
        except (OSError, ValueError, IndexError):
            return False
        kept, ends = [lines[0]], dict.fromkeys((DECISIONS, REJECTS), 0)
        files = {name: (self.folder / name).open("r+b") for name in ends}
        try:
            for line in lines[1:]:
                try:
                    part = json.loads(line)
                    whole = all(_is_whole(files[name], part["files"][name]) for name in files)
                except (ValueError, KeyError):
                    break
                if not whole:
                    break
                kept.append(line)
                ends = {name: part["files"][name][1] for name in files}
                self.totals.update({tuple(key): value for key, value in part["totals"]})
            self.n_parts = len(kept) - 1
            for name, file in files.items():
                file.truncate(ends[name] if self.n_parts else 0)
        finally:
            for file in files.values():
                file.close()
        (self.folder / _LIST).write_text("\n".join(kept) + "\n", encoding="utf-8")
        return True

    def finish(self, record: dict[str, Any]) -> dict[str, Any]:
        """Complete the record with the hashes of the files, and put the output in its place."""
        for file in (*self._files.values(), self._list):
            file.flush()
            os.fsync(file.fileno())
            file.close()
        hashes = {name: sha256_of(self.folder / name) for name in (DECISIONS, REJECTS)}
        record = record | {"outputs": hashes}
        text = json.dumps(record, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
        with (self.folder / RECORD).open("w", encoding="utf-8") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        (self.folder / _LIST).unlink()
        _put_in_place(self.folder, self.out)
        return record


def staging_folder(out: Path) -> Path:
    """Where a folder's new output is written: beside it, hidden."""
    out = out.absolute()
    return out.parent / f".{out.name}.unfinished"


def _is_whole(file: BinaryIO, mark: list[Any]) -> bool:
    begin, end, sha256 = mark
    file.seek(begin)
    return hashlib.sha256(file.read(end - begin)).hexdigest() == sha256


def _remove(path: Path) -> None:
    if path.is_dir():
        shutil.rmtree(path)
    else:
        path.unlink(missing_ok=True)


def sha256_of(path: Path) -> str:
    """Hash of a file; of a folder, of the names and hashes of its files."""
    if path.is_dir():
        inside = [(file.name, sha256_of(file)) for file in sorted(path.iterdir()) if file.is_file()]
        return hashlib.sha256(json.dumps(inside).encode()).hexdigest()
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def refuse_bad_folder(out: Path) -> None:
    """Say at once what would stop the last step."""
    if out.exists() and not out.is_dir():
        raise InputError("out", str(out), "this is a file", "name a folder")
    try:
        staging_folder(out).mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(
            "out", str(out), "nothing can be written beside this folder", "choose another place"
        ) from error


def _put_in_place(new: Path, out: Path) -> None:
    """The new output for the old in one step; file by file where the folder holds other things too."""
    if not out.exists():
        new.rename(out)
        return
    if {entry.name for entry in out.iterdir()} <= set(OURS) and _exchanged(new, out):
        shutil.rmtree(new)
        return
    for name in OURS:
        if (new / name).is_dir():
            _remove(out / name)
        if (new / name).exists():
            (new / name).replace(out / name)
    shutil.rmtree(new)


def _exchanged(new: Path, out: Path) -> bool:
    """Exchange two folders in one step, where the system can."""
    try:
        exchange = ctypes.CDLL(None, use_errno=True).renameat2
    except (AttributeError, OSError, TypeError):
        return False
    done = exchange(_AT_FDCWD, os.fsencode(new), _AT_FDCWD, os.fsencode(out.absolute()), _EXCHANGE)
    if done and ctypes.get_errno() not in (errno.ENOSYS, errno.EINVAL, errno.ENOTSUP):
        raise InputError("out", str(out), "the output could not be put in its place", "choose another folder")
    return not done
