"""Two sentences that a neighbour would say: what to put in and why, and what the other kind would do instead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from advisor.core.kinds import Fuel, Technology
from advisor.money.chance import chance_word
from advisor.money.life_cycle import Payback
from advisor.money.results import Outlook

#: Unless something beats the plain replacement in this share of versions of the household, nothing else is advised:
#: below it the figures cannot tell the two apart (``likely`` begins here).
_CLEARLY_FRAC = 0.6
#: And unless it costs this much less over the years: a smaller difference is no reason to change kind or size. Assumed.
_WORTH_FRAC = 0.10
#: Installed prices closer than this are the same. [$]
_SAME_PRICE_USD = 50.0
#: How one amount compares with another.
Compared = Literal["less", "same", "more"]


@dataclass(frozen=True)
class Standing:
    """What the conclusion needs to know of one candidate.

    Parameters
    ----------
    id, title : str
        Who it is.
    place : int
        Its place in the outlook.
    technology, fuel, n_units : Technology, Fuel, int
        Candidates in which these are equal are of one kind and differ only in size.
    is_storage, is_like_for_like : bool
        A tank; the plain replacement of what failed.
    keeps_up, with_care, fits, may_be_made : bool
        It does not fall short, but only just; it fits or can be made to, and it may be made on the day.
    installed_usd, work_usd, running_usd, upkeep_usd : float
        Typical installed price after rebates, the part of it that is work on the house, a year's energy as
        quoted, and a year's upkeep. [$], [$], [$/yr], [$/yr]
    """

    id: str
    title: str
    place: int
    technology: Technology
    fuel: Fuel
    n_units: int
    is_storage: bool
    is_like_for_like: bool
    keeps_up: bool
    with_care: bool
    fits: bool
    may_be_made: bool
    installed_usd: float
    work_usd: float
    running_usd: float
    upkeep_usd: float

    @property
    def family(self) -> tuple[str, bool]:
        """What a neighbour calls a kind: heat pumps, else tanks or tankless heaters of one fuel."""
        return ("heat pump" if self.technology.is_heat_pump else self.fuel.id), self.is_storage

    @property
    def kind(self) -> tuple[Technology, Fuel, int]:
        """What candidates have in common that differ only in size."""
        return self.technology, self.fuel, self.n_units

    @property
    def is_eligible(self) -> bool:
        """Can be recommended at all."""
        return self.keeps_up and self.fits and self.may_be_made


def recommend(standings: Sequence[Standing], outlook: Outlook) -> str | None:
    """The recommended candidate's id, or None where nothing can be recommended.

    The lowest life-cycle cost among the eligible; the plain replacement where the difference is small or unsure.
    """
    worth = worth_choosing(standings)
    if not worth:
        return None
    cheapest = min(worth, key=lambda standing: outlook.point_usd[standing.place])
    plain = next((standing for standing in worth if standing.is_like_for_like), cheapest)
    if outlook.point_usd[cheapest.place] >= (1 - _WORTH_FRAC) * outlook.point_usd[plain.place]:
        return plain.id
    return cheapest.id if outlook.chance_cheaper_frac(cheapest.place, plain.place) >= _CLEARLY_FRAC else plain.id


def worth_choosing(standings: Sequence[Standing]) -> list[Standing]:
    """The eligible, without what only just keeps up where another size of its kind does so with ease."""
    eligible = [standing for standing in standings if standing.is_eligible]
    ample = {standing.kind for standing in eligible if not standing.with_care}
    return [standing for standing in eligible if not standing.with_care or standing.kind not in ample]


def rival_of(first: Standing, standings: Sequence[Standing], outlook: Outlook) -> Standing | None:
    """The cheapest over the years of the other kind: a tankless heater against a tank, or the reverse."""
    others = [standing for standing in worth_choosing(standings) if standing.is_storage != first.is_storage]
    return min(others, key=lambda standing: outlook.point_usd[standing.place], default=None)


def family_firsts(standings: Sequence[Standing], outlook: Outlook) -> list[Standing]:
    """The cheapest over the years of each family."""
    found: dict[tuple[str, bool], Standing] = {}
    for standing in sorted(standings, key=lambda standing: outlook.point_usd[standing.place]):
        found.setdefault(standing.family, standing)
    return list(found.values())


@dataclass(frozen=True)
class Told:
    """What the two sentences say, before anybody words it.

    Parameters
    ----------
    first : Standing
        The recommended candidate.
    costs_least : bool
        Nothing that is worth choosing costs less over the years.
    study_yr : int
        Length of the study. [yr]
    none_cheaper_frac : float or None
        Share of versions of the household in which no other kind costs less; None where there is no other. [-]
    other : Standing or None
        The cheapest of the other kind.
    back : Payback or None
        When the dearer of the two has earned its extra price; None where they cost about the same.
    """

    first: Standing
    costs_least: bool
    study_yr: int
    none_cheaper_frac: float | None
    other: Standing | None
    back: Payback | None

    @property
    def extra_usd(self) -> float:
        """What the other costs more to install. [$]"""
        return self.other.installed_usd - self.first.installed_usd if self.other else 0.0

    @property
    def saving_usd(self) -> float:
        """What the other saves on energy in a year. [$/yr]"""
        return self.first.running_usd - self.other.running_usd if self.other else 0.0

    @property
    def keeping_usd(self) -> float:
        """What the other costs more for upkeep in a year. [$/yr]"""
        return self.other.upkeep_usd - self.first.upkeep_usd if self.other else 0.0

    @property
    def runs(self) -> Compared:
        """How the other's energy compares; under $5 a year is the same."""
        return _compared(-self.saving_usd, 5)

    @property
    def installs(self) -> Compared:
        """How the other's installed price compares; under $50 is the same."""
        return _compared(self.extra_usd, _SAME_PRICE_USD)

    @property
    def upkeep_eats_saving(self) -> bool:
        """Whether upkeep takes enough of the saving to be told."""
        return self.runs == "less" and self.keeping_usd >= 15

    @property
    def is_a_trade_off(self) -> bool:
        """Whether one of the two speaks for the other heater, and one against it."""
        return (self.saving_usd > 0) == (self.extra_usd > 0) and self.installs != "same"


