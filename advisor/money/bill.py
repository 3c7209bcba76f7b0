"""The household's own tariffs: from the case to what a heater adds to the bill, month by month."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from advisor.case.money import FuelTariff, TariffSeason
from advisor.case.record import Case
from advisor.core import tables
from advisor.core.arrays import Floats
from advisor.core.errors import InputError
from advisor.core.kinds import Fuel
from advisor.money.rates import BlockRate, FlatRate, Season, SeasonalRate, Tier, TimeOfUseRate, Window
from advisor.money.tariffs import Tariff, marginal_price_usd_per_unit, monthly_cost_usd, shift_out_of_peak

# What the dataclasses of ``rates`` and ``tariffs`` call a field, and what the case calls it.
_SAID_IN_CASE = (("tariff.rate", "price_usd_per_unit"), ("tiers", "blocks"))


@dataclass(frozen=True)
class Bill:
    """A tariff with what it takes to read it for a water heater.

    Parameters
    ----------
    tariff : Tariff
        Prices, account charge and tax.
    other_units_per_mo : float
        What the rest of the house uses of the fuel; matters with blocks only. [unit/month]
    """

    tariff: Tariff
    other_units_per_mo: float

    def added_usd(self, units_by_month: Floats, *, timer_frac: float) -> Floats:
        """What a heater adds to each month's bill, account charge left out.

        Parameters
        ----------
        units_by_month : array, (12,)
            Its use. [unit]
        timer_frac : float
            Share of its dearest hours that a timer moves. [-]
        """
        hours = shift_out_of_peak(self.tariff.rate, hours_of_use(), timer_frac)
        return monthly_cost_usd(self.tariff, units_by_month, self.other_units_per_mo, hours)

    @property
    def usual_usd_per_unit(self) -> float:
        """Price of a unit, tax included, for a heater of usual use."""
        use = np.full(12, self.tariff.fuel.usual_units_per_mo)
        return float(marginal_price_usd_per_unit(self.tariff, use, self.other_units_per_mo, hours_of_use()))

    @property
    def fixed_usd_per_mo(self) -> float:
        """Account charge with tax. [$/month]"""
        return self.tariff.fixed_usd_per_mo * (1 + self.tariff.tax_frac)


@cache
def hours_of_use() -> Floats:
    """Share of a day's heat in each hour, 2 x 24 (weekday, weekend): a heater follows the taps within the hour.

    Sources
    -------
    Table ``hourly_profiles``: all uses, California residential method 2013 and 2016; from memory, unverified.
    """
    table = tables.load("hourly_profiles")
    hours = np.stack([table["weekday_frac"], table["weekend_frac"]])
    hours = hours / hours.sum(axis=1, keepdims=True)
    hours.flags.writeable = False
    return hours


def bills_of(case: Case) -> dict[Fuel, Bill]:
    """The tariffs of a case, by fuel.

    Raises
    ------
    InputError
        A tariff that says a thing twice, leaves a price out, or contradicts itself, with the key.
    """
    bills: dict[Fuel, Bill] = {}
    for number, given in enumerate(case.tariffs, start=1):
        field = f"tariffs.{number}"
        if given.fuel in bills:
            raise InputError(f"{field}.fuel", given.fuel.id, "there are two tariffs for it", "leave one out")
        if case.prices.of(given.fuel) is not None:
            reason, fix = "it has a tariff and a price", "leave out the tariff or prices.{key}"
            raise InputError(f"{field}.fuel", given.fuel.id, reason, fix, key=given.fuel.price_key)
        if (charge := case.prices.account_of(given.fuel)) is not None:
            fix = "write it once, as {tariff}.fixed_usd_per_mo"
            raise InputError(f"prices.{given.fuel.account_key}", charge, "gas has a tariff", fix, tariff=field)
        bills[given.fuel] = _bill(field, given)
    return bills


def _bill(field: str, given: FuelTariff) -> Bill:
    has_blocks = bool(given.blocks) or any(season.blocks for season in given.seasons)
    if has_blocks and given.other_units_per_mo is None:
        fix = "give what the house uses a month besides the water heater"
        raise InputError(f"{field}.other_units_per_mo", None, "blocks need it and it is not given", fix)
    try:
        rate = _seasonal(given) if given.seasons else _rate(given, given)
        tariff = Tariff(given.fuel, rate, given.fixed_usd_per_mo, given.tax_frac, given.source or "")
    except InputError as error:
        key = error.field
        for inner, said in _SAID_IN_CASE:
            key = key.replace(inner, said)
        raise error.at(f"{field}.{key}") from error
    return Bill(tariff, given.other_units_per_mo or 0.0)


def _seasonal(given: FuelTariff) -> SeasonalRate:
    if given.price_usd_per_unit is not None or given.blocks or given.windows:
        raise InputError("seasons", None, "prices stand both in the seasons and beside them", "keep the seasons only")
    return SeasonalRate(tuple(Season(tuple(season.months), _rate(season, given)) for season in given.seasons))


def _rate(part: FuelTariff | TariffSeason, whole: FuelTariff) -> FlatRate | BlockRate | TimeOfUseRate:
    where = "seasons." if isinstance(part, TariffSeason) else ""
    if part.windows and not whole.fuel.is_electric:
        raise InputError(
            f"{where}windows", whole.fuel.id, "only electricity is sold by the hour", "leave the windows out"
        )
    if part.blocks and (part.windows or part.price_usd_per_unit is not None):
        fix = "give blocks, or a price with or without windows"
        raise InputError(f"{where}blocks", None, "blocks stand beside another price", fix)
    if part.blocks:
        blocks = tuple(Tier(block.price_usd_per_unit, block.up_to_units) for block in part.blocks)
        return BlockRate(blocks, per_day=whole.is_per_day)
    if part.price_usd_per_unit is None:
        raise InputError(f"{where}price_usd_per_unit", None, "there is no price", "give a price, blocks or seasons")
    if part.windows:
        windows = tuple(
            Window(hours.price_usd_per_unit, hours.start_h, hours.end_h, hours.days) for hours in part.windows
        )
        return TimeOfUseRate(part.price_usd_per_unit, windows)
    return FlatRate(part.price_usd_per_unit)
