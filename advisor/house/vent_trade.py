"""Flue, vent and air for a candidate: what may stay, what must be new, and what the change leaves behind."""

from __future__ import annotations

import math
from dataclasses import dataclass

from advisor.heaters.catalogue import Heater
from advisor.house import combustion_air, flue, room, terminal, vent_capacity, venting
from advisor.house.facts import HouseFacts
from advisor.house.items import TradeCheck, WorkItem, item
from advisor.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK, gravest

#: A new vent through a near wall, where nobody measured one; assumed.
_USUAL_RUN_FT, _USUAL_ELBOWS = 12.0, 2
#: What the installed price of a new vent includes. [ft]
_INCLUDED_FT = {"vent-stainless": 6.0, "vent-plastic": 10.0}
_USUAL_FURNACE_BTUH, _USUAL_OUTLET_IN = 80_000.0, 4.0
_VENT_WORDS = {
    "type_b": "type_b",
    "masonry": "tile_liner",
    "plastic": "plastic",
    "stainless": "stainless_sealed",
    "none": "none",
}
_PLACES = {"indoors": "utility_room"}


@dataclass(frozen=True)
class VentDetail:
    """The checks behind the finding; None where they do not apply."""

    change: venting.VentChange
    run: venting.VentRun | None
    capacity: vent_capacity.VentCapacity | None
    left_behind: flue.SharedFlue | None
    terminal: terminal.TerminalCheck | None


def check_vent(heater: Heater, facts: HouseFacts) -> TradeCheck | None:
    """The vent of a candidate, and the flue it leaves behind."""
    left_behind = _left_behind(heater, facts)
    jobs: list[WorkItem] = _leaving_jobs(heater, facts, left_behind)
    if not heater.burns_fuel:
        if not facts.had_flue:
            return None
        finding = left_behind.finding if left_behind else "The old flue is closed."
        detail = VentDetail(venting.vent_change(heater.technology, "none"), None, None, left_behind, None)
        cautions = left_behind.cautions if left_behind else ()
        return TradeCheck("vent", finding, NEEDS_WORK, tuple(jobs), cautions, (), (), detail)
    known = facts.vent.flue or ("type_b" if facts.had_flue else "none")
    change = venting.vent_change(heater.technology, _VENT_WORDS[known])
    assumed = () if facts.vent.flue else (f"The old flue is a {known.replace('_', ' ')} vent (assumed; have it seen).",)
    if heater.vent_category in {"I", "oil"}:
        return _natural_draft(heater, facts, change, jobs, assumed)
    run, run_jobs, run_assumed = _new_run(heater, facts, change)
    checks = [change.finding, run.finding] if run else [change.finding]
    if left_behind:
        checks.append(left_behind.finding)
    end = terminal.check_terminal("direct_vent", heater.power_btuh, condenses=heater.is_condensing)
    detail = VentDetail(change, run, None, left_behind, end)
    verdict = DOES_NOT_FIT if run and run.verdict == DOES_NOT_FIT else NEEDS_WORK if [*jobs, *run_jobs] else FITS
    cautions = (*change.cautions, *end.cautions, *(left_behind.cautions if left_behind else ()))
    return TradeCheck("vent", " ".join(checks), verdict, (*run_jobs, *jobs), cautions, (*assumed, *run_assumed), (),
                      detail)  # fmt: skip


