"""Is my quote fair: where a price lies in our own range, what this house needs in it, and the same by the month."""

from __future__ import annotations

import streamlit as st

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.findings import Finding, note
from advisor.physics.present_value import uniform_present_value_yr
from advisor.report import plain_words
from advisor.report.shortlist import shortlist
from advisor.web import widgets
from advisor.web.draft import number_in, short
from advisor.web.widgets import seed
from advisor.web.words import heater_option, language, say

#: Prices, years and rates that are asked for. [$], [yr], [%]
_MOST_USD, _MOST_YR, _MOST_PERCENT = 200_000.0, 30.0, 40.0


def show(comparison: Comparison) -> None:
    """The field, the place of the price in our range, the jobs, and the loan."""
    with st.expander(say("quote.title")):
        listed = {one.heater.id: one for one in shortlist(comparison)}
        seed("quote_heater", comparison.recommended_id, among=list(listed))
        st.selectbox(
            say("quote.heater"),
            list(listed),
            key="quote_heater",
            format_func=lambda heater_id: _name(listed[heater_id]),
        )
        typed = st.text_input(say("quote.price"), key="quote_price", placeholder="2600", max_chars=20)
        if not typed.strip():
            return
        chosen, price = listed[st.session_state.quote_heater], number_in(typed.strip(" $").replace(",", ""))
        if price is None or not 0 < price <= _MOST_USD:
            st.error(say(note("quote.bad", typed=short(typed))))
            return
        low, middle, high = chosen.house.installed_usd
        told = widgets.money_range(low, high)
        st.markdown(f"**{say(place_of(price, low, middle, high), range=told, usd=widgets.dollars(middle, 100))}**")
        st.caption(say("quote.ours"))
        jobs = [
            say("quote.job", job=say(job.what), usd=widgets.dollars(job.typical_usd, 10)) for job in chosen.house.work
        ]
        if jobs:
            st.markdown("\n".join([say("quote.needs"), "", *(f"- {job}" for job in jobs)]))
        st.markdown(say("quote.ask"))
        _by_the_month(chosen, price)


def _name(one: Candidate) -> str:
    """A heater of the list; its power where the everyday name would not tell it from another."""
    return f"{plain_words.name(one.heater, language())} ({heater_option(one.heater)})"


def place_of(price_usd: float, low_usd: float, middle_usd: float, high_usd: float) -> str:
    """Key of the sentence that says where a price lies in a range."""
    if price_usd < low_usd:
        return "quote.under"
    if price_usd > high_usd:
        return "quote.over"
    return "quote.lower" if price_usd <= middle_usd else "quote.upper"


def _by_the_month(chosen: Candidate, price_usd: float) -> None:
    """The price as a loan beside the energy of a month."""
    seed("quote_years", "5")
    seed("quote_rate", "9")
    with st.container(horizontal=True):
        years = st.text_input(say("quote.years"), key="quote_years", max_chars=10)
        rate = st.text_input(say("quote.rate"), key="quote_rate", max_chars=10)
    told = by_the_month(price_usd, years, rate, chosen.running_cost.usd_per_yr / 12)
    if told.code == "quote.month.bad":
        st.error(say(told))
    else:
        st.markdown(say(told))


def by_the_month(price_usd: float, years: str, rate: str, energy_usd_per_mo: float) -> Finding:
    """A loan's payment and a month's energy, or why the loan cannot be."""
    n_yr, percent = number_in(years), number_in(rate.strip(" %"))
    if n_yr is None or percent is None or not 1 <= n_yr <= _MOST_YR or not 0 <= percent <= _MOST_PERCENT:
        return note("quote.month.bad", typed=short(f"{years}, {rate}"))
    loan = monthly_usd(price_usd, n_yr, percent / 100)
    return note(
        "quote.month",
        years=f"{n_yr:g}",
        rate=f"{percent:g}",
        loan=note("plain.usd1", amount_usd=loan),
        energy=note("plain.usd1", amount_usd=energy_usd_per_mo),
        both=note("plain.usd1", amount_usd=loan + energy_usd_per_mo),
    )


def monthly_usd(price_usd: float, n_yr: float, rate_frac: float) -> float:
    """A loan's level payment at each month's end. [$]"""
    return float(price_usd / uniform_present_value_yr(rate_frac / 12, 12 * n_yr))
