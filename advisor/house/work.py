"""The work a candidate needs in this house: a list of jobs with prices, reasons and who may do them.

Every job and price is a row of the tables ``installed_costs`` and ``work_jobs``. What the case does not say is
assumed in the way that most often holds, and the item says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from advisor.case import Case
from advisor.heaters.catalogue import Heater, catalogue
from advisor.tables import load

FITS, NEEDS_WORK, DOES_NOT_FIT = "fits as it is", "needs work", "does not fit"
#: A tank's branch is usually 1/2 in. and a tankless heater's connection 3/4 in.: common practice, no published source.
_USUAL_TANK_BRANCH = "1/2"
_USUAL_BRANCH_FT = 25.0
_SMALL_BURNER_BTUH = 75_000.0
_METER_LIMIT_BTUH = 250_000.0
_TALL_CLEARANCE_IN = 6.0
#: Small jobs that come with any replacement: they are priced, but a house that needs only these fits as it is.
_USUAL = frozenset({"permit", "permit-electrical", "vent-connector", "gas-trap-and-valve", "isolation-valves"})


@dataclass(frozen=True)
class WorkItem:
    """One job.

    Parameters
    ----------
    job, what : str
        Id in the table of costs, and its description.
    quantity, unit : float, str
        How much of it: each, ft or set.
    low_usd, typical_usd, high_usd : float
        Price of the whole quantity; 10, 50 and 90 percent points. [$]
    why : str
        The number or fact behind it.
    who : str
        Who usually may do it.
    needs_permit : bool
        A permit is usual.
    is_assumed : bool
        Rests on something the case does not say.
    """

    job: str
    what: str
    quantity: float
    unit: str
    low_usd: float
    typical_usd: float
    high_usd: float
    why: str
    who: str
    needs_permit: bool
    is_assumed: bool


@dataclass(frozen=True)
class HouseCheck:
    """A candidate against the house.

    Parameters
    ----------
    verdict, why : str
        ``fits as it is``, ``needs work`` or ``does not fit``, and the reason.
    base, work : WorkItem, tuple of WorkItem
        The plain installation, and what this house adds to it.
    caution_triggers : tuple of str
        Which groups of cautions apply.
    """

    verdict: str
    why: str
    base: WorkItem
    work: tuple[WorkItem, ...]
    caution_triggers: tuple[str, ...]

    @property
    def installed_usd(self) -> tuple[float, float, float]:
        """Low, typical and high price of everything. [$]"""
        items = (self.base, *self.work)
        return (
            sum(item.low_usd for item in items),
            sum(item.typical_usd for item in items),
            sum(item.high_usd for item in items),
        )


@cache
def _costs() -> dict[str, dict[str, Any]]:
    return {row["id"]: row for row in load("installed_costs").rows()}


@cache
def _jobs() -> dict[str, dict[str, Any]]:
    return {row["job"]: row for row in load("work_jobs").rows()}


def item(job: str, why: str, *, quantity: float = 1.0, assumed: bool = False) -> WorkItem:
    """A work item priced from the tables."""
    cost, trade = _costs()[job], _jobs()[job]
    low, typical, high = (cost[f"{name}_usd_per_unit"] * quantity for name in ("low", "typical", "high"))
    return WorkItem(job, cost["description"], quantity, cost["unit"], low, typical, high, why, trade["who"],
                    trade["needs_permit"] == "yes", assumed)  # fmt: skip


def base_item(heater: Heater) -> WorkItem:
    """Heater and plain installation; for a typed-in label, the nearest catalogue heater's price."""
    plain_id = heater.id.removesuffix(f"-x{heater.n_units}")
    if f"base-{plain_id}" not in _costs():
        same = [row for row in catalogue() if row.technology == heater.technology]
        plain_id = min(same, key=lambda row: abs(row.power_btuh - heater.power_btuh)).id
    cost = _costs()[f"base-{plain_id}"]
    low, typical, high = (cost[f"{name}_usd_per_unit"] * heater.n_units for name in ("low", "typical", "high"))
    return WorkItem(f"base-{plain_id}", cost["description"], heater.n_units, cost["unit"], low, typical, high,
                    "heater, fittings and plain installation", "licensed plumber", True, False)  # fmt: skip


