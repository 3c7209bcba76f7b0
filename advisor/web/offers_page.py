"""What was offered, told first, and the document that is handed over."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import streamlit as st

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.document.blocks import Document
from advisor.document.make import document, written
from advisor.report.offers_text import questions, told
from advisor.web import session, widgets
from advisor.web.words import language, say, typed


def offers(comparison: Comparison) -> None:
    """Every offer with its price as typed and what to ask about it; nothing without offers."""
    if not comparison.offers:
        return
    st.subheader(say("offer.heading"))
    for number, checked in enumerate(comparison.offers, start=1):
        asked = "\n".join(f"- {typed(text)}" for text in questions(checked, language=language(), si=widgets.is_si()))
        st.markdown(widgets.plain(f"**{typed(told(comparison, number, checked, language()))}**\n\n{asked}"))


def download(comparison: Comparison, chosen: Candidate) -> None:
    """Buttons that make the document; it is set when one is pressed."""
    st.subheader(say("document.hand_over"))
    with st.container(horizontal=True):
        paper = st.radio(
            say("document.paper"), ["letter", "a4"], format_func=_PAPERS.__getitem__, horizontal=True, key="paper"
        )
        # What the session says is read now: a button's work runs beside the page.
        shown = partial(document, comparison, chosen=chosen, language=language(), si=session.current().units == "SI")
        for kind in ("pdf", "html"):
            made: Callable[[], bytes] = partial(_made, shown, kind, paper, comparison)
            st.download_button(
                say(f"document.get.{kind}"), made, f"water-heater.{kind}", on_click="ignore", key=f"document_{kind}"
            )


_PAPERS = {"letter": "US Letter", "a4": "A4"}


def _made(shown: Callable[[], Document], kind: str, paper: str, comparison: Comparison) -> bytes:
    return written(shown(), "html" if kind == "html" else "pdf", paper=paper, day=comparison.today)
