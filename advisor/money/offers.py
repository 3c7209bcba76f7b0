"""What somebody offered for each candidate: the price that its money counts with, and rebates promised in writing."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from advisor.case.money import Rebate
from advisor.case.offer import Offer
from advisor.case.record import Case
from advisor.core.errors import InputError
from advisor.core.kinds import Technology
from advisor.heaters.catalogue import Heater


@dataclass(frozen=True)
class Offers:
    """What somebody offered for a candidate, by its id. [$]

    Parameters
    ----------
    quote_usd : dict
        Prices, all work included; of several offers the lowest that still holds, else the lowest.
    rebate_usd : dict
        Rebates promised in writing.
    """

    quote_usd: Mapping[str, float]
    rebate_usd: Mapping[str, float]


def offers_of(case: Case, heaters: Iterable[Heater], today: date) -> Offers:
    """The case's offers and rebates for these candidates.

    Raises
    ------
    InputError
        One of them is for something that is not compared here.
    """
    technologies = {heater.id: heater.technology for heater in heaters}
    return Offers(_prices(case, technologies, today), rebates_by_candidate(case.rebates, technologies))


def has_expired(offer: Offer, today: date) -> bool:
    """Whether its last day has gone by."""
    return offer.valid_until is not None and offer.valid_until < today


def _prices(case: Case, known: Iterable[str], today: date) -> dict[str, float]:
    labels = {f"own-{number}": label.installed_usd for number, label in enumerate(case.heaters, start=1)}
    prices = {candidate: usd for candidate, usd in labels.items() if usd is not None}
    by_candidate: dict[str, list[tuple[bool, float]]] = {}
    for number, offer in enumerate(case.offers, start=1):
        if offer.candidate not in known:
            near = difflib.get_close_matches(offer.candidate, known, n=1)
            reason = "there is no such candidate here"
            fix = "write '{near}' if that is meant" if near else "'advisor compare --all' lists their ids"
            raise InputError(f"offers.{number}.candidate", offer.candidate, reason, fix, near="".join(near))
        by_candidate.setdefault(offer.candidate, []).append((has_expired(offer, today), offer.price_usd))
    return prices | {candidate: min(found)[1] for candidate, found in by_candidate.items()}


def rebates_by_candidate(rebates: tuple[Rebate, ...], technology_by_id: Mapping[str, Technology]) -> dict[str, float]:
    """What is taken off each candidate: its own rebates and those for its kind, added up.

    Raises
    ------
    InputError
        A rebate for something that is not compared here.
    """
    found: dict[str, float] = {}
    for number, rebate in enumerate(rebates, start=1):
        name = rebate.candidate
        kinds = [kind.id for kind in Technology.all()]
        if name not in technology_by_id and name not in kinds:
            reason = "there is no such candidate or kind here"
            fix = "write an id from 'advisor compare --all --json', or a kind: {kinds}"
            raise InputError(f"rebates.{number}.candidate", name, reason, fix, kinds=", ".join(kinds))
        for heater_id, technology in technology_by_id.items():
            if name in (heater_id, technology.id):
                found[heater_id] = found.get(heater_id, 0.0) + rebate.rebate_usd
    return found
