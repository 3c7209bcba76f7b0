"""The session's case: the answers given, undo, the link that brings them back, and the file that keeps them."""

from __future__ import annotations

import copy
import functools
import threading
import weakref
from datetime import date
from typing import Any

import streamlit as st

from advisor.bench import machine_code
from advisor.case.file import case_from, parse_case, write_case
from advisor.case.record import Case
from advisor.comparison import Comparison, compare
from advisor.core.errors import AdvisorError
from advisor.web import draft, fitting, link, preparing, session, words
from advisor.web.session import Given

_MOST_UNDOS = 50
_COMPARING = threading.Lock()
#: How a case is shown, which a link carries too: field of the session, name in the link. Whoever reads them does
#: without a value that is none of theirs.
_SHOWN = {"language": "lang", "units": "units", "contractor_heater": "heater"}


def start_session() -> bool:
    """Set up a new session: from the link if it carries a case, else the demo house; whether there was none yet."""
    if session.KEY in st.session_state:
        return False
    new, asked = session.current(), st.query_params.to_dict()
    for name, in_link in _SHOWN.items():
        setattr(new, name, asked.get(in_link, getattr(new, name)))
    try:
        linked = link.given_of(asked)
        if linked is not None:
            _comparison_of(case_from(linked))
    except AdvisorError as error:
        new.notice = words.refused(error)
        return False
    if linked is not None:
        new.given, new.is_demo = linked, "demo" in asked
    if "ask" in asked:
        try:
            new.draft = draft.from_link(asked.get("so_far", ""))
            new.step = draft.first_open(new.draft, asked["ask"])
        except AdvisorError:
            # What is left is the first question, not a house that is somebody else's.
            new.draft, new.step = {}, draft.STEPS[0]
    return True


def demo_comparison() -> Comparison:
    """The comparison that a first visitor sees; needs no session."""
    found = _comparison_of(case_from(session.demo()))
    _ = found.advice.chances_frac
    return found


def case() -> Case:
    """The session's case; it is valid at all times."""
    return comparison().case


# About 1 MB and 8,000 objects each. Sessions only point to theirs: were they held by those of people who left, memory
# would grow with visitors, and freeing a hundred at a time would stop everybody for seconds.
@functools.lru_cache(maxsize=128)
def _compared(text: str, today: date, by_hand: bool) -> Comparison:
    # One at a time: with many people at once, threads that take turns at the interpreter all finish late.
    with _COMPARING:
        return compare(parse_case(text), today=today, by_hand=by_hand)


def _comparison_of(case: Case, today: date | None = None) -> Comparison:
    """The comparison of a case, by the hand method until the bench is ready; an error if it cannot be compared."""
    by_hand = not _can_bench(case, fitting.PATIENCE_S)
    found = _compared(write_case(case), today or date.today(), by_hand)
    if not machine_code.is_ready():
        preparing.begin()
    return found


def _can_bench(case: Case, patience_s: float = 0.0) -> bool:
    """Whether the bench is compiled and knows every label of the case, after some waiting for the labels."""
    return machine_code.is_ready() and fitting.are_fitted(case, patience_s)


def can_bench() -> bool:
    """Whether an answer by the hand method can be followed by the bench's."""
    return _can_bench(case_from(session.current().given))


def comparison() -> Comparison:
    """The comparison of the session's case. Equal cases share one result, which nothing can change."""
    held, today = session.current(), date.today()
    found = None
    # Answers are replaced, never changed in place, so that the same object is the same case.
    if held.compared is not None and held.compared[0] is held.given and held.compared[1] == today:
        found = held.compared[2]()
    if found is None or found.is_by_hand and _can_bench(found.case):
        found = _comparison_of(case_from(held.given), today)
        held.compared = held.given, today, weakref.ref(found)
    return found


def answer(path: str) -> Any:
    """What was given at a path such as ``household.people``, or None."""
    found: Any = session.current().given
    for part in path.split("."):
        if not isinstance(found, dict) or part not in found:
            return None
        found = found[part]
    return found


