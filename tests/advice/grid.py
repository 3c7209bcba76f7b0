"""What is advised in 560 houses: 20 cities, one to seven people, four fuels. Run by hand, from the top of a clone:

    python tests/advice/grid.py            # about five minutes
    python tests/advice/grid.py --csv picks.csv --fuel propane    # a quarter of it

Printed: the picks by fuel with what they save over the years against the same again and the best of another kind, and
how many houses contradict themselves: a heading against its table, a storage heater that is rated a tenth higher and
holds no less but is judged worse, a verdict against its own mornings, one that is better with a person more, a pick
that cannot heat where it stands, by its room or by its own year on the bench.
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
from advisor.core.verdicts import FALLS_SHORT, KEEPS_UP, WITH_CARE
from advisor.heaters.hand_sizing import KEEPS_UP_MOST_PER_YR, WITH_CARE_MOST_PER_YR
from advisor.recommendation.kinds import bar_of
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
#: Share of the year's heat that a pick gives on the bench at the least, whose draws are others than the model's.
_HEATS_FRAC = 0.90


#: What must be nothing.
_FAULTS = (
    "contradictions",
    "order inversions",
    "verdicts against their mornings",
    "better with a person more",
    "picks that cannot heat",
)


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
    """The pick falls short, its room stops its compressor, or its year on the bench is cold."""
    pick = comparison.advice.pick
    if pick is None:
        return False
    coldest_f = float(np.min(comparison.circumstances.air_f))
    least_f = 32.0 if pick.heater.technology.has_backup_element else _COLDEST_ROOM_F
    frozen = pick.heater.is_heat_pump and coldest_f < least_f
    year = comparison.bench.year(pick.heater)
    is_cold = year.heat_btu < _HEATS_FRAC * float(np.sum(pick.energy.heat_btu))
    return frozen or is_cold or pick.capacity.verdict == FALLS_SHORT


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


def disagreements(comparison: Comparison) -> int:
    """Verdicts that are not what their mornings a year say; one that needs care for another reason may be worse."""
    found = 0
    for one in comparison.candidates:
        mornings, verdict = one.capacity.short_mornings_per_yr, one.capacity.verdict
        if mornings is None:
            continue
        says = FALLS_SHORT if mornings > WITH_CARE_MOST_PER_YR else WITH_CARE
        says = KEEPS_UP if mornings <= KEEPS_UP_MOST_PER_YR else says
        found += verdict != says and not (one.capacity.needs_care and says == KEEPS_UP and verdict == WITH_CARE)
    return found


def improved(fewer: Comparison | None, more: Comparison) -> int:
    """Candidates that keep up better with a person more."""
    before = {} if fewer is None else {one.heater.id: one.capacity.verdict.severity for one in fewer.candidates}
    return sum(one.capacity.verdict.severity < before.get(one.heater.id, 0) for one in more.candidates)


def spared(comparison: Comparison) -> tuple[float | None, float | None]:
    """What the pick costs less over the years than the same again and than the best of another kind. [-]"""
    advice = comparison.advice
    same = None if advice.same_again is None or bar_of(advice.same_again) else advice.same_again
    others = None if same is advice.pick else same, advice.rival
    if advice.pick is None:
        return None, None
    mine_usd = advice.pick.money.point_usd
    first, second = (None if one is None else 1 - mine_usd / one.money.point_usd for one in others)
    return first, second


def _middle(fracs: list[float | None]) -> str:
    known = [frac for frac in fracs if frac is not None]
    return f"{100 * float(np.median(known)):.0f} % ({len(known)})" if known else "-"


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
    gains: dict[tuple[str, str], list[tuple[float | None, float | None]]] = {}
    rows, began = [], time.perf_counter()
    for fuel in fuels:
        for city in CITIES:
            fewer = None
            for people in range(1, 8):
                comparison = house(city, people, fuel)
                advice = comparison.advice
                kind = "nothing" if advice.pick is None else advice.pick.heater.technology.title
                picks[fuel][kind] += 1
                gains.setdefault((fuel, kind), []).append(spared(comparison))
                wrong = contradictions(comparison)
                count["houses"] += 1
                count["contradictions"] += bool(wrong)
                count["order inversions"] += inversions(comparison)
                count["verdicts against their mornings"] += disagreements(comparison)
                count["better with a person more"] += improved(fewer, comparison)
                fewer = comparison
                is_cold = cannot_heat(comparison)
                count["picks that cannot heat"] += is_cold
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
                if is_cold:
                    print(f"cannot heat: {fuel}, {city}, {people}: {_id(advice.pick)}")
    for fuel in fuels:
        print(f"{fuel}: {sum(picks[fuel].values())}")
        for kind, n in picks[fuel].most_common():
            same, other = zip(*gains[fuel, kind], strict=True)
            less = f"than the same again {_middle(list(same)):>10}, another kind {_middle(list(other)):>10}"
            print(f"  {kind:26} {n:4}   less {less}")
    print(", ".join(f"{what} {n}" for what, n in count.items()))
    print(f"{1000 * (time.perf_counter() - began) / count['houses']:.0f} ms a house")
    if chosen.csv:
        with Path(chosen.csv).open("w", encoding="utf-8", newline="") as stream:
            writer = csv.writer(stream)
            writer.writerow(["fuel", "city", "people", "pick", "same_again", "cheapest", "why", "wrong"])
            writer.writerows(rows)
    return int(any(count[what] for what in _FAULTS))


def _id(one: object) -> str:
    return "" if one is None else str(one.heater.id)  # type: ignore[attr-defined]


if __name__ == "__main__":
    raise SystemExit(main())
