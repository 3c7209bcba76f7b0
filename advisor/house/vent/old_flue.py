"""The flue that is there: for a heater that stays on it, and for what such a heater leaves behind."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from advisor.case.base import Assumption
from advisor.case.usual import assumption, usual
from advisor.circumstances import Circumstances
from advisor.core.findings import Finding, Severity, care, note
from advisor.core.verdicts import DOES_NOT_FIT, FITS
from advisor.heaters.catalogue import Heater
from advisor.house.facts import HouseFacts
from advisor.house.items import WorkItem, item
from advisor.house.vent import flue, vent_capacity, vent_run, vent_tables

#: Turns that the vent tables allow for.
_TURNS_ALLOWED = 2
_STAYS = note("vent.appliance.furnace")
_NEW = note("vent.appliance.water_heater")


@dataclass(frozen=True)
class OldFlue:
    """What comes of the flue that is there, and the checks behind it; None where they do not apply."""

    findings: tuple[Finding, ...]
    items: tuple[WorkItem, ...]
    assumed: tuple[Assumption, ...]
    capacity: vent_capacity.VentCapacity | None
    alone: flue.SharedFlue | None


def kept_for(heater: Heater, facts: HouseFacts, circumstances: Circumstances) -> OldFlue:
    """The old flue for a natural-draft gas heater whose kind may stay on it: size, exposure, connector."""
    shares = bool(facts.vent.is_shared) or heater.n_units > 1
    if facts.flue == "type_b":
        return _on_metal(heater, facts, circumstances, shares=shares)
    if shares:
        return _in_a_shared_chimney(heater, facts)
    alone = flue.check_shared_flue(_as_found(facts, circumstances), (), _new(heater), was_shared=False)
    jobs = _remedies(facts, alone, _new(heater), spare_liner=False)
    return OldFlue((_mended(alone.finding),), jobs, _design_assumed(facts, circumstances), None, alone)


def left_on(facts: HouseFacts, circumstances: Circumstances) -> OldFlue | None:
    """The furnace that stays alone on a flue sized for two; None where nothing stays."""
    vent = facts.vent
    if not facts.had_flue or not vent.is_shared:
        return None
    stays = flue.FlueAppliance(
        _STAYS,
        bool(vent.other_is_fan_assisted),
        facts.gas.furnace_btuh or usual("gas.furnace_btuh"),
        vent.other_outlet_in or usual("vent.other_outlet_in"),
    )
    capacity, assumed = None, list(_design_assumed(facts, circumstances))
    if _is_measured(facts):
        capacity = _single(stays, facts)(float(vent.flue_diameter_in or 0.0))
        if vent.flue_lateral_ft is None:
            assumed.append(assumption("vent.flue_lateral_ft"))
    alone = flue.check_shared_flue(_as_found(facts, circumstances, capacity), (stays,), None, was_shared=True)
    return OldFlue(
        (_mended(alone.finding),), _remedies(facts, alone, stays, spare_liner=True), tuple(assumed), capacity, alone
    )


def _on_metal(heater: Heater, facts: HouseFacts, circumstances: Circumstances, *, shares: bool) -> OldFlue:
    """A Type B vent by its tables; of an unmeasured one only what burned on it before is known."""
    old_btuh = float(facts.case.failed.input_btuh or usual("failed.input_btuh"))
    burns_btuh = heater.power_btuh * heater.n_units
    if not shares and facts.vent.flue_diameter_in:
        alone = flue.check_shared_flue(_as_found(facts, circumstances), (), _new(heater), was_shared=False)
        if alone.verdict == DOES_NOT_FIT:
            mends = _remedies(facts, alone, _new(heater), spare_liner=False)
            return OldFlue((_mended(alone.finding),), mends, (), None, alone)
    if not _is_measured(facts):
        if burns_btuh <= old_btuh:
            return OldFlue((note("vent.flue.as_before"),), (), (assumption("vent.flue_height_ft"),), None, None)
        found = care("vent.flue.burns_more", input_btuh=burns_btuh, old_btuh=old_btuh)
        return OldFlue((found,), (item("flue-sizing", found),), (), None, None)
    capacity = _shared(heater, facts) if shares else _single(_new(heater), facts)(facts.vent.flue_diameter_in or 0.0)
    said = [_mended(capacity.finding)]
    jobs = list(_metal_jobs(facts, capacity, None if shares else _new(heater)))
    if shares and burns_btuh > old_btuh and capacity.verdict == FITS:
        said.append(care("vent.capacity.connector_table", "IFGC Tables 504.3(1) and 504.3(2)"))
        jobs.append(item("flue-sizing", said[-1]))
    if not shares and facts.vent.has_type_b_connector is False and capacity.verdict == FITS:
        said.append(care("vent.capacity.single_wall", "IFGC Table 504.2(2)"))
        jobs.append(item("vent-connector-type-b", said[-1]))
    assumed = []
    if facts.vent.flue_lateral_ft is None and not shares:
        assumed.append(assumption("vent.flue_lateral_ft"))
    if facts.vent.has_type_b_connector is None:
        assumed.append(assumption("vent.has_type_b_connector"))
    return OldFlue(tuple(said), tuple(jobs), tuple(assumed), capacity, None)


def _in_a_shared_chimney(heater: Heater, facts: HouseFacts) -> OldFlue:
    """A chimney that serves a furnace too: the few printed cells, the rule of seven, and the tables to be read."""
    vent = facts.vent
    outlets = [_new(heater).outlet_diameter_in, vent.other_outlet_in or usual("vent.other_outlet_in")]
    area, _ = _tile_area(facts)
    if area is not None:
        ratio = float(flue.flue_to_outlet_area_frac(area, min(outlets)))
        if ratio > flue.LARGEST_AREA_RATIO:
            most = flue.LARGEST_AREA_RATIO
            wide = care("vent.flue.common_too_large", "IFGC Appendix B", ratio_frac=ratio, most_frac=most)
            return OldFlue((wide,), (item("chimney-liner", wide),), (), None, None)
    if vent.is_exterior_chimney:
        found = care("vent.flue.common_chimney", tables=note("vent.table.chimney_shared_outdoors"))
        cell = vent_tables.chimney_cell("outdoors", math.inf, math.inf)
        assert cell is not None
        why = note("vent.flue.common_outdoors", least_btuh=cell.least_space_heater_btuh, design_f=cell.design_f)
        liner = item("chimney-liner", why, may_be_spared=True)
        return OldFlue((found,), (item("flue-sizing", found), liner), (), None, None)
    proved = _proved_by_a_cell(heater, facts, area)
    if proved is not None:
        return OldFlue((proved, note("vent.flue.as_before")), (), (), None, None)
    found = care("vent.flue.common_chimney", tables=note("vent.table.chimney_shared"))
    return OldFlue((found,), (item("flue-sizing", found),), (), None, None)


def _proved_by_a_cell(heater: Heater, facts: HouseFacts, area_in2: float | None) -> Finding | None:
    """What a printed cell proves of a chimney, where the heater's connector carries no more than it did."""
    vent, burns_btuh = facts.vent, heater.power_btuh * heater.n_units
    with_fan = bool(vent.is_shared and vent.other_is_fan_assisted) and heater.n_units == 1
    if area_in2 is None or vent.flue_height_ft is None or not with_fan:
        return None
    if burns_btuh > float(facts.case.failed.input_btuh or usual("failed.input_btuh")):
        return None
    cell = vent_tables.chimney_cell("indoors", vent.flue_height_ft, area_in2)
    total_btuh = burns_btuh + (facts.gas.furnace_btuh or usual("gas.furnace_btuh"))
    if cell is None or total_btuh > cell.capacity_btuh:
        return None
    section = "IFGC Table 504.3(4)"
    return note("vent.flue.chimney_at_least", section, capacity_btuh=cell.capacity_btuh, input_btuh=total_btuh)


