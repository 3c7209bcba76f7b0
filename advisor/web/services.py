"""The house's services drawn from the data: the gas tree with what arrives where, the vent's run, the panel's load."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import plotly.graph_objects as go
import streamlit as st

from advisor.candidate import Candidate
from advisor.house.electrical.service_load import ServiceCheck
from advisor.house.gas import pipe as gas_pipe
from advisor.house.gas.piping import HEATER, GasCheck, GasSystem
from advisor.house.gas.tree import SOURCE
from advisor.house.vent.vent_run import VentRun
from advisor.web import charts, widgets
from advisor.web.charts_house import ACCENT, LIMIT, PALE, QUIET
from advisor.web.contractor import amount
from advisor.web.words import say, sentences, typed

_ROW_PX = 62


def draw(chosen: Candidate) -> None:
    """The drawings that this heater's services give, side by side where there is room."""
    gas, vent, power = (chosen.house.trade(name) for name in ("gas", "vent", "power"))
    service = power.detail.service if power and power.detail else None
    st.subheader(say("work.services"))
    if gas is not None and gas.detail is None:
        st.markdown(f"**Gas:** {sentences(gas.findings)}")
    elif gas is not None:
        system, check = gas.detail.system, gas.detail.check
        heater = check.pressure.outlet(HEATER)
        charts.draw(
            gas_figure(system, check),
            f"Gas: about {_inwc(heater.inlet_inwc)} reaches the water heater where"
            f" {_inwc(heater.min_inlet_inwc)} is needed",
            alt=f"The gas pipes as a tree, with the pressure that reaches each appliance. {sentences(gas.findings)}",
            key="services_gas",
        )
    left, right = st.columns(2, gap="large")
    with left:
        if vent is None:
            st.markdown("**Vent:** this heater needs none, and no old flue is left behind.")
        elif vent.detail.run is None:
            st.markdown(f"**Vent:** {sentences(vent.findings)}")
        else:
            run = vent.detail.run
            charts.draw(
                vent_figure(run),
                f"Vent: counts as {amount(run.exhaust_ft, 'ft', 0)} of {amount(run.limit_ft, 'ft', 0)}",
                alt=f"The vent's run with its elbows. {say(run.finding)}",
                key="services_vent",
            )
    with right:
        if service is None:
            st.markdown(f"**Panel:** {sentences(power.findings)}" if power else "**Panel:** nothing changes.")
        else:
            charts.draw(
                panel_figure(service),
                f"Panel: {_panel_words(service)} of {service.service_a:.0f} A",
                alt=f"The panel's load with this heater. {say(service.finding)}",
                key="services_panel",
            )
    with st.expander("The numbers"):
        check = gas.detail.check if gas and gas.detail else None
        widgets.table(_numbers(check, vent.detail.run if vent else None, service))
    st.caption(
        "Drawn from the answers: lengths and sizes that nobody measured are assumed. Dotted pipe is too small "
        "by the code’s table. The contractor’s pages change what is drawn."
    )


def _numbers(check: GasCheck | None, run: VentRun | None, service: ServiceCheck | None) -> list[dict[str, str]]:
    rows = []
    for served in check.pressure.outlets if check else ():
        rows.append(
            {
                "what": f"gas at the {typed(served.outlet.name)}",
                "found": _inwc(served.inlet_inwc),
                "limit": f"at least {_inwc(served.min_inlet_inwc)}",
                "": _mark(served.passes),
            }
        )
    if run is not None:
        whose = " (generic, assumed)" if run.limit_assumed else ""
        rows.append(
            {
                "what": "vent, elbows counted",
                "found": amount(run.exhaust_ft, "ft", 0),
                "limit": f"at most {amount(run.limit_ft, 'ft', 0)}{whose}",
                "": _mark(run.margin_ft >= 0),
            }
        )
    for route in service.routes if service else ():
        rows.append(
            {
                "what": f"panel, by {say(route.name)}",
                "found": f"{route.before_a:.0f} A today, {route.after_a:.0f} A with this heater",
                "limit": f"at most {service.service_a:.0f} A" if service else "",
                "": _mark(route.carries),
            }
        )
    return rows or [{"what": "nothing to count", "found": "", "limit": "", "": ""}]


def _inwc(pressure: float) -> str:
    return amount(pressure, "inwc", 2 if widgets.is_si() else 1)


def _mark(good: bool) -> str:
    return "✓ enough" if good else "✗ not enough"


def _blank(height: int, *, right: int = 10) -> go.Figure:
    """A drawing without axes."""
    figure = go.Figure()
    figure.update_layout(height=height, margin={"l": 10, "r": right, "t": 10, "b": 10}, showlegend=False)
    figure.update_xaxes(visible=False, fixedrange=True)
    figure.update_yaxes(visible=False, fixedrange=True)
    return figure


