"""How far off the figures may be, and how firm the ranking is in spite of it.

Thousands of plausible versions of the household are drawn, and every candidate meets the *same* versions: the
same hot-water use, the same prices, the same gap between rating and field for heaters of a kind. So what they
share cancels in a difference, and a ranking can be much firmer than any one bill.

Each input's draws are the same evenly spread quantiles in another order (Latin hypercube), which makes
percentiles steady; each order has a seed of its own from the input's name, so that adding a candidate does
not move the others.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

import numpy as np

from advisor.core import tables
from advisor.core.errors import InputError
from advisor.core.kinds import Fuel, Technology, electricity, piped_gas
from advisor.money.chance import Z90, between, even_grid, linked, order_of, triangular, weibull_life_yr
from advisor.money.life_cycle import Terms
from advisor.physics.present_value import residual_usd

DRAWS = 20_000
SEED = 20_261_125
# A heater that fails in its first year is put right at the maker's expense.
_SHORTEST_LIFE_YR = 1.0
# Lives drawn for the first heater and its successors; any after these last the mean life.
_DRAWN_LIVES = 3
Scores = dict[str, np.ndarray]


@dataclass(frozen=True)
class Candidates:
    """Plain arrays, one row a candidate; ranges are low, typical, high, read as 10, 50 and 90 in a hundred.

    Parameters
    ----------
    names, technologies : tuple of str, tuple of Technology
        Own names, and kinds of heater.
    fuel_per_yr : array, (n, 4)
        Yearly use at the typical field efficiency: therm, kWh, gal of propane, gal of oil.
    heater_usd : array, (n, 3)
        Heater put in. [$]
    upkeep_usd_per_yr : array, (n, 3)
        [$/yr]
    life_mean_yr, life_shape : array, (n,)
        Weibull life; an infinite shape is a life without spread. [yr], [-]
    work_usd : array, (n, 3), optional
        One-off work around it, not done again and worth nothing at the end. [$]
    again_usd : array, (n, 3), optional
        A later heater put in; as the first where not given. [$]
    rebate_usd, account_usd_per_yr, standby_frac : array, (n,), optional
        Taken off at the start; account charges begun or ended; share of the energy that does not follow the
        hot-water use. [$], [$/yr], [-]
    """

    names: tuple[str, ...]
    technologies: tuple[Technology, ...]
    fuel_per_yr: np.ndarray
    heater_usd: np.ndarray
    upkeep_usd_per_yr: np.ndarray
    life_mean_yr: np.ndarray
    life_shape: np.ndarray
    work_usd: Any = None
    again_usd: Any = None
    rebate_usd: Any = None
    account_usd_per_yr: Any = None
    standby_frac: Any = None

    def __post_init__(self) -> None:
        n = len(self.names)
        if not n or len(set(self.names)) != n or len(self.technologies) != n:
            raise InputError("candidates", n, "each needs a name of its own and a kind", "name each one once")
        shapes: dict[str, tuple[int, ...]] = {"fuel_per_yr": (n, len(Fuel.all()))}
        shapes |= dict.fromkeys(("heater_usd", "upkeep_usd_per_yr", "work_usd", "again_usd"), (n, 3))
        shapes |= dict.fromkeys(("life_mean_yr", "life_shape"), (n,))
        shapes |= dict.fromkeys(("rebate_usd", "account_usd_per_yr", "standby_frac"), (n,))
        for name, shape in shapes.items():
            given = getattr(self, name)
            if given is None:
                given = self.heater_usd if name == "again_usd" else np.zeros(shape)
            array = np.asarray(given, dtype=float)
            if array.shape != shape or np.isnan(array).any():
                raise InputError(name, array.shape, f"{shape} numbers are needed", "give every candidate's own")
            if shape == (n, 3) and not ((array[:, 0] <= array[:, 1]) & (array[:, 1] <= array[:, 2])).all():
                raise InputError(name, None, "a range must rise from low to high", "give low, typical, high")
            object.__setattr__(self, name, array)
        if not (self.life_mean_yr > 0).all():
            raise InputError("life_mean_yr", None, "a life must be longer than nothing", "give years")

    def pick(self, places: Sequence[int]) -> Candidates:
        """Some of the candidates, in the order asked for; their draws stay the same."""
        chosen: dict[str, Any] = {
            name: tuple(value[place] for place in places) if isinstance(value, tuple) else value[list(places)]
            for name, value in vars(self).items()
        }
        return Candidates(**chosen)


@dataclass(frozen=True)
class Market:
    """What all candidates share: prices and their course, the terms, and how well the use is known.

    Parameters
    ----------
    price_usd_per_unit : array, (4,)
        Today, in the order of the fuels; 0 for a fuel that nobody uses. [$/unit]
    index_frac : array, (4, years)
        Real price at the end of each year over today's. [-]
    terms : Terms
        Study period and discount rate.
    use_sigma : float
        Of the logarithm of the yearly use. [-]
    level_sigma : array, (4,)
        Of the logarithm of today's price; above 0 where an average stands in for the marginal rate. [-]
    """

    price_usd_per_unit: np.ndarray
    index_frac: np.ndarray
    terms: Terms
    use_sigma: float
    level_sigma: np.ndarray = field(default_factory=lambda: np.zeros(len(Fuel.all())))


@dataclass(frozen=True)
class Width:
    """How wide each shared input spreads: ``from_table`` as usual, or ``none`` for no spread.

    Parameters
    ----------
    field_efficiency : dict
        Kind of heater to least, most likely and most, over its rating. [-]
    drift_per_yr : tuple of float
        Standard deviation of the extra yearly price rise, by fuel. [1/yr]
    gas_electricity_link, installed_link : float
        Correlation of the two prices' drifts, and of the prices of labor for different candidates. [-]
    """

    field_efficiency: dict[str, tuple[float, float, float]]
    drift_per_yr: tuple[float, ...]
    gas_electricity_link: float
    installed_link: float

    @classmethod
    def from_table(cls) -> Width:
        """As in the table ``spreads``."""
        rows = {(row["kind"], row["applies_to"]): row for row in tables.load("spreads").rows()}
        ends = ("low_dimensionless", "typical_dimensionless", "high_dimensionless")
        efficiency = {
            name: (row[ends[0]], row[ends[1]], row[ends[2]])
            for (kind, name), row in rows.items()
            if kind == "field_efficiency"
        }
        drift = tuple(rows["price_drift", fuel.id][ends[1]] for fuel in Fuel.all())
        links = (("price_drift_link", "gas_electricity"), ("installed_link", "same_house"))
        return cls(efficiency, drift, *(rows[link][ends[1]] for link in links))

    @classmethod
    def none(cls) -> Width:
        """No spread in what is shared."""
        return cls({}, (0.0,) * len(Fuel.all()), 0.0, 0.0)


def use_sigma(*, people_known: bool) -> float:
    """Spread of the logarithm of yearly use between households that look alike. [-]"""
    table = tables.load("spreads")
    row = np.flatnonzero(table["applies_to"] == ("people_known" if people_known else "people_unknown"))[0]
    return float(table["typical_dimensionless"][row])


def point(candidates: Candidates, market: Market) -> tuple[np.ndarray, np.ndarray]:
    """Life-cycle cost and yearly running cost with every input at its typical value. [$], [$/yr]"""
    total, running = _evaluate(candidates, market, Width.none(), {})
    return total[0], running[0]


def straight_lines(candidates: Candidates, market: Market) -> tuple[np.ndarray, np.ndarray]:
    """Life-cycle cost without energy, and the units of each fuel in today's worth: what ``thresholds`` needs.

    Returns
    -------
    fixed_usd : ndarray, (n,)
        [$]
    units : ndarray, (n, 4)
        In the order of the fuels.
    """
    fixed, _ = point(candidates, replace(market, price_usd_per_unit=np.zeros(len(Fuel.all()))))
    return fixed, candidates.fuel_per_yr * market.terms.present_value_yr(market.index_frac)


def cost_per_quote(candidates: Candidates, market: Market) -> np.ndarray:
    """What one more dollar for the heater adds to its life-cycle cost, later ones costing the same. [-]"""
    dearer = replace(candidates, heater_usd=candidates.heater_usd + 1.0)
    return point(dearer, market)[0] - point(candidates, market)[0]


def simulate(
    candidates: Candidates,
    market: Market,
    *,
    baseline: int = 0,
    width: Width | None = None,
    draws: int = DRAWS,
    seed: int = SEED,
) -> Spread:
    """Draw the household many times over and cost every candidate in each version.

    Parameters
    ----------
    candidates, market
        The inputs.
    baseline : int
        Place of the like-for-like candidate.
    width : Width, optional
        As in the table where not given.
    draws, seed : int
        Number of versions, and where the random orders start.
    """
    width = width or Width.from_table()
    links = width.gas_electricity_link, width.installed_link
    scores = _scores(candidates.names, candidates.technologies, *links, draws, seed)
    total, running = _evaluate(candidates, market, width, scores)
    shape = (draws, len(candidates.names))
    return Spread(candidates.names, np.broadcast_to(total, shape), np.broadcast_to(running, shape), baseline)


@dataclass(frozen=True)
class Spread:
    """Costs of every candidate in every version of the household.

    Parameters
    ----------
    names : tuple of str
        Of the candidates.
    total_usd, running_usd_per_yr : ndarray, (draws, n)
        Life-cycle cost and yearly running cost. [$], [$/yr]
    baseline : int
        Place of the like-for-like candidate.
    """

    names: tuple[str, ...]
    total_usd: np.ndarray
    running_usd_per_yr: np.ndarray
    baseline: int

    @property
    def saving_usd(self) -> np.ndarray:
        """Net saving against the baseline, version by version. [$]"""
        return self.total_usd[:, [self.baseline]] - self.total_usd

    def chance_cheapest(self) -> np.ndarray:
        """Share of versions in which each candidate costs least. [-]"""
        winners = np.argmin(self.total_usd, axis=1)
        return np.bincount(winners, minlength=len(self.names)) / len(winners)

    def chance_cheaper(self) -> np.ndarray:
        """Share of versions in which the candidate of the row costs less than that of the column. [-]"""
        return np.array([(column[:, None] < self.total_usd).mean(axis=0) for column in self.total_usd.T])

    def ranking(self) -> list[tuple[int, float | None]]:
        """Places from the cheapest median, each with the chance that it beats the next; None for the last."""
        order = np.argsort(np.median(self.total_usd, axis=0), kind="stable").tolist()
        beats = [
            float((self.total_usd[:, here] < self.total_usd[:, after]).mean())
            for here, after in zip(order, order[1:], strict=False)
        ]
        return list(zip(order, [*beats, None], strict=True))


@dataclass(frozen=True)
class Swing:
    """What one input does alone, from its 10th to its 90th percentile, the others typical.

    Parameters
    ----------
    driver : str
        The input in plain words.
    total_usd, saving_usd : ndarray, (2, n)
        Life-cycle cost, and net saving against the baseline, at both ends. [$]
    """

    driver: str
    total_usd: np.ndarray
    saving_usd: np.ndarray

    def reach_usd(self) -> np.ndarray:
        """How far the net saving moves, by candidate. [$]"""
        return np.abs(self.saving_usd[1] - self.saving_usd[0])


def one_at_a_time(
    candidates: Candidates, market: Market, *, baseline: int = 0, width: Width | None = None
) -> list[Swing]:
    """Move one input at a time: what is shared moves for all, a candidate's own moves for it alone."""
    width = width or Width.from_table()
    centre = point(candidates, market)[0]
    shared = {"hot water used": ["use"]}
    for fuel in (fuel for place, fuel in enumerate(Fuel.all()) if candidates.fuel_per_yr[:, place].any()):
        shared[f"{fuel.title} price in years to come"] = [f"drift:{fuel}"]
        shared[f"{fuel.title} price today"] = [f"level:{fuel}"]
    for kind in dict.fromkeys(candidates.technologies):
        shared[f"efficiency in the field, {kind.title}"] = [f"efficiency:{kind}"]
    swings = []
    for driver, names in shared.items():
        total = _ends(candidates, market, width, names)
        swings.append(Swing(driver, total, total[:, [baseline]] - total))
    for driver, own in (
        ("price of the job", "install"),
        ("upkeep", "upkeep"),
        ("how long it lasts", "life0"),
    ):
        total = _ends(candidates, market, width, [f"{own}:{name}" for name in candidates.names])
        alone = centre[baseline] - total
        alone[:, baseline] = 0.0
        swings.append(Swing(driver, total, alone))
        against = total[:, [baseline]] - centre
        against[:, baseline] = 0.0
        swings.append(Swing(f"{driver}, like-for-like", total, against))
    return swings


