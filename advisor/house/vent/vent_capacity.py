"""What a Type B vent or a metal liner can carry, from the legible part of the published tables."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from advisor.core.findings import Finding, care, note, stop
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.verdicts import HouseVerdict, verdict_of

#: Corrugated metal liner against Type B of the same size (IFGC 504.2, liner section).
CORRUGATED_LINER_FRAC = 0.80


@published(
    "IRC 2018 Table G2428.2(1) = IFGC Table 504.2(1), draft hood, legible cells",
    state="verified",
    height_ft=15.0,
    lateral_ft=2.0,
    diameter_in=4.0,
)
def type_b_capacity_btuh(height_ft: Any, lateral_ft: Any, diameter_in: Any) -> Any:
    """Largest input of one draft-hood appliance on a Type B vent.

    Parameters
    ----------
    height_ft : float or ndarray
        Height of the vent above the draft hood, 6 to 20. [ft]
    lateral_ft : float or ndarray
        Horizontal run. Zero means a straight vertical vent; a run shorter than the shortest printed one takes
        that cell, because a shorter run never carries less. [ft]
    diameter_in : float or ndarray
        3 or 4. [in.]

    Returns
    -------
    float or ndarray
        NaN where the table, as far as it was legible, has no cell: a professional must size it. [Btu/h]

    Validity
    --------
    Linear between printed heights and between printed laterals; never beyond the last cell of a row.
    """
    height, lateral, diameter = np.broadcast_arrays(
        *(np.asarray(value, dtype=float) for value in (height_ft, lateral_ft, diameter_in))
    )
    table = load("type_b_vent_capacity")
    result = np.full(height.shape, np.nan)
    for size in np.unique(table["diameter_in"]):
        of_size = table["diameter_in"] == size
        heights = np.unique(table["height_ft"][of_size])
        rows = []
        for row_height in heights:
            cells = of_size & (table["height_ft"] == row_height)
            rows.append(_row_capacity(table["lateral_ft"][cells], table["capacity_btuh"][cells], lateral))
        between = _between_heights(heights, np.stack(rows), height)
        result = np.where(diameter == size, between, result)
    return result[()]


def _row_capacity(laterals: np.ndarray, capacities: np.ndarray, lateral: np.ndarray) -> np.ndarray:
    order = np.argsort(laterals)
    laterals, capacities = laterals[order], capacities[order]
    sloped = laterals > 0
    straight = capacities[~sloped][0] if (~sloped).any() else np.nan
    across = np.interp(lateral, laterals[sloped], capacities[sloped], right=np.nan)
    return np.where(lateral == 0, straight, np.where(lateral > 0, across, np.nan))


def _between_heights(heights: np.ndarray, rows: np.ndarray, height: np.ndarray) -> np.ndarray:
    """Linear between the two printed rows around a height; NaN outside, and where either row is NaN."""
    upper = np.clip(np.searchsorted(heights, height, side="left"), 1, len(heights) - 1)
    share = (height - heights[upper - 1]) / (heights[upper] - heights[upper - 1])
    low = np.take_along_axis(rows, (upper - 1)[np.newaxis], axis=0)[0]
    high = np.take_along_axis(rows, upper[np.newaxis], axis=0)[0]
    # A height that is itself printed needs only its own row.
    value = np.where(share == 0, low, np.where(share == 1, high, low + (high - low) * share))
    return np.where((height >= heights[0]) & (height <= heights[-1]), value, np.nan)


@published(
    "IFGC Table 504.3(2), Type B common vent, single-wall connectors, FAN + NAT, in an older restatement",
    state="cross-checked",
    height_ft=20.0,
    diameter_in=6.0,
)
def common_vent_capacity_btuh(height_ft: Any, diameter_in: Any) -> Any:
    """Largest sum of inputs of a fan-assisted and a draft-hood appliance on one Type B vent.

    Parameters
    ----------
    height_ft : float or ndarray
        Vent height, 6 to 30. [ft]
    diameter_in : float or ndarray
        4, 5 or 6. [in.]

    Returns
    -------
    float or ndarray
        NaN outside the legible cells. Two draft-hood appliances have smaller limits, which this does not
        give. [Btu/h]
    """
    height, diameter = np.broadcast_arrays(np.asarray(height_ft, dtype=float), np.asarray(diameter_in, dtype=float))
    table = load("common_vent_capacity")
    heights = np.unique(table["height_ft"])
    result = np.full(height.shape, np.nan)
    for size in np.unique(table["diameter_in"]):
        cells = {
            h: c
            for h, d, c in zip(table["height_ft"], table["diameter_in"], table["capacity_btuh"], strict=True)
            if d == size
        }
        rows = np.stack([np.full(height.shape, cells.get(h, np.nan)) for h in heights])
        result = np.where(diameter == size, _between_heights(heights, rows, height), result)
    return result[()]


def connector_limits_btuh(diameter_in: Any, rise_ft: Any) -> tuple[Any, Any]:
    """Least and largest input of a fan-assisted appliance on a single-wall connector to a 30 ft common vent.

    Parameters
    ----------
    diameter_in : float or ndarray
        Connector diameter, 3 or 4. [in.]
    rise_ft : float or ndarray
        Connector rise, 1 to 3. [ft]

    Returns
    -------
    tuple of float or ndarray
        Linear between printed rises; NaN outside them. [Btu/h]

    Sources
    -------
    IFGC Table 504.3(2), older restatement. ``data/common_vent_connectors``.
    """
    table = load("common_vent_connectors")
    diameter = np.asarray(diameter_in, dtype=float)
    limits = []
    for column in ("least_btuh", "largest_btuh"):
        value = np.full(np.broadcast_shapes(diameter.shape, np.shape(rise_ft)), np.nan)
        for size in np.unique(table["diameter_in"]):
            row = table["diameter_in"] == size
            across = np.interp(rise_ft, table["rise_ft"][row], table[column][row], left=np.nan, right=np.nan)
            value = np.where(diameter == size, across, value)
        limits.append(value[()])
    return limits[0], limits[1]


@published(
    "NFPA 54 13.2.6 as restated in UPC 2021 510.2.5",
    state="verified",
    capacity_btuh=93_000.0,
    extra_45_count=1.0,
    extra_90_count=1.0,
)
def capacity_with_elbows_btuh(capacity_btuh: Any, extra_45_count: Any, extra_90_count: Any) -> Any:
    """Table capacity less 5 % for each extra elbow up to 45 degrees and 10 % for each up to 90.

    Parameters
    ----------
    capacity_btuh : float or ndarray
        Table value, which already allows for two 90-degree turns (none at zero lateral). [Btu/h]
    extra_45_count, extra_90_count : float or ndarray
        Elbows beyond those. [-]

    Returns
    -------
    float or ndarray
        The deductions are added up, the cautious reading; never below zero. [Btu/h]
    """
    return capacity_btuh * np.maximum(1 - 0.05 * extra_45_count - 0.10 * extra_90_count, 0.0)[()]


@published("IFGC 504.2, corrugated liner section", state="verified", type_b_btuh=93_000.0)
def corrugated_liner_capacity_btuh(type_b_btuh: Any) -> Any:
    """Largest input on a corrugated metal liner: four fifths of Type B of the same size.

    Parameters
    ----------
    type_b_btuh : float or ndarray
        Type B capacity at the same height, lateral and diameter. [Btu/h]

    Returns
    -------
    float or ndarray
        [Btu/h]
    """
    return CORRUGATED_LINER_FRAC * type_b_btuh


@dataclass(frozen=True)
class VentCapacity:
    """A Type B vent against the input on it."""

    finding: Finding
    capacity_btuh: float | None
    margin_btuh: float | None
    verdict: HouseVerdict
    cautions: tuple[str, ...]


def check_type_b(
    input_btuh: float,
    *,
    height_ft: float,
    lateral_ft: float,
    diameter_in: float,
    extra_45: int = 0,
    extra_90: int = 0,
    corrugated_liner: bool = False,
) -> VentCapacity:
    """One draft-hood heater on its own Type B vent or corrugated liner."""
    table_value = float(type_b_capacity_btuh(height_ft, lateral_ft, diameter_in))
    capacity = float(capacity_with_elbows_btuh(table_value, extra_45, extra_90))
    if corrugated_liner:
        capacity = float(corrugated_liner_capacity_btuh(capacity))
    return _against(
        capacity,
        input_btuh,
        ("shared_flue", "draft_test"),
        enough=note("vent.capacity.enough", capacity_btuh=capacity, input_btuh=input_btuh),
        short=stop("vent.capacity.short", "IFGC Table 504.2(1)", capacity_btuh=capacity, input_btuh=input_btuh),
        unknown=care("vent.capacity.unknown"),
    )


def check_common_vent(
    fan_assisted_btuh: float,
    draft_hood_btuh: float,
    *,
    height_ft: float,
    diameter_in: float,
    extra_45: int = 0,
    extra_90: int = 0,
) -> VentCapacity:
    """A fan-assisted furnace and a draft-hood heater together on one Type B vent.

    Two draft-hood appliances use another column, which is not carried here: they need a professional.
    """
    table_value = float(common_vent_capacity_btuh(height_ft, diameter_in)) if fan_assisted_btuh else np.nan
    capacity = float(capacity_with_elbows_btuh(table_value, extra_45, extra_90))
    total = fan_assisted_btuh + draft_hood_btuh
    return _against(
        capacity,
        total,
        ("shared_flue", "draft_test", "carbon_monoxide_alarm"),
        enough=note("vent.capacity.both.enough", capacity_btuh=capacity, input_btuh=total),
        short=stop("vent.capacity.both.short", "IFGC Table 504.3(2)", capacity_btuh=capacity, input_btuh=total),
        unknown=care("vent.capacity.both.unknown"),
    )


def _against(
    capacity_btuh: float,
    input_btuh: float,
    cautions: tuple[str, ...],
    *,
    enough: Finding,
    short: Finding,
    unknown: Finding,
) -> VentCapacity:
    """Capacity less input; NaN where the part of the table that is carried here has no cell."""
    if np.isnan(capacity_btuh):
        return VentCapacity(unknown, None, None, verdict_of(unknown), cautions)
    margin = capacity_btuh - input_btuh
    found = enough if margin >= 0 else short
    return VentCapacity(found, capacity_btuh, margin, verdict_of(found), cautions)
