"""The gas line for a candidate: the tree from the case, the check, and the ways out with their prices."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache, lru_cache

from advisor.errors import InputError
from advisor.heaters.catalogue import Heater
from advisor.house.facts import HouseFacts
from advisor.house.gas import pipe, piping
from advisor.house.gas.piping import (
    GasCheck,
    GasOutlet,
    GasPrices,
    GasSegment,
    GasSystem,
    LineRegulator,
    PriceRange,
    WayOut,
)
from advisor.house.items import OtherWay, TradeCheck, WorkItem, item, price
from advisor.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK

HEATER = piping.HEATER
#: Ways out that change neither the heater nor what the utility delivers: what a contractor prices first.
_PRICED_FIRST = frozenset({"larger pipe", "dedicated run", "larger meter"})
_USUAL_BRANCH_FT = 20.0
_LARGE_BURNER_BTUH = 75_000.0
_CLOSE_INWC = 0.5


@dataclass(frozen=True)
class GasDetail:
    """The tree as it would be with the candidate, its check, and every way out."""

    system: GasSystem
    check: GasCheck
    ways: tuple[WayOut, ...]


def check_gas(heater: Heater, facts: HouseFacts) -> TradeCheck | None:
    """Whether the gas line carries a candidate; None for a heater that burns no gas.

    Parameters
    ----------
    heater : Heater
        The candidate; several in parallel count together.
    facts : HouseFacts
        The house.

    Raises
    ------
    InputError
        The tree in the case cannot be; the segment or appliance is named.
    """
    if heater.fuel not in {"natural_gas", "propane"}:
        return None
    system, assumed = gas_system(heater, facts)
    check = piping.check(system)
    connect = item("gas-trap-and-valve", "a new gas appliance is connected")
    jobs: list[WorkItem] = [connect, *_new_branch(heater, facts, system), *_supply_jobs(heater)]
    cautions = ("gas_supply",) if heater.is_tankless else ()
    if check.passes:
        verdict = FITS if len(jobs) == 1 else NEEDS_WORK
        return TradeCheck(
            "gas", check.finding, verdict, tuple(jobs), cautions, assumed, (), GasDetail(system, check, ())
        )
    ways = _ways_out(system, facts.gas.branch_ft)
    chosen = _chosen(ways)
    others = tuple(_other(way) for way in ways if way is not chosen)
    detail = GasDetail(system, check, ways)
    if chosen is None:
        finding = f"{check.finding} No change that we can work out mends it: a gas fitter must see the house."
        return TradeCheck("gas", finding, DOES_NOT_FIT, tuple(jobs), cautions, assumed, others, detail)
    jobs.append(_way_item(chosen, check, is_assumed=bool(assumed)))
    return TradeCheck("gas", check.finding, NEEDS_WORK, tuple(jobs), cautions, assumed, others, detail)


def gas_system(heater: Heater, facts: HouseFacts) -> tuple[GasSystem, tuple[str, ...]]:
    """The house's gas tree with the candidate on it, and what was assumed.

    Inputs are those that burners have at this height; the pipe meets the actual, thinner gas.
    """
    burns = heater.power_btuh * heater.n_units * facts.altitude_frac
    if facts.gas.segments or facts.gas.outlets:
        return _measured_system(burns, heater, facts), ()
    gas, case = facts.gas, facts.case
    for key, size in (("gas.branch_size_in", gas.branch_size_in), ("gas.trunk_size_in", gas.trunk_size_in)):
        if size is not None and size not in (listed := pipe.sizes(gas.material)):
            raise InputError(key, size, f"{gas.material} is not listed in this size", f"use one of {', '.join(listed)}")
    others = {
        "furnace": gas.furnace_btuh, "range": gas.range_btuh, "dryer": gas.dryer_btuh, "fireplace": gas.fireplace_btuh,
    }  # fmt: skip
    existing = {name: load * facts.altitude_frac for name, load in others.items() if load is not None}
    if gas.furnace_btuh is None and case.house.heating_fuel in {heater.fuel, None} and case.house.uses_gas_otherwise:
        existing["furnace"] = None  # type: ignore[assignment]
    tree = _default_tree(
        _kind(heater),
        tuple(existing.items()),
        burns,
        heater_branch_size=gas.branch_size_in,
        heater_branch_ft=gas.branch_ft,
        trunk_size=gas.trunk_size_in,
        trunk_ft=gas.trunk_ft,
        material=gas.material,
        supply_pressure_inwc=gas.supply_pressure_inwc,
        old_heater_input_btuh=case.failed.input_btuh if case.failed.fuel == heater.fuel else None,
        heater_min_inlet_inwc=heater.min_inlet_inwc,
        meter_class=gas.meter_class,
        place=facts.us_state,
        elevation_ft=facts.elevation_ft,
    )
    return tree.system, tree.assumed


@lru_cache(maxsize=512)
def _default_tree(kind: str, existing: tuple[tuple[str, float | None], ...], burns: float, **known: object):  # type: ignore[no-untyped-def]
    return piping.default_tree(kind, dict(existing), burns, **known)  # type: ignore[arg-type]


def _kind(heater: Heater) -> str:
    return "natural" if heater.fuel == "natural_gas" else "propane"


def _measured_system(burns: float, heater: Heater, facts: HouseFacts) -> GasSystem:
    gas = facts.gas
    if HEATER not in {outlet.name for outlet in gas.outlets}:
        raise InputError(
            "gas.outlets", None, f"none of the gas appliances is called {HEATER!r}",
            f"name the one that is being replaced {HEATER!r}",
        )  # fmt: skip
    segments = tuple(
        GasSegment(run.name, run.upstream, run.material, run.size_in, run.length_ft, run.elbows_90, run.elbows_45,
                   run.tees, run.extra_ft)
        for run in gas.segments
    )  # fmt: skip
    outlets = tuple(
        GasOutlet(HEATER, load.segment, burns, heater.min_inlet_inwc, load.max_inlet_inwc)
        if load.name == HEATER
        else GasOutlet(load.name, load.segment, load.input_btuh * facts.altitude_frac, load.min_inlet_inwc,
                       load.max_inlet_inwc)
        for load in gas.outlets
    )  # fmt: skip
    regulators = tuple(LineRegulator(one.segment, one.outlet_inwc, one.own_loss_inwc) for one in gas.regulators)
    plain = _default_tree(
        _kind(heater), (), burns, supply_pressure_inwc=gas.supply_pressure_inwc, meter_class=gas.meter_class,
        place=facts.us_state, elevation_ft=facts.elevation_ft,
    ).system  # fmt: skip
    return replace(plain, segments=segments, outlets=outlets, regulators=regulators)


@cache
def _prices() -> GasPrices:
    def priced(job: str) -> PriceRange:
        return PriceRange(*price(job))

    return GasPrices(
        per_ft={"3/4": priced("gas-branch-3-4"), "1": priced("gas-branch-1")},
        visit=priced("gas-call-out"),
        connector=priced("gas-trap-and-valve"),
        utility=priced("gas-meter"),
    )


@lru_cache(maxsize=512)
def _ways_out(system: GasSystem, dedicated_ft: float | None) -> tuple[WayOut, ...]:
    del dedicated_ft  # the route from the meter is not the branch's length; the present route stands in
    return piping.ways_out(system, HEATER, _prices())


def _chosen(ways: tuple[WayOut, ...]) -> WayOut | None:
    """The cheapest way that leaves the heater as it is, preferring one that does not wait for the utility."""
    real = [way for way in ways if way.kind != "smaller input"]
    first = [way for way in real if way.kind in _PRICED_FIRST]
    return min(first or real, key=lambda way: way.price.typical_usd, default=None)


def _way_item(way: WayOut, check: GasCheck, *, is_assumed: bool) -> WorkItem:
    slug = f"gas-{way.kind.replace(' ', '-')}"
    low, typical, high = way.price.low_usd, way.price.typical_usd, way.price.high_usd
    return WorkItem(slug, way.title, 1.0, "set", low, typical, high, check.finding.rstrip("."),
                    "licensed gas fitter or plumber", True, False, is_assumed)  # fmt: skip


def _other(way: WayOut) -> OtherWay:
    return OtherWay(way.title, way.price.low_usd, way.price.typical_usd, way.price.high_usd, way.notes, way.kind)


def _new_branch(heater: Heater, facts: HouseFacts, system: GasSystem) -> list[WorkItem]:
    """A branch where none runs to the heater yet: the failed one burned something else."""
    if facts.case.failed.fuel == heater.fuel or facts.gas.segments:
        return []
    length = facts.gas.branch_ft or _USUAL_BRANCH_FT
    size = next(segment.size for segment in system.segments if segment.name == piping.HEATER_BRANCH)
    job = "gas-branch-3-4" if size in {"1/2", "3/4"} else "gas-branch-1"
    why = "no gas pipe runs to the heater yet"
    return [item(job, why, quantity=length, assumed=facts.gas.branch_ft is None), item("gas-call-out", why)]


def _supply_jobs(heater: Heater) -> list[WorkItem]:
    if heater.fuel == "propane" and heater.power_btuh * heater.n_units > _LARGE_BURNER_BTUH:
        why = f"{heater.power_btuh * heater.n_units:,.0f} Btu/h from one regulator and tank"
        return [item("propane-supply", why, assumed=True)]
    return []
