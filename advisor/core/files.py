"""Files that are written whole or not at all."""

from __future__ import annotations

import os
import re
import tempfile
import time
from contextlib import suppress
from pathlib import Path

#: What a killed writer left hidden beside its file is taken away by a later one after so long. [s]
_LEFT_FOR_S = 3600.0


def write_whole(path: Path, content: bytes, *, replace: bool = False) -> None:
    """Write a file; whatever ends this halfway, nothing half-written stands under its name.

    Parameters
    ----------
    path : Path
        The file; its folder must be there.
    content : bytes
        What it shall hold.
    replace : bool
        Put it in place of a file that is there.

    Raises
    ------
    FileExistsError
        The file is there, and was not to be replaced.
    OSError
        It cannot be written.
    """
    if not replace and path.exists():
        raise FileExistsError(path)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=_prefix(path))
    waiting = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        waiting.chmod(0o644)
        if replace or not _linked(waiting, path):
            waiting.replace(path)
    finally:
        with suppress(OSError):
            waiting.unlink()
    _sweep(path)


def _sweep(path: Path) -> None:
    """Take away what writers of this name that were killed have left; one that still writes is younger."""
    ours = re.compile(rf"{re.escape(_prefix(path))}\w{{8}}")
    with suppress(OSError):
        for left in path.parent.iterdir():
            if ours.fullmatch(left.name) and left.stat().st_mtime < time.time() - _LEFT_FOR_S:
                left.unlink()


def _prefix(path: Path) -> str:
    return f".{path.name[:40]}-"


def _linked(waiting: Path, path: Path) -> bool:
    """Give a written file its name unless that is taken meanwhile; False where the disk knows no second names."""
    try:
        path.hardlink_to(waiting)
    except FileExistsError:
        raise
    except (OSError, NotImplementedError):
        return False
    return True
