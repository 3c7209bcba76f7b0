"""Flue and vent for a candidate: what may stay, what must be new, and what the change leaves behind."""

from __future__ import annotations

from dataclasses import dataclass, replace

from advisor.case.base import Assumption
from advisor.case.usual import assumption
from advisor.circumstances import Circumstances
from advisor.core.findings import care, note
from advisor.core.verdicts import FITS
from advisor.heaters.catalogue import Heater
from advisor.house.facts import NATURAL_DRAFT_FLUES, HouseFacts
from advisor.house.items import TradeCheck, WorkItem, item
from advisor.house.vent import flue, new_run, old_flue, terminal, vent_capacity, vent_run

_VENT_WORDS = {
    "type_b": "type_b",
    "masonry": "tile_liner",
    "plastic": "plastic",
    "stainless": "stainless_sealed",
    "none": "none",
}


@dataclass(frozen=True)
class VentDetail:
    """The checks behind the finding; None where they do not apply."""

    change: vent_run.VentChange
    run: vent_run.VentRun | None
    capacity: vent_capacity.VentCapacity | None
    left_behind: flue.SharedFlue | None
    terminal: terminal.TerminalCheck | None
    larger: vent_run.VentRun | None = None


def check_vent(heater: Heater, facts: HouseFacts, circumstances: Circumstances) -> TradeCheck | None:
    """The vent of a candidate, and the flue it leaves behind; None where there is neither.

    Parameters
    ----------
    heater : Heater
        The candidate.
    facts : HouseFacts
        The house.
    circumstances : Circumstances
        What any heater meets in it.
    """
    if not heater.has_flame and not facts.had_flue:
        return None
    change = vent_run.vent_change(heater.technology, _VENT_WORDS[facts.flue])
    assumed = _assumed_of_the_flue(facts)
    if heater.technology.is_natural_draft:
        return _natural_draft(heater, facts, circumstances, change, assumed)
    left = old_flue.left_on(facts, circumstances)
    left_behind = left.alone if left else None
    leaving = _leaving_jobs(facts, left)
    said = list(left.findings) if left else [care("vent.close_old_flue")] if facts.had_flue else []
    cautions = left_behind.cautions if left_behind else ("shared_flue",) if facts.had_flue else ()
    assumed = (*assumed, *(left.assumed if left else ()))
    if facts.had_flue:
        cautions = (*cautions, "asbestos")  # old pipes are wrapped in it
    if not heater.has_flame:
        detail = VentDetail(change, None, None, left_behind, None)
        return TradeCheck("vent", tuple(said), leaving, cautions, assumed, (), detail)
    if circumstances.heater_space == "outdoors":
        said.insert(0, note("vent.outdoor_model"))
        detail = VentDetail(replace(change, finding=said[0], verdict=FITS), None, None, left_behind, None)
        return TradeCheck("vent", tuple(said), leaving, cautions, assumed, (), detail)
    new = new_run.run_for(heater, facts, change)
    kind = "direct_vent" if heater.technology.is_sealed_combustion else "mechanical_draft"
    end = terminal.check_terminal(kind, heater.power_btuh, condenses=heater.is_condensing)
    return TradeCheck(
        "vent",
        (change.finding, *new.findings, *said),
        (*new.items, *leaving),
        (*change.cautions, *end.cautions, *cautions),
        (*assumed, *new.assumed),
        new.ways_out,
        VentDetail(change, new.run, None, left_behind, end, new.larger),
    )


def _assumed_of_the_flue(facts: HouseFacts) -> tuple[Assumption, ...]:
    """What was taken for granted of the flue that is there, and of what else uses it."""
    vent = facts.vent
    if facts.flue not in NATURAL_DRAFT_FLUES:
        guessed = vent.flue is None and facts.flue == "stainless"
        return (assumption("vent.flue", facts.flue, way=facts.flue),) if guessed else ()
    assumed = []
    if vent.flue is None:
        assumed.append(assumption("vent.flue", facts.flue, way=facts.flue))
    if vent.is_shared is None:
        assumed.append(assumption("vent.is_shared"))
    elif vent.is_shared and facts.gas.furnace_btuh is None:
        assumed.append(assumption("gas.furnace_btuh"))
    if vent.is_shared and vent.other_outlet_in is None:
        assumed.append(assumption("vent.other_outlet_in"))
    return tuple(assumed)


def _natural_draft(
    heater: Heater,
    facts: HouseFacts,
    circumstances: Circumstances,
    change: vent_run.VentChange,
    assumed: tuple[Assumption, ...],
) -> TradeCheck:
    """A natural-draft heater: the old flue may stay if its kind and its size suit."""
    if facts.flue not in NATURAL_DRAFT_FLUES or not change.reusable:
        why = note("vent.why.no_flue") if facts.flue == "none" else change.finding
        jobs = (item(new_run.vent_job(heater), why, assumed=facts.vent.flue is None),)
        detail = VentDetail(change, None, None, None, None)
        return TradeCheck("vent", (change.finding,), jobs, change.cautions, assumed, (), detail)
    kept = old_flue.kept_for(heater, facts, circumstances) if heater.fuel.is_fuel_gas else old_flue.oil_flue(change)
    return TradeCheck(
        "vent",
        (change.finding, *kept.findings),
        (item("vent-connector", note("vent.why.connector")), *kept.items),
        change.cautions,
        (*assumed, *kept.assumed),
        (),
        VentDetail(change, None, kept.capacity, kept.alone, None),
    )


def _leaving_jobs(facts: HouseFacts, left: old_flue.OldFlue | None) -> tuple[WorkItem, ...]:
    """What leaving the old flue costs: its opening closed, and what makes it suit what stays."""
    if not facts.had_flue:
        return ()
    if left is None:
        return (item("flue-cap", note("vent.why.unused"), assumed=facts.vent.is_shared is None),)
    if any(job.job == "chimney-liner" for job in left.items):
        return left.items  # whoever lines the chimney closes it
    return (item("flue-cap", note("vent.why.opening")), *left.items)
