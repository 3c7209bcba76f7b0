"""What a unit of fuel costs, before tax: flat, block, seasonal and time-of-use rates.

That a price is a number of dollars, and an hour one of the day, the case has seen to.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from advisor.core.arrays import Bools, Floats
from advisor.core.errors import InputError
from advisor.core.validation import require

_DAYS_IN_MONTH = np.array([31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
_DAY_KINDS = ("weekday", "weekend")
_DAY_WEIGHT = np.array([5 / 7, 2 / 7])
#: Months, kinds of day, hours.
HOURS_SHAPE = (12, 2, 24)


@dataclass(frozen=True)
class FlatRate:
    """One price for every unit.

    Parameters
    ----------
    price_usd_per_unit : float
        Before tax. [$/unit]
    """

    price_usd_per_unit: float

    def energy_usd(self, use: Floats, other: Floats, hours: Floats | None) -> Floats:
        """Extra energy charge of each month, before tax. [$]"""
        return use * self.price_usd_per_unit

    def price_by_hour(self) -> Floats:
        """Price by month, kind of day and hour; 12 x 2 x 24. [$/unit]"""
        return np.full(HOURS_SHAPE, self.price_usd_per_unit)

    def prices(self) -> tuple[float, ...]:
        """Every price in the rate. [$/unit]"""
        return (self.price_usd_per_unit,)


@dataclass(frozen=True)
class Tier:
    """One block of a block rate.

    Parameters
    ----------
    price_usd_per_unit : float
        Price inside the block, before tax. [$/unit]
    up_to_units : float or None
        Where the block ends, counted from the month's (or the day's) first unit. None for the last. [unit]
    """

    price_usd_per_unit: float
    up_to_units: float | None = None


@dataclass(frozen=True)
class BlockRate:
    """Blocks by use: the first units at one price, the next at another.

    Parameters
    ----------
    tiers : tuple of Tier
        In rising order; the last has no end.
    per_day : bool
        The ends of the blocks are units a day, as with a baseline allowance, and not units a month.
    """

    tiers: tuple[Tier, ...]
    per_day: bool = False

    def __post_init__(self) -> None:
        *ends, last = (tier.up_to_units for tier in self.tiers)
        field = "tiers.up_to_units"
        require(last is None, field, last, "the last block must have no end", "leave its end out")
        rising = [0.0, *(math.nan if end is None else end for end in ends)]
        in_order = all(low < high < math.inf for low, high in zip(rising, rising[1:], strict=False))
        require(in_order, field, ends, "the blocks must end at rising amounts", "list the smallest first")

    def energy_usd(self, use: Floats, other: Floats, hours: Floats | None) -> Floats:
        """Extra energy charge of each month, before tax: the bill with it less the bill without. [$]"""
        return self._bill_usd(other + use) - self._bill_usd(other)

    def _bill_usd(self, use: Floats) -> Floats:
        days = _DAYS_IN_MONTH if self.per_day else np.ones(12)
        bill, start = np.zeros(np.shape(use)), np.zeros(12)
        for tier in self.tiers:
            end = np.full(12, np.inf) if tier.up_to_units is None else tier.up_to_units * days
            bill = bill + tier.price_usd_per_unit * np.clip(use - start, 0, end - start)
            start = end
        return bill

    def price_by_hour(self) -> Floats:
        """The first block's price in every hour: no hour is dearer than another. [$/unit]"""
        return np.full(HOURS_SHAPE, self.tiers[0].price_usd_per_unit)

    def prices(self) -> tuple[float, ...]:
        """Every price in the rate. [$/unit]"""
        return tuple(tier.price_usd_per_unit for tier in self.tiers)


