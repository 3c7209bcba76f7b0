"""The printed vent tables, and what their cells prove of a place that is not printed.

Where a cell was not legible or not printed, its neighbours may still prove enough: a larger or taller vent carries no
less and a longer lateral no more. What neither cell nor neighbours prove stays unknown.
"""

from __future__ import annotations

import math
from functools import cache, lru_cache
from typing import NamedTuple

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.tables import load

#: Above the tallest printed row its cells stand in only so far, because the tables stop recommending tall thin vents
#: with long laterals: our own caution.
_TALLER_FRAC, _TALLER_LATERAL_FT = 1.5, 10.0
#: The tables print no shorter lateral but none at all. [ft]
_SHORTEST_FT = 2.0
#: The least input of a fan-assisted appliance no longer falls with height above this, where laterals are long. [ft]
_LEAST_FALLS_TO_FT = 20.0


def single(column: str, height_ft: Numbers, lateral_ft: Numbers, diameter_in: Numbers) -> Numbers:
    """A column of the single-appliance table, linear between whole cells; NaN where one of them is missing."""
    height, lateral, diameter = np.broadcast_arrays(
        *(np.asarray(value, dtype=float) for value in (height_ft, lateral_ft, diameter_in))
    )
    table = _cells(column)
    result = np.full(height.shape, np.nan)
    for size in np.unique(table.diameter_in):
        of_size = table.diameter_in == size
        heights = np.unique(table.height_ft[of_size])
        rows = [_across(table, of_size & (table.height_ft == row_height), lateral) for row_height in heights]
        result = np.where(diameter == size, _between(heights, np.stack(rows), height), result)
    return result[()]


class _Cells(NamedTuple):
    """A column of a table; a floor is a cell of which only the least is known."""

    height_ft: np.ndarray
    lateral_ft: np.ndarray
    diameter_in: np.ndarray
    btuh: np.ndarray
    is_floor: np.ndarray


@cache
def _cells(column: str) -> _Cells:
    rows = [row for row in load("type_b_vent_capacity").rows() if row["column"] == column]
    height, lateral, diameter, btuh = (
        np.array([row[name] for row in rows], dtype=float)
        for name in ("height_ft", "lateral_ft", "diameter_in", "capacity_btuh")
    )
    return _Cells(height, lateral, diameter, btuh, np.array([row["is_floor"] for row in rows], dtype=bool))


def _across(table: _Cells, of_row: np.ndarray, lateral: np.ndarray) -> np.ndarray:
    """One printed row at any lateral; a floor is no number to interpolate to."""
    order = np.argsort(table.lateral_ft[of_row])
    laterals = table.lateral_ft[of_row][order]
    whole = np.where(table.is_floor[of_row], np.nan, table.btuh[of_row])[order]
    sloped = laterals > 0
    straight = whole[~sloped][0] if (~sloped).any() else np.nan
    if not sloped.any():
        return np.where(lateral == 0, straight, np.nan)
    shared = np.broadcast_to(whole[sloped].reshape(-1, *(1,) * lateral.ndim), (int(sloped.sum()), *lateral.shape))
    across = _between(laterals[sloped], shared, np.maximum(lateral, _SHORTEST_FT))
    return np.where(lateral == 0, straight, np.where(lateral > 0, across, np.nan))


def _between(points: np.ndarray, rows: np.ndarray, value: np.ndarray) -> np.ndarray:
    """Linear between the two printed rows around a value; NaN outside, and where either row is NaN."""
    if len(points) == 1:
        return np.where(value == points[0], rows[0], np.nan)
    upper = np.clip(np.searchsorted(points, value, side="left"), 1, len(points) - 1)
    share = (value - points[upper - 1]) / (points[upper] - points[upper - 1])
    low = np.take_along_axis(rows, (upper - 1)[np.newaxis], axis=0)[0]
    high = np.take_along_axis(rows, upper[np.newaxis], axis=0)[0]
    # A point that is itself printed needs only its own row.
    found = np.where(share == 0, low, np.where(share == 1, high, low + (high - low) * share))
    return np.where((value >= points[0]) & (value <= points[-1]), found, np.nan)


def common(connector: str, pair: str, height_ft: Numbers, diameter_in: Numbers) -> Numbers:
    """A column of the common-vent table, linear between printed heights."""
    height, diameter = np.broadcast_arrays(np.asarray(height_ft, dtype=float), np.asarray(diameter_in, dtype=float))
    table = _common_cells(connector, pair)
    heights = np.unique(table.height_ft)
    result = np.full(height.shape, np.nan)
    for size in np.unique(table.diameter_in):
        of_size = table.diameter_in == size
        printed = dict(zip(table.height_ft[of_size], table.btuh[of_size], strict=True))
        rows = np.stack([np.full(height.shape, printed.get(one, np.nan)) for one in heights])
        result = np.where(diameter == size, _between(heights, rows, height), result)
    return result[()]


