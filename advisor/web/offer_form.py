"""An offer as it stands on the paper: heater, firm, lines, total, last day; or all of them from a spreadsheet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, get_args

import pandas as pd
import streamlit as st

from advisor.case.file import MAX_FILE_BYTES
from advisor.case.offer import LineKind, Offer, OfferLine
from advisor.case.offer_csv import offers_in
from advisor.comparison import Comparison
from advisor.core.errors import AdvisorError
from advisor.web import fields, session, state, tables, widgets
from advisor.web.words import heater_option, refused, say, typed

SHOWN_AT = "offers"
_HEAD = ("firm", "total_usd", "made_on", "valid_until")
_EMPTY_ROWS = 4


def draw(comparison: Comparison) -> None:
    """The list of offers, the form for one of them, and a spreadsheet's."""
    session.current().drawn.add("in.offers")
    offers = list(state.answer("offers") or ())
    held = session.current()
    if held.offer_place > len(offers):
        _show({}, 0)
    _choose(comparison, offers)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        _heater(comparison)
        for name in _HEAD:
            with st.container(width=190):
                _field(name)
    lines = _lines()
    _sum(lines)
    if why := state.refusal(SHOWN_AT):
        st.error(typed(why))
    with st.container(horizontal=True):
        st.button(say("offer.form.put"), key="offer_put", type="primary", on_click=_put, args=(lines,))
        if held.offer_place:
            st.button(say("offer.form.drop"), key="offer_drop", on_click=_drop)
    _spreadsheet()


def _choose(comparison: Comparison, offers: Sequence[dict[str, Any]]) -> None:
    titles = [say("offer.form.new")]
    for number, one in enumerate(offers, start=1):
        found = next((item for item in comparison.candidates if item.heater.id == one["candidate"]), None)
        heater = heater_option(found.heater) if found else one["candidate"]
        titles.append(f"{number}. {one.get('firm') or ''} {heater}".replace("  ", " "))
    st.selectbox(
        say("offer.form.which"),
        range(len(titles)),
        format_func=titles.__getitem__,
        key=widgets.bind("offer_place", session.current().offer_place),
        on_change=_open,
        args=(offers,),
    )


def _open(offers: Sequence[dict[str, Any]]) -> None:
    place = st.session_state["offer_place"]
    _show(dict(offers[place - 1]) if place else {}, place)
    state.clear_refusal(SHOWN_AT)


def _show(offer: dict[str, Any], place: int) -> None:
    held = session.current()
    held.offer, held.offer_place = offer, place
    widgets.reset("offer_lines")


def _heater(comparison: Comparison) -> None:
    names = {one.heater.id: heater_option(one.heater) for one in comparison.candidates}
    held = session.current()
    first = held.offer.get("candidate") or held.contractor_heater
    chosen = first if first in names else next(iter(names))
    held.offer = {**held.offer, "candidate": chosen}
    with st.container(width=400):
        st.selectbox(
            say("offer.form.heater"),
            list(names),
            format_func=names.__getitem__,
            key=widgets.bind("offer.candidate", chosen),
            on_change=_keep,
            args=("candidate",),
        )


def _field(name: str) -> None:
    key = f"offer.{name}"
    value = session.current().offer.get(name)
    st.text_input(
        say(f"offer.form.{name}"),
        key=widgets.bind(key, fields.shown(value)),
        # A help is one more stop of the Tab key: the other labels say all that theirs would.
        help=str(Offer.model_fields[name].description) if name == "total_usd" else None,
        placeholder="2026-11-25" if name in ("made_on", "valid_until") else None,
        max_chars=80,
        on_change=_keep,
        args=(name,),
    )


def _keep(name: str) -> None:
    held, value = session.current(), str(st.session_state[f"offer.{name}"]).strip()
    rest = {key: one for key, one in held.offer.items() if key != name}
    held.offer = {**rest, name: value} if value else rest


