"""The main job: one case in, every candidate compared.

``compare`` reads top to bottom like the sentence it computes: where the house is, what its people draw, what a heater
meets there and what energy costs; which heaters could serve it and whether each keeps up; what each uses, what the
house needs for it and what it costs; and what that says.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import partial

import numpy as np

from advisor.bench.household_run import HouseholdBench, capacity_on
from advisor.candidate import Candidate, CheckedHeater
from advisor.case.record import Assumption, Case
from advisor.circumstances import Circumstances, circumstances_of
from advisor.core.findings import Finding, note
from advisor.core.frozen import freeze
from advisor.core.kinds import electricity
from advisor.core.verdicts import FALLS_SHORT
from advisor.demand.household import demand_of
from advisor.heaters.annual_energy import Energy, annual_energy, in_place_energy_btu_per_yr, label_energy
from advisor.heaters.billed_use import by_the_bill
from advisor.heaters.candidates import (
    heaters_to_compare,
    like_for_like,
    own_heaters,
    usual_tank_gal,
    with_asked_units,
    with_parallel_units,
)
from advisor.heaters.catalogue import Heater
from advisor.heaters.hand_sizing import Capacity, hand_method
from advisor.heaters.in_homes import energy_in_homes
from advisor.heaters.keeping_up import settled
from advisor.heaters.label_limits import label_flags
from advisor.heaters.regional_rules import sale_of
from advisor.heaters.room_effect import heating_fuel_of, room_energy_btu, taken_from_room_btu
from advisor.house.cautions import gravest_first
from advisor.house.facts import HouseFacts, use_of
from advisor.house.gas.from_case import refuse_bad_line
from advisor.house.lead_time import lead_time_of
from advisor.house.work import check_house
from advisor.money.candidate_costs import candidate_costs_of
from advisor.money.energy_prices import EnergyPrices, account_of, prices_of
from advisor.money.offer_check import CheckedOffer, checked_offers
from advisor.money.offers import Offers, offers_of
from advisor.money.results import MoneyResults, money_over_the_years
from advisor.money.results import assumptions as money_assumptions
from advisor.money.running_cost import RunningCost, running_cost
from advisor.place.site import Site, site_for
from advisor.recommendation.kinds import is_eligible
from advisor.recommendation.repair import Repair, repair_of
from advisor.recommendation.rule import Advice, advise
from advisor.recommendation.successor import with_successors


@dataclass(frozen=True)
class Comparison:
    """Everything that was worked out for a case; the cautions are this house's own, the gravest for the pick first.

    People whose cases are equal share one, so that its arrays can only be read and its dicts are views.
    """

    case: Case
    assumed: tuple[Assumption, ...]
    site: Site
    circumstances: Circumstances
    facts: HouseFacts
    install_date: date
    prices: EnergyPrices
    candidates: tuple[Candidate, ...]
    advice: Advice
    repair: Repair | None
    money: MoneyResults
    cautions: tuple[Finding, ...]
    offers: tuple[CheckedOffer, ...]
    today: date
    bench: HouseholdBench

    @property
    def recommended(self) -> Candidate | None:
        """The candidate to put in."""
        return self.advice.pick

    @property
    def recommended_id(self) -> str | None:
        """Its heater's id."""
        return None if self.advice.pick is None else self.advice.pick.heater.id

    @property
    def like_for_like_id(self) -> str | None:
        """The plain replacement of what failed."""
        return None if self.advice.same_again is None else self.advice.same_again.heater.id

    @property
    def is_by_hand(self) -> bool:
        """Whether the hand method alone says what keeps up."""
        return all(one.capacity.household_run is None for one in self.candidates)

    def candidate(self, heater_id: str) -> Candidate:
        """The candidate of that id."""
        return next(candidate for candidate in self.candidates if candidate.heater.id == heater_id)


