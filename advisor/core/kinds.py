"""Classes of heater and fuels: one record each, made once from its table.

What sets two kinds apart is a field of the record, never its id. Ids are what files, JSON and the command line say.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import cache
from typing import Any, ClassVar, Self

from advisor.core.errors import InputError
from advisor.core.findings import Finding, note
from advisor.core.tables import load


@dataclass(frozen=True, eq=False)
class Kind:
    """A row of a table of kinds. There is one record of each: copied or sent elsewhere, it is itself.

    Parameters
    ----------
    id, title : str
        What files call it, and plain words.
    """

    table: ClassVar[str]

    id: str
    title: str

    def __str__(self) -> str:
        return self.id

    @property
    def word(self) -> Finding:
        """What it is called, as a key of the message catalogues; its title where they have no text for it."""
        return note(f"{type(self).__name__.lower()}.{self.id}", title=self.title)

    def __reduce__(self) -> tuple[Callable[..., Any], tuple[Any, ...]]:
        return type(self).named, (self.id,)

    @classmethod
    def all(cls) -> tuple[Self, ...]:
        """Every kind, in the table's order."""
        return _made(cls)  # type: ignore[arg-type]

    @classmethod
    def named(cls, kind_id: str) -> Self:
        """The kind with this id.

        Raises
        ------
        InputError
            There is none.
        """
        for kind in cls.all():
            if kind.id == kind_id:
                return kind
        known = ", ".join(kind.id for kind in cls.all())
        raise InputError(cls.__name__.lower(), kind_id, "this is not known here", "write one of {known}", known=known)

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: Any) -> Any:
        """In a case a kind is read from its id and written as its id; the table is first read when a case is."""
        from pydantic_core import core_schema

        written = core_schema.plain_serializer_function_ser_schema(str)
        return core_schema.no_info_plain_validator_function(cls._read, serialization=written)

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: Any, handler: Any) -> dict[str, Any]:
        return {"enum": [kind.id for kind in cls.all()], "type": "string"}

    @classmethod
    def _read(cls, value: Any) -> Self:
        from pydantic_core import PydanticKnownError

        for kind in cls.all():
            if value in (kind, kind.id):
                return kind
        *most, last = (repr(kind.id) for kind in cls.all())
        raise PydanticKnownError("literal_error", {"expected": f"{', '.join(most)} or {last}"})


@dataclass(frozen=True, eq=False)
class Fuel(Kind):
    """What a heater runs on, and how it is sold.

    Parameters
    ----------
    unit, spoken_unit : str
        Unit on the bill, short and in a sentence.
    price_unit, use_key : str
        Suffix of its price, and the key of a year's use.
    is_burned, is_delivered : bool
        Burned in the house; brought by truck into a tank.
    gas : str or None
        Which gas flows in the pipe; None for a fuel that comes by none.
    account_key : str or None
        The case's key for the account charge that may begin or end with the heater.
    usual_units_per_mo, highest_usd_per_unit : float
        What a usual water heater uses in a month, and the price above which none is believed. [unit/month], [$/unit]
    """

    table = "fuels"

    unit: str
    spoken_unit: str
    price_unit: str
    use_key: str
    is_burned: bool
    is_delivered: bool
    gas: str | None
    account_key: str | None
    usual_units_per_mo: float
    highest_usd_per_unit: float

    @property
    def unit_word(self) -> Finding:
        """The unit that it is sold in, within a sentence."""
        return note(f"sold_by.{self.spoken_unit}", title=self.spoken_unit)

    @property
    def price_key(self) -> str:
        """The case's key for its price."""
        return f"{self.id}_{self.price_unit}"

    @property
    def is_fuel_gas(self) -> bool:
        """Comes through a gas pipe, from a main or from a tank."""
        return self.gas is not None

    @property
    def is_electric(self) -> bool:
        """Comes by wire."""
        return not self.is_burned


@dataclass(frozen=True, eq=False)
class Technology(Kind):
    """A class of heater: how it heats.

    Parameters
    ----------
    fuels : tuple of Fuel
        What it may be made for.
    is_storage, is_heat_pump, is_condensing : bool
        A tank; takes heat from the air; makes acidic water from its exhaust.
    has_backup_element : bool
        A heat pump with an element.
    is_boiler_heated : bool
        A tank without a flame of its own, heated by the boiler that heats the house.
    vent, vent_job : str, str or None
        How its exhaust leaves, and the job that gives it a new way out.
    usual_recovery_frac : float or None
        Recovery efficiency of a burner where the label gives none. [-]
    pilot_btuh : float
        Standing pilot. [Btu/h]
    stands_in_outdoor_closet : bool
        Some places keep such tanks in a closet on an outside wall.
    product_class, large_product_class : str or None
        Federal product class, None where there is none, and that of a large one where it is another.
    tint, dash : str
        Its color and line in every chart.
    """

    table = "technologies"

    fuels: tuple[Fuel, ...]
    is_storage: bool
    is_heat_pump: bool
    is_condensing: bool
    has_backup_element: bool
    is_boiler_heated: bool
    vent: str
    vent_job: str | None
    usual_recovery_frac: float | None
    pilot_btuh: float
    stands_in_outdoor_closet: bool
    product_class: str | None
    large_product_class: str | None
    tint: str
    dash: str

    @property
    def is_natural_draft(self) -> bool:
        """Its exhaust rises by its own warmth, so that a flue for that may serve it."""
        return self.vent == "natural_draft"

    @property
    def is_sealed_combustion(self) -> bool:
        """Its air comes from outdoors by a pipe of its own."""
        return self.vent == "direct_vent"

    @property
    def is_resistance(self) -> bool:
        """Heats with elements alone."""
        return not self.is_heat_pump and not any(fuel.is_burned for fuel in self.fuels)

    def label_numbers(self, fuel: Fuel) -> tuple[str, ...]:
        """The numbers of a label without which such a heater cannot be modelled."""
        size = ("fhr_gal", "rated_volume_gal") if self.is_storage else ("max_gpm",)
        return (*size, "input_btuh" if fuel.is_burned else "input_kw")


@cache
def _made(kind: type[Kind]) -> tuple[Any, ...]:
    """The records of a table, one a row; columns that only a reader needs are left out."""
    made = []
    for row in load(kind.table).rows():
        values = {field.name: row[field.name] for field in fields(kind)}
        if "fuels" in values:
            values["fuels"] = tuple(Fuel.named(fuel) for fuel in values["fuels"])
        made.append(kind(**values))
    return tuple(made)


@cache
def electricity() -> Fuel:
    """The one fuel that every house has."""
    return next(fuel for fuel in Fuel.all() if fuel.is_electric)


@cache
def piped_gas() -> Fuel:
    """The gas that comes from a main in the street."""
    return next(fuel for fuel in Fuel.all() if fuel.is_fuel_gas and not fuel.is_delivered)