def _compared(more_usd: float, same_below_usd: float) -> Compared:
    if abs(more_usd) < same_below_usd:
        return "same"
    return "more" if more_usd > 0 else "less"


def told(standings: Sequence[Standing], recommended_id: str | None, outlook: Outlook) -> Told | None:
    """What is to be said, in whatever language; None where nothing can be recommended.

    Parameters
    ----------
    standings : sequence of Standing
        Every candidate.
    recommended_id : str or None
        As ``recommend`` has it.
    outlook : Outlook
        Their money. Only the first of each family is drawn here, so that a page can show the answer at once.
    """
    first = next((standing for standing in standings if standing.id == recommended_id), None)
    if first is None:
        return None
    worth = worth_choosing(standings)
    cheapest = min(worth, key=lambda standing: outlook.point_usd[standing.place])
    others = [standing.place for standing in family_firsts(worth, outlook) if standing.family != first.family]
    chance = outlook.chance_none_cheaper_frac(first.place, others) if others else None
    other = rival_of(first, standings, outlook)
    back = None
    if other is not None and abs(other.installed_usd - first.installed_usd) >= _SAME_PRICE_USD:
        dearer, cheaper = (other, first) if other.installed_usd > first.installed_usd else (first, other)
        back = outlook.payback(dearer.place, cheaper.place)
    return Told(first, first is cheapest, outlook.terms.study_yr, chance, other, back)


def sentences(found: Told | None) -> str:
    """The two sentences in English."""
    if found is None:
        return (
            "None of these heaters both keeps up with your busiest hour and can stand in this house as described."
            " Look at the reasons below, and have a licensed contractor see the house."
        )
    return f"{_first_sentence(found)} {_second_sentence(found)}"


