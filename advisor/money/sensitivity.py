"""What would change the answer: prices and quotes at which two candidates draw level, and what moves them most."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.core.kinds import Fuel, electricity
from advisor.money.break_even import break_even_price_usd_per_unit, break_even_quote_usd, cheapest_map
from advisor.money.monte_carlo import Candidates, Market, cost_per_quote, one_at_a_time, point, straight_lines

#: The map runs from today's price divided by this to today's price times this.
_MAP_TIMES = 2.5


@dataclass(frozen=True)
class PriceTurn:
    """A fuel's price at which the rival draws level.

    Parameters
    ----------
    fuel : Fuel
        Which.
    now_usd_per_unit, turn_usd_per_unit : float
        Today's price, and the one that turns the answer. [$/unit]
    wins_above : bool
        The rival costs less above that price; else below it.
    """

    fuel: Fuel
    now_usd_per_unit: float
    turn_usd_per_unit: float
    wins_above: bool


@dataclass(frozen=True)
class Turns:
    """Where a rival would overtake a candidate.

    Parameters
    ----------
    prices : tuple of PriceTurn
        Fuels whose price alone can do it, the nearest first.
    quote_now_usd, quote_turn_usd : float, float or None
        The rival's installed price, and the one at which it draws level; None where even a gift would not do.
    """

    prices: tuple[PriceTurn, ...]
    quote_now_usd: float
    quote_turn_usd: float | None


@dataclass(frozen=True)
class Driver:
    """What one input does alone to the difference between two candidates.

    Parameters
    ----------
    name : str
        The input in plain words.
    saving_usd : tuple of float
        What the rival saves over the study where the input is at its 10th and its 90th percentile. [$]
    """

    name: str
    saving_usd: tuple[float, float]

    @property
    def reach_usd(self) -> float:
        """How far it moves the difference. [$]"""
        return abs(self.saving_usd[1] - self.saving_usd[0])

    @property
    def turns_the_answer(self) -> bool:
        """At one end the rival costs less, at the other more."""
        return (self.saving_usd[0] > 0) != (self.saving_usd[1] > 0)


@dataclass(frozen=True)
class PriceMap:
    """Which candidate costs least at each pair of prices.

    Parameters
    ----------
    gas_fuel : Fuel
        Fuel along the columns.
    gas_usd_per_unit, electricity_usd_per_kwh : ndarray
        Prices of columns and rows; the place where today's price stands is ``here``.
    cheapest : ndarray of int, (rows, columns)
        Place in the list of all candidates.
    here : tuple of int
        Row and column of today's prices.
    """

    gas_fuel: Fuel
    gas_usd_per_unit: np.ndarray
    electricity_usd_per_kwh: np.ndarray
    cheapest: np.ndarray
    here: tuple[int, int]


def turns(candidates: Candidates, market: Market, first: int, rival: int) -> Turns:
    """Where the rival draws level with the first.

    Parameters
    ----------
    candidates, market
        The inputs.
    first, rival : int
        Places in the list.
    """
    fixed, units = straight_lines(candidates, market)
    now = market.price_usd_per_unit
    found = []
    for place, fuel in enumerate(Fuel.all()):
        turn = break_even_price_usd_per_unit(fixed, units, now, fuel, first, rival)
        if turn is not None:
            found.append(PriceTurn(fuel, float(now[place]), turn, bool(units[rival, place] < units[first, place])))
    found.sort(key=lambda turn: abs(np.log(turn.turn_usd_per_unit / turn.now_usd_per_unit)))
    total = point(candidates, market)[0]
    heater, work = candidates.heater_usd[rival, 1], candidates.work_usd[rival, 1]
    quote = float(heater + work)
    # Of a dearer quote the heater's share is partly left at the end; the work is not.
    share = heater / quote if quote else 1.0
    slope = share * cost_per_quote(candidates, market)[rival] + (1 - share)
    level = break_even_quote_usd(quote, float(total[rival]), float(total[first]), float(slope))
    return Turns(tuple(found), quote, level)


def drivers(candidates: Candidates, market: Market, first: int, rival: int, most: int = 3) -> list[Driver]:
    """The inputs that alone move the difference between two candidates most."""
    pair = candidates.pick([first, rival])
    found = []
    for swing in one_at_a_time(pair, market, baseline=0):
        low, high = (float(end) for end in swing.saving_usd[:, 1])
        found.append(Driver(_said(swing.driver), (low, high)))
    found = [driver for driver in found if driver.reach_usd >= 1]
    return sorted(found, key=lambda driver: -driver.reach_usd)[:most]


def _said(driver: str) -> str:
    """The driver's name as a reader knows it; the first candidate is the like-for-like of the pair."""
    if driver.endswith(", like-for-like"):
        return f"{driver.removesuffix(', like-for-like')}, recommended heater"
    return f"{driver}, rival" if driver in {"price of the job", "upkeep", "how long it lasts"} else driver


def price_map(
    candidates: Candidates, market: Market, places: list[int], gas_fuel: Fuel, columns: int = 9, rows: int = 9
) -> PriceMap:
    """Cheapest of some candidates over prices of gas (or another fuel) and electricity.

    Parameters
    ----------
    candidates, market
        The inputs.
    places : list of int
        Those that may be chosen.
    gas_fuel : Fuel
        Fuel along the columns.
    columns, rows : int
        Number of prices, odd, evenly spread in ratio about today's.
    """
    now = market.price_usd_per_unit
    gas, gas_here = _axis(float(now[Fuel.all().index(gas_fuel)]), columns)
    power, power_here = _axis(float(now[Fuel.all().index(electricity())]), rows)
    fixed, units = straight_lines(candidates, market)
    cheapest = cheapest_map(fixed[places], units[places], now, gas, power, gas_fuel=gas_fuel)
    return PriceMap(gas_fuel, gas, power, np.array(places)[cheapest], (power_here, gas_here))


def _axis(now_usd: float, count: int) -> tuple[np.ndarray, int]:
    """Prices with today's in the middle, and its place."""
    return now_usd * _MAP_TIMES ** np.linspace(-1, 1, count) if count > 1 else np.array([now_usd]), count // 2
