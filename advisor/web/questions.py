"""The questions, one at a time, in the order in which people know the answers, each with why it is asked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

import streamlit as st

from advisor.core.errors import InputError
from advisor.core.findings import Finding
from advisor.core.kinds import Fuel
from advisor.place.names import state_names
from advisor.place.refusal import PlaceError
from advisor.place.typed import MOST_LETTERS
from advisor.web import draft as drafts
from advisor.web import drawings, session, state
from advisor.web.draft import RAN_OUT, SHAPES, SPACES, TROUBLES, UNKNOWN
from advisor.web.widgets import seed
from advisor.web.words import kind_word, say, typed

#: As wide as a line is read with ease.
_WIDE_PX = 560
#: Fields that a phone shows its digits for.
NUMERIC = ("q_people", "q_bedrooms", "q_size", *(f"q_price_{fuel}" for fuel in Fuel.all()))


def start() -> None:
    """Ask: from the first question, or from the list of answers where the user's own house is known."""
    held = session.current()
    if not held.draft:
        held.draft = drafts.begun({} if held.is_demo else held.given)
    _go("check" if held.draft.get("is_checked") else drafts.STEPS[0])


def follow(step: str, count: int) -> None:
    """Go where the browser's own Back or Forward led."""
    held = session.current()
    held.heard = count
    if not step:
        _go("")
        return
    try:
        _go(drafts.first_open(held.draft, step))
    except InputError:
        _go("")


def _go(step: str) -> None:
    held = session.current()
    held.step, held.step_refused, held.step_choices = step, None, ()


def ask() -> None:
    """Draw the question of the current step."""
    held = session.current()
    steps = drafts.steps_of(held.draft)
    if held.step not in steps:
        held.step = "check"
    with st.container(width=_WIDE_PX):
        st.caption(say("start.step", n=steps.index(held.step) + 1, most=len(steps)))
        st.title(say(f"q.{held.step}.title"))
        st.caption(say(f"q.{held.step}.why"))
        _BODIES[held.step](held.draft)


def _refusal() -> None:
    held = session.current()
    told = held.step_refused
    if told is None:
        return
    st.error(say(told) if isinstance(told, Finding) else typed(told))


def _choices() -> None:
    """What may have been meant, to tap."""
    with st.container(horizontal=True):
        for number, choice in enumerate(session.current().step_choices):
            st.button(typed(choice), key=f"choice_{number}", on_click=_choose_place, args=(choice,))


def _choose_place(choice: str) -> None:
    session.current().draft["where"] = choice
    st.session_state.q_where = choice
    _next()


def _options(name: str, options: Sequence[str], draft: drafts.Draft) -> None:
    """Answers to tap; the one that was given before is marked."""
    for option in (*options, UNKNOWN):
        words = say("q.unknown") if option == UNKNOWN else _option_words(name, option)
        kind: Literal["primary", "secondary"] = "primary" if draft.get(name) == option else "secondary"
        picture = drawings.OF_HEATERS.get(option) if name == "heater" else None
        with st.container(horizontal=True, vertical_alignment="center", gap="small"):
            if picture:
                st.image(picture, width=48, alt=words)
            st.button(
                words, key=f"pick_{option}", type=kind, width="stretch", on_click=_take_option, args=(name, option)
            )


def _option_words(name: str, option: str) -> str:
    return say(f"space.{option}").capitalize() if name == "space" else say(f"q.{name}.{option}")


def _take_option(name: str, option: str) -> None:
    held = session.current()
    _read()
    held.draft[name] = option
    # What to do about a leak, or a smell, is read before anything else is asked.
    if name == "trouble" and option in ("leaks", "noise"):
        return
    _next()


def _trouble(draft: drafts.Draft) -> None:
    _options("trouble", TROUBLES, draft)
    if draft.get("trouble") == "leaks":
        with st.container(border=True):
            st.subheader(say("q.leak.title"))
            st.image(drawings.VALVES, width=200, alt=say("q.leak.alt"))
            st.markdown("\n".join(f"{n}. {say(f'q.leak.{n}')}" for n in (1, 2, 3)))
    if draft.get("trouble") == "noise":
        st.warning(say("q.smell"))
    _buttons(with_next=draft.get("trouble") in ("leaks", "noise"))


