"""The gas piping of a house as a tree: segments from the meter outward, appliances at their ends, loads.

A tree that cannot be gas piping is refused when it is made, in one sentence that names the segment.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from advisor.case.usual import usual
from advisor.core.errors import InputError, OutOfRangeError
from advisor.core.findings import Finding, Value, note
from advisor.core.units import INWC_PER_PSI
from advisor.house.gas import flow as gas_flow
from advisor.house.gas import pipe as gas_pipe

#: What the first segment after the meter (or the propane regulator) names as its upstream.
SOURCE = "source"

HEATER = "water heater"
TRUNK, HEATER_BRANCH = "trunk", "heater branch"
#: Names that trees from simple answers bear; a typed tree has its own.
_BUILT_IN = (HEATER, TRUNK, HEATER_BRANCH) + tuple(
    f"{name}{end}" for name in ("furnace", "range", "dryer", "fireplace") for end in ("", " branch")
)
#: A 2 psi table may not be used when the line regulator itself loses more (footnote of those tables).
MOST_REGULATOR_LOSS_INWC = 0.75 * INWC_PER_PSI

_SUPPLY_RANGE_INWC = (3.0, 10.0 * INWC_PER_PSI)
_TABLE_LEAVES_INWC = 5.0
# Half a psi: above it the meter's own pressure is left out of the count of actual cubic feet, to be careful.
LOW_METER_INWC = 0.5 * INWC_PER_PSI


def called(name: str) -> Value:
    """A name as it stands in a sentence: in the reader's language where it is one of ours, else as it was typed."""
    return note(f"gas.name.{name.replace(' ', '_')}") if name in _BUILT_IN else name


@dataclass(frozen=True)
class GasSegment:
    """A run of one pipe size with no branch inside it.

    Parameters
    ----------
    name : str
        What the household would call it.
    upstream : str
        Name of the segment that feeds it, or ``source``.
    material, size : str
        ``steel`` and ``3/4``, ``csst`` and ``23``; see ``gas_pipe.materials`` and ``gas_pipe.sizes``.
    length_ft : float
        Measured length. [ft]
    elbows_90, elbows_45, tees : int
        Fittings; a tee counts where the gas turns into its side.
    extra_equivalent_ft : float
        Anything else, such as valves, as straight pipe. [ft]
    """

    name: str
    upstream: str
    material: str
    size: str
    length_ft: float
    elbows_90: int = 0
    elbows_45: int = 0
    tees: int = 0
    extra_equivalent_ft: float = 0.0

    def __post_init__(self) -> None:
        if not self.name or self.name == SOURCE:
            raise InputError("gas.segments", self.name, "a run cannot have this name", "name it after where it runs")
        if self.material not in gas_pipe.materials():
            known = ", ".join(gas_pipe.materials())
            reason, fix = "material '{material}' is not known", "write one of {known}"
            raise InputError("gas.segments", self.name, reason, fix, material=self.material, known=known)
        if self.size not in gas_pipe.sizes(self.material):
            known = ", ".join(gas_pipe.sizes(self.material))
            reason, fix = "{material} is not listed in size '{size}'", "write one of {known}"
            raise InputError(
                "gas.segments", self.name, reason, fix, material=self.material, size=self.size, known=known
            )
        if not (math.isfinite(self.length_ft) and self.length_ft > 0):
            reason = "a length of {length_ft:g} ft cannot be; it must be above zero"
            raise InputError("gas.segments", self.name, reason, "measure the run in feet", length_ft=self.length_ft)
        for count in (self.elbows_90, self.elbows_45, self.tees, self.extra_equivalent_ft):
            if not (math.isfinite(count) and count >= 0):
                reason, fix = "{count:g} fittings cannot be", "count them, or give 0"
                raise InputError("gas.segments", self.name, reason, fix, count=count)

    @cached_property
    def equivalent_ft(self) -> float:
        """Length with fittings counted as straight pipe. [ft]"""
        fittings = gas_pipe.fittings_ft(self.material, self.size, self.elbows_90, self.elbows_45, self.tees)
        return self.length_ft + fittings + self.extra_equivalent_ft

    @property
    def named(self) -> Finding:
        """The segment as it stands in a sentence: ``'trunk' (1 in. steel)``."""
        return note("gas.segment", name=called(self.name), pipe=gas_pipe.named(self.material, self.size))


