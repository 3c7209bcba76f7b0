"""How do we know? How each number is made, every formula to run, every table with its state, and what is not sure."""

from __future__ import annotations

from collections import Counter
from functools import cache
from typing import Any

import pandas as pd
import streamlit as st

from advisor import formulas
from advisor.core.errors import AdvisorError
from advisor.core.tables import Table, load, names
from advisor.core.units import UNITS
from advisor.web import charts, charts_house, contractor, widgets
from advisor.web.method_words import HIRE, LIMITS, MADE, MIXED, STATES
from advisor.web.widgets import plain
from advisor.web.words import language
from advisor.web.words import typed as screen_text

#: Tables that say where a house is: their tens of thousands of rows would drown the rows that decide an answer.
PLACES = frozenset({"zip_codes", "towns", "stations", "county_zones", "grid_subregions"})
_SURE = ("verified", "cross-checked", "computed")
_NO_ONE = ""


def _standing(told: str) -> str:
    """The word of ``STATES`` for a row; a row with words of its own counts as not verified."""
    return told if told in STATES else MIXED


@cache
def table_states() -> tuple[dict[str, Any], ...]:
    """Every table with its number of rows in each state; a table of mixed rows says so row by row."""
    found = []
    for name in names():
        table = load(name)
        states = table["state"] if table.state.startswith("mixed") else [table.state] * len(table)
        found.append({"table": table, "states": Counter(str(state) for state in states)})
    return tuple(found)


def draw() -> None:
    """The whole page."""
    contractor.units()
    if language() != "en":
        st.caption("Esta página está solo en inglés.")
    listed = formulas.index()
    counts = Counter(formula.published.state for formula in listed.values())
    sure = sum(counts[state] for state in _SURE)
    rows = Counter[str]()
    for entry in table_states():
        if entry["table"].id in PLACES:
            continue
        for told, count in entry["states"].items():
            rows[_standing(told)] += count
    sure_rows = sum(rows[state] for state in _SURE)
    st.title("How do we know?")
    st.markdown(
        f"{sure} of {len(listed)} formulas and {sure_rows:,} of {rows.total():,} table rows that decide an "
        "answer were read in their source, reproduce independent published figures, or are plain arithmetic. The rest "
        "is marked wherever it is used. Lists of ZIP codes, towns, stations and counties are not counted."
    )
    contractor.cautions(("estimate",), burns_fuel=True)
    made, run, tables, unsure, limits = st.tabs(
        ["How each number is made", "Formulas", "Tables", "What is not verified", "Limits and who to hire"]
    )
    with made:
        for title, text in MADE:
            st.markdown(f"**{title}.** {plain(text)}")
    with run:
        _formulas()
    with tables:
        _tables(rows)
    with unsure:
        _unsure(counts)
    with limits:
        st.markdown("\n".join(f"- {plain(text)}" for text in LIMITS))
        st.subheader("Who to hire")
        contractor.table([{"Work": work, "Who": who, "Ask for": ask} for work, who, ask in HIRE], "Who does which work")


def _formulas() -> None:
    words = st.text_input(
        "Search the formulas", key="formula_search", placeholder="gas pipe, burn, first hour …", persist_state="session"
    )
    found = [formula for formula in formulas.index().values() if _matches(formula, words or "")]
    if not found:
        st.info("No formula has all these words. Try fewer.")
        return
    st.caption(f"{len(found)} of {len(formulas.index())} formulas")
    chosen = st.selectbox(
        "Run one",
        [formula.name for formula in found],
        key="formula",
        persist_state="session",
        format_func=lambda name: formulas.find(name).summary.rstrip("."),
    )
    _run(formulas.find(chosen))
    with st.expander(f"The list ({len(found)})", expanded=False):
        contractor.table(
            [
                {
                    "Formula": formula.summary,
                    "Name": formula.name,
                    "Source": formula.published.source,
                    "State": formula.published.state,
                }
                for formula in found
            ],
            "Every formula that matches",
        )


def _matches(formula: formulas.Formula, words: str) -> bool:
    name = formula.name
    text = " ".join((name, name.replace("_", " "), formula.summary, formula.module, formula.published.source)).lower()
    return all(word in text for word in words.lower().split())


