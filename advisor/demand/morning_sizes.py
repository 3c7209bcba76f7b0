"""How much smaller or larger than the busy hour the mornings of a year are.

The busy hour is one that a household plans for; most mornings draw less, some more. How often is read off the
year of random draws: the fullest hour of each morning over the busy hour that is assumed for so many people. Table
``morning_sizes`` keeps it, so that an answer needs no year: ``python -m advisor.demand.morning_sizes`` writes it anew.
"""

from __future__ import annotations

import csv
import sys
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np

from advisor.case.people import equivalent_bedrooms
from advisor.core.tables import load
from advisor.core.units import DAYS_BY_MONTH
from advisor.demand import busy_hour, rating_home
from advisor.demand.events import DAY_MIN, Draws, random_year
from advisor.physics.water import hot_share_frac

#: Hours of the day in which a morning's fullest hour begins and ends. [h]
MORNING_H = (5.0, 11.0)
#: Households of the table, two bathrooms each, and years of each; smaller ones have no typical morning. Our own choice.
_PEOPLE, _FULL_BATHS, _SEEDS = (3, 4, 5, 6, 7), 2, (1, 2, 3)
#: Where the table ends. [-]
MOST_SIZE_DIMENSIONLESS = 2.0
_SIZES = np.round(np.arange(0.0, MOST_SIZE_DIMENSIONLESS + 0.001, 0.05), 2)


@dataclass(frozen=True, eq=False)
class Mornings:
    """The mornings of a household's year: how many draw more than a heater carries.

    Parameters
    ----------
    easing_dimensionless : ndarray, shape (12,)
        Hot water that the same shower takes in the coldest month over each month's: warmer cold water eases it. [-]
    """

    easing_dimensionless: np.ndarray

    @cached_property
    def _by_size_per_yr(self) -> np.ndarray:
        """Mornings that draw more, at each size of the table: they fall without a pause. [1/yr]"""
        sizes, larger = _table()
        share = np.interp(np.outer(sizes, self.easing_dimensionless), sizes, larger, right=0.0)
        return share @ DAYS_BY_MONTH - 1e-6 * np.arange(len(sizes))

    def beyond_per_yr(self, carries_frac: float) -> float:
        """Mornings that draw more than this share of the busy hour; 0 beyond twice the busy hour. [1/yr]"""
        return max(0.0, float(np.interp(carries_frac, _table()[0], self._by_size_per_yr, right=0.0)))

    def carries_frac(self, mornings_per_yr: float) -> float:
        """Share of the busy hour that so many mornings exceed. [-]"""
        return float(np.interp(mornings_per_yr, self._by_size_per_yr[::-1], _table()[0][::-1]))


def mornings_of(use_f: float, set_point_f: float, mains_f: np.ndarray) -> Mornings:
    """The mornings of a household that wants water of ``use_f``, by its cold water in each month. [°F]"""
    share = np.asarray(hot_share_frac(use_f, set_point_f, mains_f))
    return Mornings(share.max() / np.maximum(share, 1e-3))


@cache
def _table() -> tuple[np.ndarray, np.ndarray]:
    table = load("morning_sizes")
    return table["size_dimensionless"], table["larger_frac"]


def fullest_hours_gal(draws: Draws) -> np.ndarray:
    """Most that is drawn in any 60 minutes of each morning of a year. [gal]"""
    clock_h = draws.start_min % DAY_MIN / 60
    early = (clock_h >= MORNING_H[0]) & (clock_h < MORNING_H[1])
    start, end, flow = draws.start_min[early], draws.end_min[early], draws.flow_gpm[early]
    most = np.zeros(365)
    for opened in start:  # the fullest hour begins with a draw
        low, high = np.searchsorted(start, (opened - 60.0, opened + 60.0))
        running = np.clip(np.minimum(end[low:high], opened + 60) - np.maximum(start[low:high], opened), 0, None)
        day = min(int(opened // DAY_MIN), 364)
        most[day] = max(most[day], float(running @ flow[low:high]))
    return most


def sizes_of_mornings(people: int, seed: int) -> np.ndarray:
    """Fullest hour of each morning of a random year in the reference home, over the busy hour of so many people. [-]"""
    bedrooms = float(equivalent_bedrooms(people))
    mixed_gpd = float(rating_home.fixture_use_gpd(bedrooms) + rating_home.pipe_waste_gpd(bedrooms))
    machines_gpd = float(rating_home.dishwasher_gpd(bedrooms) + rating_home.clothes_washer_gpd(bedrooms))
    uses = busy_hour.default_busy_hour(people, _FULL_BATHS, set_point_f=120.0)
    busy_gal = sum(use.count * use.mixed_gpm * use.duration_min for use in uses)
    return fullest_hours_gal(random_year(mixed_gpd, machines_gpd, seed=seed)) / busy_gal


def main() -> None:
    """Print the table."""
    sizes = np.concatenate([sizes_of_mornings(people, seed) for people in _PEOPLE for seed in _SEEDS])
    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(("size_dimensionless", "larger_frac"))
    writer.writerows((float(size), round(float(np.mean(sizes > size)), 4)) for size in _SIZES)


if __name__ == "__main__":
    main()
