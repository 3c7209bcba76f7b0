"""Every candidate's costs as plain arrays, and the life-cycle cost that follows from them.

One model for the point and for every drawn version of the household: an input that was not drawn stands at its typical
value.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from advisor.core import tables
from advisor.core.arrays import Floats
from advisor.core.errors import InputError
from advisor.core.kinds import Fuel, Technology
from advisor.money.chance import between, triangular, weibull_life_yr
from advisor.money.life_cycle import Terms
from advisor.physics.present_value import residual_usd

# A heater that fails in its first year is put right at the maker's expense.
_SHORTEST_LIFE_YR = 1.0
#: Inputs to the values that they are drawn at: quantiles of efficiencies and lives, normal scores of everything else.
Scores = dict[str, Floats]


@dataclass(frozen=True, eq=False)
class CostArrays:
    """Plain arrays, one row a candidate; ranges are low, typical, high, read as 10, 50 and 90 in a hundred.

    Parameters
    ----------
    ids, technologies : tuple of str, tuple of Technology
        Heaters' ids, and kinds of heater.
    fuel_per_yr : array, (n, 4)
        Yearly use at the typical field efficiency: therm, kWh, gal of propane, gal of oil.
    heater_usd : array, (n, 3)
        Heater put in. [$]
    upkeep_usd_per_yr : array, (n, 3)
        [$/yr]
    life_mean_yr, life_shape : array, (n,)
        Weibull life; an infinite shape is a life without spread. [yr], [-]
    work_usd, again_usd : array, (n, 3)
        One-off work around it, not done again and worth nothing at the end; a later heater put in. [$]
    law_yr, later_use_frac : array, (n,)
        From when on another heater has to be bought again, infinite for none, and its energy over today's. [yr], [-]
    later_usd : array, (n, 3)
        That other heater put in. [$]
    rebate_usd, account_usd_per_yr, standby_frac : array, (n,)
        Taken off at the start; account charges begun or ended; share of the energy that does not follow the
        hot-water use. [$], [$/yr], [-]
    """

    ids: tuple[str, ...]
    technologies: tuple[Technology, ...]
    fuel_per_yr: Floats
    heater_usd: Floats
    upkeep_usd_per_yr: Floats
    life_mean_yr: Floats
    life_shape: Floats
    work_usd: Floats
    again_usd: Floats
    law_yr: Floats
    later_usd: Floats
    later_use_frac: Floats
    rebate_usd: Floats
    account_usd_per_yr: Floats
    standby_frac: Floats

    def __post_init__(self) -> None:
        n = len(self.ids)
        if not n or len(set(self.ids)) != n or len(self.technologies) != n:
            raise InputError("candidates", n, "each needs a name of its own and a kind", "name each one once")
        shapes: dict[str, tuple[int, ...]] = {"fuel_per_yr": (n, len(Fuel.all()))}
        shapes |= dict.fromkeys(("heater_usd", "upkeep_usd_per_yr", "work_usd", "again_usd", "later_usd"), (n, 3))
        shapes |= dict.fromkeys(("life_mean_yr", "life_shape", "law_yr", "later_use_frac"), (n,))
        shapes |= dict.fromkeys(("rebate_usd", "account_usd_per_yr", "standby_frac"), (n,))
        for name, shape in shapes.items():
            array = getattr(self, name)
            if array.shape != shape or np.isnan(array).any():
                reason, fix = "{shape} numbers are needed", "give every candidate's own"
                raise InputError(name, array.shape, reason, fix, shape=str(shape))
            if shape == (n, 3) and not ((array[:, 0] <= array[:, 1]) & (array[:, 1] <= array[:, 2])).all():
                raise InputError(name, None, "a range must rise from low to high", "give low, typical, high")
        if not (self.life_mean_yr >= _SHORTEST_LIFE_YR).all():
            raise InputError("life_mean_yr", None, "no heater lasts less than a year", "give years")

    def pick(self, rows: Sequence[int]) -> CostArrays:
        """Some of the candidates, in the order asked for; their draws stay the same."""
        chosen: dict[str, Any] = {
            name: tuple(value[row] for row in rows) if isinstance(value, tuple) else value[list(rows)]
            for name, value in vars(self).items()
        }
        return CostArrays(**chosen)


@dataclass(frozen=True, eq=False)
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

    price_usd_per_unit: Floats
    index_frac: Floats
    terms: Terms
    use_sigma: float
    level_sigma: Floats = field(default_factory=lambda: np.zeros(len(Fuel.all())))


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
    standby_sigma : float
        Of the logarithm of what does not follow the hot-water use. [-]
    """

    field_efficiency: dict[str, tuple[float, float, float]]
    drift_per_yr: tuple[float, ...]
    gas_electricity_link: float
    installed_link: float
    standby_sigma: float = 0.0

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
        others = (
            ("price_drift_link", "gas_electricity"),
            ("installed_link", "same_house"),
            ("standby", "same_house"),
        )
        return cls(efficiency, drift, *(rows[other][ends[1]] for other in others))

    @classmethod
    def none(cls) -> Width:
        """No spread in what is shared."""
        return cls({}, (0.0,) * len(Fuel.all()), 0.0, 0.0)


