"""Names of towns and states, in whatever spelling they come."""

from __future__ import annotations

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


def plain(text: str) -> str:
    """Lower case without accents, apostrophes and full stops; Saint, Fort, North and the like as their short forms."""
    if not text.isascii():
        text = unicodedata.normalize("NFKD", text.translate(_MARKS)).encode("ascii", "ignore").decode()
    words = text.lower().translate(_MARKS).split()
    return " ".join(_SHORT_WORDS.get(word, word) for word in words)


def name_key(name: str) -> str:
    """What all spellings of a name have in common."""
    return "".join(filter(str.isalnum, plain(name)))


@cache
def state_kinds() -> Mapping[str, str]:
    """Two letters to what they stand for: a state, a territory, a military address, a province of Canada."""
    return {row["us_state"]: row["kind"] for row in tables.load("us_states").rows()}


def is_territory(state: str) -> bool:
    """Whether two letters stand for a territory, for which no prices are held."""
    return state_kinds().get(state) == "territory"


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