def _ends(candidates: Candidates, market: Market, width: Width, names: Iterable[str]) -> np.ndarray:
    ends = {name: np.array([0.1, 0.9] if _is_quantile(name) else [-Z90, Z90]) for name in names}
    return _evaluate(candidates, market, width, ends)[0]


# Efficiency and life are drawn from quantiles, everything else from normal scores.
def _is_quantile(name: str) -> bool:
    return name.startswith(("efficiency", "life"))


# A few houses' draws are kept: another answer of the same household is costed in the same versions, at no delay.
@lru_cache(maxsize=6)
def _scores(
    own_names: tuple[str, ...],
    technologies: tuple[Technology, ...],
    fuel_link: float,
    job_link: float,
    draws: int,
    seed: int,
) -> Scores:
    """Every input's own order of the even grid; links between inputs are laid on afterwards."""
    kinds = ("install", "upkeep", *(f"life{turn}" for turn in range(_DRAWN_LIVES)))
    names = [f"{kind}:{name}" for name in own_names for kind in kinds]
    names += [f"{kind}:{fuel}" for fuel in Fuel.all() for kind in ("drift", "level")]
    names += [f"efficiency:{kind}" for kind in dict.fromkeys(technologies)] + ["use", "labor"]
    quantiles, normal = even_grid(draws)
    scores = {}
    for name in names:
        scores[name] = (quantiles if _is_quantile(name) else normal)[order_of(name, draws, seed)]
    gas, power = f"drift:{piped_gas()}", f"drift:{electricity()}"
    scores[power] = linked(scores[gas], scores[power], fuel_link)
    # Two that share the root of the link with a third are linked by the link itself.
    share = job_link**0.5
    for name in (f"install:{name}" for name in own_names):
        scores[name] = linked(scores["labor"], scores[name], share)
    for drawn in scores.values():
        drawn.flags.writeable = False
    return scores


