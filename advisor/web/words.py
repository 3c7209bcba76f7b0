"""The session's language, and texts in it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import streamlit as st

from advisor.core.findings import Finding
from advisor.core.verdicts import Verdict
from advisor.report import words

LANGUAGES = {"en": "English", "es": "Español"}


def language() -> str:
    """The session's language."""
    chosen = st.session_state.get("language", "en")
    return chosen if chosen in LANGUAGES else "en"


def say(message: Finding | str, **filled: Any) -> str:
    """A finding or a key in the session's language and units, its blanks filled in."""
    return words.say(message, language=language(), si=st.session_state.get("units") == "SI", **filled)


def sentences(messages: Iterable[Finding]) -> str:
    """Findings in the session's language and units, a sentence after another."""
    return " ".join(say(message) for message in messages)


def verdict_word(verdict: Verdict) -> str:
    """A verdict in the session's language, with its sign."""
    return f"{verdict.sign} {say(verdict.key)}"
