"""What is handed over: every offer with what to ask about it, the contractor's logo, and the document."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import streamlit as st

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.errors import AdvisorError
from advisor.document.blocks import Document
from advisor.document.logo import MAX_BYTES, as_png
from advisor.document.make import document, written
from advisor.report.offers_text import questions, told
from advisor.web import session, widgets
from advisor.web.words import heater_title, language, refused, say, typed

_PAPERS = {"letter": "US Letter", "a4": "A4"}


def offers(comparison: Comparison) -> None:
    """Every offer with its price as typed and what to ask about it; nothing without offers."""
    if not comparison.offers:
        return
    st.subheader(say("offer.heading"))
    for number, checked in enumerate(comparison.offers, start=1):
        asked = "\n".join(f"- {typed(text)}" for text in questions(checked, language=language(), si=widgets.is_si()))
        st.markdown(widgets.plain(f"**{typed(told(comparison, number, checked, language()))}**\n\n{asked}"))


def logo() -> None:
    """A picture for the head of the document; drawn anew, and kept as long as the browser's window."""
    held = session.current()
    held.drawn.add("in.contractor.logo")
    loaded = st.file_uploader(
        say("document.logo"), type=["png", "jpg", "jpeg"], key="logo", max_upload_size=MAX_BYTES // 1_000_000
    )
    if loaded is not None and held.logo_file_id != loaded.file_id:
        held.logo_file_id = loaded.file_id
        take_logo(loaded.getvalue())
    if held.logo_refused:
        st.error(typed(held.logo_refused))
    elif held.logo_png is not None:
        st.image(held.logo_png, width=160)
        st.button(say("document.logo.drop"), key="logo_drop", on_click=_drop_logo)


def take_logo(content: bytes) -> None:
    """Read a logo; why it was refused, if it was."""
    held = session.current()
    held.logo_refused, held.logo_png = None, None
    try:
        held.logo_png, _ = as_png(content)
    except AdvisorError as error:
        held.logo_refused = refused(error)


def _drop_logo() -> None:
    session.current().logo_png = None


def download(comparison: Comparison, chosen: Candidate) -> None:
    """Buttons that make the document; it is set when one is pressed."""
    with st.container(key="hand_over"):
        st.subheader(say("document.hand_over"))
        st.caption(say("document.is_about", heater=heater_title(chosen.heater)))
        held = session.current()
        with st.container(horizontal=True):
            paper = st.radio(
                say("document.paper"), ["letter", "a4"], format_func=_PAPERS.__getitem__, horizontal=True, key="paper"
            )
            # What the session says is read now: a button's work runs beside the page.
            shown = partial(
                document, comparison, chosen=chosen, language=language(), si=held.units == "SI", logo=held.logo_png
            )
            for kind in ("pdf", "html"):
                made: Callable[[], bytes] = partial(_made, shown, kind, paper, comparison)
                st.download_button(
                    say(f"document.get.{kind}"), made, f"water-heater.{kind}", on_click="ignore", key=f"document_{kind}"
                )


def _made(shown: Callable[[], Document], kind: str, paper: str, comparison: Comparison) -> bytes:
    return written(shown(), "html" if kind == "html" else "pdf", paper=paper, day=comparison.today)
