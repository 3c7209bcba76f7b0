"""The first run on a machine, a fresh one later, and a warm one: ``python tests/speed/benchmark_first_run.py``.

Nothing is asserted and pytest does not collect it. One go measures all three, with a folder for compiled code that
begins empty, as seconds, as a share of the budget for two free cores, and as a ratio to something fixed that ran beside
it: a bare interpreter, or a million additions for what takes processors only.
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from statistics import median
from time import perf_counter, sleep

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from advisor.bench import code_store, machine_code  # noqa: E402

TODAY = date(2026, 11, 25)
COMPARE = ("-m", "advisor", "compare")


def seconds_of(action: Callable[[], object], repeats: int = 1) -> float:
    """Median wall time of an action. [s]"""
    taken = []
    for _ in range(repeats):
        start = perf_counter()
        action()
        taken.append(perf_counter() - start)
    return median(taken)


def python(*arguments: str) -> Callable[[], object]:
    """A new interpreter that starts in the checkout, its output thrown away."""
    return lambda: subprocess.run([sys.executable, *arguments], cwd=ROOT, check=True, capture_output=True)


def million_additions() -> None:
    """What the processor is worth today, in plain Python."""
    total = 0.0
    for step in range(1_000_000):
        total += step


def compiled() -> None:
    """Everything compiled and kept."""
    while any(code_store.kept(part) is None for part in machine_code.PARTS):
        sleep(0.05)


def processors_s() -> float:
    """Time on all processors of the processes that this one has waited for. [s]"""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def line(name: str, seconds: float, budget_s: float | None, unit_s: float, unit: str) -> None:
    """One measurement."""
    share = "" if budget_s is None else f"{seconds / budget_s:.0%} of {budget_s:g} s"
    print(f"{name:52}{seconds:8.2f} s {share:>16}{seconds / unit_s:9.1f} times {unit}")


def main() -> None:
    """Measure everything and print it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--repeats", type=int, default=9, help="runs behind each median")
    repeats = parser.parse_args().repeats
    bare_s = seconds_of(python("-c", "pass"), repeats)
    sum_s = seconds_of(million_additions, repeats)
    bare, additions = (bare_s, "a bare interpreter"), (sum_s, "a million additions")

    with tempfile.TemporaryDirectory() as first, tempfile.TemporaryDirectory() as second:
        os.environ[code_store.FOLDER_VARIABLE] = first
        began = perf_counter()
        line("first run: the answer by hand", seconds_of(python(*COMPARE)), 5.0, *bare)
        compiled()
        line("first run: the bench ready behind it", perf_counter() - began, None, *bare)

        os.environ[code_store.FOLDER_VARIABLE] = second
        before_s = processors_s()
        line("compiling, waited for", seconds_of(machine_code.prepare), 8.0, *additions)
        line("compiling, time on all processors", processors_s() - before_s, None, *additions)
        line("fresh run", seconds_of(python(*COMPARE), repeats), 1.5, *bare)
        line("of which the bench's code", seconds_of(_load, 1), None, *bare)

        from advisor.case.file import read_case
        from advisor.comparison import compare

        case = read_case(ROOT / "data" / "cases" / "cold-city-basement.toml")
        compare(case, today=TODAY)
        line("one comparison, warm", seconds_of(lambda: compare(case, today=TODAY), repeats), 0.05, *additions)


def _load() -> None:
    for part in machine_code.PARTS:
        machine_code._loaded(part)


if __name__ == "__main__":
    main()
