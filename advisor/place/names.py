"""Names of towns, counties and states, in whatever spelling they come."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from functools import cache

from advisor.core import tables

#: Words that are written in several ways, in the form that all of them take here.
_SHORT_WORDS = {"saint": "st", "sainte": "ste", "fort": "ft", "mount": "mt", "north": "n", "south": "s"} | {
    "east": "e",
    "west": "w",
    "heights": "hts",
    "springs": "spgs",
    "junction": "jct",
    "township": "twp",
    "&": "and",
}
_MARKS = str.maketrans({"'": None, "’": None, "`": None, ".": None, "-": " ", "/": " "})
_COUNTY_WORDS = re.compile(r" (county|parish|borough|census area|city)$")
#: Where an independent city may share its name with a county.
_STATES_WITH_CITIES = frozenset({"VA", "MD", "MO", "NV"})
#: Alaska divided Valdez-Cordova in 2019; the zone map keeps it whole.
_RENAMED_COUNTIES = {("AK", "chugach", False): "02261", ("AK", "copperriver", False): "02261"}


def plain(text: str) -> str:
    """Lower case without accents, apostrophes and full stops; Saint, Fort, North and the like as their short forms."""
    if not text.isascii():
        text = unicodedata.normalize("NFKD", text.translate(_MARKS)).encode("ascii", "ignore").decode()
    words = text.lower().translate(_MARKS).split()
    return " ".join(_SHORT_WORDS.get(word, word) for word in words)


def name_key(name: str) -> str:
    """What all spellings of a name have in common."""
    return "".join(filter(str.isalnum, plain(name)))


def county_key(state: str, county: str) -> tuple[str, str, bool]:
    """Key on which county names of different sources meet: state, bare name, and whether it is an independent city.

    "Baltimore city" and "Baltimore County" stay apart; "City and Borough of Juneau", "Juneau City and Borough" and
    "Juneau Borough" fall together.
    """
    text = plain(county)
    text = re.sub(r"^(?:city and borough|municipality|borough) of (.+)", r"\1 borough", text)
    text = re.sub(r" (?:city and borough|municipality)$", " borough", text)
    is_city = state in _STATES_WITH_CITIES and text.endswith(" city")
    return state, name_key(_COUNTY_WORDS.sub("", text)), is_city


def county_fips(state: str, county: str) -> str | None:
    """Census code of a county by its name; None where the zone map has no such county."""
    key = county_key(state, county)
    return _RENAMED_COUNTIES.get(key) or _counties().get(key)


@cache
def _counties() -> dict[tuple[str, str, bool], str]:
    table = tables.load("county_zones")
    rows = zip(table["us_state"], table["county"], table["county_fips"], strict=True)
    return {county_key(state, county): fips for state, county, fips in rows}


@cache
def state_kinds() -> Mapping[str, str]:
    """Two letters to what they stand for: a state, a territory, a military address, a province of Canada."""
    return {row["us_state"]: row["kind"] for row in tables.load("us_states").rows()}


@cache
def state_names() -> Mapping[str, str]:
    """Two letters to the full name."""
    return {row["us_state"]: row["name"] for row in tables.load("us_states").rows()}


@cache
def state_words() -> Mapping[str, str]:
    """Every way to write a state, in the form of ``plain``, to its two letters."""
    found: dict[str, str] = {}
    for row in tables.load("us_states").rows():
        for name in (row["us_state"], row["name"], *filter(None, (row["other_names"] or "").split(";"))):
            found.setdefault(plain(name), row["us_state"])
    return found
