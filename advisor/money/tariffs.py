"""What a fuel costs: flat, block, seasonal and time-of-use rates, and what a heater adds to the bill.

The question is always what changes on the bill because of the heater. That is the price of the units it adds
on top of what the rest of the house uses (the *marginal* price), not the whole bill divided by the whole use
(the *average* price), which also spreads the monthly account charge and hides the dearer or cheaper blocks.
The account charge counts only where a candidate opens an account or lets one be closed.

Units of each fuel are those on the bill: kWh, therm, and gallons of propane or heating oil.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from advisor.core.errors import InputError
from advisor.core.kinds import Fuel

_DAYS_IN_MONTH = np.array([31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
_DAY_KINDS = ("weekday", "weekend")
_DAY_WEIGHT = np.array([5 / 7, 2 / 7])
_HOURS_SHAPE = (12, 2, 24)


@dataclass(frozen=True)
class FlatRate:
    """One price for every unit.

    Parameters
    ----------
    price_usd_per_unit : float
        Before tax. [$/unit]
    """

    price_usd_per_unit: float

    def __post_init__(self) -> None:
        _check_price("price_usd_per_unit", self.price_usd_per_unit)

    def energy_usd(self, use: np.ndarray, other: np.ndarray, hours: np.ndarray | None) -> np.ndarray:
        """Extra energy charge of each month, before tax. [$]"""
        return use * self.price_usd_per_unit

    def price_by_hour(self) -> np.ndarray:
        """Price by month, kind of day and hour; 12 x 2 x 24. [$/unit]"""
        return np.full(_HOURS_SHAPE, self.price_usd_per_unit)

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
        _require(bool(self.tiers), "tiers", None, "there are no blocks", "give the price of each block")
        for tier in self.tiers:
            _check_price("tiers.price_usd_per_unit", tier.price_usd_per_unit)
        ends = [tier.up_to_units for tier in self.tiers]
        field = "tiers.up_to_units"
        _require(ends[-1] is None, field, ends[-1], "the last block must have no end", "leave its end out")
        rising = [0.0, *(math.nan if end is None else end for end in ends[:-1])]
        in_order = all(low < high < math.inf for low, high in zip(rising, rising[1:], strict=False))
        _require(in_order, field, ends, "the blocks must end at rising amounts", "list the smallest first")

    def energy_usd(self, use: np.ndarray, other: np.ndarray, hours: np.ndarray | None) -> np.ndarray:
        """Extra energy charge of each month, before tax: the bill with it less the bill without. [$]"""
        return self._bill_usd(other + use) - self._bill_usd(other)

    def _bill_usd(self, use: np.ndarray) -> np.ndarray:
        days = _DAYS_IN_MONTH if self.per_day else np.ones(12)
        bill, start = np.zeros(np.shape(use)), np.zeros(12)
        for tier in self.tiers:
            end = np.full(12, np.inf) if tier.up_to_units is None else tier.up_to_units * days
            bill = bill + tier.price_usd_per_unit * np.clip(use - start, 0, end - start)
            start = end
        return bill

    def price_by_hour(self) -> np.ndarray:
        """The first block's price in every hour: no hour is dearer than another. [$/unit]"""
        return np.full(_HOURS_SHAPE, self.tiers[0].price_usd_per_unit)

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

    def mask(self) -> np.ndarray:
        """True in the window's hours; kind of day by hour, 2 x 24."""
        hour = np.arange(24)
        inside = (hour - self.start_h) % 24 < ((self.end_h - self.start_h) % 24 or 24)
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
        _check_price("base_usd_per_unit", self.base_usd_per_unit)
        covered = np.zeros((2, 24), dtype=bool)
        for window in self.windows:
            _check_price("windows.price_usd_per_unit", window.price_usd_per_unit)
            start, end = window.start_h, window.end_h
            for name, hour in (("windows.start_h", start), ("windows.end_h", end)):
                _require(hour in range(25), name, hour, "this is no hour of the day", "write 0 to 24")
            whole_day = (start, end) == (0, 24)
            _require(whole_day or start % 24 != end % 24, "windows.end_h", end, "no hour is inside", "check it")
            known = window.days in (*_DAY_KINDS, "all")
            _require(known, "windows.days", window.days, "not known", "write weekday, weekend or all")
            mask = window.mask()
            overlap = bool((covered & mask).any())
            _require(not overlap, "windows.start_h", start, "two windows overlap", "give each hour one price")
            covered |= mask

    def energy_usd(self, use: np.ndarray, other: np.ndarray, hours: np.ndarray | None) -> np.ndarray:
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

    def price_by_hour(self) -> np.ndarray:
        """Price by month, kind of day and hour; 12 x 2 x 24. [$/unit]"""
        price = np.full((2, 24), self.base_usd_per_unit)
        for window in self.windows:
            price[window.mask()] = window.price_usd_per_unit
        return np.broadcast_to(price, _HOURS_SHAPE)

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
        _require(once, "seasons.months", months, "each month must stand once", "share out months 1 to 12")

    def energy_usd(self, use: np.ndarray, other: np.ndarray, hours: np.ndarray | None) -> np.ndarray:
        """Extra energy charge of each month, before tax. [$]"""
        return sum(
            (self._mask(season) * season.rate.energy_usd(use, other, hours) for season in self.seasons),
            np.zeros(12),
        )

    @staticmethod
    def _mask(season: Season) -> np.ndarray:
        return np.isin(np.arange(1, 13), season.months).astype(float)

    def price_by_hour(self) -> np.ndarray:
        """Price by month, kind of day and hour; 12 x 2 x 24. [$/unit]"""
        return sum(
            (self._mask(season)[:, None, None] * season.rate.price_by_hour() for season in self.seasons),
            np.zeros(_HOURS_SHAPE),
        )

    def prices(self) -> tuple[float, ...]:
        """Every price in the rate. [$/unit]"""
        return tuple(price for season in self.seasons for price in season.rate.prices())


