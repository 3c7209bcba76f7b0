"""The commissioning sheet: what to read, a field for each value and what that says; kept with day and name."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

import streamlit as st

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.units import UNITS
from advisor.house.commissioning import Reading
from advisor.house.readings import Judged, judged, readings_for, symptoms_of
from advisor.report.csv_cells import csv_text
from advisor.report.escape import as_typed
from advisor.report.readings_text import amount_words, expected_words, verdict_words
from advisor.web import session, state, widgets
from advisor.web.widgets import plain
from advisor.web.words import heater_option, language, say, typed


def draw(comparison: Comparison, chosen: Candidate) -> None:
    """The whole sheet, and the same as a file."""
    session.current().drawn.add("in.readings")
    sheet = readings_for(chosen.heater, comparison.facts, comparison.circumstances, chosen.use)
    taken = judged(sheet, comparison.case.readings, chosen.heater.id)
    st.markdown(plain(say("reading.care")))
    unit = _signing(chosen, taken)
    outside = sum(one.holds is False for one in taken)
    count = len({one.reading.id for one in taken})
    st.markdown(f"**{say('reading.summary', read_count=count, all_count=len(sheet), outside_count=outside)}**")
    st.caption(say("reading.type"))
    for reading in sheet:
        _row(reading, taken, chosen, unit)
    _file(chosen, sheet, taken)
    with st.expander(say("symptom.title")):
        told = (f"- **{plain(say(one.what))}**: {plain(say(one.look))}" for one in symptoms_of(chosen.heater))
        st.markdown("\n".join(told))


def _signing(chosen: Candidate, taken: Sequence[Judged]) -> int | None:
    """Who reads on which day, asked once for the whole sheet; and which of several heaters stands before them."""
    last = taken[-1].taken if taken else None
    with st.container(horizontal=True, vertical_alignment="bottom"):
        widgets.seed("reading_by", (last.by if last else None) or "")
        st.text_input(say("reading.by"), key="reading_by", max_chars=60, width=220, persist_state="session")
        widgets.seed("reading_day", (last.read_on if last else None) or date.today())
        st.date_input(say("reading.day"), key="reading_day", width=180, persist_state="session")
        if chosen.heater.n_units == 1:
            return None
        choices = range(1, chosen.heater.n_units + 1)
        widgets.seed("reading_unit", 1, among=choices)
        return int(
            st.selectbox(say("reading.which"), choices, key="reading_unit", width=160, persist_state="session") or 1
        )


def _row(reading: Reading, taken: Sequence[Judged], chosen: Candidate, unit: int | None) -> None:
    """What to read and why on the left; the field and what the value says on the right."""
    found = [one for one in taken if one.reading is reading]
    here = next((one for one in found if (one.taken.unit or 1) == (unit or 1)), None)
    place = f"readings.{reading.id}.{chosen.heater.id}.{unit or 1}"
    asked, answered = st.columns([3, 2], gap="medium", vertical_alignment="top")
    expected = expected_words(reading, si=widgets.is_si(), language=language())
    asked.markdown(
        plain(f"**{say(reading.what)}**: {expected}  \n{say(reading.how)}. *{say('reading.because', why=reading.why)}*")
    )
    with answered:
        # What was refused stays in its field.
        if not state.refusal(place) or place not in st.session_state:
            st.session_state[place] = here.taken.value if here else ""
        unit_label = UNITS[reading.suffix].label
        st.text_input(
            f"{say(reading.what)} ({unit_label})" if unit_label else say(reading.what),
            key=place,
            label_visibility="collapsed",
            placeholder=unit_label or "…",
            max_chars=80,
            on_change=_take,
            args=(reading.id, chosen.heater.id, unit, place),
        )
        if why := state.refusal(place):
            st.error(typed(why))
        elif here and here.holds is False:
            st.error(plain(verdict_words(here, language=language())))
        elif here and here.holds:
            st.markdown(plain(verdict_words(here, language=language())))


def _take(reading: str, candidate: str, unit: int | None, place: str) -> None:
    """Put a value among those of the case, or take it out where the field was emptied."""
    kept = [
        row
        for row in state.answer("readings") or ()
        if row["reading"] != reading
        or row.get("candidate", candidate) != candidate
        or (row.get("unit") or 1) != (unit or 1)
    ]
    if value := st.session_state[place].strip():
        row: dict[str, Any] = {"reading": reading, "value": value, "candidate": candidate}
        row |= {"unit": unit} if unit else {}
        row |= {"by": by} if (by := str(st.session_state.get("reading_by") or "").strip()) else {}
        row |= {"read_on": on} if (on := st.session_state.get("reading_day")) else {}
        kept.append(row)
    state.set_answers({"readings": kept or None}, shown_at=place)


def _file(chosen: Candidate, sheet: Sequence[Reading], taken: Sequence[Judged]) -> None:
    rows = [
        {
            "Heater": heater_option(chosen.heater),
            "Reading": as_typed(say(reading.what)),
            "Expect": as_typed(expected_words(reading, si=widgets.is_si(), language=language())),
            "Read": as_typed("; ".join(amount_words(one, si=widgets.is_si(), language=language()) for one in found)),
            "Verdict": as_typed("; ".join(filter(None, (verdict_words(one, language=language()) for one in found)))),
            "How": as_typed(say(reading.how)),
            "Why": as_typed(say(reading.why)),
        }
        for reading in sheet
        for found in [[one for one in taken if one.reading is reading]]
    ]
    st.download_button(
        say("reading.file"), csv_text(rows), "readings.csv", "text/csv", on_click="ignore", key="readings_csv"
    )