def _natural_draft(
    heater: Heater, facts: HouseFacts, change: venting.VentChange, jobs: list[WorkItem], assumed: tuple[str, ...]
) -> TradeCheck:
    """A natural-draft heater: the old flue may stay if its kind and its size suit."""
    if not facts.had_flue:
        new = item("chimney-liner", "there is no flue for a natural-draft heater", assumed=facts.vent.flue is None)
        detail = VentDetail(change, None, None, None, None)
        return TradeCheck("vent", change.finding, NEEDS_WORK, (new, *jobs), change.cautions, assumed, (), detail)
    capacity = _capacity(heater, facts)
    jobs = [item("vent-connector", "the old connector is renewed and the draft tested"), *jobs]
    finding = change.finding if capacity is None else f"{change.finding} {capacity.finding}"
    verdict = FITS
    if capacity is not None and capacity.verdict == DOES_NOT_FIT:
        jobs.append(item("chimney-liner", capacity.finding.rstrip(".")))
        verdict = NEEDS_WORK
    detail = VentDetail(change, None, capacity, None, None)
    return TradeCheck("vent", finding, verdict, tuple(jobs), change.cautions, assumed, (), detail)


def _capacity(heater: Heater, facts: HouseFacts) -> vent_capacity.VentCapacity | None:
    """Table capacity of a measured Type B vent; None where it was not measured."""
    vent = facts.vent
    if vent.flue != "type_b" or vent.flue_height_ft is None or vent.flue_diameter_in is None:
        return None
    if vent.is_shared:
        fan = facts.gas.furnace_btuh or _USUAL_FURNACE_BTUH if vent.other_is_fan_assisted else 0.0
        return vent_capacity.check_common_vent(
            fan, heater.power_btuh, height_ft=vent.flue_height_ft, diameter_in=vent.flue_diameter_in
        )
    return vent_capacity.check_type_b(
        heater.power_btuh, height_ft=vent.flue_height_ft, lateral_ft=vent.flue_lateral_ft or 0.0,
        diameter_in=vent.flue_diameter_in,
    )  # fmt: skip


def _new_run(
    heater: Heater, facts: HouseFacts, change: venting.VentChange
) -> tuple[venting.VentRun | None, list[WorkItem], tuple[str, ...]]:
    """A new sealed vent: its equivalent length against the limit, and its price."""
    if change.reusable:
        return None, [], ()
    vent = facts.vent
    straight = vent.run_ft if vent.run_ft is not None else _USUAL_RUN_FT
    elbows = vent.n_elbows if vent.n_elbows is not None else _USUAL_ELBOWS
    assumed = []
    if vent.run_ft is None:
        assumed.append(f"The new vent runs {straight:g} ft with {elbows} elbows to the outside (assumed; measure it).")
    diameter = vent.diameter_in or heater.vent_diameter_in or 3.0
    run = venting.check_vent_run(
        venting.Run(straight, elbows, vent.n_elbows_45 or 0), diameter_in=diameter, limit_ft=vent.limit_ft,
        elbow_90_ft=vent.elbow_90_ft,
    )  # fmt: skip
    if run.limit_assumed:
        assumed.append(
            f"The maker allows {run.limit_ft:g} equivalent feet at {diameter:g} in. (a generic limit, assumed)."
        )
    job = "vent-stainless" if heater.technology == "gas_tankless_noncondensing" else "vent-plastic"
    guess = vent.run_ft is None
    why = f"Category {heater.vent_category} exhaust may not use the old flue"
    jobs = [item(job, why, quantity=heater.n_units, assumed=guess)]
    extra_ft = max(straight - _INCLUDED_FT[job], 0.0)
    if extra_ft:
        why = f"the run is {straight:g} ft"
        jobs.append(item(f"{job}-extra", why, quantity=extra_ft * heater.n_units, assumed=guess))
    if elbows:
        jobs.append(item("vent-elbow", "the route bends", quantity=elbows * heater.n_units, assumed=guess))
    return run, jobs, tuple(assumed)