def _tile_area(facts: HouseFacts) -> tuple[float | None, str]:
    """Inside area of a chimney's tile liner, if its size is listed; else the size that is not. [in²]"""
    liner = facts.vent.tile_liner
    if facts.flue != "masonry" or not liner:
        return None, ""
    return (flue.tile_liner_area_in2(liner), "") if flue.is_listed_liner(liner) else (None, liner)


def _is_measured(facts: HouseFacts) -> bool:
    return facts.flue == "type_b" and bool(facts.vent.flue_height_ft and facts.vent.flue_diameter_in)


def _new(heater: Heater) -> flue.FlueAppliance:
    outlet_in = heater.vent_diameter_in or usual("vent.other_outlet_in")
    return flue.FlueAppliance(_NEW, False, heater.power_btuh * heater.n_units, outlet_in)


def _single(
    appliance: flue.FlueAppliance, facts: HouseFacts, *, corrugated_liner: bool = False
) -> Callable[[float], vent_capacity.VentCapacity]:
    """The single-appliance table for one appliance at this place, by diameter."""
    lateral = facts.vent.flue_lateral_ft
    given: dict[str, Any] = {
        "height_ft": facts.vent.flue_height_ft,
        "lateral_ft": float(usual("vent.flue_lateral_ft") if lateral is None else lateral),
        "extra_90": _extra_turns(facts),
        "fan_assisted": appliance.fan_assisted,
        "corrugated_liner": corrugated_liner,
    }
    return lambda diameter_in: vent_capacity.check_type_b(appliance.input_btuh, diameter_in=diameter_in, **given)


def _shared(heater: Heater, facts: HouseFacts) -> vent_capacity.VentCapacity:
    """The common-vent table for what is on it after the change."""
    vent = facts.vent
    other = (facts.gas.furnace_btuh or usual("gas.furnace_btuh")) if vent.is_shared else 0.0
    fan = other if vent.other_is_fan_assisted else 0.0
    return vent_capacity.check_common_vent(
        fan,
        heater.power_btuh * heater.n_units + other - fan,
        height_ft=vent.flue_height_ft or 0.0,
        diameter_in=vent.flue_diameter_in or 0.0,
        extra_90=_extra_turns(facts),
        has_type_b_connectors=vent.has_type_b_connector,
    )


