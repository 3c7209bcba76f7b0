"""A candidate against the whole house: every trade's finding, one list of work, one verdict."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.heaters.catalogue import Heater
from advisor.house import room
from advisor.house.drain_trade import check_condensate
from advisor.house.facts import HeaterUse, HouseFacts
from advisor.house.gas_trade import check_gas
from advisor.house.items import TradeCheck, WorkItem, base_item, item
from advisor.house.loop_trade import check_loop
from advisor.house.power_trade import check_power
from advisor.house.vent_trade import check_air, check_vent
from advisor.house.water_trade import check_water
from advisor.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK

_TALL_CLEARANCE_IN = 6.0
#: Small jobs that come with any replacement: they are priced, but a house that needs only these fits as it is.
USUAL_JOBS = frozenset({"permit", "permit-electrical", "vent-connector", "gas-trap-and-valve", "isolation-valves"})


@dataclass(frozen=True)
class HouseCheck:
    """A candidate against the house.

    Parameters
    ----------
    verdict, why : str
        ``fits as it is``, ``needs work`` or ``does not fit``, and the reason.
    base, work : WorkItem, tuple of WorkItem
        The plain installation, and what this house adds to it.
    trades : tuple of TradeCheck
        What each trade found.
    cautions : tuple of str
        Ids in the table of cautions.
    assumed : tuple of str
        What was taken for granted, a sentence each.
    """

    verdict: str
    why: str
    base: WorkItem
    work: tuple[WorkItem, ...]
    trades: tuple[TradeCheck, ...]
    cautions: tuple[str, ...]
    assumed: tuple[str, ...]

    @property
    def installed_usd(self) -> tuple[float, float, float]:
        """Low, typical and high price of everything. [$]"""
        items = (self.base, *self.work)
        return (
            sum(job.low_usd for job in items),
            sum(job.typical_usd for job in items),
            sum(job.high_usd for job in items),
        )

    def trade(self, name: str) -> TradeCheck | None:
        """One trade's finding, or None where it has nothing to say."""
        return next((trade for trade in self.trades if trade.trade == name), None)


def check_house(heater: Heater, facts: HouseFacts, use: HeaterUse) -> HouseCheck:
    """What the candidate needs against what the house has.

    Parameters
    ----------
    heater : Heater
        The candidate.
    facts : HouseFacts
        The house.
    use : HeaterUse
        What the model says of the candidate there.
    """
    found = (
        check_gas(heater, facts),
        check_vent(heater, facts),
        check_air(heater, facts),
        check_condensate(heater, facts, use),
        check_power(heater, facts, use),
        check_water(heater, facts),
        check_loop(heater, facts, use),
        check_room(heater, facts, use),
    )
    trades = tuple(trade for trade in found if trade is not None)
    jobs = [job for trade in trades for job in trade.items]
    jobs.append(item("permit", "most towns ask for one when a water heater is replaced"))
    if any(job.is_electrical for job in jobs):
        jobs.append(item("permit-electrical", "a circuit is added"))
    verdict, why = _verdict(trades, jobs)
    cautions = tuple(dict.fromkeys(caution for trade in trades for caution in trade.cautions))
    assumed = tuple(dict.fromkeys(sentence for trade in trades for sentence in trade.assumed))
    return HouseCheck(verdict, why, base_item(heater), tuple(jobs), trades, cautions, assumed)


def _verdict(trades: tuple[TradeCheck, ...], jobs: list[WorkItem]) -> tuple[str, str]:
    blocked = next((trade for trade in trades if trade.verdict == DOES_NOT_FIT), None)
    if blocked is not None:
        return DOES_NOT_FIT, blocked.finding
    work = [job for job in jobs if job.job not in USUAL_JOBS]
    if not work:
        return FITS, "A plain swap, as far as the answers tell."
    largest = max(work, key=lambda job: job.typical_usd)
    count = f"{len(work)} job{'s' if len(work) > 1 else ''}"
    return NEEDS_WORK, f"{count} beyond a plain swap; the largest: {largest.what}."


def check_room(heater: Heater, facts: HouseFacts, use: HeaterUse) -> TradeCheck | None:
    """Height, weather and air of the place where the candidate would stand; None where nothing is to be said."""
    height = facts.case.house.room_height_in
    if height is not None and heater.height_in + _TALL_CLEARANCE_IN > height:
        finding = (
            f"It is {heater.height_in:g} in. tall and needs about {_TALL_CLEARANCE_IN:g} in. above it;"
            f" the space is {height:g} in. high."
        )
        return TradeCheck("room", finding, DOES_NOT_FIT)
    if facts.heater_space == "outdoors" and (heater.is_heat_pump or heater.technology == "gas_storage_atmospheric"):
        return TradeCheck("room", "A heater of this kind may not stand in the weather.", DOES_NOT_FIT)
    if not heater.is_heat_pump:
        return None
    return _heat_pump_room(facts, use)


def _heat_pump_room(facts: HouseFacts, use: HeaterUse) -> TradeCheck:
    volume = facts.case.house.room_volume_ft3
    if volume is None:
        if facts.heater_space == "closet":
            job = item("louvred-door", "a closet holds too little air for a heat pump", assumed=True)
            return TradeCheck("room", "A closet starves a heat pump of air.", NEEDS_WORK, (job,), ("heat_pump_air",))
        assumed = ("The heater's room has 700 ft³ of air or more (assumed; measure it).",)
        return TradeCheck("room", "The room is taken to hold air enough.", FITS, (), ("heat_pump_air",), assumed)
    check = room.check_heat_pump_room(
        room_ft3=volume, daily_use_gpd=facts.daily_gal, delivered_btu_per_day=facts.heat_btu_per_day,
        working_cop=max(use.working_cop, 1.0), coldest_f=float(facts.heater_air_f.min()),
        hottest_f=float(facts.heater_air_f.max()), beside_flame=bool(facts.vent.is_shared),
    )  # fmt: skip
    jobs = (item("heat-pump-duct", f"the room holds {volume:,.0f} ft³ of air, under 450"),) if volume < 450 else ()
    # Cold months and a flame beside it are cautions, not work: the elements take over, a contractor looks.
    return TradeCheck("room", check.finding, NEEDS_WORK if jobs else FITS, jobs, check.cautions, (), (), check)
