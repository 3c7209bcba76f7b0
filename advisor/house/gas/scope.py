"""The gas line for a candidate: the tree from the case, the check, and the ways out with their prices."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache, lru_cache

from advisor.case.base import Assumption
from advisor.case.usual import assumption, usual
from advisor.circumstances import Circumstances
from advisor.core.errors import InputError
from advisor.core.findings import plain
from advisor.core.kinds import Fuel
from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK
from advisor.heaters.catalogue import Heater
from advisor.house.facts import HouseFacts
from advisor.house.gas import pipe, piping
from advisor.house.gas.changes import LargerMeter, SmallerInput
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
from advisor.house.gas.tree import USUAL_MIN_INLET_INWC
from advisor.house.items import OtherWay, TradeCheck, WorkItem, item, price

HEATER = piping.HEATER
#: Ways out that change neither the heater nor what the utility delivers: what a contractor prices first.
_PRICED_FIRST = frozenset({"larger pipe", "dedicated run", "larger meter"})
_LARGE_BURNER_BTUH = 75_000.0
#: No heater burns less; a way out that asks for less helps nobody.
_SMALLEST_BURNER_BTUH = 25_000.0
#: Stands for "no burner was here" where the tree asks what the old heater burned.
_NO_OLD_BURNER_BTUH = 1.0
_DERATED_FRAC = 0.999


@dataclass(frozen=True)
class GasDetail:
    """The tree as it would be with the candidate, its check, and every way out."""

    system: GasSystem
    check: GasCheck
    ways: tuple[WayOut, ...]


def check_gas(heater: Heater, facts: HouseFacts, circumstances: Circumstances) -> TradeCheck | None:
    """Whether the gas line carries a candidate; None for a heater that burns no gas.

    Parameters
    ----------
    heater : Heater
        The candidate; several in parallel count together.
    facts : HouseFacts
        The house.
    circumstances : Circumstances
        What any heater meets in it.

    Raises
    ------
    InputError
        The tree in the case cannot be; the segment or appliance is named.
    """
    if not heater.fuel.is_fuel_gas:
        return None
    system, assumed = gas_system(heater, facts, circumstances)
    check = piping.check(system)
    connect = item("gas-trap-and-valve", "a new gas appliance is connected", quantity=heater.n_units)
    branch = _new_branch(heater, facts, circumstances, system)
    jobs: list[WorkItem] = [connect, *branch, *_supply_jobs(heater)]
    cautions = _cautions(heater, facts, circumstances, system)
    if check.passes:
        detail = GasDetail(system, check, ())
        verdict = FITS if len(jobs) == 1 else NEEDS_WORK
        return TradeCheck("gas", check.finding, verdict, tuple(jobs), cautions, assumed, (), detail)
    if check.pressure.passes and _asks_no_more(heater, facts):
        # Only the table falls short, and it did with the old heater: a like replacement leaves the pipe as it is.
        finding = f"The new heater asks no more of the pipe than the old one did. {check.finding}"
        detail = GasDetail(system, check, _ways_out(system))
        verdict = FITS if len(jobs) == 1 else NEEDS_WORK
        others = _others(detail.ways, None, circumstances.altitude_frac)
        return TradeCheck("gas", finding, verdict, tuple(jobs), cautions, assumed, others, detail)
    ways = _ways_out(system)
    chosen = _chosen(ways)
    others = _others(ways, chosen, circumstances.altitude_frac)
    detail = GasDetail(system, check, ways)
    if chosen is None:
        finding = f"{check.finding} No change to the pipe that we can work out mends it: a gas fitter must see it."
        return TradeCheck("gas", finding, DOES_NOT_FIT, tuple(jobs), cautions, assumed, others, detail)
    if chosen.kind == "dedicated run":
        jobs = [job for job in jobs if job not in branch]
    visited = any(job.job == "gas-call-out" for job in jobs)
    jobs += _way_items(chosen, check, is_assumed=not _is_measured(heater, facts), visit_is_priced=visited)
    return TradeCheck("gas", check.finding, NEEDS_WORK, tuple(jobs), cautions, assumed, others, detail)


def gas_system(
    heater: Heater, facts: HouseFacts, circumstances: Circumstances
) -> tuple[GasSystem, tuple[str | Assumption, ...]]:
    """The house's gas tree with the candidate on it, and what was assumed.

    Inputs are those that burners have at this height; the pipe meets the actual, thinner gas.
    """
    burns = heater.power_btuh * heater.n_units * circumstances.altitude_frac
    if _is_measured(heater, facts):
        return _measured_system(burns, heater, facts, circumstances)
    new = _new_pipe(heater, facts, circumstances)
    system, assumed = _default_system(burns, heater, facts, circumstances, new)
    if _furnace_is_assumed(heater, facts):
        assumed = (*assumed, assumption("gas.furnace_btuh"))
    return (_with_new_pipe(system, new), assumed) if new else (system, assumed)


def _line_fuel(facts: HouseFacts) -> Fuel:
    """The gas that the case's pipes and appliances burn; few houses have both gases."""
    for fuel in (facts.case.failed.fuel, facts.case.house.heating_fuel):
        if fuel is not None and fuel.is_fuel_gas:
            return fuel
    gases = [fuel for fuel in Fuel.all() if fuel.is_fuel_gas]
    # A house without gas would have it brought.
    return next((fuel for fuel in gases if fuel in facts.case.house.fuels), gases[-1])


