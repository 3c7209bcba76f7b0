"""The bench's traces as one page that needs nothing from outside: charts, and the same numbers as tables."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from pathlib import Path
from typing import Any

from advisor.core.errors import InputError
from advisor.core.files import write_whole
from advisor.report.bench_results import (
    BenchReport,
    OnBench,
    bench_dict,
    energy_finding,
    labels_finding,
    years_finding,
)
from advisor.report.words import sentences

_STYLE = """
body{font:16px/1.5 system-ui,sans-serif;max-width:70rem;margin:0 auto;padding:1rem;color:#1b1b1b;background:#fff}
table{border-collapse:collapse;margin:.5rem 0 2rem}th,td{border-bottom:1px solid #bbb;padding:.2rem .7rem}
th{text-align:left;vertical-align:bottom}td{white-space:nowrap}td.t{white-space:normal}td.n{text-align:right;font-variant-numeric:tabular-nums}caption{text-align:left;font-weight:600}
.wide{overflow-x:auto}
"""

#: Above the chart, under its title.
_LEGEND = {"orientation": "h", "y": 1.02, "yanchor": "bottom", "x": 1, "xanchor": "right"}
#: Heads of the tables: the keys of the same numbers in JSON, in words.
_HEADS = {
    "id": "heater",
    "name": "use",
    "fhr_label_gal": "first-hour rating, label, gal",
    "fhr_bench_gal": "on the bench, gal",
    "max_gpm_label": "maximum flow, label, gpm",
    "max_gpm_bench": "on the bench, gpm",
    "uef_label": "UEF, label",
    "uef_bench": "UEF, on the bench",
    "cannot_meet": "why it cannot be met",
    "start_min": "starts at minute",
    "duration_min": "lasts, min",
    "mixed_gpm": "flow at the tap, gpm",
    "use_f": "wanted, °F",
    "minutes_short": "minutes short",
    "lowest_f": "coldest, °F",
    "noticed": "noticed",
    "lit": "started it",
    "short_mornings": "mornings that run short",
    "events": "draws",
    "unlit_events": "draws that never start it",
    "starts_per_day": "starts a day",
    "backup_share_frac": "share of heat from elements",
    "energy_btu_per_yr": "energy on the bench, Btu/yr",
    "quoted_btu_per_yr": "energy quoted, Btu/yr",
    "over_quoted_frac": "bench over quoted, less 1",
    "fuel_btu_per_yr": "fuel, Btu/yr",
    "electricity_kwh_per_yr": "electricity, kWh/yr",
    "heat_btu_per_yr": "heat delivered, Btu/yr",
}


def write_page(report: BenchReport, file: str) -> None:
    """Write the page. A half-written one never stands under its name.

    Raises
    ------
    InputError
        The name does not end in .html, the file is there already, or nothing can be written there.
    """
    path = Path(file)
    if path.suffix.lower() not in {".html", ".htm"}:
        raise InputError("plot", file, "the page is HTML", "end the name in .html")
    try:
        write_whole(path, bench_page(report).encode())
    except FileExistsError as error:
        raise InputError("plot", file, "this file is already there", "choose another name") from error
    except OSError as error:
        raise InputError("plot", file, "this file cannot be written", "choose another place") from error


def bench_page(report: BenchReport) -> str:
    """The whole page."""
    name = escape(report.comparison.case.name or "Your water heater")
    data = bench_dict(report)
    parts = [
        f"<h1>On the bench: {name}</h1>",
        "<h2>The labels</h2>",
        _chart(_labels_figure(report), first=True),
        _table("Labels and what the federal tests on the bench return", data["retest"]),
        "<h2>The busy winter morning</h2>",
        _table("Who starts when", data["busy_morning"]),
    ]
    for run, row in zip(report.runs, data["morning"], strict=True):
        why = sentences(run.candidate.capacity.why)
        parts += [f"<h3>{escape(run.candidate.heater.title)}</h3>", f"<p>{escape(why)}</p>"]
        parts += [_chart(_morning_figure(run)), _table("How each use fared", row["uses"])]
    if report.runs:
        parts += ["<h2>A year of random draws</h2>", _chart(_mornings_figure(report.runs))]
        parts += [_chart(_energy_figure(report.runs)), _table("The year", data["year"])]
    body = "\n".join(parts)
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>On the bench: {name}</title>'
        f'<meta name="viewport" content="width=device-width,initial-scale=1"><style>{_STYLE}</style></head>\n'
        f"<body><main>\n{body}\n</main></body></html>\n"
    )


def _chart(figure: Any, *, first: bool = False) -> str:
    """A chart; the first one brings the script that draws them all."""
    drawn = figure.to_html(full_html=False, include_plotlyjs=first, config={"displaylogo": False, "responsive": True})
    return f'<figure role="img" aria-label="{escape(figure.layout.title.text, quote=True)}">{drawn}</figure>'


def _table(caption: str, rows: Sequence[dict[str, Any]]) -> str:
    heads = "".join(f'<th scope="col">{escape(_HEADS.get(key, key.replace("_", " ")))}</th>' for key in rows[0])
    lines = ["".join(_cell(value) for value in row.values()) for row in rows]
    body = "".join(f"<tr>{line}</tr>" for line in lines)
    return (
        f'<div class="wide"><table><caption>{escape(caption)}</caption><thead><tr>{heads}</tr></thead>'
        f"<tbody>{body}</tbody></table></div>"
    )


def _cell(value: Any) -> str:
    if value is None:
        return "<td></td>"
    if isinstance(value, bool):
        return f"<td>{'yes' if value else 'no'}</td>"
    return f'<td class="n">{value:,}</td>' if isinstance(value, int | float) else _words(str(value))


def _words(text: str) -> str:
    """Names stay on a line, sentences may fold."""
    return f"<td{' class=t' * (len(text) > 60)}>{escape(text)}</td>"


def _figure(title: str, x: str, y: str, **more: Any) -> Any:
    import plotly.graph_objects as go

    figure = go.Figure()
    figure.update_layout(
        title={"text": _folded(title), "font": {"size": 15}},
        xaxis_title=x,
        yaxis_title=y,
        template="plotly_white",
        margin={"t": 120},
        height=480,
        legend=_LEGEND,
        **more,
    )
    return figure


def _folded(text: str) -> str:
    """A title in lines of a readable length."""
    import textwrap

    return "<br>".join(escape(line) for line in textwrap.wrap(text, 95))


def _labels_figure(report: BenchReport) -> Any:
    shares = {
        item.heater_id: (item.fhr_bench_gal or item.max_gpm_bench or 0.0)
        / (item.fhr_label_gal or item.max_gpm_label or 1.0)
        for item in report.retests
    }
    figure = _figure(labels_finding(report.retests), "Heater", "Bench less label, %")
    figure.add_bar(
        name="first-hour rating or maximum flow",
        x=list(shares),
        y=[round(100 * (share - 1), 3) for share in shares.values()],
    )
    figure.add_bar(
        name="uniform energy factor",
        x=[item.heater_id for item in report.retests],
        y=[round(100 * (item.uef_bench / item.uef_label - 1), 3) for item in report.retests],
    )
    return figure


def _morning_figure(run: OnBench) -> Any:
    """Outlet and flow against the clock, gaps where no water runs."""
    found = run.candidate.capacity.household_run
    title = sentences(found.why if found is not None else run.candidate.capacity.why)
    figure = _figure(title, "Minutes from the start", "Heater outlet, °F")
    time, outlet, flow = _with_gaps(run)
    figure.add_scatter(name="outlet, °F", x=time, y=outlet, mode="lines", line={"width": 2})
    figure.add_scatter(name="hot flow, gpm", x=time, y=flow, mode="lines", yaxis="y2", line={"width": 1, "dash": "dot"})
    figure.update_layout(
        yaxis2={
            "title": "Hot flow, gpm",
            "overlaying": "y",
            "side": "right",
            "rangemode": "tozero",
            "showgrid": False,
            "tickmode": "auto",
            "tickformat": ".1f",
        }
    )
    figure.add_hline(y=105, line_dash="dash", line_width=1, annotation_text="105 °F, wanted at the tap")
    return figure


def _with_gaps(run: OnBench) -> tuple[list[float], list[float | None], list[float | None]]:
    time: list[float] = []
    outlet: list[float | None] = []
    flow: list[float | None] = []
    columns = (run.morning.time_min.tolist(), run.morning.outlet_f.tolist(), run.morning.hot_gpm.tolist())
    for minute, reading, gpm in zip(*columns, strict=True):
        if time and minute - time[-1] > 0.5:
            time.append(round(minute, 3))
            outlet.append(None)
            flow.append(None)
        time.append(round(minute, 3))
        outlet.append(round(reading, 2))
        flow.append(round(gpm, 3))
    return time, outlet, flow


def _mornings_figure(runs: Sequence[OnBench]) -> Any:
    figure = _figure(years_finding(runs), "Heater", "Mornings a year that run short")
    figure.add_bar(x=[run.candidate.heater.id for run in runs], y=[run.short_mornings for run in runs])
    return figure


def _energy_figure(runs: Sequence[OnBench]) -> Any:
    figure = _figure(energy_finding(runs), "Heater", "Energy bought in a year, million Btu", barmode="group")
    ids = [run.candidate.heater.id for run in runs]
    figure.add_bar(name="on the bench", x=ids, y=[round(run.year.energy_btu / 1e6, 2) for run in runs])
    figure.add_bar(name="quoted", x=ids, y=[round(run.quoted_btu_per_yr / 1e6, 2) for run in runs])
    return figure
