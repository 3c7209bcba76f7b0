"""Every word of the homeowner's pages, in one catalogue: ``assets/words.toml``, English and Spanish."""

from __future__ import annotations

import tomllib
from functools import cache

import streamlit as st

from advisor.core import paths

LANGUAGES = {"en": "English", "es": "Español"}


@cache
def catalogue() -> dict[str, dict[str, str]]:
    """Key to language to text."""
    with (paths.ASSETS / "words.toml").open("rb") as stream:
        return tomllib.load(stream)


def language() -> str:
    """The session's language."""
    chosen = st.session_state.get("language", "en")
    return chosen if chosen in LANGUAGES else "en"


def say(key: str, **filled: object) -> str:
    """A text in the session's language, its blanks filled in."""
    entry = catalogue()[key]
    text = entry.get(language()) or entry["en"]
    return text.format(**filled) if filled else text
