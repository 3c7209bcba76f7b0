"""Which candidate to put in, which of the other kind comes closest, and the facts that say why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from advisor.candidate import Candidate, CheckedHeater
from advisor.core.kinds import Fuel, Technology
from advisor.core.verdicts import DOES_NOT_FIT, FALLS_SHORT, WITH_CARE
from advisor.money.life_cycle import Payback

#: Unless something beats the plain replacement in this share of versions of the household, nothing else is advised:
#: below it the figures cannot tell the two apart (``likely`` begins here).
_CLEARLY_FRAC = 0.6
#: And unless it costs this much less over the years: a smaller difference is no reason to change kind or size. Assumed.
_WORTH_FRAC = 0.10
#: Installed prices closer than this are the same. [$]
_SAME_PRICE_USD = 50.0
#: A year's energy that differs by less than this is the same. [$/yr]
_SAME_ENERGY_USD_PER_YR = 5.0
#: Upkeep that takes this much of a saving is worth a word. [$/yr]
_TELLING_UPKEEP_USD_PER_YR = 15.0
#: How one amount compares with another.
Compared = Literal["less", "same", "more"]


def is_eligible(candidate: CheckedHeater) -> bool:
    """Can be recommended at all: it keeps up, fits or can be made to, and may be made on the day."""
    may_be_made = not candidate.flags and not candidate.heater.sale_note
    # What hangs on the utility's answer has no price yet.
    may_be_made = may_be_made and not candidate.house.asks_first
    return may_be_made and candidate.capacity.verdict != FALLS_SHORT and candidate.house.verdict != DOES_NOT_FIT


def family_of(candidate: Candidate) -> tuple[str, bool]:
    """What a neighbour calls a kind: heat pumps, else tanks or tankless heaters of one fuel."""
    heater = candidate.heater
    return ("heat_pump" if heater.is_heat_pump else heater.fuel.id), heater.is_storage


def _kind_of(candidate: Candidate) -> tuple[Technology, Fuel, int]:
    """Candidates of one kind differ only in size."""
    heater = candidate.heater
    return heater.technology, heater.fuel, heater.n_units


def worth_choosing(candidates: Sequence[Candidate]) -> list[Candidate]:
    """The eligible, without what only just keeps up where another size of its kind does so with ease."""
    eligible = [candidate for candidate in candidates if is_eligible(candidate)]
    ample = {_kind_of(candidate) for candidate in eligible if candidate.capacity.verdict != WITH_CARE}
    return [
        candidate
        for candidate in eligible
        if candidate.capacity.verdict != WITH_CARE or _kind_of(candidate) not in ample
    ]


def cheapest_of(candidates: Sequence[Candidate]) -> Candidate | None:
    """The lowest life-cycle cost with every input typical, the first where two are equal."""
    return min(candidates, key=lambda candidate: candidate.money.point_usd, default=None)


def recommend(candidates: Sequence[Candidate], like_for_like_id: str | None) -> Candidate | None:
    """The candidate to put in, or None where nothing can be recommended.

    The lowest life-cycle cost among the eligible; the plain replacement where the difference is small or unsure.
    """
    worth = worth_choosing(candidates)
    cheapest = cheapest_of(worth)
    plain = next((candidate for candidate in worth if candidate.heater.id == like_for_like_id), cheapest)
    if cheapest is None or plain is None:
        return None
    if cheapest.money.point_usd >= (1 - _WORTH_FRAC) * plain.money.point_usd:
        return plain
    return cheapest if cheapest.money.chance_cheaper_frac(plain.money) >= _CLEARLY_FRAC else plain


def rival_of(first: Candidate, candidates: Sequence[Candidate]) -> Candidate | None:
    """The cheapest over the years of the other kind: a tankless heater against a tank, or the reverse."""
    return cheapest_of([one for one in worth_choosing(candidates) if one.heater.is_storage != first.heater.is_storage])


def family_firsts(candidates: Sequence[Candidate]) -> list[Candidate]:
    """The cheapest over the years of each family."""
    found: dict[tuple[str, bool], Candidate] = {}
    for candidate in sorted(candidates, key=lambda candidate: candidate.money.point_usd):
        found.setdefault(family_of(candidate), candidate)
    return list(found.values())


@dataclass(frozen=True)
class Conclusion:
    """Why one candidate is recommended, and what the closest of the other kind would do instead.

    Parameters
    ----------
    first : Candidate
        The recommended candidate.
    is_like_for_like : bool
        It is the plain replacement of what failed.
    costs_least : bool
        Nothing that is worth choosing costs less over the years.
    study_yr : int
        Length of the study. [yr]
    none_cheaper_frac : float or None
        Share of versions of the household in which no other kind costs less; None where there is no other. [-]
    rival : Candidate or None
        The cheapest of the other kind: a tankless heater against a tank, or the reverse. The rest speaks of it.
    extra_usd : float
        What it costs more to install, rebates taken off. [$]
    saving_usd_per_yr : float
        What it saves on energy in a year. [$/yr]
    extra_upkeep_usd_per_yr : float
        What it costs more for upkeep in a year. [$/yr]
    payback : Payback or None
        When the dearer of the two has earned its extra price; None where they cost about the same.
    """

    first: Candidate
    is_like_for_like: bool
    costs_least: bool
    study_yr: int
    none_cheaper_frac: float | None
    rival: Candidate | None = None
    extra_usd: float = 0.0
    saving_usd_per_yr: float = 0.0
    extra_upkeep_usd_per_yr: float = 0.0
    payback: Payback | None = None

    @property
    def runs(self) -> Compared:
        """How the rival's energy compares."""
        return _compared(-self.saving_usd_per_yr, _SAME_ENERGY_USD_PER_YR)

    @property
    def installs(self) -> Compared:
        """How the rival's installed price compares."""
        return _compared(self.extra_usd, _SAME_PRICE_USD)

    @property
    def upkeep_eats_saving(self) -> bool:
        """Whether upkeep takes enough of the saving to be mentioned."""
        return self.runs == "less" and self.extra_upkeep_usd_per_yr >= _TELLING_UPKEEP_USD_PER_YR

    @property
    def is_a_trade_off(self) -> bool:
        """Whether one of the two speaks for the rival, and one against it."""
        return (self.saving_usd_per_yr > 0) == (self.extra_usd > 0) and self.installs != "same"