def _is_measured(heater: Heater, facts: HouseFacts) -> bool:
    """Whether the case holds the whole tree that the candidate would stand on."""
    return heater.fuel == _line_fuel(facts) and bool(facts.gas.segments or facts.gas.outlets)


def _has_branch(heater: Heater, facts: HouseFacts) -> bool:
    """Whether a pipe with this gas ends at the heater already."""
    if heater.fuel != _line_fuel(facts):
        return False
    return facts.case.failed.fuel == heater.fuel or bool(facts.gas.segments) or facts.gas.branch_size_in is not None


def _existing_loads(heater: Heater, facts: HouseFacts, circumstances: Circumstances) -> dict[str, float]:
    """The other appliances on this gas, as they burn at this height; a furnace that nobody read, as usual."""
    if heater.fuel != _line_fuel(facts):
        return {}
    gas = facts.gas
    given = {
        "furnace": gas.furnace_btuh,
        "range": gas.range_btuh,
        "dryer": gas.dryer_btuh,
        "fireplace": gas.fireplace_btuh,
    }
    loads = {name: load * circumstances.altitude_frac for name, load in given.items() if load is not None}
    if _furnace_is_assumed(heater, facts):
        loads["furnace"] = usual("gas.furnace_btuh")
    return loads


def _furnace_is_assumed(heater: Heater, facts: HouseFacts) -> bool:
    """Whether a furnace burns this gas too, as far as anyone knows, and nobody read its plate."""
    house = facts.case.house
    return (
        heater.fuel == _line_fuel(facts)
        and facts.gas.furnace_btuh is None
        and house.heating_fuel in {heater.fuel, None}
        and house.uses_gas_otherwise
    )


def _default_system(
    burns: float, heater: Heater, facts: HouseFacts, circumstances: Circumstances, new: tuple[str, ...]
) -> tuple[GasSystem, tuple[str | Assumption, ...]]:
    """The tree from simple answers; what is not known of it is sized for the old heater, or for none."""
    _check_sizes(facts)
    gas, failed = facts.gas, facts.case.failed
    old_btuh = failed.input_btuh * circumstances.altitude_frac if failed.input_btuh else None
    own_line = heater.fuel == _line_fuel(facts)
    branch_size, trunk_size = gas.branch_size_in, gas.trunk_size_in if own_line else None
    if new:
        # Nothing was sized for a heater; pipe that is still to be laid gets its size afterwards.
        old_btuh, branch_size = _NO_OLD_BURNER_BTUH, pipe.sizes(gas.material)[0]
        trunk_size = branch_size if piping.TRUNK in new else trunk_size
    tree = _default_tree(
        _gas(heater),
        tuple(_existing_loads(heater, facts, circumstances).items()),
        burns,
        heater_branch_size=branch_size,
        heater_branch_ft=gas.branch_ft,
        trunk_size=trunk_size,
        trunk_ft=gas.trunk_ft,
        material=gas.material,
        supply_pressure_inwc=gas.supply_pressure_inwc if own_line else None,
        old_heater_input_btuh=old_btuh,
        heater_min_inlet_inwc=_least_inlet_inwc(heater),
        meter_class=gas.meter_class if own_line else None,
        place=circumstances.us_state,
        elevation_ft=circumstances.elevation_ft,
    )
    return tree.system, tree.assumed


def _check_sizes(facts: HouseFacts) -> None:
    """Refuse a size that the pipe's material is not listed in, by the key of the case."""
    gas = facts.gas
    listed = pipe.sizes(gas.material)
    for key, size in (("gas.branch_size_in", gas.branch_size_in), ("gas.trunk_size_in", gas.trunk_size_in)):
        if size is not None and size not in listed:
            raise InputError(key, size, f"{gas.material} is not listed in this size", f"use one of {', '.join(listed)}")


