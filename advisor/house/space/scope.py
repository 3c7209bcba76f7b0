"""The place where a candidate would stand: height, weather, access, and the air that a heat pump needs."""

from __future__ import annotations

from advisor.case.base import Assumption
from advisor.case.usual import assumption
from advisor.circumstances import Circumstances
from advisor.core.findings import Finding, care, note, stop
from advisor.heaters.candidates import TALL_CLEARANCE_IN
from advisor.heaters.catalogue import Heater, catalogue
from advisor.heaters.heat_pump import LEAST_AIR_WITHOUT_ELEMENT_F
from advisor.house.facts import HeaterUse, HouseFacts
from advisor.house.items import OtherWay, TradeCheck, WorkItem, item
from advisor.house.space import room
from advisor.place.site import FROST_BELOW_F


def check_room(heater: Heater, facts: HouseFacts, circumstances: Circumstances, use: HeaterUse) -> TradeCheck | None:
    """Height, weather, access and air of the candidate's place; None where nothing is to be said."""
    height = facts.case.house.room_height_in
    if height is not None and heater.height_in + TALL_CLEARANCE_IN > height:
        found = stop("room.too_tall", tall_in=heater.height_in, clearance_in=TALL_CLEARANCE_IN, room_height_in=height)
        return TradeCheck("room", (found,), ways_out=_short_models(heater, height))
    assumed: tuple[Assumption, ...] = ()
    if circumstances.heater_space == "outdoors" and heater.is_storage:
        if heater.is_heat_pump or not _stood_outdoors(heater, facts):
            return TradeCheck("room", (stop("room.weather"),))
        assumed = (assumption("house.heater_space", circumstances.heater_space, way="outdoor_closet"),)
    access: tuple[WorkItem, ...] = ()
    if circumstances.heater_space in {"attic", "crawl_space"}:
        access = (item("hard-access", note("room.why.access", place=note(f"space.{circumstances.heater_space}"))),)
    too_cold = _too_cold(heater, float(circumstances.air_f.min())) if heater.is_heat_pump else None
    if too_cold is not None:
        return TradeCheck("room", (too_cold,))
    if heater.is_heat_pump:
        return _heat_pump_room(facts, circumstances, use, access)
    if access or assumed:
        said = care("room.hard_access") if access else note("room.sheltered")
        return TradeCheck("room", (said,), access, (), assumed)
    return None


def _short_models(heater: Heater, height_in: float) -> tuple[OtherWay, ...]:
    """Tanks of the same kind and fuel that go under the ceiling: the nearest in size, at no work of their own."""
    lower = [
        other
        for other in catalogue()
        if other.technology == heater.technology
        and other.fuel == heater.fuel
        and other.height_in + TALL_CLEARANCE_IN <= height_in
    ]
    if not lower or not heater.is_storage:
        return ()
    nearest = min(lower, key=lambda other: (abs(other.nominal_gal - heater.nominal_gal), other.height_in))
    title = note("room.way.short", heater=nearest.title, tall_in=nearest.height_in)
    return (OtherWay(title, 0.0, 0.0, 0.0, (note("room.way.short.compared"),), f"short model {nearest.id}"),)


def _too_cold(heater: Heater, coldest_f: float) -> Finding | None:
    """Air in which a heat pump cannot give hot water all year: it freezes, or nothing stands in for the compressor."""
    if coldest_f < FROST_BELOW_F:
        return stop("room.air.freezes", coldest_f=coldest_f, least_f=FROST_BELOW_F)
    if not heater.technology.has_backup_element and coldest_f < LEAST_AIR_WITHOUT_ELEMENT_F:
        return stop("room.air.no_element", coldest_f=coldest_f, least_f=LEAST_AIR_WITHOUT_ELEMENT_F)
    return None


def _stood_outdoors(heater: Heater, facts: HouseFacts) -> bool:
    """The old heater was of this kind, so what sheltered it shelters this one."""
    failed = facts.case.failed
    return failed.kind == "tank" and failed.fuel == heater.fuel and heater.technology.stands_in_outdoor_closet


def _heat_pump_room(
    facts: HouseFacts, circumstances: Circumstances, use: HeaterUse, access: tuple[WorkItem, ...]
) -> TradeCheck:
    volume = facts.case.house.room_volume_ft3
    cautions = ["heat_pump_air", "heat_pump_drain"]
    jobs = list(access)
    if facts.vent.is_shared:
        # Its fan and its cold air pull at the flue of the flame that stays.
        jobs.append(item("draft-test", note("room.why.beside_flame")))
        cautions.append("heat_pump_beside_flame")
    if volume is None:
        if circumstances.heater_space == "closet":
            jobs.append(item("louvred-door", note("room.why.closet"), assumed=True))
            return TradeCheck("room", (care("room.closet_starves"),), tuple(jobs), tuple(cautions))
        assumed = (assumption("house.room_volume_ft3", room.FULL_COP_FT3, way="heat_pump"),)
        return TradeCheck("room", (note("room.air.assumed"),), tuple(jobs), tuple(cautions), assumed)
    check = room.check_heat_pump_room(
        room_ft3=volume,
        daily_use_gpd=circumstances.demand.mean_daily_gal,
        delivered_btu_per_day=float(circumstances.mean_heat_btu_per_day),
        working_cop=max(use.working_cop, 1.0),
        coldest_f=float(circumstances.air_f.min()),
        hottest_f=float(circumstances.air_f.max()),
        beside_flame=bool(facts.vent.is_shared),
    )
    if volume < room.LEAST_FT3:
        why = note("room.why.small", room_ft3=volume, least_ft3=room.LEAST_FT3)
        jobs.append(item("heat-pump-duct", why))
    elif check.cop_frac is None or check.is_out_of_range:
        # The year's energy already counts what the elements do in such months: most leave it at that.
        jobs.append(item("heat-pump-duct", check.finding, may_be_spared=True))
    return TradeCheck("room", (check.finding,), tuple(jobs), (*check.cautions, *cautions), (), (), check)
