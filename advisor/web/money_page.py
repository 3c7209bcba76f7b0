"""Does it pay? Cost over the years with its likely range, what moves it, the map of prices, and the prices used."""

from __future__ import annotations

import streamlit as st

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.kinds import Fuel
from advisor.money.sensitivity import drivers
from advisor.report import money_words, names, winners
from advisor.report.prices_text import average_note
from advisor.web import bill, charts, handing_over, state, widgets
from advisor.web.words import conclusion, heater_short, heater_title, kind_word, language, say, sentences


def draw() -> None:
    """The whole page."""
    comparison = state.comparison()
    first = comparison.recommended
    if first is None:
        st.title(say("home.none"))
        handing_over.offers(comparison)
        st.markdown(conclusion(comparison))
        return
    years = comparison.money.terms.study_yr
    st.title(
        say("money.finding", title=heater_title(first.heater), usd=widgets.dollars(first.money.point_usd, 100), n=years)
    )
    widgets.english_here()
    handing_over.offers(comparison)
    st.markdown(conclusion(comparison))
    _bands(comparison)
    _chances(comparison)
    rival = comparison.advice.rival
    if rival is not None:
        _drivers(comparison, first, rival)
    _map(comparison)
    _terms(comparison)
    bill.draw(comparison)
    for line in money_words.later_heaters(comparison):
        st.markdown(say(line))
    st.subheader("Public money: ask, nothing here is promised")
    st.markdown("\n".join(f"- {say(line)}" for line in money_words.public_money(comparison)))


def _bands(comparison: Comparison) -> None:
    """Life-cycle cost with its likely range: bands light, points dark. One of each kind, and the cheapest to own."""
    shown = winners.over_the_years(comparison)
    moneys = [item.money for item in shown]
    least = shown[0]
    overlap = [
        item
        for item, money in zip(shown[1:], moneys[1:], strict=True)
        if money.life_cycle_cost_usd.p10 < moneys[0].life_cycle_cost_usd.p90
    ]
    tail = f", and its range overlaps {len(overlap)} of the others" if overlap else ", clear of all others"
    figure = charts.chart(
        f"{heater_short(least.heater)} costs least{tail}",
        f"cost over {comparison.money.terms.study_yr} years, $",
        "",
        height=140 + 46 * len(shown),
    )
    titles = [heater_short(item.heater) for item in shown]
    lows = [money.life_cycle_cost_usd.p10 for money in moneys]
    highs = [money.life_cycle_cost_usd.p90 for money in moneys]
    figure.add_bar(
        y=titles,
        x=[high - low for low, high in zip(lows, highs, strict=True)],
        base=lows,
        orientation="h",
        marker={"color": "#d8c4a8"},
        hoverinfo="skip",
    )
    points = [money.point_usd for money in moneys]
    figure.add_scatter(y=titles, x=points, mode="markers", marker={"color": "#5b3d1e", "size": 10})
    for name, point, high in zip(titles, points, highs, strict=True):
        figure.add_annotation(
            x=high, y=name, text=f"about {round(point, -2):,.0f}", showarrow=False, xanchor="left", xshift=6
        )
    figure.update_yaxes(autorange="reversed")
    figure.update_xaxes(range=[0, (1.6 if widgets.is_phone() else 1.25) * max(highs)])
    rows = [
        {
            "heater": name,
            "to put in": widgets.money_range(money.installed_usd.p10, money.installed_usd.p90),
            "over the years": widgets.dollars(money.point_usd, 100),
            "likely range": widgets.money_range(low, high),
            "a year, all in": widgets.dollars(money.annualised_usd.point),
        }
        for name, money, low, high in zip(titles, moneys, lows, highs, strict=True)
    ]
    charts.show(
        figure, rows, alt="Cost over the years of each kind, with the range in which 8 of 10 cases lie.", key="bands"
    )


def _chances(comparison: Comparison) -> None:
    by_family = winners.chances(comparison)
    top, share = by_family[0]
    figure = charts.chart(
        f"{heater_short(top.heater)}: its kind is cheapest in about {round(10 * share)} of 10 households like this",
        "chance that its kind is the cheapest, one heater each, %",
        "",
        height=120 + 36 * len(by_family),
    )
    titles = [heater_short(item.heater) for item, _ in by_family]
    technologies = [item.heater.technology for item, _ in by_family]
    charts.bars(
        figure,
        titles,
        [100 * part for _, part in by_family],
        technologies,
        [f"{100 * part:.0f} %" for _, part in by_family],
    )
    figure.update_xaxes(range=[0, 105])
    rows = [
        {"heater": name, "chance": f"{100 * part:.0f} %"} for name, (_, part) in zip(titles, by_family, strict=True)
    ]
    charts.show(figure, rows, alt="Chance that each kind is the cheapest.", key="chances")