Rate = FlatRate | BlockRate | TimeOfUseRate | SeasonalRate


@dataclass(frozen=True)
class Tariff:
    """What a household pays for one fuel.

    Parameters
    ----------
    fuel : Fuel
        It fixes the unit of every price and amount.
    rate : Rate
        Prices before tax.
    fixed_usd_per_mo : float
        Account charge, whatever the use; for propane the tank rent. [$/month]
    tax_frac : float
        Taxes and percentage riders on the whole bill. [-]
    source : str
        Where the figures come from, for the reader.
    """

    fuel: Fuel
    rate: Rate
    fixed_usd_per_mo: float = 0.0
    tax_frac: float = 0.0
    source: str = ""

    def __post_init__(self) -> None:
        dearest = max(self.rate.prices())
        reason = f"this is far above any household price in $ per {self.unit}"
        believable = dearest <= self.fuel.highest_usd_per_unit
        _require(believable, "tariff.rate", dearest, reason, "give dollars, not cents, for the bill's unit")
        fixed, tax = self.fixed_usd_per_mo, self.tax_frac
        _require(0 <= fixed <= 500, "tariff.fixed_usd_per_mo", fixed, "outside $0 to $500", "check the bill")
        _require(0 <= tax <= 0.5, "tariff.tax_frac", tax, "outside 0 to 0.5", "write 7 % as 0.07")

    @property
    def unit(self) -> str:
        """Unit on the bill."""
        return self.fuel.unit


def monthly_cost_usd(
    tariff: Tariff, use_by_month: Any, other_use_by_month: Any = 0.0, hourly_share: Any = None
) -> np.ndarray:
    """What the heater adds to each month's bill: the bill with it less the bill without it, tax included.

    Parameters
    ----------
    tariff : Tariff
        Of the heater's fuel.
    use_by_month : array, (..., 12)
        The heater's own use, January to December. [unit on the bill]
    other_use_by_month : float or array, (..., 12)
        What the rest of the house uses of the same fuel. Matters only for block rates. [same unit]
    hourly_share : array, optional
        Share of a day's use in each clock hour: 24, or 2 x 24 (weekday, weekend), or 12 x 2 x 24. Needed by a
        time-of-use rate. [-]

    Returns
    -------
    ndarray, (..., 12)
        The account charge is not in it: see ``account_change_usd_per_yr``. [$/month]

    Raises
    ------
    InputError
        Not twelve months, a negative amount, or hours that are needed and not given.
    """
    use, other = _months("use_by_month", use_by_month), _months("other_use_by_month", other_use_by_month)
    hours = None if hourly_share is None else _hours(hourly_share)
    return tariff.rate.energy_usd(use, other, hours) * (1 + tariff.tax_frac)


