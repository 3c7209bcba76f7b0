"""Condensate of a candidate: how much water it makes, and how that leaves."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from advisor.case.usual import assumption, usual
from advisor.circumstances import Circumstances
from advisor.core.findings import note
from advisor.core.kinds import Fuel
from advisor.core.verdicts import FITS
from advisor.heaters.catalogue import Heater
from advisor.house.condensate import disposal
from advisor.house.facts import HeaterUse, HouseFacts
from advisor.house.items import TradeCheck, WorkItem, item
from advisor.physics import combustion

#: Heights of the drain outlet above the floor: a wall-hung heater, a tank. Assumed. [in.]
_WALL_OUTLET_IN, _FLOOR_OUTLET_IN = 40.0, 6.0
#: A drain that lies lower, and one that needs a pump. Assumed. [in.]
_LOW_DRAIN_IN, _HIGH_DRAIN_IN = 0.0, 60.0
#: Excess air of a fan-driven condensing burner; assumed.
_EXCESS_AIR_FRAC = 0.30
#: Share of the heat taken from room air that is moisture, for an estimate; assumed.
_LATENT_FRAC = 0.25
_BELOW_ROOMS = frozenset({"attic"})


@dataclass(frozen=True)
class DrainDetail:
    """How the water leaves, and how much there is. [gal/h], [gal/yr]"""

    drain: disposal.Drain
    full_fire_gph: float | None
    gal_per_yr: float


def check_condensate(
    heater: Heater, facts: HouseFacts, circumstances: Circumstances, use: HeaterUse
) -> TradeCheck | None:
    """Drain, pump and neutralizer of a condensing heater or a heat pump; None for the rest."""
    if not (heater.is_condensing or heater.is_heat_pump):
        return None
    full_fire, per_yr = condensate_of(heater, circumstances, use)
    given, assumed = facts.drain, []
    has_low = given.has_gravity_drain
    if has_low is None:
        if not facts.had_condensate:
            assumed.append(assumption("drain.has_gravity_drain"))
        has_low = usual("drain.has_gravity_drain")
    if given.run_ft is None and not facts.had_condensate:
        assumed.append(assumption("drain.run_ft"))
    drain = disposal.check_drain(
        acidic=heater.is_condensing,
        outlet_height_in=_WALL_OUTLET_IN if heater.is_tankless else _FLOOR_OUTLET_IN,
        receptor_height_in=_LOW_DRAIN_IN if has_low else _HIGH_DRAIN_IN,
        run_ft=given.run_ft or usual("drain.run_ft"),
        receptacle_near=True,
        drain_material=given.material,
        septic=bool(given.is_septic),
        coldest_f=float(circumstances.air_f.min()),
        above_rooms=circumstances.heater_space in _BELOW_ROOMS or facts.case.house.is_over_living_space,
    )
    jobs: list[WorkItem] = []
    stays = facts.had_condensate and given.has_gravity_drain is None
    if stays:
        assumed.append(assumption("drain.has_gravity_drain", way="stays"))
    elif drain.way == "pump":
        jobs.append(item("condensate-pump", note("condensate.pump.why")))
    elif drain.way == "gravity":
        jobs.append(item("condensate-drain", note("condensate.drain.why"), assumed=given.has_gravity_drain is None))
    if drain.neutralizer:
        why = note("condensate.acidic.septic") if given.is_septic else note("condensate.acidic")
        jobs.append(item("condensate-neutralizer", why, assumed=given.material == "unknown"))
    if not jobs and drain.verdict != FITS:
        # The old line stays, and what is asked of it has to be looked at.
        jobs.append(item("drain-check", drain.finding, may_be_spared=True))
    made = note("condensate.makes", year_gal=per_yr)
    if full_fire:
        made = note("condensate.makes_at_full_fire", hour_gal=full_fire, year_gal=per_yr)
    return TradeCheck(
        "drain",
        (made, drain.finding),
        tuple(jobs),
        drain.cautions,
        tuple(assumed),
        (),
        DrainDetail(drain, full_fire, per_yr),
    )


def condensate_of(heater: Heater, circumstances: Circumstances, use: HeaterUse) -> tuple[float | None, float]:
    """Condensate at full fire and in a year. [gal/h] (None for a heat pump), [gal/yr]"""
    if heater.is_heat_pump:
        taken = circumstances.mean_heat_btu_per_day * (1 - 1 / max(use.working_cop, 1.0))
        return None, float(disposal.heat_pump_condensate_gpd(taken, _LATENT_FRAC)) * 365
    made = combustion.water_made_gal_per_therm(heater.fuel)
    share = _condensed_frac(heater.fuel, min(heater.recovery_frac or heater.uef, 0.975))
    burns = heater.power_btuh * heater.n_units * circumstances.altitude_frac
    return (
        float(disposal.condensate_gph(burns, made, share)),
        float(disposal.condensate_gal_per_yr(use.fuel_therm_per_yr, made, share)),
    )


@lru_cache(maxsize=1024)
def _condensed_frac(fuel: Fuel, efficiency_frac: float) -> float:
    """Share of the water made that condenses at a quoted efficiency; 0 where the flue stays above its dew point."""
    gas = combustion.fuel_gas(fuel)
    molecule = (gas.carbon_count, gas.hydrogen_count)
    flue_f = float(
        combustion.flue_temperature_f(efficiency_frac, _EXCESS_AIR_FRAC, *molecule, gas.higher_heating_value_btu_per_lb)
    )
    return 0.0 if math.isnan(flue_f) else float(combustion.condensed_frac(flue_f, _EXCESS_AIR_FRAC, *molecule))
