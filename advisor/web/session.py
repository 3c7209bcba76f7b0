"""What one person's session remembers beside its widgets: one record, which Streamlit keeps under one key."""

from __future__ import annotations

import functools
import weakref
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import streamlit as st

from advisor.case.file import read_case
from advisor.comparison import Comparison
from advisor.core import paths
from advisor.core.findings import Finding

KEY = "session"
DEMO = "cold-city-basement"
#: A case as nested dicts, with what was given and nothing else. It is replaced, never changed in place.
Given = dict[str, Any]


@functools.cache
def demo() -> Given:
    """The house that a first visitor sees."""
    return read_case(paths.CASES / f"{DEMO}.toml").model_dump(mode="python", exclude_unset=True, exclude_none=True)


@dataclass
class Session:
    """One person's session."""

    # The case: what was given and whether that is still the demo; what undo takes back; why something was not taken, by
    # the place where that is shown; why the link that opened the session was not.
    given: Given = field(default_factory=demo)
    is_demo: bool = True
    past: list[tuple[Given, bool]] = field(default_factory=list)
    refused: dict[str, str] = field(default_factory=dict)
    notice: str | None = None
    # How it is shown; a link carries these too.
    language: str = "en"
    units: str = "US"
    contractor_heater: str = ""
    # What was worked out for the case of the day, for as long as it is kept; the years run on the bench.
    compared: tuple[Given, date, weakref.ref[Comparison]] | None = None
    years: tuple[Comparison, dict[str, Any]] | None = None
    # The answer that is told now and the house it is for, and the one before it, of the same house.
    told: tuple[Given, Any] | None = None
    told_before: Any = None
    # The questions: which one is asked (empty for none), the answers so far, why the last was not taken, and what may
    # have been meant; how often the browser's own Back or Forward was followed.
    step: str = ""
    draft: dict[str, Any] = field(default_factory=dict)
    step_refused: Finding | str | None = None
    step_choices: tuple[str, ...] = ()
    heard: int = 0
    # The file that was opened last, and newer prices that were asked for.
    file_id: str | None = None
    file_refused: str | None = None
    live_found: dict[Any, Any] = field(default_factory=dict)
    live_refused: str | None = None
    # The way out that is looked at; empty for none.
    way: str = ""
    # Tables that count as they are typed: what each began with, and the rows that were tried last.
    tables: dict[str, Any] = field(default_factory=dict)
    tried: dict[str, Any] = field(default_factory=dict)
    # Fields and tables that this run has drawn, so that none is drawn twice.
    drawn: set[str] = field(default_factory=set)
    # The label that is being typed, its place on the list (0 for a new one), and the file of labels opened last.
    label: dict[str, Any] = field(default_factory=dict)
    label_place: int = 0
    labels_file_id: str | None = None
    # The offer that is being typed, its place on the list (0 for a new one), and the spreadsheet opened last.
    offer: dict[str, Any] = field(default_factory=dict)
    offer_place: int = 0
    offers_file_id: str | None = None
    # The contractor's logo, drawn anew, and why the last one was not taken.
    logo_png: bytes | None = None
    logo_refused: str | None = None
    logo_file_id: str | None = None
    # The job of the book that is open (``job_book.OpenJob``).
    job: Any = None
    # How often another case was opened, and when the book's form last took name and day from one.
    n_opened: int = 0
    n_named: int = 0
    # How often a widget has begun again.
    turns: dict[str, int] = field(default_factory=dict)


def current() -> Session:
    """The record of the session that is being drawn."""
    if KEY not in st.session_state:
        st.session_state[KEY] = Session()
    found: Session = st.session_state[KEY]
    return found
