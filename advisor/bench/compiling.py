"""Makes machine code of the kernels, in a process of its own: ``python -m advisor.bench.compiling storage``.

Only here is numba imported. It types the kernels and lowers them; each is then optimised once, as part of one module,
and what comes out calls nothing but the C library's mathematics: it is loaded without numba.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from typing import Any

import numpy as np

from advisor.bench import code_store, kernels, machine_code

#: What machine code may call by name.
_LIBRARY = {"exp", "floor", "fmod", "sqrt", "memset", "memcpy", "memmove"}
#: Division as numpy has it; and a kernel is called by kernels alone.
_OPTIONS: dict[str, Any] = {"error_model": "numpy", "no_cpython_wrapper": True, "no_cfunc_wrapper": True}


def machine_code_of(part: str) -> bytes:
    """Compile a part's kernels to an object file that ``machine_code`` can load.

    Parameters
    ----------
    part : str
        One of ``machine_code.PARTS``.
    """
    # Numba is to lower, not to optimise: that is done once for all, below. It would also load scipy for linear algebra.
    os.environ["NUMBA_OPT"] = "0"
    sys.modules.setdefault("scipy", None)  # type: ignore[arg-type]
    import llvmlite.binding as llvm
    from numba import cfunc, njit, types

    kernels.compiled_with = njit(**_OPTIONS)
    of = types.CPointer
    signature = types.int64(of(types.voidptr), of(types.int64), of(types.float64))  # type: ignore[no-untyped-call]
    module = llvm.parse_assembly(_no_memory_of_ours())
    names = []
    for name, function in {"storage": _tank_entries, "instantaneous": _tankless_entries}[part]().items():
        compiled = cfunc(signature, error_model="numpy")(function)
        module.link_in(llvm.parse_assembly(compiled.inspect_llvm()))
        module.get_function(compiled.native_name).name = name
        names.append(name)
    for function in module.functions:
        if not function.is_declaration and function.name not in names:
            function.linkage = "internal"
    machine = machine_code.target_machine()
    builder = llvm.create_pass_builder(machine, llvm.create_pipeline_tuning_options(speed_level=2))
    builder.getModulePassManager().run(module, builder)
    called = {one.name for one in module.functions if one.is_declaration and not one.name.startswith("llvm.")}
    if called - _LIBRARY:
        raise RuntimeError(f"compiled kernels call {', '.join(sorted(called - _LIBRARY))}")
    return bytes(machine.emit_object(module))


def _no_memory_of_ours() -> str:
    """Numba frees what arrays it counts; a kernel's arrays are all Python's own, so that this is never reached."""
    from llvmlite import ir

    module = ir.Module()
    free = ir.Function(module, ir.FunctionType(ir.VoidType(), [ir.IntType(8).as_pointer()]), "NRT_MemInfo_call_dtor")
    ir.IRBuilder(free.append_basic_block()).unreachable()
    return str(module)


# How the machine code of an entry is called: pointers to its arrays, how many rows each has, and its numbers, where it
# also leaves its results; it returns how many those are. ``machine_code.run`` is the other side.


def _tank_entries() -> dict[str, Callable[..., int]]:
    from numba import carray

    from advisor.bench import carrying, storage
    from advisor.bench.comfort import COMFORT_SIZE
    from advisor.bench.kernels import OUTCOME_SIZE, SEGMENT_SIZE, TRACE_SIZE
    from advisor.bench.storage import LOG_SIZE, SOURCE_SIZE, Tank

    real, tank = np.float64, _record(Tank)
    run, draw_until, recover, carries = storage.run, storage.draw_until, storage.recover, carrying.of_tank

    def storage_run(arrays: Any, rows: Any, numbers: Any) -> int:
        run(
            carray(arrays[0], rows[0], real),
            carray(arrays[1], rows[1], real),
            carray(arrays[2], 1, tank)[0],
            carray(arrays[3], (rows[3], SOURCE_SIZE), real),
            carray(arrays[4], rows[4], real),
            carray(arrays[5], rows[5], real),
            carray(arrays[6], (rows[6], SEGMENT_SIZE), real),
            numbers[0],
            numbers[1],
            (numbers[2], numbers[3]),
            carray(arrays[7], (rows[7], OUTCOME_SIZE), real),
            carray(arrays[8], (rows[8], LOG_SIZE), real),
            carray(arrays[9], (rows[9], TRACE_SIZE), real),
        )
        return 0

    def storage_draw_until(arrays: Any, rows: Any, numbers: Any) -> int:
        found = draw_until(
            carray(arrays[0], rows[0], real),
            carray(arrays[1], rows[1], real),
            carray(arrays[2], 1, tank)[0],
            carray(arrays[3], rows[3], real),
            numbers[0],
            numbers[1],
            numbers[2],
            numbers[3],
            numbers[4],
            numbers[5],
        )
        numbers[0], numbers[1], numbers[2], numbers[3], numbers[4] = found
        return 5

    def storage_recover(arrays: Any, rows: Any, numbers: Any) -> int:
        numbers[0] = recover(
            carray(arrays[0], rows[0], real),
            carray(arrays[1], rows[1], real),
            carray(arrays[2], 1, tank)[0],
            carray(arrays[3], rows[3], real),
            numbers[0],
            numbers[1],
            numbers[2],
            numbers[3],
        )
        return 1

    def carrying_of_tank(arrays: Any, rows: Any, numbers: Any) -> int:
        numbers[0] = carries(
            carray(arrays[0], rows[0], real),
            carray(arrays[1], rows[1], real),
            carray(arrays[2], 1, tank)[0],
            carray(arrays[3], (rows[3], SOURCE_SIZE), real),
            carray(arrays[4], rows[4], real),
            carray(arrays[5], rows[5], real),
            carray(arrays[6], (rows[6], SEGMENT_SIZE), real),
            carray(arrays[7], rows[7], real),
            carray(arrays[8], rows[8], real),
            carray(arrays[9], rows[9], real),
            carray(arrays[10], rows[10], real),
            numbers[0],
            numbers[1],
            (numbers[2], numbers[3]),
            numbers[4],
            numbers[5],
            numbers[6],
            numbers[7],
            numbers[8],
            carray(arrays[11], rows[11], real),
            carray(arrays[12], rows[12], real),
            carray(arrays[13], (rows[13], SEGMENT_SIZE), real),
            carray(arrays[14], (rows[14], OUTCOME_SIZE), real),
            carray(arrays[15], (rows[15], LOG_SIZE), real),
            carray(arrays[16], (rows[16], TRACE_SIZE), real),
            carray(arrays[17], (rows[17], COMFORT_SIZE), real),
        )
        return 1

    return {
        "storage.run": storage_run,
        "storage.draw_until": storage_draw_until,
        "storage.recover": storage_recover,
        "carrying.of_tank": carrying_of_tank,
    }


def _tankless_entries() -> dict[str, Callable[..., int]]:
    from numba import carray

    from advisor.bench import carrying, comfort, instantaneous
    from advisor.bench.comfort import COMFORT_SIZE
    from advisor.bench.instantaneous import UNIT_SIZE, Unit
    from advisor.bench.kernels import OUTCOME_SIZE, SEGMENT_SIZE, TRACE_SIZE

    real, unit = np.float64, _record(Unit)
    run, read_off, carries = instantaneous.run, comfort.read_off, carrying.of_tankless

    def instantaneous_run(arrays: Any, rows: Any, numbers: Any) -> int:
        run(
            carray(arrays[0], (rows[0], UNIT_SIZE), real),
            carray(arrays[1], rows[1], real),
            carray(arrays[2], 1, unit)[0],
            carray(arrays[3], rows[3], real),
            carray(arrays[4], rows[4], real),
            carray(arrays[5], (rows[5], SEGMENT_SIZE), real),
            numbers[0],
            numbers[1],
            (numbers[2], numbers[3]),
            carray(arrays[6], (rows[6], OUTCOME_SIZE), real),
            carray(arrays[7], (rows[7], TRACE_SIZE), real),
        )
        return 0

    def comfort_read_off(arrays: Any, rows: Any, numbers: Any) -> int:
        read_off(
            carray(arrays[0], (rows[0], TRACE_SIZE), real),
            carray(arrays[1], (rows[1], SEGMENT_SIZE), real),
            carray(arrays[2], (rows[2], OUTCOME_SIZE), real),
            carray(arrays[3], rows[3], real),
            carray(arrays[4], rows[4], real),
            carray(arrays[5], rows[5], real),
            carray(arrays[6], rows[6], real),
            carray(arrays[7], rows[7], real),
            numbers[0],
            numbers[1],
            carray(arrays[8], (rows[8], COMFORT_SIZE), real),
        )
        return 0

    def carrying_of_tankless(arrays: Any, rows: Any, numbers: Any) -> int:
        numbers[0] = carries(
            carray(arrays[0], (rows[0], UNIT_SIZE), real),
            carray(arrays[1], rows[1], real),
            carray(arrays[2], 1, unit)[0],
            carray(arrays[3], rows[3], real),
            carray(arrays[4], rows[4], real),
            carray(arrays[5], (rows[5], SEGMENT_SIZE), real),
            carray(arrays[6], rows[6], real),
            carray(arrays[7], rows[7], real),
            carray(arrays[8], rows[8], real),
            carray(arrays[9], rows[9], real),
            numbers[0],
            numbers[1],
            (numbers[2], numbers[3]),
            numbers[4],
            numbers[5],
            numbers[6],
            numbers[7],
            carray(arrays[10], (rows[10], UNIT_SIZE), real),
            carray(arrays[11], rows[11], real),
            carray(arrays[12], (rows[12], SEGMENT_SIZE), real),
            carray(arrays[13], (rows[13], OUTCOME_SIZE), real),
            carray(arrays[14], (rows[14], TRACE_SIZE), real),
            carray(arrays[15], (rows[15], COMFORT_SIZE), real),
        )
        return 1

    return {
        "instantaneous.run": instantaneous_run,
        "comfort.read_off": comfort_read_off,
        "carrying.of_tankless": carrying_of_tankless,
    }


def _record(kind: Any) -> np.dtype:
    """A named tuple of floats as it lies in memory."""
    return np.dtype([(field, np.float64) for field in kind._fields])


def main() -> int:
    """Compile a part, unless another process is doing so or has done: then wait for its code."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("part", choices=machine_code.PARTS)
    parser.add_argument("--print", action="store_true", help="write the code to standard output too")
    parser.add_argument("--gently", action="store_true", help="give way to whatever else this machine does")
    options = parser.parse_args()
    if options.gently and hasattr(os, "nice"):
        os.nice(10)
    try:
        with code_store.alone(options.part):
            code = code_store.kept(options.part)
            done = "already there" if code else "compiled"
            if code is None:
                code = machine_code_of(options.part)
                code_store.keep(options.part, code)
    except Exception as error:  # whatever it is, there is no bench on this machine, and somebody should be told why
        reason = " ".join(f"{type(error).__name__}: {error}".split())
        code_store.note_failure(reason)
        print(reason, file=sys.stderr)
        return 1
    if options.print:
        sys.stdout.buffer.write(code)
    else:
        print(f"{options.part}: {done}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
