"""Inputs bound to the case, and small pieces that every page shows the same way."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from typing import Any

import streamlit as st

from advisor.core.errors import InputError
from advisor.core.units import UNITS, read_quantity, suffix_of, to_si
from advisor.web import session, state
from advisor.web.words import language, refused, say, typed

#: Narrower tables still stand on a phone.
_WIDE_COLUMNS = 4


def dollars(amount: float, step: int = 10) -> str:
    """Money as a reader says it: rounded, no cents. The sign is escaped, as two would start a formula."""
    rounded = round(amount / step) * step
    return f"{'-' if rounded < 0 else ''}\\${abs(rounded):,.0f}"


def money_range(low: float, high: float, step: int = 100) -> str:
    """A range of money, or one figure where both ends meet."""
    if low == high:  # somebody named this price: as typed
        return f"\\${low:,.2f}"
    if round(low / step) == round(high / step):
        return dollars(low, step)
    return say("web.range", low=dollars(low, step), high=f"{round(high / step) * step:,.0f}")


def plain(text: str) -> str:
    """Two dollar signs in one text would be read as a formula."""
    return text.replace("$", "\\$")


def is_si() -> bool:
    """Whether the session shows SI units."""
    return session.current().units == "SI"


def bind(key: str, value: Any) -> str:
    """Show in a widget what the session holds, each time before it is drawn; gives back the key.

    Streamlit forgets a widget once another page is drawn, so what lasts is held in the session and never in a widget.
    """
    session.current().drawn.add(key)
    st.session_state[key] = value
    return key


def seed(key: str, first: Any, *, among: Collection[Any] | None = None) -> None:
    """Give a widget its first choice; again when what it held can no longer be chosen. Then its own state rules."""
    held = st.session_state.get(key, first)
    if among is not None and isinstance(held, list):
        held = [one for one in held if one in among] or first
    elif among is not None and held not in among:
        held = first
    st.session_state[key] = held


def fresh_key(name: str) -> str:
    """The key of a widget that cannot be told what to show (a form, a table, a password): another after each reset."""
    return f"{name}.{session.current().turns.get(name, 0)}"


def reset(name: str) -> None:
    """Let such a widget begin again: what was typed is kept under the old key and forgotten with it."""
    turns = session.current().turns
    turns[name] = turns.get(name, 0) + 1


def shown(amount: float, suffix: str, digits: int | None = None) -> str:
    """An amount in the session's units."""
    from advisor.core.units import show

    return show(amount, suffix, si=is_si(), digits=digits)


def number(
    path: str,
    label: str,
    *,
    low: float,
    high: float,
    step: float,
    assumed: float | None = None,
    help: str | None = None,
) -> None:
    """A number bound to a key of the case; empty means not given, and the assumed value is shown in its place."""
    key = f"in.{path}"
    suffix = suffix_of(path) or "dimensionless"
    whole = isinstance(step, int)
    given = state.answer(path)
    kind: Callable[[Any], Any] = int if whole else float
    bind(key, None if given is None else kind(min(max(given, low), high)))
    unit = UNITS[suffix].label
    placeholder = None if assumed is None else say("web.assumed", value=f"{assumed:g}")
    st.number_input(
        f"{label} ({unit})" if unit else label,
        min_value=kind(low),
        max_value=kind(high),
        step=kind(step),
        key=key,
        format=None if whole else "%g",
        placeholder=placeholder,
        help=help,
        on_change=_take,
        args=(path, key),
    )
    _refused(path)
    _in_si(given, suffix)


def quantity(path: str, label: str, *, assumed: float | None = None, help: str | None = None) -> None:
    """A number bound to a key of the case and typed with or without a unit; what was refused stays in its field."""
    key = f"in.{path}"
    suffix = suffix_of(path) or "dimensionless"
    given, unit = state.answer(path), UNITS[suffix].label
    session.current().drawn.add(key)
    if not state.refusal(path) or key not in st.session_state:
        bind(key, "" if given is None else f"{given:.10g}")
    st.text_input(
        f"{label} ({unit})" if unit else label,
        key=key,
        placeholder=None if assumed is None else say("web.assumed", value=f"{assumed:g}"),
        max_chars=60,
        help=help,
        on_change=take_quantity,
        args=(path,),
    )
    _refused(path)
    _in_si(given, suffix)


def take_quantity(path: str) -> None:
    """Read the number that was typed for a key of the case, in whatever unit stands behind it."""
    text = str(st.session_state[f"in.{path}"]).strip()
    try:
        number = read_quantity(path, text, suffix_of(path) or "dimensionless") if text else None
    except InputError as error:
        session.current().refused[path] = refused(error)
        return
    state.set_answer(path, int(number) if number is not None and number.is_integer() else number)


def _in_si(given: Any, suffix: str) -> None:
    if is_si() and given is not None and UNITS[suffix].pint != UNITS[suffix].si_pint:
        amount, si_unit = to_si(given, suffix)
        st.caption(f"= {amount:.3g} {si_unit}")


def choice(
    path: str,
    label: str,
    options: Sequence[Any],
    words: Callable[[Any], str],
    *,
    help: str | None = None,
) -> None:
    """A choice bound to a key of the case."""
    key = f"in.{path}"
    bind(key, state.answer(path))
    choices = [None, *options]
    st.selectbox(
        label,
        choices,
        key=key,
        format_func=lambda option: say("web.not_sure") if option is None else words(option),
        placeholder=say("web.not_sure"),
        help=help,
        on_change=_take,
        args=(path, key),
    )
    _refused(path)


def yes_no(path: str, label: str) -> None:
    """Yes, no or not sure."""
    choice(path, label, (True, False), lambda option: say("web.yes" if option else "web.no"))


def text(path: str, label: str, *, help: str | None = None, placeholder: str | None = None) -> None:
    """A text bound to a key of the case."""
    key = f"in.{path}"
    bind(key, state.answer(path) or "")
    st.text_input(label, key=key, help=help, placeholder=placeholder, on_change=_take, args=(path, key))
    _refused(path)


def _take(path: str, key: str) -> None:
    state.set_answer(path, st.session_state[key])


def _refused(path: str) -> None:
    if why := state.refusal(path):
        st.error(typed(why))


def english_here() -> None:
    """Say to a reader of Spanish that this page is not wholly translated."""
    if language() != "en":
        st.caption(say("web.english_here"))


def is_phone() -> bool:
    """Whether the browser says that it runs on a phone."""
    return "Mobi" in (st.context.headers.get("User-Agent") or "")


def table(rows: Sequence[dict[str, Any]], *, alt: str | None = None) -> None:
    """A table; on a phone a wide one becomes a list, a record a paragraph headed by its first column."""
    if not (is_phone() and rows and len(rows[0]) > _WIDE_COLUMNS):
        st.table(list(rows), alt=alt)
        return
    for row in rows:
        (_, name), *rest = row.items()
        lines = [f"{key}: {value}".removeprefix(": ") for key, value in rest if value not in (None, "")]
        with st.container(border=True):
            st.markdown("  \n".join([f"**{name}**", *lines]))
