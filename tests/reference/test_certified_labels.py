"""Labels like those that are certified are trusted, and labels that physics forbids are not.

``certified_labels.csv`` is put together from open data of certified heaters, which are printed as percentiles of each
figure by class: a row sets the least, the middle or the most of them side by side, or combines a published one-hour
draw with the federal floor of its draw pattern. No published source here gives which figures stand together on one
label, so that is not verified, and a few rows may miss.
"""

import csv
from datetime import date
from pathlib import Path

import pytest

from advisor.bench.calibration import retest
from advisor.case.file import case_from
from advisor.heaters.candidates import own_heaters
from advisor.heaters.label_limits import label_flags

FILE = Path(__file__).parent / "certified_labels.csv"
TODAY = date(2026, 10, 1)
_TEXTS = ("technology", "fuel")
_ABOUT = ("id", "basis", "source")
with FILE.open(encoding="utf-8", newline="") as _stream:
    ROWS = {row["id"]: row for row in csv.DictReader(_stream)}
#: A label out of twenty may be doubted, as its figures may never have stood together.
_TRUSTED_FRAC = 0.95


def heater_of(row, **changed):
    """A label typed into a case."""
    label = {
        name: value if name in _TEXTS else float(value) for name, value in row.items() if value and name not in _ABOUT
    }
    case = {
        "place": {"city": "Boston, MA"},
        "household": {"people": 3},
        "failed": {"fuel": "electricity"},
        "house": {"fuels": ["electricity", "natural_gas", "propane"]},
        "heaters": [{"title": row["id"], **label, **changed}],
    }
    (heater,), unread = own_heaters(case_from(case))
    assert not unread
    return heater


def test_the_labels_span_what_is_certified():
    assert len(ROWS) >= 40
    assert {row["technology"] for row in ROWS.values()} >= {
        "gas_storage_atmospheric",
        "gas_storage_condensing",
        "gas_tankless_noncondensing",
        "gas_tankless_condensing",
        "electric_storage_resistance",
        "heat_pump_storage_240v",
    }
    assert all(row["basis"] and row["source"] for row in ROWS.values())


def test_no_limit_of_physics_bars_a_label_like_those_that_are_certified():
    flagged = [name for name, row in ROWS.items() if label_flags(heater_of(row), TODAY)]
    assert not flagged


def test_the_bench_returns_nearly_every_one():
    doubted = [name for name, row in ROWS.items() if retest(heater_of(row)).cannot_meet is not None]
    assert len(doubted) <= (1 - _TRUSTED_FRAC) * len(ROWS), doubted


@pytest.mark.parametrize(
    ("name", "changed"),
    [
        ("gas-50-38", {"uef": 3.5}),
        ("gas-50-38", {"uef": 0.95, "recovery_frac": 0.97}),
        ("gas-50-38", {"fhr_gal": 20.0}),
        ("gas-50-38", {"fhr_gal": 140.0}),
        ("gas-40-36", {"recovery_frac": 1.02}),
        ("gas-40-36", {"recovery_frac": 0.55}),
        ("ng-condensing-50-low", {"recovery_frac": 0.88}),
        ("ng-condensing-fast-75-high", {"fhr_gal": 320.0}),
        ("ng-tankless-199-high", {"max_gpm": 8.0}),
        ("ng-tankless-199-high", {"uef": 1.0}),
        ("ng-tankless-plain-usual", {"uef": 0.93, "recovery_frac": 0.95}),
        ("electric-50", {"uef": 1.02}),
        ("electric-50", {"fhr_gal": 150.0}),
        ("electric-50", {"draw_pattern": "high"}),
        ("heat-pump-mid", {"recovery_frac": 3.0}),
        ("heat-pump-mid", {"fhr_gal": 150.0}),
    ],
)
def test_what_physics_or_the_test_forbids_is_flagged(name, changed):
    """One figure of a trusted label changed to one that no heater can have (appendix E, energy balances)."""
    assert label_flags(heater_of(ROWS[name], **changed), TODAY)
