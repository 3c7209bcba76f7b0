"""What energy costs in a state: average residential prices, with their age."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from advisor.core import references, tables
from advisor.core.errors import InputError
from advisor.core.kinds import Fuel

#: Assumed: after a year and a half a price has seen another winter.
STALE_AFTER_DAY = 548


@dataclass(frozen=True)
class Price:
    """A residential price and all that is needed to judge it."""

    fuel: Fuel
    value: float
    #: Suffix of ``quantities.UNITS``: usd_per_kwh, usd_per_therm or usd_per_gal.
    unit: str
    #: The time it describes, in words, and that time's last day.
    period: str
    as_of: date
    source: str
    #: How far it was checked, in the words of ``formula.STATES``.
    state: str
    is_stale: bool
    #: How far it has risen since, where that is far, and when that was measured.
    moved_frac: float | None = None
    moved_by: str | None = None
    kind: str = "average"


def state_prices(state: str, *, today: date) -> dict[Fuel, Price]:
    """Every fuel's average residential prices in a state.

    Parameters
    ----------
    state : str
        Two-letter postal code, or ``"US"`` for the national averages.
    today : date
        Day from which a price's age is counted.

    Returns
    -------
    dict
        Fuel to ``Price``.

    Raises
    ------
    InputError
        Not a state.

    Sources
    -------
    Tables ``energy_prices`` (EIA) and ``price_moves`` (consumer price index). Heating oil is surveyed by region; where
    a state is in no survey the national average stands, and the source says so.
    """
    code = state.strip().upper()
    if code not in _rows():
        raise InputError("place.state", state, "no prices are held for this", "give a state's two-letter code")
    found = {row["fuel"]: row for row in _rows()[code]}
    return {fuel: _price(fuel, found[fuel.id], today) for fuel in Fuel.all()}


def is_stale(as_of: date, today: date) -> bool:
    """Whether a price that describes the time up to ``as_of`` is too old to lean on."""
    return (today - as_of).days > STALE_AFTER_DAY


def _price(fuel: Fuel, row: Mapping[str, Any], today: date) -> Price:
    moved = tables.load("price_moves").get(fuel.id)
    return Price(
        fuel=fuel,
        value=row["price_usd_per_unit"],
        unit=row["unit"],
        period=row["period"],
        as_of=row["as_of"],
        source=row["source"],
        state=row["state"],
        is_stale=is_stale(row["as_of"], today),
        moved_frac=float(moved["moved_frac"]) if moved else None,
        moved_by=str(moved["month"]) if moved else None,
    )


@cache
def _rows() -> dict[str, list[Mapping[str, Any]]]:
    references.check(("fuels",))
    by_state: dict[str, list[Mapping[str, Any]]] = {}
    for row in tables.load("energy_prices").rows():
        by_state.setdefault(row["us_state"], []).append(row)
    return by_state
