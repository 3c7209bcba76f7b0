"""The main job: one case in, every candidate compared.

``compare`` reads top to bottom like the sentence it computes: where the house is, what the household draws, which
heaters could serve it, whether each keeps up, what it uses and costs, what the house needs for it, and what that says.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from datetime import date
from functools import cache, cached_property, partial

import numpy as np

from advisor.bench.household_run import HouseholdBench, capacity_on
from advisor.candidate import Candidate, CheckedHeater
from advisor.case.record import Assumption, Case
from advisor.circumstances import Circumstances, circumstances_of
from advisor.core.errors import InputError
from advisor.core.findings import Finding, plain
from advisor.core.kinds import Fuel, electricity, piped_gas
from advisor.core.tables import load, names
from advisor.core.units import BTU_PER_KWH, BTU_PER_THERM
from advisor.demand.household import demand_of
from advisor.heaters.annual_energy import (
    Energy,
    annual_energy,
    in_place_energy_btu_per_yr,
    label_energy,
    parameters_of,
)
from advisor.heaters.candidates import heaters_to_compare, like_for_like, with_parallel_units
from advisor.heaters.catalogue import Heater
from advisor.heaters.hand_sizing import Capacity
from advisor.heaters.rating import label_flags
from advisor.heaters.room_effect import room_energy_btu
from advisor.house.cautions import gravest_first
from advisor.house.facts import HeaterUse, HouseFacts
from advisor.house.gas.from_case import refuse_bad_line
from advisor.house.lead_time import how_soon
from advisor.house.work import check_house
from advisor.money.bill import bills_of
from advisor.money.candidate_costs import candidate_costs_of, rebates_by_candidate
from advisor.money.results import MoneyResults, money_over_the_years
from advisor.money.running_cost import EnergyPrices, running_cost
from advisor.place.emissions import fuel_co2, heat_content_btu
from advisor.place.site import Site, site_of
from advisor.recommendation.rule import Conclusion, conclude, is_eligible, recommend

#: Zones where houses usually have basements; elsewhere the heater usually stands in the garage. Assumed.
_BASEMENT_ZONES = frozenset("45678")


@dataclass(frozen=True)
class Comparison:
    """Everything that was worked out for a case; the cautions are this house's own, the gravest for the pick first."""

    case: Case
    assumed: tuple[Assumption, ...]
    site: Site
    circumstances: Circumstances
    facts: HouseFacts
    install_date: date
    prices: EnergyPrices
    candidates: tuple[Candidate, ...]
    like_for_like_id: str | None
    recommended_id: str | None
    money: MoneyResults
    cautions: tuple[Finding, ...]
    bench: HouseholdBench

    @property
    def recommended(self) -> Candidate | None:
        """The candidate to put in."""
        return None if self.recommended_id is None else self.candidate(self.recommended_id)

    @cached_property
    def conclusion(self) -> Conclusion | None:
        """Why that one; it needs some of the draws, which are made when first asked for."""
        return conclude(self.recommended, self.candidates, self.like_for_like_id)

    def candidate(self, heater_id: str) -> Candidate:
        """The candidate of that id."""
        return next(candidate for candidate in self.candidates if candidate.heater.id == heater_id)


def compare(case: Case, *, today: date | None = None) -> Comparison:
    """Compare every candidate for one case.

    Parameters
    ----------
    case : Case
        The house.
    today : date, optional
        Day of the comparison; decides how stale prices are and, without ``install_date``, what may be made.

    Raises
    ------
    InputError
        The place is not found, a typed-in label lacks a number, the set point does not exceed the cold water, or
        the gas line cannot be.
    """
    today = today or date.today()
    install_date = case.install_date or today
    site, space_assumed = _site(case, today)
    refuse_bad_line(case)
    demand = demand_of(case.household, case.water, site.mains.by_month_f, case.uses)
    circumstances = circumstances_of(case, site, demand)
    prices = _prices(case, site)
    facts = HouseFacts(case, prices.usd_per_unit[electricity()])
    bench = HouseholdBench(circumstances)
    judged = with_parallel_units(heaters_to_compare(case), partial(capacity_on, bench))
    quotes = _quotes(case, {heater.id for heater, _ in judged})
    rebates = rebates_by_candidate(case.rebates, {heater.id: heater.technology for heater, _ in judged})
    checked = [
        _checked(heater, capacity, facts, circumstances, prices, quotes, rebates, install_date)
        for heater, capacity in judged
    ]
    same = like_for_like(case, [heater for heater, _ in judged])
    same_id = same.id if same else None
    money = money_over_the_years(
        [one.costs for one in checked],
        eligible=[is_eligible(one) for one in checked],
        like_for_like_id=same_id,
        economics=case.economics,
        usd_per_unit=prices.usd_per_unit,
        averages=_averages(case),
        us_state=site.location.state,
        base_year=today.year,
    )
    candidates = tuple(Candidate(**vars(one), money=money.of(one.heater.id)) for one in checked)
    recommended = recommend(candidates, same_id)
    assumed = (
        *case.assumed(),
        *space_assumed,
        *demand.assumptions,
        *_site_assumptions(case, site),
        *_money_assumptions(case, money),
    )
    return Comparison(
        case=case,
        assumed=assumed,
        site=site,
        circumstances=circumstances,
        facts=facts,
        install_date=install_date,
        prices=prices,
        candidates=candidates,
        like_for_like_id=same_id,
        recommended_id=recommended.heater.id if recommended else None,
        money=money,
        cautions=_cautions(case, site, demand.notes, candidates, recommended),
        bench=bench,
    )


