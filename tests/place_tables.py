"""How the long tables of places are made: towns from the post office's list of ZIP codes, counties by their names.

``python tests/place_tables.py`` writes ``data/towns.csv`` anew.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from advisor.core import paths, tables
from advisor.place.names import name_key, plain

FILE = paths.DATA / "towns.csv"
#: Ordinary delivery before boxes, boxes before one large customer.
_RANKS = {"STANDARD": 0, "PO BOX": 1, "UNIQUE": 2}
_COUNTY_WORDS = re.compile(r" (county|parish|borough|census area|city)$")
#: Where an independent city may share its name with a county.
_STATES_WITH_CITIES = frozenset({"VA", "MD", "MO", "NV"})
#: Alaska divided Valdez-Cordova in 2019; the zone map keeps it whole.
_RENAMED_COUNTIES = {("AK", "chugach", False): "02261", ("AK", "copperriver", False): "02261"}


def towns() -> list[dict[str, str]]:
    """A line a name and state: the ZIP that stands for it, and how many bear its name, which says how big it is."""
    import zipcodes

    records: list[dict[str, Any]] = [r for r in zipcodes.list_all() if r["active"] and r["zip_code_type"] in _RANKS]
    records.sort(key=lambda record: _RANKS[record["zip_code_type"]])
    # A town's own name before borrowed ones; what one large customer is called besides is no town.
    named = [(r["city"], r) for r in records]
    named += [(name, r) for r in records if r["zip_code_type"] != "UNIQUE" for name in r["acceptable_cities"]]
    first: dict[tuple[str, str], tuple[str, str]] = {}
    count: Counter[tuple[str, str]] = Counter()
    for name, record in named:
        key = name_key(name), record["state"]
        first.setdefault(key, (name, record["zip_code"]))
        count[key] += 1
    return [
        {"town_key": key, "us_state": state, "town": name, "zip_code": code, "zip_codes": str(count[key, state])}
        for (key, state), (name, code) in sorted(first.items())
    ]


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


def padded(name: str, rows: Iterable[Mapping[str, str]]) -> bytes:
    """Rows as the file of a long table: texts to the left, numbers to the right of their cells."""
    kept, columns = [{key: text.encode() for key, text in row.items()} for row in rows], tables.columns_of(name)
    widths = {key: max(len(row[key]) for row in kept) for key in kept[0]}

    def cell(key: str, text: bytes) -> bytes:
        is_number = columns[key].kind in {"number", "integer"}
        return text.rjust(widths[key]) if is_number else text.ljust(widths[key])

    lines = (b",".join(cell(key, text) for key, text in row.items()) for row in kept)
    return b"\n".join([",".join(kept[0]).encode(), *lines]) + b"\n"


if __name__ == "__main__":
    FILE.write_bytes(padded("towns", towns()))
