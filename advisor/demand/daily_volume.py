"""How many hot gallons a household draws in a day, month by month.

The reference-home equations of ANSI/RESNET/ICC 301 give the volume: mixed water at the fixtures and wasted in the
pipes, turned into hot gallons by the mixing balance with that month's cold water, plus the two machines. They count
bedrooms; where the number of people is known it is turned into the bedrooms of a house where so many usually live.
"Mixed" gallons leave the tap, "hot" gallons leave the heater.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from advisor.core.published import published
from advisor.demand.recirculation import control_row
from advisor.physics.water import hot_share_frac

#: Temperature at the skin in the reference home (ANSI/RESNET/ICC 301; from memory, unverified).
USE_F = 105.0
#: Share of fixture use left when every shower and tap is 2.0 gpm or less (same source and state).
LOW_FLOW_FRAC = 0.95
#: The published results were reproduced up to this many bedrooms; the equations name no end.
CHECKED_BEDROOMS = 6

_RESNET = "ANSI/RESNET/ICC 301, 2014 Addendum A and 2019, section 4.2.2"
_PROTOCOL = "Building America House Simulation Protocols, 2010 and 2014 (NREL/TP-5500-60988)"
_MEMORY = "from memory, unverified"


@published(_PROTOCOL + ", people by bedrooms, single-family", state=_MEMORY, bedrooms=3.0)
def usual_people(bedrooms: Any) -> Any:
    """People who usually live in a single-family house of so many bedrooms.

    Parameters
    ----------
    bedrooms : float or ndarray
        Bedrooms. [-]

    Returns
    -------
    float or ndarray
        People. [-]

    Sources
    -------
    Building America protocols 2014; from memory, unverified.
    """
    return 0.59 * bedrooms + 0.87


@published(_PROTOCOL + ", people by bedrooms, turned round", state=_MEMORY, people=4.0)
def equivalent_bedrooms(people: Any) -> Any:
    """Bedrooms of the house where so many people usually live: how a known head count enters the equations.

    Using the protocols' relation this way round is our own choice. It makes volume rise with every person.

    Parameters
    ----------
    people : float or ndarray
        People. [-]

    Returns
    -------
    float or ndarray
        Bedrooms, not a whole number, never below 0. [-]

    Sources
    -------
    Inverse of ``usual_people``.
    """
    return np.maximum((np.asarray(people, dtype=float) - 0.87) / 0.59, 0.0)[()]


@published(_RESNET + ", reference fixture use", state=_MEMORY, bedrooms=3.0)
def fixture_use_gpd(bedrooms: Any) -> Any:
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
def pipe_waste_gpd(bedrooms: Any) -> Any:
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
def dishwasher_gpd(bedrooms: Any) -> Any:
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
def clothes_washer_gpd(bedrooms: Any) -> Any:
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
def hot_water_gpd(
    bedrooms: Any,
    set_point_f: Any,
    mains_f: Any,
    use_f: Any = USE_F,
    fixture_frac: Any = 1.0,
    waste_frac: Any = 1.0,
) -> Any:
    """Hot gallons that leave the heater on a day.

    Parameters
    ----------
    bedrooms : float or ndarray
        Bedrooms, or the equivalent of a head count. [-]
    set_point_f, mains_f, use_f : float or ndarray
        Temperatures at the heater, of the cold water and at the skin. [°F]
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
    Results were reproduced for 1 to 6 bedrooms and mains of 45 to 75 °F. Homes of one kind differ: read it as a middle
    with a band of at least 30 % either way (our judgement of field studies).

    Sources
    -------
    ANSI/RESNET/ICC 301 section 4.2.2 as in 2014 Addendum A and 2019. Constants from memory, unverified; the
    machines are counted in hot gallons at any set point.
    """
    mixed_gpd, hot_gpd = mixed_and_hot_gpd(bedrooms, fixture_frac, waste_frac)
    return hot_gpd + hot_share_frac(use_f, set_point_f, mains_f) * mixed_gpd


def mixed_and_hot_gpd(bedrooms: Any, fixture_frac: Any = 1.0, waste_frac: Any = 1.0) -> tuple[Any, Any]:
    """The two parts of ``hot_water_gpd``: mixed gallons a day at the fixtures, and hot gallons of the two machines."""
    mixed_gpd = fixture_frac * (fixture_use_gpd(bedrooms) + waste_frac * pipe_waste_gpd(bedrooms))
    return mixed_gpd, dishwasher_gpd(bedrooms) + clothes_washer_gpd(bedrooms)


@published(_PROTOCOL, state=_MEMORY, bedrooms=3.0, set_point_f=125.0, mains_f=58.0)
def protocol_hot_water_gpd(bedrooms: Any, set_point_f: Any, mains_f: Any) -> Any:
    """Hot gallons of a day by the older simulation protocols: a second opinion, not the figure used.

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
    1 to 6 bedrooms.

    Sources
    -------
    Building America protocols: showers 14.0 + 4.67 n, baths 3.5 + 1.17 n, sinks 12.5 + 4.16 n, together 30 + 10 n at
    110 °F (the sum seen in a national laboratory's text, the parts from memory); clothes washer 2.35 + 0.78 n and
    dishwasher 2.26 + 0.75 n hot gallons (from memory, unverified).
    """
    mixed_gpd = (14.0 + 4.67 * bedrooms) + (3.5 + 1.17 * bedrooms) + (12.5 + 4.16 * bedrooms)
    machines_gpd = (2.35 + 0.78 * bedrooms) + (2.26 + 0.75 * bedrooms)
    return machines_gpd + hot_share_frac(110.0, set_point_f, mains_f) * mixed_gpd


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


def hot_gal_per_day_by_month(
    bedrooms: Any,
    mains_by_month_f: Any,
    set_point_f: Any,
    *,
    use_f: Any = USE_F,
    has_low_flow_fixtures: Any = False,
    recirculation: str = "none",
    is_insulated: bool = False,
) -> Any:
    """Hot gallons a day in each month: winter draws more of them, because cold water needs more hot to mix.

    Parameters
    ----------
    bedrooms : float or ndarray, shape (...)
        Bedrooms, or ``equivalent_bedrooms`` of the people. [-]
    mains_by_month_f : ndarray, shape (..., 12)
        Cold water by month. [°F]
    set_point_f, use_f : float or ndarray, shape (...)
        Temperatures at the heater and at the skin. [°F]
    has_low_flow_fixtures : bool or ndarray, shape (...)
        Every shower and tap passes 2.0 gpm or less.
    recirculation, is_insulated
        As for ``pipe_waste_frac``.

    Returns
    -------
    ndarray, shape (..., 12)
        [gal/day]
    """
    bedrooms, set_point_f, use_f, low_flow = (
        np.asarray(value)[..., None] for value in (bedrooms, set_point_f, use_f, has_low_flow_fixtures)
    )
    return hot_water_gpd(
        bedrooms,
        set_point_f,
        np.asarray(mains_by_month_f, dtype=float),
        use_f,
        np.where(low_flow, LOW_FLOW_FRAC, 1.0),
        pipe_waste_frac(recirculation=recirculation, is_insulated=is_insulated),
    )
