"""Will it keep up? The busy morning on the bench, minute by minute, for the heaters that are chosen."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import streamlit as st

from advisor.bench.morning import MorningResult
from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.verdicts import FALLS_SHORT, KEEPS_UP
from advisor.report.shortlist import shortlist
from advisor.web import charts, grid, session, state, widgets
from advisor.web.words import heater_option, heater_short, heater_title, say, sentences, typed

_WANTED_F = 105.0
_PATHS = ("uses",)


def draw() -> None:
    """The whole page."""
    grid.take(_PATHS, _read, shown_at="uses")
    comparison = state.comparison()
    chosen = _pick(comparison)
    first = chosen[0]
    widgets.english_here()
    verdict = first.capacity.verdict
    key = {KEEPS_UP: "good", FALLS_SHORT: "short"}.get(verdict, "care")
    st.title(say(f"keep_up.finding.{key}", title=heater_title(first.heater)))
    for item in chosen:
        st.markdown(f"**{item.capacity.verdict.sign} {heater_title(item.heater)}**: {sentences(item.capacity.why)}")
    _morning(comparison, chosen)
    _uses(comparison)
    for item in chosen:
        if item.heater.is_tankless:
            _small_flows(comparison, item)
    _year(comparison, chosen)
    st.caption(say("keep_up.bench"))


def _pick(comparison: Comparison) -> list[Candidate]:
    # One of each kind first, then every other candidate, as on the page of the work.
    listed = (*shortlist(comparison), *comparison.candidates)
    names = {item.heater.id: heater_option(item.heater) for item in listed}
    start = [comparison.recommended_id] if comparison.recommended_id in names else [next(iter(names))]
    tankless = next((item.heater.id for item in shortlist(comparison) if item.heater.is_tankless), None)
    if tankless and tankless not in start:
        start.append(tankless)
    widgets.seed("keep_up_of", start, among=names)
    chosen = st.multiselect(
        say("choose.candidate"), list(names), key="keep_up_of", format_func=names.__getitem__, max_selections=4
    )
    return [comparison.candidate(name) for name in chosen or start]


def _morning(comparison: Comparison, chosen: list[Candidate]) -> None:
    """Water leaving each heater while taps run, against what is wanted at the skin."""
    runs = {item.heater.id: comparison.bench.run(item.heater) for item in chosen}
    short = [item for item in chosen if runs[item.heater.id].minutes_short > 1]
    finding = (
        say("keep_up.lukewarm", name=heater_short(short[0].heater), n=f"{runs[short[0].heater.id].minutes_short:.0f}")
        if short
        else say("keep_up.nobody")
    )
    figure = charts.chart(finding, say("keep_up.x"), say("keep_up.y"))
    for item in chosen:
        minutes, outlet = _gapped(runs[item.heater.id])
        charts.line(figure, heater_short(item.heater), item.heater.technology, minutes, outlet)
    figure.add_hline(y=_WANTED_F, line_dash="dot")
    # After the first minutes and before the second turn, where no line runs below it.
    figure.add_annotation(
        x=0.12, xref="paper", y=_WANTED_F, xanchor="left", yanchor="top", showarrow=False, text=say("keep_up.warm")
    )
    figure.update_yaxes(rangemode="normal")
    rows = [
        {
            "heater": heater_title(item.heater),
            "use": typed(use.name),
            "coldest at the tap": widgets.shown(use.lowest_f, "f", 0)
            if np.isfinite(use.lowest_f)
            else "too short to tell",
            "minutes lukewarm": f"{use.minutes_short:.1f}",
            "lit": "yes" if use.lit else "no",
            "noticed": "yes" if use.noticed else "no",
        }
        for item in chosen
        for use in runs[item.heater.id].uses
    ]
    charts.show(figure, rows, alt=f"{finding}. Lines of outlet temperature over the busy hour.", key="morning")


def _gapped(run: MorningResult) -> tuple[list[float], list[float | None]]:
    """The trace with a gap where no water runs; thinned, as a browser has no use for every second."""
    minutes: list[float] = []
    outlet: list[float | None] = []
    for minute, reading in zip(run.time_min[::3].tolist(), run.outlet_f[::3].tolist(), strict=True):
        if minutes and minute - minutes[-1] > 0.5:
            minutes.append(minute)
            outlet.append(None)
        minutes.append(round(minute, 2))
        outlet.append(round(reading, 1))
    return minutes, outlet


def _uses(comparison: Comparison) -> None:
    """The busy hour as a table that can be edited; what is changed becomes the case's own."""
    st.subheader(say("keep_up.edit"))
    rows = [
        {
            "name": use.name,
            "mixed_gpm": float(use.mixed_gpm),
            "duration_min": float(use.duration_min),
            "use_f": float(use.use_f),
            "count": int(use.count),
            "together": int(use.together),
        }
        for use in comparison.circumstances.demand.busy_hour_uses
    ]
    config: dict[str, Any] = {
        "name": st.column_config.TextColumn(say("use.name"), required=True, max_chars=80),
        "mixed_gpm": st.column_config.NumberColumn(say("use.mixed_gpm"), min_value=0.1, max_value=20.0, required=True),
        "duration_min": st.column_config.NumberColumn(
            say("use.duration_min"), min_value=0.1, max_value=120.0, required=True
        ),
        "use_f": st.column_config.NumberColumn(say("use.use_f"), min_value=80.0, max_value=160.0, required=True),
        "count": st.column_config.NumberColumn(say("use.count"), min_value=1, max_value=20, step=1, required=True),
        "together": st.column_config.NumberColumn(
            say("use.together"), min_value=0, max_value=20, step=1, required=True
        ),
    }
    grid.draw("uses", pd.DataFrame(rows), column_config=config, alt="What runs in the busiest hour, one use a row")
    if why := state.refusal("uses"):
        st.error(say("keep_up.refused", why=typed(why)))
        st.button(
            say("keep_up.untype"), key="uses_untype", on_click=grid.forget, args=(_PATHS,), kwargs={"shown_at": "uses"}
        )
    if state.answer("uses"):
        st.button(say("keep_up.usual"), key="drop_uses", on_click=_usual_hour)


