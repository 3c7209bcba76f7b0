"""Files that are written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from pathlib import Path


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
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}-")
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


def _linked(waiting: Path, path: Path) -> bool:
    """Give a written file its name unless that is taken meanwhile; False where the disk knows no second names."""
    try:
        path.hardlink_to(waiting)
    except FileExistsError:
        raise
    except (OSError, NotImplementedError):
        return False
    return True