@lru_cache(maxsize=512)
def _default_tree(kind: str, existing: tuple[tuple[str, float | None], ...], burns: float, **known: object):  # type: ignore[no-untyped-def]
    return piping.default_tree(kind, dict(existing), burns, **known)  # type: ignore[arg-type]


def _gas(heater: Heater) -> str:
    assert heater.fuel.gas is not None, heater.id
    return heater.fuel.gas


def _least_inlet_inwc(heater: Heater) -> float | None:
    """Least gas pressure on a candidate's plate; None, for the usual one, where no pipe could deliver it. [in. w.c.]

    A propane plate may ask for the regulator's full 11 in. w.c.; the code's own tables leave 10.5 of them.
    """
    plate = heater.min_inlet_inwc
    return None if plate is None or plate > USUAL_MIN_INLET_INWC[_gas(heater)] else plate


@lru_cache(maxsize=512)
def _with_new_pipe(system: GasSystem, names: tuple[str, ...]) -> GasSystem:
    """Pipe that is still to be laid, in the sizes that the code's table asks for; the largest where none is enough."""
    sizing = piping.by_branch_length(system)
    wanted = {name: sizing.segment(name).required_size for name in names}
    laid = (
        replace(run, size=wanted[run.name] or pipe.sizes(run.material)[-1]) if run.name in wanted else run
        for run in system.segments
    )
    return replace(system, segments=tuple(laid))


def _new_pipe(heater: Heater, facts: HouseFacts, circumstances: Circumstances) -> tuple[str, ...]:
    """The runs of the simple tree that are not there yet: the branch, and the trunk where nothing burns this gas."""
    if _has_branch(heater, facts):
        return ()
    burns_here = _existing_loads(heater, facts, circumstances)
    trunk_is_there = burns_here or (heater.fuel == _line_fuel(facts) and facts.gas.trunk_size_in)
    return (piping.HEATER_BRANCH,) if trunk_is_there else (piping.TRUNK, piping.HEATER_BRANCH)


def _measured_system(
    burns: float, heater: Heater, facts: HouseFacts, circumstances: Circumstances
) -> tuple[GasSystem, tuple[str, ...]]:
    gas = facts.gas
    if HEATER not in {outlet.name for outlet in gas.outlets}:
        raise InputError(
            "gas.outlets",
            None,
            f"none of the gas appliances is called {HEATER!r}",
            f"name the one that is being replaced {HEATER!r}",
        )
    segments = tuple(
        GasSegment(
            run.name,
            run.upstream,
            run.material,
            run.size_in,
            run.length_ft,
            run.elbows_90,
            run.elbows_45,
            run.tees,
            run.extra_ft,
        )
        for run in gas.segments
    )
    regulators = tuple(LineRegulator(one.segment, one.outlet_inwc, one.own_loss_inwc) for one in gas.regulators)
    plain = _default_tree(
        _gas(heater),
        (),
        burns,
        supply_pressure_inwc=gas.supply_pressure_inwc,
        meter_class=gas.meter_class,
        place=circumstances.us_state,
        elevation_ft=circumstances.elevation_ft,
        heater_min_inlet_inwc=_least_inlet_inwc(heater),
    )
    usual_most = plain.system.outlets[0].max_inlet_inwc
    outlets = tuple(
        GasOutlet(HEATER, load.segment, burns, _least_inlet_inwc(heater), load.max_inlet_inwc or usual_most)
        if load.name == HEATER
        else GasOutlet(
            load.name,
            load.segment,
            load.input_btuh * circumstances.altitude_frac,
            load.min_inlet_inwc,
            load.max_inlet_inwc or piping.OTHER_MAX_INWC,
        )
        for load in gas.outlets
    )
    told = ("The gas stands", "A cubic foot", "The new heater")
    assumed = [sentence for sentence in plain.assumed if sentence.startswith(told)]
    unread = [load.name for load in gas.outlets if load.name != HEATER and load.max_inlet_inwc is None]
    if unread:
        assumed.append(f"Up to {piping.OTHER_MAX_INWC:g} in. w.c. does no harm to: {', '.join(unread)} (assumed).")
    system = replace(plain.system, segments=segments, outlets=outlets, regulators=regulators)
    return system, tuple(assumed)


def _asks_no_more(heater: Heater, facts: HouseFacts) -> bool:
    """The candidate burns no more than the plate of the heater that failed, on the same pipe."""
    if heater.fuel != facts.case.failed.fuel:
        return False
    measured = next((load.input_btuh for load in facts.gas.outlets if load.name == HEATER), None)
    old = measured or facts.case.failed.input_btuh
    return old is not None and heater.power_btuh * heater.n_units <= old


