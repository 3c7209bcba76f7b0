"""The job book: jobs by customer and day with their state; find one, open it, copy it, put it away."""

from __future__ import annotations

from datetime import date

import streamlit as st

from advisor.book.listing import Entry, matching
from advisor.core.errors import AdvisorError
from advisor.web import job_book, session, state, widgets
from advisor.web.words import refused, say, typed

#: A screen's worth; words narrow down the rest.
_MOST_SHOWN = 40
STATES = ("asked", "offered", "done")


def draw() -> None:
    """The whole page."""
    if job_book.book is None:
        st.title(say("page.book"))
        st.markdown(say("book.none"))
        st.code("advisor serve --book FOLDER", language=None)
        if job_book.may_choose:
            _choose_folder()
        return
    in_archive = bool(st.session_state.get("book_archive"))
    try:
        jobs = job_book.book.jobs(is_archived=in_archive)
    except AdvisorError as error:
        st.title(say("page.book"))
        st.error(typed(refused(error)))
        return
    st.title(say("book.title", n=len(jobs)))
    st.caption(say("book.folder", folder=str(job_book.book.folder)))
    if why := state.refusal(job_book.SHOWN_AT):
        st.error(typed(why))
    _open_now()
    _list(jobs, is_archived=in_archive)


def _choose_folder() -> None:
    """Name the folder here: on a machine of one's own there is nobody else whom that concerns."""
    st.markdown(say("book.choose"))
    if why := state.refusal(job_book.SHOWN_AT):
        st.error(typed(why))
    with st.container(horizontal=True, vertical_alignment="bottom"):
        widgets.seed("book_folder", "Water heater jobs")
        st.text_input(say("book.choose.folder"), key="book_folder", max_chars=200, width=320)
        st.button(say("book.choose.take"), key="book_choose", type="primary", on_click=_take_folder)


def _take_folder() -> None:
    job_book.choose(str(st.session_state["book_folder"]))


def _open_now() -> None:
    """The job that is open, or a form to put the house on the screen into the book."""
    held = job_book.current()
    with st.container(border=True):
        if held is None:
            _new()
            return
        st.markdown(f"**{typed(held.file)}**: {say('book.kept' if job_book.is_kept() else 'book.not_kept')}")
        with st.container(horizontal=True):
            buttons("page")
            st.button(say("book.shut"), key="book_shut", on_click=job_book.shut)


def buttons(where: str) -> None:
    """Keep the job; where another window was faster, keep it as a copy or open what the book holds.

    Parameters
    ----------
    where : str
        Where they stand, as they stand on more than one place.
    """
    held = job_book.current()
    if held is None:
        return
    st.button(
        say("book.keep"),
        key=f"book_keep_{where}",
        type="primary",
        on_click=job_book.keep,
        disabled=job_book.is_kept() or held.is_overtaken,
    )
    if held.is_overtaken:
        st.button(say("book.keep_copy"), key=f"book_keep_copy_{where}", on_click=job_book.keep_as_copy)
    if not job_book.is_kept():
        st.button(say("book.drop"), key=f"book_drop_{where}", on_click=job_book.drop_changes)


def _new() -> None:
    st.markdown(f"**{say('book.new')}**")
    held = session.current()
    customer, day = "" if held.is_demo else str(state.answer("name") or ""), state.answer("job.visit_on")
    if held.n_named != held.n_opened:  # another case: its own name and day
        held.n_named = held.n_opened
        for key in ("book_customer", "book_day"):
            st.session_state.pop(key, None)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        widgets.seed("book_customer", customer)
        st.text_input(say("book.customer"), key="book_customer", max_chars=120, width=280)
        widgets.seed("book_day", day or date.today())
        st.date_input(say("book.day"), key="book_day", width=160)
        st.button(say("book.add"), key="book_add", type="primary", on_click=_add)


def _add() -> None:
    job_book.add(st.session_state["book_customer"], st.session_state["book_day"] or date.today())


def _list(jobs: list[Entry], *, is_archived: bool) -> None:
    with st.container(horizontal=True, vertical_alignment="bottom"):
        words = st.text_input(say("book.search"), key="book_search", max_chars=100, width=280, persist_state="session")
        chosen = st.multiselect(
            say("book.col.state"),
            STATES,
            key="book_states",
            format_func=lambda one: say(f"book.state.{one}"),
            width=260,
            persist_state="session",
        )
        st.checkbox(say("book.archived"), key="book_archive", persist_state="session")
    found = matching(jobs, words or "", tuple(chosen))
    if not found:
        st.markdown(say("book.nothing"))
        return
    shown = found[:_MOST_SHOWN]
    widgets.table(
        [
            {
                say("book.col.customer"): typed(one.customer),
                say("book.day"): "" if one.day is None else one.day.isoformat(),
                say("book.col.state"): say(f"book.state.{one.state}"),
            }
            for one in shown
        ],
        alt=say("page.book"),
    )
    if len(found) > len(shown):
        st.caption(say("book.more", n=len(found) - len(shown)))
    _choose(found, is_archived=is_archived)


def _choose(found: list[Entry], *, is_archived: bool) -> None:
    by_file = {one.file: one for one in found}
    widgets.seed("book_job", found[0].file, among=by_file)
    file = st.selectbox(
        say("book.job"), list(by_file), key="book_job", format_func=lambda one: _line(by_file[one]), width=420
    )
    is_open_dirty = job_book.current() is not None and not job_book.is_kept()
    with st.container(horizontal=True):
        if not is_archived:
            st.button(
                say("book.open"),
                key="book_open",
                on_click=job_book.open_job,
                args=(file,),
                disabled=is_open_dirty,
                help=say("book.keep_first") if is_open_dirty else None,
            )
            st.button(say("book.copy"), key="book_copy", on_click=job_book.copy, args=(file,), disabled=is_open_dirty)
        st.button(
            say("book.take_back" if is_archived else "book.put_away"),
            key="book_put_away",
            on_click=job_book.put_away,
            args=(file,),
            kwargs={"is_archived": is_archived},
        )


def _line(one: Entry) -> str:
    return f"{one.customer} · {one.day or '–'} · {say(f'book.state.{one.state}')}"
