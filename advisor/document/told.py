"""How a document speaks: its language, its units, and what every part of it shows of a comparison."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from advisor.candidate import Candidate
from advisor.case.file import write_case
from advisor.comparison import Comparison
from advisor.core.findings import Finding
from advisor.core.units import show
from advisor.core.verdicts import Verdict
from advisor.report import names, words
from advisor.report.repair_words import repair_findings


@dataclass(frozen=True)
class Told:
    """A comparison, the heater that the document is about, and how it is told.

    Parameters
    ----------
    comparison, chosen : Comparison, Candidate
        What was worked out, and the heater that would be put in.
    language, si : str, bool
        ``en`` or ``es``; amounts in SI.
    day : date
        Day of the document.
    """

    comparison: Comparison
    chosen: Candidate
    language: str
    si: bool
    day: date

    def say(self, message: Finding | str, **filled: Any) -> str:
        """A finding or a key as a sentence."""
        return words.say(message, language=self.language, si=self.si, **filled)

    def sentences(self, messages: Iterable[Finding]) -> str:
        """Findings, a sentence after another."""
        return words.sentences(messages, language=self.language, si=self.si)

    def title(self, candidate: Candidate) -> str:
        """A heater's name."""
        return names.title(candidate.heater, self.language)

    def verdict(self, verdict: Verdict) -> str:
        """A verdict with its sign."""
        return f"{verdict.sign} {self.say(verdict.key)}"

    def usd(self, amount_usd: float, step: float = 100.0) -> str:
        """An estimate in dollars, rounded to a step."""
        return words.usd(amount_usd, step, self.language)

    def amount(self, value: float, suffix: str, digits: int | None = None) -> str:
        """A number with its unit."""
        return show(value, suffix, si=self.si, digits=None if self.si and suffix != "f" else digits)

    def repair(self) -> str | None:
        """Mending what failed, as it is told beside the four places; None where there is nothing to mend."""
        found = self.comparison.repair
        if found is None:
            return None
        return f"{self.say('home.repair.title')}: {self.sentences(repair_findings(found))}"

    def price(self, candidate: Candidate) -> str:
        """What it costs to put in: to the cent where somebody offered it, else a likely range."""
        if candidate.quote_usd is not None:
            return words.cents(candidate.quote_usd, self.language)
        low, _, high = candidate.installed_usd
        return self.say("document.range", low_usd=low, high_usd=high)


def about(comparison: Comparison) -> Candidate:
    """The heater that a document is about: what is advised if it is offered, or nothing is that may be put in; else the
    offer that may be and costs least over the years."""
    offered = {one.offer.candidate: comparison.candidate(one.offer.candidate) for one in comparison.offers}
    pick, serve = comparison.recommended, [one for one in offered.values() if one.money.is_eligible]
    if pick is not None and (not serve or pick.heater.id in offered):
        return pick
    among = serve or list(offered.values()) or list(comparison.candidates)
    return min(among, key=lambda one: (not one.money.is_eligible, one.money.point_usd))


def fingerprint(comparison: Comparison) -> str:
    """Twelve signs that tell one case from another."""
    return hashlib.sha256(write_case(comparison.case).encode()).hexdigest()[:12]
