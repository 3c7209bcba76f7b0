"""An offer held against its own arithmetic, the calendar and the work of the house; and what it costs to own."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache

from advisor.case.offer import Offer, OfferLine
from advisor.core import tables
from advisor.core.findings import Finding, care, note
from advisor.core.verdicts import DOES_NOT_FIT
from advisor.house.items import WorkItem
from advisor.house.work import HouseCheck
from advisor.money.offers import has_expired
from advisor.money.results import MoneyResults

#: Lines that stand for no work of their own.
_NO_WORK = frozenset({"tax", "discount", "rebate"})


@dataclass(frozen=True)
class CheckedOffer:
    """One offer and what is to be asked about it.

    Parameters
    ----------
    offer : Offer
        As typed.
    findings : tuple of Finding
        What is wrong with it or worth a question: the heater itself, then in the order of the paper: sum, lines,
        calendar, work.
    life_cycle_usd : float
        Everything over the study at its price, every other input typical. [$]
    """

    offer: Offer
    findings: tuple[Finding, ...]
    life_cycle_usd: float


def checked_offers(
    offers: Sequence[Offer],
    houses: Mapping[str, HouseCheck],
    short: Mapping[str, tuple[Finding, ...]],
    money: MoneyResults,
    today: date,
) -> tuple[CheckedOffer, ...]:
    """Every offer of a case.

    Parameters
    ----------
    offers : sequence of Offer
        As typed.
    houses : dict
        What each candidate needs, by its id.
    short : dict
        Why a candidate falls short, by the id of those that do.
    money : MoneyResults
        All candidates' money.
    today : date
        Day on which an offer must still hold.
    """
    return tuple(
        CheckedOffer(
            offer,
            (
                *_of_the_heater(houses[offer.candidate], short.get(offer.candidate, ())),
                *sum_findings(offer),
                *doubled_lines(offer),
                *_of_the_calendar(offer, today),
                *work_findings(offer, houses[offer.candidate]),
            ),
            money.offered_usd(offer.candidate, offer.price_usd),
        )
        for offer in offers
    )


def _of_the_heater(house: HouseCheck, short: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Whether the heater that is offered can serve here at all."""
    found = [care("offer.does_not_fit", why=house.why)] if house.verdict == DOES_NOT_FIT else []
    return (*found, *([care("offer.falls_short", why=short)] if short else []))


def sum_findings(offer: Offer) -> tuple[Finding, ...]:
    """Whether the lines come to the total, to the cent; and what it says of rebates."""
    found: list[Finding] = []
    total_usd, sum_usd, rebate_usd = offer.total_usd, offer.sum_usd, offer.rebate_usd
    if total_usd is None:
        found.append(note("offer.sum.only", sum_usd=sum_usd))
    elif offer.lines and _cents(total_usd - sum_usd):
        if rebate_usd and not _cents(total_usd + rebate_usd - sum_usd):
            found.append(care("offer.sum.rebate", total_usd=total_usd, rebate_usd=rebate_usd, sum_usd=sum_usd))
        else:
            way = "more" if total_usd > sum_usd else "less"
            apart_usd = abs(_cents(total_usd - sum_usd)) / 100
            found.append(care(f"offer.sum.{way}", sum_usd=sum_usd, total_usd=total_usd, apart_usd=apart_usd))
    for line in offer.lines:
        if line.kind == "rebate":
            told = note("offer.rebate.as_of", day=line.as_of.isoformat()) if line.as_of else note("offer.rebate.no_day")
            found.append(note("offer.rebate", rebate_usd=line.usd, told=told))
    return tuple(found)


def _cents(usd: float) -> int:
    return round(100 * usd)


