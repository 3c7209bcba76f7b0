"""Every candidate side by side: cards on a phone, a table on a desk, the working behind every number."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import streamlit as st

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.kinds import Fuel, Technology
from advisor.core.verdicts import DOES_NOT_FIT, FALLS_SHORT
from advisor.report.shortlist import shortlist
from advisor.web import charts, state, widgets, working
from advisor.web.words import heater_option, heater_short, heater_title, kind_word, say, sentences, verdict_word

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_YEARS = 15
_ORDERS: dict[str, Callable[[Candidate], float]] = {
    "years": lambda item: item.money.point_usd,
    "install": lambda item: item.installed_usd[1],
    "year": lambda item: item.running_cost.usd_per_yr,
    "co2": lambda item: item.running_cost.co2_lb_per_yr,
    "soon": lambda item: item.lead_time.days,
}


def draw() -> None:
    """The whole page."""
    comparison = state.comparison()
    able = [item for item in comparison.candidates if _is_able(item)]
    widgets.english_here()
    st.title(say("compare.finding", n=len(comparison.candidates), fit=len(able)))
    shown = _choose(comparison)
    if not shown:
        st.info(say("compare.nothing"))
        return
    if st.session_state.compare_view == "Table":
        _table(shown, comparison)
    else:
        _cards(shown, comparison)
    drawn = _one_of_each(comparison, shown)
    _over_the_years(drawn)
    _by_month(drawn)
    _carbon(shown)
    st.subheader(say("compare.working"))
    names = {item.heater.id: heater_option(item.heater) for item in shown}
    chosen = st.selectbox(say("choose.candidate"), list(names), format_func=names.__getitem__, key="working_of")
    working.draw(comparison.candidate(chosen))


def _is_able(item: Candidate) -> bool:
    return item.capacity.verdict != FALLS_SHORT and item.house.verdict != DOES_NOT_FIT and not item.flags


def _choose(comparison: Comparison) -> list[Candidate]:
    with st.container(horizontal=True, vertical_alignment="bottom"):
        order = st.selectbox(
            say("compare.sort"),
            list(_ORDERS),
            key="compare_sort",
            width=220,
            format_func=lambda one: say(f"order.{one}"),
        )
        every = st.toggle(say("compare.show_all"), key="compare_all")
        only = st.toggle(say("compare.only"), key="compare_only")
        # A phone says so itself; a table needs room.
        widgets.seed("compare_view", "Cards" if widgets.is_phone() else "Table")
        st.radio(
            "View",
            ["Cards", "Table"],
            key="compare_view",
            horizontal=True,
            label_visibility="collapsed",
            format_func=lambda view: say(f"view.{view.lower()}"),
        )
    burned = {item.heater.fuel for item in comparison.candidates}
    fuels = [fuel for fuel in Fuel.all() if fuel in burned]
    if len(fuels) > 1:
        with st.container(horizontal=True):
            kept = [fuel for fuel in fuels if st.checkbox(kind_word(fuel), True, key=f"compare_{fuel}")]
    else:
        kept = fuels
    found = list(comparison.candidates) if every else shortlist(comparison)
    found = [item for item in found if item.heater.fuel in kept and (not only or _is_able(item))]
    return sorted(found, key=_ORDERS[order])


def _chance(item: Candidate, comparison: Comparison) -> str:
    """Of its kind, where it stands for that: one heater each."""
    share = comparison.advice.chances_frac.get(item.heater.id)
    if share is None:
        return "–"
    return f"{100 * share:.0f} %" if share >= 0.005 else say("chance.under")


def _why_not(item: Candidate) -> str:
    """The reason in words for what cannot be, so that it need not be shown in grey."""
    if item.flags:
        return say(item.flags[0])
    if item.heater.sale_note:
        return say("compare.note", what=say(f"sale.{item.heater.sale_note}"))
    if item.house.verdict == DOES_NOT_FIT:
        return sentences(item.house.why)
    return sentences(item.capacity.why) if item.capacity.verdict == FALLS_SHORT else ""


def _likely(item: Candidate) -> str:
    """What eight homes in ten like this one pay in a year."""
    least, _, most = item.money.running_usd_per_yr
    return widgets.money_range(least, most, 10)


def _cards(shown: list[Candidate], comparison: Comparison) -> None:
    years = comparison.money.terms.study_yr
    with st.container(horizontal=True, gap="medium"):
        for item in shown:
            with st.container(border=True, width=330, key=f"card_{item.heater.id}"):
                mark = say("card.pick") if item.heater.id == comparison.recommended_id else ""
                st.markdown(f"**{heater_title(item.heater)}**{mark}")
                low, _, high = item.installed_usd
                lines = [
                    say("card.install", value=widgets.money_range(low, high)),
                    say("card.year", value=widgets.dollars(item.running_cost.usd_per_yr), likely=_likely(item)),
                    say(
                        "card.years",
                        value=widgets.dollars(item.money.point_usd, 100),
                        n=years,
                        chance=_chance(item, comparison),
                    ),
                    verdict_word(item.capacity.verdict),
                    verdict_word(item.house.verdict),
                    say("card.run", value=say(item.lead_time.when)),
                ]
                st.markdown("  \n".join(lines))
                if reason := _why_not(item):
                    st.caption(reason)


def _table(shown: list[Candidate], comparison: Comparison) -> None:
    years = comparison.money.terms.study_yr
    st.table(
        [
            {
                "": "➤" if item.heater.id == comparison.recommended_id else "",
                say("col.heater"): heater_title(item.heater),
                say("col.install"): widgets.money_range(item.installed_usd[0], item.installed_usd[2]),
                say("col.year"): widgets.dollars(item.running_cost.usd_per_yr),
                say("col.likely"): _likely(item),
                say("col.years", n=years): widgets.dollars(item.money.point_usd, 100),
                say("col.cheapest"): _chance(item, comparison),
                say("col.co2"): widgets.shown(item.running_cost.co2_lb_per_yr, "lb_per_yr", 0),
                say("col.keeps"): verdict_word(item.capacity.verdict),
                say("col.house"): verdict_word(item.house.verdict),
                say("col.run"): say(item.lead_time.when),
            }
            for item in shown
        ]
    )
    st.caption(say("compare.years.note", n=years, draws=f"{comparison.money.draws:,}"))
    for item in shown:
        if reason := _why_not(item):
            st.caption(f"{heater_title(item.heater)}: {reason}")


def _one_of_each(comparison: Comparison, shown: list[Candidate]) -> list[Candidate]:
    """At most six to draw, one of each kind, the recommended heater for its own."""
    found: dict[Technology, Candidate] = {}
    for item in shown:
        if _is_able(item) and (item.heater.technology not in found or item.heater.id == comparison.recommended_id):
            found[item.heater.technology] = item
    return list(found.values())[:6]


def _over_the_years(able: list[Candidate]) -> None:
    """What has been paid after each year: installation, then running, without interest."""
    if not able:
        return
    years = np.arange(_YEARS + 1)
    paid = {item.heater.id: item.installed_usd[1] + years * item.running_cost.usd_per_yr for item in able}
    # No winner in the heading: later heaters and upkeep are not in it, and the money page ranks with them.
    figure = charts.chart(
        "What has been paid after each year, the heater and its energy alone", "years", "paid so far, $", height=460
    )
    for item in able:
        charts.line(figure, heater_short(item.heater), item.heater.technology, years, paid[item.heater.id])
    rows = [
        {
            "heater": heater_title(item.heater),
            **{f"year {year}": widgets.dollars(paid[item.heater.id][year], 100) for year in (0, 5, 10, 15)},
        }
        for item in able
    ]
    charts.show(
        figure,
        rows,
        alt=f"Lines of money paid over {_YEARS} years, without later heaters and upkeep.",
        key="years",
        table="The numbers (energy at today's prices, no repairs, no second heater)",
    )


def _by_month(able: list[Candidate]) -> None:
    if not able:
        return
    dearest = _MONTHS[int(np.argmax(able[0].running_cost.by_month_usd))]
    figure = charts.chart(f"The coldest water makes {dearest} the dearest month", "", "$ a month", height=420)
    for item in able:
        charts.line(figure, heater_short(item.heater), item.heater.technology, _MONTHS, item.running_cost.by_month_usd)
    rows = []
    for item in able:
        costs = zip(_MONTHS, item.running_cost.by_month_usd, strict=True)
        rows.append({"heater": heater_title(item.heater), **{month: widgets.dollars(cost, 1) for month, cost in costs}})
    charts.show(figure, rows, alt="Monthly running cost of each heater.", key="months")


def _carbon(shown: list[Candidate]) -> None:
    ordered = sorted(shown, key=lambda item: item.running_cost.co2_lb_per_yr)
    least, most = ordered[0], ordered[-1]
    figure = charts.chart(
        f"{heater_short(least.heater)} puts out least carbon dioxide, {heater_short(most.heater)} most",
        "lb of carbon dioxide a year",
        "",
        height=120 + 34 * len(ordered),
    )
    charts.bars(
        figure,
        [heater_short(item.heater) for item in ordered],
        [item.running_cost.co2_lb_per_yr for item in ordered],
        [item.heater.technology for item in ordered],
        [f"{item.running_cost.co2_lb_per_yr:,.0f}" for item in ordered],
    )
    rows = [
        {
            "heater": heater_title(item.heater),
            "carbon dioxide": widgets.shown(item.running_cost.co2_lb_per_yr, "lb_per_yr", 0),
        }
        for item in ordered
    ]
    charts.show(
        figure,
        rows,
        alt="Bars of carbon dioxide a year for each heater.",
        key="carbon",
        table="The numbers (burning and power plants; leaks of gas on its way are not counted)",
    )
