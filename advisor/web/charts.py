"""Charts that prove themselves: the finding as title, units on the axes, direct labels, the numbers in a table."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

import numpy as np
import plotly.graph_objects as go
import streamlit as st

from advisor.core.kinds import Technology
from advisor.report.escape import as_typed
from advisor.web import widgets
from advisor.web.words import typed

#: What fits on a sheet of letter paper: a browser prints a chart as wide as it stood on the screen. [px]
PAPER_PX = 720
_NAME_LETTERS, _TITLE_LETTERS = 18, 32
CONFIG = {"displaylogo": False, "displayModeBar": False}


def chart(title: str, x: str, y: str, *, height: int = 380) -> go.Figure:
    """An empty chart with the units on its axes; its title, the finding, goes above it, where a phone can wrap it."""
    figure = go.Figure()
    figure.update_layout(
        meta={"finding": title},
        height=height,
        margin={"l": 50, "r": 20, "t": 16, "b": 50},
        showlegend=False,
        hovermode="closest",
    )
    figure.update_xaxes(title=x, automargin=True)
    figure.update_yaxes(title=y, automargin=True, rangemode="tozero")
    return figure


def line(figure: go.Figure, name: str, technology: Technology, x: Any, y: Any) -> None:
    """A line; its name stands below the chart, in the same tint and dash."""
    look = {"color": technology.tint, "dash": technology.dash, "width": 3}
    figure.add_scatter(x=list(x), y=list(y), name=name, mode="lines", line=look)
    figure.update_layout(
        showlegend=True,
        legend={"orientation": "h", "yanchor": "top", "y": -0.22, "x": 0, "itemclick": False, "itemdoubleclick": False},
    )


def bars(
    figure: go.Figure,
    names: Sequence[str],
    values: Sequence[float],
    technologies: Sequence[Technology],
    texts: Sequence[str],
) -> None:
    """Horizontal bars with their values written on them, the first name on top."""
    figure.add_bar(
        y=list(names),
        x=list(values),
        orientation="h",
        text=list(texts),
        textposition="auto",
        marker={"color": [technology.tint for technology in technologies]},
    )
    figure.update_yaxes(autorange="reversed", title=None)


def draw(figure: go.Figure, finding: str, *, alt: str, key: str) -> None:
    """Draw a chart under its finding."""
    st.markdown(widgets.plain(f"**{finding}**"))
    if widgets.is_phone():
        _narrow(figure)
    st.plotly_chart(figure, key=key, config=CONFIG, alt=as_typed(alt), width=PAPER_PX)


def _narrow(figure: go.Figure) -> None:
    """Break long names and axis titles, so that on a phone the chart keeps most of the width."""
    broken = False
    for item in (*figure.data, *figure.layout.annotations):
        named = [item.y] if isinstance(item.y, str) else [] if item.y is None or np.isscalar(item.y) else list(item.y)
        if any(isinstance(name, str) for name in named):
            wrapped = [_broken(str(name), _NAME_LETTERS) for name in named]
            broken = broken or any("<br>" in name for name in wrapped)
            item.y = wrapped[0] if isinstance(item.y, str) else wrapped
    if broken:
        figure.layout.height *= 1.3
    for axis in (figure.layout.xaxis, figure.layout.yaxis):
        if axis.title.text:
            axis.title.text = _broken(axis.title.text, _TITLE_LETTERS)


def _broken(text: str, letters: int) -> str:
    """At most two lines of a text."""
    lines = [typed(line) for line in textwrap.wrap(as_typed(text.replace("<br>", " ")), letters)]
    return "<br>".join(lines) if len(lines) < 3 else f"{lines[0]}<br>{lines[1]}…"


def show(figure: go.Figure, rows: Sequence[dict[str, Any]], *, alt: str, key: str, table: str = "The numbers") -> None:
    """Draw a chart under its finding, and its numbers in a table below for those who cannot see it."""
    draw(figure, figure.layout.meta["finding"], alt=alt, key=key)
    with st.expander(table):
        widgets.table(rows)
