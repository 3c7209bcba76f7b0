"""The strip on every page: which house this is, and undo, save, load, link and language."""

from __future__ import annotations

import streamlit as st

from advisor.web import address, book_page, job_book, preparing, questions, session, state
from advisor.web.words import LANGUAGES, household_words, language, say, typed


def strip(page: str) -> None:
    """Draw the strip.

    Parameters
    ----------
    page : str
        The page below it.
    """
    held = session.current()
    held.drawn.clear()
    if held.notice:
        st.warning(say("frame.link_refused", why=typed(held.notice)))
        held.notice = None
    left, right = st.columns([5, 3], vertical_alignment="center")
    left.markdown(_house(is_asking=_is_asking(page)))
    with right, st.container(horizontal=True, horizontal_alignment="right", gap="small"):
        st.button(say("frame.undo"), key="undo_button", disabled=not held.past, on_click=state.undo)
        with st.popover(say("frame.keep"), key="keep"):
            _keep()
        other = "es" if language() == "en" else "en"
        st.button(LANGUAGES[other], key="language_button", on_click=_speak, args=(other,))
    if state.comparison().is_by_hand:
        preparing.tell(state.can_bench)


def _is_asking(page: str) -> bool:
    return bool(session.current().step) and not page


def _house(*, is_asking: bool) -> str:
    """Which house this is; while the questions are asked, the user's own as far as it is known."""
    held = session.current()
    if is_asking:
        return " · ".join(filter(None, (f"**{say('q.own')}**", typed(held.draft.get("town", "")))))
    where, who = state.comparison().site.location, household_words(state.case().household)
    demo = f" · **{say('frame.demo')}**" if held.is_demo else ""
    return f"{_job()}{typed(where.city)}, {typed(where.state)} · {who}{demo}"


def _job() -> str:
    """The customer of the open job, and whether the book holds all that was answered."""
    held = job_book.current()
    if held is None:
        return ""
    is_kept = say("book.kept" if job_book.is_kept() else "book.not_kept")
    return f"**{typed(state.case().name or held.file)}** ({is_kept}) · "


def hold_browser(page: str) -> None:
    """Tell the browser the address, the language and the question that it should show, once the page is drawn."""
    held = session.current()
    address.hold(
        state.link_query(is_asking=_is_asking(page)),
        page,
        language=language(),
        step=held.step if _is_asking(page) else "",
        heard=held.heard,
        went=questions.follow,
        numeric=questions.NUMERIC,
    )


def _speak(chosen: str) -> None:
    session.current().language = chosen


def _keep() -> None:
    if job_book.current() is not None:
        book_page.buttons("strip")
        if why := state.refusal(job_book.SHOWN_AT):
            st.error(typed(why))
    st.download_button(
        say("frame.save"), state.file_text(), "house.toml", "application/toml", on_click="ignore", key="save_case"
    )
    loaded = st.file_uploader(say("frame.load"), type=["toml"], key="load_case")
    held = session.current()
    if loaded is not None and held.file_id != loaded.file_id:
        held.file_id = loaded.file_id
        held.file_refused = state.open_file(loaded.getvalue())
        if held.file_refused is None:
            st.rerun()
    if held.file_refused:
        st.error(say("frame.load_refused", why=typed(held.file_refused)))
    st.caption(say("frame.link"))
