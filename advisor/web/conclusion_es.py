"""The conclusion in Spanish: the facts of ``Conclusion``, worded here as they need grammar and not only words."""

from __future__ import annotations

from collections.abc import Callable

from advisor.candidate import Candidate
from advisor.money.chance import chance_word
from advisor.money.life_cycle import Payback
from advisor.recommendation.rule import Conclusion
from advisor.report.conclusion_text import usd


def conclusion_es(found: Conclusion | None, title: Callable[[Candidate], str]) -> str:
    """Two sentences.

    Parameters
    ----------
    found : Conclusion or None
        What is to be said; None where nothing can be recommended.
    title : callable
        A candidate's name in Spanish.
    """
    if found is None:
        return (
            "Ninguno de estos calentadores alcanza para su hora más ocupada y además cabe en esta casa tal como está"
            " descrita. Vea las razones abajo y pida a un contratista con licencia que vea la casa."
        )
    return f"{_first(found, title)} {_second(found, title)}"


def _first(found: Conclusion, title: Callable[[Candidate], str]) -> str:
    first = found.first
    plain = " (lo mismo que había)" if found.is_like_for_like else ""
    least = (
        "es lo que menos cuesta" if found.costs_least else "cuesta tan poco como cualquier otro, hasta donde se sabe,"
    )
    work = f", {usd(first.work_usd, 100)} de ellos en obras de la casa," if first.work_usd >= 50 else ""
    sure = "" if found.none_cheaper_frac is None else _how_sure(found.none_cheaper_frac)
    return (
        f"{title(first)}{plain}: {least} en {found.study_yr} años aquí. Instalarlo cuesta unos"
        f" {usd(first.money.installed_usd.point, 100)}{work} y usarlo,"
        f" unos {usd(first.running_cost.usd_per_yr, 10)} al año{sure}."
    )


def _how_sure(chance_frac: float) -> str:
    tenths = "más de 9 de cada 10" if chance_frac >= 0.95 else f"unas {round(10 * chance_frac)} de cada 10"
    return {
        "likely": f"; es probable ({tenths} veces) que ninguna otra clase cueste menos",
        "toss-up": f"; si otra clase cuesta menos es cosa de suerte ({tenths} veces ninguna cuesta menos)",
        "unlikely": f"; varias clases cuestan casi lo mismo ({tenths} veces ninguna cuesta menos)",
    }[chance_word(chance_frac)]


def _second(found: Conclusion, title: Callable[[Candidate], str]) -> str:
    first, rival = found.first, found.rival
    kind = "calentador de paso" if first.heater.is_storage else "tanque"
    if rival is None:
        return f"Ningún {kind} de la lista alcanza y cabe aquí."
    runs = {
        "less": f"ahorraría unos {usd(found.saving_usd_per_yr, 10)} al año en energía",
        "more": f"costaría unos {usd(-found.saving_usd_per_yr, 10)} más al año en energía",
        "same": "costaría más o menos lo mismo en energía",
    }[found.runs]
    upkeep = (
        f" (menos unos {usd(found.extra_upkeep_usd_per_yr, 10)} de mantenimiento)" if found.upkeep_eats_saving else ""
    )
    amount = f"unos {usd(abs(found.extra_usd), 100)}"
    installs = {"more": f"{amount} más", "less": f"{amount} menos", "same": "más o menos lo mismo"}[found.installs]
    work = f" ({usd(rival.work_usd, 100)} de su precio son obras de la casa)" if rival.work_usd >= 50 else ""
    joined = "pero" if found.is_a_trade_off else "y"
    back = ""
    if found.payback is not None:
        own = f"lo que cuesta de más el {'tanque' if first.heater.is_storage else 'calentador de paso'}"
        back = f": {'eso' if found.installs == 'more' else own} {_payback(found.payback, found.study_yr)}"
    closest = f"El {kind} que más se acerca ({title(rival)})"
    return f"{closest} {runs}{upkeep} {joined} cuesta {installs} instalarlo{work}{back}."


def _payback(back: Payback, study_yr: int) -> str:
    years = back.whole_yr
    if years is None:
        return f"nunca se recupera en los {study_yr} años"
    if years == 0:
        return "se ahorra desde el primer día"
    held = "" if back.holds else ", antes de comprar el siguiente calentador"
    return f"se recupera en {'un año' if years == 1 else f'unos {years} años'}{held}"