def account_change_usd_per_yr(tariff: Tariff, *, has_account: bool, needs_account: bool) -> float:
    """Account charges that start (positive) or end (negative) with a candidate; nought where nothing changes.

    Parameters
    ----------
    tariff : Tariff
        Of one fuel.
    has_account, needs_account : bool
        Whether the house has an account for the fuel now, and whether anything still needs one afterwards.

    Returns
    -------
    float
        Tax included. [$/yr]
    """
    return 12 * tariff.fixed_usd_per_mo * (1 + tariff.tax_frac) * (int(needs_account) - int(has_account))


def average_price_usd_per_unit(tariff: Tariff, use_by_month: Any, hourly_share: Any = None) -> Any:
    """The whole year's bill, account charge and all, divided by the whole year's use.

    This is what a bill shows at first glance. It is not what a saved unit is worth: use the marginal price.

    Returns
    -------
    float or ndarray
        NaN where nothing is used. [$/unit]
    """
    use = _months("use_by_month", use_by_month)
    bill = monthly_cost_usd(tariff, use, 0.0, hourly_share) + tariff.fixed_usd_per_mo * (1 + tariff.tax_frac)
    return _ratio(bill.sum(axis=-1), use.sum(axis=-1))


def marginal_price_usd_per_unit(
    tariff: Tariff, use_by_month: Any, other_use_by_month: Any = 0.0, hourly_share: Any = None
) -> Any:
    """What each unit of the heater's own use costs over the year: the price that its savings are worth.

    Returns
    -------
    float or ndarray
        NaN where the heater uses nothing. [$/unit]
    """
    use = _months("use_by_month", use_by_month)
    cost = monthly_cost_usd(tariff, use, other_use_by_month, hourly_share)
    return _ratio(cost.sum(axis=-1), use.sum(axis=-1))


def shift_out_of_peak(rate: Rate, hourly_share: Any, shift_frac: float) -> np.ndarray:
    """Hours of use once a timer keeps part of it out of the dearest hours.

    The part moved is heated in the cheapest hours of the same kind of day, spread evenly. The tank must be
    able to carry it: check the bench before counting on a large share. Where every hour costs the same
    nothing moves.

    Parameters
    ----------
    rate : Rate
        Whose hours are dear or cheap.
    hourly_share : array
        As for ``monthly_cost_usd``. [-]
    shift_frac : float
        Share of the use inside the dearest hours that the timer moves, 0 to 1. [-]

    Returns
    -------
    ndarray, (12, 2, 24)
        Shares that still add up to 1 a day. [-]
    """
    _require(0 <= shift_frac <= 1, "shift_frac", shift_frac, "outside 0 to 1", "write 70 % as 0.7")
    hours, price = _hours(hourly_share), rate.price_by_hour()
    dearest, cheapest = price.max(axis=-1, keepdims=True), price.min(axis=-1, keepdims=True)
    peak, cheap = (price == dearest) & (dearest > cheapest), price == cheapest
    moved = np.where(peak, hours * shift_frac, 0.0)
    return hours - moved + cheap * moved.sum(axis=-1, keepdims=True) / cheap.sum(axis=-1, keepdims=True)


def _require(condition: bool, field: str, value: object, reason: str, fix: str) -> None:
    if not condition:
        raise InputError(field, value, reason, fix)


def _check_price(field: str, price: float) -> None:
    good = math.isfinite(price) and price >= 0
    _require(good, field, price, "a price must be a number not below 0", "give dollars for one unit")


def _months(field: str, amounts: Any) -> np.ndarray:
    array = np.asarray(amounts, dtype=float)
    if field == "other_use_by_month" and array.ndim == 0:
        array = np.broadcast_to(array, (12,))
    twelve = array.ndim > 0 and array.shape[-1] == 12
    _require(twelve, field, array.shape, "twelve months are needed", "give January to December")
    good = bool((np.isfinite(array) & (array >= 0)).all())
    _require(good, field, None, "an amount is negative or missing", "give twelve amounts not below 0")
    return array


def _hours(hourly_share: Any) -> np.ndarray:
    array, field = np.asarray(hourly_share, dtype=float), "hourly_share"
    shaped = array.shape in {(24,), (2, 24), _HOURS_SHAPE}
    _require(shaped, field, array.shape, "24 hours of a day are needed", "give 24 shares")
    total = array.sum(axis=-1, keepdims=True)
    good = bool((array >= 0).all() and (abs(total - 1) < 0.01).all())
    _require(good, field, None, "the 24 shares must add up to 1", "divide each by their sum")
    return np.broadcast_to(array / total, _HOURS_SHAPE)


def _ratio(above: Any, below: Any) -> Any:
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(below > 0, above / np.where(below > 0, below, 1.0), np.nan)[()]