def _normal(scores: Scores, names: Iterable[str]) -> np.ndarray:
    """Normal scores side by side, (draws, names); an input that was not drawn is at its typical value."""
    columns = [scores.get(name, np.zeros(1)) for name in names]
    return np.stack(np.broadcast_arrays(*columns), axis=-1)


def _evaluate(candidates: Candidates, market: Market, width: Width, scores: Scores) -> tuple[np.ndarray, np.ndarray]:
    """The model: life-cycle cost and yearly running cost in each version, (draws, n)."""
    terms, names = market.terms, candidates.names
    drift = _normal(scores, [f"drift:{fuel}" for fuel in Fuel.all()]) * np.array(width.drift_per_yr)
    path = market.index_frac * np.exp(drift[:, :, None] * terms.years)
    level = np.exp(_normal(scores, [f"level:{fuel}" for fuel in Fuel.all()]) * market.level_sigma)
    price = market.price_usd_per_unit * level
    use = np.exp(market.use_sigma * _normal(scores, ["use"]))
    still = candidates.standby_frac
    amount = (still + (1 - still) * use) / _field_ratio(candidates, width, scores)
    upkeep = between(candidates.upkeep_usd_per_yr, _normal(scores, [f"upkeep:{name}" for name in names]))
    steady = upkeep + candidates.account_usd_per_yr
    running = amount * (price @ candidates.fuel_per_yr.T) + steady
    later = amount * ((price * terms.present_value_yr(path)) @ candidates.fuel_per_yr.T)
    job = _normal(scores, [f"install:{name}" for name in names])
    heater, again = between(candidates.heater_usd, job), between(candidates.again_usd, job)
    start = heater + between(candidates.work_usd, job) - candidates.rebate_usd
    return start + later + steady * terms.present_value_yr() + _renewals(
        candidates, terms, heater, again, scores
    ), running