def _field(name: str, label: str, draft: drafts.Draft, **looks: Any) -> None:
    """One field to type in: Enter goes on, and what cannot be is told under it."""
    key = f"q_{name}"
    with st.form("q_form", border=False, enter_to_submit=True):
        seed(key, draft.get(name, ""))
        st.text_input(say(label), key=key, max_chars=MOST_LETTERS, **looks)
        _refusal()
        _submit()


def _where(draft: drafts.Draft) -> None:
    _field("where", "start.where.label", draft, placeholder="55811 / Duluth, MN")
    _choices()
    _back_button()


def _people(draft: drafts.Draft) -> None:
    if draft.get("people") == UNKNOWN:
        _field("bedrooms", "q.bedrooms.title", draft)
        st.button(say("q.bedrooms.known"), key="pick_known", width="stretch", on_click=_set_people, args=("",))
    else:
        _field("people", "q.people.title", draft, label_visibility="collapsed")
        st.button(say("q.unknown"), key="pick_unknown", width="stretch", on_click=_set_people, args=(UNKNOWN,))
    _back_button()


def _set_people(answer: str) -> None:
    """Ask for the bedrooms where nobody knows how many live there, or for the people after all."""
    held = session.current()
    held.draft["people"], held.step_refused = answer, None
    st.session_state.q_people = answer


def _heater(draft: drafts.Draft) -> None:
    _options("heater", tuple(SHAPES), draft)
    st.caption(say("q.heater.unknown.note"))
    _buttons(with_next=False)


def _fuels(draft: drafts.Draft) -> None:
    for fuel in Fuel.all():
        seed(f"q_has_{fuel}", fuel.id in draft.get("fuels", ()))
        if fuel.is_burned:
            st.checkbox(kind_word(fuel).capitalize(), key=f"q_has_{fuel}", on_change=_read)
    st.caption(say("q.fuels.help"))
    there = [fuel.id for fuel in drafts.burned() if fuel.id in draft.get("fuels", ())]
    if drafts.shape_of(draft).burns and len(there) > 1 and draft.get("heater") in SHAPES:
        seed("q_burns", draft.get("burns") if draft.get("burns") in there else None)
        st.radio(
            say("q.fuels.which"), there, key="q_burns", format_func=lambda fuel: kind_word(Fuel.named(fuel)), index=None
        )
    priced = drafts.priced(draft)
    if priced:
        st.caption(say("start.prices.why", home=state_names()[draft["home"]]))
    for fuel in priced:
        seed(f"q_price_{fuel}", draft.get("prices", {}).get(fuel.id, ""))
        label = say("start.price", fuel=kind_word(fuel).capitalize(), unit=drafts.unit_of(fuel))
        st.text_input(label, key=f"q_price_{fuel}", max_chars=20)
    _refusal()
    _buttons()


def _size(draft: drafts.Draft) -> None:
    with st.form("q_form", border=False, enter_to_submit=True):
        size = draft.get("size", "")
        seed("q_size", "" if size == UNKNOWN else size)
        st.text_input(say("q.size.title"), key="q_size", label_visibility="collapsed", max_chars=MOST_LETTERS)
        _refusal()
        _submit()
    st.button(say("q.unknown"), key="pick_unknown", width="stretch", on_click=_no_size)
    _back_button()


def _no_size() -> None:
    st.session_state.q_size = UNKNOWN
    _next()


def _ran_out(draft: drafts.Draft) -> None:
    _options("ran_out", RAN_OUT, draft)
    _buttons(with_next=False)


def _space(draft: drafts.Draft) -> None:
    seed("q_is_flat", bool(draft.get("is_flat")))
    st.checkbox(say("q.space.flat"), key="q_is_flat")
    _options("space", SPACES, draft)
    _buttons(with_next=False)


