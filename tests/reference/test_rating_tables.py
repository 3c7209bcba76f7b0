"""Carried tables against what else is published about them."""

from datetime import date

import numpy as np
import pytest

from advisor.core import tables


@pytest.mark.parametrize(
    ("pattern", "draws", "gal"), [("very_small", 9, 10), ("low", 11, 38), ("medium", 12, 55), ("high", 14, 84)]
)
def test_draw_patterns_add_up(pattern, draws, gal):
    # 10 CFR 430 subpart B appendix E: draws and daily volume of each pattern, as research scripts (Lutz 2017, 2018)
    # have them.
    table = tables.load("draw_patterns")
    chosen = table["pattern"] == pattern
    assert chosen.sum() == draws
    assert table["volume_gal"][chosen].sum() == pytest.approx(gal, abs=1e-9)
    starts, length = table["start_min"][chosen], table["volume_gal"][chosen] / table["flow_gpm"][chosen]
    assert np.all(np.diff(starts) > 0) and np.all(starts[:-1] + length[:-1] <= starts[1:])
    bins = {row["pattern"]: row for row in tables.load("draw_pattern_bins").rows()}
    assert (bins[pattern]["draws"], bins[pattern]["daily_volume_gal"]) == (draws, gal)


def test_bins_meet_without_gap():
    table = tables.load("draw_pattern_bins")
    for kind, unit in (("storage", "gal"), ("flow_activated", "gpm")):
        rows = [row for row in table.rows() if row["heater_kind"] == kind]
        assert rows[0][f"lower_{unit}"] == 0 and rows[-1][f"upper_{unit}"] is None
        assert [row[f"upper_{unit}"] for row in rows[:-1]] == [row[f"lower_{unit}"] for row in rows[1:]]


def _minimum(**wanted):
    table = tables.load("minimum_ratings")
    return [row for row in table.rows() if all(row[key] == value for key, value in wanted.items())]


def test_minimum_of_a_50_gallon_electric_tank():
    # 10 CFR 430.32(d): 0.9307 - 0.0002 V in the medium pattern (ASHRAE 90.1-2022 Table F-2); 0.92 on every such label.
    (row,) = (
        row
        for row in _minimum(heater_class="electric_storage", draw_pattern="medium", regime="current")
        if row["volume_upper_gal"] == 55
    )
    assert row["a"] - row["b_per_gal"] * 50 == pytest.approx(0.9207, abs=1e-9)
    assert (row["effective_from"], row["effective_to"]) == (date(2016, 12, 29), date(2029, 5, 5))


def test_nullified_levels_are_absent():
    # 89 FR 105188 (0.91 and 0.93 for gas tankless) was disapproved by Congress, signed 9 May 2025.
    rows = _minimum(heater_class="gas_instantaneous", metric="UEF")
    assert {row["a"] for row in rows} == {0.80, 0.81}
    assert all(row["effective_to"] is None for row in rows)


def test_large_electric_tankless_is_commercial():
    # ASHRAE 90.1-2022 Table 7.4: UEF 0.80 above 12 kW; 0.91 belongs to units up to 12 kW.
    rows = _minimum(heater_class="residential_duty_electric_instantaneous")
    assert len(rows) == 4
    assert all(row["a"] == 0.80 and row["input_lower_kw"] == 12 for row in rows)
    assert all(row["input_lower_excluded"] for row in rows)


def test_one_minimum_at_a_time():
    # No class has two levels in force on one day for one volume, pattern and metric. The condensing level of
    # residential-duty gas storage follows the older one on 6 October 2026.
    rows = list(tables.load("minimum_ratings").rows())
    for i, one in enumerate(rows):
        for other in rows[i + 1 :]:
            keys = ("heater_class", "fuel", "draw_pattern", "metric")
            if any(one[key] != other[key] for key in keys):
                continue
            apart_in_time = (one["effective_to"] or date.max) < other["effective_from"] or (
                other["effective_to"] or date.max
            ) < one["effective_from"]
            apart_in_volume = _before(one, other) or _before(other, one)
            assert apart_in_time or apart_in_volume, (one["id"], other["id"])


def _before(one, other):
    top, bottom = one["volume_upper_gal"], other["volume_lower_gal"]
    if top is None:
        return False
    return top < bottom or (top == bottom and (one["volume_upper_excluded"] or other["volume_lower_excluded"]))
