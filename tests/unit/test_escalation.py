"""Price courses: the outlook's rows, its limits, and the two that need no table."""

import numpy as np
import pytest

from advisor.core import tables
from advisor.core.errors import InputError, OutOfRangeError
from advisor.core.kinds import Fuel
from advisor.money.escalation import (
    SCENARIOS,
    division_of,
    index_frac,
    newer_outlook_index_frac,
    outlook_ends,
    outlook_index_frac,
    steady_index_frac,
)


def test_the_outlook_is_rebased_to_todays_price():
    # Pacific electricity: 0.8635 in 2026, 0.7927 in 2027, 0.7825 in 2028.
    index = outlook_index_frac(Fuel.named("electricity"), "Pacific", 2026, 2)
    assert index == pytest.approx([0.7927 / 0.8635, 0.7825 / 0.8635])


def test_a_divisions_course_moves_with_the_newer_outlook():
    # EIA AEO2026, whole country: electricity 1.0019 in 2026, 0.9810 in 2027 (2025 = 1).
    power = Fuel.named("electricity")
    assert newer_outlook_index_frac(power, "United States", 2025, 2) == pytest.approx([1.0019, 0.9810])
    assert newer_outlook_index_frac(power, "United States", 2026, 1) == pytest.approx([0.9810 / 1.0019])
    # The Pacific keeps its own shape: 0.8635 and 0.7927 where the country had 0.9444 and 0.8959.
    assert newer_outlook_index_frac(power, "Pacific", 2025, 2) == pytest.approx(
        [0.8635 / 0.9444 * 1.0019, 0.7927 / 0.8959 * 0.9810]
    )


def test_every_division_and_fuel_is_there():
    table = tables.load("energy_price_indices")
    assert len(table) == 10 * 4 * 26
    for division in dict.fromkeys(table["division"]):
        assert index_frac("outlook", division, 2025, 25).shape == (4, 25)
    assert (table["index_frac"][table["year"] == 2025] == 1).all()


def test_the_published_years_are_the_limit():
    outlook_index_frac(Fuel.named("propane"), "Mountain", 2030, 20)
    with pytest.raises(OutOfRangeError):
        outlook_index_frac(Fuel.named("propane"), "Mountain", 2031, 20)
    with pytest.raises(OutOfRangeError):
        outlook_index_frac(Fuel.named("propane"), "Mountain", 2024, 5)


@pytest.mark.parametrize(("fuel", "division"), [("coal", "Pacific"), ("propane", "Atlantis")])
def test_unknown_rows(fuel, division):
    with pytest.raises(InputError):
        outlook_index_frac(Fuel.named(fuel), division, 2026, 10)


def test_flat_and_rising_prices_need_no_place():
    assert index_frac("flat", "", 1900, 15).tolist() == np.ones((4, 15)).tolist()
    rising = index_frac("rise", "", 1900, 15)
    assert rising[2, 0] == pytest.approx(1.02) and rising[2, 14] == pytest.approx(1.02**15)
    assert steady_index_frac(-0.01, 2) == pytest.approx([0.99, 0.9801])


@pytest.mark.parametrize(("base_year", "ends"), [(2024, None), (2025, 2050), (2049, 2050), (2050, None)])
def test_the_last_year_of_the_outlook(base_year, ends):
    assert outlook_ends(base_year) == ends


def test_beyond_the_last_year_prices_stay():
    """One year of outlook is left in 2049; whoever asks in 2050 is told that there is none."""
    last = newer_outlook_index_frac(Fuel.named("propane"), "Pacific", 2049, 1)[0]
    assert index_frac("outlook", "Pacific", 2049, 3)[2] == pytest.approx([last] * 3)
    assert last != 1
    for base_year in (2024, 2050):
        with pytest.raises(OutOfRangeError):
            index_frac("outlook", "Pacific", base_year, 3)


@pytest.mark.parametrize(("state", "division"), [("CA", "Pacific"), (" ct ", "New England"), ("PR", "United States")])
def test_the_division_of_a_state(state, division):
    assert division_of(state) == division


def test_scenarios_are_named():
    assert len(Fuel.all()) == 4
    for scenario in SCENARIOS:
        assert index_frac(scenario, "United States", 2026, 15).shape == (4, 15)
    with pytest.raises(InputError):
        index_frac("doom", "United States", 2026, 15)
