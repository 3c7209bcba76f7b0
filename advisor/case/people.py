"""How many people are counted where only the bedrooms are known, and back."""

from __future__ import annotations

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.published import published

_PROTOCOL = "Building America House Simulation Protocols, 2010 and 2014 (NREL/TP-5500-60988)"
_MEMORY = "from memory, unverified"
_A_HOUSE, _A_BEDROOM = 0.87, 0.59


@published(_PROTOCOL + ", people by bedrooms, single-family", state=_MEMORY, bedrooms=3.0)
def usual_people(bedrooms: Numbers) -> Numbers:
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
    Building America protocols 2014; from memory, unverified. Homes of the 2009 Residential Energy Consumption Survey
    with one tank lie within 3 % of it in the mean of each fuel; single homes far off.
    """
    return _A_BEDROOM * bedrooms + _A_HOUSE


@published(_PROTOCOL + ", people by bedrooms, turned round", state=_MEMORY, people=4.0)
def equivalent_bedrooms(people: Numbers) -> Numbers:
    """Bedrooms of the house where so many people usually live: how a head count enters the equations.

    Using the relation this way round is our own choice.

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
    return np.maximum((np.asarray(people, dtype=float) - _A_HOUSE) / _A_BEDROOM, 0.0)[()]


def people_by_bedrooms(bedrooms: int) -> int:
    """Whole people that are taken to live in so many bedrooms, where nobody says how many do; never fewer than one."""
    return max(1, round(float(usual_people(bedrooms))))
