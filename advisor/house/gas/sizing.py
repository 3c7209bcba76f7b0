"""Sizing gas piping by the codes' methods that read a capacity table.

*Longest length* takes one row of the table for the whole house; *branch length* lets each branch off the
longest run use its own. With a line regulator inside the house (*hybrid*) each side of it is sized from where
its pressure begins.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from advisor.core.errors import InputError
from advisor.core.findings import Finding, care, note
from advisor.house.gas import pipe as gas_pipe
from advisor.house.gas.flow import as_printed
from advisor.house.gas.tree import MOST_REGULATOR_LOSS_INWC, GasSegment, GasSystem, called

Sizes = Mapping[str, Sequence[str]] | None

#: Numbers this close count as equal, so that a pipe does not fail by the last bit of a float.
EQUAL = 1e-9


@dataclass(frozen=True)
class SegmentSizing:
    """One segment by a capacity table."""

    segment: GasSegment
    load_cfh: float
    length_ft: float
    row_ft: float
    capacity_cfh: float
    required_size: str | None

    @property
    def passes(self) -> bool:
        """Whether the present size carries the load."""
        return self.capacity_cfh >= self.load_cfh - EQUAL

    @property
    def load_frac(self) -> float:
        """Load over capacity; infinite where the rounded table leaves nothing, as a tiny drop over a long run does."""
        return self.load_cfh / self.capacity_cfh if self.capacity_cfh else math.inf


@dataclass(frozen=True)
class CapacityCheck:
    """A meter or line regulator against the gas that goes through it.

    Parameters
    ----------
    load_cfh, capacity_cfh : float, float or None
        What is asked of it, and what it passes if that is known. [ft³/h]
    segment : str
        The segment that a line regulator ends; empty for the meter.
    loses_too_much : bool
        The regulator's own loss bars the 2 psi tables.
    heat_btu_per_ft3 : float
        Of propane, whose plates speak of heat, what a cubic foot holds here; 0 for natural gas. [Btu/ft³]
    """

    load_cfh: float
    capacity_cfh: float | None
    segment: str = ""
    loses_too_much: bool = False
    heat_btu_per_ft3: float = 0.0

    @property
    def passes(self) -> bool:
        """Whether it is not known to be too small; an unknown capacity is no failure, only unknown."""
        small = self.capacity_cfh is not None and self.capacity_cfh < self.load_cfh - EQUAL
        return not (small or self.loses_too_much)

    @property
    def shortfall(self) -> Finding:
        """What is short about one that does not pass."""
        if self.loses_too_much:
            return care("gas.regulator.loses_too_much", "IFGC 2018 Table 402.4(5)", name=called(self.segment))
        asked: dict[str, Any] = {"capacity_cfh": self.capacity_cfh or 0.0, "load_cfh": self.load_cfh}
        in_feet, in_heat = "gas.meter.too_small", "gas.meter.too_small.propane"
        if self.segment:
            in_feet, in_heat = "gas.regulator.too_small", "gas.regulator.too_small.propane"
            asked["name"] = called(self.segment)
        if not self.heat_btu_per_ft3:
            return care(in_feet, **asked)
        for flow in ("capacity", "load"):
            asked[f"{flow}_btuh"] = asked.pop(f"{flow}_cfh") * self.heat_btu_per_ft3
        return care(in_heat, **asked)


@dataclass(frozen=True)
class TableSizing:
    """The whole house by a method that reads capacity tables."""

    method: str
    segments: tuple[SegmentSizing, ...]
    regulators: tuple[CapacityCheck, ...]
    finding: Finding
    notes: tuple[Finding, ...]

    @property
    def passes(self) -> bool:
        """Whether every segment and line regulator is large enough."""
        return all(s.passes for s in self.segments) and all(r.passes for r in self.regulators)

    def segment(self, name: str) -> SegmentSizing:
        """The result of one segment."""
        return next(item for item in self.segments if item.segment.name == name)


def by_longest_length(system: GasSystem, sizes: Sizes = None) -> TableSizing:
    """Size every segment on the length of the longest run (IFGC 2018 Appendix A.3, longest length).

    Parameters
    ----------
    system : GasSystem
    sizes : mapping of material to sizes, optional
        Sizes on hand, smallest first; every listed size without.
    """
    return _by_table(system, "longest_length", _longest(system), sizes)


def by_branch_length(system: GasSystem, sizes: Sizes = None) -> TableSizing:
    """Size the longest run on its own length and each other branch on the length to its own end.

    Parameters
    ----------
    system, sizes
        As ``by_longest_length``.

    Sources
    -------
    IFGC 2018 Appendix A.3, branch length.
    """
    return _by_branch(system) if sizes is None else _by_table(system, "branch_length", _branches(system), sizes)


@lru_cache(maxsize=1024)
def _by_branch(system: GasSystem) -> TableSizing:
    return _by_table(system, "branch_length", _branches(system), None)


def by_hybrid(system: GasSystem, sizes: Sizes = None) -> TableSizing:
    """Size a house with line regulators: each pressure zone by its own longest length, the regulators too.

    Raises
    ------
    InputError
        There is no line regulator.

    Sources
    -------
    IFGC 2018 Appendix A.3, hybrid pressure; a regulator that loses more than 3/4 psi bars the 2 psi tables.
    """
    if not system.regulators:
        raise InputError("gas.regulators", None, "the hybrid method needs one", "use longest or branch length")
    return _by_table(system, "hybrid_pressure", _longest(system), sizes)


def _depth_ft(system: GasSystem, name: str) -> float:
    """Equivalent length from where the segment's pressure begins to the segment's far end."""
    zone = system.zone(name)
    inside = [step for step in system.path(name) if system.zone(step) == zone]
    return sum(system.by_name[step].equivalent_ft for step in inside)


def _ends(system: GasSystem) -> dict[str, float]:
    """How far out the segments are at which gas leaves its zone, to an appliance or a line regulator."""
    names = {outlet.segment for outlet in system.outlets} | set(system.regulator_at)
    return {name: _depth_ft(system, name) for name in names}


def _longest(system: GasSystem) -> dict[str, float]:
    ends = _ends(system)
    lengths = {}
    for name in system.order:
        zone = system.zone(name)
        reach = [depth for end, depth in ends.items() if system.zone(end) == zone]
        lengths[name] = max(reach, default=_depth_ft(system, name))
    return lengths


def _branches(system: GasSystem) -> dict[str, float]:
    """Each segment's farthest end in its zone; on the longest run that is the longest length by itself."""
    ends = _ends(system)
    lengths = {}
    for name in system.order:
        zone = system.zone(name)
        reach = [depth for end, depth in ends.items() if system.zone(end) == zone and name in system.path(end)]
        lengths[name] = max(reach, default=_depth_ft(system, name))
    return lengths


