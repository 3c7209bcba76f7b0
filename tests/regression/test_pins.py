"""Every number of our own that the answers rest on has the value that was written down."""

import csv
import importlib.util
from pathlib import Path

_spec = importlib.util.spec_from_file_location("pins", Path(__file__).parent / "pins.py")
pins = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(pins)


def test_every_number_of_our_own_is_what_it_was():
    with pins.FILE.open(encoding="utf-8", newline="") as stream:
        kept = list(csv.DictReader(stream))
    assert len(kept) > 200
    assert pins.pins() == kept
