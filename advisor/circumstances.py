"""What a heater meets in its house: one record of temperatures, air, draws and loop, made once and passed whole."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from advisor.case.record import Case
from advisor.core.arrays import Floats, Numbers
from advisor.core.errors import InputError
from advisor.core.published import published
from advisor.demand.household import Demand
from advisor.demand.morning_sizes import Mornings, mornings_of
from advisor.demand.recirculation import NO_LOOP, Recirculation, recirculation_of
from advisor.physics.water import heat_in_water_btu
from advisor.place.site import Site

#: Elements are rated at this voltage. [V]
RATED_V = 240.0


@dataclass(frozen=True, eq=False)
class Circumstances:
    """What any heater meets in a house.

    Whatever changes with the month ends in 12 months. Houses may stand in front: then every number has one for each
    of them, and what is worked out from it has, too.

    Parameters
    ----------
    set_point_f, use_f : float
        Set point, and temperature at the skin. [°F]
    mains_f : ndarray, shape (..., 12)
        Cold water. [°F]
    air_f, wet_bulb_f : ndarray, shape (..., 12)
        Air around the heater. [°F]
    outdoor_f : ndarray, shape (..., 12)
        Outdoor air. [°F]
    elevation_ft, altitude_frac : float
        Height, and the share of its input that a burner keeps there. [ft], [-]
    heater_space : str
        Where the heater stands, given or assumed.
    us_state : str
        Two-letter state.
    demand : Demand
        What the household draws, by the day and in its busy hour.
    loop : Recirculation
        What a hot water loop asks; ``NO_LOOP`` without one.
    element_frac : float
        Share of its rated power that an element for 240 V has on this supply. [-]
    """

    set_point_f: Any
    use_f: Any
    mains_f: Any
    air_f: Any
    wet_bulb_f: Any
    outdoor_f: Any
    elevation_ft: Any
    altitude_frac: Any
    heater_space: Any
    us_state: Any
    demand: Demand
    loop: Recirculation = NO_LOOP
    element_frac: Any = 1.0

    @property
    def daily_gal(self) -> Numbers:
        """Hot water leaving the heater, by month. [gal/day]"""
        return self.demand.daily_gal

    @cached_property
    def heat_btu_per_day(self) -> Numbers:
        """Heat that leaves the heater in hot water, by month. [Btu/day]"""
        return heat_in_water_btu(self.daily_gal, np.maximum(by_month(self.set_point_f) - self.mains_f, 0.0))

    @cached_property
    def mean_heat_btu_per_day(self) -> Numbers:
        """The same, over the months. [Btu/day]"""
        return np.mean(self.heat_btu_per_day, axis=-1)

    @cached_property
    def coldest_mains_f(self) -> Numbers:
        """Cold water in its coldest month. [°F]"""
        return np.min(self.mains_f, axis=-1)

    @cached_property
    def warmest_mains_f(self) -> Numbers:
        """Cold water in its warmest month. [°F]"""
        return np.max(self.mains_f, axis=-1)

    @cached_property
    def mornings(self) -> Mornings:
        """How many mornings of one house's year draw more than a share of the busy one."""
        return mornings_of(min(self.use_f, self.set_point_f), self.set_point_f, self.mains_f)

    @cached_property
    def coldest_outdoor_f(self) -> Numbers:
        """Mean outdoor air of the coldest month. [°F]"""
        return np.min(self.outdoor_f, axis=-1)


@published("Power of a resistance: the square of the voltage", state="computed", supply_v=208.0)
def element_frac(supply_v: Numbers, rated_v: Numbers = RATED_V) -> Numbers:
    """Share of its rated power that an element gives on another voltage than its own.

    Parameters
    ----------
    supply_v, rated_v : float or ndarray
        Voltage between the two hot legs, and the element's own. [V]

    Returns
    -------
    float or ndarray
        Three quarters at 208 V. [-]
    """
    return (np.asarray(supply_v, dtype=float) / rated_v) ** 2


def by_month(value: Numbers) -> Floats:
    """A number of each house, set against arrays that end in months."""
    return np.asarray(value)[..., None]


def circumstances_of(case: Case, site: Site, demand: Demand) -> Circumstances:
    """Gather what any heater meets in one house.

    Parameters
    ----------
    case : Case
        Set point and loop.
    site : Site
        The place.
    demand : Demand
        What the household draws there.

    Raises
    ------
    InputError
        The set point does not exceed the cold water.
    """
    set_point_f, coldest_f = case.household.set_point_f, site.mains.coldest_f
    if set_point_f <= coldest_f:
        reason = "the cold water alone comes in at {coldest_f:.0f} °F"
        fix = "raise it, or correct water.measured_cold_f"
        raise InputError("household.set_point_f", set_point_f, reason, fix, coldest_f=coldest_f)
    return Circumstances(
        set_point_f=set_point_f,
        use_f=case.household.use_temperature_f,
        mains_f=site.mains.mains_f,
        air_f=site.air_f,
        wet_bulb_f=site.wet_bulb_f,
        outdoor_f=site.location.outdoor_f,
        elevation_ft=site.location.elevation_ft,
        altitude_frac=site.altitude_frac,
        heater_space=site.heater_space,
        us_state=site.location.state,
        demand=demand,
        loop=recirculation_of(case.water, set_point_f, site.air_f),
        element_frac=min(float(element_frac(case.electrical.supply_v)), 1.0),
    )
