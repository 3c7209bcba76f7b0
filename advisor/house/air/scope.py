"""The air that a candidate's fire breathes, and whether a fire may stand where it is meant to."""

from __future__ import annotations

import math
from dataclasses import replace

from advisor.case.base import Assumption
from advisor.case.usual import assumption, usual
from advisor.circumstances import Circumstances
from advisor.core.findings import note
from advisor.core.verdicts import FITS
from advisor.heaters.catalogue import Heater
from advisor.house.air import combustion_air
from advisor.house.facts import HouseFacts
from advisor.house.items import OtherWay, TradeCheck, WorkItem, item, price
from advisor.house.space import room

_PLACES = {"indoors": "utility_room"}
_SLEEPING = frozenset({"bedroom", "bathroom"})
#: Places that no opening may join to the rooms of the house, or that stand open to outdoors.
_NO_NEXT_ROOMS = frozenset({"garage", "attic", "crawl_space"})
#: Cubic feet of next rooms for each square foot of the home: half of it, 8 ft high.
_STOREY_SHARE_FT = 4.0


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
    if not heater.has_flame:
        return None
    place = _PLACES.get(circumstances.heater_space, circumstances.heater_space)
    sealed = heater.technology.is_sealed_combustion
    assumed: list[Assumption] = []
    house = facts.case.house
    flame_in = house.flame_height_in
    if place == "garage" and flame_in is None and heater.is_tankless:
        flame_in = float(usual("house.flame_height_in", "wall_hung"))
        assumed.append(assumption("house.flame_height_in", way="wall_hung"))
    # A measured height is judged; of a tank whose height nobody says the listing is taken for granted.
    listed = heater.is_storage and house.flame_height_in is None
    if place == "garage" and listed:
        assumed.append(assumption("heaters", way="vapors"))
    sleeping = house.closet_opens_to if place == "closet" and house.closet_opens_to in _SLEEPING else None
    if place == "closet" and house.closet_opens_to is None:
        assumed.append(assumption("house.closet_opens_to"))
    where = room.check_location(
        sleeping or place,
        burns_fuel=True,
        direct_vent=sealed,
        vapor_resistant=listed,
        ignition_height_in=flame_in,
        sealed_enclosure=sleeping is not None,
    )
    mends = _location_jobs(where, sleeping, sealed=sealed, has_sealed_closet=bool(house.has_sealed_closet))
    if place in {"attic", "crawl_space"}:
        # The way there is the room's matter, not the fire's.
        where = replace(where, finding=note("air.access", place=note(f"space.{place}")), verdict=FITS)
    cautions = (*where.cautions, *(("garage",) if place == "garage" else ()))
    if sealed or place == "outdoors":
        if sealed:
            assumed.append(assumption("heaters", way="sealed"))
        return TradeCheck("air", (where.finding,), mends, cautions, tuple(assumed), (), where)
    volume = facts.case.house.room_volume_ft3
    if volume is None and place != "closet":
        assumed.append(assumption("house.room_volume_ft3", way="fire"))
        return TradeCheck("air", (where.finding,), mends, cautions, tuple(assumed), (), where)
    if volume is None:
        volume = usual("house.room_volume_ft3", "closet")
        assumed.append(assumption("house.room_volume_ft3", volume, way="closet"))
    # Behind a sealed door the air comes from outdoors alone.
    air, guessed = _checked(heater, facts, place, float(volume), barred=("indoor_same_storey",) if sleeping else ())
    jobs, ways = _priced(facts, air)
    said = (where.finding, air.finding) if mends else (air.finding,)
    return TradeCheck("air", said, (*mends, *jobs), (*air.cautions, *cautions), (*assumed, *guessed), ways, air)


def _location_jobs(
    where: room.Location, sleeping: str | None, *, sealed: bool, has_sealed_closet: bool
) -> tuple[WorkItem, ...]:
    """What makes a place fit for a flame: a closet shut off from where people sleep, a flame lifted off the floor."""
    if where.finding.code == "room.garage.too_low":
        return (item("flame-stand", where.finding),)
    if sleeping is None:
        return ()
    if sealed or has_sealed_closet:
        return (item("co-alarm", where.finding),)
    return (item("sealed-closet", where.finding), item("co-alarm", note("room.why.sleeping")))


