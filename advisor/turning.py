"""What turns the pick: every input moved alone to its ends, the one rule asked again each time.

Inputs of the money are moved in the arrays that the life-cycle cost is worked out from; what the household said is
moved in the case, and the house compared anew.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from advisor.candidate import Candidate
from advisor.case.file import case_from
from advisor.comparison import Comparison, compare
from advisor.core import tables
from advisor.core.arrays import Floats
from advisor.core.errors import InputError
from advisor.core.findings import Finding, note
from advisor.core.kinds import Fuel, Technology
from advisor.heaters.candidates import usual_tank_gal
from advisor.money.chance import Z90
from advisor.money.cost_arrays import CostArrays, Market, Width, point
from advisor.money.results import MoneyResults
from advisor.recommendation.rule import advise

#: How far a mean life and a price of energy are moved; the discount rate's ends. Our own choices.
_LIFE_FRAC, _PRICE_FRAC, _DISCOUNTS = 0.25, 0.20, (0.01, 0.07)
#: How far what the household said is moved. Our own choices.
_PEOPLE, _SET_POINT_DF = 1, 10.0
_VERIFIED = ("verified", "given")


@dataclass(frozen=True)
class Turn:
    """What one input does alone to the pick.

    Parameters
    ----------
    what : Finding
        The input.
    state : str
        How far it was checked: as its table says, ``given`` by the user, or ``assumed``.
    picks : tuple of Candidate or None
        What is advised at its low and at its high end.
    now : Candidate or None
        What is advised as things are.
    """

    what: Finding
    state: str
    picks: tuple[Candidate | None, Candidate | None]
    now: Candidate | None

    @property
    def turns(self) -> bool:
        """At one end at least something else is advised."""
        return any(_id(one) != _id(self.now) for one in self.picks)

    @property
    def is_verified(self) -> bool:
        """Read in its source, or said by the user."""
        return self.state.startswith(_VERIFIED)


def turns(comparison: Comparison, today: date | None = None) -> list[Turn]:
    """Every input with what it does to the pick: those that turn it first, of these the unverified first."""
    found = [*_of_the_money(comparison), *_of_the_household(comparison, today or date.today())]
    return sorted(found, key=lambda one: (not one.turns, one.is_verified))


def _of_the_money(comparison: Comparison) -> Iterator[Turn]:
    money, width = comparison.money, Width.from_table()
    arrays, market = money.arrays, money.market

    def turn(what: Finding, state: str, *ends: tuple[CostArrays, Market]) -> Turn:
        low, high = (_advised(comparison, *end) for end in ends)
        return Turn(what, state, (low, high), comparison.advice.pick)

    for kind in dict.fromkeys(arrays.technologies):
        rows = np.array([one is kind for one in arrays.technologies])
        of_kind = [one for one, mine in zip(comparison.candidates, rows, strict=True) if mine]
        first = of_kind[0].costs
        dear = [_with_prices(arrays, rows, end) for end in (0, 2)]
        yield turn(note("turn.price", kind=kind.word), of_kind[0].price_state, *((one, market) for one in dear))
        lives = [_scaled(arrays, rows, "life_mean_yr", 1 + way * _LIFE_FRAC) for way in (-1, 1)]
        yield turn(note("turn.life", kind=kind.word), first.life.state, *((one, market) for one in lives))
        ends = width.field_efficiency.get(kind.id)
        if ends is not None:
            homes = [_scaled(arrays, rows, "fuel_per_yr", ends[1] / end) for end in (ends[0], ends[2])]
            yield turn(note("turn.homes", kind=kind.word), _ratio_state(kind), *((one, market) for one in homes))
    ends_usd = (arrays.upkeep_usd_per_yr[:, [end]] for end in (0, 2))
    upkeep = [replace(arrays, upkeep_usd_per_yr=np.repeat(usd, 3, axis=1)) for usd in ends_usd]
    yield turn(note("turn.upkeep"), comparison.candidates[0].costs.upkeep.state, *((one, market) for one in upkeep))
    for fuel, units in zip(Fuel.all(), arrays.fuel_per_yr.T, strict=True):
        if units.any():
            given = fuel not in comparison.prices.averages
            moved = [_with_price(market, fuel, 1 + way * _PRICE_FRAC) for way in (-1, 1)]
            state = "given" if given else comparison.site.prices[fuel].state
            yield turn(note("turn.energy", fuel=fuel.word), state, *((arrays, one) for one in moved))
    still = arrays.standby_frac[:, None]
    shares = (still + (1 - still) * np.exp(way * Z90 * market.use_sigma) for way in (-1, 1))
    used = [replace(arrays, fuel_per_yr=arrays.fuel_per_yr * share) for share in shares]
    yield turn(note("turn.use"), "assumed", *((one, market) for one in used))
    rates = [replace(market, terms=replace(market.terms, discount_frac=rate)) for rate in _DISCOUNTS]
    yield turn(note("turn.discount"), "assumed", *((arrays, one) for one in rates))


def _of_the_household(comparison: Comparison, today: date) -> Iterator[Turn]:
    case = comparison.case
    values = case.model_dump(mode="json", exclude_unset=True, exclude_none=True)
    assumed = {one.field for one in comparison.assumed}

    def pick(key: str, value: float) -> Candidate | None:
        said = values["household"] | {key: value}
        try:
            moved = case_from(values | {"household": said})
        except InputError:  # an end that no household has: fewer people than children, water cooler than any heater's
            return comparison.advice.pick
        return compare(moved, today=today, by_hand=comparison.is_by_hand).advice.pick

    household = case.household
    for key, said, step in (
        ("people", household.people_counted, _PEOPLE),
        ("set_point_f", household.set_point_f, _SET_POINT_DF),
    ):
        state = "assumed" if f"household.{key}" in assumed else "given"
        low, high = (pick(key, end) for end in (said - step, said + step))
        yield Turn(note(f"turn.{key}"), state, (low, high), comparison.advice.pick)


def _advised(comparison: Comparison, arrays: CostArrays, market: Market) -> Candidate | None:
    """The rule asked again with other money."""
    money: MoneyResults = replace(comparison.money, arrays=arrays, market=market, point_usd=point(arrays, market)[0])
    moved = [replace(one, money=money.of(one.heater.id)) for one in comparison.candidates]
    return advise(
        moved,
        comparison.like_for_like_id,
        has_240_v_circuit=comparison.facts.has_240_v_circuit,
        usual_gal=usual_tank_gal(comparison.case.household.people_counted),
    ).pick


def _with_prices(arrays: CostArrays, rows: np.ndarray, end: int) -> CostArrays:
    """Every price of a kind at one end of its range."""
    changed = {}
    for name in ("heater_usd", "again_usd", "later_usd", "work_usd"):
        prices = getattr(arrays, name).copy()
        prices[rows] = prices[rows][:, [end]]
        changed[name] = prices
    return replace(arrays, **changed)


def _scaled(arrays: CostArrays, rows: np.ndarray, name: str, factor: float) -> CostArrays:
    values = getattr(arrays, name).astype(float)
    values[rows] *= factor
    return replace(arrays, **{name: values})


def _with_price(market: Market, fuel: Fuel, factor: float) -> Market:
    prices: Floats = market.price_usd_per_unit.copy()
    prices[Fuel.all().index(fuel)] *= factor
    return replace(market, price_usd_per_unit=prices)


def _ratio_state(kind: Technology) -> str:
    return str(tables.load("spreads").find("field_efficiency", kind.id)["state"])


def _id(one: Candidate | None) -> str | None:
    return None if one is None else one.heater.id
