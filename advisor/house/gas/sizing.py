"""Sizing gas piping by the codes' methods that read a capacity table.

*Longest length* takes one row of the table for the whole house; *branch length* lets each branch off the
longest run use its own. With a line regulator inside the house (*hybrid*) each side of it is sized from where
its pressure begins.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from advisor.core.errors import InputError
from advisor.house.gas import pipe as gas_pipe
from advisor.house.gas.flow import as_printed
from advisor.house.gas.tree import MOST_REGULATOR_LOSS_INWC, GasSegment, GasSystem

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


@dataclass(frozen=True)
class CapacityCheck:
    """A meter or regulator against the gas that goes through it."""

    name: str
    load_cfh: float
    capacity_cfh: float | None
    reason: str = ""

    @property
    def passes(self) -> bool:
        """Whether it is not known to be too small; an unknown capacity is no failure, only unknown."""
        return not self.reason and (self.capacity_cfh is None or self.capacity_cfh >= self.load_cfh - EQUAL)


@dataclass(frozen=True)
class TableSizing:
    """The whole house by a method that reads capacity tables."""

    method: str
    segments: tuple[SegmentSizing, ...]
    regulators: tuple[CapacityCheck, ...]
    finding: str
    notes: tuple[str, ...]

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
    return _by_table(system, "longest length", _longest(system), sizes)


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
    return _by_branch(system) if sizes is None else _by_table(system, "branch length", _branches(system), sizes)


@lru_cache(maxsize=1024)
def _by_branch(system: GasSystem) -> TableSizing:
    return _by_table(system, "branch length", _branches(system), None)


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
        raise InputError("line regulators", None, "the hybrid method needs one", "use longest or branch length")
    return _by_table(system, "hybrid pressure", _longest(system), sizes)


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
    finding = _table_finding(method, results, regulators)
    return TableSizing(method, tuple(results), regulators, finding, notes(system))


def regulator_checks(system: GasSystem) -> tuple[CapacityCheck, ...]:
    """Every line regulator against its load, and against the loss that bars the 2 psi tables."""
    checks = []
    for regulator in system.regulators:
        reason = ""
        high = gas_pipe.is_high_pressure(system.zone_inwc(system.zone(regulator.segment)))
        if high and regulator.own_loss_inwc > MOST_REGULATOR_LOSS_INWC + EQUAL:
            reason = "it loses more than 3/4 psi, so the 2 psi tables may not be used"
        load = system.loads_cfh[regulator.segment]
        name = f"line regulator at '{regulator.segment}'"
        checks.append(CapacityCheck(name, load, regulator.capacity_cfh, reason))
    return tuple(checks)


def too_small(check: CapacityCheck) -> str:
    """Say what is short about a meter or regulator."""
    if check.reason:
        return f"The {check.name} will not do: {check.reason}."
    asked = f"{check.load_cfh:.0f} are asked of it"
    return f"The {check.name} passes about {check.capacity_cfh:.0f} ft³/h and {asked}."


def _table_finding(method: str, results: Sequence[SegmentSizing], regulators: Sequence[CapacityCheck]) -> str:
    failing = [item for item in results if not item.passes]
    if failing:
        worst = max(failing, key=lambda item: item.load_cfh / item.capacity_cfh)
        cure = gas_pipe.shown(worst.segment.material, worst.required_size) if worst.required_size else ""
        return (
            f"By {method}, {worst.segment.shown} carries about {worst.capacity_cfh:.0f} ft³/h over "
            f"{worst.row_ft:.0f} ft and {worst.load_cfh:.0f} are asked of it; "
            + (f"it takes {cure}." if cure else "no listed size carries that.")
        )
    for check in regulators:
        if not check.passes:
            return too_small(check)
    return f"By {method}, every segment carries its load."


def notes(system: GasSystem) -> tuple[str, ...]:
    """What a reader should know about the methods and what was left unknown."""
    said = []
    for name in system.order:
        segment = system.by_name[name]
        feed = system.zone_inwc(system.zone(name))
        law = gas_pipe.pipe_law(system.gas, segment.material, segment.size, feed, system.gravity)
        said.append(law.note)
    if system.meter_capacity_cfh is None:
        said.append("The meter's capacity is not known: ask the utility whether it passes the new total.")
    if any(regulator.capacity_cfh is None for regulator in system.regulators):
        said.append("A line regulator's capacity is not known: read its label.")
    return tuple(dict.fromkeys(note for note in said if note))
