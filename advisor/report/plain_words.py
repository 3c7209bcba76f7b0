"""The advice in everyday words: what a neighbour calls each heater, why this one, and what the words mean."""

from __future__ import annotations

from advisor.candidate import Candidate
from advisor.core.findings import Finding, Value, note
from advisor.core.units import show
from advisor.core.verdicts import KEEPS_UP
from advisor.heaters.catalogue import Heater
from advisor.money.results import MoneyResults
from advisor.recommendation.against import against
from advisor.recommendation.kinds import bar_of
from advisor.recommendation.rule import Advice
from advisor.report import names
from advisor.report.conclusion_text import CLOSE_BELOW_FRAC, LEVEL_USD, but
from advisor.report.words import say

#: Less than this much work on the house is not worth a line. [$]
_LEAST_WORK_USD = 50.0


def name(heater: Heater, language: str = "en") -> str:
    """What a neighbour calls a heater; its own title where somebody typed it in."""
    if heater.is_own:
        return heater.title
    fuel = say(f"plain.fuel.{heater.fuel.id}", language=language, title=heater.fuel.title)
    one = say(
        f"plain.{heater.technology.id}",
        language=language,
        size=f"{heater.nominal_gal:g}",
        fuel=fuel,
        title=names.spoken(heater, language),
    )
    return one if heater.n_units == 1 else say("plain.several", language=language, n=f"{heater.n_units}", heater=one)


def a(heater: Heater, language: str = "en") -> str:
    """The same with its article."""
    return with_article(name(heater, language), language)


def with_article(called: str, language: str = "en") -> str:
    """A heater's everyday name with its article."""
    return say("plain.an" if called.startswith(names.VOWELS) else "plain.a", language=language, heater=called)


def told_apart(heaters: list[Heater], language: str = "en", *, si: bool = False) -> list[str]:
    """Their everyday names, with the power where two would bear the same name."""
    called = [name(one, language) for one in heaters]
    return [
        say("plain.of_power", language=language, heater=known, power=show(one.power_btuh, "btuh", si=si))
        if called.count(known) > 1
        else known
        for one, known in zip(heaters, called, strict=True)
    ]


def headline(advice: Advice, pick: Candidate, called: str, language: str) -> Finding:
    """What to do, in one sentence with a verb; the heater as it is called beside the others."""
    same: Value = note("home.title.same") if pick is advice.same_again else ()
    if same == () and advice.is_smaller:
        same = note("home.title.smaller")
    return note("home.title", heater=with_article(called, language), same=same)


def warmth(pick: Candidate) -> Finding:
    """How often somebody's water turns lukewarm."""
    mornings = pick.capacity.short_mornings_per_yr
    if mornings:
        return note("home.warm.last" if pick.heater.is_storage else "home.warm.some", n=round(mornings))
    return note("home.warm.enough" if pick.capacity.verdict == KEEPS_UP else "home.warm.unsure")


def reasons(advice: Advice, pick: Candidate, money: MoneyResults, language: str) -> list[Finding]:
    """Why this one, in short sentences."""
    found = [*_over_the_years(advice, pick, money.terms.study_yr, language), *_beside_the_same(advice, pick)]
    if len(advice.kinds) > 1:
        found.append(_how_sure(advice.chances_frac[pick.heater.id]))
    # How an offered price is made up, its lines say.
    if pick.quote_usd is None and pick.work_usd >= _LEAST_WORK_USD:
        found.append(note("home.why.work", usd=note("plain.usd", amount_usd=pick.work_usd)))
    if pick.lead_time.days >= 1:
        found.append(note("home.why.held_up", job=pick.lead_time.held_up_by))
    return found


def _over_the_years(advice: Advice, pick: Candidate, n: int, language: str) -> list[Finding]:
    same, least = advice.same_again, advice.cheapest_to_own
    if least is None or least is pick:
        return [note("home.why.least", n=n)]
    if advice.why == "wins" and same is not None and same.money.point_usd > pick.money.point_usd:
        less_usd = same.money.point_usd - pick.money.point_usd
        return [note("home.why.wins", usd=note("plain.usd", amount_usd=less_usd), n=n)]
    less_usd = pick.money.point_usd - least.money.point_usd
    if less_usd < LEVEL_USD:
        return [note("home.why.level", n=n)]
    return [
        note("home.why.stays", heater=a(least.heater, language), usd=note("plain.usd", amount_usd=less_usd), n=n),
        note(f"home.why.but.{but(advice, pick, least)}"),
    ]


def _beside_the_same(advice: Advice, pick: Candidate) -> list[Finding]:
    same = advice.same_again
    if same is None or same is pick:
        return []
    bar = bar_of(same)
    if bar is not None:
        return [note("home.why.barred", bar=note(f"home.bar.{bar}"))]
    beside, found = against(pick, same), []
    year, now = note("plain.usd10", amount_usd=abs(beside.saving_usd_per_yr)), abs(beside.extra_usd)
    if beside.runs != "same":
        found.append(note(f"home.why.{beside.runs}_a_year", usd=year))
    if beside.upkeep != "same":
        upkeep = note("plain.usd10", amount_usd=abs(beside.extra_upkeep_usd_per_yr))
        found.append(note(f"home.why.upkeep_{beside.upkeep}", usd=upkeep))
    if beside.installs != "same":
        found.append(note(f"home.why.{beside.installs}_now", usd=note("plain.usd", amount_usd=now)))
    years = beside.back.whole_yr
    if beside.installs != "same" and beside.back.holds and years:
        found.append(note("home.why.back", n=years))
    return found


def _how_sure(chance_frac: float) -> Finding:
    if chance_frac >= 0.95:
        return note("home.why.sure.most")
    if chance_frac < 0.05:
        return note("home.why.sure.least")
    code = "home.why.sure.close" if chance_frac < CLOSE_BELOW_FRAC else "home.why.sure"
    return note(code, n=f"{round(10 * chance_frac)}")


def meanings(heaters: list[Heater]) -> list[Finding]:
    """A line for each trade word in the names of these heaters."""
    kinds = [heater.technology for heater in heaters if not heater.is_own]
    found = {
        "heat_pump": any(kind.is_heat_pump for kind in kinds),
        "tankless": any(not kind.is_storage for kind in kinds),
        "fan": any(kind.vent == "power_vent" for kind in kinds),
        "saver": any(kind.is_condensing for kind in kinds),
        "power": told_apart(heaters) != [name(one) for one in heaters],
    }
    return [note(f"plain.means.{word}") for word, is_used in found.items() if is_used]
