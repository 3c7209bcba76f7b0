"""A house's gas piping from simple answers.

A household knows its appliances, perhaps the pipe at the heater, seldom the rest. ``default_tree`` fills in
the rest as the tables ask for the appliances before the change, and tells each thing that it assumed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from advisor.case.base import Assumption
from advisor.case.usual import assumption, usual
from advisor.core import tables
from advisor.core.errors import InputError
from advisor.house.gas import pipe as gas_pipe
from advisor.house.gas.flow import meter_capacity_cfh
from advisor.house.gas.sizing import by_longest_length
from advisor.house.gas.tree import (
    HEATER,
    HEATER_BRANCH,
    LOW_METER_INWC,
    SOURCE,
    TRUNK,
    GasOutlet,
    GasSegment,
    GasSystem,
    LineRegulator,
    called,
)

#: Unknown pipe was sized by the table of this drop when the house was piped. [in. w.c.]
_OLD_DROP_INWC = 0.5
#: Runs whose size the case may give, and its keys.
SIZE_KEYS = {TRUNK: "gas.trunk_size_in", HEATER_BRANCH: "gas.branch_size_in"}


#: Answers to where the line regulator stands that put one in.
REGULATED = frozenset({"trunk_end", "appliances"})


@dataclass(frozen=True)
class LineRegulatorAnswers:
    """What simple answers say of line regulators; what they leave open is assumed where the pressure asks for one.

    Parameters
    ----------
    place : str, optional
        ``trunk_end``, ``appliances`` or ``none``.
    outlet_inwc, own_loss_inwc : float, optional
        Pressure that it holds, and that it needs itself. [in. w.c.]
    capacity_cfh : float, optional
        What it passes, as on its label. [ft³/h]
    """

    place: str | None = None
    outlet_inwc: float | None = None
    own_loss_inwc: float | None = None
    capacity_cfh: float | None = None

    def of(
        self, gas: str, supply_inwc: float, segments: tuple[GasSegment, ...]
    ) -> tuple[tuple[LineRegulator, ...], list[Assumption]]:
        """The regulators of a simple tree, and what was assumed of them; none where low pressure is delivered."""
        if supply_inwc <= LOW_METER_INWC or self.place == "none":
            return (), []
        assumed: list[Assumption] = []

        def known(given: Any, key: str, way: str = "") -> Any:
            if given is None:
                assumed.append(assumption(key, way=way))
            return usual(key, way) if given is None else given

        place = known(self.place, "gas.regulator_at")
        outlet_inwc = known(self.outlet_inwc, "gas.regulator_outlet_inwc", gas)
        loss_inwc = known(self.own_loss_inwc, "gas.regulator_own_loss_inwc")
        ends = [run.name for run in segments if (run.name == TRUNK) == (place == "trunk_end")]
        return (
            tuple(LineRegulator(name, outlet_inwc, loss_inwc, capacity_cfh=self.capacity_cfh) for name in ends),
            assumed,
        )


NOT_ASKED = LineRegulatorAnswers()


@dataclass(frozen=True)
class DefaultTree:
    """A house's gas piping from simple answers, with everything that was assumed."""

    system: GasSystem
    assumed: tuple[Assumption, ...]