def table_capacity_cfh(system: GasSystem, name: str, size: str, row_ft: float) -> float:
    """Capacity of a size in a segment's place, as a printed table would give it. [ft³/h]"""
    segment, zone = system.by_name[name], system.zone(name)
    material = gas_pipe.TABLE_BORE.get(segment.material, segment.material)
    drop = system.zone_drop_inwc(zone)
    return _printed_cfh(system.gas, material, size, system.zone_inwc(zone), system.gravity, drop, row_ft)


@lru_cache(maxsize=16384)
def _printed_cfh(
    gas: str, material: str, size: str, inlet_inwc: float, gravity: float | None, drop_inwc: float, row_ft: float
) -> float:
    """One cell of a table; a house and its ways out ask for the same few again and again."""
    if gas == "natural" and material == gas_pipe.CSST and gravity is None:
        printed = gas_pipe.printed_csst_cfh(size, inlet_inwc, drop_inwc, row_ft)
        if printed is not None:
            return printed
    law = gas_pipe.pipe_law(gas, material, size, inlet_inwc, gravity)
    return float(as_printed(law.capacity_cfh(row_ft, inlet_inwc, drop_inwc)))


def _by_table(system: GasSystem, method: str, lengths: dict[str, float], sizes: Sizes) -> TableSizing:
    results = []
    for name in system.order:
        segment, load = system.by_name[name], system.loads_cfh[name]
        high = gas_pipe.is_high_pressure(system.zone_inwc(system.zone(name)))
        row = gas_pipe.table_row_ft(lengths[name], segment.material, high)
        on_hand = (sizes or {}).get(segment.material) or gas_pipe.sizes(segment.material)
        enough = (size for size in on_hand if table_capacity_cfh(system, name, size, row) >= load - EQUAL)
        capacity = table_capacity_cfh(system, name, segment.size, row)
        results.append(SegmentSizing(segment, load, lengths[name], row, capacity, next(enough, None)))
    regulators = regulator_checks(system)
    finding = _table_finding(system, method, results, regulators)
    return TableSizing(method, tuple(results), regulators, finding, notes(system))


