"""How long things take, as ratios on one machine: ``python tests/speed/benchmark.py``.

Nothing is asserted and pytest does not collect it. Each figure is the median of several runs. A ratio compares with
something fixed that runs beside it, so that two machines, or two days on one, can be compared: a bare interpreter for
the start-up, and a plain numpy loop for one comparison.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from statistics import median
from time import perf_counter

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
TODAY = date(2026, 11, 25)
#: What the start of the command line must do without.
HEAVY = ("numpy", "pandas", "numba", "pint", "pydantic", "plotly", "streamlit", "requests")
LOOP_STEPS = 1_000
ZIPS = ("55811", "33139", "98101", "85004", "99701", "96813", "80461", "24401", "00901", "10001", "60601", "70112")


def timed_s(action: Callable[[], object], repeats: int) -> float:
    """Median wall time of an action, after one run that is thrown away. [s]"""
    action()
    seconds = []
    for _ in range(repeats):
        start = perf_counter()
        action()
        seconds.append(perf_counter() - start)
    return median(seconds)


def fresh_python(*arguments: str) -> Callable[[], object]:
    """A new interpreter that starts in the checkout, its output thrown away."""
    command = [sys.executable, *arguments]
    return lambda: subprocess.run(command, cwd=ROOT, check=True, capture_output=True)


def reference_loop() -> float:
    """The yardstick: a thousand rounds of small array arithmetic, like the months of one heater. Never change it."""
    months, total = np.arange(12, dtype=float), 0.0
    for step in range(LOOP_STEPS):
        warm = np.where(months > step % 12, months * 1.01, months - 0.5)
        total += float(np.sum(np.maximum(warm, 1.0) / (1.0 + months)))
    return total


def imported_by(*arguments: str) -> list[str]:
    """Heavy packages that a fresh interpreter has loaded once the command is done."""
    code = (
        "import sys, contextlib, io\n"
        "with contextlib.redirect_stdout(io.StringIO()):\n"
        f"    from advisor.cli import main; main({list(arguments)!r})\n"
        f"print(*[name for name in {HEAVY!r} if name in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True, text=True)
    return run.stdout.split()


def print_table(title: str, rows: list[tuple[str, float, float | None]], against: str) -> None:
    """One line a measurement: milliseconds, and how many times the yardstick."""
    print(f"\n{title}\n{'':44}{'ms':>10}{'times':>10}  {against}")
    for name, seconds, ratio in rows:
        shown = "" if ratio is None else f"{ratio:10.2f}"
        print(f"{name:44}{1000 * seconds:10.1f}{shown}")


def start_up(repeats: int) -> None:
    """The interpreter, the help text and the imports, each in a fresh process."""
    bare = timed_s(fresh_python("-c", "pass"), repeats)
    runs = {
        "advisor --help": fresh_python("-m", "advisor", "--help"),
        "import numpy": fresh_python("-c", "import numpy"),
        "import advisor.case.record": fresh_python("-c", "import advisor.case.record"),
        "import advisor.comparison": fresh_python("-c", "import advisor.comparison"),
        "advisor compare (the demo house)": fresh_python("-m", "advisor", "compare"),
    }
    rows: list[tuple[str, float, float | None]] = [("python -c pass", bare, None)]
    for name, action in runs.items():
        seconds = timed_s(action, repeats)
        rows.append((name, seconds, seconds / bare))
    print_table("A fresh process", rows, "python -c pass")
    print(f"advisor --help loads, of {', '.join(HEAVY)}: {', '.join(imported_by('--help')) or 'none'}")


def first_look_up_s() -> float:
    """The first ZIP that a fresh process looks up, its imports done. [s]"""
    code = (
        "from time import perf_counter\n"
        "from advisor.place.location import locate\n"
        f"start = perf_counter(); locate(zip_code={ZIPS[0]!r}); print(perf_counter() - start)"
    )
    run = subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True, text=True)
    return float(run.stdout)


def look_ups(repeats: int) -> None:
    """Where a house is, with its height and air: the first in a fresh process, and one of many in a warm one."""
    from advisor.place.location import locate

    loop = timed_s(reference_loop, repeats)
    first = median(first_look_up_s() for _ in range(repeats))
    warm = timed_s(lambda: [locate(zip_code=one) for one in ZIPS], repeats) / len(ZIPS)
    town = timed_s(lambda: locate(city="Portland Oregon"), repeats)
    rows = [("first ZIP of a process", first, first / loop), ("a ZIP, warm", warm, warm / loop)]
    print_table("A look-up of a place", [*rows, ("a town, warm", town, town / loop)], "the numpy loop")


def comparisons(repeats: int) -> None:
    """Every demo house, in a process that has compared it before."""
    from advisor.case.file import read_case
    from advisor.comparison import compare

    loop = timed_s(reference_loop, repeats)
    rows: list[tuple[str, float, float | None]] = [(f"numpy loop of {LOOP_STEPS:,} steps", loop, None)]
    for path in sorted((ROOT / "data" / "cases").glob("*.toml")):
        case = read_case(path)
        seconds = timed_s(lambda case=case: compare(case, today=TODAY), repeats)
        rows.append((f"{path.stem} ({len(compare(case, today=TODAY).candidates)} candidates)", seconds, seconds / loop))
    print_table("One comparison, warm", rows, "the numpy loop")


def main() -> None:
    """Run everything and print it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--repeats", type=int, default=9, help="runs behind each median")
    repeats = parser.parse_args().repeats
    sys.path.insert(0, str(ROOT))
    print(f"Python {sys.version.split()[0]}, numpy {np.__version__}, medians of {repeats} runs")
    start_up(repeats)
    look_ups(repeats)
    comparisons(repeats)


if __name__ == "__main__":
    main()
