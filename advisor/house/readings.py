"""The commissioning sheet of a candidate: what the contractor should read when it runs, from the case."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from advisor.case.reading import TakenReading
from advisor.case.usual import usual
from advisor.circumstances import Circumstances
from advisor.core.errors import InputError
from advisor.core.findings import Finding
from advisor.heaters.catalogue import Heater
from advisor.house.commissioning import Reading, Setup, Symptom, commissioning_sheet, symptoms
from advisor.house.condensate.scope import condensate_of
from advisor.house.facts import HeaterUse, HouseFacts
from advisor.house.gas.from_case import gas_system
from advisor.house.gas.piping import HEATER, GasSystem


def readings_for(
    heater: Heater, facts: HouseFacts, circumstances: Circumstances, use: HeaterUse
) -> tuple[Reading, ...]:
    """Every reading with its expected value and range, for one unit.

    Parameters
    ----------
    heater : Heater
        The candidate; of several in parallel each is read alone.
    facts : HouseFacts
        The house.
    circumstances : Circumstances
        What any heater meets in it.
    use : HeaterUse
        What the model says of the candidate there.
    """
    burns_gas = heater.fuel.is_fuel_gas and heater.has_flame
    system = _line(heater, facts, circumstances) if burns_gas else None
    outlet = next(item for item in system.outlets if item.name == HEATER) if system else None
    gph = condensate_of(heater, circumstances, use)[0] if heater.is_condensing else None
    setup = Setup(
        burns_gas=burns_gas,
        natural_draft=burns_gas and heater.technology.is_natural_draft,
        condensing=heater.is_condensing,
        heat_pump=heater.is_heat_pump,
        tankless=heater.is_tankless,
        input_btuh=heater.power_btuh * circumstances.altitude_frac if burns_gas else None,
        heater_eff_frac=heater.usual_recovery_frac if burns_gas else None,
        # What comes by truck is seldom metered, so its dial cannot be clocked.
        # A cubic foot as it flows through the meter at this height holds less gas than one at sea level.
        heating_value_btu_per_ft3=system.btu_per_actual_ft3 if system and not heater.fuel.is_delivered else None,
        # Behind a line regulator the heater never sees the pressure at the meter.
        static_inwc=system.zone_inwc(system.outlet_zone(outlet)) if system and outlet else None,
        least_inwc=system.min_inlet_inwc(outlet) if system and outlet else None,
        most_inwc=outlet.max_inlet_inwc if outlet else None,
        cold_f=float(circumstances.coldest_mains_f),
        set_point_f=circumstances.set_point_f,
        volume_gal=heater.rated_volume_gal if heater.is_storage else 0.0,
        element_kw=_element_kw(heater),
        supply_v=facts.electrical.supply_v,
        condensate_gph=gph / heater.n_units if gph else None,
        supply_psi=facts.water.static_pressure_psi,
        activation_gpm=heater.activation_gpm if heater.is_tankless else None,
        has_power=heater.circuit_v is not None,
    )
    return commissioning_sheet(setup)


def symptoms_of(heater: Heater) -> tuple[Symptom, ...]:
    """What the candidate may do wrong when it first runs, and where to look."""
    return symptoms(
        burns_gas=heater.fuel.is_fuel_gas and heater.has_flame,
        electric=heater.fuel.is_electric,
        tankless=heater.is_tankless,
        heat_pump=heater.is_heat_pump,
    )


def _line(heater: Heater, facts: HouseFacts, circumstances: Circumstances) -> GasSystem | None:
    """The gas line with the candidate; None where it goes beyond the tables, so that no pressure can be expected."""
    try:
        return gas_system(heater, facts, circumstances)[0]
    except InputError:
        return None


def _element_kw(heater: Heater) -> float | None:
    """One element, or one heating group of a tankless heater; None without elements on 240 V. [kW]"""
    if heater.circuit_v != 240:
        return None
    kilowatts = heater.input_kw or float(usual("heaters.input_kw"))
    return kilowatts / (heater.n_circuits or 1) if heater.is_tankless else kilowatts


@dataclass(frozen=True)
class Judged:
    """A value that was read, held against its reading.

    Parameters
    ----------
    reading : Reading
        What the sheet asks.
    taken : TakenReading
        What was typed.
    holds : bool or None
        Whether it lies in the range; None where words stand or there is no range.
    means : Finding or None
        What a value outside the range usually comes from.
    """

    reading: Reading
    taken: TakenReading
    holds: bool | None
    means: Finding | None


def judged(sheet: Sequence[Reading], taken: Sequence[TakenReading], candidate_id: str) -> tuple[Judged, ...]:
    """Everything that was read at one heater, in the order of its sheet; what was read at another is left out."""
    here = [one for one in taken if one.candidate in (None, candidate_id)]
    return tuple(
        _judged(reading, one)
        for reading in sheet
        for one in sorted(here, key=lambda one: one.unit or 1)
        if one.reading == reading.id
    )


def _judged(reading: Reading, taken: TakenReading) -> Judged:
    amount = taken.amount
    if amount is None or (reading.low is None and reading.high is None):
        return Judged(reading, taken, None, None)
    means = reading.means(amount)
    return Judged(reading, taken, means is None, means)