def regulator_checks(system: GasSystem) -> tuple[CapacityCheck, ...]:
    """Every line regulator against its load, and against the loss that bars the 2 psi tables."""
    checks = []
    for regulator in system.regulators:
        high = gas_pipe.is_high_pressure(system.zone_inwc(system.zone(regulator.segment)))
        loses_too_much = high and regulator.own_loss_inwc > MOST_REGULATOR_LOSS_INWC + EQUAL
        load = system.loads_cfh[regulator.segment]
        heat = told_heat_btu_per_ft3(system)
        checks.append(CapacityCheck(load, regulator.capacity_cfh, regulator.segment, loses_too_much, heat))
    return tuple(checks)


def told_heat_btu_per_ft3(system: GasSystem) -> float:
    """What turns cubic feet into the heat that propane is told in; 0 for natural gas, told in cubic feet. [Btu/ft³]"""
    return 0.0 if system.gas == "natural" else system.btu_per_actual_ft3


def _table_finding(
    system: GasSystem, method: str, results: Sequence[SegmentSizing], regulators: Sequence[CapacityCheck]
) -> Finding:
    named = note(f"gas.method.{method}")
    failing = [item for item in results if not item.passes]
    if failing:
        worst = max(failing, key=lambda item: item.load_frac)
        listed = worst.required_size is not None
        asked: dict[str, Any] = {"method": named, "segment": worst.segment.named, "row_ft": worst.row_ft}
        if listed:
            asked["pipe"] = gas_pipe.named(worst.segment.material, str(worst.required_size))
        if system.gas == "natural":
            code = "gas.table.too_small" if listed else "gas.table.no_size"
            asked |= {"capacity_cfh": worst.capacity_cfh, "load_cfh": worst.load_cfh}
        else:
            # Propane's tables and plates speak of heat; so many Btu/h flow here in a cubic foot an hour.
            code = "gas.table.too_small.propane" if listed else "gas.table.no_size.propane"
            heat = system.btu_per_actual_ft3
            asked |= {"capacity_btuh": worst.capacity_cfh * heat, "load_btuh": worst.load_cfh * heat}
        return care(code, "IFGC 2018 Appendix A.3", **asked)
    short = (check.shortfall for check in regulators if not check.passes)
    return next(short, note("gas.table.carries", "IFGC 2018 Appendix A.3", method=named))


def notes(system: GasSystem) -> tuple[Finding, ...]:
    """What a reader should know about the methods and what was left unknown."""
    told = []
    for name in system.order:
        segment = system.by_name[name]
        feed = system.zone_inwc(system.zone(name))
        law = gas_pipe.pipe_law(system.gas, segment.material, segment.size, feed, system.gravity)
        told.append(law.note)
    if system.meter_capacity_cfh is None:
        told.append(care("gas.meter.unknown" if system.gas == "natural" else "gas.supply.unknown"))
    if any(regulator.capacity_cfh is None for regulator in system.regulators):
        told.append(care("gas.regulator.unknown"))
    return tuple(dict.fromkeys(one for one in told if one))
