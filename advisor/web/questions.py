"""The four questions, one at a time, in the order in which people know the answers."""

from __future__ import annotations

from typing import Any

import streamlit as st

from advisor.core.kinds import Fuel, electricity, piped_gas
from advisor.core.units import UNITS
from advisor.place.location import locate
from advisor.place.names import is_territory, state_names
from advisor.place.refusal import PlaceError
from advisor.place.typed import MOST_LETTERS
from advisor.web import session, state
from advisor.web.widgets import seed
from advisor.web.words import kind_word, refused, say, typed

KINDS = ("tank", "tankless", "heat_pump")
RAN_OUT = ("never", "sometimes", "often")
LAST_STEP = 4


def start() -> None:
    """Start with the first question, the draft filled with what is known of the user's own house."""
    held = session.current()
    own = {} if held.is_demo else held.given
    place, failed, house = own.get("place", {}), own.get("failed", {}), own.get("house", {})
    held.draft = {
        "where": place.get("zip_code") or place.get("city") or "",
        "people": own.get("household", {}).get("people", 3),
        "fuel": failed.get("fuel", piped_gas().id),
        "kind": failed.get("kind", "tank"),
        "size": failed.get("size_gal"),
        "ran_out": failed.get("ran_out"),
        "fuels": list(house.get("fuels", ())),
    }
    held.step, held.step_refused, held.step_choices = 1, None, ()


def ask() -> None:
    """Draw the question of the current step."""
    held = session.current()
    step, draft = held.step, held.draft
    with st.container(width=640):
        st.caption(say("start.step", n=step))
        {1: _where, 2: _people, 3: _failed, 4: _fuels}[step](draft)
        if held.step_refused:
            st.error(typed(held.step_refused))
            _choices(held.step_choices)
        with st.container(horizontal=True):
            st.button(say("start.back"), key="step_back", on_click=_back)
            label = say("start.show") if step == LAST_STEP else say("start.next")
            st.button(label, key="step_next", type="primary", on_click=_next)


def _choices(choices: tuple[str, ...]) -> None:
    """What may have been meant, to click."""
    with st.container(horizontal=True):
        for number, choice in enumerate(choices):
            st.button(typed(choice), key=f"choice_{number}", on_click=_choose, args=(choice,))


def _choose(choice: str) -> None:
    st.session_state.q_where = choice
    _next()


def _where(draft: dict[str, Any]) -> None:
    st.title(say("start.where"))
    seed("q_where", draft["where"])
    st.text_input(say("start.where.label"), key="q_where", placeholder="55811 / Duluth, MN", max_chars=MOST_LETTERS)
    st.caption(say("start.where.why"))


def _people(draft: dict[str, Any]) -> None:
    st.title(say("start.people"))
    seed("q_people", int(draft["people"]))
    st.number_input(say("start.people"), 1, 20, step=1, key="q_people", label_visibility="collapsed")
    st.caption(say("start.people.why"))


def _failed(draft: dict[str, Any]) -> None:
    st.title(say("start.failed"))
    seed("q_fuel", draft["fuel"])
    seed("q_kind", draft["kind"])
    seed("q_size", draft["size"])
    fuels = [fuel.id for fuel in Fuel.all()]
    st.radio(say("start.failed.fuel"), fuels, key="q_fuel", format_func=lambda fuel: kind_word(Fuel.named(fuel)))
    st.radio(say("start.failed.kind"), KINDS, key="q_kind", format_func=lambda kind: say(f"kind.{kind}"))
    if st.session_state.q_kind != "tankless":
        st.number_input(say("start.failed.size"), 2.0, 120.0, step=10.0, key="q_size", value=None, placeholder="50")
    seed("q_ran_out", draft["ran_out"])
    st.radio(
        say("start.failed.ran_out"),
        RAN_OUT,
        key="q_ran_out",
        index=None,
        horizontal=True,
        format_func=lambda often: say(f"ran_out.{often}"),
    )
    st.caption(say("start.failed.why"))
    st.info(say("start.unsure"))


