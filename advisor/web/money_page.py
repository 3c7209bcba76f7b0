"""Does it pay? Cost over the years with its likely range, what moves it, the map of prices, and the prices used."""

from __future__ import annotations

import streamlit as st

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.kinds import Fuel
from advisor.money.sensitivity import drivers, price_map
from advisor.recommendation.rule import family_firsts, family_of, rival_of, worth_choosing
from advisor.report import money_words, names
from advisor.web import bill, charts, state, widgets
from advisor.web.words import conclusion, heater_short, heater_title, kind_word, language, say, sentences


def draw() -> None:
    """The whole page."""
    comparison = state.comparison()
    first = comparison.recommended
    if first is None:
        st.title(say("start.none"))
        st.markdown(conclusion(comparison))
        return
    years = comparison.money.terms.study_yr
    st.title(
        say("money.finding", title=heater_title(first.heater), usd=widgets.dollars(first.money.point_usd, 100), n=years)
    )
    widgets.english_here()
    st.markdown(conclusion(comparison))
    shown = _families(comparison, first)
    _bands(comparison, shown)
    _chances(comparison, shown)
    rival = rival_of(first, comparison.candidates)
    if rival is not None:
        _drivers(comparison, first, rival)
    _map(comparison)
    _terms(comparison)
    bill.draw(comparison)
    st.subheader("Public money: ask, nothing here is promised")
    st.markdown("\n".join(f"- {say(line)}" for line in money_words.public_money(comparison)))


def _families(comparison: Comparison, first: Candidate) -> list[Candidate]:
    """The cheapest of each kind over the years; the recommended heater stands for its own kind."""
    firsts = family_firsts(worth_choosing(comparison.candidates))
    shown = [first if family_of(item) == family_of(first) else item for item in firsts]
    return sorted(shown, key=lambda item: item.money.point_usd)


def _bands(comparison: Comparison, shown: list[Candidate]) -> None:
    """Life-cycle cost with its likely range: bands light, points dark."""
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
    names = [heater_short(item.heater) for item in shown]
    lows = [money.life_cycle_cost_usd.p10 for money in moneys]
    highs = [money.life_cycle_cost_usd.p90 for money in moneys]
    figure.add_bar(
        y=names,
        x=[high - low for low, high in zip(lows, highs, strict=True)],
        base=lows,
        orientation="h",
        marker={"color": "#d8c4a8"},
        hoverinfo="skip",
    )
    points = [money.point_usd for money in moneys]
    figure.add_scatter(y=names, x=points, mode="markers", marker={"color": "#5b3d1e", "size": 10})
    for name, point, high in zip(names, points, highs, strict=True):
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
        for name, money, low, high in zip(names, moneys, lows, highs, strict=True)
    ]
    charts.show(
        figure, rows, alt="Cost over the years of each kind, with the range in which 8 of 10 cases lie.", key="bands"
    )


def _chances(comparison: Comparison, shown: list[Candidate]) -> None:
    by_family = []
    for item in shown:
        family = [one for one in comparison.candidates if family_of(one) == family_of(item)]
        by_family.append((item, sum(one.money.chance_cheapest_frac for one in family)))
    by_family.sort(key=lambda pair: -pair[1])
    top, share = by_family[0]
    figure = charts.chart(
        f"{heater_short(top.heater)}: its kind is cheapest in about {round(10 * share)} of 10 households like this",
        "chance that its kind is the cheapest, %",
        "",
        height=120 + 36 * len(by_family),
    )
    names = [heater_short(item.heater) for item, _ in by_family]
    technologies = [item.heater.technology for item, _ in by_family]
    charts.bars(
        figure,
        names,
        [100 * part for _, part in by_family],
        technologies,
        [f"{100 * part:.0f} %" for _, part in by_family],
    )
    figure.update_xaxes(range=[0, 105])
    rows = [{"heater": name, "chance": f"{100 * part:.0f} %"} for name, (_, part) in zip(names, by_family, strict=True)]
    charts.show(figure, rows, alt="Chance that each kind is the cheapest.", key="chances")


def _drivers(comparison: Comparison, first: Candidate, rival: Candidate) -> None:
    """What moves the difference between the first and the closest of the other kind."""
    named = {"rival": _kind(rival), "first": names.short(first.heater, language())}
    moving = drivers(first.money, rival.money, most=6)
    st.markdown(sentences(money_words.what_would_change(comparison, first, language(), whole=True)))
    if not moving:
        return
    inputs = [say(money_words.driver_name(driver, named)) for driver in moving]
    figure = charts.chart(
        f"{inputs[0].capitalize()} moves the difference most",
        f"what the {_kind(rival)} would save over the years, $",
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
    eligible = [item for item in comparison.candidates if item.money.is_eligible]
    if fuel is None or not eligible:
        return
    drawn = price_map([item.money for item in eligible], fuel)
    seen = {heater_id for cells in drawn.cheapest_id for heater_id in cells}
    winners = {item.heater.id: item for item in eligible if item.heater.id in seen}
    numbers = {heater_id: number for number, heater_id in enumerate(winners)}
    letters = {heater_id: chr(ord("A") + number) for heater_id, number in numbers.items()}
    row, column = drawn.here
    here = winners[drawn.cheapest_id[row][column]]
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
    tints = [item.heater.technology.tint for item in winners.values()]
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
    st.caption("; ".join(f"{letters[heater_id]}: {heater_title(item.heater)}" for heater_id, item in winners.items()))
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


def _kind(item: Candidate) -> str:
    return names.family(item.heater, language())