def _usual_hour() -> None:
    state.set_answers({"uses": None}, shown_at="uses")


def _read(_path: str, table: pd.DataFrame) -> tuple[dict[str, Any], ...]:
    return tuple(
        {key: value for key, value in row.items() if not pd.isna(value)}
        for row in table.dropna(how="all").to_dict("records")
    )


def _small_flows(comparison: Comparison, item: Candidate) -> None:
    """The pause test, and the flows too small to light it."""
    run = item.capacity.household_run
    if run is None:
        return
    paused = comparison.bench.pause(item.heater)
    cold = f"{widgets.shown(paused.coldest_f, 'f', 0)} for {paused.seconds_cold:.0f} seconds"
    figure = charts.chart(
        f"{heater_short(item.heater)}: after a three-minute pause the second shower dips to {cold}",
        "minutes of the second shower",
        "at the tap, °F",
        height=320,
    )
    charts.line(
        figure, "second shower", item.heater.technology, paused.time_min[::2].tolist(), paused.tap_f[::2].tolist()
    )
    figure.add_hline(y=_WANTED_F, line_dash="dot", annotation_text="105 °F", annotation_position="bottom right")
    figure.update_yaxes(rangemode="normal")
    rows = [
        {
            "coldest": widgets.shown(paused.coldest_f, "f", 0),
            "hottest": widgets.shown(paused.hottest_f, "f", 0),
            "seconds more than 8 °F too cold": f"{paused.seconds_cold:.0f}",
        }
    ]
    charts.show(figure, rows, alt="Tap temperature in the second shower after a pause.", key=f"pause_{item.heater.id}")
    summer = item.capacity.least_flow_summer_gpm
    if summer:
        st.markdown(
            f"It holds a steady temperature down to about {widgets.shown(summer, 'gpm', 1)} of hot water in summer and"
            f" {widgets.shown(item.capacity.least_flow_winter_gpm or 0.0, 'gpm', 1)} in winter. "
            + (
                f"Too small to light it: {typed(', '.join(run.never_lit + run.summer_never_lit))}."
                if run.never_lit or run.summer_never_lit
                else "Every use of yours lights it."
            )
        )


def _year(comparison: Comparison, chosen: list[Candidate]) -> None:
    """A year of random mornings, on request: it takes a moment."""
    st.subheader(say("keep_up.year"))
    if not st.toggle(say("keep_up.run_year"), key="run_year"):
        st.caption(say("keep_up.year.note"))
        return
    rows = []
    progress = st.progress(0.0, text="Running the year")
    for number, item in enumerate(chosen, start=1):
        year = _year_of(comparison, item.heater.id)
        progress.progress(number / len(chosen), text=f"Running the year: {heater_title(item.heater)}")
        rows.append(
            {
                "heater": heater_title(item.heater),
                "mornings that run short": item.capacity.short_mornings_per_yr or 0,
                "draws that never lit it": f"{year.unlit_events:,} of {year.events:,}",
                "starts a day": f"{year.starts_per_day:.0f}",
                "backup heat": f"{year.backup_share_frac:.0%}",
                "energy over the label's model": ""
                if year.over_quoted_frac is None
                else f"{year.over_quoted_frac:+.0%}",
            }
        )
    progress.empty()
    st.table(rows)


def _year_of(comparison: Comparison, heater_id: str) -> Any:
    """One candidate's year, kept for the session while the case stays the same."""
    held = session.current()
    if held.years is None or held.years[0] is not comparison:
        held.years = comparison, {}
    years = held.years[1]
    if heater_id not in years:
        item = comparison.candidate(heater_id)
        bought = float(item.energy.fuel_btu.sum() + item.energy.electricity_kwh.sum() * 3412.14)
        quoted = bought - comparison.circumstances.loop.pump_kwh_per_yr * 3412.14
        years[heater_id] = comparison.bench.year(item.heater, quoted_btu_per_yr=quoted)
    return years[heater_id]
