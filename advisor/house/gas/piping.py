"""The gas piping check, gathered: a house's pipe from simple answers, the methods, and the ways out.

A household knows its appliances, perhaps the pipe at the heater, seldom the rest. ``default_tree`` fills in
the rest as the tables ask for the appliances before the change, and says each thing that it assumed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from advisor.core import tables
from advisor.core.errors import InputError
from advisor.house.gas import pipe as gas_pipe
from advisor.house.gas.changes import GasPrices, PriceRange, WayOut, apply
from advisor.house.gas.flow import meter_capacity_cfh
from advisor.house.gas.pressure import GasCheck, PressureResult, by_pressure, check
from advisor.house.gas.remedies import ways_out
from advisor.house.gas.sizing import TableSizing, by_branch_length, by_hybrid, by_longest_length
from advisor.house.gas.tree import SOURCE, GasOutlet, GasSegment, GasSystem, LineRegulator

__all__ = [
    "SOURCE",
    "DefaultTree",
    "GasCheck",
    "GasOutlet",
    "GasPrices",
    "GasSegment",
    "GasSystem",
    "LineRegulator",
    "PressureResult",
    "PriceRange",
    "TableSizing",
    "WayOut",
    "apply",
    "by_branch_length",
    "by_hybrid",
    "by_longest_length",
    "by_pressure",
    "check",
    "default_tree",
    "ways_out",
]

HEATER = "water heater"
TRUNK, HEATER_BRANCH = "trunk", "heater branch"

_SUPPLY = {
    "natural": (7.0, "common practice, no published source"),
    "propane": (11.0, "verified: headings of the propane tables, IFGC 2018"),
}
# Printed in the instructions of several gas heaters. From half a psi (14 in. w.c.) the code asks for a look.
_HEATER_MAX_INWC = {"natural": 10.5, "propane": 13.0}
OTHER_MAX_INWC = 14.0
_OLD_HEATER_BTUH, _TRUNK_FT, _BRANCH_FT, _OTHER_FT = 40_000.0, 20.0, 20.0, 15.0


@dataclass(frozen=True)
class DefaultTree:
    """A house's gas piping from simple answers, with everything that was assumed, a sentence each."""

    system: GasSystem
    assumed: tuple[str, ...]


def default_tree(
    gas: str,
    existing: Mapping[str, float | None],
    heater_input_btuh: float,
    *,
    heater_branch_size: str | None = None,
    heater_branch_ft: float | None = None,
    trunk_size: str | None = None,
    trunk_ft: float | None = None,
    material: str = "steel",
    supply_pressure_inwc: float | None = None,
    old_heater_input_btuh: float | None = None,
    heater_min_inlet_inwc: float | None = None,
    heater_max_inlet_inwc: float | None = None,
    meter_class: str | None = None,
    place: str = "US",
    elevation_ft: float = 0.0,
) -> DefaultTree:
    """The piping of a house: a trunk from the meter, and a branch off its end for each appliance.

    Parameters
    ----------
    gas : str
        ``natural`` or ``propane``.
    existing : mapping of appliance to Btu/h or None
        The other gas appliances, as ``{"furnace": 80_000, "dryer": None}``; None takes the usual input of the
        table ``gas_appliance_inputs``. [Btu/h]
    heater_input_btuh : float
        Full input of the new heater. [Btu/h]
    heater_branch_size, trunk_size : str, optional
        Nominal sizes; without them what the tables ask for with the old heater.
    heater_branch_ft, trunk_ft : float, optional
        Lengths. [ft]
    material : str
        Of every pipe.
    supply_pressure_inwc : float, optional
        At the meter. [in. w.c.]
    old_heater_input_btuh : float, optional
        Of the heater that failed; it sizes the pipes that are not known. [Btu/h]
    heater_min_inlet_inwc, heater_max_inlet_inwc : float, optional
        From the new heater's plate. [in. w.c.]
    meter_class : str, optional
        Class number on the meter, such as ``250``.
    place : str
        Postal code of the state, for the heat in the gas.
    elevation_ft : float
        Height above sea level. [ft]

    Returns
    -------
    DefaultTree

    Raises
    ------
    InputError
        Unknown gas, material, size, appliance or meter class; a length or input that is not above zero.
    """
    gas_pipe.gas_named(gas)
    sizes = gas_pipe.sizes(material)
    assumed: list[str] = []
    supply = _supply_inwc(gas, supply_pressure_inwc, assumed)
    trunk_run = _length("trunk from the meter", trunk_ft, _TRUNK_FT, assumed)
    heater_run = _length("branch to the water heater", heater_branch_ft, _BRANCH_FT, assumed)
    minimum, maximum = _heater_limits(gas, heater_min_inlet_inwc, heater_max_inlet_inwc, assumed)
    segments = [
        GasSegment(TRUNK, SOURCE, material, trunk_size or sizes[0], trunk_run),
        GasSegment(HEATER_BRANCH, TRUNK, material, heater_branch_size or sizes[0], heater_run),
    ]
    outlets = [GasOutlet(HEATER, HEATER_BRANCH, heater_input_btuh, minimum, maximum)]
    for appliance, given in existing.items():
        segments.append(GasSegment(f"{appliance} branch", TRUNK, material, sizes[0], _OTHER_FT))
        load = given if given is not None else _usual_input_btuh(appliance, assumed)
        outlets.append(GasOutlet(appliance, f"{appliance} branch", load, None, OTHER_MAX_INWC))
    if existing:
        assumed.append(
            f"Each other appliance has {_OTHER_FT:g} ft of pipe of its own off the end of the trunk and "
            f"takes up to {OTHER_MAX_INWC:g} in. w.c. (assumed)."
        )
    system = GasSystem(
        gas,
        supply,
        tuple(segments),
        tuple(outlets),
        heating_value_btu_per_ft3=_heating_value(gas, place, assumed),
        elevation_ft=elevation_ft,
        meter_capacity_cfh=_meter_capacity_cfh(gas, meter_class),
    )
    given_sizes = {TRUNK: trunk_size, HEATER_BRANCH: heater_branch_size}
    unknown = [segment.name for segment in segments if not given_sizes.get(segment.name)]
    return DefaultTree(_built_for_the_old(system, unknown, old_heater_input_btuh, assumed), tuple(assumed))