@dataclass(frozen=True)
class _Pipe:
    """A run of pipe on the drawing: its row, and where it starts and ends along the way from the meter. [ft]"""

    name: str
    row: float
    start_ft: float
    end_ft: float
    from_row: float


def _laid_out(system: GasSystem, on_way: set[str]) -> list[_Pipe]:
    """Every run on a row: one branch goes straight on, the heater's own first; each further one takes the next row."""
    children: dict[str, list[str]] = {}
    for segment in system.segments:
        children.setdefault(segment.upstream, []).append(segment.name)
    found: list[_Pipe] = []
    rows = 0

    def lay(name: str, start_ft: float, from_row: float, row: float) -> None:
        nonlocal rows
        end = start_ft + system.by_name[name].length_ft
        found.append(_Pipe(name, row, start_ft, end, from_row))
        for place, child in enumerate(sorted(children.get(name, ()), key=lambda one: one not in on_way)):
            if place:
                rows += 1
            lay(child, end, row, row if place == 0 else rows)

    for place, first in enumerate(sorted(children.get(SOURCE, ()), key=lambda one: one not in on_way)):
        if place:
            rows += 1
        lay(first, 0.0, 0.0, rows)
    return found


def gas_figure(system: GasSystem, check: GasCheck) -> go.Figure:
    """The gas tree: a row for each branch, drawn to length, thicker where the bore is, open where too small."""
    on_way = set(system.path(check.pressure.outlet(HEATER).outlet.segment))
    laid = _laid_out(system, on_way)
    rows = 1 + max(item.row for item in laid)
    figure = _blank(int(40 + _ROW_PX * rows), right=108)
    by_length = {item.segment.name: item for item in check.by_length.segments}
    longest = max(item.end_ft for item in laid)
    feeding = {segment.upstream for segment in system.segments}
    for item in laid:
        segment, sized = system.by_name[item.name], by_length[item.name]
        line = {
            "color": ACCENT if item.name in on_way else QUIET,
            "width": 3 + 5 * gas_pipe.bore_in(segment.material, segment.size),
            "dash": "solid" if sized.passes else "dot",
        }
        figure.add_scatter(
            x=[item.start_ft, item.start_ft, item.end_ft],
            y=[-item.from_row, -item.row, -item.row],
            mode="lines",
            line=line,
            hovertemplate=f"{typed(item.name)}: {amount(segment.length_ft, 'ft', 0)}<extra></extra>",
        )
        words = f"{say(gas_pipe.named(segment.material, segment.size))}, {amount(segment.length_ft, 'ft', 0)}"
        small = "" if sized.passes else "✗ too small"
        # The branch that goes straight on has its words above; those of the pipe before it go below.
        above, below = ("", f"{words}<br>{small}") if item.name in feeding else (words, small)
        _word(figure, item.start_ft, -item.row, above, "bottom")
        _word(figure, item.start_ft, -item.row, below, "top")
    ends = {item.name: item for item in laid}
    for served in check.pressure.outlets:
        end = ends[served.outlet.segment]
        color = ACCENT if served.outlet.name == HEATER else QUIET
        figure.add_scatter(
            x=[end.end_ft],
            y=[-end.row],
            mode="markers",
            hoverinfo="skip",
            cliponaxis=False,
            marker={
                "size": 15,
                "color": color,
                "symbol": "square" if served.passes else "square-open",
                "line": {"width": 3, "color": color},
            },
        )
        figure.add_annotation(
            x=end.end_ft,
            y=-end.row,
            xanchor="left",
            align="left",
            xshift=14,
            showarrow=False,
            font={"size": 12},
            text=f"<b>{typed(served.outlet.name)}</b><br>{'✓' if served.passes else '✗'} {_inwc(served.inlet_inwc)}",
        )
    source = "meter" if system.gas == "natural" else "regulator"
    _word(figure, 0.0, 0.0, f"<b>{source}</b> {_inwc(system.supply_pressure_inwc)}", "bottom")
    figure.update_xaxes(range=[-0.02 * longest, 1.02 * longest])
    figure.update_yaxes(range=[-rows + 0.4, 0.7])
    return figure


def _word(figure: go.Figure, x: float, y: float, text: str, side: Literal["top", "bottom"]) -> None:
    """Small letters above a pipe (anchored at their bottom) or below it."""
    if text:
        figure.add_annotation(
            x=x,
            y=y,
            text=text,
            xanchor="left",
            align="left",
            yanchor=side,
            showarrow=False,
            font={"size": 11},
            xshift=6,
            yshift=8 if side == "bottom" else -8,
        )


