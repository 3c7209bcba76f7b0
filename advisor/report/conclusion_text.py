"""The advice in two or three sentences: what to put in and why, what the same again or another kind would do instead,
and what it would take to make a tankless heater pay."""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce

from advisor.candidate import Candidate
from advisor.core.findings import Finding, Value, note
from advisor.core.verdicts import WITH_CARE
from advisor.money.life_cycle import Payback
from advisor.money.sensitivity import BreakEvenPrice, break_even_of
from advisor.recommendation.against import against
from advisor.recommendation.kinds import WORTH_FRAC, bar_of, family_of, is_plug_in, is_smaller
from advisor.recommendation.rule import Advice
from advisor.report import names
from advisor.report.words import say

#: A part of a sentence that is left out.
_NOTHING: Value = ()
#: A price farther off than this many times today's is no news for the household.
_FAR = 4.0
#: Where in fewer versions than half nothing costs less than the pick, it is a close call.
CLOSE_BELOW_FRAC = 0.5
#: What costs less by so little over the years costs the same: to the nearest hundred it would be nothing. [$]
LEVEL_USD = 50.0


def advice_sentences(advice: Advice, language: str = "en") -> list[str]:
    """The sentences in a language."""
    return [say(found, language=language) for found in _findings(advice, language)]


def conclusion_text(advice: Advice, language: str = "en") -> str:
    """The same, one after another."""
    return " ".join(advice_sentences(advice, language))


def _findings(advice: Advice, language: str) -> list[Finding]:
    pick = advice.pick
    if pick is None:
        none = note("conclusion.none")
        if advice.closest is None:
            return [none]
        return [none, note("conclusion.closest", heater=names.title(advice.closest.heater, language))]
    found = [_first(advice, pick, language), _second(advice, pick, language)]
    if advice.tankless is not None:
        found.append(draws_level(pick, advice.tankless, language))
    return found


def _first(advice: Advice, pick: Candidate, language: str) -> Finding:
    work = _told_work_usd(pick)
    again: Value = note("conclusion.again") if pick is advice.same_again else _NOTHING
    if again == _NOTHING and advice.is_smaller:
        again = note("conclusion.smaller")
    return note(
        "conclusion.first",
        heater=names.a(pick.heater, language),
        again=again,
        install=to_install(pick, pick.money.installed_usd.point),
        work=note("conclusion.work", work_usd=work) if work >= 50 else _NOTHING,
        run_usd=pick.running_cost.usd_per_yr,
        why=_why(advice, pick, language),
        sure=_how_sure(advice.chances_frac[pick.heater.id]) if len(advice.kinds) > 1 else _NOTHING,
        care=_care(pick) if pick.capacity.verdict == WITH_CARE else _NOTHING,
        sold=note("conclusion.ask_sold") if is_plug_in(pick) else _NOTHING,
    )


def _told_work_usd(candidate: Candidate) -> float:
    """Part of our own estimate that is work on the house; how an offered price is made up, its lines say. [$]"""
    return candidate.work_usd if candidate.quote_usd is None else 0.0


def _care(pick: Candidate) -> Finding:
    """That it keeps up only with care, in mornings where the bench has counted them."""
    mornings = pick.capacity.short_mornings_per_yr
    return note("conclusion.care.mornings", n=mornings) if mornings else note("conclusion.care")


def to_install(candidate: Candidate, install_usd: float) -> Finding:
    """A price to put it in: about so much, or to the cent where somebody offered it."""
    how = "about" if candidate.quote_usd is None else "offered"
    return note(f"conclusion.install.{how}", install_usd=install_usd)


def _why(advice: Advice, pick: Candidate, language: str) -> Finding:
    """Why the pick: it costs least, it wins over the same again, or what costs less is no reason to change."""
    study_yr, same, least = pick.money.results.terms.study_yr, advice.same_again, advice.cheapest_to_own
    if least is None or least is pick:
        return note("conclusion.why.least", study_yr=study_yr)
    less_usd = pick.money.point_usd - least.money.point_usd
    if advice.why == "wins" and same is not None and same.money.point_usd > pick.money.point_usd:
        wins_usd = same.money.point_usd - pick.money.point_usd
        return note("conclusion.why.wins", less_usd=wins_usd, study_yr=study_yr)
    if less_usd < LEVEL_USD:
        return note("conclusion.why.level", study_yr=study_yr)
    return note(
        "conclusion.why.stays",
        heater=names.a(least.heater, language),
        less_usd=less_usd,
        study_yr=study_yr,
        but=note(f"conclusion.but.{but(advice, pick, least)}"),
    )


def but(advice: Advice, pick: Candidate, least: Candidate) -> str:
    """What speaks against what would cost less."""
    if least.capacity.verdict.severity > pick.capacity.verdict.severity:
        return "care"
    if family_of(least) == family_of(pick) and is_smaller(least, pick):
        return "smaller"
    if all(one is not least for one in advice.kinds) and is_plug_in(least):
        return "plug_in"
    return "little" if least.money.point_usd >= (1 - WORTH_FRAC) * pick.money.point_usd else "unsure"


