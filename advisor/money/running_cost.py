"""A year of energy turned into money and carbon dioxide, month by month."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from advisor.core.arrays import Floats, Numbers
from advisor.core.findings import note
from advisor.core.kinds import Fuel, electricity
from advisor.core.published import published
from advisor.core.working import Working, worked
from advisor.money.energy_prices import EnergyPrices


@dataclass(frozen=True)
class RunningCost:
    """A year of running one heater.

    Parameters
    ----------
    by_month_usd : ndarray
        Energy for water heating, the effect on the house's heating and cooling, and any fixed charge. [$]
    use_per_yr : dict
        Billing units by key: ``therm_per_yr``, ``kwh_per_yr``, ``propane_gal_per_yr``, ``oil_gal_per_yr``.
    room_usd_per_yr : float
        Part of the cost that is the room's: a heat pump cools it, winter heating makes up for it. [$/yr]
    fixed_usd_per_yr : float
        Fixed charges that only this heater keeps. [$/yr]
    co2_lb_per_yr : float
        Carbon dioxide of the energy, the room's part included. [lb/yr]
    water_usd_by_fuel, room_usd_by_fuel : dict
        A year's energy for the water, and for the room, by fuel. [$/yr]
    workings : tuple of Working
        Of each fuel's part, then of the whole year.
    """

    by_month_usd: Floats
    use_per_yr: dict[str, float]
    room_usd_per_yr: float
    fixed_usd_per_yr: float
    co2_lb_per_yr: float
    water_usd_by_fuel: dict[Fuel, float] = field(default_factory=dict)
    room_usd_by_fuel: dict[Fuel, float] = field(default_factory=dict)
    workings: tuple[Working, ...] = ()

    @property
    def usd_per_yr(self) -> float:
        """The whole year. [$/yr]"""
        return float(np.sum(self.by_month_usd))


def billing_units(fuel: Fuel, energy_btu: Floats, prices: EnergyPrices) -> Floats:
    """Energy in the units of the bill: therms, gallons, kWh."""
    return energy_btu / prices.btu_per_unit[fuel]


@published(
    "Energy in the units that it is sold in, times the price of one",
    state="computed",
    bought_btu_per_yr=15e6,
    unit_btu=100_000.0,
    unit_usd=1.2,
)
def energy_usd_per_yr(bought_btu_per_yr: Numbers, unit_btu: Numbers, unit_usd: Numbers) -> Numbers:
    """What a year of a fuel or of electricity comes to.

    Parameters
    ----------
    bought_btu_per_yr : float or ndarray
        Energy bought. [Btu/yr]
    unit_btu : float or ndarray
        Heat content of what one unit of the bill holds: a therm, a gallon, a kilowatt-hour. [Btu]
    unit_usd : float or ndarray
        Price of such a unit; of a tariff, what one came to on the bill. [$]

    Returns
    -------
    float or ndarray
        [$/yr]
    """
    return bought_btu_per_yr / unit_btu * unit_usd


@published(
    "Sum of the parts of a year's bill",
    state="computed",
    energy_usd_per_yr=320.0,
    room_usd_per_yr=25.0,
    account_usd_per_yr=0.0,
)
def running_cost_usd_per_yr(
    energy_usd_per_yr: Numbers, room_usd_per_yr: Numbers, account_usd_per_yr: Numbers
) -> Numbers:
    """What a heater costs to run for a year.

    Parameters
    ----------
    energy_usd_per_yr : float or ndarray
        Energy for the water. [$/yr]
    room_usd_per_yr : float or ndarray
        What the house's heating and cooling cost more because of a heat pump. [$/yr]
    account_usd_per_yr : float or ndarray
        Account charges that begin with this heater; below 0 where they end. [$/yr]

    Returns
    -------
    float or ndarray
        [$/yr]
    """
    return energy_usd_per_yr + room_usd_per_yr + account_usd_per_yr


def running_cost(
    fuel: Fuel,
    fuel_btu: Floats,
    electricity_kwh: Floats,
    prices: EnergyPrices,
    *,
    room_btu_by_fuel: dict[Fuel, Floats],
    account_fuel: Fuel | None,
    fixed_months: int,
    timer_frac: float,
) -> RunningCost:
    """Cost and carbon dioxide of a year.

    Parameters
    ----------
    fuel : Fuel
        Main fuel of the heater.
    fuel_btu, electricity_kwh : ndarray
        Bought by month. [Btu], [kWh]
    prices : EnergyPrices
        Price, heat content and carbon dioxide per billing unit.
    room_btu_by_fuel : dict
        Energy that the house's heating (positive) or cooling (negative) uses more because of the heater, by
        fuel and month. [Btu]
    account_fuel, fixed_months : Fuel or None, int
        12 where only this heater keeps an account for that fuel, else 0.
    timer_frac : float
        Share of the dearest hours of a time-of-use tariff that a timer moves. [-]
    """
    units = {electricity(): np.asarray(electricity_kwh, dtype=float)}
    if fuel.is_burned:
        units[fuel] = billing_units(fuel, fuel_btu, prices)
    added = {name: prices.added_usd(name, amount, timer_frac) for name, amount in units.items()}
    by_month = sum(added.values(), np.zeros(12))
    co2 = sum(float(np.sum(units[name])) * prices.co2_lb_per_unit[name] for name in units)
    room_usd: dict[Fuel, float] = {}
    room_units: dict[Fuel, Floats] = {}
    for name, energy_btu in room_btu_by_fuel.items():
        extra = room_units[name] = billing_units(name, energy_btu, prices)
        by_month = by_month + extra * prices.usd_per_unit[name]
        room_usd[name] = float(np.sum(extra)) * prices.usd_per_unit[name]
        co2 += float(np.sum(extra)) * prices.co2_lb_per_unit[name]
    fixed = prices.fixed_usd_per_mo[account_fuel] * fixed_months if account_fuel else 0.0
    water_usd = {name: float(np.sum(amount)) for name, amount in added.items()}
    workings = [
        *(_working("working.energy", name, units[name], water_usd[name], prices) for name in water_usd),
        *(_working("working.room", name, room_units[name], room_usd[name], prices) for name in room_usd),
        worked(
            note("working.year"),
            running_cost_usd_per_yr,
            energy_usd_per_yr=sum(water_usd.values()),
            room_usd_per_yr=sum(room_usd.values()),
            account_usd_per_yr=fixed,
        ),
    ]
    return RunningCost(
        by_month_usd=by_month + fixed / 12,
        use_per_yr={name.use_key: float(np.sum(amount)) for name, amount in units.items()},
        room_usd_per_yr=sum(room_usd.values()),
        fixed_usd_per_yr=fixed,
        co2_lb_per_yr=co2,
        water_usd_by_fuel=water_usd,
        room_usd_by_fuel=room_usd,
        workings=tuple(filter(None, workings)),
    )


def _working(code: str, fuel: Fuel, units: Floats, usd: float, prices: EnergyPrices) -> Working | None:
    """A year of a fuel and what it came to; of a tariff the price is what a unit came to on the bill."""
    bought = float(np.sum(units))
    if not bought:
        return None
    inputs = {
        "bought_btu_per_yr": bought * prices.btu_per_unit[fuel],
        "unit_btu": prices.btu_per_unit[fuel],
        "unit_usd": usd / bought,
    }
    return Working(note(code, fuel=fuel.word), energy_usd_per_yr, inputs, usd)