def doubled_lines(offer: Offer) -> tuple[Finding, ...]:
    """Lines that stand there more than once, whatever the letters' size, accents and dots."""
    words = [_plain(line.what) for line in offer.lines]
    times = Counter(words)
    first = dict(reversed(list(zip(words, offer.lines, strict=True))))
    return tuple(
        care("offer.doubled", line=first[text].what, n=number, usd=first[text].usd)
        for text, number in times.items()
        if number > 1
    )


def _of_the_calendar(offer: Offer, today: date) -> tuple[Finding, ...]:
    if offer.valid_until is None:
        return (note("offer.no_last_day"),)
    if has_expired(offer, today):
        return (care("offer.expired", day=offer.valid_until.isoformat()),)
    return ()


def work_findings(offer: Offer, house: HouseCheck) -> tuple[Finding, ...]:
    """Jobs that the checks ask for and no line names, and lines for jobs that nothing here asks for."""
    needed = [job for job in house.work if not job.is_usual]
    if not offer.lines:
        return (note("offer.no_lines", jobs=tuple(job.what for job in needed)),) if needed else ()
    covered = {job for line in offer.lines for job in _jobs_of(line)}
    missing: list[WorkItem] = []
    for job in needed:
        if job.job not in covered:
            missing.append(job)
            covered |= _like(job.job)
    here = {job.job for job in (house.base, *house.work)}
    extra = {_plain(line.what): line.what for line in reversed(offer.lines) if _is_extra(line, here)}
    return (
        *(_missing(job) for job in missing),
        *(care("offer.extra", line=what) for what in reversed(extra.values())),
    )


def _like(job: str) -> set[str]:
    """Jobs that one line would cover together with this one: its pipe, its elbows."""
    return {job, *(other for row in _subjects() if job in row.jobs for other in row.jobs)}


def _missing(job: WorkItem) -> Finding:
    if job.asks_first or job.chance_frac < 1:
        return note("offer.missing.perhaps", job=job.what)
    return care("offer.missing", job=job.what, why=job.why)


def _jobs_of(line: OfferLine) -> frozenset[str]:
    """Jobs that a line covers: the one it names, else those its words tell."""
    if line.kind in _NO_WORK:
        return frozenset()
    if line.job is not None:
        return frozenset(_like(line.job))
    named = {job for row in _told_by(line) for job in row.jobs}
    return frozenset(named | ({"permit", "permit-electrical"} if line.kind == "permit" else set()))


def _is_extra(line: OfferLine, here: set[str]) -> bool:
    if line.kind in _NO_WORK or line.kind == "permit":
        return False
    if line.job is not None:
        return not _jobs_of(line) & here
    told = _told_by(line)
    return bool(told) and all(row.ask_if_extra and not row.jobs & here for row in told)


@dataclass(frozen=True)
class _Subject:
    jobs: frozenset[str]
    words: re.Pattern[str]
    but_not: re.Pattern[str] | None
    ask_if_extra: bool

    def is_told_by(self, text: str) -> bool:
        return bool(self.words.search(text)) and not (self.but_not and self.but_not.search(text))


@cache
def _subjects() -> tuple[_Subject, ...]:
    return tuple(
        _Subject(
            frozenset(row["jobs"]),
            _any_of(row["words"]),
            _any_of(row["but_not"]) if row["but_not"] else None,
            bool(row["ask_if_extra"]),
        )
        for row in tables.load("offer_words").rows()
    )


def _any_of(words: Sequence[str]) -> re.Pattern[str]:
    """Any of some phrases as whole words, with or without a plural s."""
    return re.compile(rf"\b(?:{'|'.join(re.escape(word.replace('_', ' ')) for word in words)})(?:s|es)?\b")


def _told_by(line: OfferLine) -> list[_Subject]:
    text = _plain(line.what)
    return [row for row in _subjects() if row.is_told_by(text)]


def _plain(text: str) -> str:
    """Small letters without accents, words parted by single blanks."""
    letters = unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(letter for letter in letters if not unicodedata.combining(letter))
    return " ".join(re.findall(r"\w+", kept))
