"""The pressure at every gas appliance with all of them at full fire, and the verdict on the piping.

The calculation follows the pressure from the meter outward, segment by segment. It is less strict than
the tables where the supply is high and stricter where it is low, so both are shown.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from advisor.core.verdicts import FITS, NEEDS_WORK, HouseVerdict
from advisor.house.gas import pipe as gas_pipe
from advisor.house.gas.sizing import (
    EQUAL,
    CapacityCheck,
    TableSizing,
    by_branch_length,
    notes,
    regulator_checks,
    too_small,
)
from advisor.house.gas.tree import SOURCE, GasOutlet, GasSegment, GasSystem

Rule = Literal["tables", "pressure"]


@dataclass(frozen=True)
class SegmentPressure:
    """Pressure along one segment with everything firing."""

    segment: GasSegment
    load_cfh: float
    inlet_inwc: float
    drop_inwc: float
    outlet_inwc: float


@dataclass(frozen=True)
class OutletPressure:
    """Pressure at one appliance: with everything firing, and with everything off."""

    outlet: GasOutlet
    load_cfh: float
    inlet_inwc: float
    min_inlet_inwc: float
    static_inwc: float

    @property
    def margin_inwc(self) -> float:
        """What arrives above what is needed. [in. w.c.]"""
        return self.inlet_inwc - self.min_inlet_inwc

    @property
    def too_high(self) -> bool:
        """Whether the pressure with everything off is above the appliance's limit."""
        limit = self.outlet.max_inlet_inwc
        return limit is not None and self.static_inwc > limit + EQUAL

    @property
    def passes(self) -> bool:
        """Whether the pressure lies between the appliance's limits."""
        return self.margin_inwc >= -EQUAL and not self.too_high


@dataclass(frozen=True)
class PressureResult:
    """The pressure calculation of the whole house."""

    segments: tuple[SegmentPressure, ...]
    outlets: tuple[OutletPressure, ...]
    meter: CapacityCheck
    regulators: tuple[CapacityCheck, ...]
    finding: str
    notes: tuple[str, ...]

    @property
    def worst(self) -> OutletPressure:
        """The appliance with the least margin."""
        return min(self.outlets, key=lambda item: item.margin_inwc)

    @property
    def passes(self) -> bool:
        """Whether every appliance, the meter and every line regulator is served."""
        served = all(o.passes for o in self.outlets) and all(r.passes for r in self.regulators)
        return served and self.meter.passes

    def outlet(self, name: str) -> OutletPressure:
        """The result of one appliance."""
        return next(item for item in self.outlets if item.outlet.name == name)


@dataclass(frozen=True)
class GasCheck:
    """Both answers and the verdict."""

    by_length: TableSizing
    pressure: PressureResult
    passes: bool
    verdict: HouseVerdict
    finding: str


@lru_cache(maxsize=1024)
def by_pressure(system: GasSystem) -> PressureResult:
    """Follow the pressure from the meter to every appliance with all of them at full fire.

    Parameters
    ----------
    system : GasSystem

    Returns
    -------
    PressureResult
        A pipe that cannot carry its load leaves 0 in. w.c. beyond it. The upper limit of an appliance is held
        against the pressure with everything off, which is when it is highest.

    Sources
    -------
    The equations of ``gas_flow``; IFGC 2018 Appendix A.3.4 (pressure drop) and A.1 (pressure at the inlet).
    """
    leaves: dict[str, float] = {SOURCE: system.supply_pressure_inwc}
    segments, steep = [], []
    for name in system.order:
        segment, load = system.by_name[name], system.loads_cfh[name]
        feed = system.zone_inwc(system.zone(name))
        law = gas_pipe.pipe_law(system.gas, segment.material, segment.size, feed, system.gravity)
        inlet = leaves[segment.upstream]
        drop = min(inlet, law.drop_inwc(load, segment.equivalent_ft, inlet))
        segments.append(SegmentPressure(segment, load, inlet, drop, inlet - drop))
        if drop > law.fall_range[1] * segment.equivalent_ft:
            steep.append(f"In {segment.shown} the pressure falls faster than the tables behind it go: a guess.")
        leaves[name] = inlet - drop
        if name in system.regulator_at:
            regulator = system.regulator_at[name]
            leaves[name] = max(0.0, min(regulator.outlet_inwc, inlet - drop - regulator.own_loss_inwc))
    outlets = tuple(
        OutletPressure(
            outlet,
            outlet.input_btuh / system.btu_per_actual_ft3,
            leaves[outlet.segment],
            system.min_inlet_inwc(outlet),
            system.zone_inwc(system.outlet_zone(outlet)),
        )
        for outlet in system.outlets
    )
    meter = CapacityCheck("gas meter", system.total_cfh, system.meter_capacity_cfh)
    regulators = regulator_checks(system)
    finding = _pressure_finding(outlets, (meter, *regulators))
    return PressureResult(tuple(segments), outlets, meter, regulators, finding, (*steep, *notes(system)))


def _pressure_finding(outlets: Sequence[OutletPressure], checks: Sequence[CapacityCheck]) -> str:
    worst = min(outlets, key=lambda item: item.margin_inwc)
    name, arrives, needs = worst.outlet.name, worst.inlet_inwc, worst.min_inlet_inwc
    if not worst.margin_inwc >= -EQUAL:
        return f"With everything firing, about {arrives:.1f} in. w.c. reaches '{name}', which needs {needs:g}."
    for item in outlets:
        if item.too_high:
            return (
                f"With everything off, '{item.outlet.name}' stands at {item.static_inwc:.1f} in. w.c.; "
                f"its limit is {item.outlet.max_inlet_inwc:g}."
            )
    for check in checks:
        if not check.passes:
            return too_small(check)
    return (
        f"With everything firing, every appliance gets enough pressure; the least to spare is at '{name}': "
        f"about {arrives:.1f} in. w.c. arrives and {needs:g} is needed."
    )


def check(system: GasSystem, rule: Rule = "tables") -> GasCheck:
    """Judge the piping by the tables and by pressure.

    Parameters
    ----------
    system : GasSystem
    rule : {"tables", "pressure"}
        ``tables`` asks for both: the branch-length tables that an inspector is likely to read, and
        enough pressure at every appliance. ``pressure`` asks for the pressure alone, which
        a code official may accept.

    Returns
    -------
    GasCheck
        It fits or needs work.
    """
    by_length, pressure = by_branch_length(system), by_pressure(system)
    passes = pressure.passes and (rule == "pressure" or by_length.passes)
    finding = pressure.finding
    if rule == "tables" and not by_length.passes:
        aside = "By calculation every appliance would still get enough pressure; the code official decides."
        finding = f"{by_length.finding} {aside}" if pressure.passes else f"{finding} {by_length.finding}"
    return GasCheck(by_length, pressure, passes, FITS if passes else NEEDS_WORK, finding)
