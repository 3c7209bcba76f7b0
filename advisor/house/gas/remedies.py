"""Ways out when the gas piping falls short, each priced and tried; licensed people alter gas pipe, and leak-test it."""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations, islice

from advisor.case.usual import usual
from advisor.core import tables
from advisor.core.errors import InputError
from advisor.core.findings import Finding, care, note
from advisor.core.units import INWC_PER_PSI
from advisor.house.gas import pipe as gas_pipe
from advisor.house.gas.changes import (
    FREE,
    Change,
    Delivery,
    GasPrices,
    LargerMeter,
    NewRun,
    PriceRange,
    Regulated,
    Resize,
    SmallerInput,
    WayOut,
    apply,
    offer,
)
from advisor.house.gas.flow import meter_capacity_cfh
from advisor.house.gas.pressure import Rule, by_pressure, check
from advisor.house.gas.sizing import by_branch_length, regulator_checks
from advisor.house.gas.tree import SOURCE, GasOutlet, GasSegment, GasSystem, LineRegulator, called

#: Higher pressures to ask for, with the drop that the code's tables then allow: of the natural gas utility, and of the
#: propane supplier who sets the second stage, up to the 13 in. w.c. that heaters take.
DELIVERY_INWC = {"natural": ((8.0, 3.0), (11.0, 6.0)), "propane": ((12.0, 0.5), (13.0, 0.5))}
_PROPANE_WORDS = {
    "gas.begins.meter": "gas.begins.meter.propane",
    "gas.way.larger_meter": "gas.way.larger_meter.propane",
    "gas.way.higher_pressure": "gas.way.higher_pressure.propane",
    "gas.way.pressure_and_pipe": "gas.way.pressure_and_pipe.propane",
    "gas.way.two_psi": "gas.way.two_psi.propane",
    "gas.way.utility_decides": "gas.way.utility_decides.propane",
}
_INPUT_STEP_BTUH = 1000.0
# Far above any heater of a house; a burner is sought below it. [thousand Btu/h]
_MOST_STEPS = 4096
# Choices of sizes tried for one set of segments. The cheapest nearly always passes within the first few; the
# limit only bounds the time for a tree where larger fittings lengthen a run faster than larger pipe helps.
_MOST_CHOICES = 400


def ways_out(
    system: GasSystem,
    outlet: str,
    prices: GasPrices,
    *,
    rule: Rule = "tables",
    dedicated_ft: float | None = None,
) -> tuple[WayOut, ...]:
    """Every way out that passes, cheapest first; none where the piping already passes.

    Parameters
    ----------
    system : GasSystem
    outlet : str
        The appliance that is new or larger.
    prices : GasPrices
    rule : {"tables", "pressure"}
        What counts as passing, see ``gas_pressure.check``.
    dedicated_ft : float, optional
        Length of a run of its own from the meter; the length of the present route without. [ft]

    Returns
    -------
    tuple of WayOut

    Raises
    ------
    InputError
        There is no such appliance.
    """
    appliance = next((item for item in system.outlets if item.name == outlet), None)
    if appliance is None:
        names = ", ".join(item.name for item in system.outlets)
        raise InputError("outlet", outlet, "there is no such appliance", "write one of {known}", known=names)
    if check(system, rule).passes:
        return ()
    found = [smaller_input(system, appliance, rule), *_keeping(system, appliance, prices, rule, dedicated_ft)]
    offered = (way for way in found if way is not None)
    return tuple(sorted(offered, key=lambda way: way.price.typical_usd))


def _keeping(
    system: GasSystem, outlet: GasOutlet, prices: GasPrices, rule: Rule, dedicated_ft: float | None
) -> list[WayOut | None]:
    """Ways that keep the appliance, with the meter and the line regulators that it needs; those alone if enough."""
    meter, regulators = _meter_change(system), _regulator_change(system, prices)
    base: tuple[Change, ...] = (*meter, *regulators.changes)
    cost = regulators.price
    if any(change.is_listed or system.gas == "propane" for change in meter):
        cost = cost + prices.utility
    if regulators.changes:
        title = note("gas.way.line_regulator", names=regulators.names)
        alone = offer(system, "line regulator", title, base, cost + prices.visit, regulators.notes, rule)
    else:
        alone = offer(system, "larger meter", note(_worded("gas.way.larger_meter", system.gas)), base, cost, (), rule)
    if alone:
        return [alone]
    pipes = fewest_segments(system, prices, rule, base=base, cost=cost)
    run = dedicated_run(system, outlet, prices, rule, dedicated_ft, base=base, cost=cost)
    return [pipes, run, *higher_pressure(system, prices, rule, base=base, plain=pipes)]


