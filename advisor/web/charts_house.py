"""Pictures of the house's limits: pressure along the gas pipe, vent length, service load, states of verification."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import plotly.graph_objects as go

from advisor.house.electrical.service_load import ServiceCheck
from advisor.house.gas.piping import HEATER, GasCheck, GasSystem
from advisor.web import widgets
from advisor.web.contractor import amount, in_units
from advisor.web.words import say, typed

#: Both can be read on light and on dark paper. Letters take the page's own color.
ACCENT, QUIET, PALE = "#b5651d", "#7d7366", "rgba(125,115,102,0.35)"
#: A limit is dashed and labeled, in a tint that shows on every bar.
LIMIT = "#4f7cac"
_PLOT_PX, _LINE_PX = 300, 17
_LONGEST_NAME = 14
_MOST_LABELS = 8
#: A supply this high is cut off at the top, so that what arrives behind a regulator can be read. [in. w.c.]
_TALL_INWC = 30.0


def _figure(x: str, y: str, *, height: int, right: int = 20, top: int = 16) -> go.Figure:
    figure = go.Figure()
    figure.update_layout(
        height=height,
        margin={"l": 50, "r": right, "t": top, "b": 50},
        showlegend=False,
        hovermode="closest",
    )
    figure.update_xaxes(title=x, automargin=True, fixedrange=True, rangemode="tozero")
    figure.update_yaxes(title=y, automargin=True, fixedrange=True, rangemode="tozero")
    return figure


@dataclass(frozen=True)
class Profile:
    """Pressure along the way to one appliance, in the case's units: feet and in. w.c."""

    name: str
    feet: tuple[float, ...]
    inwc: tuple[float, ...]
    needed_inwc: float
    passes: bool


def profiles(system: GasSystem, check: GasCheck) -> tuple[Profile, ...]:
    """Pressure falling from the meter to every appliance with all of them at full fire."""
    steps = {step.segment.name: step for step in check.pressure.segments}
    found = []
    for served in check.pressure.outlets:
        feet, inwc = [0.0], [system.supply_pressure_inwc]
        for name in system.path(served.outlet.segment):
            step = steps[name]
            feet += [feet[-1], feet[-1] + step.segment.equivalent_ft]
            inwc += [step.inlet_inwc, step.outlet_inwc]
        feet.append(feet[-1])
        inwc.append(served.inlet_inwc)
        found.append(Profile(served.outlet.name, tuple(feet), tuple(inwc), served.min_inlet_inwc, served.passes))
    return tuple(found)


def pressure_figure(system: GasSystem, check: GasCheck) -> go.Figure:
    """Pressure against length, a line for each appliance, a bar where its least pressure lies."""
    lines = profiles(system, check)
    feet_unit, inwc_unit = in_units(1.0, "ft")[1], in_units(1.0, "inwc")[1]
    begins = "the meter" if system.gas == "natural" else "the regulator"
    figure = _figure(f"{feet_unit} of pipe from {begins}", inwc_unit, height=380, right=125, top=34)
    for line in sorted(lines, key=lambda one: one.name == HEATER):
        main = line.name == HEATER
        color = ACCENT if main else QUIET
        x, y = [in_units(one, "ft")[0] for one in line.feet], [in_units(one, "inwc")[0] for one in line.inwc]
        figure.add_scatter(
            x=x, y=y, mode="lines", name=typed(line.name), line={"color": color, "width": 4 if main else 2}
        )
        figure.add_scatter(
            x=[x[-1]],
            y=[y[-1]],
            mode="markers",
            name=typed(line.name),
            cliponaxis=False,
            marker={
                "color": color,
                "size": 11,
                "symbol": "circle" if line.passes else "circle-open",
                "line": {"width": 3, "color": color},
            },
        )
        figure.add_scatter(
            x=[x[-1]],
            y=[in_units(line.needed_inwc, "inwc")[0]],
            mode="markers",
            name=f"{typed(line.name)} needs",
            cliponaxis=False,
            marker={"color": color, "size": 22, "symbol": "line-ew", "line": {"width": 3, "color": color}},
        )
    top = _top_inwc(system, lines)
    end = in_units(max(line.feet[-1] for line in lines), "ft")[0]
    figure.update_yaxes(range=[0, in_units(top, "inwc")[0]])
    figure.update_xaxes(range=[0, 1.04 * end])
    _label(figure, lines, top, end)
    if top < system.supply_pressure_inwc:
        figure.add_annotation(
            x=0,
            y=1,
            xref="paper",
            yref="paper",
            xanchor="left",
            yanchor="bottom",
            showarrow=False,
            text=f"{amount(system.supply_pressure_inwc, 'inwc', 1)} before the regulator",
        )
    return figure


