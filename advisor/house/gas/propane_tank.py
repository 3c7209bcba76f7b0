"""What a propane tank evaporates in the cold: the liquid boils by the heat that comes through its wetted wall."""

from __future__ import annotations

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.published import published
from advisor.core.tables import load

#: Liquid this cold still has the pressure that a first regulator needs; nothing is counted above what 0 °F gives,
#: since charts of tank makers give no more.
_COLDEST_LIQUID_F, _COUNTED_UP_TO_F = -20.0, 0.0


@published(
    "Rule of the propane trade: diameter times length times a factor of the level at 0 °F",
    state="cross-checked",
    diameter_in=41.0,
    length_in=192.0,
    level_frac=0.3,
    outdoor_f=-10.0,
)
def propane_vapor_btuh(diameter_in: Numbers, length_in: Numbers, level_frac: Numbers, outdoor_f: Numbers) -> Numbers:
    """Heat in the gas that a tank above ground gives for hours on end.

    Parameters
    ----------
    diameter_in, length_in : float or ndarray
        Outside diameter and overall length. [in.]
    level_frac : float or ndarray
        Liquid, as a share of the tank. [-]
    outdoor_f : float or ndarray
        Mean of the coldest day. [°F]

    Returns
    -------
    float or ndarray
        Zero from -20 °F down, where the rule ends. [Btu/h]
    """
    levels = load("propane_levels")
    factor = np.interp(level_frac, levels["level_frac"], levels["wetted_factor"])
    warmth = (np.minimum(outdoor_f, _COUNTED_UP_TO_F) - _COLDEST_LIQUID_F) / (_COUNTED_UP_TO_F - _COLDEST_LIQUID_F)
    return (diameter_in * length_in * factor * np.maximum(warmth, 0.0))[()]


def tank_vapor_btuh(water_gal: float, level_frac: float, outdoor_f: float) -> float:
    """As ``propane_vapor_btuh`` for a tank known by its size: between two common ones in proportion. [Btu/h]"""
    tanks = load("propane_tanks")
    gives = propane_vapor_btuh(tanks["diameter_in"], tanks["length_in"], level_frac, outdoor_f)
    sizes = np.concatenate(([0.0], tanks["water_gal"]))
    return float(np.interp(water_gal, sizes, np.concatenate(([0.0], gives))))


def least_level_frac(water_gal: float, load_btuh: float, outdoor_f: float) -> float | None:
    """The lowest of the listed levels at which a tank carries a load; None where none does. [-]"""
    levels = (float(level) for level in load("propane_levels")["level_frac"])
    return next((level for level in levels if tank_vapor_btuh(water_gal, level, outdoor_f) >= load_btuh), None)