def _lines() -> list[dict[str, str]]:
    """The lines as a table that grows; a sheet may be pasted into it."""
    columns = list(OfferLine.model_fields)
    given = [{key: fields.shown(row.get(key)) for key in columns} for row in session.current().offer.get("lines", ())]
    blank: dict[str, str | None] = dict.fromkeys(columns)
    frame = pd.DataFrame([*given, *[blank] * _EMPTY_ROWS], columns=columns, dtype=object)
    text, jobs = st.column_config.TextColumn, tables.jobs()
    found = st.data_editor(
        frame,
        key=widgets.fresh_key("offer_lines"),
        num_rows="dynamic",
        hide_index=True,
        placeholder="",
        column_config={
            "what": text(say("offer.form.what"), width=250, max_chars=120),
            "kind": st.column_config.SelectboxColumn(
                say("offer.form.kind"),
                width=120,
                options=list(get_args(LineKind)),
                format_func=lambda kind: say(f"offer.kind.{kind}"),
            ),
            "usd": text(say("offer.form.usd"), width=90, max_chars=40),
            "job": st.column_config.SelectboxColumn(
                say("offer.form.job"),
                width=150,
                options=list(jobs),
                format_func=lambda job: jobs.get(str(job), str(job)),
            ),
            "as_of": text(say("offer.form.as_of"), width=100, max_chars=10),
        },
        alt=say("offer.form.lines"),
    )
    st.caption(widgets.plain(say("offer.form.example")))
    return tables.rows_of(found)


def _sum(lines: Sequence[dict[str, str]]) -> None:
    """The lines added up while they are typed, beside the total on the paper."""
    if not lines:
        return
    try:
        read = Offer.model_validate({"candidate": "x", "lines": lines})
    except (AdvisorError, ValueError):
        st.caption(say("offer.form.unread"))
        return
    st.markdown(widgets.plain(say("offer.form.sum", sum_usd=read.sum_usd)))


def _put(lines: list[dict[str, str]]) -> None:
    held = session.current()
    offer = {key: value for key, value in held.offer.items() if key != "lines"} | ({"lines": lines} if lines else {})
    offers, place = list(state.answer("offers") or ()), held.offer_place
    if place:
        offers[place - 1] = offer
    else:
        offers.append(offer)
    if lacks := _lacking(lines):
        held.refused[SHOWN_AT] = lacks
    elif state.set_answers({"offers": offers}, shown_at=SHOWN_AT):
        _show({}, 0)
        return
    held.offer = offer
    widgets.reset("offer_lines")


def _lacking(lines: Sequence[dict[str, str]]) -> str | None:
    """The first line that lacks something, told by the headings of the table."""
    for number, line in enumerate(lines, start=1):
        if lacks := tuple(say(f"offer.form.{key}") for key in ("what", "kind", "usd") if not line.get(key)):
            return say("offer.form.lacks", number=str(number), lacks=lacks)
    return None


def _drop() -> None:
    place = session.current().offer_place
    left = [one for number, one in enumerate(state.answer("offers") or (), start=1) if number != place]
    if state.set_answers({"offers": left or None}, shown_at=SHOWN_AT):
        _show({}, 0)


def _spreadsheet() -> None:
    held = session.current()
    loaded = st.file_uploader(say("offer.form.csv"), type=["csv"], key="offers_csv", help=say("offer.form.csv.help"))
    if loaded is not None and held.offers_file_id != loaded.file_id:
        held.offers_file_id = loaded.file_id
        add(loaded.getvalue())
        if not state.refusal(SHOWN_AT):
            st.rerun()


def add(content: bytes) -> None:
    """Add the offers of a spreadsheet to those that are there."""
    try:
        found = offers_in(content[: MAX_FILE_BYTES + 1])
    except AdvisorError as error:
        session.current().refused[SHOWN_AT] = refused(error)
        return
    state.set_answers({"offers": [*(state.answer("offers") or ()), *found]}, shown_at=SHOWN_AT)
