"""The table of towns, as it follows from the post office's own list of ZIP codes.

``python tests/place_tables.py`` writes ``data/towns.csv`` anew.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

from advisor.core import paths
from advisor.core.long_tables import padded
from advisor.place.names import name_key

FILE = paths.DATA / "towns.csv"
#: Ordinary delivery before boxes, boxes before one large customer.
_RANKS = {"STANDARD": 0, "PO BOX": 1, "UNIQUE": 2}


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


if __name__ == "__main__":
    FILE.write_bytes(padded("towns", towns()))