def set_answer(path: str, new: Any) -> bool:
    """Give a value, or take it away with None; refused with a sentence beside the widget if it cannot be.

    Returns
    -------
    bool
        Whether it was taken.
    """
    return set_answers({path: new}, shown_at=path)


def set_answers(values: dict[str, Any], *, shown_at: str) -> bool:
    """Give several values at once, all or none."""
    changed = copy.deepcopy(session.current().given)
    for path, new in values.items():
        *parents, last = path.split(".")
        section = changed
        for part in parents:
            section = section.setdefault(part, {})
        if new is None or new == "":
            section.pop(last, None)
        else:
            section[last] = new
    return replace_answers(changed, shown_at=shown_at)


def replace_answers(changed: Given, *, shown_at: str) -> bool:
    """Take a whole new set of answers if it makes a case that can be compared."""
    return _replace(changed, shown_at, is_demo=session.current().is_demo)


def take_house(given: Given, *, shown_at: str) -> bool:
    """Take the user's own house, from now on; an open job is left."""
    is_taken = _replace(given, shown_at, is_demo=False)
    if is_taken:
        session.current().job = None
    return is_taken


def _replace(changed: Given, shown_at: str, *, is_demo: bool) -> bool:
    held = session.current()
    changed = {name: section for name, section in changed.items() if section not in ({}, [], ())}
    clear_refusal(shown_at)
    if changed == held.given:
        held.is_demo = is_demo
        return True
    try:
        _comparison_of(case_from(changed))
    except AdvisorError as error:
        held.refused[shown_at] = words.refused(error)
        return False
    _change(changed, is_demo=is_demo)
    return True


def _change(given: Given, *, is_demo: bool) -> None:
    held = session.current()
    held.past = [*held.past[-_MOST_UNDOS + 1 :], (held.given, held.is_demo)]
    if is_demo != held.is_demo:
        _forget_what_was_told()
    held.given, held.is_demo = given, is_demo


def _forget_what_was_told() -> None:
    """Another house: its answer is not set against the last one's."""
    held = session.current()
    held.told, held.told_before = None, None


def link_query(*, is_asking: bool = False) -> str:
    """What a link to this session carries behind the question mark; nothing for a first visit."""
    held, usual = session.current(), session.Session()
    untouched = held.is_demo and held.given == usual.given
    extras = {"demo": "yes"} if held.is_demo and not untouched else {}
    for name, in_link in _SHOWN.items():
        if getattr(held, name) != getattr(usual, name):
            extras[in_link] = getattr(held, name)
    if held.job is not None:
        extras["job"] = held.job.in_link
    if is_asking:
        extras |= {"ask": held.step, "so_far": draft.in_link(held.draft)}
    return link.query_of({} if untouched else held.given, extras)


def undo() -> None:
    """Take back the last change."""
    held = session.current()
    if held.past:
        given, is_demo = held.past.pop()
        if is_demo != held.is_demo:
            _forget_what_was_told()
        held.given, held.is_demo, held.refused = given, is_demo, {}


def refusal(path: str) -> str | None:
    """Why the last value given at a path was not taken."""
    return session.current().refused.get(path)


def clear_refusal(path: str) -> None:
    """Forget a refusal: what was refused is no longer asked for."""
    session.current().refused.pop(path, None)


def open_file(content: bytes) -> str | None:
    """Open a case file; all of it or nothing.

    Returns
    -------
    str or None
        Why it was refused.
    """
    try:
        take_case(parse_case(content))
    except AdvisorError as error:
        return words.refused(error)
    return None


def take_case(opened: Case) -> None:
    """Take a whole case in place of the house that was looked at; an open job is left.

    Raises
    ------
    AdvisorError
        It cannot be compared; nothing is changed then.
    """
    _comparison_of(opened)
    _change(opened.model_dump(mode="python", exclude_unset=True, exclude_none=True), is_demo=False)
    _forget_what_was_told()
    held = session.current()
    # The heater that was looked at is another house's.
    held.job, held.contractor_heater, held.n_opened = None, "", held.n_opened + 1


def file_text() -> str:
    """The case as a file's text."""
    return write_case(case())
