"""The conclusion in two English sentences: what to put in and why, and what the other kind would do instead."""

from __future__ import annotations

from advisor.money.chance import chance_word
from advisor.money.life_cycle import Payback
from advisor.recommendation.rule import Conclusion


def conclusion_text(found: Conclusion | None) -> str:
    """The two sentences in English."""
    if found is None:
        return (
            "None of these heaters both keeps up with your busiest hour and can stand in this house as described."
            " Look at the reasons below, and have a licensed contractor see the house."
        )
    return f"{_first_sentence(found)} {_second_sentence(found)}"


def _first_sentence(found: Conclusion) -> str:
    first = found.first
    plain = " (the plain replacement)" if found.is_like_for_like else ""
    least = "costs least" if found.costs_least else "costs as little as any, as far as such figures can tell,"
    work = f", {usd(first.work_usd, 100)} of it work on the house," if first.work_usd >= 50 else ""
    return (
        f"{_with_article(first.heater.title)}{plain} {least} over {found.study_yr} years here:"
        f" about {usd(first.money.installed_usd.point, 100)} to install{work}"
        f" and about {usd(first.running_cost.usd_per_yr, 10)} a year to run"
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


def _second_sentence(found: Conclusion) -> str:
    first, rival = found.first, found.rival
    other_kind = "tankless heater" if first.heater.is_storage else "tank"
    if rival is None:
        return f"No {other_kind} on the list both keeps up and fits here."
    runs = {
        "less": f"would save about {usd(found.saving_usd_per_yr, 10)} a year on energy",
        "more": f"would cost about {usd(-found.saving_usd_per_yr, 10)} a year more to run",
        "same": "would cost about the same to run",
    }[found.runs]
    upkeep = f" (less about {usd(found.extra_upkeep_usd_per_yr, 10)} for upkeep)" if found.upkeep_eats_saving else ""
    installs = "the same" if found.installs == "same" else f"{usd(abs(found.extra_usd), 100)} {found.installs}"
    work = f" ({usd(rival.work_usd, 100)} of its price is work on the house)" if rival.work_usd >= 50 else ""
    joined = "but costs" if found.is_a_trade_off else "and costs"
    back = ""
    if found.payback is not None:
        own = f"the extra price of the {'tank' if first.heater.is_storage else 'tankless heater'}"
        whose = "that" if found.installs == "more" else own
        back = f": {whose} {payback_words(found.payback, found.study_yr)}"
    return (
        f"The {other_kind} that comes closest ({_lower_first(rival.heater.title)}) {runs}{upkeep}"
        f" {joined} about {installs} to install{work}{back}."
    )


def payback_words(back: Payback, study_yr: int) -> str:
    """What is said of an extra price."""
    years = back.whole_yr
    if years is None:
        return f"never pays back within the {study_yr} years"
    if years == 0:
        return "saves from the first day"
    held = "" if back.holds else ", before the next heater is bought"
    return f"pays back in about {years} year{'s' if years > 1 else ''}{held}"


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