def _meter_change(system: GasSystem) -> tuple[LargerMeter, ...]:
    """The next meter class that carries the load, else one that the utility has to size; empty where it serves."""
    if system.meter_capacity_cfh is None or system.meter_capacity_cfh >= system.total_cfh:
        return ()
    gravity = system.gravity or gas_pipe.gas_named(system.gas).gravity
    for class_cfh in sorted(tables.load("gas_meters")["capacity_cfh"]):
        capacity = float(meter_capacity_cfh(class_cfh, gravity))
        if capacity >= system.total_cfh:
            return (LargerMeter(capacity),)
    return (LargerMeter(system.total_cfh, is_listed=False),)


def _regulator_change(system: GasSystem, prices: GasPrices) -> _Regulators:
    """Line regulators that are too small exchanged; where 2 psi reaches an appliance, one that is missing put in."""
    ends = [check.segment for check in regulator_checks(system) if not check.passes]
    if not system.regulators and any(outlet.too_high for outlet in by_pressure(system).outlets):
        ends = [segment.name for segment in system.segments if segment.upstream == SOURCE]
    return _regulators_at(system, ends, prices)


@dataclass(frozen=True)
class _Regulators:
    """New line regulators: the change, their price, where they are, and what to say of them."""

    changes: tuple[Regulated, ...] = ()
    price: PriceRange = FREE
    names: tuple[Finding, ...] = ()
    notes: tuple[Finding, ...] = ()


def _regulators_at(system: GasSystem, ends: Sequence[str], prices: GasPrices) -> _Regulators:
    """Line regulators of the list for the load at the end of each of these segments."""
    if not ends:
        return _Regulators()
    gravity = system.gravity or gas_pipe.gas_named(system.gas).gravity
    usual_inwc = usual("gas.regulator_outlet_inwc", system.gas)
    made, cost, told = [], FREE, [care("gas.way.line_regulators")]
    for name in ends:
        there, sized = system.regulator_at.get(name), prices.line_regulator(system.loads_cfh[name], gravity)
        capacity = None if sized is None else sized[0]
        outlet_inwc, drop = (there.outlet_inwc, there.allowed_drop_inwc) if there else (usual_inwc, None)
        made.append(LineRegulator(name, outlet_inwc, usual("gas.regulator_own_loss_inwc"), drop, capacity))
        cost = cost + (FREE if sized is None else sized[1])
    if not prices.line_regulators:
        told.append(care("gas.price.no_line_regulators"))
    names = tuple(note("gas.quoted", name=called(name)) for name in ends)
    return _Regulators((Regulated(tuple(made)),), cost, names, tuple(told))


def fewest_segments(
    system: GasSystem,
    prices: GasPrices,
    rule: Rule = "tables",
    *,
    base: Sequence[Change] = (),
    cost: PriceRange = FREE,
) -> WayOut | None:
    """The smallest number of segments to enlarge, and among those sets the cheapest sizes.

    Under the tables the segments that are short must all grow, whatever else is done, because a table looks
    at one segment at a time. Pressure is shared along a path, so sets are tried from the smallest up: first
    whether the set can pass at all with its largest pipe, then sizes from the cheapest up until the whole
    check passes.
    """
    start = apply(system, base)
    pressure = by_pressure(start)
    starved = {name for item in pressure.outlets if not item.passes for name in start.path(item.outlet.segment)}
    forced = {}
    if rule == "tables":
        forced = {item.segment.name: item.required_size for item in by_branch_length(start).segments if not item.passes}
    if None in forced.values():
        return None
    options = {
        name: _sizes_from(start.by_name[name], forced.get(name))
        for name in start.order
        if name in starved | set(forced)
    }
    if not _can_pass(system, options, base):
        return None
    free = [name for name, larger in options.items() if name not in forced and larger]
    for extra in range(len(free) + 1):
        ways = (
            _cheapest(system, {n: options[n] for n in (*forced, *more)}, prices, rule, base, cost)
            for more in combinations(free, extra)
            if forced or more
        )
        passing = [way for way in ways if way is not None]
        if passing:
            return min(passing, key=lambda way: way.price.typical_usd)
    return None


def _sizes_from(segment: GasSegment, least: str | None) -> tuple[str, ...]:
    """Sizes of the segment's material from ``least`` up, or above the present one."""
    known = gas_pipe.sizes(segment.material)
    first = known.index(least) if least else known.index(segment.size) + 1
    return known[max(first, known.index(segment.size) + 1) :]


