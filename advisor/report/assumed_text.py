"""What was taken for granted, in sentences and without the names of keys."""

from __future__ import annotations

from advisor.case.base import Assumption
from advisor.report import words


def in_words(item: Assumption, language: str = "en") -> str | None:
    """One of them as a sentence; None where it is told by its reason alone, as within a list of pipes or appliances."""
    key = f"taken.{item.field}"
    if not words.has(key):
        return None
    value = item.value
    if isinstance(value, float):
        value = f"{value:.2f}" if item.field.startswith("prices.") else f"{value:g}"
    if item.field == "house.heater_space":
        value = words.say(f"space.{value}", language=language)
    if item.field == "uses":
        count, _, name = str(value).partition(" x ")
        tap = f"tap.{name.replace(' ', '_')}"
        value = f"{count} × {words.say(tap, language=language) if words.has(tap) else name}"
    return words.say(key, language=language, value=str(value))
