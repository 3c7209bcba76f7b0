"""What was taken for granted: the few things that move the answer most, each open to change, and all the rest."""

from __future__ import annotations

import re
from typing import Any

import streamlit as st

from advisor.case.record import Assumption
from advisor.comparison import Comparison
from advisor.core.kinds import Fuel
from advisor.report.assumed_text import in_words
from advisor.report.prices_text import average_note
from advisor.web import state, widgets
from advisor.web.draft import SPACES
from advisor.web.words import kind_word, language, say, typed

_SUPPLIES = ("mains", "surface", "well")


def show(comparison: Comparison) -> None:
    """The assumptions that move the answer most, each a sentence that opens in place; then all of them."""
    st.subheader(say("taken.title"))
    st.caption(say("start.assumed.why"))
    household = comparison.case.household
    demand, site = comparison.circumstances.demand, comparison.site
    mean_gpd = round(demand.annual_gal / 365)
    with st.container(gap="small"):
        with _box("set_point", f"{household.set_point_f:g}"):
            widgets.number("household.set_point_f", say("ask.set_point"), low=100, high=160, step=5.0, assumed=120)
            st.caption(say("ask.scald"))
        with _box("volume", f"{mean_gpd}"):
            widgets.number("household.hot_water_gpd", say("ask.volume"), low=5, high=400, step=5.0, assumed=mean_gpd)
            widgets.number("household.children", say("ask.children"), low=0, high=19, step=1)
            widgets.yes_no("household.is_home_by_day", say("ask.home_by_day"))
            fuel = comparison.case.failed.fuel
            if fuel.is_burned:
                label = say("ask.bill", fuel=kind_word(fuel))
                widgets.number(f"bill.used_{fuel.unit}", label, low=1, high=5000, step=1.0)
                widgets.number("bill.others_frac", say("ask.bill_others"), low=0, high=0.95, step=0.05)
            if demand.bill_factor is not None:
                st.caption(say("ask.bill_factor", factor=demand.bill_factor))
        with _box("together", f"{demand.simultaneous_gpm:.1f}"):
            widgets.number("household.showers_together", say("ask.showers_together"), low=0, high=6, step=1)
            widgets.number("household.shower_flow_gpm", say("ask.shower_flow"), low=1, high=8, step=0.1, assumed=2.1)
            widgets.number("household.full_baths", say("ask.baths"), low=1, high=8, step=1)
            widgets.number("household.soaking_tub_gal", say("ask.tub"), low=30, high=200, step=5.0)
        with _box("space", say(f"space.{comparison.circumstances.heater_space}")):
            widgets.choice("house.heater_space", say("ask.space"), SPACES, lambda space: say(f"space.{space}"))
        with _box("cold", f"{site.mains.coldest_f:.0f}"):
            widgets.choice("water.supply", say("ask.supply"), _SUPPLIES, lambda one: say(f"supply.{one}"))
            coldest_f = round(site.mains.coldest_f)
            widgets.number("water.measured_cold_f", say("ask.coldest"), low=33, high=90, step=1.0, assumed=coldest_f)
        _prices(comparison)
        _age(comparison)
    with st.expander(say("taken.all", n=len(comparison.assumed))):
        st.markdown("\n".join(f"- {sentence(item)}" for item in comparison.assumed))


def sentence(item: Assumption) -> str:
    """What was taken for granted, and why, without the names of keys."""
    reason, sentence = say(item.reason), in_words(item, language())
    if sentence is not None:
        return f"{typed(sentence)} ({reason})"
    # What was left open within a list of pipes or appliances is told by its reason alone.
    part = re.sub(r"\.\d+\.", ".", item.field).rpartition(".")[2].replace("_", " ")
    return f"{say('taken.other')} {typed(part)}: {reason}" if language() == "en" else f"{say('taken.other')} {reason}"


def _box(name: str, value: str) -> Any:
    """A box that opens in place, what it changes on its label."""
    return st.popover(say(f"box.{name}", value=value))


def _prices(comparison: Comparison) -> None:
    used = [fuel for fuel in Fuel.all() if fuel in comparison.case.house.fuels or fuel.is_electric]
    paths_of = {fuel: f"prices.{fuel.price_key}" for fuel in used}
    prices = comparison.prices.usd_per_unit
    told = "; ".join(f"{say(f'price.{fuel}')} {widgets.plain('$')}{prices[fuel]:.2f}" for fuel in used)
    with _box("prices", told):
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


def _age(comparison: Comparison) -> None:
    """How old what failed is, where a repair turns on it."""
    repair = comparison.repair
    if repair is None:
        return
    with _box("age", f"{repair.age_yr:.0f}"):
        assumed = round(repair.age_yr) if repair.age_is_assumed else None
        widgets.number("failed.age_yr", say("ask.age"), low=0, high=60, step=1.0, assumed=assumed)


def _back_to_averages(averages: dict[str, None]) -> None:
    state.set_answers(averages, shown_at="prices")