def _built_for_the_old(
    system: GasSystem, unknown: list[str], old_heater_btuh: float | None, assumed: list[str]
) -> GasSystem:
    """Give unknown pipes the size that the longest-length table asks for with the heater that failed."""
    if not unknown:
        return system
    old_input = old_heater_btuh or _OLD_HEATER_BTUH
    if old_heater_btuh is None:
        assumed.append(f"The heater that failed burned {old_input:,.0f} Btu/h (assumed).")
    # Sized at the pressure that houses had when they were piped: the 0.5 in. w.c. table.
    old = replace(
        system,
        allowed_drop_inwc=0.5,
        outlets=tuple(replace(o, input_btuh=old_input) if o.name == HEATER else o for o in system.outlets),
    )
    sizing = by_longest_length(old)
    largest = {name: gas_pipe.sizes(system.by_name[name].material)[-1] for name in unknown}
    sizes = {name: sizing.segment(name).required_size or largest[name] for name in unknown}
    built = tuple(replace(s, size=sizes.get(s.name, s.size)) for s in system.segments)
    named = ", ".join(segment.shown for segment in built if segment.name in sizes)
    assumed.append(
        "Pipes of unknown size are taken as the code's table asks for with the old heater (assumed; read or "
        f"measure them): {named}."
    )
    return replace(system, segments=built)


def _supply_inwc(gas: str, given: float | None, assumed: list[str]) -> float:
    if given is not None:
        return given
    usual, state = _SUPPLY[gas]
    where = "at the meter" if gas == "natural" else "after the propane regulator"
    assumed.append(f"The gas stands at {usual:g} in. w.c. {where} ({state}; have it measured).")
    return usual


def _length(what: str, given: float | None, usual: float, assumed: list[str]) -> float:
    if given is not None:
        return given
    assumed.append(f"The {what} is {usual:g} ft long (assumed; measure it).")
    return usual


def _heater_limits(gas: str, low: float | None, high: float | None, assumed: list[str]) -> tuple[float | None, float]:
    if high is None:
        high = _HEATER_MAX_INWC[gas]
        assumed.append(f"The new heater takes at most {high:g} in. w.c. (assumed; several makers print it).")
    if low is None and gas == "natural":
        assumed.append("The new heater needs about 5 in. w.c. (verified: IFGC 2018 Appendix A.1; the plate governs).")
    elif low is None:
        assumed.append("The new heater needs about 10 in. w.c. (assumed; the plate governs).")
    return low, high


def _usual_input_btuh(appliance: str, assumed: list[str]) -> float:
    rows = list(tables.load("gas_appliance_inputs").rows())
    for row in rows:
        if row["appliance"] == appliance:
            assumed.append(f"The {appliance} burns {row['input_btuh']:,.0f} Btu/h ({row['state']}; read its plate).")
            return float(row["input_btuh"])
    known = ", ".join(row["appliance"] for row in rows)
    raise InputError(
        "gas appliance", appliance, "its usual input is not listed", f"give its Btu/h, or use one of {known}"
    )


def _heating_value(gas: str, place: str, assumed: list[str]) -> float:
    if gas == "propane":
        value = gas_pipe.gas_named(gas).heating_value_btu_per_ft3
        assumed.append(f"A cubic foot of propane holds {value:,.0f} Btu (computed: what the code's tables imply).")
        return value
    table = tables.load("gas_heating_values")
    values = dict(zip(table["place"], table["heating_value_btu_per_ft3"], strict=True))
    where = place if place in values else "US"
    source = f"{where}; {table.state}: {table.publication}"
    assumed.append(f"A cubic foot of gas holds {values[where]:,.0f} Btu ({source}).")
    return float(values[where])


def _meter_capacity_cfh(gas: str, meter_class: str | None) -> float | None:
    if meter_class is None:
        return None
    for row in tables.load("gas_meters").rows():
        if row["class_name"] == str(meter_class):
            return float(meter_capacity_cfh(row["capacity_cfh"], gas_pipe.gas_named(gas).gravity))
    known = ", ".join(tables.load("gas_meters")["class_name"])
    raise InputError("gas.meter_class", meter_class, "this class is not listed", f"use one of {known}")