def _extra_turns(facts: HouseFacts) -> int:
    return max((facts.vent.n_flue_turns or 0) - _TURNS_ALLOWED, 0)


def _metal_jobs(
    facts: HouseFacts, capacity: vent_capacity.VentCapacity, alone: flue.FlueAppliance | None
) -> tuple[WorkItem, ...]:
    """What mends a Type B vent that the table finds wrong, or that nobody can judge from here."""
    if capacity.verdict == FITS:
        return ()
    if capacity.verdict == DOES_NOT_FIT:
        return (_new_vent(facts, alone, capacity.finding),)
    if capacity.finding.code == "vent.capacity.both.with_type_b":
        return (item("vent-connector-type-b", capacity.finding),)
    return (item("flue-sizing", capacity.finding),)


def _new_vent(facts: HouseFacts, alone: flue.FlueAppliance | None, why: Finding) -> WorkItem:
    """A Type B vent of another size: the smallest that the table lets pass, where it can tell."""
    size = None
    if alone is not None and facts.vent.flue_height_ft:
        size = vent_capacity.fitting_diameter_in(_single(alone, facts), alone.outlet_diameter_in)
    what = None if size is None else note("vent.remedy.type_b", diameter_in=size)
    return item("vent-type-b", why, what=what)


def _remedies(
    facts: HouseFacts, alone: flue.SharedFlue, appliance: flue.FlueAppliance, *, spare_liner: bool
) -> tuple[WorkItem, ...]:
    """Metal is replaced by metal of the right size; a chimney gets a liner; the unknown is measured first.

    ``spare_liner``: whoever is left alone in a chimney mostly needs a liner, so it is priced before anybody has looked.
    """
    if alone.verdict == FITS:
        return ()
    why = alone.finding
    codes = {one.code for one in alone.reasons}
    certain = alone.verdict == DOES_NOT_FIT or "vent.flue.outdoors.too_cold" in codes
    if facts.flue == "type_b":
        return (_new_vent(facts, appliance, why) if certain else item("flue-sizing", why),)
    if certain or spare_liner or "vent.flue.liner" in codes:
        return (item("chimney-liner", why, may_be_spared=not certain, what=_liner(facts, appliance)),)
    jobs = [item("flue-sizing", why)]
    if "vent.flue.outdoors.connector" in codes:
        jobs.append(item("vent-connector-type-b", note("vent.flue.outdoors.connector")))
    return tuple(jobs)


def _liner(facts: HouseFacts, appliance: flue.FlueAppliance) -> Finding | None:
    """The corrugated liner that carries the appliance at this height, where the table can tell."""
    if not facts.vent.flue_height_ft:
        return None
    check = _single(appliance, facts, corrugated_liner=True)
    size = vent_capacity.fitting_diameter_in(check, appliance.outlet_diameter_in)
    return None if size is None else note("vent.remedy.liner", diameter_in=size)


def _as_found(
    facts: HouseFacts, circumstances: Circumstances, capacity: vent_capacity.VentCapacity | None = None
) -> flue.Flue:
    vent = facts.vent
    kind = {"type_b": "type_b", "masonry": "tile_liner"}.get(facts.flue, "unknown")
    area, unlisted = _tile_area(facts)
    if not (kind == "tile_liner" and vent.tile_liner) and vent.flue_diameter_in:
        area = math.pi / 4 * vent.flue_diameter_in**2
    limit = None if capacity is None else capacity.capacity_btuh
    too_wide = capacity is not None and capacity.finding.code == "vent.capacity.too_wide"
    return flue.Flue(
        kind,
        area,
        exterior=vent.is_exterior_chimney,
        connector_type_b=bool(vent.has_type_b_connector),
        connector_ft=vent.flue_lateral_ft,
        design_f=facts.design_f(float(circumstances.coldest_outdoor_f)),
        table_capacity_btuh=math.inf if too_wide else limit,
        table_least_btuh=limit or 0.0 if too_wide else 0.0,
        unlisted_liner=unlisted,
    )


def _design_assumed(facts: HouseFacts, circumstances: Circumstances) -> tuple[Assumption, ...]:
    if facts.flue != "masonry" or not facts.vent.is_exterior_chimney or facts.vent.design_f is not None:
        return ()
    return (assumption("vent.design_f", facts.design_f(float(circumstances.coldest_outdoor_f))),)


def _mended(found: Finding) -> Finding:
    """A flue that cannot stay as it is takes work: a liner or a new vent stands on the list."""
    return found._replace(severity=min(found.severity, Severity.CARE))


def oil_flue(change: vent_run.VentChange) -> OldFlue:
    """An oil flue: no gas table speaks of it; it is swept and its draft set again with every oil heater."""
    return OldFlue((), (item("flue-sweep", change.finding),), (), None, None)