def _compared(more_usd: float, same_below_usd: float) -> Compared:
    if abs(more_usd) < same_below_usd:
        return "same"
    return "more" if more_usd > 0 else "less"


def conclude(
    first: Candidate | None, candidates: Sequence[Candidate], like_for_like_id: str | None
) -> Conclusion | None:
    """The facts of the conclusion, in whatever language; None where nothing can be recommended.

    Parameters
    ----------
    first : Candidate or None
        As ``recommend`` has it.
    candidates : sequence of Candidate
        Every candidate. Only the first of each family is drawn here, so that a page can show the answer at once.
    like_for_like_id : str or None
        The plain replacement of what failed.
    """
    if first is None:
        return None
    worth = worth_choosing(candidates)
    others = [one.money for one in family_firsts(worth) if family_of(one) != family_of(first)]
    found = Conclusion(
        first=first,
        is_like_for_like=first.heater.id == like_for_like_id,
        costs_least=first is cheapest_of(worth),
        study_yr=first.money.results.terms.study_yr,
        none_cheaper_frac=first.money.chance_none_cheaper_frac(others) if others else None,
    )
    rival = rival_of(first, candidates)
    if rival is None:
        return found
    found = replace(
        found,
        rival=rival,
        extra_usd=rival.money.installed_usd.point - first.money.installed_usd.point,
        saving_usd_per_yr=first.running_cost.usd_per_yr - rival.running_cost.usd_per_yr,
        extra_upkeep_usd_per_yr=rival.money.upkeep_usd_per_yr - first.money.upkeep_usd_per_yr,
    )
    if found.installs == "same":
        return found
    dearer, cheaper = (rival, first) if found.extra_usd > 0 else (first, rival)
    return replace(found, payback=dearer.money.payback_against(cheaper.money))
