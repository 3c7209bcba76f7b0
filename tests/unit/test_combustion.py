"""Saturated flue gas at its edges."""

import numpy as np
import pytest

from advisor.core.errors import TableError
from advisor.core.kinds import Fuel
from advisor.physics import combustion
from advisor.physics.combustion import (
    combustion_eff_frac,
    condensed_frac,
    flue_dew_point_f,
    flue_temperature_f,
    fuel_gas,
    saturation_pressure_psi,
)


def test_saturation_pressure_is_bounded():
    for inside_f, outside_f in ((32.0, 31.9), (392.0, 392.1)):
        assert np.isfinite(saturation_pressure_psi(inside_f)) and np.isnan(saturation_pressure_psi(outside_f))
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


def test_the_flue_that_cools_by_hand():
    """Methane, 30 % excess air, flue at 240 °F, nothing condensed; the molar heats of the module.

    Dry gas 1 + 2 x 1.3 x 3.762 + 2 x 0.3 = 11.3812 lb-mol, vapor 2: (11.3812 x 7.1 + 2 x 8.0) x 170 = 16,457 Btu.
    Vapor not condensed 2 x 18.015 x 1,054 = 37,976. Fuel 12.011 + 4 x 1.008 = 16.043 lb of 23,875: 383,027 Btu.
    The room's own vapor, 30 % of 0.3633 psi (steam tables, 70 °F): 2 x 1.3 x 4.762 x 0.1090 / 14.587 = 0.0925 lb-mol,
    which leaves 170 °F warmer, too: 126 Btu more.
    """
    methane = (0.3, 1, 4, 23_875)
    assert combustion_eff_frac(240.0, *methane, room_rh=0.0) == pytest.approx(1 - 54_433 / 383_027, abs=2e-6)
    assert combustion_eff_frac(240.0, *methane) == pytest.approx(1 - 54_559 / 383_027, abs=5e-6)


def test_a_psi_in_pascals():
    """By definition 0.45359237 kg x 9.80665 m/s² on a square inch of 0.0254² m²."""
    assert pytest.approx(0.45359237 * 9.80665 / 0.0254**2, rel=1e-6) == combustion._PA_PER_PSI


def test_no_more_condenses_than_the_fire_made():
    """Air of a laundry, 90 °F and 90 %, gives its own vapor to a flue of 60 °F; the share is that of the fire alone."""
    assert condensed_frac(60.0, 1.0, 1, 4, room_f=90.0, room_rh=0.9) == 1.0


@pytest.mark.parametrize(("flue_f", "is_told"), [(59.5, False), (60.5, True), (349.5, True), (350.5, False)])
def test_flue_temperatures_are_told_from_60_to_350_f(flue_f, is_told):
    efficiency = combustion_eff_frac(flue_f, 0.3, 1, 4, 23_875)
    assert np.isfinite(flue_temperature_f(efficiency, 0.3, 1, 4, 23_875)) == is_told


def test_unknown_fuel_is_refused():
    with pytest.raises(TableError, match="no row for heating_oil"):
        fuel_gas(Fuel.named("heating_oil"))