def check_house(heater: Heater, case: Case, *, heater_space: str, hardness_gpg: float | None) -> HouseCheck:
    """What the candidate needs against what the house has.

    Parameters
    ----------
    heater : Heater
        The candidate.
    case : Case
        What is known of the house.
    heater_space : str
        Where the heater stands, given or assumed.
    hardness_gpg : float or None
        Hardness, if known. [gpg]
    """
    blocked = _reason_it_cannot_stand_here(heater, case, heater_space)
    jobs = [
        *_gas_jobs(heater, case),
        *_vent_jobs(heater, case),
        *_condensate_jobs(heater, case),
        *_electrical_jobs(heater, case),
        *_water_jobs(heater, case, hardness_gpg),
        *_room_jobs(heater, case, heater_space),
    ]
    jobs += _permit_jobs(jobs)
    real_work = [job for job in jobs if job.job not in _USUAL]
    if blocked:
        verdict, why = DOES_NOT_FIT, blocked
    elif real_work:
        largest = max(real_work, key=lambda job: job.typical_usd)
        jobs_said = f"{len(real_work)} job{'s' if len(real_work) > 1 else ''}"
        verdict, why = NEEDS_WORK, f"{jobs_said} beyond a plain swap; the largest: {largest.what}."
    else:
        verdict, why = FITS, "A plain swap, as far as the answers tell."
    return HouseCheck(verdict, why, base_item(heater), tuple(jobs), _caution_triggers(heater, case))


def _reason_it_cannot_stand_here(heater: Heater, case: Case, space: str) -> str | None:
    height = case.house.room_height_in
    if height is not None and heater.height_in + _TALL_CLEARANCE_IN > height:
        return (
            f"It is {heater.height_in:g} in. tall and needs about {_TALL_CLEARANCE_IN:g} in. above it;"
            f" the space is {height:g} in. high."
        )
    if heater.is_heat_pump and space == "outdoors":
        return "A heat pump tank of this kind is made to stand indoors, in air between about 40 and 90 °F."
    if heater.technology == "gas_storage_atmospheric" and space == "outdoors":
        return "A natural-draft tank may not stand in the weather."
    return None


def _gas_jobs(heater: Heater, case: Case) -> list[WorkItem]:
    if heater.fuel not in {"natural_gas", "propane"}:
        return []
    had_gas = case.failed.fuel == heater.fuel
    size = case.gas.branch_size_in or (_USUAL_TANK_BRANCH if had_gas else None)
    is_assumed = case.gas.branch_size_in is None or case.gas.branch_ft is None
    total = heater.power_btuh * heater.n_units
    needs_more = total > _SMALL_BURNER_BTUH and size in {None, "3/8", "1/2"}
    jobs = []
    if not had_gas or needs_more:
        job = "gas-branch-3-4" if total <= 200_000 else "gas-branch-1"
        length = case.gas.branch_ft or _USUAL_BRANCH_FT
        had = f"a {size} in. branch usually feeds a tank" if had_gas else "no branch runs to the heater"
        jobs.append(item(job, f"{total:,.0f} Btu/h; {had}", quantity=length, assumed=is_assumed))
        jobs.append(item("gas-call-out", "a gas pipe is changed and must be tested"))
    jobs.append(item("gas-trap-and-valve", "a new gas appliance is connected"))
    others = case.gas.other_input_btuh
    if total > _SMALL_BURNER_BTUH and (others is None or others + total > _METER_LIMIT_BTUH):
        known = "other appliances are not known" if others is None else f"with {others:,.0f} Btu/h of others"
        if heater.fuel == "propane":
            jobs.append(item("propane-supply", f"{total:,.0f} Btu/h, {known}", assumed=others is None))
        elif others is not None:
            jobs.append(item("gas-meter", f"{total:,.0f} Btu/h {known}"))
    return jobs


