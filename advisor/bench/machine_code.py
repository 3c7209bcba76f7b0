"""Runs the kernels' machine code, and has it made by other processes where it is missing.

Compiling takes seconds and imports numba; running what is kept takes neither. So compiling is left to processes of its
own: somebody waits for them, or they go on in the background while the hand method answers.
"""

from __future__ import annotations

import ctypes
import os
import subprocess
import sys
import threading
from array import array
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from advisor.bench import code_store
from advisor.core.errors import AdvisorError

#: What is compiled by a process of its own, so that two cores share the work, and the entries that it holds.
PARTS = {
    "storage": ("storage.run", "storage.draw_until", "storage.recover", "carrying.of_tank"),
    "instantaneous": ("instantaneous.run", "comfort.read_off", "carrying.of_tankless"),
}
#: How preparing in the background stands: it goes on, its result could not be kept, or it has failed before.
PREPARING, UNKEPT, FAILED = "preparing", "unkept", "failed"
#: Pointers to arrays, how many rows each has, numbers and results; how many of those there are.
_ENTRY = ctypes.CFUNCTYPE(ctypes.c_int64, ctypes.c_void_p, ctypes.c_void_p, ctypes.c_void_p)
_FLOAT = np.dtype(np.float64)
_NO_RESULTS = (0.0,) * 5
_ROOT = Path(__file__).resolve().parents[2]
_loading = threading.RLock()
#: What holds code in memory, for as long as the process runs.
_engines: list[Any] = []
#: Code that this process has read or made; what is made here need not be kept anywhere.
_codes: dict[str, bytes] = {}


class NoBenchError(AdvisorError):
    """The kernels cannot be compiled on this machine."""

    def __init__(self, complaint: str) -> None:
        *_, reason = complaint.strip().splitlines() or ["no reason given"]
        super().__init__(
            f"The bench cannot be compiled on this machine ({reason}); 'advisor compare' answers by the hand method."
        )


def is_plain() -> bool:
    """Whether the kernels run as plain Python, with nothing compiled: numba's own switch."""
    return os.environ.get("NUMBA_DISABLE_JIT", "0") not in ("", "0")


def is_ready() -> bool:
    """Whether the bench can run at once."""
    return is_plain() or not _missing()


def _missing() -> list[str]:
    for part in PARTS:
        if part not in _codes and (code := code_store.kept(part)) is not None:
            _codes[part] = code
    return [part for part in PARTS if part not in _codes]


def prepare(*, gently: bool = False) -> None:
    """Compile what is missing, and wait for it.

    Parameters
    ----------
    gently : bool
        Give way to whatever else this machine does.

    Raises
    ------
    NoBenchError
        It cannot be compiled here.
    """
    if is_plain():
        return
    with _loading:
        options = ["--print", "--gently"] if gently else ["--print"]
        piped = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
        running = {part: _compiler(part, *options, **piped) for part in _missing()}
        said = {part: process.communicate() for part, process in running.items()}
        for part, (code, complaint) in said.items():
            if running[part].returncode:
                raise NoBenchError(complaint.decode(errors="replace"))
            _codes[part] = code


def prepare_in_background() -> str:
    """Have what is missing compiled by processes that outlive this one, unless others are at it. Says how it stands."""
    if not code_store.has_room():
        return UNKEPT
    if code_store.failure() is not None:
        return FAILED
    for part in _missing():
        with code_store.alone(part, wait=False) as is_free:
            pass
        if is_free:
            unheard = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
            _compiler(part, "--gently", start_new_session=True, **unheard)
    return PREPARING


def _compiler(part: str, *options: str, **how: Any) -> subprocess.Popen[bytes]:
    paths = [str(_ROOT), *filter(None, [os.environ.get("PYTHONPATH")])]
    # -P: what lies in the folder somebody works in, be it a checkout of this package, is not what is compiled.
    command = [sys.executable, "-P", "-m", "advisor.bench.compiling", part, *options]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(paths)}
    try:
        return subprocess.Popen(command, stdin=subprocess.DEVNULL, env=environment, **how)
    except OSError as error:
        raise NoBenchError(f"{type(error).__name__}: {error}") from error


# Running it ------------------------------------------------------------------------------------------------------


def run(entry: str, arguments: Sequence[Any]) -> Any:
    """Run an entry's machine code.

    Parameters
    ----------
    entry : str
        Module of the bench and name, as in ``PARTS``.
    arguments : sequence
        Arrays of floats, which it may change, named tuples of floats, floats and plain tuples of them, in its order.
    """
    pointers, rows, numbers = array("Q"), array("q"), array("d")
    records = []  # held until the run is over
    for value in arguments:
        if isinstance(value, np.ndarray):
            if value.dtype != _FLOAT or not value.flags.c_contiguous:
                raise TypeError(f"{entry} takes arrays of floats without gaps")
            pointers.append(value.ctypes.data)
            rows.append(len(value))
        elif hasattr(value, "_fields"):
            records.append(array("d", value))
            pointers.append(records[-1].buffer_info()[0])
            rows.append(1)
        elif isinstance(value, tuple):
            numbers.extend(value)
        else:
            numbers.append(value)
    numbers.extend(_NO_RESULTS)
    count = _entry(entry)(*(one.buffer_info()[0] for one in (pointers, rows, numbers)))
    if count < 2:
        return numbers[0] if count else None
    return tuple(numbers[:count])


@cache
def _entry(name: str) -> Any:
    part = next(part for part, entries in PARTS.items() if name in entries)
    return _loaded(part)[name]


@cache
def _loaded(part: str) -> dict[str, Any]:
    """A part's entries, ready to be called."""
    import llvmlite.binding as llvm

    with _loading:
        prepare()
        engine = llvm.create_mcjit_compiler(llvm.parse_assembly(""), target_machine())
        engine.add_object_file(llvm.ObjectFileRef.from_data(_codes[part]))
        engine.finalize_object()
        _engines.append(engine)
        return {name: _ENTRY(engine.get_function_address(name)) for name in PARTS[part]}


def target_machine() -> Any:
    """This machine, as llvmlite compiles for it and loads."""
    import llvmlite.binding as llvm

    llvm.initialize_native_target()
    llvm.initialize_native_asmprinter()
    return llvm.Target.from_default_triple().create_target_machine(
        cpu=llvm.get_host_cpu_name(),
        features=llvm.get_host_cpu_features().flatten(),
        opt=2,
        reloc="default",
        codemodel="jitdefault",
    )