def _can_pass(system: GasSystem, options: Mapping[str, tuple[str, ...]], base: Sequence[Change]) -> bool:
    """Whether the pressure is enough with the largest pipe in every one of these segments."""
    largest = (Resize(name, larger[-1]) for name, larger in options.items() if larger)
    return by_pressure(apply(system, (*base, *largest))).passes


def _cheapest(
    system: GasSystem,
    options: Mapping[str, tuple[str, ...]],
    prices: GasPrices,
    rule: Rule,
    base: Sequence[Change],
    cost: PriceRange,
) -> WayOut | None:
    if not _can_pass(system, options, base):
        return None
    for price, changes, notes in islice(_by_price(system, options, prices), _MOST_CHOICES):
        title = note("gas.way.larger_pipe", runs=tuple(_resized_run(system, change) for change in changes))
        way = offer(system, "larger pipe", title, (*base, *changes), cost + prices.visit + price, notes, rule)
        if way is not None:
            return way
    return None


def _resized_run(system: GasSystem, change: Resize) -> Finding:
    pipe = gas_pipe.named(system.by_name[change.segment].material, change.size)
    return note("gas.way.run", name=called(change.segment), pipe=pipe)


def _by_price(
    system: GasSystem, options: Mapping[str, tuple[str, ...]], prices: GasPrices
) -> Iterator[tuple[PriceRange, tuple[Resize, ...], tuple[Finding, ...]]]:
    """Every choice of sizes, cheapest first, and of equal prices the smaller pipe first."""
    names = list(options)

    def priced(steps: tuple[int, ...]) -> tuple[PriceRange, tuple[Resize, ...], tuple[Finding, ...]]:
        price, changes, notes = FREE, [], list[Finding]()
        for name, step in zip(names, steps, strict=True):
            segment, size = system.by_name[name], options[name][step]
            run, cautions = prices.pipe(segment.material, size, segment.length_ft)
            price = price + run
            changes.append(Resize(name, size))
            notes += cautions
        return price, tuple(changes), tuple(notes)

    first = (0,) * len(names)
    queue, seen = [(priced(first)[0].typical_usd, 0, first)], {first}
    while queue:
        _, _, steps = heapq.heappop(queue)
        yield priced(steps)
        for index, name in enumerate(names):
            following = (*steps[:index], steps[index] + 1, *steps[index + 1 :])
            if following[index] < len(options[name]) and following not in seen:
                seen.add(following)
                heapq.heappush(queue, (priced(following)[0].typical_usd, sum(following), following))


def dedicated_run(
    system: GasSystem,
    outlet: GasOutlet,
    prices: GasPrices,
    rule: Rule = "tables",
    length_ft: float | None = None,
    *,
    base: Sequence[Change] = (),
    cost: PriceRange = FREE,
) -> WayOut | None:
    """A new steel pipe from the meter, or from the line regulator, to this appliance alone, in the least size."""
    zone = system.outlet_zone(outlet)
    route = [name for name in system.path(outlet.segment) if system.zone(name) == zone]
    length = length_ft or sum(system.by_name[name].length_ft for name in route)
    if not length:
        return None
    name = f"new run to {outlet.name}"
    while name in system.by_name:
        name += " again"
    begins = (
        note(_worded("gas.begins.meter", system.gas))
        if zone == SOURCE
        else note("gas.begins.regulator", name=called(zone))
    )
    for size in gas_pipe.sizes("steel"):
        run = GasSegment(name, zone, "steel", size, length)
        price, cautions = prices.pipe("steel", size, length)
        total = cost + prices.visit + prices.connector + price
        pipe = gas_pipe.named("steel", size)
        title = note("gas.way.dedicated_run", begins=begins, name=called(outlet.name), length_ft=length, pipe=pipe)
        way = offer(system, "dedicated run", title, (*base, NewRun(outlet.name, run)), total, cautions, rule)
        if way is not None:
            return way
    return None


