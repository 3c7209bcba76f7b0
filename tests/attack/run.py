"""The attack, run by hand: python -m tests.attack.run fuzz|houses|lines|kills|distinct|links [--count N] [--seed N].

Seeds are fixed: what is found can be made again. It ends with 1 where something was found. ``distinct`` sends many
different cases through one process, as a server would, and watches its memory and its open files; ``links`` opens
tampered links on a running server.
"""

from __future__ import annotations

import argparse
import os
import random
import tempfile
import time
from pathlib import Path

from advisor.case.file import case_from
from advisor.core.errors import InputError
from tests.attack import fuzz, houses, kills, lines
from tests.attack.generators import house
from tests.attack.served_links import served_links


def _fuzz(count: int, seed: int, seconds: float) -> list[str]:
    found = fuzz.fuzz(count, seed, seconds=seconds)
    for (name, outcome), often in sorted(found.outcomes.items()):
        print(f"{name:10} {outcome:9} {often:7,}")
    for took, name, text in sorted(found.slow)[-10:]:
        print(f"{took:6.1f} s  {name}  {text}")
    print(
        f"{len(found.seconds):,} inputs in {sum(found.seconds):,.0f} s: {len(found.faults)} faults,"
        f" {100 * (1 - found.share_over(1)):.2f} % under 1 s, the longest {max(found.seconds):.1f} s"
    )
    return found.faults


def _houses(count: int, seed: int, seconds: float) -> list[str]:
    kept = houses.houses(count, seed, seconds=seconds)
    print(f"{kept.houses:,} houses, {kept.tried:,} changes, {len(kept.broken)} rules broken")
    return kept.broken


def _lines(count: int, seed: int, seconds: float) -> list[str]:
    chosen = lines.LINES[seed:][:count]
    with tempfile.TemporaryDirectory() as folder:
        lines.put_files(Path(folder))
        found = [what for one in chosen if (what := lines.wrong(one, Path(folder)))]
    for wait_s in (0.5, 0.8, 1.1):  # earlier it is Python itself that is stopped, later it is done
        code, said = lines.interrupted(wait_s)
        if code not in {130, -2} or "Error" in said:
            found.append(f"interrupted after {wait_s} s: {code}, {said[-200:]}")
    print(f"{len(chosen)} lines and 3 interrupts, {len(found)} wrong")
    return found


def _kills(count: int, seed: int, seconds: float) -> list[str]:
    return kills.kills(min(count, 50), seed)


def _distinct(count: int, seed: int, seconds: float) -> list[str]:
    from advisor.web import state

    chance, late = random.Random(f"distinct {seed}"), time.monotonic() + seconds
    made, bad, began = 0, [], time.monotonic()
    while made < count and time.monotonic() < late:
        try:
            state._comparison_of(case_from(house(chance)))
        except InputError:
            continue
        except Exception as error:  # this is what is looked for
            bad.append(f"{type(error).__name__}: {error}")
        made += 1
        if made % 100 == 0:
            print(f"{made} cases: {_memory_mb():.0f} MB, {len(list(Path('/proc/self/fd').iterdir()))} files open")
    print(f"{made} distinct cases in {time.monotonic() - began:.0f} s")
    return bad


def _memory_mb() -> float:
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def main() -> int:
    what = {
        "fuzz": _fuzz,
        "houses": _houses,
        "lines": _lines,
        "kills": _kills,
        "distinct": _distinct,
        "links": served_links,
    }
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("what", choices=what)
    options.add_argument("--count", type=int, default=1000)
    options.add_argument("--seed", type=int, default=0)
    options.add_argument("--seconds", type=float, default=float("inf"))
    chosen = options.parse_args()
    found = what[chosen.what](chosen.count, chosen.seed, chosen.seconds)
    print("\n".join(found))
    return 1 if found else 0


if __name__ == "__main__":
    raise SystemExit(main())