def _top_inwc(system: GasSystem, lines: Sequence[Profile]) -> float:
    if system.supply_pressure_inwc <= _TALL_INWC:
        return 1.12 * max(system.supply_pressure_inwc, *(line.needed_inwc for line in lines))
    return 1.5 * max(*(line.inwc[-1] for line in lines), *(line.needed_inwc for line in lines), 1.0)


def _label(figure: go.Figure, lines: Sequence[Profile], top: float, end: float) -> None:
    """Names at the right edge, spread so that none covers another, each tied to its point.

    The heater's name, and that of whatever starves, stand with the pressure needed; the rest is in the table.
    """
    ordered = sorted(lines, key=lambda line: (line.name != HEATER, line.inwc[-1] - line.needed_inwc))[:_MOST_LABELS]
    ordered = sorted(ordered, key=lambda line: -line.inwc[-1])
    texts = [_label_text(line) for line in ordered]
    tall = [top * _LINE_PX * (1 + text.count("<br>")) / _PLOT_PX for text in texts]
    for line, text, place in zip(ordered, texts, _spread([line.inwc[-1] for line in ordered], tall, top), strict=True):
        y, at = in_units(line.inwc[-1], "inwc")[0], in_units(place, "inwc")[0]
        x = in_units(line.feet[-1], "ft")[0]
        figure.add_scatter(
            x=[x, 1.04 * end],
            y=[y, at],
            mode="lines",
            hoverinfo="skip",
            line={"color": QUIET, "width": 1, "dash": "dot"},
        )
        figure.add_annotation(
            x=1.02,
            xref="paper",
            y=at,
            text=text,
            showarrow=False,
            xanchor="left",
            align="left",
            font={"size": 12},
        )


def _label_text(line: Profile) -> str:
    name = line.name if len(line.name) <= _LONGEST_NAME else f"{line.name[: _LONGEST_NAME - 1]}…"
    digits = 2 if widgets.is_si() else 1
    arrives, needed = in_units(line.inwc[-1], "inwc")[0], in_units(line.needed_inwc, "inwc")[0]
    if line.passes and line.name != HEATER:
        return f"✓ {typed(name)} {arrives:.{digits}f}"
    return f"<b>{'✓' if line.passes else '✗'} {typed(name)}</b><br>{arrives:.{digits}f}, needs {needed:.{digits}f}"


def _spread(wanted: Sequence[float], tall: Sequence[float], top: float) -> list[float]:
    """Middles of labels from the top down, none over another, all inside the chart."""
    squeeze = min(1.0, top / sum(tall))
    places: list[float] = []
    ceiling = top
    for height, size in zip(wanted, tall, strict=True):
        half = squeeze * size / 2
        places.append(min(height, ceiling - half))
        ceiling = places[-1] - half
    lift = max(0.0, -ceiling)
    return [place + lift for place in places]


