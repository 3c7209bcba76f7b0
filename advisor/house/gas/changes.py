"""What can be done about gas piping that falls short: changes to the tree, what they cost, and the proof.

A way out is only ever made by ``offer``, which applies the changes and runs the whole check again.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from typing import Protocol

from advisor.core.errors import OutOfRangeError
from advisor.core.findings import Finding, care
from advisor.house.gas import pipe as gas_pipe
from advisor.house.gas.flow import gravity_multiplier_frac
from advisor.house.gas.pipe import gas_named
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
    line_regulators : tuple of (float, PriceRange)
        What each size of line regulator passes, and its price in place, the smallest first; not counted, and said
        so, without. [ft³/h of natural gas]
    """

    per_ft: Mapping[str, PriceRange]
    visit: PriceRange
    connector: PriceRange
    utility: PriceRange
    line_regulators: tuple[tuple[float, PriceRange], ...] = ()

    def pipe(self, material: str, size: str, length_ft: float) -> tuple[PriceRange, tuple[Finding, ...]]:
        """Price of a run, and a caution where the list ends below its size."""
        nominal, is_listed = self.priced_as(material, size)
        cautions = () if is_listed else (care("gas.price.above_list", size=nominal),)
        return self.per_ft[nominal].times(length_ft), cautions

    def priced_as(self, material: str, size: str) -> tuple[str, bool]:
        """The listed size whose price a pipe takes, and whether the list goes that far."""
        wanted = _inches(gas_pipe.nominal_like(material, size))
        listed = sorted(self.per_ft, key=_inches)
        enough = next((nominal for nominal in listed if _inches(nominal) >= wanted), None)
        return enough or listed[-1], enough is not None

    def line_regulator(self, load_cfh: float, gravity: float) -> tuple[float, PriceRange] | None:
        """The smallest line regulator for a load, several of the largest where one is too small; what they pass.

        None where the list has no line regulators.
        """
        against_natural = float(gravity_multiplier_frac(gravity, gas_named("natural").gravity))
        sized = [(against_natural * capacity, price) for capacity, price in self.line_regulators]
        for capacity, price in sized:
            if capacity >= load_cfh:
                return capacity, price
        if not sized:
            return None
        capacity, price = sized[-1]
        count = math.ceil(load_cfh / capacity)
        return capacity * count, price.times(count)


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
        return system.with_sizes({self.segment: self.size})


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
class Regulated:
    """Line regulators put in, or exchanged for larger ones, at the ends of their segments."""

    regulators: tuple[LineRegulator, ...]

    def on(self, system: GasSystem) -> GasSystem:
        """The tree after the change."""
        ends = {regulator.segment for regulator in self.regulators}
        kept = (regulator for regulator in system.regulators if regulator.segment not in ends)
        return replace(system, regulators=(*kept, *self.regulators))


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
    """The meter exchanged by the utility; ``is_listed`` where a class of household meters carries the load."""

    capacity_cfh: float
    is_listed: bool = True

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


def _meter_too(system: GasSystem, change: LargerMeter) -> Finding:
    """Who has to set which meter; propane has a supplier, who may set any."""
    if system.gas == "propane":
        return care("gas.way.meter_too.propane", capacity_btuh=change.capacity_cfh * system.btu_per_actual_ft3)
    code = "gas.way.meter_too" if change.is_listed else "gas.way.meter_unlisted"
    return care(code, capacity_cfh=change.capacity_cfh)


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
    told = (*notes, *(_meter_too(system, change) for change in meters))
    if kind != "line regulator" and any(isinstance(change, Regulated) for change in changes):
        told = (*told, care("gas.way.regulator_too"))
    return WayOut(kind, title, tuple(changes), price, tuple(dict.fromkeys(told)), result) if result.passes else None
