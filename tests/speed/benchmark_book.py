"""How long the job book takes to list 2,000 jobs: the first time, and once their lines are known.

Run by hand: ``PYTHONPATH=. python tests/speed/benchmark_book.py``.
"""

from __future__ import annotations

import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

from advisor.book import listing
from advisor.book.store import Book
from advisor.case.file import case_from, write_case
from advisor.core import paths

JOBS = 2_000


def fill(folder: Path) -> None:
    """Every demo house over and over, each of another customer and day, every second with an offer."""
    import tomllib

    houses = [tomllib.loads(path.read_text(encoding="utf-8")) for path in sorted(paths.CASES.glob("*.toml"))]
    for number in range(JOBS):
        given = dict(houses[number % len(houses)])
        given |= {"name": f"Customer {number}", "job": {"visit_on": date(2020, 1, 1) + timedelta(days=number)}}
        if number % 2:
            lines = [{"what": f"line {n}", "kind": "material", "usd": 100 + n} for n in range(20)]
            given["offers"] = [{"candidate": "gas-tank-50", "lines": lines}]
        (folder / f"{number:05} job.toml").write_text(write_case(case_from(given)), encoding="utf-8")


def main() -> None:
    """Print the seconds."""
    with tempfile.TemporaryDirectory() as made:
        fill(Path(made))
        book = Book(Path(made))
        for what in ("first", "again"):
            start = time.perf_counter()
            found = book.jobs()
            print(f"{what}: {len(found)} jobs in {time.perf_counter() - start:.3f} s")
        start = time.perf_counter()
        print(f"search: {len(listing.matching(found, 'customer 19'))} in {time.perf_counter() - start:.4f} s")


if __name__ == "__main__":
    main()
