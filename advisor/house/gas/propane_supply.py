"""What stands before a propane house's pipes: the tank in the cold, the stages of regulators, a converted heater."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from advisor.case.usual import assumption, usual
from advisor.circumstances import Circumstances
from advisor.core.findings import care, note
from advisor.heaters.catalogue import Heater
from advisor.house.facts import HouseFacts
from advisor.house.gas.propane_tank import least_level_frac, tank_vapor_btuh
from advisor.house.items import OtherWay, TradeCheck, item

#: From here on a heater is more than a tank that was set for a small one may be taken to carry. [Btu/h]
_LARGE_BURNER_BTUH = 75_000.0
_TANK_JOB = "propane-tank"


def with_supply(
    trade: TradeCheck, burns_btuh: float, heater: Heater, facts: HouseFacts, circumstances: Circumstances
) -> TradeCheck:
    """The gas trade of a propane heater with what its supplier has to look at.

    Parameters
    ----------
    trade : TradeCheck
        What was found of the pipes.
    burns_btuh : float
        All appliances together, at this height. [Btu/h]
    heater, facts, circumstances : Heater, HouseFacts, Circumstances
        As for every trade.
    """
    trade = _with_tank(trade, burns_btuh, heater, facts, circumstances)
    if facts.gas.propane_stages == "single":
        # Regulators for houses were made in two stages from 1995 on (NFPA 58, from memory, unverified).
        found = care("gas.propane.single_stage")
        trade = replace(
            trade, findings=(*trade.findings, found), items=(*trade.items, item("propane-regulators", found))
        )
    if facts.gas.heater_is_converted:
        found = care("gas.propane.conversion")
        job = item("propane-conversion", found, quantity=heater.n_units)
        trade = replace(trade, findings=(*trade.findings, found), items=(*trade.items, job))
    return trade


def _with_tank(
    trade: TradeCheck, burns_btuh: float, heater: Heater, facts: HouseFacts, circumstances: Circumstances
) -> TradeCheck:
    size_gal, own_btuh = facts.gas.propane_tank_gal, heater.power_btuh * heater.n_units
    asked = any(job.job == "propane-supply" for job in trade.items)
    if size_gal is None:
        if own_btuh <= _LARGE_BURNER_BTUH or asked:
            return trade
        job = item("propane-supply", note("gas.why.propane_supply", burns_btuh=own_btuh), assumed=True)
        return replace(trade, items=(*trade.items, job))
    level = facts.gas.propane_level_frac
    assumed = trade.assumed
    if level is None:
        level = float(usual("gas.propane_level_frac"))
        assumed = (*assumed, assumption("gas.propane_level_frac"))
    coldest_f = facts.design_f(float(circumstances.coldest_outdoor_f))
    if facts.vent.design_f is None:
        assumed = (*assumed, assumption("vent.design_f", coldest_f))
    gives = tank_vapor_btuh(size_gal, level, coldest_f)
    numbers: dict[str, Any] = {"tank_gal": size_gal, "level_frac": level, "outdoor_f": coldest_f, "gives_btuh": gives}
    if gives >= burns_btuh:
        found = note("gas.propane.tank_enough", burns_btuh=burns_btuh, **numbers)
        return replace(trade, findings=(*trade.findings, found), assumed=assumed)
    found = care("gas.propane.tank_short", burns_btuh=burns_btuh, **numbers)
    if facts.burned_before(heater.fuel) and own_btuh <= (facts.failed_input_btuh or 0.0):
        as_before = note("gas.propane.tank_as_before")
        return replace(trade, findings=(*trade.findings, as_before), assumed=assumed)
    fuller = least_level_frac(size_gal, burns_btuh, coldest_f)
    ways: tuple[OtherWay, ...] = ()
    if fuller is not None:
        title = note("gas.way.fuller_tank", level_frac=fuller)
        told = (care("gas.way.fuller_tank.asks"),)
        ways = (OtherWay(title, 0.0, 0.0, 0.0, told, "fuller tank", (_TANK_JOB,)),)
    return replace(
        trade,
        findings=(*trade.findings, found),
        items=(*trade.items, item(_TANK_JOB, found)),
        assumed=assumed,
        ways_out=(*trade.ways_out, *ways),
    )
