"""The case: the one record that a homeowner starts, a contractor refines and a programme screens.

Four answers are enough: where, how many people, what failed, which fuels. Everything else has a default that
says it is one (``Case.assumed``), or is worked out later from what is known. Files are TOML. A number may be
bare, in the unit that its key ends in, or a string with a unit: ``"18 kW"``, ``"189 L"``, ``"60 kBtu/h"``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, field_validator, model_validator

from advisor.errors import InputError
from advisor.quantities import read_quantity, suffix_of

Fuel = Literal["natural_gas", "propane", "heating_oil", "electricity"]
HeaterSpace = Literal["basement", "garage", "attic", "closet", "indoors", "outdoors", "crawl_space"]

_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
# Text is shown in terminals and documents: no line breaks, no control characters, no change of writing direction.
_CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")


@dataclass(frozen=True)
class Assumption:
    """Something nobody told us.

    Parameters
    ----------
    field : str
        The key to set in the case to change it.
    value : object
        What is used instead, in the key's unit.
    reason : str
        Why this value, with its source and how far that was verified.
    """

    field: str
    value: Any
    reason: str


def _known(meaning: str, **bounds: Any) -> Any:
    """An optional fact: not given means not known."""
    return Field(default=None, description=meaning, **bounds)


def _assumed(value: Any, meaning: str, reason: str, **bounds: Any) -> Any:
    """A fact with a default that is listed as assumed, with its source."""
    return Field(default=value, description=meaning, json_schema_extra={"assumed_because": reason}, **bounds)


class Section(BaseModel):
    """A table of the case file: strict keys, units read by the suffix of the key."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)

    @model_validator(mode="before")
    @classmethod
    def _read_units(cls, values: Any) -> Any:
        if not isinstance(values, dict):
            return values
        read = dict(values)
        for name, value in values.items():
            field = cls.model_fields.get(name)
            if field is not None and isinstance(value, str) and _CONTROL.search(value):
                raise InputError(name, value, "this text holds a line break or control character", "take it out")
            if field is not None and value is not None and _is_number(field.annotation):
                number = read_quantity(name, value, suffix_of(name) or "dimensionless")
                read[name] = int(number) if number.is_integer() and not isinstance(value, float) else number
        return read


def _is_number(annotation: Any) -> bool:
    return annotation in {float, int} or bool({float, int} & set(get_args(annotation)))


class Place(Section):
    """Where the house is."""

    zip_code: str | None = _known("Five-digit ZIP code, in quotes")
    city: str | None = _known("City, if there is no ZIP: 'Duluth, MN'")
    state: str | None = _known("Two-letter state, if not written after the city")
    elevation_ft: float | None = _known("Height above sea level", ge=-300, le=15_000)

    @field_validator("zip_code", mode="before")
    @classmethod
    def _zip_as_text(cls, value: Any) -> Any:
        # People leave the quotes out; a whole number of up to five digits can only mean one ZIP.
        if isinstance(value, int) and not isinstance(value, bool) and 0 < value < 100_000:
            return f"{value:05d}"
        return value


class Household(Section):
    """Who lives there and what hot water they use."""

    people: int = Field(description="How many people live here", ge=1, le=20)
    bedrooms: int | None = _known("Bedrooms", ge=0, le=20)
    full_baths: int | None = _known("Bathrooms with a tub or shower", ge=1, le=12)
    set_point_f: float = _assumed(
        120.0,
        "Temperature the heater is set to",
        "120 °F, the setting that US government guidance asks for against scalding and waste",
        ge=90,
        le=180,
    )
    shower_flow_gpm: float = _assumed(
        2.1,
        "Flow of one shower, hot and cold mixed",
        "measured US mean 2.1 gpm, Residential End Uses of Water, version 2 (2016), seen second-hand",
        ge=0.5,
        le=12,
    )
    shower_min: float = _assumed(
        7.8,
        "Length of one shower",
        "measured US mean 7.8 minutes, Residential End Uses of Water, version 2 (2016), seen second-hand",
        ge=1,
        le=60,
    )
    use_temperature_f: float = _assumed(
        105.0,
        "Temperature at the skin",
        "105 °F, ANSI/RESNET/ICC 301 reference home; from memory, unverified",
        ge=85,
        le=115,
    )
    lavatory_flow_gpm: float = _assumed(
        1.2,
        "Flow of a bathroom basin tap, mixed",
        "1.2 gpm, the usual water-saving tap; typical, from memory, unverified",
        ge=0.2,
        le=5,
    )
    showers_together: int | None = _known("Showers that run at the same time", ge=0, le=10)
    soaking_tub_gal: float | None = _known("Fill of a large tub, mixed", ge=20, le=300)
    has_low_flow_fixtures: bool = _assumed(
        False, "Every shower and tap is 2.0 gpm or less", "standard fixtures until told otherwise"
    )
    hot_water_gpd: float | None = _known("Measured hot water use", ge=1, le=1000)


