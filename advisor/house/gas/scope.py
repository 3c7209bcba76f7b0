"""The gas line for a candidate: the check, the jobs, and the ways out with their prices."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache, lru_cache

from advisor.case.base import Assumption
from advisor.circumstances import Circumstances
from advisor.core.errors import InputError
from advisor.core.findings import Severity, note, stop
from advisor.core.tables import load
from advisor.core.verdicts import FITS
from advisor.heaters.catalogue import Heater
from advisor.house.facts import HouseFacts
from advisor.house.gas import pipe, piping
from advisor.house.gas.changes import Delivery, GasPrices, LargerMeter, PriceRange, SmallerInput, WayOut
from advisor.house.gas.from_case import gas_system, has_guessed_trunk, is_measured, new_pipe, usual_system
from advisor.house.gas.piping import HEATER, TRUNK, GasCheck, GasSegment, GasSystem
from advisor.house.gas.pressure import Rule
from advisor.house.gas.propane_supply import with_supply
from advisor.house.gas.simple_tree import SIZE_KEYS
from advisor.house.items import HasPrices, OtherWay, TradeCheck, WorkItem, item, price

#: Ways out that change neither the heater nor what the utility delivers: what a contractor prices first.
_PRICED_FIRST = frozenset({"larger pipe", "dedicated run", "larger meter", "line regulator"})
#: Pipe has a price a foot in these sizes; a size between takes the larger one's.
_PRICED_SIZES = ("3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2")
#: No heater burns less; a way out that asks for less helps nobody.
_SMALLEST_BURNER_BTUH = 25_000.0
_DERATED_FRAC = 0.999
#: What the methods do not reach, by the field of the refusal.
_BEYOND = {
    "length_ft": "gas.beyond.length",
    "drop_inwc": "gas.beyond.tubing",
    "gas.outlets": "gas.beyond.plate",
}


@dataclass(frozen=True)
class GasDetail(HasPrices):
    """The tree as it would be with the candidate, its check, and every way out."""

    system: GasSystem
    check: GasCheck
    ways: tuple[WayOut, ...]

    def moved(self, factor: float) -> GasDetail:
        """The same where labor costs so many times as much."""
        return replace(self, ways=tuple(replace(way, price=way.price.times(factor)) for way in self.ways))


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

    Returns
    -------
    TradeCheck or None
        Without detail where the line goes beyond what the methods here cover: a gas fitter must design it.
    """
    if not (heater.fuel.is_fuel_gas and heater.has_flame):
        return None
    try:
        found = _checked(heater, facts, circumstances)
    except InputError as error:
        beyond = stop(_BEYOND.get(error.field, "gas.beyond.other"), key=error.field, value=_as_value(error.value))
        return TradeCheck("gas", (beyond,))
    if not heater.fuel.is_delivered:
        return found
    burns_btuh = sum(outlet.input_btuh for outlet in found.detail.system.outlets)
    return with_supply(found, burns_btuh, heater, facts, circumstances)


def _as_value(value: object) -> float | str:
    return float(value) if isinstance(value, int | float) else str(value or "")


def _checked(heater: Heater, facts: HouseFacts, circumstances: Circumstances) -> TradeCheck:
    rule = _rule(heater, facts)
    system, assumed, check, carries = _judged(heater, facts, circumstances, rule)
    connect = item("gas-trap-and-valve", note("gas.why.connect"), quantity=heater.n_units)
    branch = _new_branch(heater, facts, system)
    jobs: list[WorkItem] = [connect, *branch]
    cautions = _cautions(heater, circumstances.altitude_frac, system)
    if check.by_consent:
        jobs.append(item("gas-official-consent", note("gas.why.consent")))
    if carries and check.passes:
        detail = GasDetail(system, check, ())
        return TradeCheck("gas", check.findings, tuple(jobs), cautions, assumed, (), detail)
    if carries:
        # What falls short did so with the old heater, or by a guess that leaves less room than a usual house has.
        why = note("gas.asks_no_more" if _asks_no_more(heater, facts) else "gas.trunk_has_usual_room")
        found = (why, *(one._replace(severity=Severity.NOTE) for one in check.findings))
        detail = GasDetail(system, replace(check, verdict=FITS, findings=found), _ways_out(system, rule))
        others = _others(system.gas, detail.ways, None, circumstances.altitude_frac)
        return TradeCheck("gas", found, tuple(jobs), cautions, assumed, others, detail)
    ways = _ways_out(system, rule)
    chosen = _chosen(ways)
    others = _others(system.gas, ways, chosen, circumstances.altitude_frac)
    detail = GasDetail(system, check, ways)
    if chosen is None:
        found = (*check.findings, stop("gas.no_way"))
        return TradeCheck("gas", found, tuple(jobs), cautions, assumed, others, detail)
    if chosen.kind == "dedicated run":
        jobs = [job for job in jobs if job not in branch]
    visited = any(job.job == "gas-call-out" for job in jobs)
    jobs += _way_items(system.gas, chosen, check, is_assumed=not is_measured(heater, facts), visit_is_priced=visited)
    return TradeCheck("gas", check.findings, tuple(jobs), cautions, assumed, others, detail)


