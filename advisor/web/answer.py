"""The answer: one sentence a neighbour would say, three numbers, what to do today, what was assumed."""

from __future__ import annotations

from typing import Any

import streamlit as st

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core import paths
from advisor.core.kinds import Fuel
from advisor.house.lead_time import stopgaps
from advisor.report.prices_text import average_note
from advisor.web import session, state, widgets
from advisor.web.words import conclusion, heater_title, language, say, sentences, typed, verdict_word

#: Three abreast on a desk, two on a tablet, one on a phone: no figure is cut off.
_METRIC_PX = 352
_SPACES = ("basement", "garage", "attic", "closet", "indoors", "outdoors", "crawl_space")
_SUPPLIES = ("mains", "surface", "well")


def care() -> None:
    """What comes before any figure."""
    with st.container(border=True):
        st.markdown(f"**{say('start.care.title')}**")
        st.markdown(say("start.care"))


def show(comparison: Comparison) -> None:
    """The answer for a comparison."""
    chosen = comparison.recommended
    if chosen is None:
        st.title(say("start.none"))
        st.markdown(conclusion(comparison))
        return
    running = chosen.running_cost.usd_per_yr
    st.title(say("start.finding", title=heater_title(chosen.heater), usd=widgets.dollars(running)))
    above = st.container()
    _three_numbers(chosen)
    # They rest on some thousand versions of the household; the numbers need not wait for them.
    above.markdown(conclusion(comparison))
    # A place of its own even when empty: what follows keeps its place, and an open box stays open.
    with st.container():
        _what_changed(chosen)
    _today(comparison, chosen)
    _assumed(comparison)
    st.subheader(say("start.more"))
    with st.container(horizontal=True):
        for page in ("compare", "keep_up", "work", "money"):
            st.page_link(paths.PAGES / f"{page}.py", label=say(f"page.{page}"))


def _three_numbers(chosen: Candidate) -> None:
    low, typical, high = chosen.installed_usd
    running = chosen.running_cost.usd_per_yr
    with st.container(horizontal=True):
        install, run, keeps = (st.container(width=_METRIC_PX) for _ in range(3))
    install.metric(say("start.install"), widgets.money_range(low, high), border=True)
    install.caption(say("start.install.note", usd=widgets.dollars(typical, 100)))
    run.metric(say("start.run"), widgets.dollars(running), border=True)
    least, _, most = chosen.money.running_usd_per_yr
    run.caption(say("start.run.note", low=widgets.dollars(least), high=widgets.dollars(most)))
    verdict = chosen.capacity.verdict
    keeps.metric(say("start.keeps"), verdict_word(verdict), border=True)
    keeps.caption(sentences(chosen.capacity.why))


def _what_changed(chosen: Candidate) -> None:
    """Point out what the last change did to the answer."""
    now = {
        say("start.run"): widgets.dollars(chosen.running_cost.usd_per_yr),
        say("start.install"): widgets.dollars(chosen.installed_usd[1], 100),
        say("start.keeps"): verdict_word(chosen.capacity.verdict),
        "": heater_title(chosen.heater),
    }
    before = session.current().answer_before
    if before and before.keys() == now.keys() and before != now:
        changes = [f"{name} {before[name]} → {now[name]}".strip() for name in now if before[name] != now[name]]
        st.info(say("start.changed", what="; ".join(changes)))
    session.current().answer_before = now


def _today(comparison: Comparison, chosen: Candidate) -> None:
    st.subheader(say("start.today"))
    soon = chosen.soon
    why = say("start.soon.why", job=soon.held_up_by) if soon.days >= 1 else ""
    st.markdown(say("start.soon", when=soon.when, why=why))
    failed = comparison.case.failed
    lines = map(say, stopgaps(failed.fuel, failed.kind))
    st.markdown("\n".join(f"- {line}" for line in [*lines, say("start.ask")]))


