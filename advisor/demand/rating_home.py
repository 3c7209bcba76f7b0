"""The home that a US standard for rating houses takes as its reference: hot water counted by bedrooms.

The reference-home equations of ANSI/RESNET/ICC 301: mixed water at the fixtures and wasted in the pipes, and the two
machines. They are a second opinion beside ``daily_volume``, which counts people, and say how much of the water lies in
the pipes. "Mixed" gallons leave the tap, "hot" gallons leave the heater.
"""

from __future__ import annotations

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.published import published
from advisor.demand.recirculation import control_row
from advisor.physics.water import hot_share_frac

#: Temperature at the skin in the reference home (ANSI/RESNET/ICC 301; from memory, unverified).
USE_F = 105.0
#: Share of fixture use left when every shower and tap is 2.0 gpm or less (same source and state).
LOW_FLOW_FRAC = 0.95

_RESNET = "ANSI/RESNET/ICC 301, 2014 Addendum A and 2019, section 4.2.2"
_MEMORY = "from memory, unverified"


@published(_RESNET + ", reference fixture use", state=_MEMORY, bedrooms=3.0)
def fixture_use_gpd(bedrooms: Numbers) -> Numbers:
    """Mixed water at showers, baths and taps of the reference home.

    Parameters
    ----------
    bedrooms : float or ndarray
        Bedrooms. [-]

    Returns
    -------
    float or ndarray
        Mixed gallons at the use temperature. [gal/day]

    Sources
    -------
    ANSI/RESNET/ICC 301 section 4.2.2; from memory, unverified.
    """
    return 14.6 + 10.0 * bedrooms


@published(_RESNET + ", reference pipe waste", state=_MEMORY, bedrooms=3.0)
def pipe_waste_gpd(bedrooms: Numbers) -> Numbers:
    """Mixed water lost while waiting and left to cool in the pipes of the reference home.

    Parameters
    ----------
    bedrooms : float or ndarray
        Bedrooms. [-]

    Returns
    -------
    float or ndarray
        Mixed gallons: bare pipes of ordinary length, no recirculation. [gal/day]

    Sources
    -------
    ANSI/RESNET/ICC 301 section 4.2.2; from memory, unverified.
    """
    return 9.8 * np.power(bedrooms, 0.43)


@published(_RESNET + ", reference dishwasher", state=_MEMORY, bedrooms=3.0)
def dishwasher_gpd(bedrooms: Numbers) -> Numbers:
    """Hot water of the reference dishwasher, 8.16 gal a load.

    Parameters
    ----------
    bedrooms : float or ndarray
        Bedrooms. [-]

    Returns
    -------
    float or ndarray
        Hot gallons. [gal/day]

    Sources
    -------
    ANSI/RESNET/ICC 301 section 4.2.2; from memory, unverified. Closes on gal/load = 4.6415/EF - 1.9295 at EF 0.46.
    """
    return (88.4 + 34.9 * bedrooms) * 8.16 / 365


@published(_RESNET + ", reference clothes washer", state=_MEMORY, bedrooms=3.0)
def clothes_washer_gpd(bedrooms: Numbers) -> Numbers:
    """Hot water of the reference clothes washer, 4.52 gal a load.

    Parameters
    ----------
    bedrooms : float or ndarray
        Bedrooms. [-]

    Returns
    -------
    float or ndarray
        Hot gallons. [gal/day]

    Sources
    -------
    ANSI/RESNET/ICC 301 section 4.2.2; from memory, unverified. Agrees with the label form of the standard within 1 %.
    """
    loads_per_yr = (164 + 46.5 * bedrooms) * (3 * 2.08 + 1.59) / (2.874 * 2.08 + 1.59)
    return 4.52 * loads_per_yr / 365


@published(_RESNET, state=_MEMORY, bedrooms=3.0, set_point_f=125.0, mains_f=58.0)
def reference_home_gpd(bedrooms: Numbers, set_point_f: Numbers, mains_f: Numbers) -> Numbers:
    """Hot gallons a day of the reference home: a second opinion, not the figure used.

    Parameters
    ----------
    bedrooms : float or ndarray
        Bedrooms. [-]
    set_point_f, mains_f : float or ndarray
        Temperatures at the heater and of the cold water. [°F]

    Returns
    -------
    float or ndarray
        [gal/day]

    Validity
    --------
    Results were reproduced for 1 to 6 bedrooms and mains of 45 to 75 °F.

    Sources
    -------
    ANSI/RESNET/ICC 301 section 4.2.2 as in 2014 Addendum A and 2019. Constants from memory, unverified; the
    machines are counted in hot gallons at any set point.
    """
    mixed_gpd = fixture_use_gpd(bedrooms) + pipe_waste_gpd(bedrooms)
    machines_gpd = dishwasher_gpd(bedrooms) + clothes_washer_gpd(bedrooms)
    return machines_gpd + hot_share_frac(USE_F, set_point_f, mains_f) * mixed_gpd


@published(_RESNET + ", distribution system", state=_MEMORY)
def pipe_waste_frac(*, recirculation: str = "none", is_insulated: bool = False) -> float:
    """Pipe waste against the reference home: a quarter does not depend on the pipes, three quarters lie in them.

    Parameters
    ----------
    recirculation : str
        A control of the table ``recirculation_controls``; ``none`` is no loop.
    is_insulated : bool
        Pipes (without a loop) or loop carry R-3 insulation.

    Returns
    -------
    float
        1 for bare pipes without a loop. [-]

    Validity
    --------
    Pipe runs of ordinary length; with a loop, 10 ft from loop to tap.

    Sources
    -------
    ANSI/RESNET/ICC 301 section 4.2.2; from memory, unverified.
    """
    has_loop = control_row(recirculation)["control"] != "none"
    system_frac = {(False, False): 1.00, (False, True): 0.90, (True, False): 1.11, (True, True): 1.00}
    still_wasted_frac = 0.10 if has_loop else 1.00
    return 0.25 + 0.75 * system_frac[has_loop, is_insulated] * still_wasted_frac
