"""The water side of a candidate: relief, expansion, scald, hardness, pan, straps, waiting and a loop."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.case.base import Assumption
from advisor.case.usual import assumption, usual
from advisor.circumstances import Circumstances
from advisor.core.findings import Finding, care, note
from advisor.core.verdicts import NEEDS_WORK
from advisor.heaters.catalogue import Heater
from advisor.house.facts import HouseFacts
from advisor.house.items import TradeCheck, WorkItem, item
from advisor.house.water import distribution, water_side

#: A heater this large takes seconds to light and heat its exchanger: 5 to 20 s; from memory, unverified. [s]
_START_DELAY_S = {True: 8.0, False: 0.0}
#: Hardness from which tankless heaters want a scale filter, and from which a softener: our own screening. [gpg]
_FILTER_GPG, _SOFTENER_GPG = 7.0, 10.5


@dataclass(frozen=True)
class WaterDetail:
    """The checks behind the finding; None where they do not apply."""

    expansion: water_side.Expansion | None
    setpoint: water_side.Setpoint
    wait: distribution.Wait | None
    relief_rules: tuple[water_side.Rule, ...]


def check_water(heater: Heater, facts: HouseFacts, circumstances: Circumstances) -> TradeCheck:
    """Everything on the water side of any candidate."""
    water = facts.water
    jobs: list[WorkItem] = []
    findings: list[Finding] = []
    cautions = ["relief_valve", *(["tankless_flow"] if heater.is_tankless else ["leak"])]
    assumed: list[Assumption] = []
    pressure = water.static_pressure_psi or usual("water.static_pressure_psi")
    if pressure > water_side.CODE_LIMIT_PSI:
        limit_psi = water_side.CODE_LIMIT_PSI
        findings.append(care("water.pressure", "IPC 604.8", static_psi=pressure, limit_psi=limit_psi))
        jobs.append(item("pressure-regulator", findings[-1]))
    expansion = None
    if heater.is_storage:
        expansion = _expansion(heater, facts, circumstances, pressure, jobs, findings, assumed)
        cautions += expansion.cautions if expansion.verdict == NEEDS_WORK else ()
    _flow_pressure(facts, jobs, findings)
    # What a tankless heater is set to is what it gives: it is turned down instead of mixed down.
    has_valve = bool(water.has_mixing_valve) or heater.is_tankless
    setpoint = water_side.check_setpoint(circumstances.set_point_f, mixing_valve=has_valve)
    cautions += setpoint.cautions
    if setpoint.verdict == NEEDS_WORK:
        jobs.append(item("mixing-valve", setpoint.finding))
        findings.append(setpoint.finding)
    hardness = _hardness(heater, facts, circumstances.demand.mean_daily_gal, jobs, findings)
    if heater.is_tankless:
        # What the failed one was flushed with serves one unit.
        lacking = heater.n_units - facts.had_tankless
        jobs += [item("isolation-valves", note("water.flush.why"), quantity=lacking)] if lacking else []
    elif facts.case.house.is_over_living_space or circumstances.heater_space == "attic":
        jobs.append(item("drain-pan", note("water.pan.why"), quantity=heater.n_units))
        findings.append(care("water.pan", "IRC P2801.6"))
    if heater.is_storage and water.is_earthquake_country is None:
        way = "strapped" if facts.is_earthquake_country else "none"
        assumed.append(assumption("water.is_earthquake_country", facts.is_earthquake_country, way=way))
    if heater.is_storage and facts.is_earthquake_country:
        jobs.append(item("seismic-straps", note("water.straps.why"), quantity=heater.n_units))
        findings.append(care("water.straps", "UPC 507.2"))
        cautions.append("earthquake")
    wait = _wait(heater, facts, findings)
    if hardness is not None:
        cautions += hardness.cautions
    detail = WaterDetail(expansion, setpoint, wait, water_side.rules("discharge", storage=heater.is_storage))
    return TradeCheck(
        "water",
        tuple(findings) or (note("water.nothing"),),
        tuple(jobs),
        tuple(cautions),
        tuple(assumed),
        (),
        detail,
    )


def _expansion(
    heater: Heater,
    facts: HouseFacts,
    circumstances: Circumstances,
    pressure_psi: float,
    jobs: list[WorkItem],
    findings: list[Finding],
    assumed: list[Assumption],
) -> water_side.Expansion:
    """The expansion tank, at the supply as it is or behind a pressure regulator, with what was not known."""
    water = facts.water
    closed = bool(usual("water.has_closed_system") if water.has_closed_system is None else water.has_closed_system)
    tank_gal = _expansion_tank_gal(facts, assumed)

    def at(supply_psi: float, *, is_closed: bool) -> water_side.Expansion:
        return water_side.check_expansion(
            volume_gal=heater.rated_volume_gal * heater.n_units,
            cold_f=float(circumstances.coldest_mains_f),
            hot_f=circumstances.set_point_f,
            supply_psi=supply_psi,
            closed=is_closed,
            tank_gal=tank_gal,
        )

    expansion = at(pressure_psi, is_closed=closed)
    if expansion.needs_regulator:
        if pressure_psi <= water_side.CODE_LIMIT_PSI:
            findings.append(expansion.finding)
            jobs.append(item("pressure-regulator", expansion.finding))
        # A pressure regulator holds its pressure, and closes the system.
        expansion = at(water_side.REGULATOR_PSI, is_closed=True)
    elif water.has_closed_system is None:
        assumed.append(assumption("water.has_closed_system"))
    if closed and water.static_pressure_psi is None:
        assumed.append(assumption("water.static_pressure_psi"))
    if expansion.verdict == NEEDS_WORK:
        is_large = (expansion.for_code_gal or 0.0) > water_side.LARGEST_TANK_GAL
        jobs.append(item("expansion-tank-large" if is_large else "expansion-tank", expansion.finding))
        findings.append(expansion.finding)
    return expansion


def _expansion_tank_gal(facts: HouseFacts, assumed: list[Assumption]) -> float:
    """Size of the expansion tank that is there: as given, else the usual one, which is told; 0 without one. [gal]"""
    water = facts.water
    if water.expansion_tank_gal is not None:
        return water.expansion_tank_gal
    if not water.has_expansion_tank:
        return 0.0
    assumed.append(assumption("water.expansion_tank_gal"))
    return float(usual("water.expansion_tank_gal"))


def _flow_pressure(facts: HouseFacts, jobs: list[WorkItem], findings: list[Finding]) -> None:
    """Too little pressure with a tap running: no heater mends that, and a tankless one takes some more."""
    dynamic = facts.water.dynamic_pressure_psi
    if dynamic is not None and dynamic < water_side.LEAST_FLOW_PSI:
        least_psi = water_side.LEAST_FLOW_PSI
        findings.append(care("water.flow_pressure", "IPC Table 604.3", dynamic_psi=dynamic, least_psi=least_psi))
        jobs.append(item("low-pressure-check", findings[-1]))


def _hardness(
    heater: Heater, facts: HouseFacts, daily_gal: float, jobs: list[WorkItem], findings: list[Finding]
) -> water_side.Hardness | None:
    grains = facts.water.hardness_gpg
    if grains is None:
        return None
    found = water_side.check_hardness(grains, tankless=heater.is_tankless, daily_use_gpd=daily_gal)
    if heater.is_tankless and grains > _SOFTENER_GPG:
        jobs.append(item("softener", found.finding))
    elif heater.is_tankless and grains > _FILTER_GPG:
        jobs.append(item("scale-filter", found.finding))
    if grains > 3.5:
        findings.append(found.finding)
    return found


def _wait(heater: Heater, facts: HouseFacts, findings: list[Finding]) -> distribution.Wait | None:
    water = facts.water
    if water.farthest_tap_ft is None or water.recirculation != "none":
        return None
    pipe = distribution.Pipe(water.pipe_material, water.pipe_size_in, water.farthest_tap_ft)
    if not distribution.is_listed(pipe):
        findings.append(note("water.wait.unlisted", size=water.pipe_size_in))
        return None
    burns = heater.is_tankless and heater.burns_fuel
    flow = facts.case.household.lavatory_flow_gpm
    wait = distribution.check_wait([pipe], flow_gpm=flow, start_delay_s=_START_DELAY_S[burns])
    findings.append(wait.finding)
    return wait
