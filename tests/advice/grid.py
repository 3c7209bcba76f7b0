"""What is advised in 560 houses: 20 cities, one to seven people, four fuels. Run by hand, from the top of a clone:

    python tests/advice/grid.py            # about three minutes
    python tests/advice/grid.py --csv picks.csv --fuel propane    # a quarter of it

Printed: the picks by fuel, and how many houses contradict themselves: a heading against its table, a storage heater
that is rated a tenth higher and holds no less but is judged worse, a pick that cannot heat where it stands.
"""

from __future__ import annotations

import argparse
import csv
import sys
import time
from collections import Counter
from datetime import date
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from advisor.bench import machine_code
from advisor.case.file import case_from
from advisor.comparison import Comparison, compare
from advisor.core.verdicts import FALLS_SHORT
from tests.unit.test_headings import contradictions

TODAY = date(2026, 11, 28)
CITIES = (
    "Duluth, MN",
    "Fairbanks, AK",
    "Minneapolis, MN",
    "Chicago, IL",
    "Boston, MA",
    "Buffalo, NY",
    "Pittsburgh, PA",
    "Columbus, OH",
    "Denver, CO",
    "Seattle, WA",
    "Portland, ME",
    "Sacramento, CA",
    "Phoenix, AZ",
    "Albuquerque, NM",
    "Atlanta, GA",
    "Charlotte, NC",
    "Houston, TX",
    "San Antonio, TX",
    "Miami, FL",
    "Honolulu, HI",
)
FUELS = ("natural_gas", "propane", "heating_oil", "electricity")
#: A heat pump without an element wants a room whose coldest month is no colder on average.
_COLDEST_ROOM_F = 45.0
_RATED_HIGHER = 1.10


def house(city: str, people: int, fuel: str) -> Comparison:
    """A plain house: the tank that failed is of the usual size for the people."""
    size_gal = 40 if people <= 3 else 50 if people <= 5 else 75 if fuel == "natural_gas" else 50
    case = {
        "place": {"city": city},
        "household": {"people": people},
        "failed": {"fuel": fuel, "size_gal": 32 if fuel == "heating_oil" else size_gal},
        "house": {"fuels": [] if fuel == "electricity" else [fuel]},
    }
    if fuel == "electricity":
        case["house"] = {"fuels": ["electricity"]}
    return compare(case_from(case), today=TODAY)


def cannot_heat(comparison: Comparison) -> bool:
    """The pick falls short, or is a heat pump in a room where its compressor cannot run."""
    pick = comparison.advice.pick
    if pick is None:
        return False
    coldest_f = float(np.min(comparison.circumstances.air_f))
    least_f = 32.0 if pick.heater.technology.has_backup_element else _COLDEST_ROOM_F
    frozen = pick.heater.is_heat_pump and coldest_f < least_f
    return frozen or pick.capacity.verdict == FALLS_SHORT


def inversions(comparison: Comparison) -> int:
    """Pairs of storage heaters of which the one rated a tenth higher and holding no less is judged worse."""
    tanks = [one for one in comparison.candidates if one.heater.is_storage and one.heater.fhr_gal and not one.flags]
    return sum(
        one.heater.fhr_gal * one.heater.n_units >= _RATED_HIGHER * other.heater.fhr_gal * other.heater.n_units
        and one.heater.rated_volume_gal * one.heater.n_units >= other.heater.rated_volume_gal * other.heater.n_units
        and one.capacity.verdict.severity > other.capacity.verdict.severity
        for one in tanks
        for other in tanks
    )


def main() -> int:
    """Print what is advised, and everything that contradicts itself."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--csv", metavar="FILE", help="also write a line a house")
    options.add_argument("--fuel", choices=FUELS, action="append", help="of this fuel alone; may be given again")
    chosen = options.parse_args()
    fuels = tuple(chosen.fuel or FUELS)
    machine_code.prepare()
    picks: dict[str, Counter[str]] = {fuel: Counter() for fuel in fuels}
    count: Counter[str] = Counter()
    rows, began = [], time.perf_counter()
    for fuel in fuels:
        for city in CITIES:
            for people in range(1, 8):
                comparison = house(city, people, fuel)
                advice = comparison.advice
                kind = "nothing" if advice.pick is None else advice.pick.heater.technology.title
                picks[fuel][kind] += 1
                wrong = contradictions(comparison)
                count["houses"] += 1
                count["contradictions"] += bool(wrong)
                count["order inversions"] += inversions(comparison)
                count["picks that cannot heat"] += cannot_heat(comparison)
                count["same again is the pick"] += advice.pick is not None and advice.pick is advice.same_again
                count["several heaters picked"] += advice.pick is not None and advice.pick.heater.n_units > 1
                count["smaller than what failed"] += advice.is_smaller
                row = [
                    fuel,
                    city,
                    people,
                    *(_id(one) for one in (advice.pick, advice.same_again, advice.cheapest_to_own)),
                ]
                rows.append([*row, advice.why if advice.pick else "", "; ".join(wrong)])
                if wrong:
                    print(f"contradiction: {fuel}, {city}, {people}: {'; '.join(wrong)}")
                if cannot_heat(comparison):
                    print(f"cannot heat: {fuel}, {city}, {people}: {_id(advice.pick)}")
    for fuel in fuels:
        print(f"{fuel}: " + ", ".join(f"{kind} {n}" for kind, n in picks[fuel].most_common()))
    print(", ".join(f"{what} {n}" for what, n in count.items()))
    print(f"{1000 * (time.perf_counter() - began) / count['houses']:.0f} ms a house")
    if chosen.csv:
        with Path(chosen.csv).open("w", encoding="utf-8", newline="") as stream:
            writer = csv.writer(stream)
            writer.writerow(["fuel", "city", "people", "pick", "same_again", "cheapest", "why", "wrong"])
            writer.writerows(rows)
    return int(bool(count["contradictions"] or count["order inversions"] or count["picks that cannot heat"]))


def _id(one: object) -> str:
    return "" if one is None else str(one.heater.id)  # type: ignore[attr-defined]


if __name__ == "__main__":
    raise SystemExit(main())
