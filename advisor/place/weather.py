"""The weather at a house: air of each month from the stations around it, moved to its own height."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from advisor.core.arrays import Floats, Numbers
from advisor.core.long_tables import long_table
from advisor.core.published import published

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
EARTH_RADIUS_MI = 3958.8
#: Stations that tell of one house. Left out in turn, a station is given back by 8 to 12 of its neighbours alike.
MOST_STATIONS = 12
_FIT = (
    "The advisor's own fit to the NOAA normals of 1991-2020, each station left out in turn: "
    "a month is off by 0.8 °F in the median and 2.1 °F for nine stations in ten"
)


@dataclass(frozen=True)
class Station:
    """A weather station that tells of a house, and how much it counts there."""

    id: str
    name: str
    distance_mi: float
    elevation_ft: float
    weight_frac: float


@published(_FIT, state="computed", distance_mi=10.0)
def station_weight_frac(distance_mi: Numbers) -> Numbers:
    """How much a weather station counts at a distance, against one beside the house.

    Parameters
    ----------
    distance_mi : float or ndarray
        From the house to the station. [mi]

    Returns
    -------
    float or ndarray
        One at no distance, falling with the square of it. [-]

    Validity
    --------
    Any distance: what matters is the share among the stations that are taken.

    Sources
    -------
    Assumed, and checked by leaving each station out in turn.
    """
    return (3.0 / (distance_mi + 3.0)) ** 2


@published(_FIT, state="computed", station_f=60.0, higher_ft=1000.0)
def air_moved_f(station_f: Numbers, higher_ft: Numbers) -> Numbers:
    """Air of a station moved to another height.

    Parameters
    ----------
    station_f : float or ndarray
        Air at the station. [°F]
    higher_ft : float or ndarray
        How far the house stands above it. [ft]

    Returns
    -------
    float or ndarray
        3.0 °F colder for each 1,000 ft. [°F]

    Validity
    --------
    Monthly means. A cold valley floor on a clear winter night is colder than the slope above it.

    Sources
    -------
    3.0 and 3.6 °F for each 1,000 ft (the standard atmosphere's) give back the stations equally well.
    """
    return station_f - 3.0 * higher_ft / 1000.0


def distance_mi(
    latitude_deg: Numbers, longitude_deg: Numbers, to_latitude_deg: Numbers, to_longitude_deg: Numbers
) -> Numbers:
    """Great-circle distance on a sphere, by the haversine formula. [mi]"""
    lat, lon, to_lat, to_lon = (
        np.radians(angle) for angle in (latitude_deg, longitude_deg, to_latitude_deg, to_longitude_deg)
    )
    half = np.sin((to_lat - lat) / 2) ** 2 + np.cos(lat) * np.cos(to_lat) * np.sin((to_lon - lon) / 2) ** 2
    return 2 * EARTH_RADIUS_MI * np.arcsin(np.sqrt(half))


def weather_at(
    latitude_deg: float, longitude_deg: float, elevation_ft: float | None, *, without: str = ""
) -> tuple[Floats, tuple[Station, ...], float]:
    """Air of each month at a house, from the stations nearest to it.

    Parameters
    ----------
    latitude_deg, longitude_deg : float
        Where the house is. [deg]
    elevation_ft : float or None
        How high; None where nobody knows, and the stations' own height is taken. [ft]
    without : str
        Id of a station that does not count, to see how well the others give it back.

    Returns
    -------
    ndarray of 12, tuple of Station, float
        Air of each month [°F], the stations that it comes from, the nearest first, and the height that it holds
        for. [ft]
    """
    table = long_table("stations")
    # The cosine of the angle between two points of a sphere falls with their distance.
    nearness = _towards_stations() @ _towards(latitude_deg, longitude_deg)
    if without:
        nearness[table.keys == without.encode()] = -np.inf
    near = np.argpartition(-nearness, MOST_STATIONS)[:MOST_STATIONS]
    near = near[np.argsort(-nearness[near])]
    positions = (table.numbers_of(axis, near) for axis in ("latitude_deg", "longitude_deg"))
    away = np.asarray(distance_mi(latitude_deg, longitude_deg, *positions))
    weights = np.asarray(station_weight_frac(away))
    weights = weights / weights.sum()
    heights_ft = table.numbers_of("station_elevation_ft", near)
    height_ft = float(weights @ heights_ft) if elevation_ft is None else elevation_ft
    air = np.array([table.numbers_of(f"{month}_f", near) for month in MONTHS])
    outdoor_f = air_moved_f(air, height_ft - heights_ft) @ weights
    outdoor_f.flags.writeable = False
    names = zip(table.texts("station_id")[near], table.texts("station_name")[near], strict=True)
    stations = tuple(
        Station(station.decode(), name.decode().rstrip(), float(mi), float(ft), float(weight))
        for (station, name), mi, ft, weight in zip(names, away, heights_ft, weights, strict=True)
    )
    return outdoor_f, stations, height_ft


def _towards(latitude_deg: Numbers, longitude_deg: Numbers) -> Floats:
    """The direction from the middle of the earth, of length one; shape (..., 3)."""
    latitude, longitude = np.radians(latitude_deg), np.radians(longitude_deg)
    east = np.cos(latitude)
    return np.stack([east * np.cos(longitude), east * np.sin(longitude), np.sin(latitude)], axis=-1)


@cache
def _towards_stations() -> Floats:
    table = long_table("stations")
    return _towards(table.numbers("latitude_deg"), table.numbers("longitude_deg"))
