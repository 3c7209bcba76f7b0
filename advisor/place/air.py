"""The air at the heater: how warm, and how much a burner loses where it is thin."""

from __future__ import annotations

from functools import cache

import numpy as np

from advisor.core import tables
from advisor.core.arrays import Numbers
from advisor.core.errors import InputError
from advisor.core.published import published

#: Assumed: the rooms, all year.
INDOOR_F = 70.0
#: Assumed relative humidity of the air around the heater; also that of the federal test room.
HUMIDITY_FRAC = 0.5


@published(
    "The advisor's own mixture; shares in the table heater_spaces",
    state="assumed",
    outdoor_f=26.0,
    ground_f=50.8,
    indoor_f=70.0,
    outdoor_frac=0.0,
    ground_frac=0.5,
    indoor_frac=0.5,
    gain_df=0.0,
)
def space_air_f(
    outdoor_f: Numbers,
    ground_f: Numbers,
    indoor_f: Numbers,
    outdoor_frac: Numbers,
    ground_frac: Numbers,
    indoor_frac: Numbers,
    gain_df: Numbers,
) -> Numbers:
    """Air of a space that lies between outdoors, the ground and the rooms.

    Parameters
    ----------
    outdoor_f, ground_f, indoor_f : float or ndarray
        Temperatures of the outdoor air, the ground (the mean of the year) and the rooms. [°F]
    outdoor_frac, ground_frac, indoor_frac : float or ndarray
        Their shares, which add up to one. [-]
    gain_df : float or ndarray
        Added for sun and other warmth. [°F]

    Returns
    -------
    float or ndarray
        [°F]

    Sources
    -------
    Assumed: no measured year stands behind the shares.
    """
    return outdoor_frac * outdoor_f + ground_frac * ground_f + indoor_frac * indoor_f + gain_df


def heater_spaces() -> tuple[str, ...]:
    """Where a heater can stand, in the words of the case."""
    return tuple(tables.load("heater_spaces")["space"])


def heater_air_f(space: str, outdoor_f: Numbers) -> np.ndarray:
    """Air around the heater, month by month.

    Parameters
    ----------
    space : str
        One of ``heater_spaces()``.
    outdoor_f : array_like, shape (..., 12)
        Mean outdoor air of each month. [°F]

    Returns
    -------
    ndarray, shape (..., 12)
        [°F]

    Raises
    ------
    InputError
        A space that is not in the table.

    Sources
    -------
    Table ``heater_spaces``: assumed.
    """
    if space not in _shares():
        reason, known = "this place is not known", ", ".join(heater_spaces())
        raise InputError("house.heater_space", space, reason, "write one of {known}", known=known)
    outdoor = np.asarray(outdoor_f, dtype=float)
    ground = outdoor.mean(axis=-1, keepdims=True)
    air = np.asarray(space_air_f(outdoor, ground, INDOOR_F, **_shares()[space]))
    return np.broadcast_to(air, np.broadcast_shapes(air.shape, outdoor.shape)).copy()


@cache
def _shares() -> dict[str, dict[str, float]]:
    names = ("outdoor_frac", "ground_frac", "indoor_frac", "gain_df")
    return {row["space"]: {name: row[name] for name in names} for row in tables.load("heater_spaces").rows()}


@published(
    "NFPA 54/ANSI Z223.1 National Fuel Gas Code, high altitude; quoted alike in makers' instructions",
    state="cross-checked",
    elevation_ft=5280.0,
)
def altitude_frac(elevation_ft: Numbers) -> Numbers:
    """Share of its rated input that gas equipment burns at an elevation, where nothing else is stated.

    Parameters
    ----------
    elevation_ft : float or ndarray
        Above sea level. [ft]

    Returns
    -------
    float or ndarray
        One up to 2,000 ft; above, 4 % less for each 1,000 ft counted from sea level. [-]

    Validity
    --------
    To 15,000 ft; NaN above. The rating plate and the maker's instructions come first: many heaters with a fan lose
    less, and some may not be installed above a stated height.

    Sources
    -------
    The rule was read in makers' instructions that quote the code, not in the code itself.
    """
    elevation = np.asarray(elevation_ft, dtype=float)
    share = np.where(elevation > 2000.0, 1.0 - 0.04 * elevation / 1000.0, 1.0)
    return np.where(elevation <= 15_000.0, share, np.nan)[()]