def use_sigma(known_by: str) -> float:
    """Spread of the logarithm of yearly use: between households that look alike, or about what was measured. [-]"""
    return float(tables.load("spreads").find("use", known_by)["typical_dimensionless"])


def point(arrays: CostArrays, market: Market) -> tuple[Floats, Floats]:
    """Life-cycle cost and a year's bill with every input at its typical value. [$], [$/yr]"""
    (total,), (running,) = evaluate(arrays, market, Width.none(), {})
    return total, running


def straight_lines(arrays: CostArrays, market: Market) -> tuple[Floats, Floats]:
    """Life-cycle cost without energy, and the units of each fuel in today's worth: what ``break_even`` needs.

    Returns
    -------
    fixed_usd : ndarray, (n,)
        [$]
    units : ndarray, (n, 4)
        In the order of the fuels.
    """
    fixed, _ = point(arrays, replace(market, price_usd_per_unit=np.zeros(len(Fuel.all()))))
    terms, nothing = market.terms, np.zeros((1, len(arrays.ids)))
    _, switch_yr = _renewals(arrays, terms, nothing, nothing, nothing, {})
    after = _after(switch_yr, terms)[0] * terms.weight_frac(terms.years.astype(float))
    later = (arrays.later_use_frac - 1)[:, None] * (after @ market.index_frac.T)
    return fixed, arrays.fuel_per_yr * (terms.present_value_yr(market.index_frac) + later)


def cost_per_quote(arrays: CostArrays, market: Market) -> Floats:
    """What one more dollar for the heater adds to its life-cycle cost, later ones costing the same. [-]"""
    dearer = replace(arrays, heater_usd=arrays.heater_usd + 1.0)
    return point(dearer, market)[0] - point(arrays, market)[0]


def _normal(scores: Scores, names: Iterable[str]) -> Floats:
    """Normal scores side by side, (draws, names); an input that was not drawn is at its typical value."""
    columns = [scores.get(name, np.zeros(1)) for name in names]
    return np.stack(np.broadcast_arrays(*columns), axis=1)


def is_quantile(name: str) -> bool:
    """Whether an input is drawn as a quantile (efficiencies, lives) and not as a normal score."""
    return name.startswith(("efficiency", "life"))


def evaluate(arrays: CostArrays, market: Market, width: Width, scores: Scores) -> tuple[Floats, Floats]:
    """The model: life-cycle cost and a year's bill, upkeep left out, in each version, (draws, n)."""
    terms, ids = market.terms, arrays.ids
    drift = _normal(scores, [f"drift:{fuel}" for fuel in Fuel.all()]) * np.array(width.drift_per_yr)
    path = market.index_frac * np.exp(drift[:, :, None] * terms.years)
    price, amount = _price_and_amount(arrays, market, width, scores)
    upkeep = between(arrays.upkeep_usd_per_yr, _normal(scores, [f"upkeep:{heater_id}" for heater_id in ids]))
    steady = upkeep + arrays.account_usd_per_yr
    later = amount * ((price * terms.present_value_yr(path)) @ arrays.fuel_per_yr.T)
    job = _normal(scores, [f"install:{heater_id}" for heater_id in ids])
    heater, again = between(arrays.heater_usd, job), between(arrays.again_usd, job)
    start = heater + between(arrays.work_usd, job) - arrays.rebate_usd
    renewals, switch_yr = _renewals(arrays, terms, heater, again, between(arrays.later_usd, job), scores)
    later = later + amount * _changed_energy(arrays, terms, price[:, :, None] * path, switch_yr)
    total = start + later + steady * terms.present_value_yr() + renewals
    return total, _bill(arrays, price, amount)


def yearly_bill_usd(arrays: CostArrays, market: Market, width: Width, scores: Scores) -> Floats:
    """A year's energy and accounts in each version, (draws, n): the part of ``evaluate`` with few inputs. [$/yr]"""
    return _bill(arrays, *_price_and_amount(arrays, market, width, scores))


