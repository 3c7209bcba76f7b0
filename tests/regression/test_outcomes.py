"""The answers for the demo houses stand still unless somebody means to move them."""

import csv
import importlib.util
from pathlib import Path

import pytest

_spec = importlib.util.spec_from_file_location("outcomes", Path(__file__).parent / "outcomes.py")
outcomes = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(outcomes)

with outcomes.FILE.open(encoding="utf-8", newline="") as stream:
    KEPT = list(csv.DictReader(stream))


def test_every_demo_house_is_kept():
    assert sorted({row["demo"] for row in KEPT}) == outcomes.DEMOS


@pytest.mark.parametrize("demo", outcomes.DEMOS)
def test_the_outcome_is_what_it_was(demo):
    """To the cent. A change is written down in the changelog, then ``outcomes.py`` is run."""
    kept = {row["candidate"]: row for row in KEPT if row["demo"] == demo}
    now = {row["candidate"]: row for row in outcomes.rows_of(demo)}
    assert list(now) == list(kept)
    moved = [
        f"{candidate}: {name} was {kept[candidate][name]!r}, is {row[name]!r}"
        for candidate, row in now.items()
        for name in row
        if row[name] != kept[candidate][name]
    ]
    assert not moved, "\n".join(moved)
