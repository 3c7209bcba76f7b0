"""What the trades need to know of the house, and what the model tells them of a candidate."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property

import numpy as np

from advisor.case.house import Drain, Electrical, Gas, Vent, Water
from advisor.case.record import Case
from advisor.case.usual import usual
from advisor.core.kinds import Fuel
from advisor.core.tables import load
from advisor.core.units import BTU_PER_KWH, BTU_PER_THERM
from advisor.heaters.annual_energy import Energy, parameters_of
from advisor.heaters.catalogue import Heater

#: Flues that lift the exhaust by its own warmth.
NATURAL_DRAFT_FLUES = frozenset({"type_b", "masonry"})

#: The coldest design day lies about this far under the mean of the coldest month; assumed.
_DESIGN_BELOW_MEAN_DF = 25.0


@dataclass(frozen=True)
class HouseFacts:
    """The case, and what only the trades ask of it; what any heater meets stands in ``circumstances``.

    Parameters
    ----------
    case : Case
        As given.
    electricity_usd_per_kwh : float
        Price that a pump pays. [$/kWh]
    state, county_fips : str
        Where the house stands: postal abbreviation, five digits.
    installed_on : date or None
        Day on which the heater is put in, for rules that begin some day.
    """

    case: Case
    electricity_usd_per_kwh: float
    state: str = ""
    county_fips: str = ""
    installed_on: date | None = None

    def design_f(self, coldest_month_f: float) -> float:
        """Outdoor temperature of the coldest design day: as told, else so far under the coldest month's mean. [°F]"""
        told = self.vent.design_f
        return coldest_month_f - _DESIGN_BELOW_MEAN_DF if told is None else told

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

    @cached_property
    def is_earthquake_country(self) -> bool:
        """Tanks are strapped here: as given, else where the law or code of the state asks for it."""
        given = self.water.is_earthquake_country
        return self.state in load("strap_states")["us_state"] if given is None else given

    @cached_property
    def flue(self) -> str:
        """What carries the old heater's exhaust: as given, else what its kind usually has."""
        if self.vent.flue is not None:
            return self.vent.flue
        failed = self.case.failed
        if not failed.has_flame:
            return "none"
        if failed.kind == "tankless":
            return "stainless"
        return "type_b" if failed.fuel.is_fuel_gas else "masonry"

    @cached_property
    def had_flue(self) -> bool:
        """The failed heater was a tank on a natural-draft flue, as far as anyone knows."""
        failed = self.case.failed
        return failed.has_flame and failed.kind == "tank" and self.flue in NATURAL_DRAFT_FLUES

    @cached_property
    def had_tankless(self) -> bool:
        """The failed heater was a tankless one: its valves for flushing, its pipe and its vent are there."""
        return self.case.failed.kind == "tankless"

    @cached_property
    def had_condensate(self) -> bool:
        """The failed heater made water that ran off somewhere: a heat pump, or a burner on a plastic pipe."""
        failed = self.case.failed
        return failed.kind == "heat_pump" or (failed.has_flame and self.flue == "plastic")

    @cached_property
    def failed_input_btuh(self) -> float | None:
        """Input of the failed burner: on its plate, else what whole-house tankless heaters have; a tank's not known."""
        failed = self.case.failed
        if not failed.has_flame:
            return None
        if failed.input_btuh is not None or not self.had_tankless:
            return failed.input_btuh
        return float(usual("failed.input_btuh", "tankless"))

    def burned_before(self, fuel: Fuel) -> bool:
        """The heater that failed burned this fuel, on a pipe of its own."""
        return self.case.failed.has_flame and self.case.failed.fuel == fuel

    @property
    def has_240_v_circuit(self) -> bool:
        """A circuit of 240 V ends at the heater: as given, else where an electric heater failed."""
        given = self.electrical.has_240_v_circuit
        return self.case.failed.fuel.is_electric if given is None else given


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


def use_of(heater: Heater, energy: Energy, energy_usd_per_mmbtu: float) -> HeaterUse:
    """What the trades are told of a candidate.

    Parameters
    ----------
    heater : Heater
        The candidate.
    energy : Energy
        Its year.
    energy_usd_per_mmbtu : float
        Price of its fuel. [$/MMBtu]
    """
    solved = parameters_of(heater)
    bought_btu = float(np.sum(energy.electricity_kwh)) * BTU_PER_KWH
    return HeaterUse(
        fuel_therm_per_yr=float(np.sum(energy.fuel_btu)) / BTU_PER_THERM,
        working_cop=float(np.sum(energy.heat_btu)) / bought_btu if heater.is_heat_pump else 1.0,
        loss_btuh_per_df=solved.loss_btuh_per_df,
        efficiency_frac=solved.efficiency_frac,
        energy_usd_per_mmbtu=energy_usd_per_mmbtu,
    )
