"""Heat pump maps: scalar equals array, range, and independent answers."""

from __future__ import annotations

import numpy as np
import pytest

from advisor.heaters import heat_pump


@pytest.mark.parametrize(
    ("wet_bulb_f", "water_f", "cop", "capacity"),
    [
        # Multipliers worked out independently from the same coefficients and printed to 0.01.
        (40, 70, 1.13, 0.79),
        (40, 120, 0.74, 0.64),
        (50, 90, 1.20, 0.98),
        (57, 70, 1.57, 1.19),
        (57, 120, 1.00, 0.99),
        (57, 130, 0.88, 0.93),
        (65, 110, 1.25, 1.22),
        (70, 120, 1.19, 1.27),
        (70, 130, 1.04, 1.20),
    ],
)
def test_maps(wet_bulb_f, water_f, cop, capacity):
    assert heat_pump.relative_cop_dimensionless(wet_bulb_f, water_f) == pytest.approx(cop, abs=0.006)
    assert heat_pump.relative_capacity_dimensionless(wet_bulb_f, water_f) == pytest.approx(capacity, abs=0.006)


@pytest.mark.parametrize("formula", [heat_pump.relative_cop_dimensionless, heat_pump.relative_capacity_dimensionless])
def test_scalar_equals_array_and_the_range_is_kept(formula):
    wet, water = np.array([34.0, 40.0, 57.0, 80.0, 81.0]), np.array([120.0, 49.0, 120.0, 145.0, 120.0])
    values = formula(wet, water)
    assert np.isnan(values).tolist() == [True, True, False, False, True]
    for i in range(5):
        assert formula(float(wet[i]), float(water[i])) == pytest.approx(values[i], nan_ok=True)


def test_heat_from_air():
    """4,500 Btu of heat made with 0.4 kWh takes 4,500 - 1,365 = 3,135 Btu from the room."""
    assert heat_pump.heat_from_air_btu(4500.0, 0.4) == pytest.approx(3135, abs=1)


def test_sources_follow_the_map_and_the_lockout():
    air = np.array([30.0, 50.0, 67.5])
    wet = np.array([25.0, 45.0, 57.0])
    rows = heat_pump.sources(4000.0, 3.5, air, wet, 15_000.0, "hybrid")
    for row, held in zip(rows[1:], wet[1:], strict=True):
        for water in (60.0, 100.0, 140.0):
            capacity = row[0] + row[1] * water + row[2] * water**2
            cop = row[3] + row[4] * water + row[5] * water**2
            assert capacity == pytest.approx(4000 * heat_pump.relative_capacity_dimensionless(held, water))
            assert cop == pytest.approx(3.5 * heat_pump.relative_cop_dimensionless(held, water))
    assert rows[0, :4].tolist() == [15_000.0, 0, 0, 1] and rows[0, 6] == 1
    assert heat_pump.sources(4000.0, 3.5, air, wet, 15_000.0, "efficient")[0, 0] == 0
