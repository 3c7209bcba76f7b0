"""What a heater takes in homes: the label's model, times what heaters of its kind miss their rating by beyond that.

Every figure that is told rests on this one account: the cost of a year, what is saved, carbon dioxide, the years.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np

from advisor.core import tables
from advisor.core.arrays import Numbers
from advisor.core.findings import note
from advisor.core.kinds import Technology
from advisor.core.published import published
from advisor.core.units import BTU_PER_KWH
from advisor.core.working import Working
from advisor.heaters.annual_energy import Energy
from advisor.heaters.catalogue import Heater


@cache
def field_gap_dimensionless(technology: Technology) -> float:
    """Energy that heaters of a kind take in homes, over what the two-parameter model says.

    Field studies compare with the rating. The model already stands below the rating in such homes, and that part
    is taken out, so that nothing counts twice. Never below 1: nobody counts on a heater that beats its label.

    Sources
    -------
    Table ``spreads``, field_efficiency, with the studies and what is assumed.
    """
    row = tables.load("spreads").find("field_efficiency", technology.id)
    return max(1.0, float(row["modelled_dimensionless"] / row["typical_dimensionless"]))


@published(
    "Field studies of heaters in homes over their rating, less what the model gives already: table spreads",
    state="assumed",
    label_btu_per_yr=19e6,
    gap_dimensionless=1.06,
)
def in_homes_btu_per_yr(label_btu_per_yr: Numbers, gap_dimensionless: Numbers) -> Numbers:
    """Energy that a heater takes in a year in a home.

    Parameters
    ----------
    label_btu_per_yr : float or ndarray
        As the label's model has it. [Btu/yr]
    gap_dimensionless : float or ndarray
        What heaters of its kind take in homes over that. [-]

    Returns
    -------
    float or ndarray
        [Btu/yr]
    """
    return label_btu_per_yr * gap_dimensionless


def energy_in_homes(heater: Heater, label: Energy) -> Energy:
    """A year as such heaters spend it in homes.

    A burner burns more; elements and compressors draw more. What a heat pump draws more it takes less from its room.

    Parameters
    ----------
    heater : Heater
        Whose kind is looked up.
    label : Energy
        As the label's model has it.
    """
    gap = field_gap_dimensionless(heater.technology)
    more_btu = (gap - 1.0) * label.bought_btu
    bought = label.bought_btu + more_btu
    if heater.burns_fuel:
        return replace(label, fuel_btu=np.where(label.fuel_btu > 0, label.fuel_btu + more_btu, 0.0), bought_btu=bought)
    return replace(
        label,
        electricity_kwh=label.electricity_kwh + more_btu / BTU_PER_KWH,
        room_heat_btu=np.maximum(label.room_heat_btu - more_btu, 0.0),
        bought_btu=bought,
    )


def in_homes_working(heater: Heater, label: Energy) -> Working:
    """How the year in homes follows from the label's."""
    bought, gap = float(np.sum(label.bought_btu)), field_gap_dimensionless(heater.technology)
    inputs = {"label_btu_per_yr": bought, "gap_dimensionless": gap}
    return Working(note("working.in_homes"), in_homes_btu_per_yr, inputs, bought * gap)
