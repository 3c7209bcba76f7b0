"""Flue and vent for a candidate: what may stay, what must be new, and what the change leaves behind."""

from __future__ import annotations

import math
from dataclasses import dataclass

from advisor.case.base import Assumption
from advisor.case.usual import assumption, usual
from advisor.circumstances import Circumstances
from advisor.core.findings import Finding, Severity, care, note
from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK
from advisor.heaters.catalogue import Heater
from advisor.house.facts import NATURAL_DRAFT_FLUES, HouseFacts
from advisor.house.items import TradeCheck, WorkItem, item
from advisor.house.vent import flue, terminal, vent_capacity, vent_run

#: What the installed price of a new vent includes. [ft]
_INCLUDED_FT = {"vent-stainless": 6.0, "vent-plastic": 10.0}
#: The coldest design day lies about this far under the mean of the coldest month; assumed.
_DESIGN_BELOW_MEAN_DF = 25.0
_VENT_WORDS = {
    "type_b": "type_b",
    "masonry": "tile_liner",
    "plastic": "plastic",
    "stainless": "stainless_sealed",
    "none": "none",
}
_STAYS = note("vent.appliance.furnace")


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
    left_behind = _left_behind(facts, circumstances)
    leaving = _leaving_jobs(facts, left_behind)
    said = [_mended(left_behind.finding)] if left_behind else [care("vent.close_old_flue")] if facts.had_flue else []
    cautions = left_behind.cautions if left_behind else ("shared_flue",) if facts.had_flue else ()
    if facts.had_flue:
        cautions = (*cautions, "asbestos")  # old pipes are wrapped in it
    if not heater.burns_fuel:
        detail = VentDetail(change, None, None, left_behind, None)
        return TradeCheck("vent", tuple(said), NEEDS_WORK, leaving, cautions, assumed, (), detail)
    if circumstances.heater_space == "outdoors":
        said.insert(0, note("vent.outdoor_model"))
        detail = VentDetail(change, None, None, left_behind, None)
        verdict = NEEDS_WORK if leaving else FITS
        return TradeCheck("vent", tuple(said), verdict, leaving, cautions, assumed, (), detail)
    run, ran, run_jobs, run_assumed = _new_run(heater, facts, change)
    kind = "direct_vent" if heater.technology.is_sealed_combustion else "mechanical_draft"
    end = terminal.check_terminal(kind, heater.power_btuh, condenses=heater.is_condensing)
    detail = VentDetail(change, run, None, left_behind, end)
    jobs = (*run_jobs, *leaving)
    verdict = DOES_NOT_FIT if run and run.verdict == DOES_NOT_FIT else NEEDS_WORK if jobs else FITS
    return TradeCheck(
        "vent",
        (change.finding, *ran, *said),
        verdict,
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
        return ()
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
    new_flue = _new_vent_job(heater)
    if facts.flue not in NATURAL_DRAFT_FLUES or not change.reusable:
        why = note("vent.why.no_flue") if facts.flue == "none" else change.finding
        jobs = (item(new_flue, why, assumed=facts.vent.flue is None),)
        detail = VentDetail(change, None, None, None, None)
        return TradeCheck("vent", (change.finding,), NEEDS_WORK, jobs, change.cautions, assumed, (), detail)
    found: list[WorkItem] = [item("vent-connector", note("vent.why.connector"))]
    said = [change.finding]
    capacity, guessed = _capacity(heater, facts)
    if capacity is not None:
        said.append(_mended(capacity.finding))
        if capacity.verdict == DOES_NOT_FIT:
            found.append(item(new_flue, capacity.finding))
    alone = _alone_on_it(heater, facts, circumstances)
    if alone is not None and len(found) == 1 and _speaks(alone):
        said.append(_mended(alone.finding))
        found.append(item("chimney-liner", alone.finding, may_be_spared=alone.verdict != DOES_NOT_FIT))
    detail = VentDetail(change, None, capacity, None, None)
    verdict = NEEDS_WORK if len(found) > 1 else FITS
    return TradeCheck("vent", tuple(said), verdict, tuple(found), change.cautions, (*assumed, *guessed), (), detail)


def _capacity(heater: Heater, facts: HouseFacts) -> tuple[vent_capacity.VentCapacity | None, tuple[Assumption, ...]]:
    """Table capacity of a measured Type B vent, and what was assumed of it; None where it was not measured."""
    vent, burns = facts.vent, heater.power_btuh * heater.n_units
    if facts.flue != "type_b" or vent.flue_height_ft is None or vent.flue_diameter_in is None:
        return None, ()
    if vent.is_shared:
        fan = (facts.gas.furnace_btuh or usual("gas.furnace_btuh")) if vent.other_is_fan_assisted else 0.0
        shared = vent_capacity.check_common_vent(
            fan, burns, height_ft=vent.flue_height_ft, diameter_in=vent.flue_diameter_in
        )
        return shared, ()
    single = vent_capacity.check_type_b(
        burns, height_ft=vent.flue_height_ft, lateral_ft=_lateral_ft(facts), diameter_in=vent.flue_diameter_in
    )
    return single, (assumption("vent.flue_lateral_ft"),) if vent.flue_lateral_ft is None else ()


def _lateral_ft(facts: HouseFacts) -> float:
    """Horizontal run of the connector. [ft]"""
    given = facts.vent.flue_lateral_ft
    return float(usual("vent.flue_lateral_ft") if given is None else given)


def _mended(found: Finding) -> Finding:
    """A flue that cannot stay as it is takes work: a liner or a new vent stands on the list."""
    return found._replace(severity=min(found.severity, Severity.CARE))


def _speaks(alone: flue.SharedFlue) -> bool:
    """A flue that is only not measured is left as it is, like the heater that stood on it; a measured one is judged."""
    return alone.verdict == DOES_NOT_FIT or any(one.code == "vent.flue.liner" for one in alone.reasons)


def _alone_on_it(heater: Heater, facts: HouseFacts, circumstances: Circumstances) -> flue.SharedFlue | None:
    """The new heater where nobody shares its flue: that may have been made for two."""
    if facts.vent.is_shared or heater.n_units > 1:
        return None
    new = flue.FlueAppliance(
        note("vent.appliance.water_heater"),
        False,
        heater.power_btuh,
        heater.vent_diameter_in or usual("vent.other_outlet_in"),
    )
    return flue.check_shared_flue(_flue_as_found(facts, circumstances, None), (), new, was_shared=False)


def _flue_as_found(facts: HouseFacts, circumstances: Circumstances, capacity_btuh: float | None) -> flue.Flue:
    vent = facts.vent
    kind = {"type_b": "type_b", "masonry": "tile_liner"}.get(facts.flue, "unknown")
    area, unlisted = None, ""
    if kind == "tile_liner" and vent.tile_liner:
        if flue.is_listed_liner(vent.tile_liner):
            area = flue.tile_liner_area_in2(vent.tile_liner)
        else:
            unlisted = vent.tile_liner
    elif vent.flue_diameter_in:
        area = math.pi / 4 * vent.flue_diameter_in**2
    return flue.Flue(
        kind,
        area,
        exterior=vent.is_exterior_chimney,
        design_f=circumstances.coldest_outdoor_f - _DESIGN_BELOW_MEAN_DF,
        table_capacity_btuh=capacity_btuh,
        unlisted_liner=unlisted,
    )


def _left_behind(facts: HouseFacts, circumstances: Circumstances) -> flue.SharedFlue | None:
    """The furnace that stays alone on a flue sized for two; None where nothing stays."""
    vent = facts.vent
    if not facts.had_flue or not vent.is_shared:
        return None
    fan = bool(vent.other_is_fan_assisted)
    stays = flue.FlueAppliance(
        _STAYS,
        fan,
        facts.gas.furnace_btuh or usual("gas.furnace_btuh"),
        vent.other_outlet_in or usual("vent.other_outlet_in"),
    )
    capacity = None
    if facts.flue == "type_b" and not fan and vent.flue_height_ft and vent.flue_diameter_in:
        read = float(vent_capacity.type_b_capacity_btuh(vent.flue_height_ft, _lateral_ft(facts), vent.flue_diameter_in))
        capacity = None if math.isnan(read) else read
    return flue.check_shared_flue(_flue_as_found(facts, circumstances, capacity), (stays,), None, was_shared=True)


def _leaving_jobs(facts: HouseFacts, left_behind: flue.SharedFlue | None) -> tuple[WorkItem, ...]:
    """What leaving the old flue costs: a liner for what stays, or a cap."""
    if not facts.had_flue:
        return ()
    if left_behind is None:
        return (item("flue-cap", note("vent.why.unused"), assumed=facts.vent.is_shared is None),)
    if left_behind.verdict == FITS:
        return (item("flue-cap", note("vent.why.opening")),)
    return (item("chimney-liner", left_behind.finding, may_be_spared=left_behind.verdict != DOES_NOT_FIT),)


def _new_run(
    heater: Heater, facts: HouseFacts, change: vent_run.VentChange
) -> tuple[vent_run.VentRun | None, list[Finding], list[WorkItem], list[Assumption]]:
    """A new sealed vent: its equivalent length against the limit where there is one, what that says, and its price."""
    vent = facts.vent
    assumed = []
    if change.reusable:
        assumed.append(assumption("vent.flue", facts.flue, way="listed"))
        if vent.run_ft is None:
            return None, [], [], assumed
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
    jobs = [] if change.reusable else _run_jobs(heater, facts, straight, elbows)
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
