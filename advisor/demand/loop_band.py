"""A loop whose pump follows a thermometer: the wider the band, the less it costs and the cooler the tap gets.

The band runs from about 18 °F, the cheapest, to 2 °F, the warmest (common practice, no published source).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.published import published
from advisor.core.units import MIN_PER_H
from advisor.demand.recirculation import HOURS_PER_YR, Loop, Recirculation, pipe_loss_btuh_per_ft_df
from advisor.physics.water import TEST_BTU_PER_GAL_DF

#: Bands from the cheapest to the warmest (common practice, no published source). [°F]
BANDS_DF = (18.0, 10.0, 5.0, 2.0)
#: A small pump's motor takes more amperes than its watts say (common practice, no published source). [-]
USUAL_POWER_FACTOR = 0.6
#: What a heater's dry contact may switch where its papers do not say; they govern. Assumed. [A]
USUAL_CONTACT_A = 1.0
_MIN_PER_DAY = 1440.0


@published(
    "Newton's law of cooling, one lump",
    state="computed",
    content_gal=3.0,
    loss_btuh_per_df=54.0,
    gain_over_air_df=45.0,
    band_df=10.0,
)
def loop_cools_min(
    content_gal: Numbers, loss_btuh_per_df: Numbers, gain_over_air_df: Numbers, band_df: Numbers
) -> Numbers:
    """How long a loop stands before it has cooled by the band.

    Parameters
    ----------
    content_gal : float or ndarray
        Water in it. [gal]
    loss_btuh_per_df : float or ndarray
        Heat that it loses for each degree above the air. [Btu/(h °F)]
    gain_over_air_df, band_df : float or ndarray
        How much warmer than the air it begins, and by how much it may cool. [°F]

    Returns
    -------
    float or ndarray
        Infinite where it never cools so far. [min]
    """
    above, band = np.asarray(gain_over_air_df, dtype=float), np.asarray(band_df, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        hours = content_gal * TEST_BTU_PER_GAL_DF / np.asarray(loss_btuh_per_df) * np.log(above / (above - band))
    return np.where(band < above, hours * MIN_PER_H, np.inf)[()]


@published(
    "Power over voltage and power factor",
    state="computed",
    pump_w=85.0,
    supply_v=120.0,
    power_factor_frac=0.6,
)
def pump_current_a(
    pump_w: Numbers, supply_v: Numbers = 120.0, power_factor_frac: Numbers = USUAL_POWER_FACTOR
) -> Numbers:
    """Current of a pump, which a contact must be able to switch.

    Parameters
    ----------
    pump_w : float or ndarray
        Its power. [W]
    supply_v : float or ndarray
        [V]
    power_factor_frac : float or ndarray
        [-]

    Returns
    -------
    float or ndarray
        [A]
    """
    return pump_w / supply_v / power_factor_frac


@dataclass(frozen=True)
class Banded:
    """A loop with a thermometer in its return.

    Parameters
    ----------
    coldest_f : float
        What the farthest tap may get then. [°F]
    starts_per_day : float
        Of the pump.
    loop : Recirculation
        Heat and pump of a year.
    """

    coldest_f: float
    starts_per_day: float
    loop: Recirculation


def banded(loop: Loop, whole: Recirculation, content_gal: float, band_df: float) -> Banded:
    """What a band makes of a loop: it cools by the band, then the pump fills it with hot water once.

    Parameters
    ----------
    loop, whole : Loop, Recirculation
        The loop, and what it takes when it is always warm.
    content_gal : float
        Water in it. [gal]
    band_df : float
        By how much it may cool. [°F]
    """
    _, per_ft, _ = pipe_loss_btuh_per_ft_df(loop.insulation, loop.nominal_in)
    loss_btuh_per_df = per_ft * loop.length_ft
    above = loop.loop_f - loop.air_f
    stands = float(loop_cools_min(content_gal, loss_btuh_per_df, above, band_df))
    fills = content_gal / loop.flow_gpm
    # The mean of an exponential fall is its band over the logarithm; while it fills, it is as warm as it gets.
    mean_standing = band_df / np.log(above / (above - band_df)) if np.isfinite(stands) else 0.0
    share_on = fills / (fills + stands)
    mean = share_on * above + (1 - share_on) * mean_standing
    made = replace(
        whole,
        control="temperature",
        heat_btu_per_yr=loss_btuh_per_df * mean * HOURS_PER_YR,
        pump_kwh_per_yr=loop.pump_w * share_on * HOURS_PER_YR / 1000,
    )
    return Banded(loop.loop_f - band_df, _MIN_PER_DAY / (fills + stands), made)
