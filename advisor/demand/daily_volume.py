"""How many hot gallons a household draws in a day, month by month.

The people at home give the gallons, on a line fitted to measured homes. Where the water goes gives the year its
shape: what is mixed at the skin follows that month's cold water by the mixing balance; at taps and machines the hot
share stays. People in warm places draw more, which is fitted to a survey and stands in no publication: without it a
cold house would need far more energy than such houses do.
"Mixed" gallons leave the tap, "hot" gallons leave the heater.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from advisor.core.arrays import Bools, Numbers
from advisor.core.published import published
from advisor.core.tables import load
from advisor.demand.rating_home import LOW_FLOW_FRAC, USE_F, fixture_use_gpd, pipe_waste_frac, pipe_waste_gpd
from advisor.physics.water import hot_share_frac

#: The line was fitted to homes of up to so many people.
FITTED_PEOPLE = 6
#: What the line of the table holds for: heater, cold water and mean air of the year; and the water in homes of three
#: bedrooms that lies in the pipes or runs while somebody waits.
_AT_SET_POINT_F, _AT_MAINS_F, _AT_AIR_F = 120.0, 50.0, 50.0
_WASTE_SHARE_FRAC = float(pipe_waste_gpd(3.0) / (fixture_use_gpd(3.0) + pipe_waste_gpd(3.0)))


@cache
def _figure(name: str) -> float:
    return float(load("people_to_gallons").find(name)["value_dimensionless"])


@cache
def _shares_of_use() -> dict[str, float]:
    """Shares of the hot water by how it is drawn, at the conditions of the line."""
    balance = float(hot_share_frac(USE_F, _AT_SET_POINT_F, _AT_MAINS_F))
    hot = dict.fromkeys(("mixed", "share", "machine"), 0.0)
    for row in load("hot_water_uses").rows():
        share = balance if row["hot_share_frac"] is None else row["hot_share_frac"]
        hot[row["drawn"]] += row["all_water_gpd"] * share
    return {drawn: gpd / sum(hot.values()) for drawn, gpd in hot.items()}


@published("Line through measured homes and a survey, table people_to_gallons", state="computed", people=3.0)
def line_gpd(people: Numbers) -> Numbers:
    """Hot gallons a day of so many people, in a place of 50 °F with cold water of 50 °F and a heater at 120 °F.

    Parameters
    ----------
    people : float or ndarray
        People, or ``counted_people``. [-]

    Returns
    -------
    float or ndarray
        [gal/day]

    Validity
    --------
    Fitted to 1 to 6 people; a straight line beyond. Homes of one kind differ: half of them lie more than a quarter off.

    Sources
    -------
    Table ``people_to_gallons``: Evarts and Swan 2013, and the 2009 Residential Energy Consumption Survey.
    """
    return _figure("household_gpd") + _figure("person_gpd") * people


@published("Fit to the survey of homes, table people_to_gallons", state="computed", annual_air_f=60.0)
def climate_frac(annual_air_f: Numbers) -> Numbers:
    """What people of a place draw against those where the year's mean air is 50 °F.

    Parameters
    ----------
    annual_air_f : float or ndarray
        Mean outdoor air of the year. [°F]

    Returns
    -------
    float or ndarray
        More in warm places; held beyond the survey's coldest and warmest. [-]

    Sources
    -------
    Table ``people_to_gallons``; fitted, nothing published says it.
    """
    held_f = np.clip(annual_air_f, _figure("climate_from_f"), _figure("climate_to_f"))
    return np.exp(_figure("climate_per_10_df") * (held_f - _AT_AIR_F) / 10.0)[()]


def counted_people(people: Numbers, n_children: Numbers | None = None, is_home_by_day: bool | None = None) -> Numbers:
    """People as they count for the water: as they are, unless somebody says who they are.

    Parameters
    ----------
    people, n_children : float or ndarray
        All of them, and those under 14; None where that is not known. [-]
    is_home_by_day : bool or None
        Whether somebody is at home by day.

    Returns
    -------
    float or ndarray
        Never less for another child or adult. [-]

    Sources
    -------
    Table ``people_to_gallons``; from memory, unverified.
    """
    counted = people
    if n_children is not None:
        older = people - n_children
        counted = (older + _figure("child_frac") * n_children) / _figure("mean_person_frac")
    if is_home_by_day is not None:
        more = _figure("home_by_day_frac") * (1 if is_home_by_day else -1)
        counted = counted + more * line_gpd(counted) / _figure("person_gpd")
    return counted


@published(
    "Shares of use, mixing balance, line and climate",
    state="computed",
    people=3.0,
    set_point_f=120.0,
    mains_f=58.0,
    annual_air_f=52.0,
)
def hot_water_gpd(
    people: Numbers,
    set_point_f: Numbers,
    mains_f: Numbers,
    annual_air_f: Numbers,
    use_f: Numbers = USE_F,
    fixture_frac: Numbers = 1.0,
    waste_frac: Numbers = 1.0,
) -> Numbers:
    """Hot gallons that leave the heater on a day.

    Parameters
    ----------
    people : float or ndarray
        As they count, from ``counted_people``. [-]
    set_point_f, mains_f, use_f : float or ndarray
        Temperatures at the heater, of the cold water and at the skin. [°F]
    annual_air_f : float or ndarray
        Mean outdoor air of the year. [°F]
    fixture_frac : float or ndarray
        Fixture use against standard fixtures: 1, or 0.95 for low flow. [-]
    waste_frac : float or ndarray
        Pipe waste against bare pipes of ordinary length, from ``pipe_waste_frac``. [-]

    Returns
    -------
    float or ndarray
        [gal/day]

    Validity
    --------
    As ``line_gpd``; what taps and machines draw is counted in hot gallons at any set point.

    Sources
    -------
    Tables ``people_to_gallons`` and ``hot_water_uses``; low flow and pipes after ANSI/RESNET/ICC 301, from memory,
    unverified.
    """
    share = _shares_of_use()
    balance = hot_share_frac(use_f, set_point_f, mains_f) / hot_share_frac(USE_F, _AT_SET_POINT_F, _AT_MAINS_F)
    left = fixture_frac * (1 - _WASTE_SHARE_FRAC + _WASTE_SHARE_FRAC * waste_frac)
    at_fixtures = left * (share["mixed"] * balance + share["share"])
    return line_gpd(people) * climate_frac(annual_air_f) * (at_fixtures + share["machine"])


def machines_gpd(people: Numbers, annual_air_f: Numbers) -> Numbers:
    """Of these, the hot gallons of the two washing machines. [gal/day]"""
    return line_gpd(people) * climate_frac(annual_air_f) * _shares_of_use()["machine"]


def hot_gal_per_day_by_month(
    people: Numbers,
    mains_f: Numbers,
    set_point_f: Numbers,
    *,
    annual_air_f: Numbers,
    use_f: Numbers = USE_F,
    has_low_flow_fixtures: bool | Bools | None = False,
    recirculation: str = "none",
    is_insulated: bool = False,
) -> Numbers:
    """Hot gallons a day in each month: winter draws more of them, because cold water needs more hot to mix.

    Parameters
    ----------
    people : float or ndarray, shape (...)
        As they count, from ``counted_people``. [-]
    mains_f : ndarray, shape (..., 12)
        Cold water by month. [°F]
    set_point_f, annual_air_f, use_f : float or ndarray, shape (...)
        Temperatures at the heater, of the year's mean air and at the skin. [°F]
    has_low_flow_fixtures : bool or ndarray, shape (...)
        Every shower and tap passes 2.0 gpm or less.
    recirculation, is_insulated
        As for ``pipe_waste_frac``.

    Returns
    -------
    ndarray, shape (..., 12)
        [gal/day]
    """
    people, set_point_f, annual_air_f, use_f, low_flow = (
        np.asarray(value)[..., None] for value in (people, set_point_f, annual_air_f, use_f, has_low_flow_fixtures)
    )
    return hot_water_gpd(
        people,
        set_point_f,
        np.asarray(mains_f, dtype=float),
        annual_air_f,
        use_f,
        np.where(low_flow, LOW_FLOW_FRAC, 1.0),
        pipe_waste_frac(recirculation=recirculation, is_insulated=is_insulated),
    )