def _vent_jobs(heater: Heater, case: Case) -> list[WorkItem]:
    had_chimney = case.failed.fuel != "electricity" and case.failed.kind == "tank"
    had_chimney = had_chimney and case.vent.flue not in {"plastic", "stainless", "none"}
    jobs = []
    if heater.vent_category in {"I", "oil"}:
        if had_chimney:
            return [item("vent-connector", "the old connector is renewed and the draft tested")]
        return [item("chimney-liner", "there is no flue for a natural-draft heater", assumed=case.vent.flue is None)]
    if heater.burns_fuel:
        stainless = heater.technology == "gas_tankless_noncondensing"
        has_one = case.vent.flue == ("stainless" if stainless else "plastic")
        if not has_one:
            job = "vent-stainless" if stainless else "vent-plastic"
            why = f"Category {heater.vent_category} exhaust may not use the old flue"
            jobs.append(item(job, why, quantity=heater.n_units, assumed=case.vent.flue is None))
            jobs += _longer_vent(heater, case, stainless)
    if had_chimney:
        if case.vent.is_shared:
            jobs.append(item("chimney-liner", "the furnace stays alone on a flue sized for two"))
        else:
            why = "the old flue is no longer used"
            jobs.append(item("flue-cap", why, assumed=case.vent.is_shared is None))
    return jobs


def _longer_vent(heater: Heater, case: Case, stainless: bool) -> list[WorkItem]:
    included_ft = 6.0 if stainless else 10.0
    jobs = []
    if case.vent.run_ft is not None and case.vent.run_ft > included_ft:
        job = "vent-stainless-extra" if stainless else "vent-plastic-extra"
        extra = (case.vent.run_ft - included_ft) * heater.n_units
        jobs.append(item(job, f"the run is {case.vent.run_ft:g} ft", quantity=extra))
    if case.vent.n_elbows:
        jobs.append(item("vent-elbow", "the route bends", quantity=case.vent.n_elbows * heater.n_units))
    return jobs


def _condensate_jobs(heater: Heater, case: Case) -> list[WorkItem]:
    if not (heater.is_condensing or heater.is_heat_pump):
        return []
    has_drain = case.drain.has_gravity_drain
    drips = "makes acidic water as it runs" if heater.is_condensing else "drips water from the air"
    if has_drain is False:
        jobs = [item("condensate-pump", f"it {drips} and no drain lies lower")]
    else:
        jobs = [item("condensate-drain", f"it {drips}", assumed=has_drain is None)]
    if heater.is_condensing:
        septic = " and the house drains to a septic tank" if case.drain.is_septic else ""
        jobs.append(item("condensate-neutralizer", f"its water has a pH of about 3 to 5{septic}"))
    return jobs


def _electrical_jobs(heater: Heater, case: Case) -> list[WorkItem]:
    electrical, jobs = case.electrical, []
    if heater.circuit_v == 120 and not electrical.has_receptacle:
        why = "fan and controls plug in" if heater.burns_fuel else "it plugs in"
        jobs.append(item("receptacle-120", why, assumed=electrical.has_receptacle is None))
    if heater.circuit_v == 240 and heater.is_storage:
        had_one = electrical.has_240_v_circuit
        had_one = case.failed.fuel == "electricity" if had_one is None else had_one
        if not had_one:
            why = "no 240 V circuit ends at the heater"
            jobs.append(item("circuit-240-30", why, assumed=electrical.has_240_v_circuit is None))
    if heater.technology == "electric_tankless":
        assert heater.n_circuits is not None and heater.input_kw is not None
        why = f"{heater.input_kw:g} kW draws {heater.input_kw * 1000 / 240:.0f} A"
        jobs.append(item(f"circuits-240-40-x{int(heater.n_circuits)}", why, quantity=heater.n_units))
        service = electrical.service_a
        if service is None or service <= 100:
            known = f"the service is {service:g} A" if service else "most older services are 100 A"
            jobs.append(item("panel-200", f"{why}; {known}", assumed=service is None))
            jobs.append(item("service-upgrade", f"{why}; {known}", assumed=service is None))
    elif jobs and any(job.job == "circuit-240-30" for job in jobs) and electrical.n_free_spaces in {0, 1}:
        jobs.append(item("subpanel", f"{electrical.n_free_spaces} free breaker spaces; a 240 V circuit takes two"))
    return jobs


