"""Where the cheapest candidate changes: a map over two prices, and the price or quote where two draw level.

Life-cycle cost is a straight line in every price, so that these are exact and need no search: cost = fixed +
the present-value units of each fuel times its price. ``cost_arrays.straight_lines`` gives both.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from advisor.core.errors import InputError
from advisor.core.kinds import Fuel, electricity


def cheapest_map(
    fixed_usd: Any,
    units: Any,
    price_usd_per_unit: Any,
    gas_usd_per_therm: Any,
    electricity_usd_per_kwh: Any,
    *,
    gas_fuel: Fuel,
) -> np.ndarray:
    """Which candidate has the lowest life-cycle cost at each pair of prices.

    Parameters
    ----------
    fixed_usd : array, (candidates,)
        Life-cycle cost without energy. [$]
    units : array, (candidates, 4)
        Fuel over the study in today's worth, in the order of the fuels.
    price_usd_per_unit : array, (4,)
        Today's prices; the two that vary are replaced. [$/unit]
    gas_usd_per_therm : array, (g,)
        Prices along one side of the map. [$/unit of ``gas_fuel``]
    electricity_usd_per_kwh : array, (e,)
        Prices along the other. [$/kWh]
    gas_fuel : Fuel
        The fuel whose price runs along the first side.

    Returns
    -------
    ndarray of int, (e, g)
        Place of the cheapest in the list; the first where two are equal.
    """
    first, second = Fuel.all().index(gas_fuel), Fuel.all().index(electricity())
    amounts, prices = np.asarray(units, dtype=float), np.array(price_usd_per_unit, dtype=float)
    prices[[first, second]] = 0.0
    base = np.asarray(fixed_usd, dtype=float) + amounts @ prices
    gas = np.asarray(gas_usd_per_therm, dtype=float)[:, None] * amounts[:, first]
    electric = np.asarray(electricity_usd_per_kwh, dtype=float)[:, None] * amounts[:, second]
    return np.argmin(base + gas[None, :, :] + electric[:, None, :], axis=-1)


def break_even_price_usd_per_unit(
    fixed_usd: Any, units: Any, price_usd_per_unit: Any, fuel: Fuel, one: int, other: int
) -> float | None:
    """Price of a fuel at which two candidates cost the same over the study, the other prices staying.

    Parameters
    ----------
    fixed_usd, units, price_usd_per_unit
        As for ``cheapest_map``.
    fuel : Fuel
        Whose price is sought.
    one, other : int
        Places of the two candidates.

    Returns
    -------
    float or None
        None where no price above 0 does it. [$/unit]
    """
    place = Fuel.all().index(fuel)
    prices = np.array(price_usd_per_unit, dtype=float)
    prices[place] = 0.0
    amounts, fixed = np.asarray(units, dtype=float), np.asarray(fixed_usd, dtype=float)
    rest = fixed[one] - fixed[other] + (amounts[one] - amounts[other]) @ prices
    slope = amounts[one, place] - amounts[other, place]
    if slope == 0 or -rest / slope <= 0:
        return None
    return float(-rest / slope)


def break_even_quote_usd(
    quote_usd: float, total_usd: float, other_total_usd: float, cost_per_quote_dimensionless: float = 1.0
) -> float | None:
    """Quote for a candidate at which it would cost as much over the study as another.

    Parameters
    ----------
    quote_usd : float
        As it stands. [$]
    total_usd, other_total_usd : float
        Life-cycle costs of the candidate and of the other. [$]
    cost_per_quote_dimensionless : float
        What each dollar of the quote adds to the candidate's life-cycle cost: below 1 where part of it is
        left at the end of the study. ``cost_arrays.cost_per_quote`` gives it. [-]

    Returns
    -------
    float or None
        None where even a gift would cost more. [$]
    """
    if not cost_per_quote_dimensionless > 0:
        raise InputError(
            "cost_per_quote_dimensionless",
            cost_per_quote_dimensionless,
            "a dearer quote must cost more",
            "give a share above 0",
        )
    quote = quote_usd - (total_usd - other_total_usd) / cost_per_quote_dimensionless
    return float(quote) if quote > 0 else None
