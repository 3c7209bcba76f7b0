"""What a heater costs to look after, by kind and by how hard the water is, and how long it lasts."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from advisor.core import tables
from advisor.core.arrays import Numbers
from advisor.core.errors import InputError
from advisor.core.kinds import Technology
from advisor.core.published import published

#: So many mean lives ahead the survival curve is followed: beyond it nothing is left. [-]
_MEANS_AHEAD = 6.0


@dataclass(frozen=True)
class Upkeep:
    """Yearly upkeep with its range, and where it comes from.

    Parameters
    ----------
    low_usd_per_yr, typical_usd_per_yr, high_usd_per_yr : float
        10, 50 and 90 points in a hundred. [$/yr]
    descale_every_yr : float or None
        Interval counted on; None for a tank. [yr]
    source, state : str
        Citation, and how far the row was checked.
    """

    low_usd_per_yr: float
    typical_usd_per_yr: float
    high_usd_per_yr: float
    descale_every_yr: float | None
    source: str
    state: str

    @property
    def range_usd_per_yr(self) -> tuple[float, float, float]:
        """Low, typical, high. [$/yr]"""
        return self.low_usd_per_yr, self.typical_usd_per_yr, self.high_usd_per_yr


@dataclass(frozen=True)
class Lifetime:
    """A Weibull life.

    Parameters
    ----------
    mean_yr : float
        [yr]
    shape_dimensionless : float
        1 is failing at random; larger is wearing out at an age. [-]
    source, state : str
        Citation, and how far the row was checked.
    """

    mean_yr: float
    shape_dimensionless: float
    source: str
    state: str


@published("Weibull survival curve", state="computed", age_yr=10.0, mean_yr=14.5, shape_dimensionless=2.5)
def still_working_frac(age_yr: Numbers, mean_yr: Numbers, shape_dimensionless: Numbers) -> Numbers:
    """Share of heaters still in service at an age.

    Parameters
    ----------
    age_yr, mean_yr : float or ndarray
        Age, and the mean life. [yr]
    shape_dimensionless : float or ndarray
        Weibull shape. [-]

    Returns
    -------
    float or ndarray
        [-]
    """
    shape = np.asarray(shape_dimensionless, dtype=float)
    gamma = np.vectorize(math.gamma)(1 + 1 / shape)
    return np.exp(-((gamma * np.asarray(age_yr, dtype=float) / mean_yr) ** shape))


@published(
    "Weibull survival curve, given that it works at an age",
    state="computed",
    more_yr=2.0,
    age_yr=10.0,
    mean_yr=14.5,
    shape_dimensionless=2.5,
)
def lasts_on_frac(more_yr: Numbers, age_yr: Numbers, mean_yr: Numbers, shape_dimensionless: Numbers) -> Numbers:
    """Share of the heaters in service at an age that are still so some years later.

    Parameters
    ----------
    more_yr, age_yr, mean_yr : float or ndarray
        Years from now, age now, and the mean life. [yr]
    shape_dimensionless : float or ndarray
        Weibull shape. [-]

    Returns
    -------
    float or ndarray
        [-]
    """
    now = still_working_frac(age_yr, mean_yr, shape_dimensionless)
    later = still_working_frac(np.asarray(age_yr, dtype=float) + more_yr, mean_yr, shape_dimensionless)
    # So old that none is left by the curve: none lasts on.
    return later / np.maximum(now, np.finfo(float).tiny)


@published(
    "Mean residual life of a Weibull survival curve",
    state="computed",
    age_yr=10.0,
    mean_yr=14.5,
    shape_dimensionless=2.5,
)
def mean_left_yr(age_yr: Numbers, mean_yr: Numbers, shape_dimensionless: Numbers) -> Numbers:
    """How many more years a heater in service at an age lasts on average.

    Parameters
    ----------
    age_yr, mean_yr : float or ndarray
        Age now, and the mean life. [yr]
    shape_dimensionless : float or ndarray
        Weibull shape. [-]

    Returns
    -------
    float or ndarray
        [yr]
    """
    age, mean, shape = (np.asarray(one, dtype=float)[..., None] for one in (age_yr, mean_yr, shape_dimensionless))
    more_yr = np.linspace(0.0, _MEANS_AHEAD, 2001) * mean
    return np.trapezoid(lasts_on_frac(more_yr, age, mean, shape), more_yr)


def yearly_upkeep(technology: Technology, hardness_gpg: float | None = None) -> Upkeep:
    """Upkeep of a heater whose owner follows the maker's manual.

    Parameters
    ----------
    technology : Technology
        Kind of heater.
    hardness_gpg : float, optional
        Hardness of the water that reaches the heater, after any softener. Without it a tankless heater is
        descaled once a year. [gpg]

    Returns
    -------
    Upkeep

    Raises
    ------
    InputError
        A hardness below 0.
    """
    table = tables.load("upkeep")
    row = table.find(technology.id)
    low, typical, high = row["low_usd_per_yr"], row["typical_usd_per_yr"], row["high_usd_per_yr"]
    if row["descaling_usd"] is None:
        return Upkeep(low, typical, high, None, table.citation, row["state"])
    every_yr = 1.0 if hardness_gpg is None else descale_every_yr(hardness_gpg)
    # The table's yearly amount holds one descaling; more or fewer a year are added or taken off. Where the yearly
    # amount is less than the job is priced at, it is taken to be nothing but descaling, done by the owner.
    more = 1.0 / every_yr - 1.0
    changed = typical + max(more * row["descaling_usd"], min(more, 0.0) * typical)
    # The range keeps its shape: whoever pays little for one job pays little for all.
    low, high = low * changed / typical, high * changed / typical
    return Upkeep(low, changed, high, every_yr, table.citation, row["state"])


def descale_every_yr(hardness_gpg: float) -> float:
    """How often a tankless heater is descaled in this water. [yr]"""
    if not (math.isfinite(hardness_gpg) and hardness_gpg >= 0):
        raise InputError("hardness_gpg", hardness_gpg, "hardness cannot be below 0", "give grains per gallon")
    table = tables.load("descaling")
    row = int(np.searchsorted(table["from_gpg"], hardness_gpg, side="right")) - 1
    return float(table["every_yr"][row])


def lifetime(technology: Technology, *, neglected: bool = False) -> Lifetime:
    """How long a heater lasts.

    Parameters
    ----------
    technology : Technology
        Kind of heater.
    neglected : bool
        Hard water, with the anode rod or the descaling left undone. Where there is no such row the usual one
        counts.
    """
    table = tables.load("lifetimes")
    cares = {row["care"]: row for row in table.rows() if row["technology"] == technology.id}
    row = cares.get("neglected" if neglected else "usual", cares["usual"])
    return Lifetime(row["mean_yr"], row["shape_dimensionless"], table.citation, row["state"])
