"""What the air does to a heat pump water heater: heat, coefficient of performance, lock-out and backup.

The tank itself is the one of ``storage``; here the main source's row is made for each month: output and COP as
quadratics of the temperature of the water at the condenser, the wet bulb of the air put in.
"""

from __future__ import annotations

import numpy as np

from advisor.core.arrays import Bools, Numbers
from advisor.core.published import published
from advisor.core.units import BTU_PER_KWH

# Coefficients of 1, x, x², y, y², xy; x the wet bulb of the intake air and y the water, both °C.
_CAPACITY = (0.563, 0.0437, 0.000039, 0.0055, -0.000148, -0.000145)
_COP = (1.1332, 0.063, -0.0000979, -0.00972, -0.0000214, -0.000686)
_MAP = "Normalised laboratory maps of one integrated unit, attributed to NREL/TP-5500-55475 (Maguire and others 2013)"
#: The maps' own limits were not read; these are the limits of use here, assumed. [°F]
WET_BULB_RANGE_F = (35.0, 80.0)
WATER_RANGE_F = (50.0, 145.0)
#: The compressor stops in colder or hotter air: 37 to 45 and 120 to 145 °F; from memory, unverified.
LOCKOUT_BELOW_F, LOCKOUT_ABOVE_F = 37.0, 120.0
#: A heat pump without an element needs air this warm in every month's mean: hours of it are colder, and then it does
#: not heat at all. Our own choice, the upper end of where compressors stop.
LEAST_AIR_WITHOUT_ELEMENT_F = 45.0
MODES = ("hybrid", "efficient")


def _biquadratic(coefficients: tuple[float, ...], wet_bulb_f: Numbers, water_f: Numbers) -> Numbers:
    x, y = (np.asarray(wet_bulb_f, dtype=float) - 32) / 1.8, (np.asarray(water_f, dtype=float) - 32) / 1.8
    a, b, c, d, e, f = coefficients
    inside = (x >= (WET_BULB_RANGE_F[0] - 32) / 1.8 - 1e-9) & (x <= (WET_BULB_RANGE_F[1] - 32) / 1.8 + 1e-9)
    inside = inside & (y >= (WATER_RANGE_F[0] - 32) / 1.8 - 1e-9) & (y <= (WATER_RANGE_F[1] - 32) / 1.8 + 1e-9)
    return np.where(inside, a + b * x + c * x**2 + d * y + e * y**2 + f * x * y, np.nan)[()]


@published(_MAP, state="from memory, unverified", by_hand=True, wet_bulb_f=57.0, water_f=120.0)
def relative_capacity_dimensionless(wet_bulb_f: Numbers, water_f: Numbers) -> Numbers:
    """Heat of the compressor over its value at 57 °F wet bulb and 120 °F water.

    Parameters
    ----------
    wet_bulb_f : float or ndarray
        Wet bulb of the intake air. [°F]
    water_f : float or ndarray
        Mean temperature of the water along the condenser, not the set point. [°F]

    Returns
    -------
    float or ndarray
        [-]

    Validity
    --------
    35 to 80 °F wet bulb and 50 to 145 °F water (limits assumed); NaN outside.
    """
    return _biquadratic(_CAPACITY, wet_bulb_f, water_f)


@published(_MAP, state="from memory, unverified", wet_bulb_f=57.0, water_f=120.0)
def relative_cop_dimensionless(wet_bulb_f: Numbers, water_f: Numbers) -> Numbers:
    """Coefficient of performance over its value at 57 °F wet bulb and 120 °F water.

    About 1.2 % less for each °F of water near the set point, about 1.5 % more for each °F of wet bulb.

    Parameters
    ----------
    wet_bulb_f, water_f : float or ndarray
        Wet bulb of the intake air, and water at the condenser. [°F]

    Returns
    -------
    float or ndarray
        [-]

    Validity
    --------
    As ``relative_capacity_dimensionless``.
    """
    return _biquadratic(_COP, wet_bulb_f, water_f)


@published(
    "Energy balance: water gets what the air gives and the compressor uses",
    state="computed",
    heat_btu=4_500.0,
    electricity_kwh=0.4,
)
def heat_from_air_btu(heat_btu: Numbers, electricity_kwh: Numbers) -> Numbers:
    """Heat that the compressor takes from the room.

    Parameters
    ----------
    heat_btu : float or ndarray
        Heat into the water. [Btu]
    electricity_kwh : float or ndarray
        What the compressor used. [kWh]

    Returns
    -------
    float or ndarray
        [Btu]
    """
    return heat_btu - electricity_kwh * BTU_PER_KWH


def locked_out(air_f: Numbers) -> Bools:
    """Whether the air is too cold or too hot for the compressor."""
    air = np.asarray(air_f, dtype=float)
    return (air < LOCKOUT_BELOW_F) | (air > LOCKOUT_ABOVE_F)


def sources(
    capacity_btuh: float, cop: float, air_f: np.ndarray, wet_f: np.ndarray, element_btuh: float, mode: str
) -> np.ndarray:
    """The main source of each month, as the tank simulation reads it.

    Parameters
    ----------
    capacity_btuh, cop : float
        Heat and coefficient of performance at 57 °F wet bulb and 120 °F water. [Btu/h], [-]
    air_f, wet_f : ndarray
        Dry and wet bulb of the air around the heater, one a month. The wet bulb is held to the maps' range. [°F]
    element_btuh : float
        Element that stands in for a locked-out compressor; 0 for none. [Btu/h]
    mode : str
        ``hybrid``, or ``efficient``, which never uses an element: locked out, it does not heat at all.

    Returns
    -------
    ndarray
        Rows of output a + bT + cT², COP a + bT + cT², whether it counts as backup, and the range of T.
    """
    held = np.clip(np.asarray(wet_f, dtype=float), *WET_BULB_RANGE_F)
    rows = np.zeros((len(held), 9))
    rows[:, 7:9] = WATER_RANGE_F
    rows[:, 0:3] = capacity_btuh * _in_water_f(_CAPACITY, held)
    rows[:, 3:6] = cop * _in_water_f(_COP, held)
    stopped = locked_out(air_f)
    rows[stopped] = (element_btuh if mode == "hybrid" else 0.0, 0, 0, 1, 0, 0, 1, *WATER_RANGE_F)
    return rows


def _in_water_f(coefficients: tuple[float, ...], wet_f: np.ndarray) -> np.ndarray:
    """A map at given wet bulbs, as a + bT + cT² with T in °F."""
    a, b, c, d, e, f = coefficients
    x = (wet_f - 32) / 1.8
    constant, linear, square = a + b * x + c * x**2, d + f * x, e
    return np.stack(
        [
            constant - linear * 32 / 1.8 + square * (32 / 1.8) ** 2,
            linear / 1.8 - square * 64 / 1.8**2,
            np.full_like(x, square / 1.8**2),
        ],
        axis=1,
    )
