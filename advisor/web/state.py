"""One case for a session: the answers given, undo, the link that brings them back, and the file that keeps them."""

from __future__ import annotations

import copy
import functools
import threading
from datetime import date
from typing import Any

import streamlit as st

from advisor import paths
from advisor.case import Case
from advisor.case_file import case_from, parse_case, read_case, write_case
from advisor.comparison import Comparison, compare
from advisor.errors import AdvisorError

DEMO = "cold-city-basement"
_MOST_UNDOS = 50
_COMPARING = threading.Lock()
#: What a link carries: names a reader can understand, nothing that says who lives there. Path, name, kind.
_LINK = (
    ("place.zip_code", "zip", str),
    ("place.city", "city", str),
    ("household.people", "people", int),
    ("failed.fuel", "failed", str),
    ("failed.kind", "kind", str),
    ("failed.size_gal", "gallons", float),
    ("house.fuels", "fuels", list),
    ("house.heater_space", "space", str),
    ("household.set_point_f", "setpoint", float),
    ("household.bedrooms", "bedrooms", int),
    ("household.full_baths", "baths", int),
)


def begin() -> None:
    """Set up a new session: from the link if it carries a case, else the demo house."""
    if "given" in st.session_state:
        return
    st.session_state.undo, st.session_state.refused, st.session_state.notice = [], {}, None
    st.session_state.given, st.session_state.is_demo = _demo(), True
    linked = _from_link()
    if linked is None:
        return
    try:
        case_from(linked)
    except AdvisorError as error:
        st.session_state.notice = str(error)
        return
    st.session_state.given, st.session_state.is_demo = linked, False


def _demo() -> dict[str, Any]:
    return read_case(paths.CASES / f"{DEMO}.toml").model_dump(mode="python", exclude_unset=True, exclude_none=True)


def demo_comparison() -> Comparison:
    """The comparison that a first visitor sees; needs no session."""
    found = _compared(write_case(case_from(_demo())), date.today())
    _ = found.conclusion
    return found


def case() -> Case:
    """The session's case; it is valid at all times."""
    return case_from(st.session_state.given)


@functools.lru_cache(maxsize=256)
def _compared(text: str, today: date) -> Comparison:
    # One at a time: with many people at once, threads that take turns at the interpreter all finish late.
    with _COMPARING:
        return compare(parse_case(text), today=today)


def comparison() -> Comparison:
    """The comparison of the session's case. Equal cases share one result, which nothing can change."""
    return _compared(write_case(case()), date.today())


def value(path: str) -> Any:
    """What was given at a path such as ``household.people``, or None."""
    found: Any = st.session_state.given
    for part in path.split("."):
        if not isinstance(found, dict) or part not in found:
            return None
        found = found[part]
    return found


def put(path: str, new: Any) -> bool:
    """Give a value, or take it away with None; refused with a sentence beside the widget if it cannot be.

    Returns
    -------
    bool
        Whether it was taken.
    """
    return put_all({path: new}, shown_at=path)


def put_all(values: dict[str, Any], *, shown_at: str) -> bool:
    """Give several values at once, all or none."""
    changed = copy.deepcopy(st.session_state.given)
    for path, new in values.items():
        *parents, last = path.split(".")
        section = changed
        for part in parents:
            section = section.setdefault(part, {})
        if new is None or new == "":
            section.pop(last, None)
        else:
            section[last] = new
    return replace(changed, shown_at=shown_at)


def replace(changed: dict[str, Any], *, shown_at: str) -> bool:
    """Take a whole new set of answers if it makes a case that can be compared."""
    changed = {name: section for name, section in changed.items() if section not in ({}, [], ())}
    st.session_state.refused.pop(shown_at, None)
    if changed == st.session_state.given:
        return True
    try:
        _compared(write_case(case_from(changed)), date.today())
    except AdvisorError as error:
        st.session_state.refused[shown_at] = str(error)
        return False
    st.session_state.undo = [
        *st.session_state.undo[-_MOST_UNDOS + 1 :],
        (st.session_state.given, st.session_state.is_demo),
    ]
    st.session_state.given = changed
    return True


def own_house() -> None:
    """From now on this is the user's own house, not the demo."""
    st.session_state.is_demo = False


def undo() -> None:
    """Take back the last change."""
    if st.session_state.undo:
        st.session_state.given, st.session_state.is_demo = st.session_state.undo.pop()
        st.session_state.refused = {}


def refusal(path: str) -> str | None:
    """Why the last value given at a path was not taken."""
    return st.session_state.refused.get(path)


def load(content: bytes) -> str | None:
    """Load a case file; all of it or nothing.

    Returns
    -------
    str or None
        Why it was refused.
    """
    try:
        loaded = parse_case(content)
        _compared(write_case(loaded), date.today())
    except AdvisorError as error:
        return str(error)
    given = loaded.model_dump(mode="python", exclude_unset=True, exclude_none=True)
    st.session_state.undo.append((st.session_state.given, st.session_state.is_demo))
    st.session_state.given, st.session_state.is_demo = given, False
    return None


def as_file() -> str:
    """The case as a file's text."""
    return write_case(case())


def link() -> dict[str, str]:
    """The answers that a link carries, as query parameters."""
    carried = {}
    for path, name, kind in _LINK:
        found = value(path)
        if found is not None:
            carried[name] = ",".join(found) if kind is list else f"{found:g}" if kind is float else str(found)
    return carried


def _from_link() -> dict[str, Any] | None:
    given: dict[str, Any] = {}
    for path, name, kind in _LINK:
        text = st.query_params.get(name)
        if text is None:
            continue
        section, key = path.split(".")
        read = text.split(",") if kind is list else text if kind is str else _number(text)
        given.setdefault(section, {})[key] = read
    return given or None


def _number(text: str) -> int | float | str:
    """A number if it is one; else the text, which the case refuses in its own words."""
    for read in (int, float):
        try:
            return read(text)
        except ValueError:
            continue
    return text
