"""How large the mornings of a year are: the table is what the code makes, and mornings fall as more is carried."""

import csv
import io
from contextlib import redirect_stdout

import numpy as np
import pytest

from advisor.core import paths
from advisor.demand import morning_sizes
from advisor.demand.events import morning
from advisor.demand.morning_sizes import Mornings, fullest_hours_gal, mornings_of


def test_the_table_is_what_the_code_makes():
    made = io.StringIO()
    with redirect_stdout(made):
        morning_sizes.main()
    with (paths.DATA / "morning_sizes.csv").open(encoding="utf-8") as kept:
        assert list(csv.reader(io.StringIO(made.getvalue()))) == list(csv.reader(kept))


def test_the_fullest_hour_is_found_wherever_it_begins():
    """10 gal at 6:00 and at 6:50, 30 at 7:30: the hour from 6:50 holds 40; what runs past 60 minutes is not counted."""
    rows = [("a", 360, 5, 2.0, 105), ("b", 410, 5, 2.0, 105), ("c", 450, 15, 2.0, 105), ("late", 700, 30, 5.0, 105)]
    assert fullest_hours_gal(morning(rows))[0] == pytest.approx(40.0)


def test_more_carried_is_fewer_mornings_and_back_again():
    plain = Mornings(np.ones(12))
    found = [plain.beyond_per_yr(share) for share in np.arange(0.0, 2.5, 0.05)]
    assert found == sorted(found, reverse=True) and found[0] == pytest.approx(365) and found[-1] == 0
    assert plain.carries_frac(plain.beyond_per_yr(0.9)) == pytest.approx(0.9)


def test_warmer_water_in_other_months_eases_them():
    cold, mild = np.full(12, 40.0), np.linspace(40.0, 70.0, 12)
    assert mornings_of(105.0, 120.0, mild).beyond_per_yr(0.9) < mornings_of(105.0, 120.0, cold).beyond_per_yr(0.9)
    # Where no hot water is mixed, the season changes nothing.
    assert mornings_of(120.0, 120.0, mild).beyond_per_yr(0.9) == mornings_of(120.0, 120.0, cold).beyond_per_yr(0.9)
