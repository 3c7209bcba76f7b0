"""How fast the bench is, warm: run by hand, ``python tests/speed/benchmark_bench.py``. Prints ratios to the budget."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from advisor.bench import federal_tests, morning
from advisor.bench.calibration import retest
from advisor.bench.internals import sources_of, tank_of, unit_of
from advisor.demand import events
from advisor.heaters.catalogue import by_id, catalogue

MAINS = np.array([45, 44, 47, 52, 58, 64, 68, 69, 66, 60, 53, 48.0])
USES = events.morning([(f"shower {i}", 6.0 * i, 8.0, 2.1, 105) for i in range(4)] + [("washer", 20, 3, 2.2, None)])


def fastest(task: Callable[[], object], times: int = 3) -> float:
    """Seconds of the fastest of a few runs, after one to warm up."""
    task()
    seconds = []
    for _ in range(times):
        began = time.perf_counter()
        task()
        seconds.append(time.perf_counter() - began)
    return min(seconds)


def tests_and_morning_of_all() -> None:
    """Both federal tests and the busy morning for every heater of the catalogue."""
    for heater in catalogue():
        inside = retest(heater).internals
        if heater.is_storage:
            tank, source = tank_of(heater, inside), sources_of(heater, inside, np.array([67.5]))[0]
            federal_tests.first_hour(tank, source)
            federal_tests.simulated_use(tank, source, heater.draw_pattern)
        else:
            unit = unit_of(heater, inside)
            federal_tests.max_gpm(unit)
            federal_tests.simulated_use_tankless(unit, heater.draw_pattern)
        morning.run_morning(heater, USES, set_point_f=120.0, inlet_f=48.0, air_f=65.0)


def plain_loop() -> None:
    """A million additions in plain Python: what this machine is worth."""
    total = 0.0
    for i in range(1_000_000):
        total += i


def main() -> None:
    """Print seconds, the share of the budget, and the ratio to a million additions."""
    unit = fastest(plain_loop)
    year = events.random_year(50, 12)

    def year_of(heater_id: str) -> Callable[[], object]:
        return lambda: morning.run_year(
            by_id(heater_id), year, set_point_f=120.0, mains_f=MAINS, air_f=np.full(12, 66.0)
        )

    tasks: list[tuple[str, Callable[[], object], float]] = [
        ("both tests and the morning, all heaters", tests_and_morning_of_all, 1.0),
        ("a year of draws", lambda: events.random_year(50, 12), 0.1),
        ("gas tank year", year_of("gas-tank-50"), 0.1),
        ("electric tank year", year_of("electric-tank-50"), 0.1),
        ("heat pump year", year_of("heat-pump-50"), 0.1),
        ("gas tankless year", year_of("gas-tankless-199"), 0.1),
    ]
    for title, task, budget in tasks:
        seconds = fastest(task)
        print(f"{title:42s} {seconds:7.3f} s  {seconds / budget:5.0%} of budget  {seconds / unit:6.1f} plain loops")


if __name__ == "__main__":
    main()
