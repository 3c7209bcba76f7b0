"""The heaters that can be compared: one label each, without makes or models."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache

from advisor.core.tables import load
from advisor.core.units import BTU_PER_KWH

STORAGE = frozenset(
    {
        "gas_storage_atmospheric",
        "gas_storage_power_vent",
        "gas_storage_condensing",
        "electric_storage_resistance",
        "heat_pump_storage_240v",
        "heat_pump_storage_120v",
        "oil_storage",
    }
)
HEAT_PUMP = frozenset({"heat_pump_storage_240v", "heat_pump_storage_120v"})
CONDENSING = frozenset({"gas_storage_condensing", "gas_tankless_condensing"})
TECHNOLOGY_TITLES = {
    "gas_storage_atmospheric": "natural-draft tank",
    "gas_storage_power_vent": "power-vent tank",
    "gas_storage_condensing": "condensing tank",
    "gas_tankless_noncondensing": "tankless, non-condensing",
    "gas_tankless_condensing": "tankless, condensing",
    "electric_storage_resistance": "electric tank",
    "heat_pump_storage_240v": "heat pump tank, 240 V",
    "heat_pump_storage_120v": "heat pump tank, plug-in",
    "electric_tankless": "electric tankless",
    "oil_storage": "oil tank",
}


@dataclass(frozen=True)
class Heater:
    """A heater as its label and data plate describe it.

    Parameters
    ----------
    id, title, technology, fuel : str
        Our name, plain words, how it heats (a key of ``TECHNOLOGY_TITLES``), main fuel.
    rated_volume_gal, nominal_gal : float
        Measured volume, and the volume it is sold by. [gal]
    input_btuh, min_input_btuh : float or None
        Full and lowest fire of a burner. [Btu/h]
    input_kw : float or None
        Electric input: the element, or the whole heater. [kW]
    uef : float
        Uniform energy factor in its draw pattern. [-]
    draw_pattern : str
        ``very_small``, ``low``, ``medium`` or ``high``.
    fhr_gal, max_gpm : float or None
        First-hour rating of a tank; maximum flow at a 67 °F rise of a tankless heater. [gal], [gpm]
    recovery_frac : float or None
        Recovery efficiency; a coefficient of performance, above 1, for a heat pump. [-]
    recovery_gph : float or None
        Recovery at a 90 °F rise as catalogues print it. [gal/h]
    aux_kwh_per_yr : float
        Electricity of fan and controls on the test day, times 365. [kWh/yr]
    activation_gpm : float or None
        Least flow that starts a tankless heater. [gpm]
    n_units : int
        Equal heaters in parallel.
    state, source : str
        How far the label values were verified, and where they come from.
    """

    id: str
    title: str
    technology: str
    fuel: str
    nominal_gal: float
    rated_volume_gal: float
    input_btuh: float | None
    min_input_btuh: float | None
    input_kw: float | None
    uef: float
    draw_pattern: str
    fhr_gal: float | None
    max_gpm: float | None
    recovery_frac: float | None
    recovery_gph: float | None
    aux_kwh_per_yr: float
    activation_gpm: float | None
    vent_category: str
    vent_diameter_in: float | None
    gas_connection_in: str | None
    min_inlet_inwc: float | None
    circuit_v: float | None
    circuit_a: float | None
    n_circuits: float | None
    height_in: float
    width_in: float
    noise_dba: float
    sale_note: str | None
    state: str
    source: str
    n_units: int = 1

    @property
    def is_storage(self) -> bool:
        """A tank, rated by its first hour."""
        return self.technology in STORAGE

    @property
    def is_tankless(self) -> bool:
        """Flow-activated, rated by gallons a minute."""
        return not self.is_storage

    @property
    def is_heat_pump(self) -> bool:
        """Takes heat from the air around it."""
        return self.technology in HEAT_PUMP

    @property
    def is_condensing(self) -> bool:
        """Burns gas and makes acidic water doing it."""
        return self.technology in CONDENSING

    @property
    def burns_fuel(self) -> bool:
        """Has a flue."""
        return self.fuel != "electricity"

    @property
    def power_btuh(self) -> float:
        """Rated input of one unit, fuel or electric. [Btu/h]"""
        if self.input_btuh is not None:
            return self.input_btuh
        assert self.input_kw is not None, self.id
        return self.input_kw * BTU_PER_KWH

    @property
    def rating_text(self) -> str:
        """The label in one line, for a reader."""
        size = f"first hour {self.fhr_gal:g} gal" if self.is_storage else f"{self.max_gpm:g} gpm at a 67 °F rise"
        return f"UEF {self.uef:g} ({self.draw_pattern.replace('_', ' ')} draw pattern), {size}"


@cache
def catalogue() -> tuple[Heater, ...]:
    """Every representative heater, in the table's order."""
    known = {field.name for field in fields(Heater)}
    return tuple(
        Heater(**{name: value for name, value in row.items() if name in known}) for row in load("heaters").rows()
    )


def by_id(heater_id: str) -> Heater | None:
    """The catalogue heater of that name, or None."""
    return next((heater for heater in catalogue() if heater.id == heater_id), None)
