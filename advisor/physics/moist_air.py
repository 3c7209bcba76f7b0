"""Moist air: how much heat it can give up, and how thin it is with height. The wet bulb is PsychroLib's."""

from __future__ import annotations

import builtins
from functools import cache, lru_cache
from importlib.util import find_spec, module_from_spec
from typing import Any

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.published import published

SEA_LEVEL_PSI = 14.696


@published(
    "ASHRAE Handbook, Fundamentals (2017), chapter 1, equations 33 and 35, as PsychroLib solves them",
    state="cross-checked",
    dry_bulb_f=68.0,
    humidity_frac=0.5,
)
def wet_bulb_f(dry_bulb_f: Numbers, humidity_frac: Numbers, pressure_psi: Numbers = SEA_LEVEL_PSI) -> Numbers:
    """What a thermometer in a wet sock would read: how much heat moist air can give up.

    Parameters
    ----------
    dry_bulb_f : float or ndarray
        Air temperature. [°F]
    humidity_frac : float or ndarray
        Relative humidity. [-]
    pressure_psi : float or ndarray
        Air pressure, absolute. [psi]

    Returns
    -------
    float or ndarray
        [°F]

    Validity
    --------
    Air -100 to 150 °F, relative humidity 0.01 to 1, pressure 7 to 16 psi; NaN outside. Solved by halving to 0.002 °F.

    Sources
    -------
    PsychroLib 2.5; checked against a heat and moisture balance of our own tests.
    """
    return _wet_bulbs(dry_bulb_f, humidity_frac, pressure_psi)[()]


@lru_cache(maxsize=4096)  # a house asks for the same twelve months again and again
def _wet_bulb_f(dry_bulb_f: float, humidity_frac: float, pressure_psi: float) -> float:
    if not (-100.0 <= dry_bulb_f <= 150.0 and 0.01 <= humidity_frac <= 1.0 and 7.0 <= pressure_psi <= 16.0):
        return np.nan
    return float(_psychrolib().GetTWetBulbFromRelHum(dry_bulb_f, humidity_frac, pressure_psi))


_wet_bulbs = np.vectorize(_wet_bulb_f, otypes=[float])


@cache
def _psychrolib() -> Any:
    """A PsychroLib of our own, in plain Python and in °F and psi.

    Where numba is installed the library compiles itself anew in every run: three seconds for twelve numbers that plain
    Python gives in half a thousandth of one. So its copy here finds no numba.
    """

    def without_numba(name: str, *rest: Any, **options: Any) -> Any:
        if name == "numba":
            raise ImportError(name)
        return __import__(name, *rest, **options)

    spec = find_spec("psychrolib")
    assert spec is not None and spec.loader is not None
    library: Any = module_from_spec(spec)
    library.__builtins__ = vars(builtins) | {"__import__": without_numba}
    spec.loader.exec_module(library)
    library.SetUnitSystem(library.IP)
    return library


@published("US Standard Atmosphere 1976, troposphere", state="cross-checked", elevation_ft=5280.0)
def station_pressure_psi(elevation_ft: Numbers) -> Numbers:
    """Usual air pressure at an elevation.

    Parameters
    ----------
    elevation_ft : float or ndarray
        Above sea level. [ft]

    Returns
    -------
    float or ndarray
        Absolute. [psi]

    Validity
    --------
    -1,000 to 36,000 ft; NaN outside.

    Sources
    -------
    US Standard Atmosphere 1976: 15 °C at sea level and 6.5 K less for each kilometer. Constants from memory, checked
    against an independent library.
    """
    elevation = np.asarray(elevation_ft, dtype=float)
    is_valid = (elevation >= -1000.0) & (elevation <= 36_000.0)
    with np.errstate(invalid="ignore"):
        pressure_psi = SEA_LEVEL_PSI * (1 - 6.8756e-6 * elevation) ** 5.2559
    return np.where(is_valid, pressure_psi, np.nan)[()]
