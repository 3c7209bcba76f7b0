"""The case: the one record that a homeowner starts, a contractor refines and a programme screens.

Four answers are enough: where, how many people (or bedrooms), what failed, which fuels. Everything else has a default
that says it is one (``Case.assumed``), or is worked out later from what is known. Files are TOML. A number may be
bare, in the unit that its key ends in, or a string with a unit: ``"18 kW"``, ``"189 L"``, ``"60 kBtu/h"``.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any, Literal, cast

from pydantic import ConfigDict, Field, ValidationInfo, field_validator, model_validator

from advisor.case.base import Assumption, HeaterSpace, Section, assumed, known, reason_key
from advisor.case.house import Drain, Electrical, Gas, Vent, Water
from advisor.case.money import Bill, Economics, FuelTariff, ListedPrice, Rebate
from advisor.case.offer import Contractor, Offer, day
from advisor.case.people import people_by_bedrooms
from advisor.case.reading import TakenReading
from advisor.core.errors import InputError, TableError
from advisor.core.findings import Finding, care, note
from advisor.core.kinds import Fuel, Technology

__all__ = ["Assumption", "Case", "Fuel", "HeaterSpace", "Label", "Section", "Use"]


JobState = Literal["asked", "offered", "done"]


class Job(Section):
    """What a contractor's book says of the job; its customer is the case's name."""

    visit_on: date | None = known("Day of the visit")
    state: JobState | None = known("How far it has come; read from offers and readings if not given")

    @field_validator("visit_on", mode="before")
    @classmethod
    def _date_is_no_number(cls, value: Any) -> Any:
        return day("visit_on", value)


class Place(Section):
    """Where the house is."""

    zip_code: str | None = known("Five-digit ZIP code (in quotes in a file)", max_length=20)
    city: str | None = known("City, if there is no ZIP: 'Duluth, MN'", max_length=80)
    state: str | None = known("Two-letter state, if not written after the city", max_length=20)
    elevation_ft: float | None = known("Height above sea level", ge=-300, le=15_000)
    grid_co2_lb_per_kwh: float | None = known("Carbon dioxide for a kWh, if known better than by the grid", ge=0, le=5)
    grid_counts: Literal["average", "marginal"] = assumed(
        "average", "Carbon dioxide for a kWh: of all the grid's plants, or of those that follow the load"
    )

    @field_validator("zip_code", mode="before")
    @classmethod
    def _zip_as_text(cls, value: Any) -> Any:
        # People leave the quotes out; a whole number of up to five digits can only mean one ZIP.
        if (
            isinstance(value, int | float)
            and not isinstance(value, bool)
            and 0 < value < 100_000
            and value == int(value)
        ):
            return f"{int(value):05d}"
        return value


class Household(Section):
    """Who lives there and what hot water they use."""

    people: int | None = known("How many people live here; the bedrooms tell where nobody knows", ge=1, le=20)
    children: int | None = known("How many of them are under 14", ge=0, le=19)
    is_home_by_day: bool | None = known("Somebody is at home by day")
    bedrooms: int | None = known("Bedrooms", ge=0, le=20)
    full_baths: int | None = known("Bathrooms with a tub or shower", ge=1, le=12)
    set_point_f: float = assumed(
        120.0,
        "Temperature the heater is set to",
        ge=90,
        le=180,
    )
    shower_flow_gpm: float = assumed(
        2.1,
        "Flow of one shower, hot and cold mixed",
        ge=0.5,
        le=12,
    )
    shower_min: float = assumed(
        7.8,
        "Length of one shower",
        ge=1,
        le=60,
    )
    use_temperature_f: float = assumed(
        105.0,
        "Temperature at the skin",
        ge=85,
        le=115,
    )
    lavatory_flow_gpm: float = assumed(
        1.2,
        "Flow of a bathroom basin tap, mixed",
        ge=0.2,
        le=5,
    )
    showers_together: int | None = known("Showers that run at the same time", ge=0, le=10)
    soaking_tub_gal: float | None = known("Fill of a large tub, mixed", ge=20, le=300)
    has_low_flow_fixtures: bool = assumed(False, "Every shower and tap is 2.0 gpm or less")
    hot_water_gpd: float | None = known("Measured hot water use", ge=1, le=1000)
    income_of_median_frac: float | None = known("Household income over the area's median", ge=0, le=50)

    model_config = ConfigDict(json_schema_extra={"anyOf": [{"required": ["people"]}, {"required": ["bedrooms"]}]})

    @model_validator(mode="after")
    def _somebody_lives_here(self) -> Household:
        if self.people is None and self.bedrooms is None:
            raise InputError(
                "people", None, "neither people nor bedrooms is given", "say how many people live here, or add bedrooms"
            )
        if self.children is not None and self.people is None:
            raise InputError("children", self.children, "nobody said how many people live here", "add people")
        if self.children is not None and self.children >= self.people_counted:
            fix = "count them among the people"
            raise InputError("children", self.children, "only {people} live here", fix, people=self.people_counted)
        return self

    @property
    def people_counted(self) -> int:
        """The people at home: as given, else as many as usually live in so many bedrooms."""
        return people_by_bedrooms(self.bedrooms or 0) if self.people is None else self.people

    def people_assumed(self) -> list[Assumption]:
        """That the bedrooms tell how many people there are, where nobody said."""
        if self.people is not None:
            return []
        reason = note("assumed.people_from_bedrooms", n=self.bedrooms or 0)
        return [Assumption("household.people", self.people_counted, reason)]


class Failed(Section):
    """The heater that failed."""

    fuel: Fuel = Field(description="Its fuel")
    kind: Literal["tank", "tankless", "heat_pump", "boiler_tank"] = assumed(
        "tank", "A tank, a tankless heater, a heat pump tank or a tank heated by the boiler"
    )
    size_gal: float | None = known("Tank size on its label", ge=2, le=120)
    age_yr: float | None = known("Age", ge=0, le=60)
    input_btuh: float | None = known("Burner input on its plate", ge=5_000, le=400_000)
    input_kw: float | None = known("Electric input on its plate", gt=0, le=100)
    ran_out: Literal["never", "sometimes", "often"] | None = known("Did it run out of hot water while it worked?")
    trouble: Literal["leaks", "nothing", "too_little", "noise"] | None = known("What is wrong with it")

    @property
    def has_flame(self) -> bool:
        """It burned its fuel itself: a boiler burns for the tank that it heats."""
        return self.fuel.is_burned and self.kind != "boiler_tank"


class House(Section):
    """What the house offers a heater."""

    fuels: tuple[Fuel, ...] = Field(
        description="Fuels that come into the house; electricity is always counted", min_length=1, max_length=20
    )
    heater_space: HeaterSpace | None = known("Where the heater stands")
    is_flat: bool | None = known("A flat or a condominium")
    floor_area_ft2: float | None = known("Floor area of the home", ge=150, le=20_000)
    room_volume_ft3: float | None = known("Volume of the room the heater stands in", ge=20, le=100_000)
    room_height_in: float | None = known("Free height where the heater stands", ge=20, le=400)
    closet_opens_to: Literal["hall", "bedroom", "bathroom"] | None = known("What the door of its closet opens to")
    has_sealed_closet: bool | None = known("That closet has a self-closing gasketed door and air from outdoors")
    is_manufactured_home: bool | None = known("A manufactured (mobile) home")
    is_guarded_from_cars: bool | None = known("A post, curb or alcove keeps cars off the heater")
    flame_height_in: float | None = known("Lowest flame, spark or switch above the garage floor", ge=0, le=120)
    furnace_breathes: Literal["draft_hood", "fan", "sealed", "elsewhere"] | None = known(
        "How the furnace or boiler in that room takes its air; 'elsewhere' where none stands there"
    )
    others_hood_btuh: float | None = known("Other burners in that room with a draft hood or none", ge=0, le=1_000_000)
    others_fan_btuh: float | None = known("Other burners there with a fan that take its air", ge=0, le=1_000_000)
    joined_ft3: float | None = known("Rooms of the same storey that openings could join to it", ge=0, le=200_000)
    infiltration_ach: float | None = known("Air changes an hour, measured", ge=0.05, le=10)
    air_openings: (
        Literal["indoor_same_storey", "outdoor_two_direct", "outdoor_two_horizontal_ducts", "outdoor_one"] | None
    ) = known("Openings for combustion air that are there")
    air_opening_in2: float | None = known("Free area of each of them", gt=0, le=2_000)
    heating_fuel: Fuel | None = known("Fuel that heats the house")
    has_boiler: bool | None = known("A boiler heats the house with hot water")
    heating_efficiency_frac: float = assumed(
        0.80, "Efficiency of the house heating; above 1 for a heat pump", ge=0.3, le=5
    )
    uses_gas_otherwise: bool = assumed(
        True,
        "Something else in the house burns the same gas or oil",
    )
    is_over_living_space: bool = assumed(False, "A leak here would run into rooms below or beside")


class Prices(Section):
    """What energy costs here; the average price of the state stands in for whatever is not given."""

    natural_gas_usd_per_therm: float | None = known("Gas", gt=0, le=20)
    electricity_usd_per_kwh: float | None = known("Electricity", gt=0, le=3)
    propane_usd_per_gal: float | None = known("Propane", gt=0, le=30)
    heating_oil_usd_per_gal: float | None = known("Heating oil", gt=0, le=30)
    gas_fixed_usd_per_mo: float | None = known("Fixed charge of the gas account", ge=0, le=200)
    natural_gas_fixed_frac: float | None = known(
        "Share of the gas bill that is the same whatever is burned; taken off the average price", ge=0, le=0.9
    )
    electricity_fixed_frac: float | None = known(
        "Share of the electricity bill that is the same whatever is used; taken off the average price", ge=0, le=0.9
    )

    def of(self, fuel: Fuel) -> float | None:
        """What somebody said that a fuel costs in the unit on its bill."""
        return self._held(fuel, fuel.price_key)

    def account_of(self, fuel: Fuel) -> float | None:
        """The charge of a fuel's account that may begin or end with the heater. [$/month]"""
        return None if fuel.account_key is None else self._held(fuel, fuel.account_key)

    def _held(self, fuel: Fuel, key: str) -> float | None:
        if key not in Prices.model_fields:
            needs = f"{fuel.id} needs a key of the case: add {key} to Prices in advisor/case/record.py"
            raise TableError("fuels.csv", needs)
        return cast("float | None", getattr(self, key))