class Failed(Section):
    """The heater that failed."""

    fuel: Fuel = Field(description="Its fuel")
    kind: Literal["tank", "tankless", "heat_pump"] = _assumed(
        "tank", "A tank, a tankless heater or a heat pump tank", "most failed heaters are plain tanks"
    )
    size_gal: float | None = _known("Tank size on its label", ge=2, le=120)
    age_yr: float | None = _known("Age", ge=0, le=60)
    input_btuh: float | None = _known("Burner input on its plate", ge=5_000, le=400_000)


class House(Section):
    """What the house offers a heater."""

    fuels: tuple[Fuel, ...] = Field(
        description="Fuels that come into the house; electricity is always counted", min_length=1
    )
    heater_space: HeaterSpace | None = _known("Where the heater stands")
    floor_area_ft2: float | None = _known("Floor area of the home", ge=150, le=20_000)
    room_volume_ft3: float | None = _known("Volume of the room the heater stands in", ge=20, le=100_000)
    room_height_in: float | None = _known("Free height where the heater stands", ge=20, le=400)
    heating_fuel: Fuel | None = _known("Fuel that heats the house")
    heating_efficiency_frac: float = _assumed(
        0.80, "Efficiency of the house heating; above 1 for a heat pump", "a plain furnace; assumed", ge=0.3, le=5
    )
    uses_gas_otherwise: bool = _assumed(
        True,
        "Something else in the house burns the same gas or oil",
        "assumed, so that no fixed charge is saved or added by changing the water heater",
    )
    is_over_living_space: bool = _assumed(False, "A leak here would run into rooms below or beside", "assumed")


class Water(Section):
    """The water itself and the pipes that carry it."""

    supply: Literal["mains", "surface", "well"] = _assumed(
        "mains",
        "City water from the ground, from a lake or river ('surface'), or a private well",
        "city water that follows the ground; a lake or river supply runs colder in winter",
    )
    measured_cold_f: float | None = _known("Coldest cold-water reading", ge=32.5, le=95)
    hardness_gpg: float | None = _known("Hardness, grains per gallon or '120 mg/L'", ge=0, le=100)
    static_pressure_psi: float | None = _known("Water pressure with nothing running", ge=10, le=200)
    has_closed_system: bool | None = _known("There is a check valve or a pressure-reducing valve on the cold supply")
    recirculation: Literal["none", "always", "timer", "temperature", "presence", "button"] = _assumed(
        "none", "A hot-water loop and how its pump is run", "most houses have no loop"
    )
    loop_ft: float | None = _known("Length of the loop, out and back", ge=10, le=1000)
    loop_is_insulated: bool = _assumed(False, "The loop's pipes are insulated", "assumed bare")
    farthest_tap_ft: float | None = _known("Pipe length to the farthest tap", ge=1, le=500)
    pipe_size_in: float = _assumed(
        0.75, "Size of that pipe", "3/4 in., the usual main hot line; assumed", ge=0.375, le=2
    )
    pipe_material: Literal["copper", "pex", "cpvc"] = _assumed("copper", "Material of that pipe", "assumed")


class Gas(Section):
    """The gas line as far as it is known; ``propane`` and ``natural_gas`` alike."""

    supply_pressure_inwc: float | None = _known("Pressure at the meter or regulator", ge=3, le=140)
    branch_size_in: str | None = _known("Nominal size of the heater's branch, for example '1/2'")
    branch_ft: float | None = _known("Length of the heater's branch", ge=1, le=500)
    other_input_btuh: float | None = _known("Input of all other gas appliances together", ge=0, le=2_000_000)