def _turns(run: VentRun) -> Iterator[float]:
    """Directions of the legs, from upright at the heater: every elbow turns once to the side or back."""
    angle, way = 90.0, -1.0
    yield angle
    for turn in [90.0] * run.exhaust.elbows_90 + [45.0] * run.exhaust.elbows_45:
        angle += way * turn
        yield angle
        way = -1.0 if angle > 45 else 1.0


def vent_figure(run: VentRun) -> go.Figure:
    """The run from the heater to the outside, its straight pipe shared out evenly between the elbows."""
    legs = list(_turns(run))
    each = run.exhaust.straight_ft / len(legs)
    x, y = [0.0], [0.0]
    for angle in legs:
        x.append(x[-1] + each * math.cos(math.radians(angle)))
        y.append(y[-1] + each * math.sin(math.radians(angle)))
    figure = _blank(260)
    figure.add_scatter(x=x, y=y, mode="lines", line={"color": ACCENT, "width": 12}, hoverinfo="skip")
    elbows = [feet for kind, feet in run.pieces if kind.startswith("elbow")]
    figure.add_scatter(
        x=x[1:-1],
        y=y[1:-1],
        mode="markers+text",
        marker={"size": 20, "color": QUIET},
        text=[f"+{amount(feet, 'ft', 0)}" for feet in elbows],
        textposition="top left",
        cliponaxis=False,
        hoverinfo="skip",
    )
    figure.add_scatter(
        x=[0],
        y=[0],
        mode="markers+text",
        marker={"size": 26, "color": QUIET, "symbol": "square"},
        text=["heater"],
        textposition="middle right",
        cliponaxis=False,
        hoverinfo="skip",
    )
    figure.add_annotation(
        x=x[-1], y=y[-1], text="outside", showarrow=False, yanchor="bottom", yshift=10, font={"size": 12}
    )
    figure.add_annotation(
        x=1,
        y=0,
        xref="paper",
        yref="paper",
        xanchor="right",
        yanchor="bottom",
        align="right",
        showarrow=False,
        text=f"{amount(run.exhaust.straight_ft, 'ft', 0)} straight pipe<br>{len(elbows)} elbows<br>"
        f"<b>{'✓' if run.margin_ft >= 0 else '✗'} {amount(abs(run.margin_ft), 'ft', 0)}"
        f" {'left' if run.margin_ft >= 0 else 'too much'}</b>",
    )
    wide, tall = max(x) - min(x) or 1.0, max(y) - min(y) or 1.0
    figure.update_xaxes(range=[min(x) - 0.2 * wide, max(x) + 0.25 * wide])
    figure.update_yaxes(range=[min(y) - 0.15 * tall, max(y) + 0.3 * tall])
    return figure


def _is_alone(check: ServiceCheck) -> bool:
    """Whether the heater by itself draws more than the count says, which takes it that not everything runs at once."""
    return check.heater_a > check.routes[0].after_a


def _panel_words(check: ServiceCheck) -> str:
    if _is_alone(check):
        return f"the heater alone draws {check.heater_a:.0f} A"
    return f"{check.routes[0].after_a:.0f} A with this heater ({say(check.routes[0].name)})"


def panel_figure(check: ServiceCheck) -> go.Figure:
    """The panel as a box of its rating, filled by what is there and what this heater adds."""
    before, after = (0.0, check.heater_a) if _is_alone(check) else (check.routes[0].before_a, check.routes[0].after_a)
    today, full = min(before, after), max(before, after)
    change = "this heater" if _is_alone(check) else "this heater adds" if after >= before else "this heater spares"
    figure = _blank(260, right=130)
    figure.add_bar(x=["panel"], y=[today], marker={"color": QUIET}, hoverinfo="skip", width=0.6)
    figure.add_bar(
        x=["panel"],
        y=[full - today],
        width=0.6,
        hoverinfo="skip",
        marker={"color": ACCENT, "pattern": {"shape": "/"}},
    )
    figure.add_bar(
        x=["panel"], y=[max(check.service_a - full, 0.0)], width=0.6, hoverinfo="skip", marker={"color": PALE}
    )
    figure.add_hline(y=check.service_a, line={"width": 3, "color": LIMIT, "dash": "dash"})
    top = max(check.service_a, full)
    labels = [(check.service_a, f"service {check.service_a:.0f} A")]
    labels += [((today + full) / 2, f"{change}<br>{full - today:.0f} A")]
    labels += [(today / 2, f"house {today:.0f} A")] if today else []
    for place, text in labels:
        figure.add_annotation(
            x=1.02, xref="paper", y=place, xanchor="left", align="left", showarrow=False, text=text, font={"size": 12}
        )
    figure.update_layout(barmode="stack")
    figure.update_yaxes(range=[0, 1.1 * top])
    return figure
