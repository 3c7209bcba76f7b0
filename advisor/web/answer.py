"""The answer: one sentence a neighbour would say, three numbers, what to do today, what was assumed."""

from __future__ import annotations

import streamlit as st

from advisor import paths
from advisor.comparison import Candidate, Comparison
from advisor.house.soon import stopgaps
from advisor.web import state, widgets
from advisor.web.words import language, say

#: Homes of one kind differ in hot water by about 30 % either way: our judgement of field studies.
_USE_SPREAD_FRAC = 0.30
#: Three abreast on a desk, two on a tablet, one on a phone: no figure is cut off.
_METRIC_PX = 352


def care() -> None:
    """What comes before any figure."""
    with st.container(border=True):
        st.markdown(f"**{say('start.care.title')}**")
        st.markdown(say("start.care"))


def show(comparison: Comparison) -> None:
    """The answer for a comparison."""
    if comparison.recommended_id is None:
        st.title(say("start.none"))
        st.markdown(_plain(comparison.conclusion))
        return
    chosen = comparison.candidate(comparison.recommended_id)
    running = chosen.cost.usd_per_yr
    st.title(say("start.finding", title=title(chosen), usd=widgets.dollars(running)))
    sentences = st.container()
    _three_numbers(chosen)
    # They rest on some thousand versions of the household; the numbers need not wait for them.
    if language() == "en":
        sentences.markdown(_plain(comparison.conclusion))
    # A place of its own even when empty: what follows keeps its place, and an open box stays open.
    with st.container():
        _what_changed(chosen)
    _today(comparison, chosen)
    _assumed(comparison)
    st.subheader(say("start.more"))
    with st.container(horizontal=True):
        for page in ("compare", "keep_up", "work", "money"):
            st.page_link(paths.PAGES / f"{page}.py", label=say(f"page.{page}"))


def title(candidate: Candidate) -> str:
    """The candidate's name in the session's language."""
    heater = candidate.heater
    if language() == "en":
        return heater.title[:1].upper() + heater.title[1:]
    size = (
        f"{heater.nominal_gal:g} galones"
        if heater.is_storage
        else (f"{heater.input_kw:g} kW" if heater.fuel == "electricity" else f"{heater.power_btuh:,.0f} Btu/h")
    )
    many = f"{heater.n_units} × " if heater.n_units > 1 else ""
    fuel = "" if heater.fuel == "electricity" else f", {say(f'fuel.{heater.fuel}')}"
    name = say(f"technology.{heater.technology}")
    return f"{many}{name[:1].upper()}{name[1:]}{fuel}, {size}"


def _plain(text: str) -> str:
    """Two dollar signs in one text would be read as a formula."""
    return text.replace("$", "\\$")


def _three_numbers(chosen: Candidate) -> None:
    low, typical, high = chosen.installed_usd
    running = chosen.cost.usd_per_yr
    with st.container(horizontal=True):
        install, run, keeps = (st.container(width=_METRIC_PX) for _ in range(3))
    install.metric(say("start.install"), widgets.money_range(low, high), border=True)
    install.caption(say("start.install.note", usd=widgets.dollars(typical, 100)))
    run.metric(say("start.run"), widgets.dollars(running), border=True)
    spread = [widgets.dollars(running * (1 + way * _USE_SPREAD_FRAC)) for way in (-1, 1)]
    run.caption(say("start.run.note", low=spread[0], high=spread[1]))
    verdict = chosen.capacity.verdict
    keeps.metric(say("start.keeps"), f"{widgets.SIGNS[verdict]} {say(f'verdict.{verdict}')}", border=True)
    keeps.caption(_plain(chosen.capacity.why))


def _what_changed(chosen: Candidate) -> None:
    """Point out what the last change did to the answer."""
    now = {
        say("start.run"): widgets.dollars(chosen.cost.usd_per_yr),
        say("start.install"): widgets.dollars(chosen.installed_usd[1], 100),
        say("start.keeps"): say(f"verdict.{chosen.capacity.verdict}"),
        "": title(chosen),
    }
    before = st.session_state.get("answer_before")
    if before and before.keys() == now.keys() and before != now:
        told = [f"{name} {before[name]} → {now[name]}".strip() for name in now if before[name] != now[name]]
        st.info(say("start.changed", what="; ".join(told)))
    st.session_state.answer_before = now


