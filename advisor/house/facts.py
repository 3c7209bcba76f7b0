"""What every trade needs to know of the house and of the household, in one record."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.case.house import Drain, Electrical, Gas, Vent, Water
from advisor.case.record import Case

#: Flues that lift the exhaust by its own warmth.
NATURAL_DRAFT_FLUES = frozenset({"type_b", "masonry"})


@dataclass(frozen=True)
class HouseFacts:
    """The case and what was worked out about its place and people.

    Parameters
    ----------
    case : Case
        As given.
    heater_space : str
        Where the heater stands, given or assumed.
    us_state : str
        Two-letter state.
    elevation_ft, altitude_frac : float
        Height, and the share of its input that a burner keeps there. [ft], [-]
    outdoor_coldest_f : float
        Mean outdoor air of the coldest month. [°F]
    heater_air_f : ndarray
        Air around the heater by month. [°F]
    cold_water_f : float
        Inlet in the coldest month. [°F]
    daily_gal, heat_btu_per_day : float
        Mean hot water and its heat. [gal/day], [Btu/day]
    electricity_usd_per_kwh : float
        Price that a pump pays. [$/kWh]
    """

    case: Case
    heater_space: str
    us_state: str
    elevation_ft: float
    altitude_frac: float
    outdoor_coldest_f: float
    heater_air_f: np.ndarray
    cold_water_f: float
    daily_gal: float
    heat_btu_per_day: float
    electricity_usd_per_kwh: float

    @property
    def gas(self) -> Gas:
        """The case's gas line."""
        return self.case.gas

    @property
    def vent(self) -> Vent:
        """The case's flue."""
        return self.case.vent

    @property
    def electrical(self) -> Electrical:
        """The case's panel."""
        return self.case.electrical

    @property
    def water(self) -> Water:
        """The case's water."""
        return self.case.water

    @property
    def drain(self) -> Drain:
        """The case's drain."""
        return self.case.drain

    @property
    def flue(self) -> str:
        """What carries the old heater's exhaust: as given, else what its kind usually has."""
        if self.vent.flue is not None:
            return self.vent.flue
        failed = self.case.failed
        if failed.fuel.is_electric or failed.kind != "tank":
            return "none"
        return "type_b" if failed.fuel.is_fuel_gas else "masonry"

    @property
    def had_flue(self) -> bool:
        """The failed heater was a tank on a natural-draft flue, as far as anyone knows."""
        failed = self.case.failed
        return failed.fuel.is_burned and failed.kind == "tank" and self.flue in NATURAL_DRAFT_FLUES


@dataclass(frozen=True)
class HeaterUse:
    """What the model says of a candidate in this house.

    Parameters
    ----------
    fuel_therm_per_yr : float
        Fuel burned. [therm/yr]
    working_cop : float
        Heat delivered over electricity bought, heat pumps only; else 1. [-]
    loss_btuh_per_df : float
        Standby loss of one tank. [Btu/(h °F)]
    efficiency_frac : float
        Heat delivered over energy bought, standing losses left out. [-]
    energy_usd_per_mmbtu : float
        Price of a million Btu of its fuel. [$/MMBtu]
    """

    fuel_therm_per_yr: float
    working_cop: float
    loss_btuh_per_df: float
    efficiency_frac: float
    energy_usd_per_mmbtu: float