def compare(case: Case, *, today: date | None = None, by_hand: bool = False) -> Comparison:
    """Compare every candidate for one case.

    Parameters
    ----------
    case : Case
        The house.
    today : date, optional
        Day of the comparison; decides how stale prices are and, without ``install_date``, what may be made.
    by_hand : bool
        Say by the hand method alone whether each keeps up: an answer at once, where the bench would first have to be
        compiled.

    Raises
    ------
    InputError
        The place is not found, the set point does not exceed the cold water, or the gas line cannot be.
    """
    today = today or date.today()
    site = site_for(case, today)
    refuse_bad_line(case)
    annual_air_f = float(np.mean(site.location.outdoor_f))
    demand = demand_of(case.household, case.water, site.mains.mains_f, annual_air_f, case.uses)
    circumstances = by_the_bill(case, circumstances_of(case, site, demand))
    demand = circumstances.demand
    prices = prices_of(case, site)

    bench = HouseholdBench(circumstances)
    judge = partial(hand_method, circumstances=circumstances) if by_hand else partial(capacity_on, bench)
    install_date = case.install_date or today
    made_on = case.made_on or install_date
    asked = with_asked_units(with_parallel_units(heaters_to_compare(case), judge, made_on), case, judge)
    judged = settled(asked, case, None if by_hand else circumstances.mornings)
    heaters = [heater for heater, _ in judged]
    where = site.location
    house = HouseFacts(case, prices.usd_per_unit[electricity()], where.state, where.county_fips or "", install_date)
    offers = offers_of(case, heaters, today)
    checked = with_successors(
        [_checked(heater, capacity, house, circumstances, prices, offers, made_on) for heater, capacity in judged],
        made_on,
    )

    same = like_for_like(case, heaters)
    same_id = same.id if same else None
    money = money_over_the_years(
        [one.costs for one in checked],
        eligible=[is_eligible(one) for one in checked],
        like_for_like_id=same_id,
        economics=case.economics,
        usd_per_unit=prices.usd_per_unit,
        averages=prices.averages,
        us_state=circumstances.us_state,
        base_year=today.year,
        use_known_by=demand.known_by,
    )
    candidates = tuple(Candidate(**vars(one), money=money.of(one.heater.id)) for one in checked)
    advice = advise(
        candidates,
        same_id,
        has_240_v_circuit=house.has_240_v_circuit,
        usual_gal=usual_tank_gal(case.household.people_counted),
    )
    repair = repair_of(case, circumstances.us_state, advice.same_again, advice.pick)
    held = [(one.energy, one.in_homes, one.label_energy, one.running_cost, one.capacity) for one in candidates]
    freeze(site, circumstances, prices, money, *held)
    return Comparison(
        case=case,
        assumed=(
            *case.assumed(),
            *site.assumptions,
            *demand.assumptions,
            *prices.assumptions,
            *money_assumptions(case, money),
            *(repair.assumptions if repair else ()),
        ),
        site=site,
        circumstances=circumstances,
        facts=house,
        install_date=install_date,
        prices=prices,
        candidates=candidates,
        advice=advice,
        repair=repair,
        money=money,
        cautions=_cautions(case, site, demand.notes, candidates, advice.pick),
        offers=checked_offers(
            case.offers,
            {one.heater.id: one.house for one in checked},
            {one.heater.id: one.capacity.why for one in checked if one.capacity.verdict == FALLS_SHORT},
            money,
            today,
        ),
        today=today,
        bench=bench,
    )


def _checked(
    heater: Heater,
    capacity: Capacity,
    facts: HouseFacts,
    circumstances: Circumstances,
    prices: EnergyPrices,
    offers: Offers,
    made_on: date,
) -> CheckedHeater:
    """One candidate: its energy, then the house, then its money."""
    case = facts.case
    energy = annual_energy(heater, circumstances)
    in_homes = energy_in_homes(heater, energy)

    use = use_of(heater, energy, prices.usd_per_mmbtu(heater.fuel))
    house = check_house(heater, facts, circumstances, use)

    account_fuel, fixed_months = account_of(heater, case, prices)

    def cost_of(year: Energy) -> RunningCost:
        room = room_energy_btu(
            taken_from_room_btu(heater, year),
            circumstances,
            heating_fuel=heating_fuel_of(case),
            heating_efficiency_frac=case.house.heating_efficiency_frac,
        )
        return running_cost(
            heater.fuel,
            year.fuel_btu,
            year.electricity_kwh,
            prices,
            room_btu_by_fuel=room,
            account_fuel=account_fuel,
            fixed_months=fixed_months,
            timer_frac=case.economics.heat_pump_timer_frac if heater.is_heat_pump else 0.0,
        )

    cost = cost_of(in_homes)
    costs = candidate_costs_of(
        heater,
        in_homes,
        cost,
        prices,
        base=house.base,
        work=house.work,
        offers=offers,
        economics=case.economics,
        hardness_gpg=case.water.hardness_gpg,
        loop_btu_per_day=float(circumstances.loop.heat_btu_per_day),
    )
    sale = sale_of(heater, facts.state, facts.county_fips or None, made_on)
    return CheckedHeater(
        heater=heater,
        energy=energy,
        label_energy=label_energy(heater),
        in_place=in_place_energy_btu_per_yr(heater, float(np.sum(energy.heat_btu))),
        in_homes=in_homes,
        running_cost=cost,
        cost_as_labelled=partial(cost_of, energy),
        capacity=capacity,
        house=house,
        lead_time=lead_time_of(heater, house),
        use=use,
        quote_usd=offers.quote_usd.get(heater.id),
        costs=costs,
        flags=(*label_flags(heater, made_on), *sale.barred_by),
        sale=sale,
    )


def _cautions(
    case: Case, site: Site, notes: tuple[Finding, ...], candidates: tuple[Candidate, ...], pick: Candidate | None
) -> tuple[Finding, ...]:
    """This house's own: of the heater that is recommended, of the others, of the place and of the household."""
    mine = pick.house.cautions if pick else ()
    others = [name for one in candidates for name in one.house.cautions if name not in mine]
    written = (*site.cautions, *notes, *case.odd())
    rebates = ("rules_change",) if case.rebates else ()
    _, unread = own_heaters(case)
    costs = [one.running_cost for one in candidates]
    n_below = sum(cost.usd_per_yr < 0 or cost.co2_lb_per_yr < 0 for cost in costs)
    if n_below:
        written = (*written, note("year.below_nothing", n=n_below))
    found = (*unread, *gravest_first(mine), *gravest_first(others), *written, *gravest_first(rebates))
    return tuple(dict.fromkeys(found))
