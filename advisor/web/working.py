"""The working behind a candidate's numbers: each formula with its inputs, its result and its source."""

from __future__ import annotations

import streamlit as st

from advisor import formulas
from advisor.candidate import Candidate
from advisor.core.units import BTU_PER_KWH, BTU_PER_THERM
from advisor.web import widgets
from advisor.web.words import say, sentences


def draw(item: Candidate) -> None:
    """Label, energy, capacity and money of one candidate, each as the engine worked it out."""
    heater = item.heater
    st.markdown(f"**Label**: {heater.rating_text}. *{heater.state}*: {heater.source}.")
    if item.flags:
        st.warning(sentences(item.flags))
    rows = [
        {"figure": "label, at the test's gallons", "energy": _therm(item.label_energy.result)},
        {"figure": "this household, two-parameter model (quoted)", "energy": _therm(_bought_btu(item))},
    ]
    if item.in_place:
        in_place_btu, measured = item.in_place
        rows.append({"figure": f"if it misses its rating as in homes: {say(measured)}", "energy": _therm(in_place_btu)})
    st.table(rows)
    for working in item.workings:
        with st.expander(say(working.figure)):
            st.code("\n".join(formulas.lines(working, si=widgets.is_si())), language=None, wrap_lines=True)


def _therm(btu: float) -> str:
    return f"{btu / BTU_PER_THERM:,.0f} therm = {btu / BTU_PER_KWH:,.0f} kWh of fuel and electricity"


def _bought_btu(item: Candidate) -> float:
    return float(item.energy.fuel_btu.sum() + item.energy.electricity_kwh.sum() * BTU_PER_KWH)
