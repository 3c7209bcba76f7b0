"""A house with every key of the case filled in, made from the schema."""

from __future__ import annotations

from typing import Any, Literal, get_args, get_origin

from advisor.case.record import Case
from advisor.core.kinds import Kind
from advisor.web.fields import keys_of, section_in

#: What the bounds alone cannot tell: what contradicts itself, stands in a table, or is no longer plausible.
_CHOSEN: dict[str, Any] = {
    "name": "Every answer given",
    "job.visit_on": "2027-02-20",
    "install_date": "2027-03-02",
    "made_on": "2027-01-11",
    "place.zip_code": "55811",
    "place.city": "Duluth, MN",
    "place.state": "MN",
    "place.elevation_ft": 1400.0,
    "household.people": 4,
    "household.children": 2,
    # A bill says it already.
    "household.hot_water_gpd": None,
    "failed.fuel": "natural_gas",
    "failed.size_gal": 50.0,
    "house.fuels": ["natural_gas", "propane", "heating_oil"],
    "gas.branch_size_in": "1/2",
    "gas.trunk_size_in": "3/4",
    "gas.meter_class": "250",
    "gas.supply_pressure_inwc": 7.0,
    # At this pressure no line regulator stands behind the meter.
    "gas.regulator_at": "none",
    "gas.heating_value_btu_per_ft3": 1030.0,
    "gas.allowed_drop_inwc": 0.5,
    "vent.tile_liner": "8x8",
    "bill.used_kwh": None,
    "bill.used_gal": None,
    "bill.used_therm": 15.0,
    # The tariff says it already.
    "prices.natural_gas_usd_per_therm": None,
    "prices.gas_fixed_usd_per_mo": None,
    "prices.natural_gas_fixed_frac": None,
    "tariffs": [{"fuel": "natural_gas", "price_usd_per_unit": 1.1, "source": "bill of March"}],
    "uses": [{"name": "shower", "mixed_gpm": 2.1, "duration_min": 8, "count": 3, "together": 2}],
    "heaters": [
        {
            "title": "Quoted tankless",
            "technology": "gas_tankless_condensing",
            "fuel": "natural_gas",
            "uef": 0.95,
            "max_gpm": 5.0,
            "input_btuh": 180_000,
        }
    ],
    "several": [{"candidate": "own-1", "n_units": 2}, {"candidate": "gas-tank-50", "n_units": 2}],
    "offers": [{"candidate": "gas-tank-50", "total_usd": 2900}],
    "contractor.name": "A plumber",
    "contractor.licence": "12345",
    "contractor.phone": "218 555 0100",
    "contractor.logo": None,
    "price_list": [{"id": "gas-tank-50", "price_usd": 2500, "source": "our list"}],
    "readings": [
        {"reading": "bath_f", "value": "49 °C", "by": "A.P.", "read_on": "2027-03-02", "candidate": "gas-tank-50"}
    ],
    "rebates": [{"candidate": "heat_pump_storage_240v", "rebate_usd": 400, "source": "the utility"}],
    "gas.segments": [
        {"name": "trunk", "upstream": "source", "size_in": "1", "length_ft": 40},
        {"name": "branch", "upstream": "trunk", "size_in": "3/4", "length_ft": 15},
    ],
    "gas.outlets": [{"name": "water heater", "segment": "branch", "input_btuh": 40_000}],
    "gas.regulators": [],
}


def full_house() -> dict[str, Any]:
    """Every key given, as nested dicts."""
    given: dict[str, Any] = {}
    for name in Case.model_fields:
        for path in keys_of(name):
            value = _CHOSEN[path] if path in _CHOSEN else _some(path)
            if value is None or value == []:
                continue
            section, _, key = path.partition(".")
            if key:
                given.setdefault(section, {})[key] = value
            else:
                given[section] = value
    return given


def _some(path: str) -> Any:
    model: Any = Case
    *parents, last = path.split(".")
    for part in parents:
        model = section_in(model.model_fields[part].annotation)
    found = model.model_fields[last]
    choices = _choices(found.annotation)
    if choices:
        return [choices[0]] if get_origin(found.annotation) is tuple else choices[0]
    if bool in (found.annotation, *get_args(found.annotation)):
        return True
    if not found.is_required() and found.default is not None:
        return found.default
    bounds = {type(item).__name__.lower(): item for item in found.metadata}
    low = next(getattr(bounds[key], key) for key in ("ge", "gt") if key in bounds)
    high = next(getattr(bounds[key], key) for key in ("le", "lt") if key in bounds)
    middle = low + 0.15 * (high - low)
    return (
        float(round(middle, 2)) if float in (found.annotation, *get_args(found.annotation)) else max(round(middle), 1)
    )


def _choices(annotation: Any) -> tuple[Any, ...]:
    if get_origin(annotation) is Literal:
        return get_args(annotation)
    if isinstance(annotation, type) and issubclass(annotation, Kind):
        return tuple(kind.id for kind in annotation.all())
    return tuple(choice for part in get_args(annotation) for choice in _choices(part))
