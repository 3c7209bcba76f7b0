"""A hot-water loop with a candidate: what it costs, and how it sits with its burner or compressor."""

from __future__ import annotations

from advisor.case.usual import assumption
from advisor.circumstances import Circumstances
from advisor.core.verdicts import FITS
from advisor.demand.recirculation import NO_LOOP, check_recirculation
from advisor.heaters.catalogue import Heater
from advisor.house.facts import HeaterUse, HouseFacts
from advisor.house.items import TradeCheck, item


def check_loop(heater: Heater, facts: HouseFacts, circumstances: Circumstances, use: HeaterUse) -> TradeCheck | None:
    """The loop with this candidate; None without one.

    Where a burner would cycle or a compressor lose, the cure is the pump's control.
    """
    if circumstances.loop == NO_LOOP:
        return None
    check = check_recirculation(
        circumstances.loop,
        heater_eff_frac=use.efficiency_frac,
        energy_usd_per_mmbtu=use.energy_usd_per_mmbtu,
        electricity_usd_per_kwh=facts.electricity_usd_per_kwh,
        tankless_min_btuh=heater.min_input_btuh if heater.is_tankless else None,
        heat_pump=heater.is_heat_pump,
    )
    assumed = () if facts.water.loop_ft else (assumption("water.loop_ft"),)
    jobs = []
    if check.verdict != FITS:
        # What the loop takes of a heat pump's efficiency is in its year already; a burner that cycles wears out.
        jobs.append(item("loop-control", check.finding, may_be_spared=heater.is_heat_pump))
    return TradeCheck("loop", (check.finding,), tuple(jobs), check.cautions, assumed, (), check)
