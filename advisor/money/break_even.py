"""Where the cheapest candidate changes: a map over two prices, and the price or quote where two draw level.

Life-cycle cost is a straight line in every price, so that these are exact and need no search: cost = fixed +
the present-value units of each fuel times its price. ``cost_arrays.straight_lines`` gives both.
"""

from __future__ import annotations

import numpy as np

from advisor.core.arrays import Floats, Ints
from advisor.core.kinds import Fuel, electricity
from advisor.core.validation import positive


def cheapest_map(
    fixed_usd: Floats,
    units: Floats,
    price_usd_per_unit: Floats,
    gas_usd_per_therm: Floats,
    electricity_usd_per_kwh: Floats,
    *,
    gas_fuel: Fuel,
) -> Ints:
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
        Row of the cheapest; the first where two are equal.
    """
    first, second = Fuel.all().index(gas_fuel), Fuel.all().index(electricity())
    prices = price_usd_per_unit.copy()
    prices[[first, second]] = 0.0
    base = fixed_usd + units @ prices
    gas = gas_usd_per_therm[:, None] * units[:, first]
    electric = electricity_usd_per_kwh[:, None] * units[:, second]
    return np.argmin(base + gas[None, :, :] + electric[:, None, :], axis=-1)


def break_even_price_usd_per_unit(
    fixed_usd: Floats, units: Floats, price_usd_per_unit: Floats, fuel: Fuel, one: int, other: int
) -> float | None:
    """Price of a fuel at which two candidates cost the same over the study, the other prices staying.

    Parameters
    ----------
    fixed_usd, units, price_usd_per_unit
        As for ``cheapest_map``.
    fuel : Fuel
        Whose price is sought.
    one, other : int
        Rows of the two candidates.

    Returns
    -------
    float or None
        None where no price above 0 does it. [$/unit]
    """
    column = Fuel.all().index(fuel)
    prices = price_usd_per_unit.copy()
    prices[column] = 0.0
    rest = fixed_usd[one] - fixed_usd[other] + (units[one] - units[other]) @ prices
    slope = units[one, column] - units[other, column]
    if slope == 0 or -rest / slope <= 0:
        return None
    return float(-rest / slope)


def break_even_quote_usd(
    quote_usd: float, total_usd: float, other_total_usd: float, cost_per_quote_dimensionless: float
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
    positive("cost_per_quote_dimensionless", cost_per_quote_dimensionless, "dimensionless")
    quote = quote_usd - (total_usd - other_total_usd) / cost_per_quote_dimensionless
    return float(quote) if quote > 0 else None
