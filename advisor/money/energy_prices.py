"""What energy costs this household and what it carries: from its bill and its case, else its state's averages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

from advisor.case.record import Assumption, Case
from advisor.core.arrays import Floats
from advisor.core.findings import Value, note
from advisor.core.kinds import Fuel, electricity
from advisor.core.published import state_word
from advisor.heaters.catalogue import Heater
from advisor.money.bill import Bill, bills_of
from advisor.place.emissions import fuel_co2, heat_content_btu
from advisor.place.names import is_territory, state_names
from advisor.place.refusal import PlaceError, listed
from advisor.place.site import Site


@dataclass(frozen=True)
class EnergyPrices:
    """What energy costs and carries, per billing unit (therm, gallon, kWh).

    Parameters
    ----------
    usd_per_unit : dict
        By fuel; of a tariff, what a unit costs a usual heater. [$/therm], [$/gal], [$/gal], [$/kWh]
    btu_per_unit : dict
        Heat content by fuel; a therm is 100,000 Btu. [Btu/unit]
    co2_lb_per_unit : dict
        Carbon dioxide by fuel. [lb/unit]
    fixed_usd_per_mo : dict
        Account charge by fuel, counted only where an account starts or ends. [$/month]
    bills : dict
        Tariffs by fuel, where the case gives one.
    averages : tuple of Fuel
        Fuels whose price is a state's average, because nobody gave the household's own.
    assumptions : tuple of Assumption
        Those averages that count here.
    """

    usd_per_unit: dict[Fuel, float]
    btu_per_unit: dict[Fuel, float]
    co2_lb_per_unit: dict[Fuel, float]
    fixed_usd_per_mo: Mapping[Fuel, float] = field(default_factory=dict)
    bills: Mapping[Fuel, Bill] = field(default_factory=dict)
    averages: tuple[Fuel, ...] = ()
    assumptions: tuple[Assumption, ...] = ()

    def usd_per_mmbtu(self, fuel: Fuel) -> float:
        """Price of a million Btu. [$/MMBtu]"""
        return self.usd_per_unit[fuel] / self.btu_per_unit[fuel] * 1e6

    def added_usd(self, fuel: Fuel, units_by_month: Floats, timer_frac: float) -> Floats:
        """What a heater's use of a fuel adds to each month's bill. [$]"""
        if fuel in self.bills:
            return self.bills[fuel].added_usd(units_by_month, timer_frac=timer_frac)
        return units_by_month * self.usd_per_unit[fuel]


def prices_of(case: Case, site: Site) -> EnergyPrices:
    """The bill's own tariffs or prices where given, else the state's averages.

    Parameters
    ----------
    case : Case
        Its tariffs and prices.
    site : Site
        The averages of its state, and its grid.

    Raises
    ------
    InputError
        The house lies in a territory, of which no averages are held, and a price of its own is missing.
    """
    bills = bills_of(case)
    own = {fuel: case.prices.of(fuel) for fuel in Fuel.all()}
    averages = tuple(fuel for fuel, price in own.items() if price is None and fuel not in bills)
    counting = tuple(fuel for fuel in averages if fuel in case.house.fuels or fuel.is_electric)
    if counting and is_territory(site.location.state):
        raise _missing(site.location.state, counting)
    usd_per_unit = {
        fuel: site.prices[fuel].value * (1 - _fixed_frac(case, fuel)) if price is None else price
        for fuel, price in own.items()
    }
    charges = {fuel: case.prices.account_of(fuel) or 0.0 for fuel in Fuel.all() if fuel.account_key}
    return EnergyPrices(
        usd_per_unit=usd_per_unit | {fuel: bill.usual_usd_per_unit for fuel, bill in bills.items()},
        btu_per_unit=_heat_contents(),
        co2_lb_per_unit=_burned_co2() | {electricity(): site.grid.co2_lb_per_kwh},
        fixed_usd_per_mo=charges | {fuel: bill.fixed_usd_per_mo for fuel, bill in bills.items()},
        bills=bills,
        averages=averages,
        assumptions=tuple(_assumed(site, fuel, _fixed_frac(case, fuel)) for fuel in counting),
    )


def _missing(state: str, fuels: tuple[Fuel, ...]) -> PlaceError:
    keys = [f"prices.{fuel.price_key}" for fuel in fuels]
    home = state_names()[state]
    return PlaceError(
        keys[0],
        None,
        f"no energy prices are held for {home}",
        f"give {listed(keys)} from your bill",
        finding=note("place.refused.no_prices", home=home, fuels=tuple(fuel.word for fuel in fuels)),
    )


def _fixed_frac(case: Case, fuel: Fuel) -> float:
    """Share of the bill that is the same whatever is used; an average price holds it, one unit more does not."""
    return float(getattr(case.prices, f"{fuel.id}_fixed_frac", None) or 0.0)


def _assumed(site: Site, fuel: Fuel, fixed_frac: float) -> Assumption:
    price = site.prices[fuel]
    known: dict[str, Value] = {"period": price.period, "source": price.source, "state": state_word(price.state)}
    code = "assumed.price"
    if price.moved_frac is not None and price.moved_by is not None:
        code, known = "assumed.price_moved", known | {"rise_frac": price.moved_frac, "month": price.moved_by}
    return Assumption(f"prices.{fuel.price_key}", round(price.value * (1 - fixed_frac), 4), note(code, "", **known))


@cache
def _heat_contents() -> dict[Fuel, float]:
    return {fuel: heat_content_btu(fuel) for fuel in Fuel.all()}


@cache
def _burned_co2() -> dict[Fuel, float]:
    return {fuel: fuel_co2(fuel).value for fuel in Fuel.all() if fuel.is_burned}


def account_of(heater: Heater, case: Case, prices: EnergyPrices) -> tuple[Fuel | None, int]:
    """The account that only a heater keeps, where nothing else burns the fuel, and its months."""
    if case.house.uses_gas_otherwise:
        return None, 0
    for fuel in Fuel.all():
        if fuel.is_burned and prices.fixed_usd_per_mo.get(fuel):
            return fuel, 12 * int(heater.fuel == fuel)
    return None, 0
