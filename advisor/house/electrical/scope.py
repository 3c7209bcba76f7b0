"""The circuit, the panel and the service for a candidate, and what happens when the power is out."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.case.base import Assumption
from advisor.case.usual import assumption, usual
from advisor.circumstances import Circumstances, element_frac
from advisor.core.findings import care, note
from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK
from advisor.heaters.catalogue import Heater
from advisor.house.electrical import circuits, power_cut, service_load
from advisor.house.facts import HeaterUse, HouseFacts
from advisor.house.items import OtherWay, TradeCheck, WorkItem, item, price

#: What a house uses, each a key of the case and a row of the usual values.
_LOADS_KW = ("range_kw", "dryer_kw", "dishwasher_kw", "cooling_kw")
_PANEL_TOP_A = 200.0


@dataclass(frozen=True)
class PowerDetail:
    """The checks behind the finding; None where they do not apply."""

    circuit: circuits.CircuitCheck
    service: service_load.ServiceCheck | None
    panel: service_load.PanelCheck
    cut: power_cut.PowerCut


@dataclass(frozen=True)
class _Old:
    """What the failed heater leaves at its place: a tank's 240 V circuit, a tankless heater's several, an outlet."""

    has_tank_circuit: bool
    has_tankless_circuits: bool
    has_receptacle: bool


def check_power(heater: Heater, facts: HouseFacts, circumstances: Circumstances, use: HeaterUse) -> TradeCheck:
    """Circuit, panel, service and power cut of any candidate.

    Parameters
    ----------
    heater : Heater
        The candidate.
    facts : HouseFacts
        The house.
    circumstances : Circumstances
        What any heater meets in it.
    use : HeaterUse
        What the model says of the candidate there.
    """
    given, old = facts.electrical, _old(facts)
    power_kw = heater.input_kw or (float(usual("heaters.input_kw")) if heater.circuit_v == 240 else None)
    circuit, count, spaces = _circuit(heater, facts, old, power_kw)
    service, assumed = _service(heater, facts, power_kw, old)
    if heater.input_kw is None and power_kw is not None:
        assumed.append(assumption("heaters.input_kw"))
    assumed += _assumed_circuits(heater, facts, old, spaces)
    free = spaces if given.n_free_spaces is None else given.n_free_spaces
    damaged = given.is_damaged_panel and (spaces > 0 or heater.circuit_v == 240)
    panel = service_load.check_panel(spaces_needed=spaces, spaces_free=free, damaged=damaged)
    cut = power_cut.power_cut(
        heater.technology,
        volume_gal=heater.rated_volume_gal,
        loss_btuh_per_df=use.loss_btuh_per_df,
        tank_f=circumstances.set_point_f,
        room_f=float(circumstances.air_f.mean()),
    )
    jobs = _circuit_jobs(heater, facts, old, circuit, count)
    more, ways = _panel_jobs(service, panel, damaged=damaged)
    jobs += more
    findings = [circuit.finding]
    if circuit.keeps_wire:
        jobs.append(item("breaker-swap", circuit.finding))
    elif circuit.verdict != FITS and count == 0:
        # Circuits as many and as large as the old heater's; nobody has read their breakers and wires.
        jobs.append(item("circuit-check", circuit.finding, may_be_spared=True))
    if circuit.verdict != FITS and circuit.circuit is not None and count < heater.n_units:
        findings.append(note("electrical.circuit.old_as_large"))
    findings += [service.finding] if service and service.verdict != FITS else []
    findings += [panel.finding] if panel.verdict != FITS else []
    # A service that is too small can be enlarged: its finding asks for work and is no reason why it cannot be.
    cautions = (*circuit.cautions, *panel.cautions, *(service.cautions if service else ()))
    return TradeCheck(
        "power",
        tuple(findings),
        tuple(jobs),
        cautions,
        tuple(assumed),
        ways,
        PowerDetail(circuit, service, panel, cut),
    )


def _old(facts: HouseFacts) -> _Old:
    given, failed = facts.electrical, facts.case.failed
    electric = failed.fuel.is_electric
    had_240 = given.has_240_v_circuit
    tank = electric and failed.kind != "tankless" if had_240 is None else had_240
    # A heater with a fan was plugged in somewhere.
    had_fan = not electric and (failed.kind == "tankless" or facts.flue in {"plastic", "stainless"})
    outlet = had_fan if given.has_receptacle is None else given.has_receptacle
    return _Old(tank, electric and failed.kind == "tankless", outlet)


def _circuit(
    heater: Heater, facts: HouseFacts, old: _Old, power_kw: float | None
) -> tuple[circuits.CircuitCheck, int, int]:
    """The circuit of one unit, how many units lack theirs, and the breaker spaces that those need."""
    given = facts.electrical
    breaker = given.circuit_a or usual("electrical.circuit_a")
    check = circuits.check_circuit(
        heater.technology,
        power_kw,
        supply_v=given.supply_v,
        existing_breaker_a=breaker if old.has_tank_circuit else None,
        # Nobody has read the wire: the least that the code allows behind that breaker.
        existing_size_awg=circuits.smallest_conductor(breaker, breaker).size_awg if old.has_tank_circuit else None,
        receptacle_near=old.has_receptacle,
        plate_count=heater.n_circuits,
        plate_breaker_a=heater.circuit_a,
    )
    if heater.circuit_v == 120 or check.circuit is None:
        # One outlet serves several plugs, but a plug-in heat pump fills its circuit.
        count = heater.n_units - (check.verdict == FITS) if heater.is_heat_pump else int(check.verdict != FITS)
        return check, count, count
    # One old circuit serves one unit.
    served = check.verdict == FITS or check.keeps_wire or (heater.is_tankless and old.has_tankless_circuits)
    count = heater.n_units - served
    return check, count, check.circuit.spaces * count


def _assumed_circuits(heater: Heater, facts: HouseFacts, old: _Old, spaces: int) -> list[Assumption]:
    given = facts.electrical
    assumed = []
    if given.has_receptacle is None and heater.circuit_v == 120 and heater.burns_fuel | heater.is_heat_pump:
        there = old.has_receptacle
        assumed.append(assumption("electrical.has_receptacle", there, way="there" if there else "none"))
    if heater.circuit_v == 240:
        serves = old.has_tank_circuit if heater.is_storage else old.has_tankless_circuits
        if given.has_240_v_circuit is None:
            way = "none" if not serves else "tank" if heater.is_storage else "tankless"
            assumed.append(assumption("electrical.has_240_v_circuit", serves, way=way))
        if serves and heater.is_storage and given.circuit_a is None:
            assumed.append(assumption("electrical.circuit_a"))
    if spaces and given.n_free_spaces is None:
        assumed.append(assumption("electrical.n_free_spaces", spaces, n=spaces))
    return assumed


def _circuit_jobs(
    heater: Heater, facts: HouseFacts, old: _Old, circuit: circuits.CircuitCheck, count: int
) -> list[WorkItem]:
    """Outlets or circuits for the units that lack them."""
    if count == 0:
        return []
    given, why = facts.electrical, circuit.finding
    if circuit.circuit is None:
        return [item("receptacle-120", why, quantity=count, assumed=given.has_receptacle is None)]
    if circuit.verdict == FITS:
        why = note("electrical.circuit.one_unit")
    guess = given.has_240_v_circuit is None
    if heater.is_storage:
        return [item("circuit-240-30", why, quantity=count, assumed=guess)]
    groups = min(max(circuit.circuit.circuits, 2), 4)
    return [item(f"circuits-240-40-x{groups}", why, quantity=count, assumed=guess)]


def _service(
    heater: Heater, facts: HouseFacts, power_kw: float | None, old: _Old
) -> tuple[service_load.ServiceCheck | None, list[Assumption]]:
    """Service load by every route, for heaters on 240 V; the rest add next to nothing."""
    if heater.circuit_v != 240 or power_kw is None:
        return None, []
    given, house = facts.electrical, facts.case.house
    assumed: list[Assumption] = []

    def known(value: float | None, key: str) -> float:
        if value is None:
            assumed.append(assumption(key))
        return float(usual(key) if value is None else value)

    service_a = known(given.service_a, "electrical.service_a")
    gas_takes = _on_gas(facts)
    range_kw, dryer_kw, dishwasher_kw, cooling_kw = (
        0.0 if getattr(given, key) is None and key in gas_takes else known(getattr(given, key), f"electrical.{key}")
        for key in _LOADS_KW
    )
    area_ft2 = known(house.floor_area_ft2, "house.floor_area_ft2")
    heat_kw = given.electric_heat_kw
    if house.heating_fuel is not None and house.heating_fuel.is_electric:
        heat_kw = known(heat_kw, "electrical.electric_heat_kw")
    # An element takes what the supply lets through it: on 208 V three quarters of its plate.
    per_kw_va = 1000 * float(element_frac(given.supply_v))
    new_va = power_kw * per_kw_va * heater.n_units
    old_va = 0.0
    if old.has_tankless_circuits:
        old_va = new_va if heater.is_tankless else 0.0
    elif facts.case.failed.fuel.is_electric:
        old_va = known(facts.case.failed.input_kw, "failed.input_kw") * per_kw_va
    fixed_kw = [dishwasher_kw, given.car_charger_kw, given.spa_kw, given.other_kw]
    loads = service_load.ServiceLoads(
        floor_area_ft2=area_ft2,
        appliances_va=sum(kw or 0.0 for kw in fixed_kw) * 1000,
        range_va=range_kw * 1000,
        dryer_va=dryer_kw * 1000,
        n_appliances=sum(bool(kw) for kw in fixed_kw),
        water_heater_va=old_va,
        cooling_va=cooling_kw * 1000,
        central_heat_va=(heat_kw or 0.0) * 1000,
    )
    check = service_load.check_service(
        loads,
        service_a=service_a,
        new_heater_va=new_va,
        measured_peak_a=given.measured_peak_a,
        solar=given.has_solar,
        supply_v=given.supply_v,
        # What controls pause: nobody lets a heater of the rooms or the kitchen wait for hot water.
        pausable_va=1000 * max(dryer_kw, given.car_charger_kw or 0.0, given.spa_kw or 0.0),
    )
    return check, assumed


def _on_gas(facts: HouseFacts) -> set[str]:
    """The electric loads that the house does not have because gas does their work."""
    gas = facts.gas
    named = {load.name.lower() for load in gas.outlets}
    named |= {name for name, load in (("range", gas.range_btuh), ("dryer", gas.dryer_btuh)) if load}
    return {f"{name}_kw" for name in named}


def _panel_jobs(
    service: service_load.ServiceCheck | None, panel: service_load.PanelCheck, *, damaged: bool
) -> tuple[list[WorkItem], tuple[OtherWay, ...]]:
    """Room in the panel and amperes in the service: a larger panel brings its own spaces."""
    if service is not None and service.verdict == DOES_NOT_FIT:
        return _service_jobs(service)
    jobs: list[WorkItem] = []
    if damaged:
        jobs.append(item("panel-200", panel.finding, may_be_spared=True))
    elif panel.spaces_short:
        jobs.append(item("subpanel", panel.finding))
    if service is not None and service.verdict == NEEDS_WORK:
        jobs.append(item("load-sharing", service.finding, may_be_spared=True))
    return jobs, ()


def _service_jobs(service: service_load.ServiceCheck) -> tuple[list[WorkItem], tuple[OtherWay, ...]]:
    why = service.finding
    jobs = [item("panel-200", why)] if service.service_a < _PANEL_TOP_A else []
    # The utility may find its wires large enough for 200 A, but hardly for more.
    jobs.append(item("service-upgrade", why, may_be_spared=service.least_a <= _PANEL_TOP_A))
    if not service.can_share:
        return jobs, ()
    low, typical, high = price("load-sharing")
    replaced = tuple(job.job for job in jobs)
    asked = care("electrical.way.share_load.asked")
    way = OtherWay(note("electrical.way.share_load"), low, typical, high, (asked,), "load sharing", replaced)
    return jobs, (way,)
