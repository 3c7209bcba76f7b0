"""What a heater does to the house around it: a heat pump cools its room, a tank's loss warms it.

Both are counted alike: winter heating makes up for what is taken and is spared what is given, summer cooling the other
way round.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from advisor.case.record import Case
from advisor.circumstances import Circumstances
from advisor.core.arrays import Floats, Numbers
from advisor.core.kinds import Fuel, electricity, piped_gas
from advisor.core.published import published
from advisor.core.units import BTU_PER_KWH, DAYS_BY_MONTH
from advisor.heaters.annual_energy import Energy, jacket_share_frac
from advisor.heaters.catalogue import Heater

#: Share of the heat taken from the heater's room that the heated house has to replace; assumed.
COUPLING_FRAC = {"indoors": 1.0, "closet": 1.0, "basement": 0.5}
#: Months colder than the first are heating months, warmer than the second cooling months; assumed.
HEATING_BELOW_F, COOLING_ABOVE_F = 55.0, 72.0
#: Coefficient of performance of the house's cooling; assumed.
COOLING_COP = 3.0
#: No heat pump heater spares more cooling than this in a day: the mean of eight occupied homes whose heaters breathed
#: the conditioned air (Florida Solar Energy Center 2016). [kWh/day]
MOST_COOLING_SPARED_KWH_PER_DAY = 1.1


@published(
    "Heat balance of a heated house",
    state="assumed",
    taken_btu=500_000.0,
    coupling_frac=0.5,
    outdoor_f=30.0,
    heating_efficiency_frac=0.8,
)
def extra_heating_btu(
    taken_btu: Numbers, coupling_frac: Numbers, outdoor_f: Numbers, heating_efficiency_frac: Numbers
) -> Numbers:
    """Heating energy that replaces heat taken from the room in a heating month.

    Parameters
    ----------
    taken_btu : float or ndarray
        Heat taken from the room in the month; below 0 where the heater gives heat. [Btu]
    coupling_frac : float or ndarray
        Share of it that the heated house feels. [-]
    outdoor_f : float or ndarray
        Mean outdoor air of the month; below 55 °F the house is heated. [°F]
    heating_efficiency_frac : float or ndarray
        Efficiency of the house's heating. [-]

    Returns
    -------
    float or ndarray
        [Btu]
    """
    felt = np.where(np.asarray(outdoor_f) < HEATING_BELOW_F, taken_btu, 0.0)
    return (felt * coupling_frac / heating_efficiency_frac)[()]


@published("Heat balance of a cooled house", state="assumed", taken_btu=500_000.0, coupling_frac=1.0, outdoor_f=80.0)
def saved_cooling_btu(taken_btu: Numbers, coupling_frac: Numbers, outdoor_f: Numbers) -> Numbers:
    """Electricity for cooling that the heater spares in a cooling month, as energy; below 0 where it warms the room.

    Parameters
    ----------
    taken_btu : float or ndarray
        Heat taken from the room in the month. [Btu]
    coupling_frac : float or ndarray
        Share of it that the cooled house feels. [-]
    outdoor_f : float or ndarray
        Mean outdoor air of the month; above 72 °F the house is cooled. [°F]

    Returns
    -------
    float or ndarray
        [Btu]
    """
    felt = np.where(np.asarray(outdoor_f) > COOLING_ABOVE_F, taken_btu, 0.0)
    return (felt * coupling_frac / COOLING_COP)[()]


def taken_from_room_btu(heater: Heater, energy: Energy) -> Floats:
    """Heat that a heater takes from its room by month; below 0 what the jacket of a tank gives to it. [Btu]"""
    if heater.is_heat_pump:
        return energy.room_heat_btu
    return -jacket_share_frac(heater) * energy.standby_btu_per_day * DAYS_BY_MONTH


def room_energy_btu(
    taken_btu: Numbers, circumstances: Circumstances, *, heating_fuel: Fuel, heating_efficiency_frac: float
) -> dict[Fuel, Any]:
    """Energy the house buys more (or, for cooling, less) by fuel and month because of the heater.

    Parameters
    ----------
    taken_btu : ndarray
        Heat taken from the room by month; below 0 where the heater gives heat. [Btu]
    circumstances : Circumstances
        Outdoor air, and where the heater stands: only rooms of the house count.
    heating_fuel : Fuel
        Fuel of the house's heating.
    heating_efficiency_frac : float
        Its efficiency. [-]
    """
    coupling, outdoor_f = COUPLING_FRAC.get(circumstances.heater_space, 0.0), circumstances.outdoor_f
    if coupling == 0.0 or not np.any(taken_btu):
        return {}
    heating = extra_heating_btu(taken_btu, coupling, outdoor_f, heating_efficiency_frac)
    most_btu = MOST_COOLING_SPARED_KWH_PER_DAY * BTU_PER_KWH * DAYS_BY_MONTH
    cooling = np.minimum(saved_cooling_btu(taken_btu, coupling, outdoor_f), most_btu)
    energy = {electricity(): -np.asarray(cooling)}
    energy[heating_fuel] = np.asarray(energy.get(heating_fuel, 0.0) + heating)
    return energy


def heating_fuel_of(case: Case) -> Fuel:
    """Fuel that heats the house: as given, else the piped gas if there is any, else that of the heater that failed."""
    gas = piped_gas()
    return case.house.heating_fuel or (gas if gas in case.house.fuels else case.failed.fuel)
