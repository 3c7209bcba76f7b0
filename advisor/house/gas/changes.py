"""What can be done about gas piping that falls short: changes to the tree, what they cost, and the proof.

A way out is only ever made by ``offer``, which applies the changes and runs the whole check again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from typing import Protocol

from advisor.core.errors import OutOfRangeError
from advisor.core.findings import Finding, care
from advisor.house.gas import pipe as gas_pipe
from advisor.house.gas.pressure import GasCheck, Rule, check
from advisor.house.gas.tree import GasSegment, GasSystem, LineRegulator


@dataclass(frozen=True)
class PriceRange:
    """Low, typical and high price. [$]"""

    low_usd: float
    typical_usd: float
    high_usd: float

    def __add__(self, other: PriceRange) -> PriceRange:
        return PriceRange(
            self.low_usd + other.low_usd,
            self.typical_usd + other.typical_usd,
            self.high_usd + other.high_usd,
        )

    def times(self, amount: float) -> PriceRange:
        """The price of so many feet or pieces."""
        return PriceRange(self.low_usd * amount, self.typical_usd * amount, self.high_usd * amount)


FREE = PriceRange(0.0, 0.0, 0.0)


@dataclass(frozen=True)
class GasPrices:
    """What gas work costs, from the installed-cost list.

    Parameters
    ----------
    per_ft : mapping of nominal size to PriceRange
        Pipe of that size in place, a foot. A size between two listed ones takes the larger one's price.
    visit : PriceRange
        The gas fitter's least charge with tie-in and pressure test, once a job.
    connector : PriceRange
        Shutoff, sediment trap and connector at the appliance.
    utility : PriceRange
        The utility's change of meter or regulator.
    line_regulator : PriceRange, optional
        A line regulator in place; not counted, and said so, without.
    """

    per_ft: Mapping[str, PriceRange]
    visit: PriceRange
    connector: PriceRange
    utility: PriceRange
    line_regulator: PriceRange | None = None

    def pipe(self, material: str, size: str, length_ft: float) -> tuple[PriceRange, tuple[Finding, ...]]:
        """Price of a run, and a caution where the list ends below its size."""
        wanted = _inches(gas_pipe.nominal_like(material, size))
        listed = sorted(self.per_ft, key=_inches)
        enough = next((nominal for nominal in listed if _inches(nominal) >= wanted), None)
        cautions = () if enough else (care("gas.price.above_list", size=listed[-1]),)
        return self.per_ft[enough or listed[-1]].times(length_ft), cautions


def _inches(nominal: str) -> float:
    """``1-1/4`` as 1.25."""
    total = 0.0
    for part in nominal.split("-"):
        top, _, bottom = part.partition("/")
        total += float(top) / float(bottom or 1)
    return total


class Change(Protocol):
    """One change to a tree."""

    def on(self, system: GasSystem) -> GasSystem:
        """The tree after the change."""


@dataclass(frozen=True)
class Resize:
    """A segment replaced by a larger size."""

    segment: str
    size: str

    def on(self, system: GasSystem) -> GasSystem:
        """The tree after the change."""
        changed = (
            replace(segment, size=self.size) if segment.name == self.segment else segment for segment in system.segments
        )
        return replace(system, segments=tuple(changed))


@dataclass(frozen=True)
class NewRun:
    """An appliance moved to a new pipe of its own; the old branch is capped."""

    outlet: str
    segment: GasSegment

    def on(self, system: GasSystem) -> GasSystem:
        """The tree after the change."""
        moved = (
            replace(outlet, segment=self.segment.name) if outlet.name == self.outlet else outlet
            for outlet in system.outlets
        )
        return replace(system, segments=(*system.segments, self.segment), outlets=tuple(moved))


@dataclass(frozen=True)
class Delivery:
    """Another delivery pressure from the utility, the drop it allows, and any line regulators it needs."""

    pressure_inwc: float
    drop_inwc: float
    regulators: tuple[LineRegulator, ...] = ()

    def on(self, system: GasSystem) -> GasSystem:
        """The tree after the change."""
        return replace(
            system,
            supply_pressure_inwc=self.pressure_inwc,
            allowed_drop_inwc=self.drop_inwc,
            regulators=(*system.regulators, *self.regulators),
        )


@dataclass(frozen=True)
class SmallerInput:
    """An appliance with a smaller burner."""

    outlet: str
    input_btuh: float

    def on(self, system: GasSystem) -> GasSystem:
        """The tree after the change."""
        changed = (
            replace(outlet, input_btuh=self.input_btuh) if outlet.name == self.outlet else outlet
            for outlet in system.outlets
        )
        return replace(system, outlets=tuple(changed))


@dataclass(frozen=True)
class LargerMeter:
    """The meter exchanged by the utility."""

    capacity_cfh: float

    def on(self, system: GasSystem) -> GasSystem:
        """The tree after the change."""
        return replace(system, meter_capacity_cfh=self.capacity_cfh)


@dataclass(frozen=True)
class WayOut:
    """A set of changes after which the piping passes, with its price and the check that proves it."""

    kind: str
    title: Finding
    changes: tuple[Change, ...]
    price: PriceRange
    notes: tuple[Finding, ...]
    check: GasCheck


def apply(system: GasSystem, way: WayOut | Sequence[Change]) -> GasSystem:
    """The tree after a way out, or after a list of changes; the given tree stays as it is."""
    changes = way.changes if isinstance(way, WayOut) else way
    return reduce(lambda tree, change: change.on(tree), changes, system)


def offer(
    system: GasSystem,
    kind: str,
    title: Finding,
    changes: Sequence[Change],
    price: PriceRange,
    notes: Sequence[Finding],
    rule: Rule,
) -> WayOut | None:
    """A way out if the changed tree passes the whole check again, else nothing."""
    if not changes:
        return None
    try:
        result = check(apply(system, changes), rule)
    except OutOfRangeError:
        # Changed like this the tree would lie outside the tables.
        return None
    meters = [change for change in changes if isinstance(change, LargerMeter)]
    told = (*notes, *(care("gas.way.meter_too", capacity_cfh=change.capacity_cfh) for change in meters))
    return WayOut(kind, title, tuple(changes), price, tuple(dict.fromkeys(told)), result) if result.passes else None