def _water_jobs(heater: Heater, case: Case, hardness_gpg: float | None) -> list[WorkItem]:
    jobs = []
    if heater.is_storage and case.water.has_closed_system:
        jobs.append(item("expansion-tank", "a check valve or pressure regulator closes the system"))
    if heater.is_storage and case.household.set_point_f > 125:
        jobs.append(item("mixing-valve", f"the tank is set to {case.household.set_point_f:g} °F"))
    if case.water.static_pressure_psi is not None and case.water.static_pressure_psi > 80:
        jobs.append(item("pressure-regulator", f"static pressure is {case.water.static_pressure_psi:g} psi"))
    if heater.is_tankless:
        jobs.append(item("isolation-valves", "to flush scale out once a year", quantity=heater.n_units))
        if hardness_gpg is not None and hardness_gpg > 10.5:
            jobs.append(item("softener", f"{hardness_gpg:.0f} grains a gallon plugs a tankless heater"))
        elif hardness_gpg is not None and hardness_gpg > 7:
            jobs.append(item("scale-filter", f"{hardness_gpg:.0f} grains a gallon"))
    if heater.is_storage and case.house.is_over_living_space:
        jobs.append(item("drain-pan", "a leak would run into rooms", quantity=heater.n_units))
    return jobs


def _room_jobs(heater: Heater, case: Case, space: str) -> list[WorkItem]:
    volume = case.house.room_volume_ft3
    if heater.is_heat_pump and volume is not None and volume < 450:
        return [item("heat-pump-duct", f"the room holds {volume:g} ft³ of air; below about 450 it starves")]
    if heater.is_heat_pump and volume is None and space == "closet":
        return [item("louvred-door", "a closet holds too little air for a heat pump", assumed=True)]
    if heater.technology == "gas_storage_atmospheric" and volume is not None:
        burners = heater.power_btuh * heater.n_units
        if volume < 50 * burners / 1000:
            why = f"{volume:g} ft³ of room for {burners:,.0f} Btu/h; 50 ft³ per 1,000 Btu/h is the standard method"
            return [item("combustion-air", why)]
    if space == "attic":
        return [item("hard-access", "the heater stands in the attic")]
    return []


def _permit_jobs(jobs: list[WorkItem]) -> list[WorkItem]:
    permits = [item("permit", "most towns ask for one when a water heater is replaced")]
    if any(_jobs()[job.job]["is_electrical"] == "yes" for job in jobs):
        permits.append(item("permit-electrical", "a circuit is added"))
    return permits


def _caution_triggers(heater: Heater, case: Case) -> tuple[str, ...]:
    triggers = ["always"]
    if heater.burns_fuel:
        triggers.append("fuel_burning")
    if heater.fuel == "propane":
        triggers.append("propane")
    if heater.is_condensing:
        triggers.append("condensing")
    if heater.fuel == "electricity":
        triggers.append("electric")
    if heater.is_heat_pump:
        triggers.append("heat_pump")
    triggers.append("tankless" if heater.is_tankless else "storage")
    if case.household.set_point_f > 120:
        triggers.append("hot_storage")
    return tuple(triggers)