def _run(formula: formulas.Formula) -> None:
    """Inputs as text, so that any unit may be written; the worked example stands where nothing is written."""
    with st.container(border=True):
        st.markdown(f"**{plain(formula.summary)}**")
        st.caption(f"{plain(formula.published.source)} [{formula.published.state}]")
        columns = st.columns(2)
        given = {}
        for number, parameter in enumerate(formula.parameters):
            unit = UNITS[parameter.suffix].label if parameter.kind == "number" else parameter.kind
            example = formula.published.example.get(parameter.name, parameter.default)
            with columns[number % 2]:
                typed = st.text_input(
                    f"{parameter.name}{f' ({unit})' if unit else ''}",
                    key=f"formula.{formula.name}.{parameter.name}",
                    placeholder=f"{example:g}" if isinstance(example, float | int) else str(example),
                    help=plain(parameter.meaning) or None,
                )
            if typed and typed.strip():
                given[parameter.name] = typed
        try:
            working = formulas.run(formula.name, given)
        except AdvisorError as error:
            st.error(screen_text(error))
            return
        st.code("\n".join(formulas.lines(working, si=widgets.is_si())), language=None, wrap_lines=True)
        st.caption("A bare number counts in the unit beside its name; any other unit may be written behind it: 18 kW.")


def _tables(rows: Counter[str]) -> None:
    st.markdown(
        f"**{len(names())} tables, {rows.total():,} rows that decide an answer.** A mixed table marks each of its "
        "rows; lists of places are not counted."
    )
    contractor.table(
        [{"State": state, "Rows": f"{rows[state]:,}", "Meaning": STATES[state]} for state in STATES if rows[state]],
        "Rows of all tables by state",
    )
    words = st.text_input(
        "Search the tables", key="table_search", placeholder="gas, scald, prices …", persist_state="session"
    )
    found = [entry for entry in table_states() if _table_matches(entry["table"], words or "")]
    st.dataframe(
        pd.DataFrame([_table_row(entry) for entry in found], columns=list(_table_row(table_states()[0]))),
        hide_index=True,
        alt=f"{len(found)} tables with edition and state",
    )
    chosen = st.selectbox(
        "Open a table",
        [_NO_ONE, *(entry["table"].id for entry in found)],
        key="table_open",
        format_func=lambda name: load(name).title if name else "none",
    )
    if chosen:
        _open(load(chosen))


def _table_matches(table: Table, words: str) -> bool:
    text = f"{table.id.replace('_', ' ')} {table.title} {table.publication} {table.edition} {table.state}".lower()
    return all(word in text for word in words.lower().split())


def _table_row(entry: dict[str, Any]) -> dict[str, Any]:
    table: Table = entry["table"]
    states = "; ".join(f"{count:,} {state}" for state, count in entry["states"].most_common())
    return {
        "Title": table.title,
        "Rows": len(table),
        "State": states,
        "Edition": table.edition,
        "Publication": table.publication,
        "Where in it": table.locator,
        "Licence": table.licence,
        "Name": table.id,
    }


def _open(table: Table) -> None:
    st.markdown(f"**{plain(table.title)}**")
    st.caption(plain(table.citation) + (f" {plain(table.notes)}" if table.notes else ""))
    st.dataframe(pd.DataFrame(dict(table.data)), hide_index=True, alt=f"Rows of {table.title}")
    contractor.table(
        [
            {"Column": column.name, "Unit": UNITS[column.unit].label if column.unit else "", "Meaning": column.meaning}
            for column in table.columns.values()
        ],
        "What the columns mean",
    )


def _unsure(counts: Counter[str]) -> None:
    total = sum(counts.values())
    sure = sum(counts[state] for state in _SURE)
    ordered = [(state, counts[state]) for state in STATES if counts[state]]
    charts.draw(
        charts_house.states_figure(ordered),
        f"{total - sure} of {total} formulas rest on memory, practice or our choice",
        key="states_bars",
        alt="Formulas by state: " + ", ".join(f"{count} {state}" for state, count in ordered),
    )
    with st.expander("The numbers"):
        contractor.table(
            [{"State": state, "Formulas": str(count), "Meaning": STATES[state]} for state, count in ordered],
            "Formulas by state of verification",
        )
    st.markdown("**Formulas that are not verified**")
    contractor.table(
        [
            {"Formula": formula.summary, "State": formula.published.state, "Source": formula.published.source}
            for formula in formulas.index().values()
            if formula.published.state not in _SURE
        ],
        "Formulas that are not verified",
    )
    st.markdown("**Tables with rows that are not verified**")
    contractor.table(
        [
            {
                "Table": entry["table"].title,
                "Rows": str(entry["states"].total()),
                "Not verified": "; ".join(f"{count:,} {state}" for state, count in unsure),
            }
            for entry in table_states()
            if (unsure := [pair for pair in entry["states"].items() if pair[0] not in _SURE])
        ],
        "Tables with rows that are not verified",
    )