class Vent(Section):
    """The flue that is there."""

    flue: Literal["type_b", "masonry", "plastic", "stainless", "none"] | None = _known(
        "What carries the old heater's exhaust"
    )
    is_shared: bool | None = _known("A furnace or boiler uses the same flue")
    run_ft: float | None = _known("Straight length of a new vent to the outside", ge=1, le=200)
    n_elbows: int | None = _known("90 degree elbows in that run", ge=0, le=20)


class Electrical(Section):
    """Panel and circuits."""

    service_a: float | None = _known("Rating of the main breaker", ge=30, le=600)
    n_free_spaces: int | None = _known("Free breaker spaces", ge=0, le=60)
    has_240_v_circuit: bool | None = _known("A 240 V 30 A circuit ends at the heater")
    has_receptacle: bool | None = _known("A 120 V outlet is within reach of the heater")


class Drain(Section):
    """Where condensate can go."""

    has_gravity_drain: bool | None = _known("A drain lies lower than the heater, within reach")
    is_septic: bool | None = _known("The house drains to a septic tank")


class Prices(Section):
    """What energy costs here; the average price of the state stands in for whatever is not given."""

    natural_gas_usd_per_therm: float | None = _known("Gas", gt=0, le=20)
    electricity_usd_per_kwh: float | None = _known("Electricity", gt=0, le=3)
    propane_usd_per_gal: float | None = _known("Propane", gt=0, le=30)
    heating_oil_usd_per_gal: float | None = _known("Heating oil", gt=0, le=30)
    gas_fixed_usd_per_mo: float | None = _known("Fixed charge of the gas account", ge=0, le=200)


class Use(Section):
    """One hot-water use in the busy hour."""

    name: str = Field(description="What it is: 'shower upstairs'", min_length=1, max_length=80)
    mixed_gpm: float = Field(description="Flow at the tap, hot and cold mixed", gt=0, le=20)
    duration_min: float = Field(description="How long", gt=0, le=120)
    use_f: float = _assumed(105.0, "Temperature at the tap", "105 °F, as for showers", ge=80, le=160)
    count: int = _assumed(1, "How many such uses in the busy hour", "one", ge=1, le=20)
    together: int = _assumed(1, "How many of them run at once", "one", ge=0, le=20)

    @model_validator(mode="after")
    def _no_more_at_once_than_there_are(self) -> Use:
        if self.together > self.count:
            raise InputError("together", self.together, f"only {self.count} such uses are given", "raise count")
        return self


class Label(Section):
    """A heater typed in from its own label or quote."""

    title: str = Field(description="What to call it", min_length=1, max_length=80)
    technology: Literal[
        "gas_storage_atmospheric",
        "gas_storage_power_vent",
        "gas_storage_condensing",
        "gas_tankless_noncondensing",
        "gas_tankless_condensing",
        "electric_storage_resistance",
        "heat_pump_storage_240v",
        "heat_pump_storage_120v",
        "electric_tankless",
        "oil_storage",
    ] = Field(description="How it heats")
    fuel: Fuel = Field(description="Its fuel")
    uef: float = Field(description="Uniform energy factor", ge=0.2, le=6)
    rated_volume_gal: float | None = _known("Measured storage volume", gt=0, le=150)
    nominal_gal: float | None = _known("Volume it is sold by", ge=0, le=150)
    fhr_gal: float | None = _known("First-hour rating of a tank", gt=0, le=500)
    max_gpm: float | None = _known("Maximum flow of a tankless heater", gt=0, le=30)
    max_gpm_rise_df: float = _assumed(
        67.0,
        "Temperature rise at which that flow is stated",
        "67 °F, the rise of the federal test (10 CFR 430 subpart B appendix E)",
        ge=20,
        le=120,
    )
    input_btuh: float | None = _known("Burner input", ge=5_000, le=1_000_000)
    min_input_btuh: float | None = _known("Lowest fire", ge=1_000, le=200_000)
    input_kw: float | None = _known("Electric input", gt=0, le=100)
    recovery_frac: float | None = _known("Recovery efficiency", ge=0.4, le=6)
    activation_gpm: float | None = _known("Least flow that starts it", ge=0.05, le=3)
    installed_usd: float | None = _known("The quote, all work included", ge=0, le=200_000)


