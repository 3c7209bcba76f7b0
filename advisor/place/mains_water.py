"""How cold the water comes in: month by month, from the air, from the kind of supply, or as measured.

City water follows the ground around the pipes, which follows the air of the year with a lag. Water drawn from a lake or
a river runs colder in winter than that, and a well hardly moves at all. A thermometer beats all three.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.errors import InputError
from advisor.core.findings import Finding, care, note
from advisor.core.published import published

_PAPER = (
    "Burch and Christensen, Towards Development of an Algorithm for Mains Water Temperature, "
    "American Solar Energy Society annual conference 2007 (NREL, OSTI 981988)"
)
#: The middle day of each month, for which a month's value is taken.
MID_MONTH_DAY = np.array([15, 45, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349], dtype=float)
#: Flowing water does not freeze; the formula knows no such limit.
FLOOR_F = 33.0
#: Below this, before the floor, the place is colder than those the formula was fitted to.
FITTED_FROM_F = 36.0
#: Assumed, from the limits that the authors list: what to expect between this estimate and a tap, either way.
UNCERTAINTY_DF = 5.0
#: Assumed: how much colder than the formula a lake, river or reservoir runs in its coldest month.
SURFACE_WINTER_DROP_DF = 10.0
#: Water from 30 to 60 ft down stands 2 to 3 °F above the mean air of the year.
WELL_ABOVE_AIR_DF = 3.0
_MEASURED_RANGE_F = (32.0, 100.0)


@dataclass(frozen=True)
class MainsWater:
    """Incoming cold water of one house: twelve months, their extremes, and where the figures come from."""

    mains_f: np.ndarray = field(compare=False)
    coldest_f: float
    warmest_f: float
    annual_f: float
    #: Colder than the places the formula was fitted to: measure before sizing.
    is_outside_fitted_range: bool
    #: How the figures were come by.
    origin: Finding
    notes: tuple[Finding, ...] = ()


@published(_PAPER, state="cross-checked", air_annual_f=50.8)
def mains_annual_f(air_annual_f: Numbers) -> Numbers:
    """Mean mains temperature of the year: the mean air temperature and 6 °F.

    Parameters
    ----------
    air_annual_f : float or ndarray
        Mean of the twelve monthly mean air temperatures. [°F]

    Returns
    -------
    float or ndarray
        [°F]

    Validity
    --------
    The authors had few data sets and none from northern climates.

    Sources
    -------
    Burch and Christensen 2007. The constant was read in four public implementations that agree, not in the paper.
    """
    return air_annual_f + 6.0


@published(_PAPER, state="cross-checked", air_annual_f=50.8)
def mains_swing_frac(air_annual_f: Numbers) -> Numbers:
    """Share of the air's yearly swing that reaches the water: more in warm places.

    Parameters
    ----------
    air_annual_f : float or ndarray
        Mean air temperature of the year. [°F]

    Returns
    -------
    float or ndarray
        0.4 at 44 °F and 0.01 more for each degree. [-]

    Validity
    --------
    Negative below 4 °F, a climate that no US city has.

    Sources
    -------
    Burch and Christensen 2007, constants as for ``mains_annual_f``.
    """
    return 0.4 + 0.01 * (air_annual_f - 44.0)


@published(_PAPER, state="cross-checked", air_annual_f=50.8)
def mains_lag_day(air_annual_f: Numbers) -> Numbers:
    """Days by which the water trails the air: more in cold places, where pipes lie deeper.

    Parameters
    ----------
    air_annual_f : float or ndarray
        Mean air temperature of the year. [°F]

    Returns
    -------
    float or ndarray
        35 at 44 °F and one less for each degree. [days]

    Validity
    --------
    Negative above 79 °F.

    Sources
    -------
    Burch and Christensen 2007, constants as for ``mains_annual_f``.
    """
    return 35.0 - 1.0 * (air_annual_f - 44.0)


@published(_PAPER, state="cross-checked", air_annual_f=50.8, air_swing_df=48.1, calendar_day=43.0)
def mains_on_day_f(air_annual_f: Numbers, air_swing_df: Numbers, calendar_day: Numbers) -> Numbers:
    """Mains temperature on a day of the year, without the floor at freezing.

    Parameters
    ----------
    air_annual_f : float or ndarray
        Mean air temperature of the year. [°F]
    air_swing_df : float or ndarray
        Warmest monthly mean less the coldest. [°F]
    calendar_day : float or ndarray
        1 on the first of January, 365 on the last of December. [days]

    Returns
    -------
    float or ndarray
        [°F]

    Validity
    --------
    Northern hemisphere. Falls below freezing in most of Alaska: apply ``FLOOR_F``.

    Sources
    -------
    Burch and Christensen 2007, constants as for ``mains_annual_f``; 0.986 degrees of arc a day, as written there.
    """
    angle = np.radians(0.986 * (calendar_day - 15.0 - mains_lag_day(air_annual_f)) - 90.0)
    return mains_annual_f(air_annual_f) + mains_swing_frac(air_annual_f) * air_swing_df / 2.0 * np.sin(angle)


def city_main_f(outdoor_f: Numbers) -> np.ndarray:
    """The formula on the middle day of each month, without the floor; shape (..., 12) in and out. [°F]"""
    air = np.asarray(outdoor_f, dtype=float)
    annual = air.mean(axis=-1, keepdims=True)
    swing = np.ptp(air, axis=-1, keepdims=True)
    return np.asarray(mains_on_day_f(annual, swing, MID_MONTH_DAY))


def surface_f(outdoor_f: Numbers) -> np.ndarray:
    """Water from a lake, river or reservoir: the formula, stretched down by 10 °F in its coldest month.

    The drop fades in proportion to nothing in the warmest month. It is our assumption: temperatures printed for three
    cities on surface water (HUD 4930.2, 1977; from memory, unverified) lie 11 to 17 °F below the formula in winter,
    and two of the three meet it in summer. Without the floor; shape (..., 12) in and out. [°F]
    """
    formula = city_main_f(outdoor_f)
    warmest = formula.max(axis=-1, keepdims=True)
    swing = np.ptp(formula, axis=-1, keepdims=True)
    with np.errstate(invalid="ignore", divide="ignore"):
        wintriness = np.where(swing > 0, (warmest - formula) / swing, 0.0)
    return formula - SURFACE_WINTER_DROP_DF * wintriness


def well_f(outdoor_f: Numbers) -> np.ndarray:
    """A private well: 3 °F above the mean air of the year in every month; shape (..., 12) in and out. [°F]

    Collins, US Geological Survey Water-Supply Paper 520-F (1925), from memory, unverified.
    """
    air = np.asarray(outdoor_f, dtype=float)
    return np.broadcast_to(air.mean(axis=-1, keepdims=True) + WELL_ABOVE_AIR_DF, air.shape).copy()


#: The kinds of supply: the estimate without the floor, and how it is told.
SUPPLIES: dict[str, Callable[[Any], np.ndarray]] = {
    "mains": city_main_f,
    "surface": surface_f,
    "well": well_f,
}


def mains_of(outdoor_f: Numbers, *, supply: str = "mains", measured_f: float | None = None) -> MainsWater:
    """Incoming water of one house, month by month.

    Parameters
    ----------
    outdoor_f : array_like, shape (12,)
        Normal mean outdoor air of each month. [°F]
    supply : {"mains", "surface", "well"}
        City water in general, city water known to come from a lake, river or reservoir, or a private well.
    measured_f : float, optional
        A measured or utility-reported temperature, taken as the coldest month's, which is the one that decides whether
        a heater keeps up. The whole estimated year is moved with it, but no month beyond 100 °F. [°F]

    Raises
    ------
    InputError
        An unknown supply, or measured water outside 32 to 100 °F.
    """
    if supply not in SUPPLIES:
        reason, known = "this is no kind of supply", ", ".join(SUPPLIES)
        raise InputError("water.supply", supply, reason, "write one of {known}", known=known)
    unclamped = SUPPLIES[supply](outdoor_f)
    months = np.maximum(unclamped, FLOOR_F)
    if measured_f is None:
        formula = unclamped if supply == "well" else city_main_f(outdoor_f)
        is_outside = bool(formula.min() < FITTED_FROM_F)
        return _year(months, is_outside, _origin(supply), _estimate_notes(supply, is_outside))
    value = _measured(measured_f)
    shift = value - months.min()
    origin = note("place.mains.measured", measured_f=value, shift_df=float(shift))
    return _year(np.clip(months + shift, min(FLOOR_F, value), _MEASURED_RANGE_F[1]), False, origin, ())


def _origin(supply: str) -> Finding:
    """How an estimate is made."""
    if supply == "surface":
        return note("place.mains.surface", colder_df=SURFACE_WINTER_DROP_DF)
    return note("place.mains.well", above_df=WELL_ABOVE_AIR_DF) if supply == "well" else note("place.mains.mains")


def _year(months: np.ndarray, is_outside: bool, origin: Finding, notes: tuple[Finding, ...]) -> MainsWater:
    months.flags.writeable = False
    low, high, mean = float(months.min()), float(months.max()), float(months.mean())
    return MainsWater(months, low, high, mean, is_outside, origin, notes)


def _estimate_notes(supply: str, is_outside: bool) -> tuple[Finding, ...]:
    notes = [note("place.mains.uncertain", uncertain_df=UNCERTAINTY_DF)]
    if supply == "mains":
        notes.append(note("place.mains.if_surface", colder_df=SURFACE_WINTER_DROP_DF))
    if is_outside:
        notes.append(care("place.mains.outside"))
    return tuple(notes)


def _measured(value: Any) -> float:
    (low, high), key = _MEASURED_RANGE_F, "water.measured_cold_f"
    fix = "give a temperature from {low:.0f} to {high:.0f} °F"
    try:
        measured = float(value)
    except (TypeError, ValueError) as error:
        raise InputError(key, value, "this is not a temperature", fix, low=low, high=high) from error
    if not low <= measured <= high:
        raise InputError(key, value, "cold tap water is not so cold or warm", fix, low=low, high=high)
    return measured