@dataclass(frozen=True)
class Window:
    """Hours of the day with a price of their own.

    Parameters
    ----------
    price_usd_per_unit : float
        Before tax. [$/unit]
    start_h, end_h : int
        Clock hours, 0 to 24; the end hour is not in the window. 22 to 6 runs over midnight. [h]
    days : str
        ``weekday``, ``weekend`` or ``all``. Public holidays are not told apart.
    """

    price_usd_per_unit: float
    start_h: int
    end_h: int
    days: str = "all"

    def mask(self) -> Bools:
        """True in the window's hours; kind of day by hour, 2 x 24."""
        hour = np.arange(24)
        inside = (hour - self.start_h) % 24 <= (self.end_h - self.start_h - 1) % 24
        days = np.array([self.days in (kind, "all") for kind in _DAY_KINDS])
        return days[:, None] & inside


@dataclass(frozen=True)
class TimeOfUseRate:
    """A price for most hours, and windows with other prices.

    Parameters
    ----------
    base_usd_per_unit : float
        In every hour that no window covers, before tax. [$/unit]
    windows : tuple of Window
        They must not overlap.
    """

    base_usd_per_unit: float
    windows: tuple[Window, ...]

    def __post_init__(self) -> None:
        covered = np.zeros((2, 24), dtype=bool)
        for window in self.windows:
            start, end = window.start_h, window.end_h
            whole_day = (start, end) == (0, 24)
            require(whole_day or start % 24 != end % 24, "windows.end_h", end, "no hour is inside", "check it")
            mask = window.mask()
            overlap = bool((covered & mask).any())
            require(not overlap, "windows.start_h", start, "two windows overlap", "give each hour one price")
            covered |= mask

    def energy_usd(self, use: Floats, other: Floats, hours: Floats | None) -> Floats:
        """Extra energy charge of each month, before tax. [$]

        Raises
        ------
        InputError
            No hours were given: the charge depends on when the heater runs, and that is not guessed.
        """
        if hours is None:
            raise InputError(
                "hourly_share",
                None,
                "a time-of-use rate needs to know when the heater runs",
                "give the share of a day's use in each of the 24 hours",
            )
        return use * np.einsum("mdh,mdh,d->m", hours, self.price_by_hour(), _DAY_WEIGHT)

    def price_by_hour(self) -> Floats:
        """Price by month, kind of day and hour; 12 x 2 x 24. [$/unit]"""
        price = np.full((2, 24), self.base_usd_per_unit)
        for window in self.windows:
            price[window.mask()] = window.price_usd_per_unit
        return np.broadcast_to(price, HOURS_SHAPE)

    def prices(self) -> tuple[float, ...]:
        """Every price in the rate. [$/unit]"""
        return (self.base_usd_per_unit, *(window.price_usd_per_unit for window in self.windows))


@dataclass(frozen=True)
class Season:
    """Months that share a rate; January is 1."""

    months: tuple[int, ...]
    rate: FlatRate | BlockRate | TimeOfUseRate


@dataclass(frozen=True)
class SeasonalRate:
    """Another rate in another season.

    Parameters
    ----------
    seasons : tuple of Season
        Together they must name each month once.
    """

    seasons: tuple[Season, ...]

    def __post_init__(self) -> None:
        months = sorted(month for season in self.seasons for month in season.months)
        once = months == list(range(1, 13))
        require(once, "seasons.months", months, "each month must stand once", "share out months 1 to 12")

    def energy_usd(self, use: Floats, other: Floats, hours: Floats | None) -> Floats:
        """Extra energy charge of each month, before tax. [$]"""
        return sum(
            (self._mask(season) * season.rate.energy_usd(use, other, hours) for season in self.seasons),
            np.zeros(12),
        )

    @staticmethod
    def _mask(season: Season) -> Floats:
        return np.isin(np.arange(1, 13), season.months).astype(float)

    def price_by_hour(self) -> Floats:
        """Price by month, kind of day and hour; 12 x 2 x 24. [$/unit]"""
        return sum(
            (self._mask(season)[:, None, None] * season.rate.price_by_hour() for season in self.seasons),
            np.zeros(HOURS_SHAPE),
        )

    def prices(self) -> tuple[float, ...]:
        """Every price in the rate. [$/unit]"""
        return tuple(price for season in self.seasons for price in season.rate.prices())


Rate = FlatRate | BlockRate | TimeOfUseRate | SeasonalRate
