"""Offers as text and as plain data: prices as typed, what each costs over the years, what to ask about it."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from functools import partial
from typing import Any

from advisor.comparison import Comparison
from advisor.core.findings import Severity
from advisor.money.offer_check import CheckedOffer
from advisor.report import names
from advisor.report.words import say

_WIDTH = 100


def offers_text(comparison: Comparison, *, language: str = "en", si: bool = False) -> str:
    """Every offer with what is to be asked about it; empty without any."""
    if not comparison.offers:
        return ""
    lines = [say("offer.heading", language=language)]
    for number, checked in enumerate(comparison.offers, start=1):
        lines.append(_wrap(told(comparison, number, checked, language), "  "))
        lines += [_wrap(f"- {text}", "    ") for text in questions(checked, language=language, si=si)]
    return "\n".join(lines)


def _wrap(text: str, indent: str) -> str:
    return textwrap.fill(text, _WIDTH, initial_indent=indent, subsequent_indent=f"{indent}  ")


def who(number: int, offers: Sequence[CheckedOffer], language: str = "en") -> str:
    """The firm of the offer of a number; with that number where the firm makes several, the number where none is named.

    Parameters
    ----------
    number : int
        The offer's, 1 for the first.
    offers : sequence of CheckedOffer
        All of them.
    language : str
        ``en`` or ``es``.
    """
    firms = [one.offer.firm for one in offers]
    firm, numbered = firms[number - 1], say("offer.numbered", language=language, number=str(number))
    if not firm:
        return numbered
    return f"{firm} ({numbered.lower()})" if firms.count(firm) > 1 else firm


def told(comparison: Comparison, number: int, checked: CheckedOffer, language: str = "en") -> str:
    """One offer in a line."""
    candidate = comparison.candidate(checked.offer.candidate)
    word = partial(say, language=language)
    return word(
        "offer.told",
        who=who(number, comparison.offers, language),
        heater=names.title(candidate.heater, language),
        price_usd=checked.offer.price_usd,
        study_yr=comparison.money.terms.study_yr,
        years_usd=checked.life_cycle_usd,
        enough=word(candidate.capacity.verdict.key),
        fits=word(candidate.house.verdict.key),
    )


def questions(checked: CheckedOffer, *, language: str = "en", si: bool = False) -> list[str]:
    """What to ask about an offer, faults first."""
    found = sorted(checked.findings, key=lambda one: -one.severity)
    said = [say(one, language=language, si=si) for one in found]
    if any(one.severity > Severity.NOTE for one in found):
        return said
    has_sum = bool(checked.offer.lines) and checked.offer.total_usd is not None
    return [*said, say("offer.nothing_to_ask", language=language)] if has_sum else said


def offers_list(comparison: Comparison) -> list[dict[str, Any]]:
    """The same as plain data."""
    return [
        {
            "candidate": checked.offer.candidate,
            "firm": checked.offer.firm,
            "price_usd": checked.offer.price_usd,
            "sum_of_lines_usd": checked.offer.sum_usd if checked.offer.lines else None,
            "rebate_expected_usd": checked.offer.rebate_usd,
            "valid_until": checked.offer.valid_until.isoformat() if checked.offer.valid_until else None,
            "life_cycle_usd": round(checked.life_cycle_usd, 2),
            "findings": [
                {"code": one.code, "severity": one.severity.name.lower(), "in_words": say(one)}
                for one in checked.findings
            ],
        }
        for checked in comparison.offers
    ]