@dataclass(frozen=True)
class GasOutlet:
    """An appliance at the far end of a segment.

    Parameters
    ----------
    name, segment : str
        The appliance, and the segment at whose end it stands.
    input_btuh : float
        Full input of the burner. [Btu/h]
    min_inlet_inwc, max_inlet_inwc : float, optional
        Pressures on its plate; without them the usual least pressure, and no upper limit. [in. w.c.]
    """

    name: str
    segment: str
    input_btuh: float
    min_inlet_inwc: float | None = None
    max_inlet_inwc: float | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.input_btuh) and self.input_btuh > 0):
            raise InputError("gas.outlets", self.name, "it has no gas input", "give the Btu/h on its rating plate")
        low, high = self.min_inlet_inwc or 0.0, self.max_inlet_inwc
        if low < 0 or (high is not None and high <= low):
            reason = "the largest inlet pressure must be above the smallest, and neither below 0"
            raise InputError("gas.outlets", self.name, reason, "read both on the plate")


@dataclass(frozen=True)
class LineRegulator:
    """A regulator at the far end of a segment, which feeds everything beyond at a lower pressure.

    Parameters
    ----------
    segment : str
        The segment it ends.
    outlet_inwc : float
        Pressure it holds. [in. w.c.]
    own_loss_inwc : float
        Pressure it needs between inlet and outlet at its load. [in. w.c.]
    allowed_drop_inwc : float, optional
        Drop allowed beyond it, for the tables; the usual one without. [in. w.c.]
    capacity_cfh : float, optional
        What it passes. [ft³/h]
    """

    segment: str
    outlet_inwc: float
    own_loss_inwc: float
    allowed_drop_inwc: float | None = None
    capacity_cfh: float | None = None


def check_drop(gas: str, supply_inwc: float, drop_inwc: float | None) -> None:
    """Refuse a drop that no printed table offers at this supply (intended-use headings of the tables)."""
    if drop_inwc is None:
        return
    if not 0 < drop_inwc < supply_inwc:
        raise InputError("gas.allowed_drop_inwc", drop_inwc, "it must be less than the supply", "give less")
    if gas_pipe.is_high_pressure(supply_inwc) or drop_inwc <= 0.5:
        return
    if gas == "propane":
        raise OutOfRangeError(
            "gas.allowed_drop_inwc",
            drop_inwc,
            "low-pressure propane tables allow 0.5 in. w.c.",
            "give 0.5",
        )
    if supply_inwc - drop_inwc < _TABLE_LEAVES_INWC - 1e-9:
        raise OutOfRangeError(
            "gas.allowed_drop_inwc",
            drop_inwc,
            "from a supply of {supply:g} in. w.c. it leaves less than 5 at the appliance",
            "use 0.5 below 8 in. w.c., 3.0 from 8 and 6.0 from 11",
            supply=supply_inwc,
        )