def _drivers(comparison: Comparison, first: Candidate, rival: Candidate) -> None:
    """What moves the difference between the first and the closest of the other kind."""
    named = {which: names.short(one.heater, language()) for which, one in (("rival", rival), ("first", first))}
    moving = drivers(first.money, rival.money, most=6)
    st.markdown(sentences(money_words.what_would_change(comparison, language(), whole=True)))
    if not moving:
        return
    inputs = [say(money_words.driver_name(driver, named)) for driver in moving]
    figure = charts.chart(
        f"{inputs[0].capitalize()} moves the difference most",
        f"what {heater_short(rival.heater)} would save over the years, $",
        "",
        height=120 + 40 * len(moving),
    )
    lows = [min(driver.saving_usd) for driver in moving]
    widths = [driver.reach_usd for driver in moving]
    figure.add_bar(
        y=inputs,
        x=widths,
        base=lows,
        orientation="h",
        marker={"color": "#c9a67a"},
        text=[f"{low / 1000:,.1f}k to {(low + width) / 1000:,.1f}k" for low, width in zip(lows, widths, strict=True)],
        textposition="auto",
    )
    figure.add_vline(x=0, line_width=2)
    figure.update_yaxes(autorange="reversed")
    figure.update_xaxes(rangemode="normal")
    rows = [
        {
            "input": name,
            "at its low end": widgets.dollars(driver.saving_usd[0], 100),
            "at its high end": widgets.dollars(driver.saving_usd[1], 100),
            "turns the answer": "yes" if driver.turns_the_answer else "no",
        }
        for name, driver in zip(inputs, moving, strict=True)
    ]
    charts.show(
        figure, rows, alt="How far each input alone moves the saving; right of zero the other kind wins.", key="tornado"
    )


def _map(comparison: Comparison) -> None:
    """Which candidate is cheapest at each pair of prices; this house is marked 'you'."""
    fuel = next((one for one in comparison.case.house.fuels if one.is_burned), None)
    if fuel is None:
        return
    drawn = winners.map_of_prices(comparison, fuel)
    if drawn is None:
        return
    seen = dict.fromkeys(heater_id for cells in drawn.cheapest_id for heater_id in cells)
    cheapest = {heater_id: comparison.candidate(heater_id) for heater_id in seen}
    numbers = {heater_id: number for number, heater_id in enumerate(cheapest)}
    letters = {heater_id: chr(ord("A") + number) for heater_id, number in numbers.items()}
    row, column = drawn.here
    here = cheapest[drawn.cheapest_id[row][column]]
    unit = fuel.unit
    spoken = kind_word(fuel)
    figure = charts.chart(
        f"At today's prices {heater_title(here.heater)} is cheapest",
        f"{spoken}, $/{unit}",
        "electricity, $/kWh",
        height=440,
    )
    codes = [[numbers[heater_id] for heater_id in cells] for cells in drawn.cheapest_id]
    texts = [[letters[heater_id] for heater_id in cells] for cells in drawn.cheapest_id]
    texts[row][column] += " you"
    tints = [item.heater.technology.tint for item in cheapest.values()]
    scale = [[number / max(len(tints) - 1, 1), tint] for number, tint in enumerate(tints)]
    figure.add_heatmap(
        x=[f"{price:.2f}" for price in drawn.gas_usd_per_unit],
        y=[f"{price:.3f}" for price in drawn.electricity_usd_per_kwh],
        z=codes,
        text=texts,
        texttemplate="%{text}",
        textfont={"color": "#14110d", "size": 13},
        colorscale=scale if len(scale) > 1 else [[0, tints[0]], [1, tints[0]]],
        showscale=False,
        opacity=0.55,
        xgap=1,
        ygap=1,
    )
    figure.update_xaxes(type="category")
    figure.update_yaxes(type="category")
    st.caption("; ".join(f"{letters[heater_id]}: {heater_title(item.heater)}" for heater_id, item in cheapest.items()))
    rows = [
        {
            "electricity, $/kWh": f"{price:.3f}",
            **{f"{gas:.2f}": letters[found] for gas, found in zip(drawn.gas_usd_per_unit, cells, strict=True)},
        }
        for price, cells in zip(drawn.electricity_usd_per_kwh, drawn.cheapest_id, strict=True)
    ]
    charts.show(
        figure, rows, alt="Map of the cheapest heater over prices of fuel and electricity; yours is marked.", key="map"
    )


def _terms(comparison: Comparison) -> None:
    """Study period, discount rate and prices, each open to change."""
    st.subheader("What it is counted with")
    with st.container(horizontal=True):
        with st.popover(f"{comparison.money.terms.study_yr:g} years"):
            widgets.number("economics.study_yr", "Years", low=1, high=40, step=1, assumed=15)
        with st.popover(f"{comparison.money.terms.discount_frac:.1%} real discount rate"):
            widgets.number(
                "economics.discount_frac", "Discount rate above inflation", low=0.0, high=0.3, step=0.005, assumed=0.03
            )
            st.caption("Take your loan's or card's rate less inflation if you borrow.")
        with st.popover("prices"):
            for fuel in Fuel.all():
                widgets.number(
                    f"prices.{fuel.price_key}",
                    kind_word(fuel).capitalize(),
                    low=0.01,
                    high=fuel.highest_usd_per_unit,
                    step=0.01,
                )
    if said := average_note(comparison, language()):
        st.caption(widgets.plain(said))
