"""The pressure at every gas appliance with all of them at full fire, and the verdict on the piping.

The calculation follows the pressure from the meter outward, segment by segment. It is less strict than
the tables where the supply is high and stricter where it is low, so both are shown.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

from advisor.core.findings import Finding, care, note
from advisor.core.verdicts import FITS, NEEDS_WORK, HouseVerdict
from advisor.house.gas import pipe as gas_pipe
from advisor.house.gas.sizing import (
    EQUAL,
    CapacityCheck,
    TableSizing,
    by_branch_length,
    notes,
    regulator_checks,
    told_heat_btu_per_ft3,
)
from advisor.house.gas.tree import SOURCE, GasOutlet, GasSegment, GasSystem, called

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
    finding: Finding
    notes: tuple[Finding, ...]

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
    """Both answers and the verdict; ``by_consent`` where only the official's consent makes it pass."""

    by_length: TableSizing
    pressure: PressureResult
    passes: bool
    verdict: HouseVerdict
    findings: tuple[Finding, ...]
    by_consent: bool = False


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
            steep.append(care("gas.pressure.steep", segment=segment.named))
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
    heat = told_heat_btu_per_ft3(system)
    meter = CapacityCheck(system.total_cfh, system.meter_capacity_cfh, heat_btu_per_ft3=heat)
    regulators = regulator_checks(system)
    finding = _pressure_finding(outlets, (meter, *regulators))
    return PressureResult(tuple(segments), outlets, meter, regulators, finding, (*steep, *notes(system)))


def _pressure_finding(outlets: Sequence[OutletPressure], checks: Sequence[CapacityCheck]) -> Finding:
    worst = min(outlets, key=lambda item: item.margin_inwc)
    at_worst: dict[str, Any] = {
        "name": called(worst.outlet.name),
        "arrives_inwc": worst.inlet_inwc,
        "needs_inwc": worst.min_inlet_inwc,
    }
    if not worst.margin_inwc >= -EQUAL:
        return care("gas.pressure.too_little", "IFGC 2018 Appendix A.1", **at_worst)
    for item in outlets:
        limit = item.outlet.max_inlet_inwc
        if limit is not None and item.too_high:
            name = called(item.outlet.name)
            return care("gas.pressure.too_high", name=name, static_inwc=item.static_inwc, limit_inwc=limit)
    short = (check.shortfall for check in checks if not check.passes)
    return next(short, note("gas.pressure.enough", "IFGC 2018 Appendix A.1", **at_worst))


def check(system: GasSystem, rule: Rule = "tables") -> GasCheck:
    """Judge the piping by the tables and by pressure.

    Parameters
    ----------
    system : GasSystem
    rule : {"tables", "pressure"}
        ``tables`` asks for both: the branch-length tables that an inspector is likely to read, and
        enough pressure at every appliance. ``pressure`` asks for the pressure alone, which
        a code official may accept: what passes only so needs the official's consent, and says so.

    Returns
    -------
    GasCheck
        It fits or needs work.
    """
    by_length, pressure = by_branch_length(system), by_pressure(system)
    passes = pressure.passes and (rule == "pressure" or by_length.passes)
    findings: tuple[Finding, ...] = (pressure.finding,)
    if rule == "tables" and not by_length.passes:
        by_calculation = (by_length.finding, note("gas.pressure.official_decides"))
        findings = by_calculation if pressure.passes else (pressure.finding, by_length.finding)
    by_consent = passes and not by_length.passes
    if by_consent:
        findings = (care("gas.pressure.consent", "IFGC 2018 402.3"), pressure.finding, by_length.finding)
    verdict = FITS if passes and not by_consent else NEEDS_WORK
    return GasCheck(by_length, pressure, passes, verdict, findings, by_consent)