def vent_figure(pieces: Sequence[tuple[str, float]], limit_ft: float, *, limit_assumed: bool) -> go.Figure:
    """The vent's length, the straight pipe and each fitting a block with its name, against the maker's limit."""
    unit = in_units(1.0, "ft")[1]
    figure = _figure(f"equivalent length, {unit}", "", height=200, top=46)
    blocks = [(name, feet, QUIET if number else ACCENT) for number, (name, feet) in enumerate(pieces)]
    used = sum(feet for _, feet, _ in blocks)
    longest = max(limit_ft, used)
    for name, feet, color in blocks:
        # A narrow block keeps its word for the hover and the table: letters would not fit.
        wide = feet / longest > (0.16 if color == ACCENT else 0.09)
        text = f"{name}<br>{amount(feet, 'ft', 1)}" if wide else ""
        figure.add_bar(
            x=[in_units(feet, "ft")[0]],
            y=["vent"],
            orientation="h",
            name=name,
            text=[text],
            textposition="inside",
            insidetextanchor="middle",
            textangle=0,
            hovertemplate=f"{name}: {amount(feet, 'ft', 1)}<extra></extra>",
            insidetextfont={"color": "#ffffff"},
            marker={"color": color, "line": {"color": "#ffffff", "width": 2}},
        )
    if (limit_ft - used) / longest > 0.1:
        figure.add_annotation(
            x=in_units((limit_ft + used) / 2, "ft")[0],
            y="vent",
            showarrow=False,
            text=f"left<br>{amount(limit_ft - used, 'ft', 1)}",
        )
    whose = "generic limit, assumed" if limit_assumed else "the maker's limit"
    limit = in_units(limit_ft, "ft")[0]
    figure.add_vline(x=limit, line={"width": 3, "color": LIMIT, "dash": "dash"})
    figure.add_annotation(
        x=limit,
        y=1.0,
        yref="paper",
        yanchor="bottom",
        xanchor="right",
        showarrow=False,
        text=f"{whose}: {amount(limit_ft, 'ft', 0)}",
    )
    figure.update_layout(barmode="stack")
    figure.update_yaxes(showticklabels=False)
    figure.update_xaxes(range=[0, 1.05 * in_units(longest, "ft")[0]])
    return figure


def service_figure(check: ServiceCheck) -> go.Figure:
    """Amperes before and after by each way of counting, against the rating of the service."""
    figure = _figure("A", "", height=110 + 85 * (1 + len(check.routes)), top=46)
    names = [*(f"{say(route.name)}<br>({route.section})" for route in check.routes), "the heater<br>by itself"]
    for word, color, values in (
        ("before", QUIET, [*(route.before_a for route in check.routes), None]),
        ("after", ACCENT, [*(route.after_a for route in check.routes), check.heater_a]),
    ):
        figure.add_bar(
            y=names,
            x=values,
            orientation="h",
            name=word,
            text=[*(f"{word} {value:.0f} A" for value in values[:-1]), f"{check.heater_a:.0f} A"],
            textposition="auto",
            insidetextanchor="start",
            insidetextfont={"color": "#ffffff"},
            textangle=0,
            marker={"color": color},
        )
    longest = max(check.service_a, check.heater_a, *(max(route.before_a, route.after_a) for route in check.routes))
    figure.add_vline(x=check.service_a, line={"width": 3, "color": LIMIT, "dash": "dash"})
    figure.add_annotation(
        x=check.service_a,
        y=1.0,
        yref="paper",
        yanchor="bottom",
        xanchor="right",
        showarrow=False,
        text=f"service: {check.service_a:.0f} A",
    )
    figure.update_layout(barmode="group")
    figure.update_yaxes(autorange="reversed")
    figure.update_xaxes(range=[0, 1.1 * longest])
    return figure


def states_figure(counts: Sequence[tuple[str, int]]) -> go.Figure:
    """How many formulas stand in each state of verification."""
    figure = _figure("formulas", "", height=90 + 34 * len(counts), right=40)
    sure = {"verified", "cross-checked", "computed"}
    figure.add_bar(
        y=[state.replace(", ", ",<br>") for state, _ in counts],
        x=[count for _, count in counts],
        orientation="h",
        text=[str(count) for _, count in counts],
        textposition="outside",
        cliponaxis=False,
        marker={
            "color": [ACCENT if state in sure else PALE for state, _ in counts],
            "pattern": {"shape": ["" if state in sure else "/" for state, _ in counts]},
        },
    )
    figure.update_yaxes(autorange="reversed")
    return figure