def _checked(
    heater: Heater, facts: HouseFacts, place: str, volume_ft3: float, *, barred: tuple[str, ...]
) -> tuple[combustion_air.CombustionAir, list[Assumption]]:
    """All that burns in the room against its volume, with every way to bring in what it lacks."""
    house = facts.case.house
    furnace_btuh, breathes, assumed = _furnace(facts)
    hood = furnace_btuh if breathes == "draft_hood" else 0.0
    fan = furnace_btuh if breathes == "fan" else 0.0
    joined = house.joined_ft3
    if place in _NO_NEXT_ROOMS:
        joined = 0.0
    elif joined is None:
        joined = max((house.floor_area_ft2 or usual("house.floor_area_ft2")) * _STOREY_SHARE_FT - volume_ft3, 0.0)
        assumed.append(assumption("house.joined_ft3", joined))
    outlets_in = [heater.vent_diameter_in or usual("vent.other_outlet_in")] * heater.n_units
    if hood or fan:
        outlets_in.append(facts.vent.other_outlet_in or usual("vent.other_outlet_in"))
    there = None
    if house.air_openings and house.air_opening_in2:
        there = house.air_openings, house.air_opening_in2
    air = combustion_air.check_combustion_air(
        draft_hood_btuh=heater.power_btuh * heater.n_units + hood + (house.others_hood_btuh or 0.0),
        fan_assisted_btuh=fan + (house.others_fan_btuh or 0.0),
        room_ft3=volume_ft3,
        joined_ft3=joined,
        infiltration_ach=house.infiltration_ach,
        barred=("indoor_same_storey",) if place in _NO_NEXT_ROOMS else barred,
        connectors_in2=sum(math.pi / 4 * outlet_in**2 for outlet_in in outlets_in),
        there=there,
    )
    if air.verdict == FITS:
        assumed = [one for one in assumed if one.field != "house.joined_ft3"]
    return air, assumed


def _furnace(facts: HouseFacts) -> tuple[float, str, list[Assumption]]:
    """Input of the furnace in the room and how it takes its air; who shares the flue shares the room."""
    house = facts.case.house
    given_btuh = facts.gas.furnace_btuh
    given_btuh = given_btuh or next((one.input_btuh for one in facts.gas.outlets if one.name == "furnace"), None)
    burns = house.heating_fuel is not None and house.heating_fuel.is_burned
    if not (facts.vent.is_shared or given_btuh or burns or house.furnace_breathes in {"draft_hood", "fan"}):
        is_unsaid = house.furnace_breathes is None and house.heating_fuel is None
        return 0.0, "elsewhere", [assumption("house.furnace_breathes", way="unsaid")] if is_unsaid else []
    assumed = []
    breathes = house.furnace_breathes
    if breathes is None and facts.vent.is_shared:
        breathes = "fan" if facts.vent.other_is_fan_assisted else "draft_hood"
    elif breathes is None:
        breathes = usual("house.furnace_breathes")
        furnace_btuh = given_btuh or usual("gas.furnace_btuh")
        assumed.append(assumption("house.furnace_breathes", breathes, furnace_btuh=furnace_btuh))
    if breathes not in {"draft_hood", "fan"}:
        return 0.0, breathes, []
    if given_btuh is None:
        assumed.append(assumption("gas.furnace_btuh"))
    return float(given_btuh or usual("gas.furnace_btuh")), breathes, assumed


def _priced(facts: HouseFacts, air: combustion_air.CombustionAir) -> tuple[tuple[WorkItem, ...], tuple[OtherWay, ...]]:
    """The cheapest openings as a job, the rest as other ways; where a flame breathed before, they may be there."""
    if air.verdict == FITS:
        return (), ()
    first, *rest = air.ways_out
    ways = []
    for way in rest:
        low, typical, high = price(way.job)
        sized = note("air.way.sized", n=way.openings, free_in2=way.free_area_in2)
        kind = f"air {way.arrangement.replace('_', ' ')}"
        title = note(f"job.{way.job}")
        ways.append(OtherWay(title, low, typical, high, (sized, way.rule), kind, (first.job,)))
    return (item(first.job, air.finding, may_be_spared=facts.had_flue),), tuple(ways)
