"""The air that a candidate's fire breathes, and whether a fire may stand where it is meant to."""

from __future__ import annotations

from dataclasses import replace

from advisor.case.base import Assumption
from advisor.case.usual import assumption, usual
from advisor.circumstances import Circumstances
from advisor.core.findings import Finding, note
from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK
from advisor.heaters.catalogue import Heater
from advisor.house.air import combustion_air
from advisor.house.facts import HouseFacts
from advisor.house.items import TradeCheck, WorkItem, item
from advisor.house.space import room

_PLACES = {"indoors": "utility_room"}
_WALL_HUNG_IN = 18.0


def check_air(heater: Heater, facts: HouseFacts, circumstances: Circumstances) -> TradeCheck | None:
    """Combustion air and location for a heater that burns fuel; None for the rest.

    Parameters
    ----------
    heater : Heater
        The candidate.
    facts : HouseFacts
        The house.
    circumstances : Circumstances
        What any heater meets in it.
    """
    if not heater.burns_fuel:
        return None
    place = _PLACES.get(circumstances.heater_space, circumstances.heater_space)
    sealed = heater.technology.is_sealed_combustion
    assumed: list[Assumption] = []
    if place == "garage" and heater.is_tankless:
        assumed.append(assumption("house.heater_space", place, way="garage", flame_in=_WALL_HUNG_IN))
    # New tanks of the consumer class are listed as resistant to flammable vapors; from memory, unverified.
    where = room.check_location(
        place,
        burns_fuel=True,
        direct_vent=sealed,
        vapor_resistant=heater.is_storage,
        ignition_height_in=_WALL_HUNG_IN if heater.is_tankless else None,
    )
    if where.verdict == DOES_NOT_FIT:
        return TradeCheck("air", (where.finding,), (), where.cautions, (), (), where)
    if place in {"attic", "crawl_space"}:
        # The way there is the room's matter, not the fire's.
        where = replace(where, finding=note("air.access", place=note(f"space.{place}")), verdict=FITS)
    cautions = (*where.cautions, *(("garage",) if place == "garage" else ()))
    if sealed or place == "outdoors":
        if sealed:
            assumed.append(assumption("heaters", way="sealed"))
        return TradeCheck("air", (where.finding,), (), cautions, tuple(assumed), (), where)
    volume = facts.case.house.room_volume_ft3
    if volume is None:
        assumed.append(assumption("house.room_volume_ft3", way="fire"))
        jobs = _openings(facts, where.finding) if place == "closet" else ()
        return TradeCheck("air", (where.finding,), jobs, cautions, tuple(assumed), (), where)
    beside = (facts.gas.furnace_btuh or usual("gas.furnace_btuh")) if facts.vent.is_shared else 0.0
    if facts.vent.is_shared and facts.gas.furnace_btuh is None:
        assumed.append(assumption("gas.furnace_btuh"))
    fan = beside if facts.vent.other_is_fan_assisted else 0.0
    air = combustion_air.check_combustion_air(
        draft_hood_btuh=heater.power_btuh * heater.n_units + beside - fan, fan_assisted_btuh=fan, room_ft3=volume
    )
    jobs = _openings(facts, air.finding) if air.verdict == NEEDS_WORK else ()
    return TradeCheck("air", (air.finding,), jobs, (*air.cautions, *cautions), tuple(assumed), (), air)


def _openings(facts: HouseFacts, finding: Finding) -> tuple[WorkItem, ...]:
    """Openings for air; where a flame breathed there before, they may be there."""
    return (item("combustion-air", finding, may_be_spared=facts.had_flue),)
