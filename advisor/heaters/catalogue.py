"""The heaters that can be compared: one label each, without makes or models."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache

from advisor.core import references
from advisor.core.errors import TableError
from advisor.core.findings import Finding, note
from advisor.core.kinds import Fuel, Technology
from advisor.core.tables import load
from advisor.core.units import BTU_PER_KWH


@dataclass(frozen=True)
class Heater:
    """A heater as its label and data plate describe it.

    Parameters
    ----------
    id, title : str
        Our name, and plain words.
    technology, fuel : Technology, Fuel
        How it heats, and with what.
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
    variant : str or None
        What sets it apart from the usual heater of its kind and size: ``short`` or ``input``.
    n_units : int
        Equal heaters in parallel.
    state, source : str
        How far the label values were verified, and where they come from.
    """

    id: str
    title: str
    technology: Technology
    fuel: Fuel
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
    variant: str | None
    sale_note: str | None
    state: str
    source: str
    n_units: int = 1

    @property
    def is_own(self) -> bool:
        """A label that the household typed in, under its own title."""
        return self.id.startswith("own-")

    @property
    def is_storage(self) -> bool:
        """A tank, rated by its first hour."""
        return self.technology.is_storage

    @property
    def is_tankless(self) -> bool:
        """Flow-activated, rated by gallons a minute."""
        return not self.is_storage

    @property
    def is_heat_pump(self) -> bool:
        """Takes heat from the air around it."""
        return self.technology.is_heat_pump

    @property
    def is_condensing(self) -> bool:
        """Burns gas and makes acidic water doing it."""
        return self.technology.is_condensing

    @property
    def burns_fuel(self) -> bool:
        """Its heat comes from a flame, its own or the boiler's."""
        return self.fuel.is_burned

    @property
    def has_flame(self) -> bool:
        """Has a burner and a flue of its own."""
        return self.fuel.is_burned and not self.technology.is_boiler_heated

    @property
    def usual_recovery_frac(self) -> float:
        """Recovery efficiency on the label, else the usual one of a burner of its class. [-]"""
        found = self.recovery_frac or self.technology.usual_recovery_frac
        assert found is not None, self.id
        return found

    @property
    def power_btuh(self) -> float:
        """Rated input of one unit, fuel or electric. [Btu/h]"""
        if self.input_btuh is not None:
            return self.input_btuh
        assert self.input_kw is not None, self.id
        return self.input_kw * BTU_PER_KWH

    @property
    def rating(self) -> Finding:
        """The label in one line."""
        pattern = note(f"pattern.{self.draw_pattern}")
        if self.fhr_gal is not None:
            return note("label.hour", rating_uef=self.uef, pattern=pattern, rating_gal=self.fhr_gal)
        return note("label.flow", rating_uef=self.uef, pattern=pattern, rating_gpm=self.max_gpm or 0.0)


@cache
def catalogue() -> tuple[Heater, ...]:
    """Every representative heater, in the table's order.

    Raises
    ------
    TableError
        Another table lacks a heater or a class, or a heater lacks a number that its class needs.
    """
    references.check(("fuels", "technologies", "heaters"))
    known = {field.name for field in fields(Heater)}
    found = []
    for row in load("heaters").rows():
        technology, fuel = Technology.named(row["technology"]), Fuel.named(row["fuel"])
        if fuel not in technology.fuels:
            raise TableError("heaters.csv", f"{row['id']}: a {technology.title} does not run on {fuel.title}")
        for number in technology.label_numbers(fuel):
            if row[number] is None:
                raise TableError("heaters.csv", f"{row['id']} has no {number}, and a {technology.title} needs it")
        own = {name: value for name, value in row.items() if name in known}
        found.append(Heater(**own | {"technology": technology, "fuel": fuel}))
    return tuple(found)


def by_id(heater_id: str) -> Heater | None:
    """The catalogue heater of that name, or None."""
    return next((heater for heater in catalogue() if heater.id == heater_id), None)