@cache
def _prices() -> GasPrices:
    def priced(job: str) -> PriceRange:
        return PriceRange(*price(job))

    return GasPrices(
        per_ft={"3/4": priced("gas-branch-3-4"), "1": priced("gas-branch-1")},
        visit=priced("gas-call-out"),
        # Every candidate pays for its trap, valve and connector already.
        connector=PriceRange(0.0, 0.0, 0.0),
        utility=priced("gas-meter"),
    )


@lru_cache(maxsize=512)
def _ways_out(system: GasSystem) -> tuple[WayOut, ...]:
    return piping.ways_out(system, HEATER, _prices())


def _chosen(ways: tuple[WayOut, ...]) -> WayOut | None:
    """The cheapest way that leaves the heater as it is, preferring one that does not change the delivery."""
    real = [way for way in ways if way.kind != "smaller input"]
    first = [way for way in real if way.kind in _PRICED_FIRST]
    return min(first or real, key=lambda way: way.price.typical_usd, default=None)


def _way_items(way: WayOut, check: GasCheck, *, is_assumed: bool, visit_is_priced: bool) -> list[WorkItem]:
    """The way out as jobs; the utility's meter is a job of its own, for it takes the longest."""
    why = " ".join((check.finding, *way.notes)).rstrip(".")
    cost = way.price
    jobs = []
    if way.kind in _PRICED_FIRST - {"larger meter"}:
        if any(isinstance(change, LargerMeter) for change in way.changes):
            jobs.append(item("gas-meter", "the gas of all appliances together is more than the meter passes"))
            cost = cost + PriceRange(*price("gas-meter")).times(-1.0)
        if visit_is_priced:
            cost = cost + PriceRange(*price("gas-call-out")).times(-1.0)
    usd = (cost.low_usd, cost.typical_usd, cost.high_usd)
    jobs.append(item(_job_of(way), why, assumed=is_assumed, what=plain(way.title), usd=usd))
    return jobs


def _job_of(way: WayOut) -> str:
    return f"gas-{way.kind.replace(' ', '-')}"


def _others(ways: tuple[WayOut, ...], chosen: WayOut | None, altitude_frac: float) -> tuple[OtherWay, ...]:
    found = []
    for way in ways:
        title = way.title
        smaller = next((change for change in way.changes if isinstance(change, SmallerInput)), None)
        if smaller is not None:
            # The tree counts what burns at this height; a buyer reads the plate.
            plate = smaller.input_btuh / altitude_frac // 1000 * 1000
            if plate < _SMALLEST_BURNER_BTUH:
                continue
            title = f"Choose a heater of at most {plate:,.0f} Btu/h on its plate, for the pipe that is there"
        if way is not chosen:
            found.append(
                OtherWay(
                    title,
                    way.price.low_usd,
                    way.price.typical_usd,
                    way.price.high_usd,
                    way.notes,
                    way.kind,
                    () if chosen is None else (_job_of(chosen), "gas-meter"),
                )
            )
    return tuple(found)


def _new_branch(heater: Heater, facts: HouseFacts, circumstances: Circumstances, system: GasSystem) -> list[WorkItem]:
    """Pipe where none runs to the heater yet: the failed one burned something else."""
    new = _new_pipe(heater, facts, circumstances)
    if not new:
        return []
    why = "no gas pipe runs to the heater yet" if len(new) == 1 else "no pipe with this gas runs through the house yet"
    job = "gas-branch-3-4"
    if any(pipe.nominal_like(run.material, run.size) not in _TO_3_4 for run in system.segments if run.name in new):
        job = "gas-branch-1"
    length = sum(system.by_name[name].length_ft for name in new)
    largest = system.by_name[new[0]]
    reason = f"{why}; it takes {pipe.shown(largest.material, largest.size)}"
    return [item(job, reason, quantity=length, assumed=facts.gas.branch_ft is None), item("gas-call-out", why)]


_TO_3_4 = frozenset({"1/4", "3/8", "1/2", "5/8", "3/4"})


def _supply_jobs(heater: Heater) -> list[WorkItem]:
    if heater.fuel.is_delivered and heater.power_btuh * heater.n_units > _LARGE_BURNER_BTUH:
        why = f"{heater.power_btuh * heater.n_units:,.0f} Btu/h from one regulator and tank"
        return [item("propane-supply", why, assumed=True)]
    return []


def _cautions(heater: Heater, facts: HouseFacts, circumstances: Circumstances, system: GasSystem) -> tuple[str, ...]:
    raised = {
        "gas_supply": heater.is_tankless,
        "propane": heater.fuel.is_delivered,
        "altitude": circumstances.altitude_frac < _DERATED_FRAC,
        "gas_tubing_bond": any(run.material == pipe.CSST for run in system.segments),
    }
    return tuple(caution for caution, applies in raised.items() if applies)
