"""A hot-water loop: what it loses, what that costs with a candidate, and how it sits with its burner or compressor."""

from __future__ import annotations

from advisor.case.usual import assumption, usual
from advisor.core.verdicts import FITS
from advisor.demand.recirculation import Loop, Recirculation, check_recirculation
from advisor.heaters.catalogue import Heater
from advisor.house.facts import HeaterUse, HouseFacts
from advisor.house.items import TradeCheck

_PUMP_W = 25.0


def loop_of(facts: HouseFacts) -> Loop | None:
    """The house's loop, or None."""
    if facts.water.recirculation == "none":
        return None
    return Loop(
        facts.water.loop_ft or usual("water.loop_ft"),
        insulation="half_inch" if facts.water.loop_is_insulated else "bare",
        control=facts.water.recirculation,
        pump_w=_PUMP_W,
        loop_f=max(facts.case.household.set_point_f - 5.0, 60.0),
    )


def loop_energy(facts: HouseFacts) -> Recirculation | None:
    """Heat and pump energy of the loop, the same for every candidate; None without one."""
    loop = loop_of(facts)
    if loop is None:
        return None
    return check_recirculation(
        loop, heater_eff_frac=1.0, energy_usd_per_mmbtu=0.0, electricity_usd_per_kwh=0.0, heat_pump=True
    )


def check_loop(heater: Heater, facts: HouseFacts, use: HeaterUse) -> TradeCheck | None:
    """The loop with this candidate; None without one.

    Short cycling of a tankless burner and a cooler compressor are said, not priced: the cure is the pump's control.
    """
    loop = loop_of(facts)
    if loop is None:
        return None
    check = check_recirculation(
        loop,
        heater_eff_frac=use.efficiency_frac,
        energy_usd_per_mmbtu=use.energy_usd_per_mmbtu,
        electricity_usd_per_kwh=facts.electricity_usd_per_kwh,
        tankless_min_btuh=heater.min_input_btuh if heater.is_tankless else None,
        heat_pump=heater.is_heat_pump,
    )
    assumed = () if facts.water.loop_ft else (assumption("water.loop_ft"),)
    return TradeCheck("loop", check.finding, FITS, (), check.cautions, assumed, (), check)
