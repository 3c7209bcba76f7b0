"""The decision: what to do, when hot water is back, what to pay, and the choices beside it in one short table."""

from __future__ import annotations

import streamlit as st

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.recommendation.kinds import bar_of
from advisor.report import plain_words
from advisor.report.repair_words import repair_findings
from advisor.web import session, widgets
from advisor.web.words import language, say, typed


def show(comparison: Comparison) -> None:
    """The card, the table and the reasons."""
    advice, pick = comparison.advice, comparison.recommended
    if pick is None:
        st.title(say("home.none"))
        closest = advice.closest
        if closest is not None:
            st.markdown(say("home.none.closest", heater=plain_words.a(closest.heater, language())))
        st.markdown(say("home.none.what"))
    else:
        st.title(say(plain_words.headline(advice, pick, language())))
        st.markdown("  \n".join(_lines(pick)))
    _what_changed(pick)
    _table(comparison)
    if comparison.repair is not None:
        repair = " ".join(say(one) for one in repair_findings(comparison.repair))
        st.markdown(widgets.plain(f"**{say('home.repair.title')}.** {repair}"))
    if pick is not None:
        with st.expander(say("home.why")):
            told = plain_words.reasons(advice, pick, comparison.money, language())
            st.markdown("\n".join(f"- {say(one)}" for one in told))


def _lines(pick: Candidate) -> list[str]:
    when = say("home.back.today") if pick.soon.days < 1 else say("home.back.later", when=pick.soon.when)
    low, typical, high = pick.installed_usd
    if pick.quote_usd is not None:
        pay = say("home.pay.quoted", usd=widgets.dollars(typical), whose=say("home.pay.quote"))
    else:
        pay = say(
            "home.pay",
            usd=widgets.dollars(typical, 100),
            range=widgets.money_range(low, high),
            whose=say("home.pay.ours"),
        )
    least, _, most = pick.money.running_usd_per_yr
    month = say("home.month", usd=_a_month(pick), range=widgets.money_range(least / 12, most / 12, 1))
    return [say("home.back", when=when), pay, month, say("home.warm", what=say(plain_words.warmth(pick)))]


def _a_month(one: Candidate) -> str:
    return widgets.dollars(one.running_cost.usd_per_yr / 12, 1)


def _table(comparison: Comparison) -> None:
    """Always the same rows; one where they coincide."""
    advice = comparison.advice
    wait = "wait" if advice.pick is not advice.soonest else "pick"
    places = {
        wait: advice.pick,
        "same_again": advice.same_again,
        "cheapest_to_own": advice.cheapest_to_own,
        "soonest": advice.soonest,
    }
    if advice.soonest is not None and any(
        one is not None and one.soon.days <= advice.soonest.soon.days and bar_of(one) is None
        for name, one in places.items()
        if name != "soonest"
    ):
        # Another row is as soon.
        places.pop("soonest")
    rows: dict[str, tuple[Candidate, list[str]]] = {}
    for place, one in places.items():
        if one is not None:
            rows.setdefault(one.heater.id, (one, []))[1].append(say(f"home.row.{place}"))
    if not rows:
        return
    st.subheader(say("home.table.title"))
    n = comparison.money.terms.study_yr
    names = _told_apart([one for one, _ in rows.values()])
    widgets.table(
        [_row(one, labels, name, n) for (one, labels), name in zip(rows.values(), names, strict=True)],
        alt=say("home.table.title"),
    )
    meant = plain_words.meanings([one.heater for one, _ in rows.values()])
    if meant:
        st.caption("  \n".join(say(one) for one in meant))


def _told_apart(several: list[Candidate]) -> list[str]:
    """Their names, with the power where two would bear the same name."""
    names = [plain_words.name(one.heater, language()) for one in several]
    return [
        say("plain.of_power", heater=typed(name), power=widgets.shown(one.heater.power_btuh, "btuh"))
        if names.count(name) > 1
        else typed(name)
        for one, name in zip(several, names, strict=True)
    ]


def _row(one: Candidate, labels: list[str], name: str, n: int) -> dict[str, str]:
    bar = bar_of(one)
    row = {say("home.col.which"): f"{' · '.join(labels)}: {name}"}
    if bar is not None:
        return {
            **row,
            say("home.col.soon"): _sentence(say(f"home.bar.{bar}")),
            say("home.col.now"): "–",
            say("home.col.month"): "–",
            say("home.col.years", n=n): "–",
        }
    return {
        **row,
        say("home.col.soon"): say(one.soon.when),
        say("home.col.now"): widgets.dollars(one.installed_usd[1], 100),
        say("home.col.month"): _a_month(one),
        say("home.col.years", n=n): widgets.dollars(one.money.point_usd, 100),
    }


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _what_changed(pick: Candidate | None) -> None:
    """What the last change did, beside one's own last answer of the same house and no other."""
    held = session.current()
    if held.told is None or held.told[0] is not held.given:
        held.told_before = None if held.told is None else held.told[1]
        held.told = held.given, pick
    before: Candidate | None = held.told_before
    # A place of its own even when empty: what follows keeps its place, and an open box stays open.
    with st.container(key="changed"):
        if pick is None or before is None:
            return
        told = changes(before, pick)
        if told:
            st.info(" ".join(told))


def changes(before: Candidate, now: Candidate) -> list[str]:
    """What is another than it was: the heater, a year's energy, the price."""
    told = []
    names = [typed(plain_words.name(one.heater, language())) for one in (now, before)]
    years = [widgets.dollars(one.running_cost.usd_per_yr) for one in (now, before)]
    prices = [widgets.dollars(one.installed_usd[1], 100) for one in (now, before)]
    if names[0] != names[1]:
        told.append(say("home.changed.pick", now=names[0], before=names[1]))
    if years[0] != years[1]:
        told.append(say("home.changed", now=years[0], before=years[1]))
    if prices[0] != prices[1]:
        told.append(say("home.changed.pay", now=prices[0], before=prices[1]))
    return told