def _check(draft: drafts.Draft) -> None:
    for step in drafts.steps_of(draft)[:-1]:
        with st.container(horizontal=True, vertical_alignment="center", horizontal_alignment="distribute"):
            name = say(f"q.check.{step}")
            st.markdown(f"**{name}:** {_told(draft, step)}", width="content")
            st.button(
                say("q.check.change", what=name), key=f"change_{step}", type="tertiary", on_click=_go, args=(step,)
            )
    _refusal()
    with st.container(horizontal=True):
        st.button(say("start.back"), key="step_back", on_click=_back)
        st.button(say("start.show"), key="step_next", type="primary", on_click=_show)


def _told(draft: drafts.Draft, step: str) -> str:
    """An answer as it was understood."""
    if step == "where":
        return typed(draft.get("town", draft.get("where", "")))
    if step == "people":
        if draft.get("people") == UNKNOWN:
            return say("q.check.by_bedrooms", n=int(drafts.number_in(draft.get("bedrooms", "")) or 0))
        return typed(draft.get("people", ""))
    if step == "fuels":
        there = [Fuel.named(fuel) for fuel in draft.get("fuels", ()) if not Fuel.named(fuel).is_electric]
        return ", ".join(map(kind_word, [*there, *(fuel for fuel in Fuel.all() if fuel.is_electric)]))
    answer = draft.get(step, UNKNOWN)
    if step == "heater":
        fuel = drafts.fuel_of(draft)
        kind = ", ".join([say(f"kind.{drafts.shape_of(draft).kind}"), *([kind_word(fuel)] if fuel else [])])
        return kind if answer != UNKNOWN else f"{say('q.unknown')}. {say('q.check.taken', what=kind)}"
    if answer == UNKNOWN:
        return say("q.unknown")
    return typed(answer) if step == "size" else _option_words(step, answer)


_BODIES = {
    "trouble": _trouble,
    "where": _where,
    "people": _people,
    "heater": _heater,
    "fuels": _fuels,
    "size": _size,
    "ran_out": _ran_out,
    "space": _space,
    "check": _check,
}


def _submit() -> None:
    st.form_submit_button(say("start.next"), key="step_next", type="primary", on_click=_next)


def _back_button() -> None:
    st.button(say("start.back"), key="step_back", on_click=_back)


def _buttons(*, with_next: bool = True) -> None:
    with st.container(horizontal=True):
        _back_button()
        if with_next:
            st.button(say("start.next"), key="step_next", type="primary", on_click=_next)


def _read() -> None:
    """Take what stands in the fields of the screen into the draft."""
    draft = session.current().draft
    for name in ("where", "people", "bedrooms", "size", "burns", "is_flat"):
        if f"q_{name}" in st.session_state and st.session_state[f"q_{name}"] is not None:
            draft[name] = st.session_state[f"q_{name}"]
    boxes = {fuel: f"q_has_{fuel}" for fuel in drafts.burned()}
    if all(box in st.session_state for box in boxes.values()):
        electric = [fuel.id for fuel in Fuel.all() if fuel.is_electric]
        draft["fuels"] = [fuel.id for fuel, box in boxes.items() if st.session_state[box]] + electric
    found = {
        fuel.id: st.session_state[f"q_price_{fuel}"] for fuel in Fuel.all() if f"q_price_{fuel}" in st.session_state
    }
    if found:
        draft["prices"] = {**draft.get("prices", {}), **found}


def _back() -> None:
    _read()
    held = session.current()
    _go(drafts.before(held.draft, held.step))


def _next() -> None:
    _read()
    held = session.current()
    trouble = drafts.trouble_with(held.draft, held.step)
    if trouble is None:
        _go(drafts.after(held.draft, held.step))
        held.draft["is_checked"] = held.draft.get("is_checked", False) or held.step == "check"
    elif isinstance(trouble, PlaceError):
        held.step_refused, held.step_choices = trouble.finding, trouble.choices
    else:
        held.step_refused, held.step_choices = trouble, ()


def _show() -> None:
    """Give the answer, or go to the first question that is open."""
    held = session.current()
    gap = next((step for step in drafts.steps_of(held.draft) if drafts.trouble_with(held.draft, step)), None)
    if gap is not None:
        _go(gap)
        _next()
        return
    given = drafts.given_of(held.draft, {} if held.is_demo else held.given)
    if state.take_house(given, shown_at="questions"):
        _go("")
        held.draft = {}
    else:
        held.step_refused = state.refusal("questions")
