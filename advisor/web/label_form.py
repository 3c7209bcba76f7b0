"""A heater from its own label: the printed numbers in the order they are printed in, checked as they are typed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import streamlit as st

from advisor.case.file import case_from, read_toml, text_of
from advisor.case.record import Label
from advisor.core.errors import AdvisorError, InputError
from advisor.core.kinds import Technology
from advisor.heaters.candidates import heater_from_label
from advisor.heaters.label_limits import label_flags
from advisor.web import fields, session, state, widgets
from advisor.web.words import refused, say, typed

SHOWN_AT = "heaters"
#: The yellow energy label first, then the rating plate, then the offer.
ORDER: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("What it is", ("title", "technology", "fuel")),
    (
        "On the energy label",
        ("fhr_gal", "max_gpm", "max_gpm_rise_df", "uef", "draw_pattern", "rated_volume_gal", "nominal_gal"),
    ),
    (
        "On the rating plate and in its papers",
        (
            "input_btuh",
            "min_input_btuh",
            "min_inlet_inwc",
            "recovery_frac",
            "input_kw",
            "circuit_a",
            "n_circuits",
            "activation_gpm",
        ),
    ),
    ("On the offer", ("installed_usd",)),
)


def draw() -> None:
    """The list of labels and the form for one of them."""
    held = session.current()
    labels = list(state.answer("heaters") or ())
    if held.label_place > len(labels):
        held.label_place, held.label = 0, {}
    _choose(labels)
    for title, names in ORDER:
        st.markdown(f"**{title}**")
        with st.container(horizontal=True, vertical_alignment="bottom"):
            for name in names:
                with st.container(width=220):
                    _field(name)
    for line in told():
        st.markdown(f"- {line}")
    if why := state.refusal(SHOWN_AT):
        st.error(typed(why))
    with st.container(horizontal=True):
        st.button("Put it on the list", key="label_put", type="primary", on_click=_put)
        if held.label_place:
            st.button("Take it off the list", key="label_drop", on_click=_drop)
    _files(labels)


def _choose(labels: Sequence[dict[str, Any]]) -> None:
    titles = ["a new one", *(f"{number}. {label['title']}" for number, label in enumerate(labels, start=1))]
    st.selectbox(
        "Label",
        range(len(titles)),
        format_func=titles.__getitem__,
        key=widgets.bind("label_place", session.current().label_place),
        on_change=_open,
        args=(labels,),
    )


def _open(labels: Sequence[dict[str, Any]]) -> None:
    held = session.current()
    held.label_place = st.session_state["label_place"]
    held.label = dict(labels[held.label_place - 1]) if held.label_place else {}
    state.clear_refusal(SHOWN_AT)


def _field(name: str) -> None:
    key, value = f"label.{name}", session.current().label.get(name)
    label, help = fields.label_of(name, Label.model_fields[name])
    choices = fields.choices_of(Label.model_fields[name].annotation)
    if choices:
        st.selectbox(
            label,
            [None, *choices],
            format_func=lambda one: say("web.not_sure") if one is None else choice_word(name, one),
            key=widgets.bind(key, value),
            help=help,
            on_change=_keep,
            args=(name,),
        )
    else:
        st.text_input(
            label, key=widgets.bind(key, fields.shown(value)), help=help, max_chars=200, on_change=_keep, args=(name,)
        )


def choice_word(name: str, one: str) -> str:
    """A class of heater by its title, everything else as a list says it."""
    return Technology.named(one).title if name == "technology" else fields.choice_word(one)


def _keep(name: str) -> None:
    held, value = session.current(), st.session_state[f"label.{name}"]
    value = value.strip() if isinstance(value, str) else value
    rest = {key: one for key, one in held.label.items() if key != name}
    held.label = rest if value in (None, "") else {**rest, name: value}


def told() -> list[str]:
    """What is missing, wrong or odd about the numbers so far, a line each."""
    if not session.current().label:
        return []
    if why := trouble(session.current().label):
        return [typed(why)]
    comparison = state.comparison()
    made_on = comparison.case.made_on or comparison.install_date
    odd = [say(flag) for flag in label_flags(heater_from_label(_read(session.current().label), 1), made_on)]
    return odd or ["✓ These numbers agree with each other."]


def trouble(draft: dict[str, Any]) -> str | None:
    """Why a label cannot be used as it stands."""
    missing = [name for name, found in Label.model_fields.items() if found.is_required() and name not in draft]
    try:
        if not missing:
            label = _read(draft)
            missing = [one for one in label.technology.label_numbers(label.fuel) if getattr(label, one) is None]
        if missing:
            return f"Still needed: {', '.join(_heading(name) for name in missing)}."
        heater_from_label(label, 1)
    except InputError as error:
        return _in_words(error)
    return None


def _heading(name: str) -> str:
    text = str(Label.model_fields[name].description)
    return text[:1].lower() + text[1:]


def _read(draft: dict[str, Any]) -> Label:
    """The label alone, read as a case reads it."""
    return case_from({**_LEAST, "heaters": [draft]}).heaters[0]


#: The least that makes a case, so that a label can be read before it belongs to a house.
_LEAST: dict[str, Any] = {
    "place": {"zip_code": "55811"},
    "household": {"people": 1},
    "failed": {"fuel": "electricity"},
    "house": {"fuels": ["electricity"]},
}


def _in_words(error: InputError) -> str:
    name = error.field.rpartition(".")[2]
    if name not in Label.model_fields:
        return refused(error)
    return refused(error.at(_heading(name)))


def _put() -> None:
    held = session.current()
    if why := trouble(held.label):
        held.refused[SHOWN_AT] = why
        return
    labels, place = list(state.answer("heaters") or ()), held.label_place
    labels[place - 1 : place] = [held.label] if place else []
    if not place:
        labels.append(held.label)
        place = len(labels)
    if state.set_answer(SHOWN_AT, labels):
        held.contractor_heater, held.label_place = f"own-{place}", place


def _drop() -> None:
    held = session.current()
    given, gone = held.given, held.label_place
    names = {f"own-{number}": f"own-{number - 1}" for number in range(gone + 1, len(given["heaters"]) + 1)}
    changed = {**given, "heaters": [one for n, one in enumerate(given["heaters"], start=1) if n != gone]}
    for key in ("offers", "several", "rebates"):
        rows = given.get(key, ())
        if any(row["candidate"].partition("-x")[0] == f"own-{gone}" for row in rows):
            reason, fix = "own-{number} still stands there", "take it out there first"
            held.refused[SHOWN_AT] = refused(InputError(key, None, reason, fix, number=gone))
            return
        changed[key] = [{**row, "candidate": _renamed(row["candidate"], names)} for row in rows]
    if state.replace_answers(changed, shown_at=SHOWN_AT):
        held.label_place, held.label = 0, {}


def _renamed(candidate: str, names: dict[str, str]) -> str:
    one, times, n_units = candidate.partition("-x")
    return f"{names.get(one, one)}{times}{n_units}"


def _files(labels: Sequence[dict[str, Any]]) -> None:
    """His own list, in a file that can be added to the next house."""
    import tomli_w

    if labels:
        kept = state.case().model_dump(mode="json", exclude_unset=True, exclude_none=True)["heaters"]
        st.download_button(
            "Keep these labels in a file",
            tomli_w.dumps({"heaters": kept}),
            "labels.toml",
            "application/toml",
            on_click="ignore",
            key="labels_keep",
        )
    held = session.current()
    loaded = st.file_uploader("Add the labels of a file", type=["toml"], key="labels_add")
    if loaded is not None and held.labels_file_id != loaded.file_id:
        held.labels_file_id = loaded.file_id
        add(loaded.getvalue())
        if not state.refusal(SHOWN_AT):
            st.rerun()


def add(content: bytes) -> None:
    """Add the labels of a file to the house's; those that stand there already are left out."""
    held = session.current()
    try:
        found = read_toml(text_of(content))
        rows = found.get("heaters")
        if not isinstance(rows, list) or set(found) != {"heaters"}:
            raise InputError("file", None, "this is no list of labels", "give a file with [[heaters]] and nothing else")
        labels = case_from({**_LEAST, "heaters": rows}).heaters
    except AdvisorError as error:
        held.refused[SHOWN_AT] = refused(error)
        return
    there = state.case().heaters
    new = [row for row, label in zip(rows, labels, strict=True) if label not in there]
    state.set_answer(SHOWN_AT, [*(state.answer("heaters") or ()), *new])
