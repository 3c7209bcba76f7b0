"""A field for every key of the case, made from its schema: folded by topic, on the page where the key belongs.

A page draws by hand what it needs beside its pictures. Whatever else its sections hold is drawn here, below, so that a
new key of the case has a field without another line.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any, Literal, get_args, get_origin

import streamlit as st

from advisor.case.base import Section
from advisor.case.record import Case
from advisor.core.kinds import Kind
from advisor.core.units import UNITS, suffix_of
from advisor.web import session, state, tables, widgets
from advisor.web.words import kind_word, say, typed

#: What each page folds: a heading and the sections or keys of the case below it.
TOPICS: dict[str, tuple[tuple[str, tuple[str, ...]], ...]] = {
    "job": (
        ("The visit", ("name", "job", "install_date", "made_on")),
        ("Where", ("place",)),
        ("Who lives there", ("household",)),
        ("What failed", ("failed",)),
        ("The house", ("house",)),
        ("What runs in the busiest hour", ("uses",)),
        ("Two of one heater", ("several",)),
        ("Own prices of heaters and jobs", ("price_list",)),
        ("Rebates promised in writing", ("rebates",)),
        ("What energy costs", ("prices",)),
        ("Tariffs as on the bill", ("tariffs",)),
        ("A bill", ("bill",)),
        ("How money is weighed", ("economics",)),
    ),
    "offers": (("Whose name stands on the document, and nowhere else", ("contractor",)),),
    "gas_line": (("More about the gas line", ("gas",)),),
    "vent_and_air": (("More about the flue and the vent", ("vent",)),),
    "panel_and_drain": (
        ("More about the panel and what it feeds", ("electrical",)),
        ("More about the drain", ("drain",)),
        ("More about the water, its pipes and a loop", ("water",)),
    ),
}
#: Keys whose field is elsewhere or of another form, each with the reason.
ELSEWHERE = {
    "offers": "the form on the page of offers",
    "contractor.logo": "a file beside the case; in the app it is uploaded on the page of offers",
    "readings": "the sheet of readings, on the page of panel and drain",
    "heaters": "the label form on the page of the job",
    "gas.segments": "the table of the whole tree, on the page of the gas line",
    "gas.outlets": "the table of the whole tree, on the page of the gas line",
    "gas.regulators": "the table of the whole tree, on the page of the gas line",
}
#: A label no longer than this stands beside its neighbors; the rest is told on hovering.
_SHORT = 60


def keys_of(path: str) -> Iterator[str]:
    """The keys below a path that have a field of their own: of a section, else the path itself."""
    model = section_in(_field(path).annotation)
    if model is None or is_list(path):
        yield path
        return
    for name in model.model_fields:
        yield from keys_of(f"{path}.{name}")


def is_list(path: str) -> bool:
    """Whether the case holds a list of sections there."""
    annotation = _field(path).annotation
    return get_origin(annotation) is tuple and section_in(annotation) is not None


def is_nested(path: str) -> bool:
    """Whether its entries hold lists of sections themselves, so that no table can show them."""
    model = section_in(_field(path).annotation)
    return model is not None and any(section_in(one.annotation) for one in model.model_fields.values())


def section_in(annotation: Any) -> type[Section] | None:
    """The section inside an annotation."""
    for one in (annotation, *get_args(annotation)):
        if isinstance(one, type) and issubclass(one, Section):
            return one
    return None


def _field(path: str) -> Any:
    model: Any = Case
    *parents, last = path.split(".")
    for part in parents:
        model = section_in(model.model_fields[part].annotation)
    return model.model_fields[last]


def take(page: str) -> None:
    """Take what was typed into the page's tables; to be called before anything shows the case."""
    for _, paths in TOPICS[page]:
        for path in paths:
            if is_list(path) and path not in ELSEWHERE and not is_nested(path):
                tables.take(path)


def draw(page: str) -> None:
    """Whatever of the page's topics was not drawn above, a fold for each."""
    for title, paths in TOPICS[page]:
        drawn = session.current().drawn
        left = [key for path in paths for key in keys_of(path) if f"in.{key}" not in drawn and key not in ELSEWHERE]
        if left:
            given = sum(state.answer(key) is not None for key in left)
            with st.expander(f"{title} ({given} of {len(left)} given)" if len(left) > 1 else title):
                _topic(left)
    st.caption("What is left out is taken as usual and listed as assumed. A unit may stand behind a number.")