class Quote(Section):
    """A price that somebody offered for a candidate, all work included."""

    candidate: str = Field(description="The candidate's id", min_length=1, max_length=80)
    installed_usd: float = Field(description="Installed price", ge=0, le=200_000)


class Case(Section):
    """The whole record. ``place``, ``household``, ``failed`` and ``house`` are the four answers."""

    name: str | None = _known("What to call this case", max_length=120)
    place: Place
    household: Household
    failed: Failed
    house: House
    water: Water = Water()
    gas: Gas = Gas()
    vent: Vent = Vent()
    electrical: Electrical = Electrical()
    drain: Drain = Drain()
    prices: Prices = Prices()
    install_date: date | None = _known("Day the new heater is installed; today if not given")
    uses: tuple[Use, ...] = Field(default=(), description="What runs in the busiest hour", max_length=40)
    heaters: tuple[Label, ...] = Field(default=(), description="Heaters typed in from their labels", max_length=20)
    quotes: tuple[Quote, ...] = Field(default=(), description="Quoted prices", max_length=60)

    @field_validator("install_date", mode="before")
    @classmethod
    def _date_is_no_number(cls, value: Any) -> Any:
        # A bare number would be read as seconds since 1970.
        if isinstance(value, int | float) or (isinstance(value, str) and not _DATE.fullmatch(value)):
            raise InputError("install_date", value, "this is not a date", "write it as 2026-11-25")
        return value

    @model_validator(mode="after")
    def _no_contradictions(self) -> Case:
        if self.failed.fuel != "electricity" and self.failed.fuel not in self.house.fuels:
            spoken = self.failed.fuel.replace("_", " ")
            raise InputError(
                "failed.fuel",
                self.failed.fuel,
                f"a {spoken} heater failed but house.fuels has no {spoken}",
                f"add {self.failed.fuel!r} to house.fuels, or correct failed.fuel",
            )
        if self.failed.kind == "tankless" and self.failed.size_gal is not None:
            raise InputError(
                "failed.size_gal",
                self.failed.size_gal,
                "a tankless heater has no tank",
                "leave failed.size_gal out",
            )
        if self.failed.kind == "heat_pump" and self.failed.fuel != "electricity":
            raise InputError(
                "failed.fuel",
                self.failed.fuel,
                "a heat pump heater runs on electricity",
                "write 'electricity'",
            )
        if self.place.zip_code is None and self.place.city is None:
            raise InputError("place", None, "neither zip_code nor city is given", "give one of them")
        return self

    def assumed(self) -> list[Assumption]:
        """Every default that was used because the key was not given."""
        found: list[Assumption] = []
        for section_name in type(self).model_fields:
            section = getattr(self, section_name)
            if isinstance(section, Section):
                found += _defaults_used(section_name, section)
        return found

    def odd(self) -> list[str]:
        """What is possible but unusual, one sentence each: look again."""
        notes = []
        if {"natural_gas", "propane"} <= set(self.house.fuels):
            notes.append("house.fuels names both natural gas and propane: few houses have both.")
        if self.household.set_point_f > 140:
            notes.append(f"household.set_point_f is {self.household.set_point_f:g} °F: hot enough to burn at once.")
        if self.household.set_point_f < 115:
            notes.append(
                f"household.set_point_f is {self.household.set_point_f:g} °F: a lukewarm tank can grow bacteria."
            )
        if self.failed.age_yr is not None and self.failed.age_yr > 30:
            notes.append(f"failed.age_yr is {self.failed.age_yr:g}: few heaters live so long.")
        if self.water.static_pressure_psi is not None and self.water.static_pressure_psi > 80:
            notes.append(
                f"water.static_pressure_psi is {self.water.static_pressure_psi:g}: plumbing codes ask for a"
                " pressure-reducing valve above 80 psi."
            )
        if self.household.bedrooms is not None and self.household.people > 3 * max(self.household.bedrooms, 1):
            notes.append(f"{self.household.people} people in {self.household.bedrooms} bedrooms: is that right?")
        return notes


def _defaults_used(path: str, section: Section) -> list[Assumption]:
    found = []
    for name, field in type(section).model_fields.items():
        extra = field.json_schema_extra
        if name not in section.model_fields_set and isinstance(extra, dict):
            reason = str(extra["assumed_because"])
            found.append(Assumption(f"{path}.{name}", getattr(section, name), reason))
    return found
