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
    """The places of a frame's rows; NaN and empty words where a ZIP is unknown."""

    mains_f: np.ndarray
    air_f: np.ndarray
    grid_lb_per_kwh: np.ndarray
    county: np.ndarray


def places_of(applicants: Applicants) -> Places:
    """Every row's place, each ZIP looked up once."""
    codes, texts = applicants.spellings("zip_code")
    found = [_place(text) for text in texts.to_pylist()]
    mains_f, air_f, grid = (np.array([one[n] for one in (*found, _NOWHERE)])[codes] for n in range(3))
    county = np.array([one.county for one in (*found, _NOWHERE)], dtype=object)[codes]
    return Places(mains_f, air_f, grid, county)


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