def higher_pressure(
    system: GasSystem,
    prices: GasPrices,
    rule: Rule = "tables",
    *,
    base: Sequence[Change] = (),
    plain: WayOut | None = None,
) -> list[WayOut]:
    """Ask the utility for more pressure: alone, with fewer larger pipes, or 2 psi inside the house.

    The first delivery pressure that passes by itself is offered. Where none does, the first that takes fewer
    larger pipes than ``plain``, the way with larger pipe alone.
    """
    if system.regulators or gas_pipe.is_high_pressure(system.supply_pressure_inwc):
        return []
    unknown = tuple(called(item.name) for item in system.outlets if item.max_inlet_inwc is None)
    notes = [care(_worded("gas.way.utility_decides", system.gas))]
    if unknown:
        notes.append(care("gas.way.read_plates", names=unknown))
    more = [Delivery(*step) for step in DELIVERY_INWC[system.gas] if step[0] > system.supply_pressure_inwc]
    ways = [_delivery_alone(system, prices, rule, (*base, delivery), notes) for delivery in more]
    if not any(ways):
        ways = [_delivery_and_pipe(system, prices, rule, (*base, delivery), notes, plain) for delivery in more]
    first = next((way for way in ways if way is not None), None)
    return [way for way in (first, _two_psi(system, prices, rule, base, notes)) if way is not None]


def _worded(code: str, gas: str) -> str:
    """The code of a sentence that reads otherwise for propane, which has no utility and mostly no meter."""
    return code if gas == "natural" else _PROPANE_WORDS[code]


def _delivered_inwc(changes: Sequence[Change]) -> float:
    """Pressure that the utility is asked for. [in. w.c.]"""
    return next(change.pressure_inwc for change in changes if isinstance(change, Delivery))


def _delivery_alone(
    system: GasSystem, prices: GasPrices, rule: Rule, changes: Sequence[Change], notes: Sequence[Finding]
) -> WayOut | None:
    # One visit of the utility changes the meter and its regulator, so a larger meter adds nothing here.
    title = note(_worded("gas.way.higher_pressure", system.gas), pressure_inwc=_delivered_inwc(changes))
    return offer(system, "higher pressure", title, changes, prices.utility, notes, rule)


def _delivery_and_pipe(
    system: GasSystem,
    prices: GasPrices,
    rule: Rule,
    changes: Sequence[Change],
    notes: Sequence[Finding],
    plain: WayOut | None,
) -> WayOut | None:
    way = fewest_segments(system, prices, rule, base=changes, cost=prices.utility)
    if way is None or (plain is not None and _resized(way) >= _resized(plain)):
        return None
    runs = way.title.number("runs")
    title = note(_worded("gas.way.pressure_and_pipe", system.gas), pressure_inwc=_delivered_inwc(changes), runs=runs)
    return replace(way, kind="higher pressure and larger pipe", title=title, notes=(*notes, *way.notes))


def _resized(way: WayOut) -> int:
    return sum(isinstance(change, Resize) for change in way.changes)


def _two_psi(
    system: GasSystem, prices: GasPrices, rule: Rule, base: Sequence[Change], notes: Sequence[Finding]
) -> WayOut | None:
    """2 psi to a line regulator at the end of each pipe that leaves the meter, ordinary pressure beyond."""
    first = [segment.name for segment in system.segments if segment.upstream == SOURCE]
    made = _regulators_at(system, first, prices)
    delivery = Delivery(2 * INWC_PER_PSI, INWC_PER_PSI, made.changes[0].regulators)
    price = prices.utility + prices.visit + made.price
    title = note(_worded("gas.way.two_psi", system.gas), names=made.names)
    return offer(system, "2 psi with line regulator", title, (*base, delivery), price, (*notes, *made.notes), rule)


def smaller_input(system: GasSystem, outlet: GasOutlet, rule: Rule = "tables") -> WayOut | None:
    """The largest burner, to a thousand Btu/h, that the present piping and meter carry."""
    # Whatever burner it is now, the pipe carries the same.
    smallest = apply(system, (SmallerInput(outlet.name, _INPUT_STEP_BTUH),))
    low = min(_most_steps(smallest, outlet.name, rule), -int(-outlet.input_btuh // _INPUT_STEP_BTUH) - 1)
    if not low:
        return None
    largest = low * _INPUT_STEP_BTUH
    return offer(
        system,
        "smaller input",
        note("gas.way.smaller_input", most_btuh=largest),
        (SmallerInput(outlet.name, largest),),
        FREE,
        (care("gas.way.heats_less"),),
        rule,
    )


@lru_cache(maxsize=256)
def _most_steps(system: GasSystem, outlet: str, rule: Rule) -> int:
    """How many thousands of Btu/h an appliance may burn before the check fails; 0 if it fails anyhow."""

    def passes(steps: int) -> bool:
        return check(apply(system, (SmallerInput(outlet, steps * _INPUT_STEP_BTUH),)), rule).passes

    low, high = 0, 1
    while high < _MOST_STEPS and passes(high):
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if passes(middle) else (low, middle)
    return low