@cache
def _common_cells(connector: str, pair: str) -> _Cells:
    rows = [row for row in load("common_vent_capacity").rows() if row["connector"] == connector and row["pair"] == pair]
    height, diameter, btuh = (
        np.array([row[name] for row in rows], dtype=float) for name in ("height_ft", "diameter_in", "capacity_btuh")
    )
    return _Cells(height, np.zeros_like(height), diameter, btuh, np.zeros(height.shape, dtype=bool))


class Bounds(NamedTuple):
    """What the printed cells prove: the true figure is at least ``least_btuh`` and at most ``most_btuh``. [Btu/h]"""

    least_btuh: float
    most_btuh: float

    def times(self, share_frac: float) -> Bounds:
        """Both, less what elbows or a corrugated liner take."""
        return Bounds(self.least_btuh * share_frac, self.most_btuh * share_frac)


def _proved(exact: float, table: _Cells, is_less: np.ndarray, is_more: np.ndarray) -> Bounds:
    """The figure itself where it is printed, else the nearest cells on either side."""
    if not math.isnan(exact):
        return Bounds(exact, exact)
    whole = is_more & ~table.is_floor
    return Bounds(
        float(table.btuh[is_less].max(initial=0.0)),
        float(table.btuh[whole].min(initial=math.inf)),
    )


@lru_cache(maxsize=4096)
def type_b_bounds(column: str, height_ft: float, lateral_ft: float, diameter_in: float) -> Bounds:
    """What the single-appliance table proves of its ``fan_min``, ``fan_max`` or ``nat_max`` at any place. [Btu/h]"""
    exact = float(single(column, height_ft, lateral_ft, diameter_in))
    table = _cells(column)
    lateral = max(lateral_ft, _SHORTEST_FT) if lateral_ft > 0 else 0.0
    tallest = table.height_ft[table.diameter_in <= diameter_in].max(initial=0.0)
    near = (height_ft <= tallest) | ((table.height_ft * _TALLER_FRAC >= height_ft) & (lateral <= _TALLER_LATERAL_FT))
    lower, higher = table.height_ft <= height_ft, table.height_ft >= height_ft
    narrower, wider = table.diameter_in <= diameter_in, table.diameter_in >= diameter_in
    longer, shorter = table.lateral_ft >= lateral, table.lateral_ft <= lateral
    if column == "fan_min":
        falls = table.height_ft <= _LEAST_FALLS_TO_FT
        return _proved(exact, table, higher & shorter & narrower & falls, lower & longer & wider & falls & near)
    return _proved(exact, table, lower & longer & narrower & near, higher & shorter & wider)


@lru_cache(maxsize=4096)
def common_bounds(connector: str, pair: str, height_ft: float, diameter_in: float) -> Bounds:
    """What the common-vent table proves. [Btu/h]

    Type B connectors lose less heat than single-wall ones, and two draft hoods carry no more than one beside a fan.
    """
    least, most = _common_proved(connector, pair, height_ft, diameter_in)
    if connector == "type_b":
        least = max(least, _common_proved("single_wall", pair, height_ft, diameter_in).least_btuh)
    above = "fan_nat" if pair == "nat_nat" else pair
    return Bounds(least, min(most, _common_proved("type_b", above, height_ft, diameter_in).most_btuh))


def _common_proved(connector: str, pair: str, height_ft: float, diameter_in: float) -> Bounds:
    table = _common_cells(connector, pair)
    exact = float(common(connector, pair, height_ft, diameter_in)) if table.btuh.size else math.nan
    less = (table.height_ft <= height_ft) & (table.diameter_in <= diameter_in)
    more = (table.height_ft >= height_ft) & (table.diameter_in >= diameter_in)
    return _proved(exact, table, less, more)


class ChimneyCell(NamedTuple):
    """What a worked example prints of a shared clay tile chimney. [Btu/h], [Btu/h], [°F]"""

    capacity_btuh: float
    least_space_heater_btuh: float
    design_f: float


def chimney_cell(where: str, height_ft: float, area_in2: float) -> ChimneyCell | None:
    """The printed cell that a chimney of a fan-assisted furnace and a draft hood reaches: it carries no less."""
    reached = [
        row
        for row in load("common_chimney_capacity").rows()
        if row["where"] == where and row["height_ft"] <= height_ft and row["area_in2"] <= area_in2
    ]
    best = max(reached, key=lambda row: row["capacity_btuh"], default=None)
    if best is None:
        return None
    return ChimneyCell(best["capacity_btuh"], best["least_space_heater_btuh"] or 0.0, best["design_f"] or math.nan)


def diameters_in() -> tuple[float, ...]:
    """Printed diameters of the single-appliance table. [in.]"""
    return tuple(float(size) for size in np.unique(_cells("nat_max").diameter_in))
