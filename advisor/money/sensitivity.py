"""What would change the answer: prices and quotes at which two candidates draw level, and what moves them most."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from advisor.core.arrays import Floats
from advisor.core.findings import Finding, note
from advisor.core.kinds import Fuel, electricity
from advisor.money.break_even import break_even_price_usd_per_unit, break_even_quote_usd, cheapest_map
from advisor.money.chance import Z90
from advisor.money.cost_arrays import (
    CostArrays,
    Market,
    Width,
    cost_per_quote,
    evaluate,
    is_quantile,
    point,
    straight_lines,
)
from advisor.money.results import CandidateMoney

#: Whose an input is, of two that are compared.
Whose = Literal["rival", "first"]
#: The map runs from today's price divided by this to today's price times this.
_MAP_TIMES = 2.5


@dataclass(frozen=True)
class BreakEvenPrice:
    """A fuel's price at which the rival draws level.

    Parameters
    ----------
    fuel : Fuel
        Which.
    now_usd_per_unit, level_usd_per_unit : float
        Today's price, and the one at which the two cost the same. [$/unit]
    wins_above : bool
        The rival costs less above that price; else below it.
    """

    fuel: Fuel
    now_usd_per_unit: float
    level_usd_per_unit: float
    wins_above: bool


@dataclass(frozen=True)
class BreakEven:
    """Where a rival would overtake a candidate.

    Parameters
    ----------
    prices : tuple of BreakEvenPrice
        Fuels whose price alone can do it, the nearest first.
    quote_now_usd, quote_level_usd : float, float or None
        The rival's installed price, and the one at which it draws level; None where even a gift would not do.
    """

    prices: tuple[BreakEvenPrice, ...]
    quote_now_usd: float
    quote_level_usd: float | None


@dataclass(frozen=True)
class Driver:
    """What one input does alone to the difference between two candidates.

    Parameters
    ----------
    what : Finding
        The input, as a key of the message catalogues.
    whose : {"rival", "first"} or None
        Whose it is; None for what both share.
    saving_usd : tuple of float
        What the rival saves over the study where the input is at its 10th and its 90th percentile. [$]
    """

    what: Finding
    whose: Whose | None
    saving_usd: tuple[float, float]

    @property
    def reach_usd(self) -> float:
        """How far it moves the difference. [$]"""
        return abs(self.saving_usd[1] - self.saving_usd[0])

    @property
    def turns_the_answer(self) -> bool:
        """At one end the rival costs less, at the other more."""
        return (self.saving_usd[0] > 0) != (self.saving_usd[1] > 0)


#: Prices of electricity along the rows of a map.
_ROWS = 9


@dataclass(frozen=True, eq=False)
class PriceMap:
    """Which candidate costs least at each pair of prices.

    Parameters
    ----------
    gas_usd_per_unit, electricity_usd_per_kwh : ndarray
        Prices of columns and rows.
    cheapest_id : tuple of tuples of str
        Id of the heater that costs least, row by row.
    here : tuple of int
        Row and column of today's prices.
    """

    gas_usd_per_unit: Floats
    electricity_usd_per_kwh: Floats
    cheapest_id: tuple[tuple[str, ...], ...]
    here: tuple[int, int]


def break_even_of(first: CandidateMoney, rival: CandidateMoney) -> BreakEven:
    """Where the rival draws level with the first."""
    arrays, market = first.results.arrays.pick([first.row, rival.row]), first.results.market
    fixed, units = straight_lines(arrays, market)
    now = market.price_usd_per_unit
    found = []
    for fuel, today, (units_first, units_rival) in zip(Fuel.all(), now, units.T, strict=True):
        level = break_even_price_usd_per_unit(fixed, units, now, fuel, 0, 1)
        if level is not None:
            found.append(BreakEvenPrice(fuel, float(today), level, bool(units_rival < units_first)))
    found.sort(key=lambda price: abs(np.log(price.level_usd_per_unit / price.now_usd_per_unit)))
    heater, work = rival.costs.heater_usd[1], rival.costs.work_usd[1]
    quote = heater + work
    # Of a dearer quote the heater's share is partly left at the end; the work is not.
    share = heater / quote if quote else 1.0
    slope = share * float(cost_per_quote(arrays, market)[1]) + (1 - share)
    level = break_even_quote_usd(quote, rival.point_usd, first.point_usd, slope)
    return BreakEven(tuple(found), quote, level)


def drivers(first: CandidateMoney, rival: CandidateMoney, most: int = 3) -> list[Driver]:
    """The inputs that alone move the difference between two candidates most."""
    pair = first.results.arrays.pick([first.row, rival.row])
    found = []
    for swing in one_at_a_time(pair, first.results.market):
        low, high = (float(end) for end in swing.saving_usd[:, 1])
        found.append(Driver(swing.driver, swing.whose, (low, high)))
    found = [driver for driver in found if driver.reach_usd >= 1]
    return sorted(found, key=lambda driver: -driver.reach_usd)[:most]


@dataclass(frozen=True, eq=False)
class Swing:
    """What one input does alone, from its 10th to its 90th percentile, the others typical.

    Parameters
    ----------
    driver : Finding
        The input, as a key of the message catalogues.
    whose : {"rival", "first"} or None
        Whose it is: of each measured against the baseline, or the baseline's; None for what all share.
    total_usd, saving_usd : ndarray, (2, n)
        Life-cycle cost, and net saving against the baseline, at both ends. [$]
    """

    driver: Finding
    total_usd: Floats
    saving_usd: Floats
    whose: Whose | None = None


def one_at_a_time(arrays: CostArrays, market: Market) -> list[Swing]:
    """Move one input at a time: what is shared moves for all, a candidate's own moves for it alone.

    Parameters
    ----------
    arrays, market
        The inputs; savings are measured against the first candidate.
    """
    width = Width.from_table()
    centre = point(arrays, market)[0]
    shared = {note("driver.use"): ["use"]}
    for fuel, units in zip(Fuel.all(), arrays.fuel_per_yr.T, strict=True):
        if units.any():
            shared[note("driver.price_later", fuel=fuel.word)] = [f"drift:{fuel}"]
            shared[note("driver.price_today", fuel=fuel.word)] = [f"level:{fuel}"]
    for technology in dict.fromkeys(arrays.technologies):
        shared[note("driver.efficiency", kind=technology.word)] = [f"efficiency:{technology}"]
    swings = []
    for driver, inputs in shared.items():
        total = _ends_usd(arrays, market, width, inputs)
        swings.append(Swing(driver, total, total[:, [0]] - total))
    for code, kind in (("driver.job", "install"), ("driver.upkeep", "upkeep"), ("driver.life", "life0")):
        driver = note(code)
        total = _ends_usd(arrays, market, width, [f"{kind}:{heater_id}" for heater_id in arrays.ids])
        alone = centre[0] - total
        alone[:, 0] = 0.0
        swings.append(Swing(driver, total, alone, "rival"))
        against = total[:, [0]] - centre
        against[:, 0] = 0.0
        swings.append(Swing(driver, total, against, "first"))
    return swings


def _ends_usd(arrays: CostArrays, market: Market, width: Width, inputs: Iterable[str]) -> Floats:
    ends = {name: np.array([0.1, 0.9] if is_quantile(name) else [-Z90, Z90]) for name in inputs}
    return evaluate(arrays, market, width, ends)[0]


def price_map(choices: Sequence[CandidateMoney], gas_fuel: Fuel, columns: int) -> PriceMap:
    """Cheapest of some candidates over prices of gas (or another fuel) and electricity.

    Parameters
    ----------
    choices : sequence of CandidateMoney
        Those that may be chosen; the first where two cost the same.
    gas_fuel : Fuel
        Fuel along the columns.
    columns : int
        Number of its prices, odd, evenly spread in ratio about today's; of electricity there are nine.
    """
    results = choices[0].results
    market, ids = results.market, [choice.costs.id for choice in choices]
    now = market.price_usd_per_unit
    gas = _prices_about(float(now[Fuel.all().index(gas_fuel)]), columns)
    power = _prices_about(float(now[Fuel.all().index(electricity())]), _ROWS)
    fixed, units = straight_lines(results.arrays.pick([choice.row for choice in choices]), market)
    cheapest = cheapest_map(fixed, units, now, gas, power, gas_fuel=gas_fuel)
    named = tuple(tuple(ids[number] for number in row) for row in cheapest.tolist())
    return PriceMap(gas, power, named, (_ROWS // 2, columns // 2))


def _prices_about(now_usd: float, count: int) -> Floats:
    """Prices with today's in the middle."""
    return now_usd * _MAP_TIMES ** np.linspace(-1, 1, count) if count > 1 else np.array([now_usd])
