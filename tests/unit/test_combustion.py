"""Saturated flue gas at its edges."""

import numpy as np
import pytest

from advisor.core.errors import TableError
from advisor.core.kinds import Fuel
from advisor.physics.combustion import (
    combustion_eff_frac,
    condensed_frac,
    flue_dew_point_f,
    flue_temperature_f,
    fuel_gas,
    saturation_pressure_psi,
)


def test_saturation_pressure_is_bounded():
    assert np.isnan(saturation_pressure_psi(20.0))
    assert np.isnan(saturation_pressure_psi(500.0))
    assert saturation_pressure_psi(212.0) == pytest.approx(14.7, abs=0.02)


def test_nothing_condenses_above_the_dew_point():
    dew = flue_dew_point_f(0.3, 1, 4)
    assert condensed_frac(dew + 0.1, 0.3, 1, 4) == 0
    assert condensed_frac(dew - 0.5, 0.3, 1, 4) > 0
    assert condensed_frac(300.0, 0.3, 1, 4) == 0


def test_flue_temperature_undoes_the_efficiency():
    for flue_f in (80.0, 120.0, 250.0):
        efficiency = combustion_eff_frac(flue_f, 0.3, 1, 4, 23_875)
        assert flue_temperature_f(efficiency, 0.3, 1, 4, 23_875) == pytest.approx(flue_f, abs=1e-3)


def test_an_impossible_efficiency_has_no_flue_temperature():
    assert np.isnan(flue_temperature_f(1.01, 0.3, 1, 4, 23_875))
    assert np.isnan(flue_temperature_f(0.5, 0.3, 1, 4, 23_875))


def test_unknown_fuel_is_refused():
    with pytest.raises(TableError, match="no row for heating_oil"):
        fuel_gas(Fuel.named("heating_oil"))
