"""The sealed vent that a candidate takes to the outside: its run against the maker's limit, and its price."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.case.base import Assumption
from advisor.case.house import Vent
from advisor.case.usual import assumption, usual
from advisor.core.findings import Finding, Severity, care, note
from advisor.core.verdicts import FITS
from advisor.heaters.catalogue import Heater
from advisor.house.facts import HouseFacts
from advisor.house.items import OtherWay, WorkItem, item, price
from advisor.house.vent import vent_run

#: What the installed price of a new vent includes. [ft]
_INCLUDED_FT = {"vent-stainless": 6.0, "vent-plastic": 10.0}
_LARGER_PIPE = "vent-larger-pipe"


@dataclass(frozen=True)
class NewRun:
    """A new sealed vent, or an old pipe that stays: what was found and what it costs.

    Parameters
    ----------
    run, larger : VentRun or None
        The run in its pipe and in the next larger one; None where no limit is known.
    """

    findings: tuple[Finding, ...]
    items: tuple[WorkItem, ...]
    assumed: tuple[Assumption, ...]
    ways_out: tuple[OtherWay, ...] = ()
    run: vent_run.VentRun | None = None
    larger: vent_run.VentRun | None = None


def run_for(heater: Heater, facts: HouseFacts, change: vent_run.VentChange) -> NewRun:
    """The run of a sealed or fan-driven heater, each pipe on its own, in its own size and the next larger one."""
    vent = facts.vent
    old = (item("vent-check", change.finding),) if change.reusable else ()
    assumed = [assumption("vent.flue", facts.flue, way="listed")] if change.reusable else []
    if change.reusable and vent.run_ft is None:
        return NewRun((), old, tuple(assumed))
    exhaust = _exhaust(vent)
    diameter = vent.diameter_in or heater.vent_diameter_in or usual("vent.diameter_in")
    assumed += _assumed_of_the_run(heater, vent)
    jobs = old or _jobs(heater, facts, exhaust)
    if vent.limit_ft is None and not vent_run.has_generic_limit(diameter):
        return NewRun((care("vent.run.no_limit", diameter_in=diameter),), jobs, tuple(assumed))
    run, larger = _both(heater, vent, exhaust, diameter)
    if run.limit_assumed:
        assumed.append(assumption("vent.limit_ft", run.limit_ft, diameter_in=diameter))
    if run.verdict != FITS and larger is not None and larger.verdict == FITS:
        return _in_a_larger_pipe(run, larger, jobs, tuple(assumed), heater.n_units)
    return NewRun((run.finding,), jobs, tuple(assumed), (), run, larger)


def vent_job(heater: Heater) -> str:
    """The job that gives a heater its flue or vent."""
    job = heater.technology.vent_job
    assert job is not None, heater.id
    return job


def _in_a_larger_pipe(
    run: vent_run.VentRun,
    larger: vent_run.VentRun,
    jobs: tuple[WorkItem, ...],
    assumed: tuple[Assumption, ...],
    n_units: int,
) -> NewRun:
    """Too long for its pipe, but not for the next: work where the maker's limit says so, else a way to ask about."""
    quantity = run.exhaust.straight_ft * n_units
    title = note("vent.way.larger_pipe", diameter_in=larger.diameter_in)
    if not larger.limit_assumed:
        mended = run.finding._replace(severity=Severity.CARE)
        said = note("vent.run.larger_fits", diameter_in=larger.diameter_in, limit_ft=larger.limit_ft)
        more = item(_LARGER_PIPE, said, quantity=quantity, what=title)
        return NewRun((mended, said), (*jobs, more), assumed, (), run, larger)
    low, typical, high = (usd * quantity for usd in price(_LARGER_PIPE))
    asked = care("vent.way.larger_pipe.asked", limit_ft=larger.limit_ft)
    way = OtherWay(title, low, typical, high, (asked,), "larger vent pipe")
    return NewRun((run.finding,), jobs, assumed, (way,), run, larger)


