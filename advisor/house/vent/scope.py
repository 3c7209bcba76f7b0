"""Flue and vent for a candidate: what may stay, what must be new, and what the change leaves behind."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.case.base import Assumption
from advisor.case.usual import assumption, usual
from advisor.circumstances import Circumstances
from advisor.core.findings import Finding, care, note
from advisor.heaters.catalogue import Heater
from advisor.house.facts import NATURAL_DRAFT_FLUES, HouseFacts
from advisor.house.items import TradeCheck, WorkItem, item
from advisor.house.vent import flue, old_flue, terminal, vent_capacity, vent_run

#: What the installed price of a new vent includes. [ft]
_INCLUDED_FT = {"vent-stainless": 6.0, "vent-plastic": 10.0}
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
    if not heater.burns_fuel and not facts.had_flue:
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
    if not heater.burns_fuel:
        detail = VentDetail(change, None, None, left_behind, None)
        return TradeCheck("vent", tuple(said), leaving, cautions, assumed, (), detail)
    if circumstances.heater_space == "outdoors":
        said.insert(0, note("vent.outdoor_model"))
        detail = VentDetail(change, None, None, left_behind, None)
        return TradeCheck("vent", tuple(said), leaving, cautions, assumed, (), detail)
    run, ran, run_jobs, run_assumed = _new_run(heater, facts, change)
    kind = "direct_vent" if heater.technology.is_sealed_combustion else "mechanical_draft"
    end = terminal.check_terminal(kind, heater.power_btuh, condenses=heater.is_condensing)
    detail = VentDetail(change, run, None, left_behind, end)
    jobs = (*run_jobs, *leaving)
    return TradeCheck(
        "vent",
        (change.finding, *ran, *said),
        jobs,
        (*change.cautions, *end.cautions, *cautions),
        (*assumed, *run_assumed),
        (),
        detail,
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
        jobs = (item(_new_vent_job(heater), why, assumed=facts.vent.flue is None),)
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


def _new_run(
    heater: Heater, facts: HouseFacts, change: vent_run.VentChange
) -> tuple[vent_run.VentRun | None, list[Finding], list[WorkItem], list[Assumption]]:
    """A new sealed vent: its equivalent length against the limit where there is one, what that says, and its price."""
    vent = facts.vent
    assumed = []
    if change.reusable:
        assumed.append(assumption("vent.flue", facts.flue, way="listed"))
        if vent.run_ft is None:
            return None, [], [_old_pipe(change)], assumed
    straight = usual("vent.run_ft") if vent.run_ft is None else vent.run_ft
    elbows = int(usual("vent.n_elbows")) if vent.n_elbows is None else vent.n_elbows
    if vent.run_ft is None:
        assumed.append(assumption("vent.run_ft"))
    if vent.n_elbows is None:
        assumed.append(assumption("vent.n_elbows"))
    diameter = vent.diameter_in or heater.vent_diameter_in
    if diameter is None:
        diameter = usual("vent.diameter_in")
        assumed.append(assumption("vent.diameter_in"))
    jobs = [_old_pipe(change)] if change.reusable else _run_jobs(heater, facts, straight, elbows)
    if vent.limit_ft is None and not vent_run.has_generic_limit(diameter):
        return None, [care("vent.run.no_limit", diameter_in=diameter)], jobs, assumed
    run = vent_run.check_vent_run(
        vent_run.Run(straight, elbows, vent.n_elbows_45 or 0),
        diameter_in=diameter,
        limit_ft=vent.limit_ft,
        elbow_90_ft=vent.elbow_90_ft,
    )
    if run.limit_assumed:
        assumed.append(assumption("vent.limit_ft", run.limit_ft, diameter_in=diameter))
    return run, [run.finding], jobs, assumed


def _old_pipe(change: vent_run.VentChange) -> WorkItem:
    """A sealed pipe that stays is read against the new heater's instructions, and its end is measured."""
    return item("vent-check", change.finding)


def _new_vent_job(heater: Heater) -> str:
    """The job that gives a heater its flue or vent."""
    job = heater.technology.vent_job
    assert job is not None, heater.id
    return job


def _run_jobs(heater: Heater, facts: HouseFacts, straight_ft: float, elbows: int) -> list[WorkItem]:
    job = _new_vent_job(heater)
    guess = facts.vent.run_ft is None
    barred = note("vent.why.category", category=heater.vent_category)
    why = note("vent.why.no_vent") if facts.flue == "none" else barred
    jobs = [item(job, why, quantity=heater.n_units, assumed=guess)]
    extra_ft = max(straight_ft - _INCLUDED_FT[job], 0.0)
    if extra_ft:
        why = note("vent.why.long", run_ft=straight_ft)
        jobs.append(item(f"{job}-extra", why, quantity=extra_ft * heater.n_units, assumed=guess))
    if elbows:
        guess = facts.vent.n_elbows is None
        jobs.append(item("vent-elbow", note("vent.why.bends"), quantity=elbows * heater.n_units, assumed=guess))
    return jobs
