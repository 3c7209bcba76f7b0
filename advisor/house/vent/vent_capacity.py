"""What a Type B vent or a metal liner can carry, from the legible part of the published tables."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.findings import Finding, Severity, care, note, stop
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.verdicts import FITS, HouseVerdict, verdict_of
from advisor.house.vent.vent_tables import Bounds, common, common_bounds, diameters_in, single, type_b_bounds

#: Corrugated metal liner against Type B of the same size (IFGC 504.2, liner section).
CORRUGATED_LINER_FRAC = 0.80


@published(
    "IRC 2018 Table G2428.2(1) = IFGC Table 504.2(1), draft hood, legible cells",
    state="verified",
    by_hand=True,
    height_ft=15.0,
    lateral_ft=2.0,
    diameter_in=4.0,
)
def type_b_capacity_btuh(height_ft: Numbers, lateral_ft: Numbers, diameter_in: Numbers) -> Numbers:
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
        NaN where the table, as far as it was legible, has no whole cell; ``check_type_b`` says what its neighbours
        prove. [Btu/h]

    Validity
    --------
    Linear between printed heights and between printed laterals; never beyond the last cell of a row.
    """
    return single("nat_max", height_ft, lateral_ft, diameter_in)


@published(
    "IFGC Table 504.3(2), Type B common vent, single-wall connectors, FAN + NAT, in an older restatement",
    state="cross-checked",
    by_hand=True,
    height_ft=20.0,
    diameter_in=6.0,
)
def common_vent_capacity_btuh(height_ft: Numbers, diameter_in: Numbers) -> Numbers:
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
    return common("single_wall", "fan_nat", height_ft, diameter_in)


def connector_limits_btuh(diameter_in: Numbers, rise_ft: Numbers) -> tuple[Any, Any]:
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
def capacity_with_elbows_btuh(capacity_btuh: Numbers, extra_45_count: Numbers, extra_90_count: Numbers) -> Numbers:
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
def corrugated_liner_capacity_btuh(type_b_btuh: Numbers) -> Numbers:
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
    """A Type B vent against the input on it; the capacity is the figure that decided: exact, at least or at most."""

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
    extra_90: int = 0,
    corrugated_liner: bool = False,
    fan_assisted: bool = False,
) -> VentCapacity:
    """One appliance on its own Type B vent or corrugated liner, with a Type B connector.

    Parameters
    ----------
    input_btuh : float
        From its rating plate. [Btu/h]
    height_ft, lateral_ft, diameter_in : float
        The vent. [ft], [ft], [in.]
    extra_90 : int
        90-degree turns beyond the two that the table allows for.
    corrugated_liner : bool
        A corrugated liner in a chimney instead of Type B.
    fan_assisted : bool
        An induced-draft fan instead of a draft hood: such an appliance has a least input too.

    Sources
    -------
    IFGC Table 504.2(1); NFPA 54 13.2.6 on elbows.
    """
    place = (height_ft, lateral_ft, diameter_in)
    share = float(capacity_with_elbows_btuh(1.0, 0, extra_90))
    if corrugated_liner:
        share = float(corrugated_liner_capacity_btuh(share))
    column = "fan_max" if fan_assisted else "nat_max"
    judged = _against(type_b_bounds(column, *place).times(share), input_btuh, _ONE, "IFGC Table 504.2(1)")
    if fan_assisted and judged.severity is not Severity.STOP:
        least = type_b_bounds("fan_min", *place)
        if input_btuh < least.least_btuh:
            section = "IFGC Table 504.2(1)"
            judged = stop("vent.capacity.too_wide", section, input_btuh=input_btuh, capacity_btuh=least.least_btuh)
        elif input_btuh < least.most_btuh:
            judged = care("vent.capacity.unknown", "IFGC Table 504.2(1)")
    return _judged(judged, input_btuh, ("shared_flue", "draft_test"))


def check_common_vent(
    fan_assisted_btuh: float,
    draft_hood_btuh: float,
    *,
    height_ft: float,
    diameter_in: float,
    extra_90: int = 0,
    has_type_b_connectors: bool | None = None,
) -> VentCapacity:
    """Several appliances together on one Type B vent.

    Parameters
    ----------
    fan_assisted_btuh, draft_hood_btuh : float
        Inputs of each sort; without a fan-assisted one they are all draft hoods. [Btu/h]
    height_ft, diameter_in : float
        The vent. [ft], [in.]
    extra_90 : int
        90-degree turns beyond the two that the table allows for.
    has_type_b_connectors : bool or None
        Double-wall connectors; None where nobody knows.

    Sources
    -------
    IFGC Tables 504.3(1) and 504.3(2). Of two draft hoods only the cell of a worked example is carried here.
    """
    total = fan_assisted_btuh + draft_hood_btuh
    pair = "nat_nat" if not fan_assisted_btuh else "fan_nat" if draft_hood_btuh else "fan_fan"
    share = float(capacity_with_elbows_btuh(1.0, 0, extra_90))

    def against(connector: str) -> Finding:
        bounds = common_bounds(connector, pair, height_ft, diameter_in).times(share)
        section = f"IFGC Table 504.3({1 if connector == 'type_b' else 2})"
        return _against(bounds, total, _SEVERAL, section)

    judged = against("type_b" if has_type_b_connectors else "single_wall")
    if has_type_b_connectors is None and judged.severity:
        double = against("type_b")
        if double.severity == 0:
            capacity = float(str(double.number("capacity_btuh")))
            judged = care("vent.capacity.both.with_type_b", double.citation, capacity_btuh=capacity, input_btuh=total)
        else:
            judged = double
    return _judged(judged, total, ("shared_flue", "draft_test", "carbon_monoxide_alarm"))


class _Words(NamedTuple):
    """Codes of what a table may prove."""

    enough: str
    at_least: str
    short: str
    at_most: str
    unknown: str


_ONE = _Words(
    "vent.capacity.enough",
    "vent.capacity.at_least",
    "vent.capacity.short",
    "vent.capacity.at_most",
    "vent.capacity.unknown",
)
_SEVERAL = _Words(
    "vent.capacity.both.enough",
    "vent.capacity.both.at_least",
    "vent.capacity.both.short",
    "vent.capacity.both.at_most",
    "vent.capacity.both.unknown",
)


def _against(bounds: Bounds, input_btuh: float, words: _Words, section: str) -> Finding:
    """Input against what the cells prove of a largest input."""
    least, most = bounds
    exact = least == most
    if input_btuh <= least:
        said = words.enough if exact else words.at_least
        return note(said, section, capacity_btuh=least, input_btuh=input_btuh)
    if input_btuh > most:
        said = words.short if exact else words.at_most
        return stop(said, section, capacity_btuh=most, input_btuh=input_btuh)
    return care(words.unknown, section)


def _judged(found: Finding, input_btuh: float, cautions: tuple[str, ...]) -> VentCapacity:
    capacity = dict(found.numbers).get("capacity_btuh")
    if not isinstance(capacity, float):
        return VentCapacity(found, None, None, verdict_of(found), cautions)
    return VentCapacity(found, capacity, capacity - input_btuh, verdict_of(found), cautions)


def fitting_diameter_in(check: Callable[[float], VentCapacity], outlet_in: float) -> float | None:
    """Smallest printed diameter, not below the outlet, that a check lets pass; None where none does. [in.]"""
    return next((size for size in diameters_in() if size >= outlet_in and check(size).verdict == FITS), None)