def _both(
    heater: Heater, vent: Vent, exhaust: vent_run.Run, diameter_in: float
) -> tuple[vent_run.VentRun, vent_run.VentRun | None]:
    both = bool(vent.limit_is_for_both)
    intake = _intake(vent, exhaust) if heater.technology.is_sealed_combustion else None
    allowances = _allowances(vent)

    def checked(size_in: float, limit_ft: float | None) -> vent_run.VentRun:
        return vent_run.check_vent_run(
            exhaust, intake, diameter_in=size_in, limit_ft=limit_ft, limit_counts_both=both, allowances=allowances
        )

    larger_in = vent_run.next_larger_in(diameter_in)
    larger = None if larger_in is None else checked(larger_in, vent.larger_limit_ft)
    return checked(diameter_in, vent.limit_ft), larger


def _exhaust(vent: Vent) -> vent_run.Run:
    return vent_run.Run(
        usual("vent.run_ft") if vent.run_ft is None else vent.run_ft,
        int(usual("vent.n_elbows")) if vent.n_elbows is None else vent.n_elbows,
        vent.n_elbows_45 or 0,
        vent.n_tees or 0,
        int(bool(vent.has_bird_screen)),
        int(bool(vent.has_concentric_end)),
    )


def _intake(vent: Vent, exhaust: vent_run.Run) -> vent_run.Run:
    """The intake as measured; where nobody measured it, it runs beside the exhaust."""
    if vent.intake_ft is None:
        return vent_run.Run(exhaust.straight_ft, exhaust.elbows_90, exhaust.elbows_45)
    return vent_run.Run(vent.intake_ft, vent.n_intake_elbows or 0, vent.n_intake_elbows_45 or 0)


def _allowances(vent: Vent) -> vent_run.Allowances:
    usually = vent_run.usual_allowances()

    def given(value: float | None, otherwise: float) -> float:
        return otherwise if value is None else value

    return vent_run.Allowances(
        given(vent.elbow_90_ft, usually.elbow_90_ft),
        vent.elbow_45_ft,
        given(vent.tee_ft, usually.tee_ft),
        given(vent.screen_ft, usually.screen_ft),
        given(vent.concentric_ft, usually.concentric_ft),
    )


def _assumed_of_the_run(heater: Heater, vent: Vent) -> list[Assumption]:
    keys = {
        "vent.run_ft": vent.run_ft is None,
        "vent.n_elbows": vent.n_elbows is None,
        "vent.diameter_in": vent.diameter_in is None and heater.vent_diameter_in is None,
        "vent.elbow_90_ft": vent.elbow_90_ft is None and vent.n_elbows != 0,
        "vent.tee_ft": vent.tee_ft is None and bool(vent.n_tees),
        "vent.screen_ft": vent.screen_ft is None and bool(vent.has_bird_screen),
        "vent.concentric_ft": vent.concentric_ft is None and bool(vent.has_concentric_end),
        "vent.limit_is_for_both": heater.technology.is_sealed_combustion
        and vent.limit_is_for_both is None
        and vent.limit_ft is not None,
    }
    return [assumption(key) for key, is_assumed in keys.items() if is_assumed]


def _jobs(heater: Heater, facts: HouseFacts, exhaust: vent_run.Run) -> tuple[WorkItem, ...]:
    job = vent_job(heater)
    guess = facts.vent.run_ft is None
    barred = note("vent.why.category", category=heater.vent_category)
    why = note("vent.why.no_vent") if facts.flue == "none" else barred
    jobs = [item(job, why, quantity=heater.n_units, assumed=guess)]
    extra_ft = max(exhaust.straight_ft - _INCLUDED_FT[job], 0.0)
    if extra_ft:
        why = note("vent.why.long", run_ft=exhaust.straight_ft)
        jobs.append(item(f"{job}-extra", why, quantity=extra_ft * heater.n_units, assumed=guess))
    turns = exhaust.elbows_90 + exhaust.elbows_45 + exhaust.tees
    if turns:
        guess = facts.vent.n_elbows is None
        jobs.append(item("vent-elbow", note("vent.why.bends"), quantity=turns * heater.n_units, assumed=guess))
    return tuple(jobs)
