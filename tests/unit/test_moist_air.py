"""Wet bulb and pressure: scalar equals array, range, and independent answers."""

import subprocess
import sys

import numpy as np
import pytest
from iapws import IAPWS97

from advisor.physics.moist_air import SEA_LEVEL_PSI, station_pressure_psi, wet_bulb_f


@pytest.mark.parametrize(
    ("formula", "rest"), [(wet_bulb_f, (0.5,)), (wet_bulb_f, (0.5, 12.1)), (station_pressure_psi, ())]
)
def test_a_number_and_an_array_give_the_same(formula, rest):
    values = np.array([[-30.0, 10.0], [70.0, 110.0]])
    assert np.array_equal(formula(values, *rest), [[formula(value, *rest) for value in row] for row in values])
    assert isinstance(formula(70.0, *rest), float)


@pytest.mark.parametrize(
    ("given", "last", "beyond"),
    [(0, -100.0, -100.1), (0, 150.0, 150.1), (1, 0.01, 0.009), (1, 1.0, 1.01), (2, 7.0, 6.9), (2, 16.0, 16.1)],
)
def test_the_wet_bulb_has_an_end_and_neighbours_keep_theirs(given, last, beyond):
    usual = [68.0, 0.5, SEA_LEVEL_PSI]
    end, outside = ([*usual[:given], value, *usual[given + 1 :]] for value in (last, beyond))
    found = wet_bulb_f(*np.transpose([end, outside, usual]))
    assert np.isnan(found).tolist() == [False, True, False]
    assert found[2] == wet_bulb_f(68.0, 0.5)


def test_pressure_has_an_end():
    """At both ends by the printed tables of the US Standard Atmosphere 1976: 15.236 and 3.297 psi (from memory)."""
    found = station_pressure_psi(np.array([-1001.0, -1000.0, 36_000.0, 36_001.0, 200_000.0]))
    assert np.isnan(found).tolist() == [True, False, False, True, True]
    assert found[1:3] == pytest.approx([15.236, 3.297], rel=1e-3)


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
