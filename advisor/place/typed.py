"""What people type for a place: a ZIP, a town, a state, in any order that an address may have."""

from __future__ import annotations

import re
from typing import NamedTuple

from advisor.core.findings import note
from advisor.place.names import plain, state_kinds, state_words
from advisor.place.refusal import PlaceError, PlaceOutsideError

#: No address needs more.
MOST_LETTERS = 120
_ZIP = re.compile(r"(?<![\w-])(\d{5})(?:-?\d{4})?(?![\w-])", re.ASCII)
_ONLY_DIGITS = re.compile(r"\d{1,5}|\d{5}[ -]?\d{4}", re.ASCII)
_CANADIAN = re.compile(r"\b[a-z]\d[a-z] ?\d[a-z]\d\b", re.ASCII)
_COUNTRY = re.compile(r" (?:usa|us|u s a?|united states(?: of america)?|estados unidos|eeuu|ee uu)$")
_NOT_A_NAME = re.compile(r"\b(?:zip ?code|zip|codigo postal|postal code|cp)\b")
_OF_A_CITY = re.compile(r"^(?:city|town|village) of | city$")
_SIGNS = re.compile(r'[()\[\]{}<>":;!?#*_=+|\\\s]')
#: Words that the longest name of a state takes.
_STATE_WORDS = 4


class Reading(NamedTuple):
    """One way to understand some words: a town, a state's two letters, or both; empty where there is none."""

    town: str
    state: str


class Typed(NamedTuple):
    """What somebody typed: its ZIP, or nothing, and the ways to read its words, the likeliest first."""

    zip_code: str
    readings: tuple[Reading, ...]


def read_zip(value: str | int | float) -> str:
    """A ZIP code as five digits, from ``"02129-1234"`` or from a number that lost its leading zeros.

    Raises
    ------
    InputError
        Anything that is not three to five digits, or nine.
    """
    text = str(int(value)) if isinstance(value, float) and value.is_integer() else str(value).strip()
    match = re.fullmatch(r"(\d{3,5})|(\d{5})[- ]?(\d{4})", text, re.ASCII) if len(text) <= MOST_LETTERS else None
    if isinstance(value, bool) or match is None:
        if isinstance(value, str) and _CANADIAN.search(text.lower()):
            raise _canada("place.zip_code", value)
        reason, fix = "this is not a ZIP code", "give its five digits, for example 80202"
        raise PlaceError("place.zip_code", value, reason, fix, finding=note("place.refused.no_zip", typed=_short(text)))
    return match[2] or match[1].zfill(5)


def read_typed(text: str) -> Typed:
    """Take apart what somebody typed, in time that grows with its length alone.

    Parameters
    ----------
    text : str
        "55811", "Duluth, MN", "duluth minnesota 55811", "55811 Duluth".

    Raises
    ------
    InputError
        Too long, or an address in Canada.
    """
    if len(text) > MOST_LETTERS:
        finding = note("place.refused.long", most=MOST_LETTERS)
        raise PlaceError(
            "place.city", text, "this is too long for a place", "give a ZIP code, or a town and state", finding=finding
        )
    text = _SIGNS.sub(" ", text).strip(" ,.")
    if _ONLY_DIGITS.fullmatch(text):
        return Typed(read_zip(text), ())
    if _CANADIAN.search(text.lower()):
        raise _canada("place.city", text)
    zips = list(_ZIP.finditer(text))
    if zips:
        text = f"{text[: zips[-1].start()]} {text[zips[-1].end() :]}"
    said = _COUNTRY.sub("", " " + " ".join(plain(text.replace(",", " ")).split()))
    if zips:
        said = _NOT_A_NAME.sub(" ", said)
    words = said.split()
    if words[-1:] == ["canada"] and len(words) > 1:
        raise _canada("place.city", text)
    return Typed(zips[-1][1] if zips else "", tuple(_readings(words)))


def read_state(text: str) -> str:
    """A state's two letters, from any way to write it; nothing where it is none.

    Raises
    ------
    InputError
        No state, territory or military address of the United States.
    """
    if not text.strip():
        return ""
    code = state_words().get(plain(text)) if len(text) <= MOST_LETTERS else None
    if code is None:
        finding = note("place.refused.no_state", typed=_short(text))
        reason, fix = "this is not a state", "give its two-letter code, for example CO"
        raise PlaceError("place.state", text, reason, fix, finding=finding)
    if state_kinds()[code] == "canada":
        raise _canada("place.state", text)
    return code


def _readings(words: list[str]) -> list[Reading]:
    """A state at the end, longest first; no state; a state in front."""
    if not words:
        return []
    found = []
    for count in range(min(_STATE_WORDS, len(words)), 0, -1):
        if state := state_words().get(" ".join(words[-count:])):
            found.append(Reading(" ".join(words[:-count]), state))
    found.append(Reading(" ".join(words), ""))
    for count in range(min(_STATE_WORDS, len(words) - 1), 0, -1):
        if state := state_words().get(" ".join(words[:count])):
            found.append(Reading(" ".join(words[count:]), state))
    # New York City and the City of Chicago go by a shorter name.
    shorter = [Reading(_OF_A_CITY.sub("", town), state) for town, state in found]
    return [*found, *(reading for reading in shorter if reading.town and reading not in found)]


def _canada(field: str, value: str) -> PlaceOutsideError:
    finding = note("place.refused.canada", typed=_short(value))
    reason = "this is in Canada, and only places in the United States are known"
    fix = "give a place in the United States"
    return PlaceOutsideError(field, value, reason, fix, finding=finding)


def _short(text: str) -> str:
    """What was typed, in a length that a sentence can bear, without what no terminal should get."""
    text = "".join(letter if letter.isprintable() else " " for letter in text)
    return text if len(text) <= 40 else f"{text[:37]}..."