def _how_sure(chance_frac: float) -> Finding:
    if chance_frac >= 0.95:
        return note("conclusion.sure.most")
    if chance_frac < 0.05:
        return note("conclusion.sure.least")
    code = "conclusion.sure.close" if chance_frac < CLOSE_BELOW_FRAC else "conclusion.sure"
    return note(code, tenths=round(10 * chance_frac))


def _second(advice: Advice, pick: Candidate, language: str) -> Finding:
    """Against the same again; where that is the pick or may not be put in, against the best of another kind."""
    same, rival = advice.same_again, advice.rival
    if same is not None and same is not pick:
        bar = bar_of(same)
        if bar is not None:
            return note(
                "conclusion.same.barred",
                heater=names.spoken(same.heater, language),
                bar=note(f"conclusion.bar.{bar}"),
                rival=_NOTHING if rival is None else _compared("conclusion.rival", pick, rival, language),
            )
        return _compared("conclusion.same", pick, same, language)
    return note("conclusion.no_other") if rival is None else _compared("conclusion.other", pick, rival, language)


def _compared(code: str, first: Candidate, other: Candidate, language: str) -> Finding:
    found, work = against(first, other), _told_work_usd(other)
    back: Value = _NOTHING
    if found.installs != "same":
        study_yr = first.money.results.terms.study_yr
        dearer = (
            note("conclusion.that")
            if found.installs == "more"
            else note("conclusion.extra", heater=names.spoken(first.heater, language))
        )
        # Upkeep too little to be told may still take all that is saved: then no reason is named.
        is_told = found.upkeep != "same" or found.runs != "less"
        payback = payback_finding(found.back, study_yr)
        if payback.code == "payback.never_by_bills" and not is_told:
            payback = note("payback.never", study_yr=study_yr)
        back = note("conclusion.back", dearer=dearer, payback=payback)
    return note(
        code,
        heater=names.spoken(other.heater, language),
        runs=note(f"conclusion.runs.{found.runs}", saving_usd=abs(found.saving_usd_per_yr)),
        upkeep=_NOTHING
        if found.upkeep == "same"
        else note(f"conclusion.upkeep.{found.runs}.{found.upkeep}", upkeep_usd=abs(found.extra_upkeep_usd_per_yr)),
        joined=note("conclusion.but" if found.is_a_trade_off else "conclusion.and"),
        installs=note(f"conclusion.installs.{found.installs}", extra_usd=abs(found.extra_usd)),
        work=note("conclusion.rival_work", work_usd=work) if work >= 50 else _NOTHING,
        back=back,
    )


def payback_finding(back: Payback, study_yr: int) -> Finding:
    """What is said of an extra price."""
    years = back.whole_yr
    if back.state == "does not pay back" and back.simple_yr is None:
        return note("payback.never_by_bills")
    if years is None:
        return note("payback.never", study_yr=study_yr)
    if years == 0:
        return note("payback.at_once")
    return note("payback.years" if back.holds else "payback.years_lost", n=years)


def draws_level(first: Candidate, rival: Candidate, language: str) -> Finding:
    """What it would take to make a rival pay: a price of energy, or of the job."""
    found = break_even_of(first.money, rival.money)
    told = {"family": names.family(rival.heater, language), "heater": names.spoken(rival.heater, language)}
    near = [price for price in found.prices if 1 / _FAR <= price.level_usd_per_unit / price.now_usd_per_unit <= _FAR]
    if found.quote_level_usd is not None and found.quote_level_usd > found.quote_now_usd:
        return note("money.level.already", **told, level_usd=found.quote_level_usd, now_usd=found.quote_now_usd)
    ways = [_price(price) for price in near[:2]]
    if found.quote_level_usd is not None:
        ways.append(note("money.level.quote", level_usd=found.quote_level_usd, now_usd=found.quote_now_usd))
    if not ways:
        return note("money.level.never", **told)
    return note("money.level.wins" if near else "money.level.wins_by_quote", **told, ways=chain("list.or_if", ways))


def _price(price: BreakEvenPrice) -> Finding:
    digits = 3 if price.fuel.is_electric else 2
    return note(
        "money.level.above" if price.wins_above else "money.level.below",
        fuel=price.fuel.word,
        unit=price.fuel.unit_word,
        level=f"{price.level_usd_per_unit:,.{digits}f}",
        now=f"{price.now_usd_per_unit:,.{digits}f}",
    )


def chain(code: str, parts: Iterable[Finding]) -> Finding:
    """Parts set one after another by a message with the blanks ``first`` and ``second``."""
    return reduce(lambda first, second: note(code, first=first, second=second), parts)
