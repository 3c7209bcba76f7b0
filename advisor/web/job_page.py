"""The job: everything that is known of this house and its paper, folded by topic, and the heaters that are offered."""

from __future__ import annotations

import streamlit as st

from advisor.web import contractor, fields, label_form, state
from advisor.web.words import heater_title, typed, verdict_word


def draw() -> None:
    """The whole page."""
    fields.take("job")
    comparison = state.comparison()
    chosen = contractor.head(comparison)
    name = comparison.case.name
    st.title(typed(name) if name else "The job")
    st.markdown(
        f"**{heater_title(chosen.heater)}**: {verdict_word(chosen.capacity.verdict)}; the house:"
        f" {verdict_word(chosen.house.verdict)}."
    )
    contractor.cautions((), burns_fuel=chosen.heater.burns_fuel)
    with st.expander("A heater from its label", expanded=bool(state.refusal(label_form.SHOWN_AT))):
        label_form.draw()
    fields.draw("job")