@dataclass(frozen=True)
class GasSystem:
    """Everything between the meter and the appliances.

    Parameters
    ----------
    gas : str
        ``natural`` or ``propane``.
    supply_pressure_inwc : float
        Pressure at the meter's outlet, or after the propane regulator; 2 psi is 55.4. [in. w.c.]
    segments, outlets : tuple
        The tree.
    allowed_drop_inwc : float, optional
        Drop allowed by the table used; the usual one for the supply without. [in. w.c.]
    regulators : tuple of LineRegulator
        Line regulators inside the house.
    heating_value_btu_per_ft3 : float, optional
        Heat in a cubic foot at base conditions. [Btu/ft³]
    elevation_ft : float
        Height above sea level, where a cubic foot holds less gas. [ft]
    gravity : float, optional
        Specific gravity, air = 1, where it is not 0.60 or 1.50. [-]
    meter_capacity_cfh : float, optional
        What the meter passes, from its badge or ``gas_flow.meter_capacity_cfh``; unknown without. [ft³/h]

    Raises
    ------
    InputError
        Not a tree, or a value that cannot be.
    OutOfRangeError
        A supply above 10 psi or below 3 in. w.c., or a drop for which no table was printed.
    """

    gas: str
    supply_pressure_inwc: float
    segments: tuple[GasSegment, ...]
    outlets: tuple[GasOutlet, ...]
    allowed_drop_inwc: float | None = None
    regulators: tuple[LineRegulator, ...] = ()
    heating_value_btu_per_ft3: float | None = None
    elevation_ft: float = 0.0
    gravity: float | None = None
    meter_capacity_cfh: float | None = None

    def __post_init__(self) -> None:
        for name in ("segments", "outlets", "regulators"):
            object.__setattr__(self, name, tuple(getattr(self, name)))
        gas_pipe.gas_named(self.gas)
        self._check_values()
        self._check_tree()
        self._check_regulators()

    def with_sizes(self, sizes: Mapping[str, str]) -> GasSystem:
        """The same tree with other sizes of the segments that are named."""
        resized = (replace(run, size=sizes.get(run.name, run.size)) for run in self.segments)
        return replace(self, segments=tuple(resized))

    def _check_values(self) -> None:
        low, high = _SUPPLY_RANGE_INWC
        if not low <= self.supply_pressure_inwc <= high:
            raise OutOfRangeError(
                "gas.supply_pressure_inwc",
                self.supply_pressure_inwc,
                "the methods here cover 3 in. w.c. to 10 psi (277 in. w.c.)",
                "check the unit, or have the piping designed",
            )
        bounds = {
            "gas.heating_value_btu_per_ft3": (
                self.heating_value_btu_per_ft3,
                500,
                3500,
                "give Btu per cubic foot",
            ),
            "place.elevation_ft": (self.elevation_ft, -500, 14_000, "give it in feet above sea level"),
            "gravity": (self.gravity, 0.3, 2.5, "give it against air = 1"),
            "meter_capacity_cfh": (self.meter_capacity_cfh, 1, 1e5, "read it on the meter's badge"),
        }
        for field, (value, least, most, fix) in bounds.items():
            if value is not None and not least <= value <= most:
                reason = "it must lie between {least:,} and {most:,}"
                raise InputError(field, value, reason, fix, least=least, most=most)
        check_drop(self.gas, self.supply_pressure_inwc, self.allowed_drop_inwc)

    def _check_tree(self) -> None:
        feeds: dict[str, str] = {}
        for segment in self.segments:
            if segment.name in feeds:
                twice = feeds[segment.name] == segment.upstream
                reason = "the name stands twice" if twice else "it is fed from two places"
                raise InputError("gas.segments", segment.name, reason, "give each run its own name")
            feeds[segment.name] = segment.upstream
        for name in feeds:
            self._check_route(name, feeds)
        names = [outlet.name for outlet in self.outlets]
        for outlet in self.outlets:
            if names.count(outlet.name) > 1:
                fix = "give each appliance its own name"
                raise InputError("gas.outlets", outlet.name, "the name stands twice", fix)
            if outlet.segment not in feeds:
                reason, fix = "there is no run '{run}'", "name the run at whose end it stands"
                raise InputError("gas.outlets", outlet.name, reason, fix, run=outlet.segment)
        if not self.outlets:
            raise InputError("gas.outlets", None, "there are none", "list everything that burns gas")

    @staticmethod
    def _check_route(name: str, feeds: dict[str, str]) -> None:
        """Walk from a segment to the source: it must get there, and pass no segment twice."""
        route = [name]
        while (upstream := feeds[route[-1]]) != SOURCE:
            if upstream not in feeds:
                reason, fix = "the run that feeds it, '{run}', is not listed", "name one, or '{source}'"
                raise InputError("gas.segments", route[-1], reason, fix, run=upstream, source=SOURCE)
            if upstream in route:
                circle = " <- ".join([*route[route.index(upstream) :], upstream])
                reason, fix = "the pipe runs in a circle: {circle}", "feed it from the meter's side"
                raise InputError("gas.segments", route[-1], reason, fix, circle=circle)
            route.append(upstream)

    def _check_regulators(self) -> None:
        seen: set[str] = set()
        for regulator in self.regulators:
            here = regulator.segment
            if here not in self.by_name or here in seen:
                raise InputError("gas.regulators", here, "one run needs one regulator", "name the run that it ends")
            seen.add(here)
            inlet = self.zone_inwc(self.zone(here))
            if not 0 < regulator.outlet_inwc < inlet:
                reason = "it cannot hold {outlet:g} in. w.c. where {inlet:g} feed it"
                raise InputError(
                    "gas.regulators", here, reason, "check the unit", outlet=regulator.outlet_inwc, inlet=inlet
                )
            if not 0 <= regulator.own_loss_inwc < inlet:
                reason = "it cannot lose {loss:g} in. w.c. where {inlet:g} feed it"
                raise InputError(
                    "gas.regulators", here, reason, "read its table", loss=regulator.own_loss_inwc, inlet=inlet
                )
            check_drop(self.gas, regulator.outlet_inwc, regulator.allowed_drop_inwc)

    @cached_property
    def by_name(self) -> dict[str, GasSegment]:
        """Segments by name."""
        return {segment.name: segment for segment in self.segments}

    @cached_property
    def regulator_at(self) -> dict[str, LineRegulator]:
        """Line regulators by the segment that they end."""
        return {regulator.segment: regulator for regulator in self.regulators}

    def path(self, name: str) -> tuple[str, ...]:
        """Names of the segments from the source to this one."""
        found = self._paths.get(name)
        if found is None:
            upstream = self.by_name[name].upstream
            found = self._paths[name] = (name,) if upstream == SOURCE else (*self.path(upstream), name)
        return found

    @cached_property
    def _paths(self) -> dict[str, tuple[str, ...]]:
        return {}

    @cached_property
    def order(self) -> tuple[str, ...]:
        """Every segment, feeders before what they feed."""
        return tuple(sorted(self.by_name, key=lambda name: len(self.path(name))))

    def zone(self, name: str) -> str:
        """The segment whose end regulator feeds this one, or ``source``."""
        return self._zones[name]

    @cached_property
    def _zones(self) -> dict[str, str]:
        zones: dict[str, str] = {}
        for name in self.order:
            upstream = self.by_name[name].upstream
            zones[name] = upstream if upstream == SOURCE or upstream in self.regulator_at else zones[upstream]
        return zones

    def outlet_zone(self, outlet: GasOutlet) -> str:
        """As ``zone``; an appliance on a segment that ends in a regulator stands behind it."""
        return outlet.segment if outlet.segment in self.regulator_at else self.zone(outlet.segment)

    def zone_inwc(self, zone: str) -> float:
        """Pressure that feeds a zone when no gas flows. [in. w.c.]"""
        return self.supply_pressure_inwc if zone == SOURCE else self.regulator_at[zone].outlet_inwc

    def zone_drop_inwc(self, zone: str) -> float:
        """Pressure drop that the tables may use up in a zone. [in. w.c.]"""
        given = self.allowed_drop_inwc if zone == SOURCE else self.regulator_at[zone].allowed_drop_inwc
        return given or gas_pipe.usual_drop_inwc(self.gas, self.zone_inwc(zone))

    @cached_property
    def btu_per_actual_ft3(self) -> float:
        """Heat in a cubic foot as it flows here; never more than at base conditions. [Btu/ft³]"""
        gauge = min(self.supply_pressure_inwc, LOW_METER_INWC)
        share = min(1.0, float(gas_flow.actual_ft3_frac(self.elevation_ft, gauge)))
        return share * (self.heating_value_btu_per_ft3 or gas_pipe.gas_named(self.gas).heating_value_btu_per_ft3)

    @cached_property
    def loads_cfh(self) -> dict[str, float]:
        """Gas through each segment with every appliance at full fire. [ft³/h]"""
        loads = dict.fromkeys(self.by_name, 0.0)
        for outlet in self.outlets:
            for name in self.path(outlet.segment):
                loads[name] += outlet.input_btuh / self.btu_per_actual_ft3
        return loads

    @property
    def total_cfh(self) -> float:
        """Gas through the meter with every appliance at full fire. [ft³/h]"""
        return sum(outlet.input_btuh for outlet in self.outlets) / self.btu_per_actual_ft3

    def min_inlet_inwc(self, outlet: GasOutlet) -> float:
        """Least pressure the appliance needs. [in. w.c.]"""
        given = outlet.min_inlet_inwc
        return float(usual("gas.outlets.min_inlet_inwc", self.gas)) if given is None else given
