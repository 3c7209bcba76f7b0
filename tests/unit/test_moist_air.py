"""Wet bulb and pressure: scalar equals array, range, and independent answers."""

import subprocess
import sys

import numpy as np
import pytest
from iapws import IAPWS97

from advisor.physics.moist_air import station_pressure_psi, wet_bulb_f


@pytest.mark.parametrize(
    ("formula", "rest"), [(wet_bulb_f, (0.5,)), (wet_bulb_f, (0.5, 12.1)), (station_pressure_psi, ())]
)
def test_a_number_and_an_array_give_the_same(formula, rest):
    values = np.array([[-30.0, 10.0], [70.0, 110.0]])
    assert np.array_equal(formula(values, *rest), [[formula(value, *rest) for value in row] for row in values])
    assert isinstance(formula(70.0, *rest), float)


@pytest.mark.parametrize(
    ("air_f", "humidity", "pressure_psi"),
    [
        (-101.0, 0.5, 14.7),
        (151.0, 0.5, 14.7),
        (70.0, 0.009, 14.7),
        (70.0, 1.01, 14.7),
        (70.0, 0.5, 6.9),
        (70.0, 0.5, 17),
    ],
)
def test_the_wet_bulb_has_an_end_and_neighbours_keep_theirs(air_f, humidity, pressure_psi):
    pair = wet_bulb_f([air_f, 68.0], [humidity, 0.5], [pressure_psi, 14.696])
    assert np.isnan(pair[0])
    assert pair[1] == wet_bulb_f(68.0, 0.5)


def test_pressure_has_an_end():
    assert np.isnan(station_pressure_psi(40_000.0))


@pytest.mark.parametrize(("air_c", "humidity"), [(10, 0.6), (15, 0.5), (20, 0.5), (25, 0.4), (30, 0.6), (35, 0.3)])
def test_wet_bulb_against_the_psychrometer(air_c, humidity):
    """Psychrometer equation p = ps(tw) - 6.6e-4 (1 + 0.00115 tw) P (t - tw), saturation pressure from the IAPWS
    formulation. A real wet thermometer reads a little warmer than the balance of heat and moisture."""

    def saturation_pa(celsius: float) -> float:
        return IAPWS97(T=celsius + 273.15, x=0).P * 1e6

    low, high = max(air_c - 20.0, 0.1), float(air_c)
    for _ in range(40):
        middle = (low + high) / 2
        vapour = saturation_pa(middle) - 6.6e-4 * (1 + 0.00115 * middle) * 101_325 * (air_c - middle)
        low, high = (middle, high) if vapour < humidity * saturation_pa(air_c) else (low, middle)
    assert (wet_bulb_f(air_c * 1.8 + 32, humidity) - 32) / 1.8 == pytest.approx(low, abs=0.2)


def test_saturated_air_is_as_warm_as_its_wet_bulb():
    air = np.array([-20.0, 31.0, 33.0, 90.0])
    assert wet_bulb_f(air, 1.0) == pytest.approx(air, abs=0.002)


def test_the_library_compiles_nothing():
    """Numba is there, and PsychroLib would spend seconds with it in every run."""
    code = (
        "import sys; from advisor.physics.moist_air import wet_bulb_f as f; f(68.0, 0.5); print('numba' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
