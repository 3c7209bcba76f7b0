"""The energy prices behind a comparison, and newer ones from the publisher when somebody asks for them."""

from __future__ import annotations

import textwrap
from typing import Any

from advisor.comparison import Comparison
from advisor.core.kinds import Fuel, electricity
from advisor.money.live_prices import LivePriceError, PriceQuote, fetch_price
from advisor.report.words import say

Live = dict[Fuel, PriceQuote | LivePriceError]


def _fuels(comparison: Comparison) -> list[Fuel]:
    return list(dict.fromkeys((*comparison.case.house.fuels, electricity())))


def live_prices(comparison: Comparison, key: str | None = None) -> Live:
    """Ask for the state's newest prices of the house's fuels; the only call to the outside there is.

    Raises
    ------
    LivePriceError
        Not one price could be had.
    """
    state = comparison.site.location.state
    found: Live = {}
    for fuel in _fuels(comparison):
        try:
            found[fuel] = fetch_price(fuel, state, key=key)
        except LivePriceError as error:
            if error.code in {"no-key", "key-refused"}:
                raise
            found[fuel] = error
    failures = [price for price in found.values() if isinstance(price, LivePriceError)]
    if len(failures) == len(found):
        raise failures[0]
    return found


def prices_text(comparison: Comparison, live: Live) -> str:
    """What is used and whence; newer prices as lines to copy into the case."""
    lines = ["Prices used"]
    used = prices_dict(comparison, {})["used"]
    for fuel in _fuels(comparison):
        row = used[fuel.id]
        text = f"{fuel.title}: ${row['usd_per_unit']:.4g} a {row['unit']}, {row['origin']}."
        lines.append(textwrap.fill(text, 100, initial_indent="  ", subsequent_indent="  "))
    if said := average_note(comparison):
        lines.append(textwrap.fill(said, 100, initial_indent="  ", subsequent_indent="  "))
    if live:
        lines += ["", "Newer prices: copy these lines into the case to use them", "[prices]"]
        for fuel, price in live.items():
            if isinstance(price, PriceQuote):
                lines.append(f"{fuel.price_key} = {price.price_usd_per_unit:.4g}    # {price.period}")
        for fuel, price in live.items():
            text = price.source if isinstance(price, PriceQuote) else str(price)
            text = f"{fuel.title}: {text}"
            lines.append(textwrap.fill(text, 100, initial_indent="# ", subsequent_indent="# "))
    return "\n".join(lines)


def average_note(comparison: Comparison, language: str = "en") -> str | None:
    """That an average is not the price of one unit more; None where every price is the household's own."""
    counts = set(comparison.prices.averages) & set(_fuels(comparison))
    return say("prices.average", language=language) if counts else None


def prices_dict(comparison: Comparison, live: Live) -> dict[str, Any]:
    """The same as plain data."""
    assumed = {item.field: say(item.reason) for item in comparison.assumed}
    used = {}
    for fuel in _fuels(comparison):
        given = "from your tariff" if fuel in comparison.prices.bills else "as given in the case"
        origin = assumed.get(f"prices.{fuel.price_key}", given)
        price = round(comparison.prices.usd_per_unit[fuel], 4)
        used[fuel.id] = {"usd_per_unit": price, "unit": fuel.unit, "origin": origin}
    fresh: dict[str, Any] = {}
    for fuel, answer in live.items():
        if isinstance(answer, PriceQuote):
            fresh[fuel.id] = {
                "usd_per_unit": answer.price_usd_per_unit,
                "unit": answer.unit,
                "period": answer.period,
                "source": answer.source,
                "fetched_on": answer.fetched_on,
            }
        else:
            fresh[fuel.id] = {"error": answer.code, "reason": answer.reason}
    state = comparison.site.location.state
    return {"state": state, "used": used, "live": fresh, "note": average_note(comparison)}