def _fuels(draft: dict[str, Any]) -> None:
    st.title(say("start.fuels"))
    known = draft["fuels"] or [draft["fuel"]]
    for fuel in Fuel.all():
        seed(f"q_has_{fuel}", fuel.id in known)
        st.checkbox(kind_word(fuel), key=f"q_has_{fuel}")
    st.caption(say("start.fuels.why"))
    if is_territory(draft["home"]):
        _prices(draft)


def _prices(draft: dict[str, Any]) -> None:
    """Where no averages are held, what the household pays is asked for."""
    st.caption(say("start.prices.why", home=state_names()[draft["home"]]))
    for fuel in Fuel.all():
        if fuel.is_electric or st.session_state[f"q_has_{fuel}"]:
            seed(f"q_price_{fuel}", draft.get("prices", {}).get(fuel.id))
            label = say("start.price", fuel=fuel.word, unit=UNITS[fuel.price_unit].label)
            st.number_input(label, 0.01, 30.0, step=0.01, key=f"q_price_{fuel}", value=None)


def _read() -> None:
    """Take the answers of the step that is on the screen into the draft."""
    draft = session.current().draft
    for name in ("where", "people", "fuel", "kind", "size", "ran_out"):
        if f"q_{name}" in st.session_state:
            draft[name] = st.session_state[f"q_{name}"]
    if f"q_has_{electricity()}" in st.session_state:
        draft["fuels"] = [fuel.id for fuel in Fuel.all() if st.session_state[f"q_has_{fuel}"]]
        typed_in = {fuel: st.session_state.get(f"q_price_{fuel}") for fuel in Fuel.all()}
        draft["prices"] = {fuel.id: price for fuel, price in typed_in.items() if price}


def _back() -> None:
    _read()
    held = session.current()
    held.step, held.step_refused, held.step_choices = held.step - 1, None, ()


def _next() -> None:
    _read()
    held = session.current()
    held.step_refused, held.step_choices = None, ()
    if held.step == 1:
        _find(held)
    elif held.step == LAST_STEP and state.replace_answers(_answers(held.draft), shown_at="four_answers"):
        state.leave_demo()
        held.step = 0
        return
    elif held.step == LAST_STEP:
        held.step_refused = state.refusal("four_answers")
    if held.step_refused is None:
        held.step += 1


def _find(held: session.Session) -> None:
    """Find the place at once, so that nobody answers three more questions in vain."""
    try:
        held.draft["place"], held.draft["home"] = _place(held.draft["where"])
    except PlaceError as error:
        held.step_refused, held.step_choices = refused(error), error.choices


def _place(where: str) -> tuple[dict[str, str], str]:
    """The place as the case holds it, and its state; a town that is not the ZIP's own is kept, to be told of."""
    found = locate(city=where)
    if found.zip_code is None:
        return {"city": f"{found.city}, {found.state}"}, found.state
    is_odd = any(told.code == "place.zip.other_city" for told in found.notes)
    return {"zip_code": found.zip_code} | ({"city": where} if is_odd else {}), found.state


def _answers(draft: dict[str, Any]) -> dict[str, Any]:
    failed = {"fuel": draft["fuel"], "kind": draft["kind"]}
    if draft["kind"] != "tankless" and draft["size"]:
        failed["size_gal"] = draft["size"]
    if draft["ran_out"]:
        failed["ran_out"] = draft["ran_out"]
    fuels = tuple(dict.fromkeys([*draft["fuels"], *([draft["fuel"]] if draft["fuel"] != electricity().id else [])]))
    return {
        "place": draft["place"],
        "prices": {Fuel.named(fuel).price_key: price for fuel, price in draft.get("prices", {}).items()},
        "household": {"people": int(draft["people"])},
        "failed": failed,
        "house": {"fuels": fuels or (electricity().id,)},
    }
