"""What one candidate costs to put in, to fuel and to look after, and how long it lasts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache

import numpy as np

from advisor.case.money import Economics
from advisor.core import tables
from advisor.core.kinds import Fuel, Technology
from advisor.core.units import DAYS_BY_MONTH
from advisor.heaters.annual_energy import Energy
from advisor.heaters.catalogue import Heater
from advisor.house.items import WorkItem
from advisor.money.chance import Range, sum_of_ranges
from advisor.money.energy_prices import EnergyPrices
from advisor.money.offers import Offers
from advisor.money.running_cost import RunningCost
from advisor.money.upkeep import Lifetime, Upkeep, lifetime, yearly_upkeep

#: Hard water begins here (Water Quality Association and US Geological Survey classes).
_HARD_FROM_GPG = 7.0


@dataclass(frozen=True)
class Later:
    """What will be bought again once the law does not allow the same.

    Parameters
    ----------
    id : str
        The heater's id.
    from_day, from_yr : date, float
        When the law begins, and how long that is from today. [yr]
    again_usd : tuple of float
        That heater put in again: low, typical, high. [$]
    use_frac : float
        Its energy over that of the one it follows. [-]
    """

    id: str
    from_day: date
    from_yr: float
    again_usd: Range
    use_frac: float


@dataclass(frozen=True)
class CandidateCosts:
    """What goes into a candidate's money over the years; ranges are low, typical, high: 10, 50 and 90 in a hundred.

    Parameters
    ----------
    id, title : str
        Who it is.
    technology, fuel : Technology, Fuel
        How it heats, and with what.
    fuel_per_yr : tuple of float
        Units of each fuel a year as in homes; where a tariff has
        several prices, units of the one price that is quoted. [unit/yr]
    heater_usd, again_usd, work_usd : tuple of float
        The heater put in, a later one put in, and the work done once. [$]
    upkeep : Upkeep
        For all its units.
    life : Lifetime
        Mean and shape.
    rebate_usd, account_usd_per_yr : float
        Taken off at the start; account charges begun or ended. [$], [$/yr]
    standby_frac : float
        Share of the energy that does not follow the hot water used. [-]
    later : Later or None
        What is bought again from a day on; None where it may be the same.
    """

    id: str
    title: str
    technology: Technology
    fuel: Fuel
    fuel_per_yr: tuple[float, ...]
    heater_usd: Range
    again_usd: Range
    work_usd: Range
    upkeep: Upkeep
    life: Lifetime
    rebate_usd: float
    account_usd_per_yr: float
    standby_frac: float
    later: Later | None = None

    @property
    def installed_usd(self) -> Range:
        """Heater and work together, before any rebate. [$]"""
        low, typical, high = (one + other for one, other in zip(self.heater_usd, self.work_usd, strict=True))
        return low, typical, high


def installed_ranges(base: WorkItem, work: tuple[WorkItem, ...], quote_usd: float | None) -> tuple[Range, Range, Range]:
    """Heater, later heater and one-off work, so that heater and work add up to the range of the whole.

    The lows of all jobs do not come together. Their distances from typical add as those of correlated errors do
    (the correlation is that of quotes for one house), and heater and work share that distance in proportion. A
    quote replaces the first heater and the work, split as the table would split it; a later heater is priced
    from the table.
    """
    jobs = [job.counted_usd for job in work]
    again = [base.counted_usd, *(job.counted_usd for job in work if job.comes_again)]
    once = [job.counted_usd for job in work if not job.comes_again]
    link = _installed_link()
    later, whole = sum_of_ranges(again, link), sum_of_ranges([base.counted_usd, *jobs], link)
    heater, extra = list(later), list(sum_of_ranges(once, link))
    if quote_usd is not None:
        share = later[1] / whole[1]
        return (quote_usd * share,) * 3, _rounded(later), (quote_usd * (1 - share),) * 3
    for end in (0, 2):
        apart = abs(heater[end] - heater[1]) + abs(extra[end] - extra[1])
        shrink = abs(whole[end] - whole[1]) / apart if apart else 1.0
        heater[end] = heater[1] + shrink * (heater[end] - heater[1])
        extra[end] = max(0.0, extra[1] + shrink * (extra[end] - extra[1]))
    return _rounded(heater), _rounded(later), _rounded(extra)


def _rounded(ends: Sequence[float]) -> Range:
    low, typical, high = (round(end, 2) for end in ends)
    return low, typical, high


@cache
def _installed_link() -> float:
    table = tables.load("spreads")
    return float(table["typical_dimensionless"][np.flatnonzero(table["kind"] == "installed_link")[0]])


def candidate_costs_of(
    heater: Heater,
    energy: Energy,
    cost: RunningCost,
    prices: EnergyPrices,
    *,
    base: WorkItem,
    work: tuple[WorkItem, ...],
    offers: Offers,
    economics: Economics,
    hardness_gpg: float | None,
    loop_btu_per_day: float,
) -> CandidateCosts:
    """A candidate's costs.

    Parameters
    ----------
    heater, energy, cost : Heater, Energy, RunningCost
        Label, a year of energy and of money as in homes.
    prices : EnergyPrices
        As used for ``cost``.
    base, work : WorkItem, tuple of WorkItem
        Plain installation and the work on the house.
    offers : Offers
        A price offered replaces the table's; of rebates no more than the price is taken off.
    economics : Economics
        Whether it is looked after.
    hardness_gpg : float or None
        Of the water. [gpg]
    loop_btu_per_day : float
        What a loop loses, whatever is drawn. [Btu/day]
    """
    quote_usd = offers.quote_usd.get(heater.id)
    first, again, once = installed_ranges(base, work, quote_usd)
    loop = float(np.sum(loop_btu_per_day * DAYS_BY_MONTH))
    standby = float(np.sum(np.maximum(energy.standby_btu_per_day, 0.0) * DAYS_BY_MONTH)) + loop
    drawn = float(np.sum(energy.heat_btu)) - loop
    neglected = not economics.is_looked_after and (hardness_gpg is None or hardness_gpg >= _HARD_FROM_GPG)
    return CandidateCosts(
        id=heater.id,
        title=heater.title,
        technology=heater.technology,
        fuel=heater.fuel,
        fuel_per_yr=tuple(_priced_units(fuel, cost, prices) for fuel in Fuel.all()),
        heater_usd=first,
        again_usd=again,
        work_usd=once,
        upkeep=_upkeep(heater, economics, hardness_gpg),
        life=lifetime(heater.technology, neglected=neglected),
        rebate_usd=min(offers.rebate_usd.get(heater.id, 0.0), first[1] + once[1]),
        account_usd_per_yr=cost.fixed_usd_per_yr,
        standby_frac=min(1.0, standby / max(drawn + standby, 1.0)),
    )


def _priced_units(fuel: Fuel, cost: RunningCost, prices: EnergyPrices) -> float:
    water = cost.water_usd_by_fuel.get(fuel, 0.0)
    price = prices.usd_per_unit[fuel]
    return (water + cost.room_usd_by_fuel.get(fuel, 0.0)) / price if price > 0 else 0.0


def _upkeep(heater: Heater, economics: Economics, hardness_gpg: float | None) -> Upkeep:
    one, n = yearly_upkeep(heater.technology, hardness_gpg), float(heater.n_units)
    if not economics.is_looked_after:
        n = 0.0
    low, typical, high = (n * amount for amount in one.range_usd_per_yr)
    return Upkeep(low, typical, high, one.descale_every_yr if n else None, one.source, one.state)
