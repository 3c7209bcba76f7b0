"""The work for one candidate: a list with prices and reasons, each trade's finding, other ways out, the cautions."""

from __future__ import annotations

from collections.abc import Iterable

import streamlit as st

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.findings import Finding, Severity
from advisor.house.cautions import always, caution, own_first
from advisor.house.items import OtherWay, TradeCheck
from advisor.report.price_words import job_notes, price_words, two_prices
from advisor.report.shortlist import shortlist
from advisor.web import gas_ways, handing_over, services, state, widgets
from advisor.web.words import clause, heater_option, heater_title, say, sentences, verdict_word


def draw() -> None:
    """The whole page."""
    comparison = state.comparison()
    chosen = pick(comparison, key="work_of")
    verdict = chosen.house.verdict
    heading = verdict_word(verdict)
    widgets.english_here()
    st.title(say("work.finding", title=heater_title(chosen.heater), verdict=heading))
    st.markdown(sentences(chosen.house.why))
    low, typical, high = chosen.installed_usd
    st.markdown(
        say(
            "work.in_all",
            range=widgets.money_range(low, high),
            typical=widgets.money_range(typical, typical)
            if chosen.quote_usd is not None
            else widgets.dollars(typical, 100),
        )
        + f" {say(price_words(chosen)).capitalize()}."
    )
    if both := two_prices(chosen):
        st.markdown(widgets.plain(say(both)))
    st.warning(say("work.licensed"))
    st.subheader(say("work.list"))
    _jobs(chosen)
    _bars(chosen)
    services.draw(chosen)
    for trade in chosen.house.trades:
        _trade(trade)
    _ways_out(comparison, chosen)
    with st.expander(f"{say('start.assumed')} ({len(chosen.house.assumed)})"):
        st.markdown("\n".join(f"- {say(one.reason)}" for one in chosen.house.assumed) or "Nothing.")
    _soon(chosen)
    _cautions(comparison, chosen)
    handing_over.download(comparison, chosen)


def pick(comparison: Comparison, *, key: str) -> Candidate:
    """Choose a candidate; the recommended one first."""
    # One of each kind first, then every other candidate.
    listed = (*shortlist(comparison), *comparison.candidates)
    names = {item.heater.id: heater_option(item.heater) for item in listed}
    first = comparison.recommended_id or next(iter(names))
    order = [first, *(name for name in names if name != first)]
    widgets.seed(key, first, among=order)
    chosen = st.selectbox(
        say("choose.candidate"), order, format_func=names.__getitem__, key=key, persist_state="session"
    )
    return comparison.candidate(chosen)


def _jobs(chosen: Candidate) -> None:
    rows = []
    for job in (chosen.house.base, *chosen.house.work):
        # The heater itself has a name in the session's language.
        what = heater_title(chosen.heater) if job is chosen.house.base else say(job.what)
        known = "; ".join(map(say, job_notes(job)))
        quantity = "" if job.quantity == 1 else f" ({job.quantity:g} {job.unit})"
        rows.append(
            {
                say("col.job"): f"{what}{quantity}",
                say("col.price"): "" if job.asks_first else widgets.money_range(job.low_usd, job.high_usd, 10),
                say("col.why"): f"{clause(job.why)} ({known})",
                say("col.who"): say(job.who),
                say("col.permit"): say("web.yes") if job.needs_permit else "",
            }
        )
    widgets.table(rows)


