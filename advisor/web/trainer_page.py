"""One page to teach from: what a heater gives, what another tap does, who runs in a row of them, pipes and loops."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import streamlit as st

from advisor.bench.another_tap import another_tap
from advisor.bench.staging import JOIN_FRAC, LEAVE_FRAC, ROTATE_H, Staging, busiest_day, through_a_day
from advisor.candidate import Candidate
from advisor.case.usual import usual
from advisor.comparison import Comparison
from advisor.core.errors import InputError
from advisor.demand.loop_band import BANDS_DF, USUAL_CONTACT_A, banded, pump_current_a
from advisor.demand.recirculation import (
    COOLER_THAN_SET_POINT_DF,
    USUAL_PUMP_W,
    Loop,
    Recirculation,
    check_recirculation,
    recirculation,
)
from advisor.heaters.flow_table import RISES_DF, Flow, at_rise, by_month
from advisor.house.water.distribution import Pipe, check_wait, is_listed, pipe_content_floz_per_ft, pipe_volume_gal
from advisor.report.words import LOCALES
from advisor.web import charts, contractor, state, widgets
from advisor.web.contractor import amount
from advisor.web.words import heater_short, heater_title, language, refused, say

_TAPS_GPM = (0.5, 1.0, 1.5, 2.0, 2.5)
_CONTROLS = {
    "always": "water.loop.always",
    "timer": "water.loop.timer",
    "temperature": "water.loop.temperature",
    "presence": "water.loop.presence",
    "button": "water.loop.button",
}
_LOOP_PIPE = ("copper_l", "3/4")

#: Less than this from the top to the foot of a chart would show ripples that nobody feels. [°F]
_FELT_DF = 20.0


def draw() -> None:
    """The whole page."""
    comparison = state.comparison()
    chosen = contractor.head(comparison)
    st.title(say("trainer.title", heater=heater_title(chosen.heater)))
    _flows(comparison, chosen)
    contractor.cautions(("scald",), burns_fuel=chosen.heater.burns_fuel)
    _other_tap(comparison, chosen)
    if chosen.heater.is_tankless:
        _row_of_them(comparison, chosen)
    _pipe(comparison)
    _loop(comparison, chosen)


def _flows(comparison: Comparison, chosen: Candidate) -> None:
    st.subheader(say("trainer.flows"))
    st.markdown(say("trainer.flows.tankless" if chosen.heater.is_tankless else "trainer.flows.tank"))
    rises, months = st.columns(2, gap="large")
    with rises:
        by_rise = [at_rise(chosen.heater, comparison.circumstances, rise) for rise in RISES_DF]
        widgets.table([_flow_row(say("trainer.rise"), amount(one.rise_df, "df", 0), one) for one in by_rise])
    with months:
        from babel.dates import get_month_names

        names, rows = get_month_names("abbreviated", locale=LOCALES[language()]), []
        for number, one in enumerate(by_month(chosen.heater, comparison.circumstances), start=1):
            cold_f = float(comparison.circumstances.mains_f[number - 1])
            month = {say("trainer.month"): names[number], say("trainer.cold"): amount(cold_f, "f", 0)}
            rows.append(month | _flow_row(say("trainer.rise"), amount(one.rise_df, "df", 0), one))
        widgets.table(rows)
    if chosen.heater.is_tankless:
        summer, winter = chosen.capacity.least_flow_summer_gpm, chosen.capacity.least_flow_winter_gpm
        if summer and winter:
            st.markdown(say("trainer.least", summer_gpm=summer, winter_gpm=winter))


def _flow_row(head: str, name: str, one: Flow) -> dict[str, str]:
    row = {head: name, say("trainer.gives"): amount(one.gives_gpm, "gpm", 1)}
    return row if one.least_gpm is None else row | {say("trainer.least.col"): amount(one.least_gpm, "gpm", 2)}


def _other_tap(comparison: Comparison, chosen: Candidate) -> None:
    st.subheader(say("trainer.tap"))
    widgets.seed("trainer_tap_gpm", 2.0)
    other = st.slider(say("trainer.tap.flow"), 0.5, 12.0, step=0.5, key="trainer_tap_gpm", width=420)
    run = another_tap(comparison.bench, chosen.heater, other_gpm=float(other))
    finding = say(
        "trainer.tap.holds" if run.off_s < 1 else "trainer.tap.sags",
        before_f=run.before_f,
        lowest_f=run.lowest_f,
        off_s=run.off_s,
        settled_f=run.settled_f,
    )
    figure = charts.chart(finding, say("trainer.minutes"), say("trainer.outlet"), height=300)
    outlet, unit = contractor.in_units(run.outlet_f, "f")
    charts.line(figure, heater_short(chosen.heater), chosen.heater.technology, run.time_min[::2], outlet[::2])
    for minute, key in ((run.opens_min, "trainer.tap.opens"), (run.shuts_min, "trainer.tap.shuts")):
        figure.add_vline(x=minute, line_dash="dot", annotation_text=say(key), annotation_position="bottom right")
    _outlet_axis(figure, outlet, unit)
    rows = [
        {
            say("trainer.tap.before"): amount(run.before_f, "f", 1),
            say("trainer.tap.lowest"): amount(run.lowest_f, "f", 1),
            say("trainer.tap.highest"): amount(run.highest_f, "f", 1),
            say("trainer.tap.settled"): amount(run.settled_f, "f", 1),
        }
    ]
    charts.show(figure, rows, alt=finding, key="trainer_tap")
    st.caption(say("trainer.tap.note"))


def _row_of_them(comparison: Comparison, chosen: Candidate) -> None:
    st.subheader(say("trainer.row"))
    if chosen.heater.n_units < 2:
        st.markdown(say("trainer.row.one"))
        return
    with st.container(horizontal=True, vertical_alignment="bottom"):
        join = _setting("join", say("trainer.row.join"), 100 * JOIN_FRAC)
        leave = _setting("leave", say("trainer.row.leave"), 100 * LEAVE_FRAC)
        rotate = _setting("rotate", say("trainer.row.rotate"), ROTATE_H)
    bench = comparison.bench
    try:
        day = through_a_day(bench, chosen.heater, Staging(join / 100, leave / 100, rotate), busiest_day(bench))
    except InputError as error:
        st.error(widgets.plain(say("trainer.row.refused", why=refused(error))))
        return
    finding = say("trainer.row.finding", joins=day.joins, leaves=day.leaves, changes=day.lead_changes)
    figure = charts.chart(finding, say("trainer.hour"), say("trainer.outlet"), height=320)
    outlet, unit = contractor.in_units(day.outlet_f, "f")
    figure.add_scatter(
        x=(day.time_min / 60).tolist(),
        y=np.asarray(outlet).tolist(),
        mode="markers",
        marker={"size": 4 + 3 * day.running, "color": chosen.heater.technology.tint},
        name=say("trainer.outlet"),
    )
    _outlet_axis(figure, outlet, unit)
    rows: list[dict[str, Any]] = [
        {say("trainer.row.unit"): str(number), say("trainer.row.burned"): amount(minutes, "min", 0)}
        for number, minutes in enumerate(day.burned_min, start=1)
    ]
    charts.show(figure, rows, alt=finding, key="trainer_row")
    if np.isfinite(day.lowest_f):
        st.markdown(say("trainer.row.lowest", lowest_f=day.lowest_f))
    st.caption(say("trainer.row.note"))


def _setting(name: str, label: str, usually: float) -> float:
    widgets.seed(f"trainer_{name}", usually)
    with st.container(width=190):
        found = st.number_input(label, min_value=0.0, max_value=1000.0, step=1.0, key=f"trainer_{name}", format="%g")
    return float(usually if found is None else found)


def _pipe(comparison: Comparison) -> None:
    st.subheader(say("trainer.pipe"))
    water = comparison.case.water
    pipe = Pipe(water.pipe_material, water.pipe_size_in, water.farthest_tap_ft or _USUAL_TAP_FT)
    if not is_listed(pipe):
        st.markdown(say("trainer.pipe.unlisted"))
        return
    waits = {flow: check_wait([pipe], flow_gpm=flow) for flow in _TAPS_GPM}
    content = next(iter(waits.values())).pipe_gal
    st.markdown(say("trainer.pipe.told", run_ft=pipe.length_ft, held_gal=content))
    widgets.table(
        [
            {
                say("trainer.pipe.tap"): amount(flow, "gpm", 1),
                say("trainer.pipe.wait"): amount(one.wait_s, "s", 0),
                say("trainer.pipe.wasted"): amount(one.wasted_gal, "gal", 2),
                say("trainer.pipe.year"): amount(one.wasted_gal_per_yr, "gal", 0),
            }
            for flow, one in waits.items()
        ]
    )


#: To the farthest tap where the case does not say; assumed. [ft]
_USUAL_TAP_FT = 60.0


def _loop(comparison: Comparison, chosen: Candidate) -> None:
    """Every control of the same loop, and every band of a thermometer: comfort beside cost."""
    st.subheader(say("trainer.loop"))
    water, set_point_f = comparison.case.water, comparison.circumstances.set_point_f
    with st.container(horizontal=True, vertical_alignment="bottom"):
        pump_w = _setting("pump_w", say("trainer.loop.pump_w"), USUAL_PUMP_W)
        contact_a = _setting("contact_a", say("trainer.loop.contact_a"), USUAL_CONTACT_A)
    loop = Loop(
        water.loop_ft or usual("water.loop_ft"),
        insulation="half_inch" if water.loop_is_insulated else "bare",
        pump_w=pump_w,
        loop_f=set_point_f - COOLER_THAN_SET_POINT_DF,
    )
    content = float(pipe_volume_gal(loop.length_ft, pipe_content_floz_per_ft(*_LOOP_PIPE)))
    rows = []
    for control in _CONTROLS:
        made = recirculation(replace(loop, control=control))
        waits = control in ("presence", "button")
        comfort = say("trainer.loop.asked") if waits else say("trainer.loop.warm", warm_f=loop.loop_f)
        rows.append(_loop_row(comparison, chosen, say(_CONTROLS[control]), comfort, made))
    whole = recirculation(loop)
    for band_df in BANDS_DF:
        one = banded(loop, whole, content, band_df)
        comfort = say("trainer.loop.coldest", coldest_f=one.coldest_f, starts_count=one.starts_per_day)
        rows.append(_loop_row(comparison, chosen, say("trainer.loop.band", band_df=band_df), comfort, one.loop))
    st.markdown(say("trainer.loop.told", run_ft=loop.length_ft, held_gal=content))
    widgets.table(rows)
    current = float(pump_current_a(pump_w))
    key = "trainer.loop.relay" if current > contact_a else "trainer.loop.direct"
    st.markdown(say(key, pump_a=current, contact_a=contact_a))
    st.caption(say("trainer.loop.note"))


def _loop_row(
    comparison: Comparison, chosen: Candidate, name: str, comfort: str, made: Recirculation
) -> dict[str, str]:
    use = chosen.use
    check = check_recirculation(
        made,
        heater_eff_frac=use.efficiency_frac,
        energy_usd_per_mmbtu=use.energy_usd_per_mmbtu,
        electricity_usd_per_kwh=comparison.facts.electricity_usd_per_kwh,
        tankless_min_btuh=chosen.heater.min_input_btuh if chosen.heater.is_tankless else None,
        heat_pump=chosen.heater.is_heat_pump,
    )
    return {
        say("trainer.loop.control"): name,
        say("trainer.loop.comfort"): comfort,
        say("trainer.loop.pump"): amount(made.pump_kwh_per_yr, "kwh", 0),
        say("trainer.loop.cost"): widgets.dollars(check.cost_usd_per_yr, 1),
    }


def _outlet_axis(figure: Any, outlet: Any, unit: str) -> None:
    """Temperatures over a span that somebody would feel: hundredths of a degree are a flat line."""
    shown = np.asarray(outlet, dtype=float)
    low, high = float(np.nanmin(shown)), float(np.nanmax(shown))
    least, _ = contractor.in_units(_FELT_DF, "df")
    spare = max(float(least) - (high - low), 0.1 * (high - low))
    figure.update_yaxes(title=f"{say('trainer.outlet')} ({unit})", range=[low - 0.8 * spare, high + 0.2 * spare])