class Use(Section):
    """One hot-water use in the busy hour."""

    name: str = Field(description="What it is: 'shower upstairs'", min_length=1, max_length=80)
    mixed_gpm: float = Field(description="Flow at the tap, hot and cold mixed", gt=0, le=20)
    duration_min: float = Field(description="How long", gt=0, le=120)
    use_f: float = assumed(105.0, "Temperature at the tap", ge=80, le=160)
    count: int = assumed(1, "How many such uses in the busy hour", ge=1, le=20)
    together: int = assumed(1, "How many of them run at once", ge=0, le=20)

    @model_validator(mode="after")
    def _no_more_at_once_than_there_are(self) -> Use:
        if self.together > self.count:
            reason = "only {given} such uses are given"
            raise InputError("together", self.together, reason, "raise count", given=self.count)
        return self


class Label(Section):
    """A heater typed in from its own label or quote."""

    title: str = Field(description="What to call it", min_length=1, max_length=80)
    technology: Technology = Field(description="How it heats")
    fuel: Fuel = Field(description="Its fuel")
    uef: float = Field(description="Uniform energy factor", ge=0.2, le=6)
    rated_volume_gal: float | None = known("Measured storage volume", gt=0, le=150)
    nominal_gal: float | None = known("Volume it is sold by", ge=0, le=150)
    fhr_gal: float | None = known("First-hour rating of a tank", gt=0, le=500)
    max_gpm: float | None = known("Maximum flow of a tankless heater", gt=0, le=30)
    draw_pattern: Literal["very_small", "low", "medium", "high"] | None = known(
        "Draw pattern on the label; the one that its rating selects if not given"
    )
    max_gpm_rise_df: float = assumed(
        67.0,
        "Temperature rise at which that flow is stated",
        ge=20,
        le=120,
    )
    input_btuh: float | None = known("Burner input", ge=5_000, le=1_000_000)
    min_input_btuh: float | None = known("Lowest fire", ge=1_000, le=200_000)
    input_kw: float | None = known("Electric input", gt=0, le=100)
    circuit_a: float | None = known("Breaker of each circuit, by the plate", ge=10, le=150)
    n_circuits: int | None = known("How many circuits the plate asks for", ge=1, le=8)
    recovery_frac: float | None = known("Recovery efficiency", ge=0.4, le=6)
    activation_gpm: float | None = known("Least flow that starts it", ge=0.05, le=3)
    min_inlet_inwc: float | None = known("Least gas pressure on its plate", gt=0, le=60)
    installed_usd: float | None = known("The quote, all work included", ge=0, le=200_000)