def _topic(keys: Sequence[str]) -> None:
    with st.container(horizontal=True, vertical_alignment="bottom"):
        for key in keys:
            if is_list(key):
                continue
            with st.container(width=300):
                one(key)
    for key in keys:
        if is_list(key) and is_nested(key):
            tables.as_text(key, section_in(_field(key).annotation))
        elif is_list(key):
            tables.draw(key, section_in(_field(key).annotation))


def one(path: str) -> None:
    """The field of one key, of the kind that its annotation asks for."""
    found = _field(path)
    label, help = label_of(path, found)
    choices = choices_of(found.annotation)
    if get_origin(found.annotation) is tuple:
        _several(path, label, choices, help)
    elif _holds(found.annotation, bool):
        widgets.choice(path, label, (True, False), lambda on: say("web.yes" if on else "web.no"), help=help)
    elif choices:
        widgets.choice(path, label, choices, choice_word, help=help)
    else:
        _written(path, label, found, help)


def label_of(path: str, found: Any) -> tuple[str, str | None]:
    """What stands beside a field, and what hovering tells."""
    whole = str(found.description)
    label = whole if len(whole) <= _SHORT else whole.partition(";")[0].partition(":")[0].partition(",")[0]
    told = [whole] if label != whole else []
    if not found.is_required() and found.default not in (None, ()):
        told.append(f"Taken as {choice_word(found.default)} where nothing is given.")
    unit = UNITS[suffix_of(path) or "dimensionless"].label
    return (f"{label} ({unit})" if unit and not choices_of(found.annotation) else label), " ".join(told) or None


def choice_word(value: Any) -> str:
    """A value of a list to choose from, as a person says it."""
    if isinstance(value, bool):
        return say("web.yes" if value else "web.no")
    if isinstance(value, Kind):
        return kind_word(value)
    return f"{value:g}" if isinstance(value, float) else str(value).replace("_", " ")


def choices_of(annotation: Any) -> tuple[Any, ...]:
    """What may be chosen: the words of a list, or the ids of a kind."""
    if get_origin(annotation) is Literal:
        return get_args(annotation)
    if isinstance(annotation, type) and issubclass(annotation, Kind):
        return tuple(kind.id for kind in annotation.all())
    return tuple(choice for part in get_args(annotation) for choice in choices_of(part))


def _holds(annotation: Any, kind: type) -> bool:
    return annotation is kind or kind in get_args(annotation)


def _several(path: str, label: str, choices: Sequence[Any], help: str | None) -> None:
    key = f"in.{path}"
    widgets.bind(key, [str(one) for one in state.answer(path) or ()])
    st.multiselect(
        label, choices, key=key, format_func=choice_word, help=help, on_change=_take_several, args=(path, key)
    )
    _refused(path)


def _take_several(path: str, key: str) -> None:
    state.set_answer(path, tuple(st.session_state[key]) or None)


def _written(path: str, label: str, found: Any, help: str | None) -> None:
    """A number, a date or a text, typed; what was refused stays in the field."""
    key = f"in.{path}"
    session.current().drawn.add(key)
    if not state.refusal(path) or key not in st.session_state:
        widgets.bind(key, shown(state.answer(path)))
    is_number = _holds(found.annotation, float) or _holds(found.annotation, int)
    is_date = _holds(found.annotation, date)
    default = None if found.is_required() or found.default is None else choice_word(found.default)
    st.text_input(
        label,
        key=key,
        help=help,
        placeholder="2026-11-25" if is_date else say("web.assumed", value=default) if default else None,
        max_chars=200,
        on_change=widgets.take_quantity if is_number else _take_text,
        args=(path,) if is_number else (path, key),
    )
    _refused(path)


def shown(value: Any) -> str:
    """A value as it is typed."""
    return "" if value is None else f"{value:.10g}" if isinstance(value, float) else str(value)


def _take_text(path: str, key: str) -> None:
    state.set_answer(path, st.session_state[key].strip() or None)


def _refused(path: str) -> None:
    if why := state.refusal(path):
        st.error(typed(why))
