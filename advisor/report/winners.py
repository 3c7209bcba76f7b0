"""What charts and maps rank, in the order that their headings name: the same candidates and numbers everywhere."""

from __future__ import annotations

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.kinds import Fuel
from advisor.money.sensitivity import PriceMap, price_map


def over_the_years(comparison: Comparison) -> list[Candidate]:
    """What one would put in of each kind and the cheapest to own, the least cost over the years first."""
    advice = comparison.advice
    shown = {one.heater.id: one for one in (advice.cheapest_to_own, *advice.kinds) if one is not None}
    return sorted(shown.values(), key=lambda one: one.money.point_usd)


def chances(comparison: Comparison) -> list[tuple[Candidate, float]]:
    """What one would put in of each kind with the chance that its kind costs least, the likeliest first."""
    shares = comparison.advice.chances_frac
    return sorted(((one, shares[one.heater.id]) for one in comparison.advice.kinds), key=lambda pair: -pair[1])


def map_of_prices(comparison: Comparison, fuel: Fuel, columns: int = 9) -> PriceMap | None:
    """Which of all that may be put in costs least at each pair of prices; None where nothing may be."""
    eligible = [candidate.money for candidate in comparison.candidates if candidate.money.is_eligible]
    return price_map(eligible, fuel, columns=columns) if eligible else None
