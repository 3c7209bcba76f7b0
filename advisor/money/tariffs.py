"""What a fuel costs a household, and what a heater adds to the bill.

The question is always what changes on the bill because of the heater. That is the price of the units it adds
on top of what the rest of the house uses (the *marginal* price), not the whole bill divided by the whole use
(the *average* price), which also spreads the monthly account charge and hides the dearer or cheaper blocks.
The account charge counts only where a candidate opens an account or lets one be closed.

Units of each fuel are those on the bill: kWh, therm, and gallons of propane or heating oil.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from advisor.core.arrays import Floats, Numbers
from advisor.core.kinds import Fuel
from advisor.core.validation import require
from advisor.money.rates import HOURS_SHAPE, Rate


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
        reason = "this is far above any household price in $ per {unit}"
        fix = "give dollars, not cents, for the bill's unit"
        believable = dearest <= self.fuel.highest_usd_per_unit
        require(believable, "tariff.rate", dearest, reason, fix, unit=self.unit)

    @property
    def unit(self) -> str:
        """Unit on the bill."""
        return self.fuel.unit


def monthly_cost_usd(
    tariff: Tariff, use_by_month: ArrayLike, other_use_by_month: ArrayLike = 0.0, hourly_share: ArrayLike | None = None
) -> Floats:
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


def marginal_price_usd_per_unit(
    tariff: Tariff, use_by_month: ArrayLike, other_use_by_month: ArrayLike = 0.0, hourly_share: ArrayLike | None = None
) -> Numbers:
    """What each unit of the heater's own use costs over the year: the price that its savings are worth.

    Returns
    -------
    float or ndarray
        NaN where the heater uses nothing. [$/unit]
    """
    use = _months("use_by_month", use_by_month)
    cost = monthly_cost_usd(tariff, use, other_use_by_month, hourly_share)
    return _ratio(cost.sum(axis=-1), use.sum(axis=-1))


def shift_out_of_peak(rate: Rate, hourly_share: ArrayLike, shift_frac: float) -> Floats:
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
    hours, price = _hours(hourly_share), rate.price_by_hour()
    dearest, cheapest = price.max(axis=-1, keepdims=True), price.min(axis=-1, keepdims=True)
    peak, cheap = (price == dearest) & (dearest > cheapest), price == cheapest
    moved = np.where(peak, hours * shift_frac, 0.0)
    return hours - moved + cheap * moved.sum(axis=-1, keepdims=True) / cheap.sum(axis=-1, keepdims=True)


def _months(field: str, amounts: ArrayLike) -> Floats:
    array = np.asarray(amounts, dtype=float)
    if field == "other_use_by_month" and array.ndim == 0:
        array = np.broadcast_to(array, (12,))
    twelve = array.ndim > 0 and array.shape[-1] == 12
    require(twelve, field, array.shape, "twelve months are needed", "give January to December")
    good = bool((np.isfinite(array) & (array >= 0)).all())
    require(good, field, None, "an amount is negative or missing", "give twelve amounts not below 0")
    return array


def _hours(hourly_share: ArrayLike) -> Floats:
    array, field = np.asarray(hourly_share, dtype=float), "hourly_share"
    shaped = array.shape in {(24,), (2, 24), HOURS_SHAPE}
    require(shaped, field, array.shape, "24 hours of a day are needed", "give 24 shares")
    total = array.sum(axis=-1, keepdims=True)
    good = bool((array >= 0).all() and (abs(total - 1) < 0.01).all())
    require(good, field, None, "the 24 shares must add up to 1", "divide each by their sum")
    return np.broadcast_to(array / total, HOURS_SHAPE)


def _ratio(above: Floats, below: Floats) -> Numbers:
    with np.errstate(invalid="ignore"):
        return above / below
