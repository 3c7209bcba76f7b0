"""What a ZIP code tells: cold water by month, carbon dioxide of a kilowatt-hour, state and county. Once a ZIP."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from advisor.core.errors import AdvisorError
from advisor.place.emissions import grid_co2_lb_per_kwh
from advisor.place.location import locate
from advisor.place.mains_water import mains_of
from advisor.screening.applicants import Applicants


class Places(NamedTuple):
    """The places of a frame: each once, and which of them every row's is; NaN and an empty word where a ZIP is unknown.

    Parameters
    ----------
    at : ndarray of int
        Number of every row's place.
    mains_f, air_f : ndarray
        Cold water by month, and the mean air of the year. [°F]
    grid_lb_per_kwh : ndarray
        Carbon dioxide of a kilowatt-hour. [lb/kWh]
    county : ndarray of str
        County and state.
    """

    at: np.ndarray
    mains_f: np.ndarray
    air_f: np.ndarray
    grid_lb_per_kwh: np.ndarray
    county: np.ndarray


def places_of(applicants: Applicants) -> Places:
    """Every row's place, each ZIP looked up once."""
    codes, texts = applicants.spellings("zip_code")
    found = [*map(_place, texts.to_pylist()), _NOWHERE]
    mains_f, air_f, grid = (np.array([one[n] for one in found]) for n in range(3))
    return Places(codes % len(found), mains_f, air_f, grid, np.array([one.county for one in found], dtype=object))


class _Place(NamedTuple):
    mains_f: tuple[float, ...]
    air_f: float
    grid_lb_per_kwh: float
    county: str


_NOWHERE = _Place((np.nan,) * 12, np.nan, np.nan, "")


@lru_cache(maxsize=50_000)
def _place(zip_code: str) -> _Place:
    try:
        where = locate(zip_code=zip_code)
        mains = mains_of(where.outdoor_f)
        grid = grid_co2_lb_per_kwh(where.zip_code, where.state)
    except AdvisorError:
        return _NOWHERE
    air_f = float(np.mean(where.outdoor_f))
    return _Place(tuple(map(float, mains.mains_f)), air_f, grid.co2_lb_per_kwh, f"{where.county}, {where.state}")
