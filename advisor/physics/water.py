"""Properties of liquid water, and the heat balance that everything else rests on."""

from __future__ import annotations

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.published import published

#: Density and specific heat that the federal annual-energy formula uses (10 CFR 430 subpart B app. E sec. 6;
#: cross-checked: they return the printed therms of 483 of 503 listed gas heaters).
TEST_DENSITY_LB_PER_GAL = 8.24
TEST_SPECIFIC_HEAT_BTU_PER_LB_DF = 1.00
TEST_BTU_PER_GAL_DF = TEST_DENSITY_LB_PER_GAL * TEST_SPECIFIC_HEAT_BTU_PER_LB_DF

_KG_PER_M3_TO_LB_PER_GAL = 0.0083454045


@published(
    "Kell, Journal of Chemical and Engineering Data 20 (1975) 97, equation for 1 atm",
    state="cross-checked",
    temperature_f=120.0,
)
def water_density_lb_per_gal(temperature_f: Numbers) -> Numbers:
    """Density of liquid water at 1 atm.

    Parameters
    ----------
    temperature_f : float or ndarray
        Water temperature. [°F]

    Returns
    -------
    float or ndarray
        [lb/gal]

    Validity
    --------
    32 to 212 °F; NaN outside.

    Sources
    -------
    Kell 1975; constants from memory, checked against the IAPWS formulation to 0.01 %.
    """
    t = (np.asarray(temperature_f, dtype=float) - 32) / 1.8
    numerator = 999.83952 + t * (
        16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - 280.54253e-12 * t)))
    )
    density = numerator / (1 + 16.879850e-3 * t) * _KG_PER_M3_TO_LB_PER_GAL
    return np.where((t >= 0) & (t <= 100), density, np.nan)[()]


@published("Heat balance with the test method's water constants", state="computed", volume_gal=50.0, rise_df=67.0)
def heat_in_water_btu(volume_gal: Numbers, rise_df: Numbers) -> Numbers:
    """Heat that warms a volume of water, counted in hot gallons.

    Parameters
    ----------
    volume_gal : float or ndarray
        Hot gallons. [gal]
    rise_df : float or ndarray
        Outlet minus inlet. [°F]

    Returns
    -------
    float or ndarray
        [Btu]

    Sources
    -------
    8.24 lb/gal and 1.00 Btu/(lb °F), as in 10 CFR 430 subpart B app. E sec. 6.
    """
    return volume_gal * TEST_BTU_PER_GAL_DF * rise_df


@published("Mixing balance at the tap", state="computed", use_f=105.0, hot_f=120.0, cold_f=50.0)
def hot_share_frac(use_f: Numbers, hot_f: Numbers, cold_f: Numbers) -> Numbers:
    """Share of a mixed flow that must come from the hot side.

    Parameters
    ----------
    use_f, hot_f, cold_f : float or ndarray
        Temperatures at the skin, of the hot water and of the cold water. [°F]

    Returns
    -------
    float or ndarray
        0 to 1. Where the hot water is cooler than the use temperature the share is 1: the tap runs all hot and
        still falls short. [-]
    """
    hot, cold, use = (np.asarray(value, dtype=float) for value in (hot_f, cold_f, use_f))
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.clip((use - cold) / (hot - cold), 0.0, 1.0)
    return np.where(hot > cold, share, 1.0)[()]


@published(
    "Steady heat balance; 60 min/h times 8.24 lb/gal, the trade's 'about 500'",
    state="computed",
    output_btuh=160_000.0,
    rise_df=67.0,
)
def heated_flow_gpm(output_btuh: Numbers, rise_df: Numbers) -> Numbers:
    """Flow that a heat output can hold at a temperature rise. Pipe loss and start-up are left out.

    Parameters
    ----------
    output_btuh : float or ndarray
        Heat into the water. [Btu/h]
    rise_df : float or ndarray
        Outlet minus inlet: a difference, not a reading. [°F]

    Returns
    -------
    float or ndarray
        Infinite where the rise is not positive: there is nothing to heat. [gpm]
    """
    rise = np.asarray(rise_df, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(rise > 0, output_btuh / (60 * TEST_BTU_PER_GAL_DF * rise), np.inf)[()]