def _bill(arrays: CostArrays, price: Floats, amount: Floats) -> Floats:
    return amount * (price @ arrays.fuel_per_yr.T) + arrays.account_usd_per_yr


def _price_and_amount(arrays: CostArrays, market: Market, width: Width, scores: Scores) -> tuple[Floats, Floats]:
    """Today's prices, (draws, fuels), and energy over the typical, (draws, n)."""
    level = np.exp(_normal(scores, [f"level:{fuel}" for fuel in Fuel.all()]) * market.level_sigma)
    use = np.exp(market.use_sigma * _normal(scores, ["use"]))
    still = arrays.standby_frac * np.exp(width.standby_sigma * _normal(scores, ["standby"]))
    amount = (still + (1 - arrays.standby_frac) * use) / _field_ratio(arrays, width, scores)
    return market.price_usd_per_unit * level, amount


def _after(switch_yr: Floats, terms: Terms) -> Floats:
    """Share of each year that lies after a time, (draws, n, years)."""
    return np.clip(terms.years - switch_yr[:, :, None], 0.0, 1.0)


def _changed_energy(arrays: CostArrays, terms: Terms, price: Floats, switch_yr: Floats) -> Floats:
    """Today's worth of what the energy costs more since another heater was bought, (draws, n). [$]"""
    changed = np.flatnonzero(np.isfinite(switch_yr).any(axis=0))
    found = np.zeros((max(len(price), len(switch_yr)), len(arrays.ids)))
    if len(changed):
        more = arrays.fuel_per_yr[changed] * (arrays.later_use_frac[changed, None] - 1)
        weighted = np.asarray(price * terms.weight_frac(terms.years.astype(float)), dtype=float)
        # (1, n, fuels) @ (draws, fuels, years): what each year costs more, if all of it lay after.
        found[:, changed] = ((more[None] @ weighted) * _after(switch_yr[:, changed], terms)).sum(axis=2)
    return found


def _renewals(
    arrays: CostArrays, terms: Terms, heater: Floats, again: Floats, other: Floats, scores: Scores
) -> tuple[Floats, Floats]:
    """Today's worth of buying a heater again whenever it fails, less what is left at the end, and since when another.

    Both (draws, n); infinite where none is ever another. [$], [yr]
    """
    end_yr = float(terms.study_yr)
    life = _life_yr(arrays, scores, 0)
    shape = np.broadcast_shapes(heater.shape, life.shape)
    bought, cost, piece = np.zeros(shape), np.zeros(shape), np.array(np.broadcast_to(heater, shape))
    life, switch = np.array(np.broadcast_to(life, shape)), np.full(shape, np.inf)
    again, other, law = (np.broadcast_to(one, shape) for one in (again, other, arrays.law_yr))
    for turn in range(1, terms.study_yr):  # each lasts a year or more
        failed = bought + life < end_yr - 1e-9
        if not failed.any():
            break
        bought[failed] += life[failed]
        is_other = bought[failed] >= law[failed]
        switch[failed] = np.where(is_other, np.minimum(switch[failed], bought[failed]), switch[failed])
        piece[failed] = np.where(is_other, other[failed], again[failed])
        cost[failed] += piece[failed] * terms.weight_frac(bought[failed])
        life[failed] = np.broadcast_to(_life_yr(arrays, scores, turn), shape)[failed]
    left = residual_usd(piece, life, end_yr - bought)
    return cost - left * terms.weight_frac(end_yr), switch


def _life_yr(arrays: CostArrays, scores: Scores, turn: int) -> Floats:
    """Lives of the first, second, ... heater, (draws, n); those that were not drawn last the mean life."""
    mean = arrays.life_mean_yr
    inputs = [f"life{turn}:{heater_id}" for heater_id in arrays.ids]
    if not all(name in scores for name in inputs):
        return mean[None, :]
    quantile = np.stack([scores[name] for name in inputs], axis=1)
    drawn = weibull_life_yr(quantile, mean, arrays.life_shape)
    return np.maximum(drawn, _SHORTEST_LIFE_YR)


def _field_ratio(arrays: CostArrays, width: Width, scores: Scores) -> Floats:
    """Field efficiency over its typical value: one draw for all heaters of a kind, (draws, n)."""
    columns = []
    for technology in arrays.technologies:
        quantile = scores.get(f"efficiency:{technology}")
        ends = width.field_efficiency.get(technology.id)
        if quantile is None or ends is None:
            columns.append(np.ones(1))
        else:
            columns.append(triangular(quantile, *ends) / ends[1])
    return np.stack(np.broadcast_arrays(*columns), axis=1)