class Several(Section):
    """Two or three of one heater side by side, because the household wants them."""

    candidate: str = Field(description="The heater's id", min_length=1, max_length=80)
    n_units: int = Field(description="How many side by side", ge=2, le=3)

    @property
    def candidate_id(self) -> str:
        """The id of them together."""
        return f"{self.candidate}-x{self.n_units}"


class Case(Section):
    """The whole record. ``place``, ``household``, ``failed`` and ``house`` are the four answers."""

    name: str | None = known("What to call this case", max_length=120)
    job: Job = Job()
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
    economics: Economics = Economics()
    bill: Bill | None = known("A bill for the failed heater's fuel; it sets the gallons")
    tariffs: tuple[FuelTariff, ...] = Field(
        default=(), description="Tariffs as on the bill, instead of a price above", max_length=4
    )
    install_date: date | None = known("Day the new heater is installed; today if not given")
    made_on: date | None = known("Day the new heater was made, which the federal floor asks; else the install date")
    uses: tuple[Use, ...] = Field(default=(), description="What runs in the busiest hour", max_length=40)
    heaters: tuple[Label, ...] = Field(default=(), description="Heaters typed in from their labels", max_length=20)
    several: tuple[Several, ...] = Field(
        default=(), description="Heaters to compare two or three of, side by side", max_length=20
    )
    offers: tuple[Offer, ...] = Field(
        default=(), description="Prices that somebody offered; four stand side by side", max_length=60
    )
    contractor: Contractor | None = known("Whose name stands on the document, and nowhere else")
    price_list: tuple[ListedPrice, ...] = Field(
        default=(), description="Own prices of heaters and jobs, instead of ours", max_length=200
    )
    rebates: tuple[Rebate, ...] = Field(default=(), description="Rebates promised in writing", max_length=60)
    readings: tuple[TakenReading, ...] = Field(
        default=(), description="What was read when the heater first ran", max_length=120
    )

    @model_validator(mode="before")
    @classmethod
    def _quotes_are_offers(cls, values: Any) -> Any:
        """Older cases hold a price without lines as a quote."""
        if not isinstance(values, dict) or not isinstance(values.get("quotes"), list | tuple):
            return values
        rest = {key: value for key, value in values.items() if key != "quotes"}
        read = [_as_offer(quote) for quote in values["quotes"]]
        return {**rest, "offers": [*rest["offers"], *read] if isinstance(rest.get("offers"), list | tuple) else read}

    @field_validator("install_date", "made_on", mode="before")
    @classmethod
    def _date_is_no_number(cls, value: Any, info: ValidationInfo) -> Any:
        return day(str(info.field_name), value)

    @model_validator(mode="after")
    def _no_contradictions(self) -> Case:
        failed = self.failed.fuel
        if not failed.is_electric and failed not in self.house.fuels:
            raise InputError(
                "failed.fuel",
                failed.id,
                "a {fuel} heater failed but house.fuels has no {fuel}",
                "add '{id}' to house.fuels, or correct failed.fuel",
                fuel=failed.word,
                id=failed.id,
            )
        if self.failed.kind == "tankless" and self.failed.size_gal is not None:
            raise InputError(
                "failed.size_gal",
                self.failed.size_gal,
                "a tankless heater has no tank",
                "leave failed.size_gal out",
            )
        if self.failed.kind == "heat_pump" and not failed.is_electric:
            raise InputError(
                "failed.fuel",
                failed.id,
                "a heat pump heater runs on electricity",
                "write 'electricity'",
            )
        if self.failed.kind == "boiler_tank":
            self._boiler_is_there(failed)
        if self.made_on is not None and self.install_date is not None and self.made_on > self.install_date:
            raise InputError(
                "made_on",
                self.made_on.isoformat(),
                "it would be made after it is installed on {day}",
                "correct one of the two",
                day=self.install_date.isoformat(),
            )
        if self.place.zip_code is None and self.place.city is None:
            raise InputError("place", None, "neither zip_code nor city is given", "give one of them")
        return self

    def _boiler_is_there(self, fuel: Fuel) -> None:
        """A tank that the boiler heats has failed: nothing said of the house may deny that boiler."""
        house = self.house
        if fuel.is_electric:
            raise InputError(
                "failed.fuel", fuel.id, "a boiler that heats a tank burns something", "write the boiler's fuel"
            )
        if house.has_boiler is False:
            reason = "a tank heated by the boiler failed, so there is one"
            raise InputError("house.has_boiler", False, reason, "leave it out, or correct failed.kind")
        if house.heating_fuel not in (None, fuel):
            reason, fix = "the boiler that heated the failed tank burns {fuel}", "correct one of the two"
            raise InputError("house.heating_fuel", house.heating_fuel.id, reason, fix, fuel=fuel.word)

    def assumed(self) -> list[Assumption]:
        """Every default that was used because the key was not given, lists counted from 1."""
        defaults = [replace(item, field=item.field.removeprefix(".")) for item in _defaults_used("", self)]
        return self.household.people_assumed() + defaults

    def odd(self) -> list[Finding]:
        """What is possible but unusual: look again."""
        notes: list[Finding] = []
        gases = [fuel for fuel in Fuel.all() if fuel.is_fuel_gas and fuel in self.house.fuels]
        if len(gases) > 1:
            notes.append(note("odd.both_gases", fuels=tuple(gas.word for gas in gases)))
        set_point_f, age_yr = self.household.set_point_f, self.failed.age_yr
        pressure_psi, people, bedrooms = (
            self.water.static_pressure_psi,
            self.household.people_counted,
            self.household.bedrooms,
        )
        if set_point_f > 140:
            notes.append(care("odd.scalding", set_point_f=set_point_f))
        if set_point_f < 115:
            notes.append(care("odd.lukewarm", set_point_f=set_point_f))
        if age_yr is not None and age_yr > 30:
            notes.append(note("odd.age", age_yr=age_yr))
        if pressure_psi is not None and pressure_psi > 80:
            notes.append(care("odd.pressure", "IPC 604.8", pressure_psi=pressure_psi, limit_psi=80.0))
        if bedrooms is not None and people > 3 * max(bedrooms, 1):
            notes.append(note("odd.crowded", people=people, n=bedrooms))
        return notes


def _as_offer(quote: Any) -> Any:
    if not isinstance(quote, dict):
        return quote
    return {"total_usd" if key == "installed_usd" else key: value for key, value in quote.items()}


def _defaults_used(path: str, part: Any) -> list[Assumption]:
    if isinstance(part, tuple):
        return [
            used for number, entry in enumerate(part, start=1) for used in _defaults_used(f"{path}.{number}", entry)
        ]
    if not isinstance(part, Section):
        return []
    found = []
    for name, field in type(part).model_fields.items():
        value, extra = getattr(part, name), field.json_schema_extra
        if name not in part.model_fields_set and isinstance(extra, dict):
            found.append(Assumption(f"{path}.{name}", value, note(reason_key(type(part).__name__, name))))
        found += _defaults_used(f"{path}.{name}", value)
    return found