def _today(comparison: Comparison, chosen: Candidate) -> None:
    st.subheader(say("start.today"))
    soon = chosen.soon
    why = say("start.soon.why", job=soon.held_up_by) if soon.days >= 1 else ""
    st.markdown(say("start.soon", when=soon.in_words, why=why))
    failed = comparison.case.failed
    lines = [*stopgaps(failed.fuel, failed.kind)] if language() == "en" else []
    st.markdown("\n".join(f"- {line}" for line in [*lines, say("start.ask")]))


def _assumed(comparison: Comparison) -> None:
    """The assumptions that move the answer most, each open to change in place."""
    st.subheader(say("start.assumed"))
    st.caption(say("start.assumed.why"))
    household = comparison.case.household
    demand, site = comparison.demand, comparison.site
    with st.container(horizontal=True, gap="small"):
        with st.popover(f"{household.set_point_f:g} °F"):
            widgets.number("household.set_point_f", "Set point", low=100, high=160, step=5.0, assumed=120)
            st.caption("Water at 140 °F burns skin in seconds. Above 120 °F a mixing valve belongs on the heater.")
        with st.popover(f"{demand.annual_gal / 365:.0f} gal/day"):
            widgets.number(
                "household.hot_water_gpd",
                "Hot water",
                low=5,
                high=400,
                step=5.0,
                assumed=round(demand.annual_gal / 365),
            )
        with st.popover(f"{demand.simultaneous_gpm:.1f} gpm at once"):
            widgets.number("household.showers_together", "Showers at the same time", low=0, high=6, step=1)
            widgets.number("household.shower_flow_gpm", "Flow of one shower", low=1, high=8, step=0.1, assumed=2.1)
            widgets.number("household.full_baths", "Bathrooms with a tub or shower", low=1, high=8, step=1)
            widgets.number("household.soaking_tub_gal", "Large tub", low=30, high=200, step=5.0)
        with st.popover(f"heater in the {comparison.facts.heater_space.replace('_', ' ')}"):
            spaces = ("basement", "garage", "attic", "closet", "indoors", "outdoors", "crawl_space")
            widgets.choice("house.heater_space", "Where it stands", spaces, lambda space: space.replace("_", " "))
        with st.popover(f"cold water {site.mains.coldest_f:.0f} °F in winter"):
            supplies = {"mains": "city water", "surface": "from a lake or river", "well": "a private well"}
            widgets.choice("water.supply", "Your water", tuple(supplies), lambda one: supplies[one])
            widgets.number(
                "water.measured_cold_f",
                "Coldest reading",
                low=33,
                high=90,
                step=1.0,
                assumed=round(site.mains.coldest_f),
            )
            st.caption(site.mains.origin)
        _prices(comparison)
    with st.expander(f"{say('start.assumed')} ({len(comparison.assumed)})"):
        st.markdown(
            "\n".join(f"- {item.field} = **{item.value}**: {_plain(item.reason)}" for item in comparison.assumed)
        )


def _prices(comparison: Comparison) -> None:
    names = {
        "natural_gas": ("natural_gas_usd_per_therm", "Gas", "therm", 8.0),
        "electricity": ("electricity_usd_per_kwh", "Electricity", "kWh", 1.0),
        "propane": ("propane_usd_per_gal", "Propane", "gal", 10.0),
        "heating_oil": ("heating_oil_usd_per_gal", "Heating oil", "gal", 10.0),
    }
    used = [fuel for fuel in names if fuel in comparison.case.house.fuels or fuel == "electricity"]
    label = ", ".join(f"{comparison.prices.usd_per_unit[fuel]:.2f}/{names[fuel][2]}" for fuel in used)
    with st.popover(f"prices {label}"):
        for fuel in used:
            key, spoken, _, high = names[fuel]
            widgets.number(
                f"prices.{key}",
                spoken,
                low=0.01,
                high=high,
                step=0.01,
                assumed=round(comparison.prices.usd_per_unit[fuel], 3),
            )
        st.caption("State averages of the stated year until you give the price on your bill.")
        if state.value("prices"):
            averages = {f"prices.{names[fuel][0]}": None for fuel in used}
            st.button("Back to the averages", key="drop_prices", on_click=_back_to_averages, args=(averages,))


def _back_to_averages(averages: dict[str, None]) -> None:
    state.put_all(averages, shown_at="prices")