def _site(case: Case, today: date) -> tuple[Site, tuple[Assumption, ...]]:
    """The place; where the heater stands is assumed from the climate if nobody said."""
    site_with = partial(
        site_of,
        zip_code=case.place.zip_code,
        city=case.place.city,
        state=case.place.state,
        elevation_ft=case.place.elevation_ft,
        supply=case.water.supply,
        measured_mains_f=case.water.measured_cold_f,
        today=today,
    )
    if case.house.heater_space is not None:
        return site_with(heater_space=case.house.heater_space), ()
    site = site_with(heater_space="basement")
    if site.location.climate_zone[:1] not in _BASEMENT_ZONES:
        site = site_with(heater_space="garage")
    reason = f"usual in climate zone {site.location.climate_zone}; assumed"
    return site, (Assumption("house.heater_space", site.heater_space, reason),)


def _prices(case: Case, site: Site) -> EnergyPrices:
    """The bill's own tariffs or prices where given, else the state's averages."""
    bills = bills_of(case)
    own = {fuel: getattr(case.prices, fuel.price_key) for fuel in Fuel.all()}
    per_unit = {fuel: price if price is not None else site.prices[fuel].value for fuel, price in own.items()}
    per_unit |= {fuel: bill.usual_usd_per_unit for fuel, bill in bills.items()}
    keys = {fuel: fuel.account_key for fuel in Fuel.all()}
    charges = {fuel: getattr(case.prices, key) or 0.0 for fuel, key in keys.items() if key}
    fixed = {fuel: bill.fixed_usd_per_mo for fuel, bill in bills.items()}
    return EnergyPrices(
        usd_per_unit=per_unit,
        btu_per_unit=_heat_contents(),
        co2_lb_per_unit=_burned_co2() | {electricity(): site.grid.co2_lb_per_kwh},
        fixed_usd_per_mo=charges | fixed,
        bills=bills,
    )


def _averages(case: Case) -> list[Fuel]:
    """Fuels whose price is a state's average because nobody gave the household's own."""
    billed = {tariff.fuel for tariff in case.tariffs}
    return [fuel for fuel in Fuel.all() if fuel not in billed and getattr(case.prices, fuel.price_key) is None]


@cache
def _heat_contents() -> dict[Fuel, float]:
    return {fuel: heat_content_btu(fuel) for fuel in Fuel.all()}


@cache
def _burned_co2() -> dict[Fuel, float]:
    return {fuel: fuel_co2(fuel).value for fuel in Fuel.all() if fuel.is_burned}


def _quotes(case: Case, known: set[str]) -> dict[str, float]:
    quotes = {f"own-{number}": label.installed_usd for number, label in enumerate(case.heaters, start=1)}
    for number, quote in enumerate(case.quotes, start=1):
        if quote.candidate not in known:
            near = difflib.get_close_matches(quote.candidate, known, n=1)
            fix = f"write {near[0]!r} if that is meant" if near else "'advisor compare --all' lists their ids"
            raise InputError(f"quotes.{number}.candidate", quote.candidate, "there is no such candidate here", fix)
        quotes[quote.candidate] = quote.installed_usd
    return {candidate: price for candidate, price in quotes.items() if price is not None}


