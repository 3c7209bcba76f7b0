"""Offers, told first with what to ask about each; the form for them; and the document that is handed over."""

from __future__ import annotations

import streamlit as st

from advisor.comparison import Comparison
from advisor.report.offers_text import who
from advisor.report.words import cents
from advisor.web import contractor, fields, handing_over, offer_form, state, widgets
from advisor.web.words import heater_title, language, say, typed, verdict_word

_SIDE_BY_SIDE = 4


def draw() -> None:
    """The whole page."""
    fields.take("offers")
    comparison = state.comparison()
    chosen = contractor.head(comparison)
    st.title(say("offer.title", n=len(comparison.offers)) if comparison.offers else say("page.offers"))
    _side_by_side(comparison)
    handing_over.offers(comparison)
    with st.expander(say("offer.form.heading"), expanded=not comparison.offers or bool(state.refusal("offers"))):
        offer_form.draw(comparison)
    fields.draw("offers")
    handing_over.logo()
    handing_over.download(comparison, chosen)
    contractor.cautions((), burns_fuel=chosen.heater.burns_fuel)


def _side_by_side(comparison: Comparison) -> None:
    """Up to four offers, a column each; prices as typed."""
    shown = comparison.offers[:_SIDE_BY_SIDE]
    if not shown:
        st.markdown(say("offer.none"))
        return
    years = comparison.money.terms.study_yr
    columns = {}
    for number, checked in enumerate(shown, start=1):
        offer, candidate = checked.offer, comparison.candidate(checked.offer.candidate)
        columns[f"{number} · {typed(who(number, comparison.offers, language()))}"] = (
            heater_title(candidate.heater),
            widgets.plain(cents(offer.price_usd, language())),
            widgets.plain(cents(offer.rebate_usd, language())) if offer.rebate_usd else "–",
            offer.valid_until.isoformat() if offer.valid_until else say("offer.not_said"),
            widgets.dollars(checked.life_cycle_usd, 100),
            verdict_word(candidate.capacity.verdict),
            verdict_word(candidate.house.verdict),
        )
    keys = ("offer.col.heater", "offer.col.total", "offer.col.rebate", "offer.col.until")
    labels = [*map(say, keys), say("offer.col.years", n=years), say("offer.col.enough"), say("offer.col.fits")]
    rows = [{"": label, **{head: cells[row] for head, cells in columns.items()}} for row, label in enumerate(labels)]
    contractor.table(rows, say("offer.heading"))
