"""How the loops over time are compiled, and the columns that they read and write.

Importing this module imports numba, so only the bench does. With ``NUMBA_DISABLE_JIT=1`` the same functions run as
plain Python and give the same numbers.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any, TypeVar, cast

import numba
from numba import njit

F = TypeVar("F", bound=Callable[..., Any])

# A segment is a stretch of time in which the flow stays the same: start and end [min], mixed flow [gpm] and the
# temperature it is used at [°F], flow that is taken all hot [gpm], and the row of the month.
START_MIN, END_MIN, MIXED_GPM, USE_F, ALL_HOT_GPM, MONTH = 0, 1, 2, 3, 4, 5
SEGMENT_SIZE = 6

# What a run notes of each segment: hot gallons and their heat above the inlet; the mean outlet as the test method
# reads it (from 5 s on); the coldest tap and the minutes below the limit, both after the wait that is forgiven;
# whether the burner ran; minutes in which a flow-limiting valve cut the flow by more than a tenth.
HOT_GAL, HEAT_BTU, READ_F, LOW_F, SHORT_MIN, LIT, SLOW_MIN = 0, 1, 2, 3, 4, 5, 6
OUTCOME_SIZE = 7

# A trace holds each step of each draw: start and length [min], outlet [°F], hot flow [gpm],
# and the temperature that the hand at the tap has mixed for [°F].
TRACE_MIN, TRACE_STEP_MIN, TRACE_OUTLET_F, TRACE_GPM, TRACE_HAND_F = 0, 1, 2, 3, 4
TRACE_SIZE = 5

#: A draw's temperature is read from 5 s on: 10 CFR 430 subpart B app. E secs. 5.4.2 and 5.4.3.
READ_FROM_MIN = 5 / 60


#: Nothing has been compiled yet on this machine: the first run takes about half a minute.
is_first_time = False

_PACKAGE = Path(__file__).resolve().parents[1]
_IMPORT = re.compile(r"^from advisor\.([\w.]+) import (\([^)]*\)|.*)$", re.MULTILINE)


def _sources() -> dict[Path, str]:
    """What code is compiled from: the modules of the bench that hold a kernel, and all that they import of ours."""
    found: dict[Path, str] = {}
    bench = Path(__file__).parent
    waiting = [path for path in bench.glob("*.py") if "\n@kernel\n" in path.read_text(encoding="utf-8")]
    while waiting:
        path = waiting.pop()
        if path in found or not path.is_file():
            continue
        found[path] = text = path.read_text(encoding="utf-8")
        for module, names in _IMPORT.findall(text):
            base = _PACKAGE.joinpath(*module.split("."))
            waiting += [base.with_suffix(".py"), *(base / f"{name}.py" for name in re.findall(r"\w+", names))]
    return dict(sorted(found.items()))


def _keep_compiled_code() -> None:
    """Keep compiled code in a folder named after the sources it was made from.

    Numba renews a stored kernel when its own file changes, but not when a kernel or a constant of another file that
    it uses does; a folder for each state of the sources cannot go stale. Somebody's own ``NUMBA_CACHE_DIR`` stands.
    """
    global is_first_time
    config: Any = numba.config
    digest = sha256("".join(_sources().values()).encode()).hexdigest()[:12]
    folder = _PACKAGE / "__pycache__" / f"kernels-{digest}"
    if config.CACHE_DIR or folder.is_dir():
        config.CACHE_DIR = config.CACHE_DIR or str(folder)
        is_first_time = not _holds_code(Path(config.CACHE_DIR))
        return
    is_first_time = True
    try:
        folder.mkdir(parents=True)
    except OSError:
        return  # a read-only installation: numba finds a place in the user's own cache
    config.CACHE_DIR = str(folder)
    for old in folder.parent.glob("kernels-*"):
        if old != folder:
            shutil.rmtree(old, ignore_errors=True)


def _holds_code(folder: Path) -> bool:
    return next(folder.rglob("*.nbi"), None) is not None


_keep_compiled_code()


def kernel(function: F) -> F:
    """Compile a function on its first call and keep the result between runs.

    Division follows numpy (no check for zero), so a kernel must never divide by zero: plain Python would stop there.
    Where no folder can be written the function is compiled again in every run: slower to start, same answer.
    """
    try:
        compiled: Any = njit(cache=True, nogil=True, error_model="numpy")(function)
    except RuntimeError:  # numba's word for "no place to keep it"
        compiled = njit(nogil=True, error_model="numpy")(function)
    return cast(F, compiled)