def _checked(
    heater: Heater,
    capacity: Capacity,
    facts: HouseFacts,
    circumstances: Circumstances,
    prices: EnergyPrices,
    quotes: dict[str, float],
    rebates: dict[str, float],
    install_date: date,
) -> CheckedHeater:
    case = facts.case
    energy = annual_energy(heater, circumstances)
    gas = piped_gas()
    heating_fuel = case.house.heating_fuel or (gas if gas in case.house.fuels else case.failed.fuel)
    room = room_energy_btu(
        energy.room_heat_btu,
        circumstances.heater_space,
        circumstances.outdoor_f,
        heating_fuel=heating_fuel,
        heating_efficiency_frac=case.house.heating_efficiency_frac,
    )
    account_fuel, fixed_months = _account(heater, case, prices)
    cost = running_cost(
        heater.fuel,
        energy.fuel_btu,
        energy.electricity_kwh,
        prices,
        room_btu_by_fuel=room,
        account_fuel=account_fuel,
        fixed_months=fixed_months,
        timer_frac=case.economics.heat_pump_timer_frac if heater.is_heat_pump else 0.0,
    )
    use = _use(heater, energy, prices)
    house = check_house(heater, facts, circumstances, use)
    costs = candidate_costs_of(
        heater,
        energy,
        cost,
        prices,
        base=house.base,
        work=house.work,
        quote_usd=quotes.get(heater.id),
        rebate_usd=rebates.get(heater.id, 0.0),
        economics=case.economics,
        hardness_gpg=case.water.hardness_gpg,
        standby_btu_per_day=energy.standby_btu_per_day,
        loop_btu_per_day=circumstances.loop.heat_btu_per_day,
    )
    return CheckedHeater(
        heater=heater,
        energy=energy,
        label_energy=label_energy(heater),
        in_place=in_place_energy_btu_per_yr(heater, float(np.sum(energy.heat_btu))),
        running_cost=cost,
        capacity=capacity,
        house=house,
        soon=how_soon(heater, house),
        use=use,
        quote_usd=quotes.get(heater.id),
        costs=costs,
        flags=label_flags(heater, install_date),
    )


def _use(heater: Heater, energy: Energy, prices: EnergyPrices) -> HeaterUse:
    solved = parameters_of(heater)
    bought_btu = float(np.sum(energy.electricity_kwh)) * BTU_PER_KWH
    content = prices.btu_per_unit[heater.fuel]
    return HeaterUse(
        fuel_therm_per_yr=float(np.sum(energy.fuel_btu)) / BTU_PER_THERM,
        working_cop=float(np.sum(energy.heat_btu)) / bought_btu if heater.is_heat_pump else 1.0,
        loss_btuh_per_df=solved.loss_btuh_per_df,
        efficiency_frac=solved.efficiency_frac,
        energy_usd_per_mmbtu=prices.usd_per_unit[heater.fuel] / content * 1e6,
    )


def _account(heater: Heater, case: Case, prices: EnergyPrices) -> tuple[Fuel | None, int]:
    """Which account begins (12 months) or ends (-12): where nothing else burns that fuel, it hangs on the heater."""
    if case.house.uses_gas_otherwise:
        return None, 0
    for fuel in Fuel.all():
        if fuel.is_burned and prices.fixed_usd_per_mo.get(fuel):
            return fuel, 12 * (int(heater.fuel == fuel) - int(case.failed.fuel == fuel))
    return None, 0


def _site_assumptions(case: Case, site: Site) -> list[Assumption]:
    """What the place had to guess, each with the key that changes it."""
    found = []
    if case.water.measured_cold_f is None:
        coldest = round(site.mains.coldest_f, 1)
        found.append(Assumption("water.measured_cold_f", coldest, site.mains.origin.rstrip(".")))
    if case.place.elevation_ft is None:
        found.append(Assumption("place.elevation_ft", site.location.elevation_ft, site.location.elevation_source))
    averages = _averages(case)
    for fuel, price in site.prices.items():
        if (fuel in case.house.fuels or fuel.is_electric) and fuel in averages:
            found.append(
                Assumption(
                    f"prices.{fuel.price_key}",
                    round(price.value, 4),
                    f"{price.period} average of the state, {price.source}",
                )
            )
    return found


def _money_assumptions(case: Case, money: MoneyResults) -> list[Assumption]:
    """What the money over the years takes for granted besides the keys of ``economics``."""
    found = []
    if money.course != case.economics.price_course:
        reason = "the federal outlook ends before the years that are counted do, so prices are held level"
        found.append(Assumption("economics.price_course", money.course, reason))
    if not case.rebates:
        found.append(Assumption("rebates", "none", "only what somebody has promised in writing is taken off a price"))
    return found


def _cautions(
    case: Case, site: Site, notes: tuple[str, ...], candidates: tuple[Candidate, ...], pick: Candidate | None
) -> tuple[Finding, ...]:
    """This house's own: of the heater that is recommended, of the others, of the place and of the household."""
    mine = pick.house.cautions if pick else ()
    others = [name for one in candidates for name in one.house.cautions if name not in mine]
    written = (*site.cautions, *notes, *case.odd())
    rebates = ("rules_change",) if case.rebates else ()
    found = (*gravest_first(mine), *gravest_first(others), *map(plain, written), *gravest_first(rebates))
    return tuple(dict.fromkeys(found))


def sources_used() -> list[dict[str, str]]:
    """Every table the numbers rest on, with edition and state of verification."""
    return [
        {"id": table.id, "title": table.title, "citation": table.citation, "state": table.state}
        for table in map(load, names())
    ]
