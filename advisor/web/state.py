"""One case for a session: the answers given, undo, the link that brings them back, and the file that keeps them."""

from __future__ import annotations

import copy
import functools
import threading
from datetime import date
from typing import Any

import streamlit as st

from advisor.case.file import case_from, parse_case, read_case, write_case
from advisor.case.record import Case
from advisor.comparison import Comparison, compare
from advisor.core import paths
from advisor.core.errors import AdvisorError
from advisor.web import link

DEMO = "cold-city-basement"
_MOST_UNDOS = 50
_COMPARING = threading.Lock()
#: How a case is shown, which a link carries too: key of the session, name in the link, what is usual. Whoever reads
#: them does without a value that is none of theirs.
_SHOWN = {"language": ("lang", "en"), "units": ("units", "US"), "contractor_heater": ("heater", "")}


def begin() -> None:
    """Set up a new session: from the link if it carries a case, else the demo house."""
    if "given" in st.session_state:
        return
    st.session_state.undo, st.session_state.refused, st.session_state.notice = [], {}, None
    st.session_state.given, st.session_state.is_demo = _demo(), True
    asked = st.query_params.to_dict()
    for key, (name, usual) in _SHOWN.items():
        st.session_state[key] = asked.get(name, usual)
    try:
        linked = link.given_of(asked)
        if linked is not None:
            _comparison_of(linked)
    except AdvisorError as error:
        st.session_state.notice = str(error)
        return
    if linked is not None:
        st.session_state.given, st.session_state.is_demo = linked, "demo" in asked


@functools.cache
def _demo() -> dict[str, Any]:
    return read_case(paths.CASES / f"{DEMO}.toml").model_dump(mode="python", exclude_unset=True, exclude_none=True)


def demo_comparison() -> Comparison:
    """The comparison that a first visitor sees; needs no session."""
    found = _comparison_of(_demo())
    _ = found.conclusion
    return found


def case() -> Case:
    """The session's case; it is valid at all times."""
    return comparison().case


@functools.lru_cache(maxsize=256)
def _compared(text: str, today: date) -> Comparison:
    # One at a time: with many people at once, threads that take turns at the interpreter all finish late.
    with _COMPARING:
        return compare(parse_case(text), today=today)


def _comparison_of(given: dict[str, Any], today: date | None = None) -> Comparison:
    """The comparison of answers; an error of the input if they make no case or cannot be compared."""
    return _compared(write_case(case_from(given)), today or date.today())


def comparison() -> Comparison:
    """The comparison of the session's case. Equal cases share one result, which nothing can change."""
    given, today = st.session_state.given, date.today()
    # Answers are replaced, never changed in place, so that the same object is the same case.
    held = st.session_state.get("compared")
    if held is None or held[0] is not given or held[1] != today:
        held = given, today, _comparison_of(given, today)
        st.session_state.compared = held
    found: Comparison = held[2]
    return found


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
        _comparison_of(changed)
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


def query() -> str:
    """What a link to this session carries behind the question mark; nothing for a first visit."""
    untouched = st.session_state.is_demo and st.session_state.given == _demo()
    extras = {"demo": "yes"} if st.session_state.is_demo and not untouched else {}
    for key, (name, usual) in _SHOWN.items():
        if st.session_state[key] != usual:
            extras[name] = st.session_state[key]
    return link.query_of({} if untouched else st.session_state.given, extras)


def undo() -> None:
    """Take back the last change."""
    if st.session_state.undo:
        st.session_state.given, st.session_state.is_demo = st.session_state.undo.pop()
        st.session_state.refused = {}


def refusal(path: str) -> str | None:
    """Why the last value given at a path was not taken."""
    return st.session_state.refused.get(path)


def forgive(path: str) -> None:
    """Forget a refusal: what was refused is no longer asked for."""
    st.session_state.refused.pop(path, None)


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
