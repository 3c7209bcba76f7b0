"""Stand-ins for candidates: a real heater, and of its checks and money what a rule reads, every value chosen."""

from dataclasses import replace
from types import SimpleNamespace

from advisor.core.verdicts import DOES_NOT_FIT, FITS, KEEPS_UP
from advisor.heaters.catalogue import by_id

#: The catalogue's own.
OWN = object()


def stand_in(
    heater_id,
    usd=10_000,
    *,
    keeps=KEEPS_UP,
    short_mornings=None,
    margin_frac=0.2,
    chance_frac=1.0,
    fits=True,
    days=1.0,
    flags=(),
    asks_first=(),
    may_be_sold=True,
    sale_note="",
    n_units=1,
    circuit_v=OWN,
    **costs,
):
    """A candidate that may be put in, unless something is said against it; costs are attributes of ``costs``."""
    heater = by_id(heater_id)
    heater = replace(heater, id=heater_id if n_units == 1 else f"{heater_id}-x{n_units}", n_units=n_units)
    if circuit_v is not OWN:
        heater = replace(heater, circuit_v=circuit_v)
    return SimpleNamespace(
        heater=replace(heater, sale_note=sale_note),
        capacity=SimpleNamespace(verdict=keeps, short_mornings_per_yr=short_mornings, margin_frac=margin_frac),
        house=SimpleNamespace(verdict=FITS if fits else DOES_NOT_FIT, asks_first=asks_first),
        sale=SimpleNamespace(may_be_sold=may_be_sold),
        flags=flags,
        lead_time=SimpleNamespace(days=days),
        money=SimpleNamespace(point_usd=usd, chance_cheaper_frac=lambda _: chance_frac),
        costs=SimpleNamespace(**costs),
    )