def _rule(heater: Heater, facts: HouseFacts) -> Rule:
    """What decides: the tables where the trunk is a guess, since pressure along a guessed pipe proves nothing."""
    return "tables" if has_guessed_trunk(heater, facts) else facts.gas.sizing_rule


def _judged(
    heater: Heater, facts: HouseFacts, circumstances: Circumstances, rule: Rule
) -> tuple[GasSystem, tuple[Assumption, ...], GasCheck, bool]:
    """The tree, what was assumed of it, its check, and whether it carries the heater.

    A trunk that nobody measured is taken as the code asks for what the case names, rounded up to a listed size; that
    room may be trusted no further than a usual house's.
    """
    system, assumed = gas_system(heater, facts, circumstances)
    check = piping.check(system, rule)
    if not has_guessed_trunk(heater, facts):
        return system, assumed, check, _carries(check, heater, facts)
    if facts.gas.sizing_rule != rule and not check.passes:
        check = replace(check, findings=(*check.findings, note("gas.pressure.guessed")))
    usual_house, usual_sizes = usual_system(heater, facts, circumstances)
    as_usual = system.with_sizes({run.name: run.size for run in usual_house.segments if run.name in SIZE_KEYS})
    carries = _guess_carries(as_usual, usual_house, heater, facts, rule)
    if carries or not check.passes:
        return system, assumed, check, carries
    check, trunk = piping.check(as_usual, rule), as_usual.by_name[TRUNK]
    measure = note("gas.trunk_is_guessed", pipe=pipe.named(trunk.material, trunk.size))
    told = {one.field: one for one in usual_sizes if one.field in SIZE_KEYS.values()}
    assumed = tuple(told.get(one.field, one) for one in assumed)
    return as_usual, assumed, replace(check, findings=(*check.findings, measure)), carries


def _carries(check: GasCheck, heater: Heater, facts: HouseFacts) -> bool:
    """Whether a line passes, or only the table falls short, as it did with an old heater that asked no less."""
    return check.passes or (check.pressure.passes and _asks_no_more(heater, facts))


def _guess_carries(as_usual: GasSystem, usual_house: GasSystem, heater: Heater, facts: HouseFacts, rule: Rule) -> bool:
    """Whether a line whose trunk nobody measured carries a heater: no better the more the case names.

    The trunk of a usual house carries all that the case names; or what burns in a usual house, while the rest of
    the line carries all that the case names. One more appliance helps neither.
    """

    def carries(system: GasSystem) -> bool:
        return _carries(piping.check(system, rule), heater, facts)

    largest = pipe.sizes(as_usual.by_name[TRUNK].material)[-1]
    return carries(as_usual) or (carries(usual_house) and carries(as_usual.with_sizes({TRUNK: largest})))


def _asks_no_more(heater: Heater, facts: HouseFacts) -> bool:
    """The candidate burns no more than the plate of the heater that failed, on the same pipe."""
    if not facts.burned_before(heater.fuel):
        return False
    measured = next((load.input_btuh for load in facts.gas.outlets if load.name == HEATER), None)
    old = measured or facts.failed_input_btuh
    return old is not None and heater.power_btuh * heater.n_units <= old


@cache
def _prices(gas: str) -> GasPrices:
    def priced(job: str) -> PriceRange:
        return PriceRange(*price(job))

    return GasPrices(
        per_ft={size: priced(_pipe_job(size)) for size in _PRICED_SIZES},
        visit=priced("gas-call-out"),
        # Every candidate pays for its trap, valve and connector already.
        connector=PriceRange(0.0, 0.0, 0.0),
        utility=priced(_meter_job(gas)),
        line_regulators=tuple(
            (row["capacity_cfh"], priced(row["job"]))
            for row in sorted(load("gas_line_regulators").rows(), key=lambda row: row["capacity_cfh"])
        ),
    )


def _meter_job(gas: str) -> str:
    """The job of whoever delivers the gas: a larger meter, or what the supplier of propane sets."""
    return "gas-meter" if gas == "natural" else "propane-supply"


def _pipe_job(size: str) -> str:
    """The job of laying pipe of a nominal size."""
    return f"gas-branch-{size.replace('/', '-')}"