def _left_behind(heater: Heater, facts: HouseFacts) -> flue.SharedFlue | None:
    """The furnace that stays alone on a flue sized for two; None where nothing stays or the heater stays too."""
    vent = facts.vent
    if not facts.had_flue or heater.vent_category in {"I", "oil"} or not vent.is_shared:
        return None
    kind = {"type_b": "type_b", "masonry": "tile_liner"}.get(vent.flue or "", "unknown")
    area = None
    if kind == "tile_liner" and vent.tile_liner:
        area = flue.tile_liner_area_in2(vent.tile_liner)
    elif vent.flue_diameter_in:
        area = math.pi / 4 * vent.flue_diameter_in**2
    fan = bool(vent.other_is_fan_assisted)
    stays = flue.FlueAppliance(
        "furnace", fan, facts.gas.furnace_btuh or _USUAL_FURNACE_BTUH, vent.other_outlet_in or _USUAL_OUTLET_IN
    )
    capacity = None
    if kind == "type_b" and not fan and vent.flue_height_ft and vent.flue_diameter_in:
        read = vent_capacity.type_b_capacity_btuh(
            vent.flue_height_ft, vent.flue_lateral_ft or 0.0, vent.flue_diameter_in
        )
        capacity = None if math.isnan(read) else float(read)
    found = flue.Flue(
        kind, area, exterior=vent.is_exterior_chimney, design_f=facts.outdoor_coldest_f, table_capacity_btuh=capacity
    )
    return flue.check_shared_flue(found, (stays,), None, was_shared=True)


def _leaving_jobs(heater: Heater, facts: HouseFacts, left_behind: flue.SharedFlue | None) -> list[WorkItem]:
    """What leaving the old flue costs: a liner for what stays, or a cap."""
    if not facts.had_flue or heater.vent_category in {"I", "oil"}:
        return []
    if left_behind is None:
        return [item("flue-cap", "the old flue is no longer used", assumed=facts.vent.is_shared is None)]
    if left_behind.verdict == FITS:
        return []
    why = left_behind.finding.rstrip(".")
    return [item("chimney-liner", why, may_be_spared=left_behind.verdict != DOES_NOT_FIT)]


def check_air(heater: Heater, facts: HouseFacts) -> TradeCheck | None:
    """Combustion air and location for a heater that burns fuel."""
    if not heater.burns_fuel:
        return None
    place = _PLACES.get(facts.heater_space, facts.heater_space)
    sealed = heater.is_tankless or heater.technology == "gas_storage_condensing"
    # New tanks of the consumer class are listed as resistant to flammable vapors; from memory, unverified.
    where = room.check_location(place, burns_fuel=True, direct_vent=sealed, vapor_resistant=heater.is_storage,
                                ignition_height_in=18.0 if heater.is_tankless else None)  # fmt: skip
    volume = facts.case.house.room_volume_ft3
    if sealed or volume is None:
        assumed = () if sealed else ("The room feeds the flame: its volume is not given (assumed; measure it).",)
        jobs = _place_jobs(facts)
        verdict = gravest(where.verdict if where.verdict == DOES_NOT_FIT else FITS, NEEDS_WORK if jobs else FITS)
        return TradeCheck("air", where.finding, verdict, tuple(jobs), where.cautions, assumed, (), where)
    beside = facts.gas.furnace_btuh or _USUAL_FURNACE_BTUH if facts.vent.is_shared else 0.0
    fan = beside if facts.vent.other_is_fan_assisted else 0.0
    air = combustion_air.check_combustion_air(
        draft_hood_btuh=heater.power_btuh * heater.n_units + beside - fan, fan_assisted_btuh=fan, room_ft3=volume
    )
    jobs = _place_jobs(facts)
    if air.verdict == NEEDS_WORK:
        jobs.append(item("combustion-air", air.finding.rstrip(".")))
    cautions = (*air.cautions, *where.cautions)
    return TradeCheck("air", air.finding, NEEDS_WORK if jobs else FITS, tuple(jobs), cautions, (), (), air)


def _place_jobs(facts: HouseFacts) -> list[WorkItem]:
    if facts.heater_space in {"attic", "crawl_space"}:
        return [item("hard-access", f"the heater stands in the {facts.heater_space.replace('_', ' ')}")]
    return []
