"""The session's language, and texts in it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from advisor.core.findings import Finding
from advisor.core.kinds import Kind
from advisor.core.verdicts import Verdict
from advisor.heaters.catalogue import Heater
from advisor.report import names, words
from advisor.web import session

LANGUAGES = {"en": "English", "es": "Español"}


def language() -> str:
    """The session's language."""
    chosen = session.current().language
    return chosen if chosen in LANGUAGES else "en"


def say(message: Finding | str, **filled: Any) -> str:
    """A finding or a key in the session's language and units, its blanks filled in."""
    return words.say(message, language=language(), si=session.current().units == "SI", **filled)


def kind_word(kind: Kind) -> str:
    """What a class or a fuel is called in the session's language."""
    return words.kind_word(kind, language())


def clause(message: Finding | str) -> str:
    """A finding as a part of a longer sentence: without its full stop."""
    return say(message).removesuffix(".")


def sentences(messages: Iterable[Finding]) -> str:
    """Findings in the session's language and units, a sentence after another."""
    return words.sentences(messages, language=language(), si=session.current().units == "SI")


def verdict_word(verdict: Verdict) -> str:
    """A verdict in the session's language, with its sign."""
    return f"{verdict.sign} {say(verdict.key)}"


def heater_title(heater: Heater) -> str:
    """A heater's name in the session's language."""
    return names.title(heater, language())


def heater_short(heater: Heater) -> str:
    """The same where there is little room."""
    return names.short(heater, language())
