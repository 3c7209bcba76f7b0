"""The decision: what to do, when hot water is back, what to pay, and the choices beside it in one short table."""

from __future__ import annotations

import streamlit as st

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.report import plain_words
from advisor.report.decision_text import NONE, Choice, called, choices, lines, shown
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
        name = called(comparison, pick, language=language(), si=widgets.is_si())
        st.title(say(plain_words.headline(advice, pick, name, language())))
        st.markdown("  \n".join(say(one.code, **dict(one.numbers)) for one in lines(pick)))
    _what_changed(pick)
    _table(comparison)
    if comparison.repair is not None:
        repair = " ".join(say(one) for one in repair_findings(comparison.repair))
        st.markdown(widgets.plain(f"**{say('home.repair.title')}.** {repair}"))
    if pick is not None:
        with st.expander(say("home.why")):
            told = plain_words.reasons(advice, pick, comparison.money, language())
            st.markdown("\n".join(f"- {say(one)}" for one in told))


def _table(comparison: Comparison) -> None:
    rows = choices(comparison, language=language(), si=widgets.is_si())
    if not rows:
        return
    st.subheader(say("home.table.title"))
    n = comparison.money.terms.study_yr
    widgets.table([_row(one, n) for one in rows], alt=say("home.table.title"))
    meant = plain_words.meanings([one.heater for one in shown(comparison)])
    if meant:
        st.caption("  \n".join(say(one) for one in meant))


def _row(one: Choice, n: int) -> dict[str, str]:
    row = {
        say("home.col.which"): f"{' · '.join(map(say, one.labels))}: {typed(one.name)}",
        say("home.col.soon"): typed(one.lead_time),
        say("home.col.now"): widgets.plain(one.now),
        say("home.col.month"): widgets.plain(one.month),
        say("home.col.years", n=n): widgets.plain(one.years),
    }
    # A list on a phone has no columns to fill.
    return {name: "" if told == NONE else told for name, told in row.items()} if widgets.is_phone() else row


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
