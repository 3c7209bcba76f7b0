"""What a heater in the house adds to heating and spares of cooling, by the outdoor air of the month (assumed)."""

import pytest

from advisor.heaters.room_effect import extra_heating_btu, saved_cooling_btu


def test_a_month_is_heated_below_55_f_and_cooled_above_72_f():
    """500,000 Btu taken: half of them at 80 % are 312,500 of heating; all of them at a COP of 3, 166,667 of cooling."""
    assert extra_heating_btu(500_000, 0.5, [54.9, 55.0], 0.8) == pytest.approx([312_500, 0])
    assert saved_cooling_btu(500_000, 1.0, [72.0, 72.1]) == pytest.approx([0, 166_667], abs=1)
