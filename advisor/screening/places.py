"""What a ZIP code tells: cold water by month, carbon dioxide of a kilowatt-hour, state and county. Once a ZIP."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from advisor.core.errors import AdvisorError
from advisor.place.emissions import grid_co2_lb_per_kwh
from advisor.place.location import locate
from advisor.place.mains_water import mains_by_month_f
from advisor.screening.applicants import Applicants


class Places(NamedTuple):
    """The places of a frame's rows; NaN and empty words where a ZIP is unknown."""

    mains_f: np.ndarray
    grid_lb_per_kwh: np.ndarray
    county: np.ndarray


def places_of(applicants: Applicants) -> Places:
    """Every row's place, each ZIP looked up once."""
    codes, texts = applicants.spellings("zip_code")
    found = [_place(text) for text in texts.to_pylist()]
    mains_f = np.array([one[0] for one in found] + [_NOWHERE[0]])[codes]
    grid = np.array([one[1] for one in found] + [_NOWHERE[1]])[codes]
    county = np.array([one[2] for one in found] + [_NOWHERE[2]], dtype=object)[codes]
    return Places(mains_f, grid, county)


_NOWHERE: tuple[tuple[float, ...], float, str] = ((np.nan,) * 12, np.nan, "")


@lru_cache(maxsize=50_000)
def _place(zip_code: str) -> tuple[tuple[float, ...], float, str]:
    try:
        where = locate(zip_code=zip_code)
        mains = mains_by_month_f(where.air_by_month_f)
        grid = grid_co2_lb_per_kwh(where.zip_code, where.state)
    except AdvisorError:
        return _NOWHERE
    return tuple(map(float, mains.by_month_f)), grid.co2_lb_per_kwh, f"{where.county}, {where.state}"