def _renewals(
    candidates: Candidates, terms: Terms, heater: np.ndarray, again: np.ndarray, scores: Scores
) -> np.ndarray:
    """Today's worth of buying the heater again whenever it fails, less what is left at the end. [$]"""
    end_yr = float(terms.study_yr)
    life = _life_yr(candidates, scores, 0)
    shape = np.broadcast_shapes(heater.shape, life.shape)
    bought, cost, piece = np.zeros(shape), np.zeros(shape), np.array(np.broadcast_to(heater, shape))
    life, again = np.array(np.broadcast_to(life, shape)), np.broadcast_to(again, shape)
    turn = 0
    while (failed := bought + life < end_yr - 1e-9).any():
        turn += 1
        bought[failed] += life[failed]
        piece[failed] = again[failed]
        cost[failed] += again[failed] * terms.weight_frac(bought[failed])
        life[failed] = np.broadcast_to(_life_yr(candidates, scores, turn), shape)[failed]
    left = residual_usd(piece, life, end_yr - bought)
    return cost - left * terms.weight_frac(end_yr, moves=False)


def _life_yr(candidates: Candidates, scores: Scores, turn: int) -> np.ndarray:
    """Lives of the first, second, ... heater, (draws, n); those that were not drawn last the mean life."""
    mean = candidates.life_mean_yr
    names = [f"life{turn}:{name}" for name in candidates.names]
    if names[0] not in scores:
        return mean[None, :]
    quantile = np.stack([scores[name] for name in names], axis=-1)
    drawn = weibull_life_yr(quantile, mean, candidates.life_shape)
    return np.maximum(drawn, np.minimum(_SHORTEST_LIFE_YR, mean))


def _field_ratio(candidates: Candidates, width: Width, scores: Scores) -> np.ndarray:
    """Field efficiency over its typical value: one draw for all heaters of a kind, (draws, n)."""
    columns = []
    for kind in candidates.technologies:
        quantile = scores.get(f"efficiency:{kind}")
        ends = width.field_efficiency.get(kind.id)
        if quantile is None or ends is None:
            columns.append(np.ones(1))
        else:
            columns.append(triangular(quantile, *ends) / ends[1])
    return np.stack(np.broadcast_arrays(*columns), axis=-1)