def _assumed(comparison: Comparison) -> None:
    """The assumptions that move the answer most, each open to change in place."""
    st.subheader(say("start.assumed"))
    st.caption(say("start.assumed.why"))
    household = comparison.case.household
    demand, site = comparison.circumstances.demand, comparison.site
    mean_gpd = round(demand.annual_gal / 365)
    with st.container(horizontal=True, gap="small"):
        with _box("set_point", f"{household.set_point_f:g} °F"):
            widgets.number("household.set_point_f", say("ask.set_point"), low=100, high=160, step=5.0, assumed=120)
            st.caption(say("ask.scald"))
        with _box("volume", f"{mean_gpd}"):
            widgets.number("household.hot_water_gpd", say("ask.volume"), low=5, high=400, step=5.0, assumed=mean_gpd)
            widgets.number("household.children", say("ask.children"), low=0, high=19, step=1)
            widgets.yes_no("household.is_home_by_day", say("ask.home_by_day"))
            fuel = comparison.case.failed.fuel
            if fuel.is_burned:
                widgets.number(f"bill.used_{fuel.unit}", say("ask.bill", fuel=fuel.word), low=1, high=5000, step=1.0)
                widgets.number("bill.others_frac", say("ask.bill_others"), low=0, high=0.95, step=0.05)
            if demand.bill_factor is not None:
                st.caption(say("ask.bill_factor", factor=demand.bill_factor))
        with _box("together", f"{demand.simultaneous_gpm:.1f}"):
            widgets.number("household.showers_together", say("ask.showers_together"), low=0, high=6, step=1)
            widgets.number("household.shower_flow_gpm", say("ask.shower_flow"), low=1, high=8, step=0.1, assumed=2.1)
            widgets.number("household.full_baths", say("ask.baths"), low=1, high=8, step=1)
            widgets.number("household.soaking_tub_gal", say("ask.tub"), low=30, high=200, step=5.0)
        with _box("space", say(f"space.{comparison.circumstances.heater_space}")):
            widgets.choice("house.heater_space", say("ask.space"), _SPACES, lambda space: say(f"space.{space}"))
        with _box("cold", f"{site.mains.coldest_f:.0f} °F"):
            widgets.choice("water.supply", say("ask.supply"), _SUPPLIES, lambda one: say(f"supply.{one}"))
            coldest_f = round(site.mains.coldest_f)
            widgets.number("water.measured_cold_f", say("ask.coldest"), low=33, high=90, step=1.0, assumed=coldest_f)
            if language() == "en":
                st.caption(say(site.mains.origin))
        _prices(comparison)
    with st.expander(f"{say('start.assumed')} ({len(comparison.assumed)})"):
        if language() != "en":
            st.caption(say("ask.reasons"))
        st.markdown(
            "\n".join(f"- {item.field} = **{typed(item.value)}**: {say(item.reason)}" for item in comparison.assumed)
        )


def _box(name: str, value: str) -> Any:
    """A box that opens in place, its value on its label."""
    return st.popover(say(f"box.{name}", value=value))


def _prices(comparison: Comparison) -> None:
    used = [fuel for fuel in Fuel.all() if fuel in comparison.case.house.fuels or fuel.is_electric]
    paths_of = {fuel: f"prices.{fuel.price_key}" for fuel in used}
    prices = comparison.prices.usd_per_unit
    with _box("prices", ", ".join(f"{prices[fuel]:.2f}/{fuel.unit}" for fuel in used)):
        for fuel in used:
            widgets.number(
                paths_of[fuel],
                say(f"price.{fuel}"),
                low=0.01,
                high=fuel.highest_usd_per_unit,
                step=0.01,
                assumed=round(prices[fuel], 3),
            )
        st.caption(say("ask.averages"))
        if said := average_note(comparison, language()):
            st.caption(widgets.plain(said))
        if state.answer("prices"):
            averages = dict.fromkeys(paths_of.values())
            st.button(say("ask.drop_prices"), key="drop_prices", on_click=_back_to_averages, args=(averages,))


def _back_to_averages(averages: dict[str, None]) -> None:
    state.set_answers(averages, shown_at="prices")
