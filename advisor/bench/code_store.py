"""Where the machine code of the kernels is kept between runs.

A part's code is one file with its checksum in front: one that is damaged counts as missing. The folder is named after
the sources that the code was made from and the file after the machine that it was made for, so that nothing kept can be
stale. A part is made and written by one process at a time.
"""

from __future__ import annotations

import os
import re
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import IO

from advisor.core.files import write_whole

#: A folder of somebody's own choice. Else code is kept beside the package or, where nobody may write there, in the
#: user's own cache.
FOLDER_VARIABLE = "ADVISOR_CACHE_DIR"
#: More than the code of all parts together.
_ROOM_BYTES = 200_000
_PACKAGE = Path(__file__).resolve().parents[1]
_BESIDE = _PACKAGE / "__pycache__"
_FAILED = "failed.txt"
_MARK = re.compile(r"^@(kernel|entry)$", re.MULTILINE)
_IMPORT = re.compile(r"^from advisor\.([\w.]+) import (\([^)]*\)|.*)$", re.MULTILINE)


@cache
def sources() -> dict[Path, str]:
    """What code is made from: the bench's modules with kernels, what compiles them, and all they import of ours."""
    found: dict[Path, str] = {}
    bench = Path(__file__).parent
    waiting = [path for path in bench.glob("*.py") if _MARK.search(path.read_text(encoding="utf-8"))]
    waiting.append(bench / "compiling.py")
    while waiting:
        path = waiting.pop()
        if path in found or not path.is_file():
            continue
        found[path] = text = path.read_text(encoding="utf-8")
        for module, names in _IMPORT.findall(text):
            base = _PACKAGE.joinpath(*module.split("."))
            waiting += [base.with_suffix(".py"), *(base / f"{name}.py" for name in re.findall(r"\w+", names))]
    return dict(sorted(found.items()))


@cache
def _folder_name() -> str:
    return f"kernels-{_digest(*sources().values())}"


def folders() -> tuple[Path, ...]:
    """Where code is looked for and kept, best first."""
    name = _folder_name()
    if own := os.environ.get(FOLDER_VARIABLE):
        return (Path(own) / name,)
    return _BESIDE / name, *(cache / "water-heater-advisor" / name for cache in _users_caches())


def _users_caches() -> list[Path]:
    try:
        home = Path.home()
    except RuntimeError:  # nobody in particular runs this
        return []
    if os.name == "nt":
        return [Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local")]
    if sys.platform == "darwin":
        return [home / "Library" / "Caches"]
    return [Path(os.environ.get("XDG_CACHE_HOME") or home / ".cache")]


@cache
def _file_name(part: str) -> str:
    import llvmlite
    import llvmlite.binding as llvm

    processor = llvm.get_host_cpu_name(), llvm.get_host_cpu_features().flatten()
    return f"{part}-{_digest(*processor, llvm.get_process_triple(), llvmlite.__version__)}.code"


def _digest(*texts: str) -> str:
    return sha256("\0".join(texts).encode()).hexdigest()[:12]


def kept(part: str) -> bytes | None:
    """A part's code; None where it is missing or damaged."""
    for folder in folders():
        with suppress(OSError):
            content = (folder / _file_name(part)).read_bytes()
            checksum, code = content[:32], content[32:]
            if sha256(code).digest() == checksum:
                return code
    return None


def keep(part: str, code: bytes) -> None:
    """Put a part's code where later runs find it, whole or not at all. The caller is ``alone`` with the part."""
    for folder in folders():
        if _written(folder / _file_name(part), sha256(code).digest() + code):
            with suppress(OSError):
                (folder / _FAILED).unlink()
            if folder.parent == _BESIDE:
                for old in _BESIDE.glob("kernels-*"):
                    if old != folder:
                        shutil.rmtree(old, ignore_errors=True)
            return


def note_failure(reason: str) -> None:
    """Note why nothing could be compiled, so that it is not tried in every run."""
    for folder in folders():
        if _written(folder / _FAILED, reason.encode()):
            return


def failure() -> str | None:
    """Why nothing could be compiled the last time it was tried."""
    for folder in folders():
        with suppress(OSError):
            return (folder / _FAILED).read_text(encoding="utf-8", errors="replace")
    return None


def has_room() -> bool:
    """Whether code could be kept at all: some folder may be written, and its disk is not full."""
    for folder in folders():
        trial = folder / "room"
        is_written = _written(trial, bytes(_ROOM_BYTES))
        with suppress(OSError):
            trial.unlink()
        if is_written:
            return True
    return False


def _written(file: Path, content: bytes) -> bool:
    """Whether a file could be written, whole or not at all."""
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        write_whole(file, content, replace=True)
    except OSError:
        return False
    return True


@contextmanager
def alone(part: str, *, wait: bool = True) -> Iterator[bool]:
    """Be the only process that makes a part. False where another is, and one would not wait for it.

    The lock goes with the process that holds it, however that ends. Where no folder can be written nobody is locked
    out: there is nothing to be written twice.
    """
    for folder in folders():
        try:
            folder.mkdir(parents=True, exist_ok=True)
            lock = (folder / f"{part}.lock").open("wb")
        except OSError:
            continue
        with lock:
            yield _locked(lock, wait=wait)
        return
    yield True


def _locked(lock: IO[bytes], *, wait: bool) -> bool:
    """Lock an open file until it is closed."""
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(lock.fileno(), msvcrt.LK_LOCK if wait else msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(lock, fcntl.LOCK_EX if wait else fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
