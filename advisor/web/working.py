"""The working behind a candidate's numbers: each formula with its inputs, its result and its source."""

from __future__ import annotations

import streamlit as st

from advisor import formulas
from advisor.candidate import Candidate
from advisor.core.units import BTU_PER_KWH, BTU_PER_THERM
from advisor.heaters.annual_energy import Energy
from advisor.web import widgets
from advisor.web.words import say, sentences, typed


def draw(item: Candidate) -> None:
    """Label, energy, capacity and money of one candidate, each as the engine worked it out."""
    heater = item.heater
    st.markdown(f"**{say('working.printed')}**: {say(heater.rating)}. *{heater.state}*: {typed(heater.source)}.")
    if item.flags:
        st.warning(sentences(item.flags))
    if item.sale.told:
        st.info(sentences(item.sale.told))
    energies = [
        (say("working.of_label"), item.label_energy.result),
        (say("working.of_household"), _bought_btu(item.energy)),
        (say("working.of_homes"), _bought_btu(item.in_homes)),
    ]
    if item.in_place:
        in_place_btu, measured = item.in_place
        energies.append((say("working.in_place", measured=measured), in_place_btu))
    st.table([{say("col.figure"): told, say("col.energy"): _therm(btu)} for told, btu in energies])
    for working in item.workings:
        with st.expander(say(working.figure)):
            st.code("\n".join(formulas.lines(working, si=widgets.is_si())), language=None, wrap_lines=True)


def _therm(btu: float) -> str:
    return say("working.both_units", bought_therm=btu / BTU_PER_THERM, bought_kwh=btu / BTU_PER_KWH)


def _bought_btu(year: Energy) -> float:
    return float(year.fuel_btu.sum() + year.electricity_kwh.sum() * BTU_PER_KWH)