@lru_cache(maxsize=512)
def _ways_out(system: GasSystem, rule: Rule) -> tuple[WayOut, ...]:
    return piping.ways_out(system, HEATER, _prices(system.gas), rule=rule)


def _chosen(ways: tuple[WayOut, ...]) -> WayOut | None:
    """The cheapest way that leaves the heater as it is, preferring one that does not change the delivery."""
    real = [way for way in ways if way.kind != "smaller input"]
    first = [way for way in real if way.kind in _PRICED_FIRST]
    return min(first or real, key=lambda way: way.price.typical_usd, default=None)


def _way_items(gas: str, way: WayOut, check: GasCheck, *, is_assumed: bool, visit_is_priced: bool) -> list[WorkItem]:
    """The way out as jobs; the utility's meter is a job of its own, for it takes the longest."""
    why = note("list.sentences", parts=(*check.findings, *way.notes))
    cost = way.price
    jobs = []
    if way.kind in _PRICED_FIRST - {"larger meter"}:
        if any(isinstance(change, LargerMeter) and _has_price(change, gas) for change in way.changes):
            jobs.append(item(_meter_job(gas), note("gas.why.meter")))
            cost = cost + PriceRange(*price(_meter_job(gas))).times(-1.0)
        if visit_is_priced:
            cost = cost + PriceRange(*price("gas-call-out")).times(-1.0)
    if any(isinstance(change, LargerMeter) and not _has_price(change, gas) for change in way.changes):
        jobs.append(item("larger-meter-set", note("gas.why.meter")))
        if way.kind == "larger meter":
            return jobs
    usd = (cost.low_usd, cost.typical_usd, cost.high_usd)
    jobs.append(item(_job_of(way, gas), why, assumed=is_assumed, what=way.title, usd=usd))
    return jobs


def _has_price(meter: LargerMeter, gas: str) -> bool:
    """Whether a meter is one that we can price: a household class, or what a propane supplier sets."""
    return meter.is_listed or gas == "propane"


def _job_of(way: WayOut, gas: str) -> str:
    """The job of a way out; what a propane supplier does is a job of its own."""
    if gas == "propane" and way.kind == "larger meter":
        return _meter_job(gas)
    asks_supplier = gas == "propane" and any(isinstance(change, Delivery) for change in way.changes)
    return f"gas-{'propane-' if asks_supplier else ''}{way.kind.replace(' ', '-')}"


def _others(gas: str, ways: tuple[WayOut, ...], chosen: WayOut | None, altitude_frac: float) -> tuple[OtherWay, ...]:
    found = []
    for way in ways:
        title = way.title
        smaller = next((change for change in way.changes if isinstance(change, SmallerInput)), None)
        if smaller is not None:
            # The tree counts what burns at this height; a buyer reads the plate.
            plate = smaller.input_btuh / altitude_frac // 1000 * 1000
            if plate < _SMALLEST_BURNER_BTUH:
                continue
            title = note("gas.way.smaller_plate", plate_btuh=plate)
        if way is not chosen:
            found.append(
                OtherWay(
                    title,
                    way.price.low_usd,
                    way.price.typical_usd,
                    way.price.high_usd,
                    way.notes,
                    way.kind,
                    () if chosen is None else (_job_of(chosen, gas), _meter_job(gas)),
                )
            )
    return tuple(found)


def _new_branch(heater: Heater, facts: HouseFacts, system: GasSystem) -> list[WorkItem]:
    """Pipe where none runs to the heater yet: the failed one burned something else."""
    new = new_pipe(heater, facts)
    if not new:
        return []
    lacks = "no_branch" if len(new) == 1 else "no_gas"
    laid: dict[str, tuple[GasSegment, float]] = {}
    for run in (system.by_name[name] for name in new):
        job = _pipe_job(_prices(system.gas).priced_as(run.material, run.size)[0])
        first, length = laid.get(job, (run, 0.0))
        laid[job] = (first, length + run.length_ft)
    pipes = [
        item(
            job,
            note(f"gas.why.{lacks}.pipe", pipe=pipe.named(run.material, run.size)),
            quantity=length,
            assumed=facts.gas.branch_ft is None,
        )
        for job, (run, length) in laid.items()
    ]
    return [*pipes, item("gas-call-out", note(f"gas.why.{lacks}"))]


def _cautions(heater: Heater, altitude_frac: float, system: GasSystem) -> tuple[str, ...]:
    raised = {
        "gas_supply": heater.is_tankless,
        "propane": heater.fuel.is_delivered,
        "altitude": altitude_frac < _DERATED_FRAC,
        "gas_tubing_bond": any(run.material == pipe.CSST for run in system.segments),
    }
    return tuple(caution for caution, applies in raised.items() if applies)
