"""The answer: the decision, what to do today, what was taken for granted."""

from __future__ import annotations

import streamlit as st

from advisor.comparison import Comparison
from advisor.core import paths
from advisor.web import card, keep, quote, session, taken, today
from advisor.web.words import say


def care() -> None:
    """What comes before any figure: one line that opens; open for who has told nothing yet, or smells something."""
    held = session.current()
    smells = held.given.get("failed", {}).get("trouble") == "noise"
    with st.expander(say("home.care"), expanded=smells or (held.is_demo and not held.past)):
        st.markdown(say("start.care"))


def show(comparison: Comparison) -> None:
    """The answer for a comparison."""
    card.show(comparison)
    if comparison.recommended is not None:
        today.show(comparison, comparison.recommended)
        quote.show(comparison)
    keep.show(comparison)
    taken.show(comparison)
    st.subheader(say("start.more"))
    with st.container(horizontal=True):
        for page in ("compare", "keep_up", "work", "money"):
            st.page_link(paths.PAGES / f"{page}.py", label=say(f"page.{page}"))
