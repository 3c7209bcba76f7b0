"""The decision in a few lines and the choices beside it: what the first page of the app and the sheet to keep share."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.findings import Finding, note
from advisor.recommendation.kinds import bar_of
from advisor.report import plain_words
from advisor.report.words import cents, say, usd

#: Stands for a figure of what cannot be.
NONE = "–"


def lines(pick: Candidate) -> list[Finding]:
    """When hot water is back, what to pay now and a month, and whether it is warm enough."""
    when = note("home.back.today") if pick.lead_time.days < 1 else note("home.back.later", when=pick.lead_time.when)
    low, typical, high = pick.installed_usd
    if pick.quote_usd is not None:
        pay = note("home.pay.quoted", usd=note("plain.cents", amount_usd=typical), whose=note("home.pay.quote"))
    else:
        pay = note(
            "home.pay",
            usd=note("plain.usd", amount_usd=typical),
            range=_range(low, high, 100),
            whose=note("home.pay.ours"),
        )
    least, _, most = pick.money.running_usd_per_yr
    month = note(
        "home.month",
        usd=note("plain.usd1", amount_usd=pick.running_cost.usd_per_yr / 12),
        range=_range(least / 12, most / 12, 1),
    )
    return [note("home.back", when=when), pay, month, note("home.warm", what=plain_words.warmth(pick))]


def _range(low_usd: float, high_usd: float, step: int) -> Finding:
    """From the least to the most, or one figure where both round to it."""
    one = "plain.usd" if step == 100 else "plain.usd1"
    if round(low_usd / step) == round(high_usd / step):
        return note(one, amount_usd=low_usd)
    return note("plain.range", low=note(one, amount_usd=low_usd), high=note(one, amount_usd=high_usd))


@dataclass(frozen=True)
class Choice:
    """One row of the short table, as it is read.

    Parameters
    ----------
    labels : tuple of str
        Keys of the places it holds: same again, cheapest to own.
    name, lead_time, now, month, years : str
        What it is called; how soon, or why it cannot be; what to pay now, a month and over the years.
    """

    labels: tuple[str, ...]
    name: str
    lead_time: str
    now: str
    month: str
    years: str


def choices(comparison: Comparison, *, language: str = "en", si: bool = False) -> list[Choice]:
    """Always the same rows; one where they coincide."""
    rows = _places(comparison)
    names = plain_words.told_apart([one.heater for one, _ in rows], language, si=si)
    return [_choice(one, tuple(places), name, language) for (one, places), name in zip(rows, names, strict=True)]


def shown(comparison: Comparison) -> list[Candidate]:
    """The candidates of that table."""
    return [one for one, _ in _places(comparison)]


def called(comparison: Comparison, chosen: Candidate, *, language: str = "en", si: bool = False) -> str:
    """A heater's everyday name as that table has it, so that nobody buys the weaker of two that sound alike."""
    heaters = [one.heater for one in shown(comparison)]
    if chosen.heater not in heaters:
        return plain_words.name(chosen.heater, language)
    return plain_words.told_apart(heaters, language, si=si)[heaters.index(chosen.heater)]


def _places(comparison: Comparison) -> list[tuple[Candidate, list[str]]]:
    advice = comparison.advice
    wait = "wait" if advice.pick is not advice.soonest else "pick"
    places = {
        wait: advice.pick,
        "same_again": advice.same_again,
        "cheapest_to_own": advice.cheapest_to_own,
        "soonest": advice.soonest,
    }
    if advice.soonest is not None and any(
        one is not None and one.lead_time.days <= advice.soonest.lead_time.days and bar_of(one) is None
        for name, one in places.items()
        if name != "soonest"
    ):
        # Another row is as soon.
        places.pop("soonest")
    rows: dict[str, tuple[Candidate, list[str]]] = {}
    for place, one in places.items():
        if one is not None:
            rows.setdefault(one.heater.id, (one, []))[1].append(f"home.row.{place}")
    return list(rows.values())


def _choice(one: Candidate, labels: tuple[str, ...], name: str, language: str) -> Choice:
    bar = bar_of(one)
    if bar is not None:
        why = say(f"home.bar.{bar}", language=language)
        return Choice(labels, name, say("home.row.barred", language=language, why=why), NONE, NONE, NONE)
    return Choice(
        labels,
        name,
        say(one.lead_time.when, language=language),
        usd(one.installed_usd[1], 100, language) if one.quote_usd is None else cents(one.quote_usd, language),
        usd(one.running_cost.usd_per_yr / 12, 1, language),
        usd(one.money.point_usd, 100, language),
    )


def to_ask(comparison: Comparison, chosen: Candidate) -> list[Finding]:
    """What to ask the installer, of this heater in this house."""
    failed, heater = comparison.case.failed, chosen.heater
    asked = {
        "permit": True,
        "flue": failed.has_flame or heater.has_flame,
        "gas": heater.fuel.is_fuel_gas and heater.has_flame,
        "boiler": heater.technology.is_boiler_heated,
        "panel": heater.fuel.is_electric and not (failed.fuel.is_electric and failed.kind == "tank"),
        "drain": heater.is_condensing or heater.is_heat_pump,
        "sold": heater.is_heat_pump and not heater.technology.has_backup_element,
    }
    return [note(f"phone.ask.{what}") for what, is_asked in asked.items() if is_asked]
