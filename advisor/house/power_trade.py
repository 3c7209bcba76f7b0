"""The circuit, the panel and the service for a candidate, and what happens when the power is out."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.heaters.catalogue import Heater
from advisor.house import electrical, power_cut, service_load
from advisor.house.facts import HeaterUse, HouseFacts
from advisor.house.items import OtherWay, TradeCheck, WorkItem, item, price
from advisor.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK, gravest

#: Loads of a house where nobody told us: a 100 A service with electric range, dryer, dishwasher and cooling.
#: Typical, from memory, unverified. [A], [kW], [ft²]
_USUAL = {"service_a": 100.0, "range_kw": 12.0, "dryer_kw": 5.0, "dishwasher_kw": 1.2, "cooling_kw": 5.0}
_USUAL_FLOOR_FT2 = 1_800.0
_USUAL_ELEMENT_KW = 4.5
_PANEL_TOP_A = 200.0


@dataclass(frozen=True)
class PowerDetail:
    """The checks behind the finding; None where they do not apply."""

    circuit: electrical.CircuitCheck
    service: service_load.ServiceCheck | None
    panel: service_load.PanelCheck
    cut: power_cut.PowerCut


def check_power(heater: Heater, facts: HouseFacts, use: HeaterUse) -> TradeCheck:
    """Circuit, panel, service and power cut of any candidate."""
    given = facts.electrical
    assumed: list[str] = []
    had_electric_tank = facts.case.failed.fuel == "electricity" and facts.case.failed.kind != "tankless"
    has_240 = given.has_240_v_circuit if given.has_240_v_circuit is not None else had_electric_tank
    receptacle = bool(given.has_receptacle)
    if given.has_receptacle is None and heater.circuit_v == 120:
        assumed.append("No 120 V outlet is within reach of the heater (assumed; look).")
    power_kw = heater.input_kw or (_USUAL_ELEMENT_KW if heater.circuit_v == 240 else None)
    circuit = electrical.check_circuit(
        heater.technology, power_kw, supply_v=given.supply_v,
        existing_breaker_a=(given.circuit_a or 30.0) if has_240 else None,
        existing_size_awg="10" if has_240 else None, receptacle_near=receptacle,
    )  # fmt: skip
    service, service_assumed = _service(heater, facts, power_kw, had_electric_tank)
    spaces = circuit.spaces_needed * heater.n_units
    free = given.n_free_spaces if given.n_free_spaces is not None else spaces
    panel = service_load.check_panel(spaces_needed=spaces, spaces_free=free, damaged=given.is_damaged_panel)
    if spaces and given.n_free_spaces is None:
        assumed.append(f"The panel has {spaces} free breaker spaces (assumed; count them).")
    cut = power_cut.power_cut(
        heater.technology, volume_gal=heater.rated_volume_gal if heater.is_storage else 0.0,
        loss_btuh_per_df=use.loss_btuh_per_df if heater.is_storage and use.loss_btuh_per_df > 0 else None,
        tank_f=facts.case.household.set_point_f, room_f=float(facts.heater_air_f.mean()),
    )  # fmt: skip
    jobs, ways = _jobs(heater, circuit, service, panel)
    if service is not None:
        assumed += service_assumed
    findings = [circuit.finding, *([service.finding] if service and service.verdict != FITS else [])]
    findings += [panel.finding] if panel.verdict != FITS else []
    # A service that is too small can be enlarged: that is work, not a reason why it cannot be.
    verdict = gravest(*(min(v, NEEDS_WORK, key=_rank) for v in (circuit.verdict, panel.verdict)),
                      NEEDS_WORK if jobs else FITS)  # fmt: skip
    cautions = (*circuit.cautions, *panel.cautions, *(service.cautions if service else ()))
    return TradeCheck("power", " ".join(findings), verdict, tuple(jobs), cautions, tuple(assumed), ways,
                      PowerDetail(circuit, service, panel, cut))  # fmt: skip


def _rank(verdict: str) -> int:
    return (FITS, NEEDS_WORK, DOES_NOT_FIT).index(verdict)


def _service(
    heater: Heater, facts: HouseFacts, power_kw: float | None, had_electric_tank: bool
) -> tuple[service_load.ServiceCheck | None, list[str]]:
    """Service load by every route, for heaters on 240 V; the rest add next to nothing."""
    if heater.circuit_v != 240 or power_kw is None:
        return None, []
    given, house = facts.electrical, facts.case.house
    read, missing = {}, []
    burns_gas = {"range_kw": facts.gas.range_btuh, "dryer_kw": facts.gas.dryer_btuh}
    for key, usual in _USUAL.items():
        value = getattr(given, key)
        if value is None:
            value = 0.0 if burns_gas.get(key) else usual
            if not burns_gas.get(key):
                missing.append(
                    f"{key.removesuffix('_kw').removesuffix('_a')} {usual:g} {'A' if key == 'service_a' else 'kW'}"
                )
        read[key] = value
    area = house.floor_area_ft2 or _USUAL_FLOOR_FT2
    if house.floor_area_ft2 is None:
        missing.append(f"floor area {area:,.0f} ft²")
    fixed = read["range_kw"] + read["dryer_kw"] + read["dishwasher_kw"] + (given.other_kw or 0.0)
    loads = service_load.ServiceLoads(
        floor_area_ft2=area,
        appliances_va=fixed * 1000,
        water_heater_va=_USUAL_ELEMENT_KW * 1000 if had_electric_tank else 0.0,
        cooling_va=read["cooling_kw"] * 1000,
        central_heat_va=(given.electric_heat_kw or 0.0) * 1000,
    )
    check = service_load.check_service(
        loads, service_a=read["service_a"], new_heater_va=power_kw * 1000 * heater.n_units,
        measured_peak_a=given.measured_peak_a, solar=given.has_solar, supply_v=given.supply_v,
    )  # fmt: skip
    assumed = f"For the service load: {', '.join(missing)} (typical, from memory, unverified)." if missing else ""
    return check, [assumed] if assumed else []


def _jobs(
    heater: Heater, circuit: electrical.CircuitCheck, service: service_load.ServiceCheck | None,
    panel: service_load.PanelCheck,
) -> tuple[list[WorkItem], tuple[OtherWay, ...]]:  # fmt: skip
    jobs: list[WorkItem] = []
    ways: tuple[OtherWay, ...] = ()
    if circuit.verdict != FITS and circuit.circuit is None:
        jobs.append(item("receptacle-120", circuit.finding.rstrip("."), quantity=1))
    elif circuit.verdict != FITS and circuit.circuit is not None:
        count = min(max(circuit.circuit.circuits, 1), 4)
        job = "circuit-240-30" if heater.is_storage else f"circuits-240-40-x{max(count, 2)}"
        jobs.append(item(job, circuit.finding.rstrip("."), quantity=heater.n_units))
    if panel.spaces_short:
        jobs.append(item("subpanel", panel.finding.rstrip(".")))
    if service is None or service.verdict == FITS:
        return jobs, ways
    why = service.finding.rstrip(".")
    if service.verdict == NEEDS_WORK:
        jobs.append(item("load-sharing", why, may_be_spared=True))
        return jobs, ways
    least = min(route.after_a for route in service.routes)
    low, typical, high = price("load-sharing")
    note = "An electrician must find one that may pause while water is heated."
    ways = (OtherWay("Share the load with another appliance", low, typical, high, (note,), "load sharing"),)
    jobs.append(item("panel-200", why))
    if least > _PANEL_TOP_A or service.service_a < _PANEL_TOP_A:
        jobs.append(item("service-upgrade", why, may_be_spared=least <= _PANEL_TOP_A))
    return jobs, ways
