"""The parts of a case that a contractor measures: water, gas, vent, panel and drain. Every key is optional."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from advisor.case.base import Section, assumed, known
from advisor.core.errors import InputError


class Water(Section):
    """The water itself and the pipes that carry it."""

    supply: Literal["mains", "surface", "well"] = assumed(
        "mains",
        "City water from the ground, from a lake or river ('surface'), or a private well",
    )
    measured_cold_f: float | None = known("Coldest cold-water reading", ge=32.5, le=95)
    hardness_gpg: float | None = known("Hardness, grains per gallon or '120 mg/L'", ge=0, le=100)
    static_pressure_psi: float | None = known("Water pressure with nothing running", ge=10, le=200)
    dynamic_pressure_psi: float | None = known("Water pressure with a bath tap wide open", ge=0, le=200)
    has_closed_system: bool | None = known("There is a check valve or a pressure-reducing valve on the cold supply")
    has_expansion_tank: bool | None = known("An expansion tank hangs on the cold pipe")
    expansion_tank_gal: float | None = known("Size of that expansion tank", gt=0, le=100)
    has_mixing_valve: bool | None = known("A mixing valve stands at the heater")
    recirculation: Literal["none", "always", "timer", "temperature", "presence", "button"] = assumed(
        "none", "A hot-water loop and how its pump is run"
    )
    loop_ft: float | None = known("Length of the loop, out and back", ge=10, le=1000)
    loop_is_insulated: bool = assumed(False, "The loop's pipes are insulated")
    farthest_tap_ft: float | None = known("Pipe length to the farthest tap", ge=1, le=500)
    pipe_size_in: Literal["3/8", "1/2", "3/4", "1", "1-1/4"] = assumed("3/4", "Nominal size of that pipe")
    pipe_material: Literal["copper_m", "copper_l", "copper_k", "cpvc_sdr11", "pex_sdr9"] = assumed(
        "copper_l", "Material of that pipe"
    )
    is_earthquake_country: bool | None = known("Tanks must be strapped here")

    @model_validator(mode="after")
    def _no_contradiction(self) -> Water:
        static, dynamic = self.static_pressure_psi, self.dynamic_pressure_psi
        if static is not None and dynamic is not None and dynamic > static:
            reason = "a running tap cannot raise the pressure above the {static:g} psi with nothing running"
            fix = "read both again, on the same tap"
            raise InputError("dynamic_pressure_psi", dynamic, reason, fix, static=static)
        if self.has_expansion_tank is False and self.expansion_tank_gal is not None:
            reason = "has_expansion_tank says that there is none"
            raise InputError("expansion_tank_gal", self.expansion_tank_gal, reason, "change one of the two")
        return self


#: What the trade calls the materials of the tables. Soft copper of unknown type counts as type L; both types are
#: sized alike.
_MATERIAL_WORDS = {
    "steel": (
        "black iron",
        "black steel",
        "black pipe",
        "iron",
        "iron pipe",
        "galvanized",
        "galvanized steel",
        "steel pipe",
    ),
    "csst": ("corrugated", "corrugated tubing", "corrugated stainless steel", "corrugated stainless steel tubing"),
    "copper_l": ("copper", "type l copper", "copper l", "copper type l"),
    "copper_k": ("type k copper", "copper k", "copper type k"),
    "polyethylene": ("pe", "poly", "plastic"),
}
_BY_WORD = {word: material for material, words in _MATERIAL_WORDS.items() for word in (material, *words)}


def _material(typed: Any) -> Any:
    """A material as the tables name it, from what the trade calls it."""
    words = " ".join(re.sub(r"[-_\s]+", " ", typed).split()).lower() if isinstance(typed, str) else typed
    return _BY_WORD.get(words, typed) if isinstance(words, str) else typed


PipeMaterial = Annotated[Literal["steel", "copper_k", "copper_l", "polyethylene", "csst"], BeforeValidator(_material)]


class GasPipe(Section):
    """One run of gas pipe without a branch inside it."""

    name: str = Field(description="What you would call it: 'trunk'", min_length=1, max_length=60)
    upstream: str = Field(description="The run that feeds it, or 'source'", min_length=1, max_length=60)
    material: PipeMaterial = assumed("steel", "Material: 'black iron' and 'CSST' are understood")
    size_in: str = Field(description="Nominal size, '3/4', or the EHD number of corrugated tubing", max_length=10)
    length_ft: float = Field(description="Measured length", gt=0, le=2000)
    elbows_90: int = assumed(0, "90 degree elbows", ge=0, le=60)
    elbows_45: int = assumed(0, "45 degree elbows", ge=0, le=60)
    tees: int = assumed(0, "Tees where the gas turns into the side", ge=0, le=60)
    extra_ft: float = assumed(0.0, "Valves and the rest, as straight pipe", ge=0, le=500)


class GasLoad(Section):
    """A gas appliance at the end of a run."""

    name: str = Field(description="'furnace'; the one being replaced is 'water heater'", min_length=1, max_length=60)
    segment: str = Field(description="The run at whose end it stands", min_length=1, max_length=60)
    input_btuh: float = Field(description="Input on its plate", gt=0, le=2_000_000)
    min_inlet_inwc: float | None = known("Least pressure on its plate", gt=0, le=60)
    max_inlet_inwc: float | None = known("Highest pressure on its plate", gt=0, le=150)


class GasRegulator(Section):
    """A line regulator at the far end of a run."""

    segment: str = Field(description="The run that it ends", min_length=1, max_length=60)
    outlet_inwc: float = Field(description="Pressure that it holds", gt=2, le=60)
    own_loss_inwc: float = assumed(4.0, "Pressure that it needs itself", ge=0, le=100)
    capacity_cfh: float | None = known("What it passes, as on its label", gt=0, le=10_000)
    allowed_drop_inwc: float | None = known("Drop allowed in the pipe beyond it, by the table used", gt=0, le=30)


class Gas(Section):
    """The gas line, natural or propane: simple answers, or the whole tree as measured."""

    supply_pressure_inwc: float | None = known("Pressure at the meter or last regulator, or '2 psi'", ge=3, le=277)
    regulator_at: Literal["trunk_end", "appliances", "none"] | None = known(
        "Where 2 psi ends: a line regulator at the end of the trunk, one at each appliance, or none"
    )
    regulator_outlet_inwc: float | None = known("Pressure that the line regulator holds", gt=2, le=60)
    regulator_own_loss_inwc: float | None = known("Pressure that the line regulator needs itself", ge=0, le=100)
    regulator_capacity_cfh: float | None = known("What the line regulator passes, as on its label", gt=0, le=10_000)
    material: PipeMaterial = assumed("steel", "Material of the pipes: 'black iron' and 'CSST' are understood")
    branch_size_in: str | None = known("Nominal size of the heater's branch, for example '1/2'", max_length=10)
    branch_ft: float | None = known("Length of the heater's branch", ge=1, le=500)
    trunk_size_in: str | None = known("Nominal size of the pipe from the meter", max_length=10)
    trunk_ft: float | None = known("Length of that pipe", ge=1, le=500)
    furnace_btuh: float | None = known("Input of the furnace or boiler", gt=0, le=500_000)
    range_btuh: float | None = known("Input of the range", gt=0, le=300_000)
    dryer_btuh: float | None = known("Input of the dryer", gt=0, le=100_000)
    fireplace_btuh: float | None = known("Input of a gas fireplace", gt=0, le=200_000)
    meter_class: str | None = known("Class number on the meter, for example '250'", max_length=10)
    allowed_drop_inwc: float | None = known("Drop allowed by the sizing table used", gt=0, le=100)
    sizing_rule: Literal["tables", "pressure"] = assumed(
        "tables", "What decides: the code's tables and the pressure, or the pressure alone, if the official agrees"
    )
    heating_value_btu_per_ft3: float | None = known("Heat in a cubic foot of gas, as on the bill", ge=500, le=3500)
    propane_tank_gal: float | None = known("Size of the propane tank above ground, as water", ge=20, le=2000)
    propane_level_frac: float | None = known("How full the propane tank is at least kept, 0.3", ge=0.1, le=0.8)
    propane_stages: Literal["single", "two"] | None = known(
        "Propane regulators: a single one at the tank, or two stages, at the tank or apart"
    )
    heater_is_converted: bool | None = known("A propane heater here is one sold for natural gas, converted by a kit")
    segments: tuple[GasPipe, ...] = Field(default=(), description="Every run of pipe, as measured", max_length=60)
    outlets: tuple[GasLoad, ...] = Field(default=(), description="Every gas appliance", max_length=40)
    regulators: tuple[GasRegulator, ...] = Field(default=(), description="Line regulators", max_length=10)


class Vent(Section):
    """The flue that is there, and the way a new vent would take."""

    flue: Literal["type_b", "masonry", "plastic", "stainless", "none"] | None = known(
        "What carries the old heater's exhaust"
    )
    is_shared: bool | None = known("A furnace or boiler uses the same flue")
    flue_height_ft: float | None = known("Height of the flue above the heater's outlet", ge=3, le=100)
    flue_lateral_ft: float | None = known("Horizontal run of the connector", ge=0, le=100)
    flue_diameter_in: float | None = known("Diameter of a metal flue", ge=2, le=24)
    tile_liner: str | None = known("Nominal tile liner of a chimney, '8x8'", max_length=12)
    is_exterior_chimney: bool = assumed(False, "The chimney stands outside a wall")
    has_type_b_connector: bool | None = known("The connector is double-wall Type B")
    n_flue_turns: int | None = known("90 degree turns between the heater and the top of the flue", ge=0, le=20)
    design_f: float | None = known("Outdoor temperature of the coldest design day", ge=-60, le=70)
    other_outlet_in: float | None = known("Flue outlet of the appliance that stays", ge=2, le=24)
    other_is_fan_assisted: bool | None = known("The appliance that stays has a fan")
    run_ft: float | None = known("Straight length of a new vent to the outside", ge=1, le=300)
    n_elbows: int | None = known("90 degree elbows in that run", ge=0, le=30)
    n_elbows_45: int | None = known("45 degree elbows in that run", ge=0, le=30)
    diameter_in: float | None = known("Diameter of the new vent", ge=2, le=8)
    limit_ft: float | None = known("Longest vent that the maker allows, in equivalent feet", ge=5, le=400)
    elbow_90_ft: float | None = known("What a 90 degree elbow counts in the maker's instructions", ge=1, le=20)
    elbow_45_ft: float | None = known("What a 45 degree elbow counts in them; half of a 90 if not given", ge=0.5, le=20)
    n_tees: int | None = known("Tees in that run, the one for condensate too", ge=0, le=10)
    tee_ft: float | None = known("What a tee counts in the maker's instructions", ge=0, le=40)
    has_bird_screen: bool | None = known("A bird screen closes the end")
    screen_ft: float | None = known("What a bird screen counts in the maker's instructions", ge=0, le=20)
    has_concentric_end: bool | None = known("One concentric terminal ends both pipes")
    concentric_ft: float | None = known("What a concentric terminal counts in them", ge=0, le=40)
    intake_ft: float | None = known("Straight length of the intake pipe", ge=1, le=300)
    n_intake_elbows: int | None = known("90 degree elbows in the intake", ge=0, le=30)
    n_intake_elbows_45: int | None = known("45 degree elbows in the intake", ge=0, le=30)
    limit_is_for_both: bool | None = known("The maker's limit counts exhaust and intake together")
    larger_limit_ft: float | None = known("Longest vent that the maker allows in the next larger pipe", ge=5, le=800)


class Electrical(Section):
    """Panel, circuits and what they carry."""

    service_a: float | None = known("Rating of the main breaker", ge=30, le=600)
    n_free_spaces: int | None = known("Free breaker spaces", ge=0, le=60)
    has_240_v_circuit: bool | None = known("A 240 V circuit ends at the heater")
    circuit_a: float | None = known("Breaker of that circuit", ge=10, le=150)
    has_receptacle: bool | None = known("A 120 V outlet is within reach of the heater")
    supply_v: float = assumed(240.0, "Voltage between the two hot legs", ge=200, le=250)
    range_kw: float | None = known("Electric range", ge=0, le=30)
    dryer_kw: float | None = known("Electric dryer", ge=0, le=15)
    dishwasher_kw: float | None = known("Dishwasher", ge=0, le=5)
    cooling_kw: float | None = known("Air conditioning", ge=0, le=40)
    electric_heat_kw: float | None = known("Electric heating", ge=0, le=60)
    car_charger_kw: float | None = known("Car charger, by its plate", ge=0, le=25)
    spa_kw: float | None = known("Hot tub or spa, by its plate", ge=0, le=20)
    other_kw: float | None = known("Everything else that is fixed in place", ge=0, le=60)
    measured_peak_a: float | None = known("Highest demand measured over a year", ge=1, le=600)
    has_solar: bool = assumed(False, "Solar panels feed this service")
    is_damaged_panel: bool = assumed(False, "The panel is old, recalled or damaged")


class Drain(Section):
    """Where condensate can go."""

    has_gravity_drain: bool | None = known("A drain lies lower than the heater, within reach")
    run_ft: float | None = known("Length of the drain line", ge=1, le=200)
    material: Literal["plastic", "cast_iron", "copper", "galvanized", "unknown"] = assumed(
        "unknown", "What the drain is made of"
    )
    is_septic: bool | None = known("The house drains to a septic tank")