def _bars(chosen: Candidate) -> None:
    """Where the money goes."""
    from advisor.web import charts

    jobs = sorted((chosen.house.base, *chosen.house.work), key=lambda job: -job.typical_usd)[:10]
    work = sum(job.counted_usd[1] for job in chosen.house.work)
    whole = work + chosen.house.base.typical_usd
    share = work / whole if whole else 0.0
    figure = charts.chart(
        f"Work on the house is about {share:.0%} of the price", "typical price, $", "", height=120 + 30 * len(jobs)
    )
    names = [_trim(heater_title(chosen.heater) if job is chosen.house.base else say(job.what)) for job in jobs]
    lows, highs = [job.low_usd for job in jobs], [job.high_usd for job in jobs]
    figure.add_bar(
        y=names,
        x=[high - low for low, high in zip(lows, highs, strict=True)],
        base=lows,
        orientation="h",
        marker={"color": "#d8c4a8"},
        text=[f"{low:,.0f} to {high:,.0f}" for low, high in zip(lows, highs, strict=True)],
        textposition="outside",
        cliponaxis=False,
    )
    figure.add_scatter(
        y=names, x=[job.typical_usd for job in jobs], mode="markers", marker={"color": "#5b3d1e", "size": 9}
    )
    figure.update_yaxes(autorange="reversed")
    figure.update_xaxes(range=[0, (1.6 if widgets.is_phone() else 1.25) * max(highs)])
    alt = "Price range of each job, a dot at the typical price; the same numbers stand in the table above."
    charts.draw(figure, figure.layout.meta["finding"], alt=alt, key="job_bars")


def _trim(text: str) -> str:
    return text if len(text) <= 38 else text[:37] + "…"


def _trade(trade: TradeCheck) -> None:
    heading = f"{say(f'trade.{trade.trade}')}: {verdict_word(trade.verdict)}"
    with st.expander(heading, key=f"trade_{trade.trade}"):
        st.markdown(sentences(trade.findings))


def _ways_out(comparison: Comparison, chosen: Candidate) -> None:
    """Every other way with its price and a button; the one that is picked is tried on a copy."""
    ways = [(trade, way) for trade in chosen.house.trades for way in trade.ways_out]
    if not ways:
        return
    st.subheader(say("work.ways"))
    for trade, way in ways:
        with st.container(border=True, horizontal=True, vertical_alignment="center"):
            notes = "".join(f"  \n{say(note)}" for note in way.notes)
            price = widgets.money_range(way.low_usd, way.high_usd, 10) if way.high_usd else "no such work"
            st.markdown(f"**{say(way.title)}** ({price}){notes}", width="stretch")
            if trade.trade != "room":  # another heater is chosen above, not tried on a copy of this one
                st.button(say("work.try"), key=f"try_{way.kind}", on_click=gas_ways.pick, args=(way.kind,))
        if way.kind == gas_ways.picked_kind():
            _tried(comparison, chosen, trade, way)


def _tried(comparison: Comparison, chosen: Candidate, trade: TradeCheck, way: OtherWay) -> None:
    real = None
    if trade.trade == "gas":
        real = next((one for one in trade.detail.ways if one.kind == way.kind), None)
    if real is not None:
        gas_ways.side_by_side(comparison, chosen, trade.detail, real)
        return
    gone = [say(job.what) for job in chosen.house.work if job.job in way.instead_of]
    st.markdown(f"{gas_ways.whole_price(chosen, None)}.  \n**{gas_ways.whole_price(chosen, way)}.**")
    st.markdown(f"It takes the place of: {'; '.join(gone)}." if gone else "It takes the place of no job on the list.")
    st.button("Put the copy away", key="way_away", on_click=gas_ways.pick, args=("",))


def _soon(chosen: Candidate) -> None:
    lead_time = chosen.lead_time
    why = say("start.soon.why", job=lead_time.held_up_by) if lead_time.days >= 1 else ""
    st.markdown(say("start.soon", when=lead_time.when, why=why))
    if lead_time.can_wait:
        st.caption(say("work.can_wait", jobs=lead_time.can_wait))


def _cautions(comparison: Comparison, chosen: Candidate) -> None:
    """What is this house's own, in sight; what holds in most houses, folded."""
    st.subheader(say("work.care"))
    own, others = own_first(chosen.house.cautions)
    of_place = comparison.site.cautions
    smell = [caution("gas_smell")] if chosen.heater.burns_fuel or comparison.facts.had_flue else []
    first = [*smell, *own, *(one for one in of_place if one.severity >= Severity.CARE)]
    rest = [one for one in dict.fromkeys((*others, *of_place, *always())) if one not in first]
    if first:
        st.markdown(_listed(first))
    with st.expander(say("work.more_care", n=len(rest))):
        st.markdown(_listed(rest))


def _listed(found: Iterable[Finding]) -> str:
    return "\n".join(f"- {say(one)}" for one in found)
