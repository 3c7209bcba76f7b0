"""How far off the figures may be, and how firm the ranking is in spite of it.

Thousands of plausible versions of the household are drawn, and every candidate meets the *same* versions: the
same hot-water use, the same prices, the same gap between rating and field for heaters of a kind. So what they
share cancels in a difference, and a ranking can be much firmer than any one bill.

Each input's draws are the same evenly spread quantiles in another order (Latin hypercube), which makes
percentiles steady; each order has a seed of its own from the input's name, so that adding a candidate does
not move the others.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from advisor.core.arrays import Floats
from advisor.core.kinds import Fuel, Technology, electricity, piped_gas
from advisor.money.chance import band, even_grid, linked, order_of
from advisor.money.cost_arrays import CostArrays, Market, Scores, Width, evaluate, is_quantile, yearly_bill_usd

SEED = 20_261_125
#: What a household draws, and what its tank loses meanwhile.
_OF_THE_HOUSEHOLD = ("use", "standby")
# Lives drawn for the first heater and its successors; any after these last the mean life.
_DRAWN_LIVES = 3


@dataclass(frozen=True, eq=False)
class Simulation:
    """Costs of every candidate in every version of the household, in the order of the arrays.

    Parameters
    ----------
    total_usd, running_usd_per_yr : ndarray, (draws, n)
        Life-cycle cost, and a year's energy and accounts. [$], [$/yr]
    """

    total_usd: Floats
    running_usd_per_yr: Floats

    def chances_cheapest_frac(self, rows: Sequence[int]) -> Floats:
        """Share of versions in which each of some candidates costs least of them. [-]"""
        winners = np.argmin(self.total_usd[:, list(rows)], axis=1)
        return np.bincount(winners, minlength=len(rows)) / len(winners)

    def chance_none_cheaper_frac(self, one: int, others: Sequence[int]) -> float:
        """Share of versions in which none of the others costs less than one. [-]"""
        least = self.total_usd[:, list(others)].min(axis=1, initial=np.inf)
        return float((self.total_usd[:, one] <= least).mean())

    def chance_saves_frac(self, one: int, baseline: int) -> float:
        """Share of versions in which one costs less than the baseline. [-]"""
        return float((self.total_usd[:, baseline] - self.total_usd[:, one] > 0).mean())


def simulate(
    arrays: CostArrays, market: Market, *, width: Width | None = None, draws: int, seed: int = SEED
) -> Simulation:
    """Draw the household many times over and cost every candidate in each version.

    Parameters
    ----------
    arrays, market
        The inputs.
    width : Width, optional
        As in the table where not given.
    draws, seed : int
        Number of versions, and where the random orders start.
    """
    width = width or Width.from_table()
    links = width.gas_electricity_link, width.installed_link
    scores = _scores(arrays.ids, arrays.technologies, *links, draws, seed)
    total, running = evaluate(arrays, market, width, scores)
    shape = (draws, len(arrays.ids))
    return Simulation(np.broadcast_to(total, shape), np.broadcast_to(running, shape))


def yearly_bill_band_usd(arrays: CostArrays, market: Market, *, draws: int) -> Floats:
    """A year's energy and accounts at 10, 50 and 90 in a hundred of the same versions, (3, n). [$/yr]

    Only what moves the bill of a year is drawn, so that a page need not wait for lives, prices of jobs and years.
    """
    scores = _scores_of_a_year(tuple(dict.fromkeys(arrays.technologies)), draws)
    bills = yearly_bill_usd(arrays, market, Width.from_table(), scores)
    return band(np.broadcast_to(bills, (draws, len(arrays.ids))))


@lru_cache(maxsize=32)
def _scores_of_a_year(technologies: tuple[Technology, ...], draws: int) -> Scores:
    efficiencies = (f"efficiency:{technology}" for technology in technologies)
    return _ordered((*efficiencies, *(f"level:{fuel}" for fuel in Fuel.all()), *_OF_THE_HOUSEHOLD), draws, SEED)


def _ordered(names: Sequence[str], draws: int, seed: int) -> Scores:
    """Every input's own order of the even grid."""
    quantiles, normal = even_grid(draws)
    return {name: (quantiles if is_quantile(name) else normal)[order_of(name, draws, seed)] for name in names}


# A few houses' draws are kept: another answer of the same household is costed in the same versions, at no delay.
@lru_cache(maxsize=6)
def _scores(
    ids: tuple[str, ...], technologies: tuple[Technology, ...], fuel_link: float, job_link: float, draws: int, seed: int
) -> Scores:
    """Every input's own order of the even grid; links between inputs are laid on afterwards."""
    kinds = ("install", "upkeep", *(f"life{turn}" for turn in range(_DRAWN_LIVES)))
    inputs = [f"{kind}:{heater_id}" for heater_id in ids for kind in kinds]
    inputs += [f"{kind}:{fuel}" for fuel in Fuel.all() for kind in ("drift", "level")]
    inputs += [f"efficiency:{technology}" for technology in dict.fromkeys(technologies)]
    scores = _ordered((*inputs, *_OF_THE_HOUSEHOLD, "labor"), draws, seed)
    gas, power = f"drift:{piped_gas()}", f"drift:{electricity()}"
    scores[power] = linked(scores[gas], scores[power], fuel_link)
    # Two that share the root of the link with a third are linked by the link itself.
    share = job_link**0.5
    for name in (f"install:{heater_id}" for heater_id in ids):
        scores[name] = linked(scores["labor"], scores[name], share)
    for drawn in scores.values():
        drawn.flags.writeable = False
    return scores
