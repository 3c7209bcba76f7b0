"""The session's language, and texts in it, ready for a page.

This is the one door between what somebody typed and the screen. What the engine found, what heaters are called and why
something was refused may hold any text; it leaves here as text and nothing else. Pages' own texts, found by key, may
hold Markdown.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from advisor.case.record import Household
from advisor.comparison import Comparison
from advisor.core.errors import AdvisorError
from advisor.core.findings import Finding
from advisor.core.kinds import Kind
from advisor.core.verdicts import Verdict
from advisor.heaters.catalogue import Heater
from advisor.report import escape, names, words
from advisor.report.conclusion_text import conclusion_text
from advisor.web import session

LANGUAGES = {"en": "English", "es": "Español"}


def language() -> str:
    """The session's language."""
    chosen = session.current().language
    return chosen if chosen in LANGUAGES else "en"


def typed(text: object) -> str:
    """What somebody typed, or an error that quotes it, as a page or a chart shows it letter by letter."""
    return escape.on_screen(str(text))


def say(message: Finding | str, **filled: Any) -> str:
    """A finding or a key in the session's language and units, its blanks filled in."""
    return words.say(message, language=language(), si=session.current().units == "SI", put=typed, **filled)


def refused(error: AdvisorError) -> str:
    """Why something was refused, in the session's language; it may quote what somebody typed, which ``typed`` shows."""
    return words.refused(error, language())


def kind_word(kind: Kind) -> str:
    """What a class or a fuel is called in the session's language."""
    return words.kind_word(kind, language())


def household_words(household: Household) -> str:
    """Who lives there: so many people, or so many bedrooms where nobody knows."""
    if household.people is None:
        return say("frame.bedrooms", n=household.bedrooms) if household.bedrooms else say("frame.one_room")
    return say("frame.one_person") if household.people == 1 else say("frame.people", n=household.people)


def clause(message: Finding | str) -> str:
    """A finding as a part of a longer sentence: without its full stop."""
    return say(message).removesuffix(".")


def sentences(messages: Iterable[Finding]) -> str:
    """Findings in the session's language and units, a sentence after another."""
    return typed(words.sentences(messages, language=language(), si=session.current().units == "SI"))


def conclusion(comparison: Comparison) -> str:
    """Why that one, in the session's language."""
    return typed(conclusion_text(comparison.advice, language()))


def verdict_word(verdict: Verdict) -> str:
    """A verdict in the session's language, with its sign."""
    return f"{verdict.sign} {say(verdict.key)}"


def heater_title(heater: Heater) -> str:
    """A heater's name in the session's language."""
    return typed(heater_option(heater))


def heater_option(heater: Heater) -> str:
    """The same for a list to choose from or a file, which show plain text."""
    return names.title(heater, language())


def heater_short(heater: Heater) -> str:
    """The same where there is little room."""
    return typed(names.short(heater, language()))
