"""The conclusion in two sentences: what to put in and why, and what the other kind would do instead."""

from __future__ import annotations

from advisor.core.findings import Finding, Value, note
from advisor.money.chance import chance_word
from advisor.money.life_cycle import Payback
from advisor.recommendation.rule import Conclusion
from advisor.report import names
from advisor.report.words import sentences

#: A part of a sentence that is left out.
_NOTHING: Value = ()


def conclusion_text(found: Conclusion | None, language: str = "en") -> str:
    """The two sentences in a language."""
    if found is None:
        return sentences([note("conclusion.none")], language=language)
    return sentences([_first(found, language), _second(found, language)], language=language)


def _first(found: Conclusion, language: str) -> Finding:
    first = found.first
    name = names.with_article(first.heater, language)
    work = first.work_usd
    return note(
        "conclusion.first",
        heater=note("conclusion.plain", heater=name) if found.is_like_for_like else name,
        cost=note("conclusion.costs_least" if found.costs_least else "conclusion.costs_as_little"),
        study_yr=found.study_yr,
        install_usd=first.money.installed_usd.point,
        work=note("conclusion.work", work_usd=work) if work >= 50 else _NOTHING,
        run_usd=first.running_cost.usd_per_yr,
        sure=_NOTHING if found.none_cheaper_frac is None else _how_sure(found.none_cheaper_frac),
    )


def _how_sure(chance_frac: float) -> Finding:
    most = chance_frac >= 0.95
    chances = note("conclusion.most_chances") if most else note("conclusion.chances", tenths=round(10 * chance_frac))
    return note(f"conclusion.sure.{chance_word(chance_frac)}", chances=chances)


def _second(found: Conclusion, language: str) -> Finding:
    first, rival = found.first.heater, found.rival
    if rival is None:
        return note("conclusion.no_tankless" if first.is_storage else "conclusion.no_tank")
    upkeep, work = found.extra_upkeep_usd_per_yr, rival.work_usd
    back: Value = _NOTHING
    if found.payback is not None:
        dearer = note("conclusion.that" if found.installs == "more" else f"conclusion.extra.{_kind(first.is_storage)}")
        back = note("conclusion.back", dearer=dearer, payback=payback_finding(found.payback, found.study_yr))
    return note(
        "conclusion.second",
        family=names.family(rival.heater, language),
        heater=names.spoken(rival.heater, language),
        runs=note(f"conclusion.runs.{found.runs}", saving_usd=abs(found.saving_usd_per_yr)),
        upkeep=note("conclusion.upkeep", upkeep_usd=upkeep) if found.upkeep_eats_saving else _NOTHING,
        joined=note("conclusion.but" if found.is_a_trade_off else "conclusion.and"),
        installs=note(f"conclusion.installs.{found.installs}", extra_usd=abs(found.extra_usd)),
        work=note("conclusion.rival_work", work_usd=work) if work >= 50 else _NOTHING,
        back=back,
    )


def _kind(is_storage: bool) -> str:
    return "tank" if is_storage else "tankless"


def payback_finding(back: Payback, study_yr: int) -> Finding:
    """What is said of an extra price."""
    years = back.whole_yr
    if years is None:
        return note("payback.never", study_yr=study_yr)
    if years == 0:
        return note("payback.at_once")
    return note("payback.years" if back.holds else "payback.years_lost", n=years)
