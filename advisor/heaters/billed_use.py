"""A bill beats a model: the gallons are set so that the failed heater comes to what the bill says.

The failed heater is taken to do as its plain replacement does in homes, as in every figure that is told. What its tank
loses stays as it is; only what is drawn is scaled.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from advisor.case.money import Bill
from advisor.case.record import Case
from advisor.circumstances import Circumstances
from advisor.core.errors import InputError
from advisor.core.findings import care
from advisor.core.kinds import Fuel
from advisor.core.tables import load
from advisor.core.units import BTU_PER_THERM, DAYS_BY_MONTH
from advisor.heaters.annual_energy import annual_energy
from advisor.heaters.candidates import heaters_to_compare, like_for_like
from advisor.heaters.catalogue import Heater
from advisor.heaters.in_homes import energy_in_homes
from advisor.place.emissions import heat_content_btu

#: A bill is not believed beyond these factors on the gallons. Our own choice.
_BELIEVED = (0.2, 4.0)
#: Days of a month's bill; it is read against June to August.
_BILL_DAYS, _SUMMER = 30.0, slice(5, 8)


def by_the_bill(case: Case, met: Circumstances) -> Circumstances:
    """The circumstances with the gallons that the case's bill implies; as they are without a bill.

    Raises
    ------
    InputError
        The bill cannot be read for this heater alone.
    """
    if case.bill is None:
        return met
    fuel = case.failed.fuel
    heater = like_for_like(case, heaters_to_compare(case))
    if heater is None:
        return met
    billed = _for_the_heater(case, case.bill, fuel)
    still, all_of_it = (
        _units(heater, replace(met, demand=met.demand.billed(drawn)), fuel, case.bill) for drawn in (0.0, 1.0)
    )
    factor = (billed - still) / (all_of_it - still)
    if not _BELIEVED[0] <= factor <= _BELIEVED[1]:
        doubt = care("demand.bill_unlikely", ratio_dimensionless=billed / all_of_it)
        return replace(met, demand=replace(met.demand, notes=(*met.demand.notes, doubt)))
    return replace(met, demand=met.demand.billed(factor))


def _for_the_heater(case: Case, bill: Bill, fuel: Fuel) -> float:
    """Units of the bill that the water heater used."""
    if case.household.hot_water_gpd is not None:
        raise InputError(
            "bill", None, "household.hot_water_gpd says already how much is drawn", "leave one of them out"
        )
    key = f"used_{fuel.unit.lower()}"
    used = getattr(bill, key)
    if used is None:
        reason, fix = "a bill for {fuel} counts by the {unit}", "give bill.{key}, or leave the bill out"
        raise InputError(f"bill.{key}", None, reason, fix, fuel=fuel.word, unit=fuel.unit_word, key=key)
    if bill.others_frac is not None:
        return float(used * (1 - bill.others_frac))
    fix = "give bill.others_frac, the share that it used; 0 where the heater has a meter of its own"
    if fuel.is_electric:
        raise InputError("bill.others_frac", None, "an electricity bill carries the rest of the house too", fix)
    if bill.period == "year" and case.house.heating_fuel in (None, fuel):
        reason = "a year's bill may carry the heating too"
        fix = "give a summer month, or bill.others_frac, the share that it used; 0 where the heater has its own meter"
        raise InputError("bill.others_frac", None, reason, fix)
    months = 12 if bill.period == "year" else 1
    therms = months * sum(load("other_burners").find(use)["therm_per_mo"] for use in bill.also_burns)
    left = used - therms * BTU_PER_THERM / heat_content_btu(fuel)
    if left <= 0:
        reason, fix = "{others} alone would use that much", "correct it, or give bill.others_frac"
        raise InputError(f"bill.{key}", used, reason, fix, others=", ".join(bill.also_burns))
    return float(left)


def _units(heater: Heater, met: Circumstances, fuel: Fuel, bill: Bill) -> float:
    """What the model has the heater use of its fuel in the time of the bill."""
    energy = energy_in_homes(heater, annual_energy(heater, met))
    by_month = energy.fuel_btu / heat_content_btu(fuel) if fuel.is_burned else energy.electricity_kwh
    if bill.period == "year":
        return float(np.sum(by_month))
    return float(np.sum(by_month[_SUMMER]) / np.sum(DAYS_BY_MONTH[_SUMMER]) * _BILL_DAYS)