def default_tree(
    gas: str,
    existing: Mapping[str, float],
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
    heating_value_btu_per_ft3: float | None = None,
    place: str = "US",
    elevation_ft: float = 0.0,
    allowed_drop_inwc: float | None = None,
    line_regulator: LineRegulatorAnswers = NOT_ASKED,
) -> DefaultTree:
    """The piping of a house: a trunk from the meter, and a branch off its end for each appliance.

    Parameters
    ----------
    gas : str
        ``natural`` or ``propane``.
    existing : mapping of appliance to Btu/h
        The other gas appliances, as ``{"furnace": 80_000}``. [Btu/h]
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
    heating_value_btu_per_ft3 : float, optional
        Heat in a cubic foot; that of the place without. [Btu/ft³]
    place : str
        Postal code of the state, for the heat in the gas.
    elevation_ft : float
        Height above sea level. [ft]
    allowed_drop_inwc : float, optional
        Drop that the sizing table in use allows. [in. w.c.]
    line_regulator : LineRegulatorAnswers
        Where a pressure that no appliance takes ends.

    Returns
    -------
    DefaultTree

    Raises
    ------
    InputError
        Unknown gas, material, size or meter class; a length or input that is not above zero.
    """
    gas_pipe.gas_named(gas)
    sizes = gas_pipe.sizes(material)
    assumed: list[Assumption] = []

    def known(given: float | None, key: str, way: str = "") -> float:
        if given is None:
            assumed.append(assumption(key, way=way))
        return float(usual(key, way) if given is None else given)

    fed = "two_psi" if line_regulator.place in REGULATED else gas
    supply = known(supply_pressure_inwc, "gas.supply_pressure_inwc", fed)
    trunk_run, heater_run = known(trunk_ft, "gas.trunk_ft"), known(heater_branch_ft, "gas.branch_ft")
    heater_max = known(heater_max_inlet_inwc, "gas.outlets.max_inlet_inwc", gas)
    if heater_min_inlet_inwc is None or existing:
        assumed.append(assumption("gas.outlets.min_inlet_inwc", way=gas))
    segments = [
        GasSegment(TRUNK, SOURCE, material, trunk_size or sizes[0], trunk_run),
        GasSegment(HEATER_BRANCH, TRUNK, material, heater_branch_size or sizes[0], heater_run),
    ]
    outlets = [GasOutlet(HEATER, HEATER_BRANCH, heater_input_btuh, heater_min_inlet_inwc, heater_max)]
    if existing:
        assumed += [assumption("gas.segments.length_ft"), others_take(tuple(existing))]
    for appliance, load in existing.items():
        branch = f"{appliance} branch"
        segments.append(GasSegment(branch, TRUNK, material, sizes[0], usual("gas.segments.length_ft")))
        outlets.append(GasOutlet(appliance, branch, load, None, usual("gas.outlets.max_inlet_inwc", "other")))
    heat = heating_value_btu_per_ft3
    if heat is None:
        assumed.append(_heat_of_place(gas, place))
        heat = assumed[-1].value
    regulators, told = line_regulator.of(gas, supply, tuple(segments))
    assumed += told
    system = GasSystem(
        gas,
        supply,
        tuple(segments),
        tuple(outlets),
        allowed_drop_inwc=allowed_drop_inwc,
        regulators=regulators,
        heating_value_btu_per_ft3=heat,
        elevation_ft=elevation_ft,
        meter_capacity_cfh=class_capacity_cfh(gas, meter_class),
    )
    given_sizes = {TRUNK: trunk_size, HEATER_BRANCH: heater_branch_size}
    unknown = [segment.name for segment in segments if not given_sizes.get(segment.name)]
    if unknown:
        old_input = known(old_heater_input_btuh, "failed.input_btuh")
        system = _built_for_the_old(system, unknown, old_input)
        assumed += _assumed_sizes(system, unknown)
    return DefaultTree(system, tuple(assumed))


def others_take(names: tuple[str, ...]) -> Assumption:
    """The pressure that other appliances are taken to bear where their plates were not read."""
    return assumption("gas.outlets.max_inlet_inwc", way="other", names=tuple(called(name) for name in names))


def _built_for_the_old(system: GasSystem, unknown: list[str], old_input_btuh: float) -> GasSystem:
    """Give unknown pipes the size that the longest-length table asks for with the heater that failed."""
    is_high = gas_pipe.is_high_pressure(system.supply_pressure_inwc)
    old = replace(
        system,
        allowed_drop_inwc=None if is_high else _OLD_DROP_INWC,
        outlets=tuple(replace(o, input_btuh=old_input_btuh) if o.name == HEATER else o for o in system.outlets),
    )
    sizing = by_longest_length(old)
    largest = {name: gas_pipe.sizes(system.by_name[name].material)[-1] for name in unknown}
    sizes = {name: sizing.segment(name).required_size or largest[name] for name in unknown}
    return system.with_sizes(sizes)


def _assumed_sizes(system: GasSystem, unknown: list[str]) -> list[Assumption]:
    """The sizes that were worked out: trunk and heater's branch by their keys, the other runs together."""
    told = []
    for name in (TRUNK, HEATER_BRANCH):
        if name in unknown:
            run = system.by_name[name]
            told.append(assumption(SIZE_KEYS[name], run.size, pipe=gas_pipe.named(run.material, run.size)))
    others = tuple(system.by_name[name] for name in unknown if name not in SIZE_KEYS)
    if others:
        sizes = tuple(run.size for run in others)
        told.append(assumption("gas.segments.size_in", sizes, runs=tuple(run.named for run in others)))
    return told


def _heat_of_place(gas: str, place: str) -> Assumption:
    """What is taken for the heat in a cubic foot: propane's own, or what is delivered in a state. [Btu/ft³]"""
    key = "gas.heating_value_btu_per_ft3"
    if gas == "propane":
        return assumption(key, gas_pipe.gas_named(gas).heating_value_btu_per_ft3, way=gas)
    table = tables.load("gas_heating_values")
    values = dict(zip(table["place"], table["heating_value_btu_per_ft3"], strict=True))
    where = place if place in values else "US"
    return assumption(key, float(values[where]), way=gas, place=where, publication=table.publication)


def class_capacity_cfh(gas: str, meter_class: str | None) -> float | None:
    """What a meter of a class passes; None where the class is not known. [ft³/h]

    Raises
    ------
    InputError
        The class is not listed.
    """
    if meter_class is None:
        return None
    for row in tables.load("gas_meters").rows():
        if row["class_name"] == str(meter_class):
            return float(meter_capacity_cfh(row["capacity_cfh"], gas_pipe.gas_named(gas).gravity))
    known = ", ".join(tables.load("gas_meters")["class_name"])
    raise InputError("gas.meter_class", meter_class, "this class is not listed", "write one of {known}", known=known)