def _first_sentence(found: Told) -> str:
    first = found.first
    plain = " (the plain replacement)" if first.is_like_for_like else ""
    least = "costs least" if found.costs_least else "costs as little as any, as far as such figures can tell,"
    work = f", {usd(first.work_usd, 100)} of it work on the house," if first.work_usd >= 50 else ""
    return (
        f"{_with_article(first.title)}{plain} {least} over {found.study_yr} years here:"
        f" about {usd(first.installed_usd, 100)} to install{work} and about {usd(first.running_usd, 10)} a year to run"
        f"{'' if found.none_cheaper_frac is None else _how_sure(found.none_cheaper_frac)}."
    )


def _how_sure(chance_frac: float) -> str:
    tenths = f"about {round(10 * chance_frac)} chances in 10"
    if chance_frac >= 0.95:
        tenths = "more than 9 chances in 10"
    return {
        "likely": f"; it is likely ({tenths}) that no other kind costs less",
        "toss-up": f"; whether another kind costs less is a toss-up ({tenths} that none does)",
        "unlikely": f"; several kinds come close ({tenths} that none costs less)",
    }[chance_word(chance_frac)]


def _second_sentence(found: Told) -> str:
    first, other = found.first, found.other
    other_kind = "tankless heater" if first.is_storage else "tank"
    if other is None:
        return f"No {other_kind} on the list both keeps up and fits here."
    runs = {
        "less": f"would save about {usd(found.saving_usd, 10)} a year on energy",
        "more": f"would cost about {usd(-found.saving_usd, 10)} a year more to run",
        "same": "would cost about the same to run",
    }[found.runs]
    upkeep = f" (less about {usd(found.keeping_usd, 10)} for upkeep)" if found.upkeep_eats_saving else ""
    installs = "the same" if found.installs == "same" else f"{usd(abs(found.extra_usd), 100)} {found.installs}"
    work = f" ({usd(other.work_usd, 100)} of its price is work on the house)" if other.work_usd >= 50 else ""
    joined = "but costs" if found.is_a_trade_off else "and costs"
    back = ""
    if found.back is not None:
        own = f"the extra price of the {'tank' if first.is_storage else 'tankless heater'}"
        whose = "that" if found.installs == "more" else own
        back = f": {whose} {payback_words(found.back, found.study_yr)}"
    return (
        f"The {other_kind} that comes closest ({_lower_first(other.title)}) {runs}{upkeep}"
        f" {joined} about {installs} to install{work}{back}."
    )


def payback_words(back: Payback, study_yr: int) -> str:
    """What is said of an extra price."""
    years = payback_yr(back)
    if years is None:
        return f"never pays back within the {study_yr} years"
    if years == 0:
        return "saves from the first day"
    held = "" if back.holds else ", before the next heater is bought"
    return f"pays back in about {years} year{'s' if years > 1 else ''}{held}"


def payback_yr(back: Payback) -> int | None:
    """Whole years until an extra price has come back: 0 from the first day, None never. [yr]"""
    if back.discounted_yr is None or back.state == "cheaper to buy, dearer to run":
        return None
    return 0 if back.state == "saves from day one" else max(1, round(back.discounted_yr))


def usd(amount: float, step: int) -> str:
    """Dollars, rounded to a step."""
    rounded = round(amount / step) * step
    return f"{'-' if rounded < 0 else ''}${abs(rounded):,.0f}"


def _with_article(title: str) -> str:
    if "in parallel" in title:
        return title
    sounds_like_vowel = title[:1].lower() in "aeio" or title.startswith(("8", "11", "18"))
    return f"{'An' if sounds_like_vowel else 'A'} {_lower_first(title)}"


def _lower_first(title: str) -> str:
    return title[:1].lower() + title[1:]
