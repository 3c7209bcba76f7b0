"""The two-parameter model: parameters, months, loops, cold rooms and warm attics."""

from dataclasses import replace
from math import erf, sqrt

import numpy as np
import pytest

from advisor.core.units import BTU_PER_KWH, DAYS_BY_MONTH
from advisor.demand.recirculation import Recirculation
from advisor.heaters import heat_pump
from advisor.heaters.annual_energy import (
    COMPRESSOR_LOCKOUT_F,
    TANKLESS_DRAW_FACTOR,
    annual_energy,
    bought_btu_per_yr,
    drawn_efficiency_frac,
    in_place_energy_btu_per_yr,
    lockout_share_frac,
    parameters_of,
    relative_cop,
)
from advisor.heaters.catalogue import by_id, catalogue
from advisor.physics.water import heat_in_water_btu
from tests.circumstances import circumstances
from tests.houses import said

MAINS_F = np.array([45.0, 46, 49, 54, 60, 66, 70, 71, 68, 62, 55, 49])
ONES = np.ones(12)
#: Heat, pump and what is left of a coefficient of performance: of no loop, a short one and a long one.
LOOPS = ((0.0, 0.0, 1.0), (3e6, 100.0, 1.0), (12e6, 219.0, 0.88))


def _house(**changes):
    return circumstances(**{"daily_gal": 50.0, "mains_f": MAINS_F, **changes})


def _bought_btu(energy):
    return float(np.sum(energy.fuel_btu) + np.sum(energy.electricity_kwh) * BTU_PER_KWH)


def test_heat_delivered_is_that_of_the_water():
    energy = annual_energy(by_id("gas-tank-40"), _house())
    np.testing.assert_allclose(energy.heat_btu, heat_in_water_btu(50.0, 120 - MAINS_F) * DAYS_BY_MONTH)


def test_electric_tank_buys_heat_and_loss():
    heater = by_id("electric-tank-50")
    loss = 24 * parameters_of(heater).loss_btuh_per_df * (120 - 65) * 365
    energy = annual_energy(heater, _house())
    assert not energy.fuel_btu.any()
    assert _bought_btu(energy) == pytest.approx(energy.heat_btu.sum() + loss)


def test_a_heat_pump_returns_its_rating_on_its_test_day():
    """10 CFR 430 subpart B app. E: 125 and 58 °F water, 67.5 °F air at 50 % humidity, 56.4 °F wet bulb.

    With water of 38 °F the condenser's is 125 - 0.2 x 87 = 107.6 °F instead of 111.6 °F (the share is assumed).
    """
    heater = by_id("heat-pump-50")
    for inlet_f, condenser_f in ((58.0, 111.6), (38.0, 107.6)):
        test = _house(set_point_f=125.0, mains_f=inlet_f * ONES, air_f=67.5 * ONES, wet_bulb_f=56.4 * ONES)
        energy = annual_energy(heater, test)
        found = float(energy.into_water_btu.sum() / energy.bought_btu.sum()) / parameters_of(heater).efficiency_frac
        map_at, map_rated = (heat_pump.relative_cop_dimensionless(56.4, one_f) for one_f in (condenser_f, 111.6))
        assert found == pytest.approx(map_at / map_rated, rel=1e-6)


def test_a_year_s_heat_balance_by_hand():
    assert bought_btu_per_yr(12e6, 3e6, 0.75) == 20e6


def test_drawn_efficiency_by_hand():
    """0.94 of a UEF of 0.82 (later editions of ANSI/RESNET/ICC 301, from memory, unverified)."""
    assert drawn_efficiency_frac(0.82) == pytest.approx(0.7708)


def test_tankless_heater_has_no_standby_but_short_draws():
    heater = by_id("gas-tankless-180")
    energy = annual_energy(heater, _house())
    assert _bought_btu(energy) == pytest.approx(energy.heat_btu.sum() / (heater.uef * TANKLESS_DRAW_FACTOR))
    warm = annual_energy(heater, _house(air_f=90.0 * ONES))
    np.testing.assert_array_equal(energy.fuel_btu, warm.fuel_btu)


def test_fan_and_controls_are_part_of_the_rating_not_on_top():
    heater = by_id("gas-tank-power-vent-50")
    with_fan, without = (annual_energy(replace(heater, aux_kwh_per_yr=kwh), _house()) for kwh in (55.0, 0.0))
    assert with_fan.electricity_kwh.sum() == pytest.approx(55.0)
    assert _bought_btu(with_fan) == pytest.approx(_bought_btu(without))


def test_two_tanks_lose_twice_and_deliver_the_same():
    heater = by_id("gas-tank-40")
    one, two = (annual_energy(replace(heater, n_units=count), _house()) for count in (1, 2))
    solved = parameters_of(heater)
    extra = 24 * 365 * solved.loss_btuh_per_df * (120 - 65) / solved.efficiency_frac
    assert _bought_btu(two) - _bought_btu(one) == pytest.approx(extra)
    np.testing.assert_array_equal(one.heat_btu, two.heat_btu)


def test_a_loop_is_heat_that_is_bought():
    heater = by_id("electric-tank-50")
    plain, loop = (
        annual_energy(heater, _house(loop=Recirculation(heat_btu_per_yr=365 * heat))) for heat in (0.0, 20_000.0)
    )
    assert _bought_btu(loop) - _bought_btu(plain) == pytest.approx(20_000 * 365)
    assert loop.heat_btu.sum() - plain.heat_btu.sum() == pytest.approx(20_000 * 365)


def test_a_tank_without_a_recovery_efficiency_takes_that_of_its_class():
    # 0.78: median of several thousand listed gas tanks (Lutz 2023, seen second-hand); 0.90 condensing; 0.80 oil.
    for heater_id, usual in (("gas-tank-50", 0.78), ("gas-tank-condensing-50", 0.90), ("oil-tank-32", 0.80)):
        heater = by_id(heater_id)
        assert parameters_of(replace(heater, recovery_frac=None)) == parameters_of(replace(heater, recovery_frac=usual))


def test_a_contradictory_label_still_gives_its_rating():
    # Recovery efficiency below the UEF cannot be: the loss is taken as nothing, the UEF as the efficiency.
    solved = parameters_of(replace(by_id("gas-tank-40"), recovery_frac=0.55))
    assert (solved.efficiency_frac, solved.loss_btuh_per_df) == (0.60, 0.0)


def test_air_warmer_than_the_tank_is_never_sold_back():
    # An attic of 105 F and a set point of 90 F, water as warm as that: nothing is bought, and nothing returned.
    hot = _house(daily_gal=10.0, mains_f=91.0, set_point_f=90.0, air_f=105.0, wet_bulb_f=85.0)
    for heater in catalogue():
        energy = annual_energy(heater, hot)
        assert np.all(energy.electricity_kwh >= 0)
        assert energy.electricity_kwh.sum() <= heater.aux_kwh_per_yr * (1 + 1e-9)
        assert not energy.fuel_btu.any()


def test_the_map_is_one_where_it_is_normalised():
    # The map was normalised at 57 F wet bulb and 120 F water; its coefficients (from memory) return 1.00 there.
    assert relative_cop(57.0, 120.0) == pytest.approx(1.0, abs=0.005)
    assert relative_cop(20.0, 120.0) == relative_cop(35.0, 120.0)
    assert relative_cop(57.0, 200.0) == relative_cop(57.0, 145.0)
    # Its edges: 35 and 80 °F of air, 50 and 145 °F of water; within them each degree tells.
    for low, high, along in ((35, 80, lambda x: relative_cop(x, 120.0)), (50, 145, lambda x: relative_cop(57.0, x))):
        assert along(low - 1) == along(low) != along(low + 1) and along(high + 1) == along(high) != along(high - 1)


def test_cold_air_stops_the_compressor():
    assert lockout_share_frac(COMPRESSOR_LOCKOUT_F) == pytest.approx(0.5)
    assert lockout_share_frac(-20.0) == pytest.approx(1.0, abs=1e-4)
    assert lockout_share_frac(90.0) == pytest.approx(0.0, abs=1e-4)
    # Cut off three spreads above 37 °F, at 64 °F: 26.1 °F above, 1 / (1 + e^4.9358); 27.1 °F above, none.
    assert lockout_share_frac([63.1, 64.1]) == pytest.approx([0.00713, 0.0], abs=1e-5)
    # The logistic curve stands in for the normal one: within 0.01 everywhere.
    air = np.linspace(0, 80, 200)
    normal = np.array([0.5 * (1 + erf((COMPRESSOR_LOCKOUT_F - one) / 9.0 / sqrt(2))) for one in air])
    np.testing.assert_allclose(lockout_share_frac(air), normal, atol=0.01)


def test_a_heat_pump_in_bitter_cold_is_an_electric_tank():
    heater = by_id("heat-pump-50")
    cold = _house(air_f=-20.0 * ONES, wet_bulb_f=0.0 * ONES)
    energy = annual_energy(heater, cold)
    loss = 24 * 365 * parameters_of(heater).loss_btuh_per_df * (120 + 20)
    assert _bought_btu(energy) == pytest.approx(energy.heat_btu.sum() + loss, rel=1e-3)


def test_a_heat_pump_takes_its_heat_from_the_room():
    heater, house = by_id("heat-pump-50"), _house()
    energy = annual_energy(heater, house)
    # First law: bought + taken from the air = delivered, for the tank's own loss returns to the same air.
    assert _bought_btu(energy) + energy.room_heat_btu.sum() == pytest.approx(energy.heat_btu.sum(), rel=1e-9)
    for other in ("gas-tank-40", "electric-tank-50", "gas-tankless-180"):
        assert not annual_energy(by_id(other), house).room_heat_btu.any()


def test_a_stack_of_houses_is_each_of_them():
    gallons, set_points = np.array([20.0, 50.0, 90.0]), np.array([110.0, 120.0, 140.0])
    loops = [
        Recirculation(heat_btu_per_yr=heat, pump_kwh_per_yr=kwh, heat_pump_cop_frac=cop) for heat, kwh, cop in LOOPS
    ]
    names = ("heat_btu_per_yr", "pump_kwh_per_yr", "heat_pump_cop_frac")
    together_loop = Recirculation(**{name: np.array([getattr(loop, name) for loop in loops]) for name in names})
    stack = _house(
        daily_gal=gallons[:, None],
        mains_f=np.broadcast_to(MAINS_F, (3, 12)),
        set_point_f=set_points,
        air_f=np.full((3, 12), 65.0),
        loop=together_loop,
    )
    for heater in (by_id("gas-tank-40"), by_id("heat-pump-50"), by_id("electric-tankless-24")):
        together = annual_energy(heater, stack)
        for index in range(3):
            one = _house(daily_gal=gallons[index], set_point_f=float(set_points[index]), loop=loops[index])
            alone = annual_energy(heater, one)
            for name in ("fuel_btu", "electricity_kwh", "heat_btu", "room_heat_btu", "standby_btu_per_day"):
                assert getattr(together, name).shape == (3, 12)
                np.testing.assert_allclose(getattr(together, name)[index], getattr(alone, name), rtol=1e-12)


def test_a_class_without_a_measurement_has_no_in_place_figure():
    assert in_place_energy_btu_per_yr(by_id("oil-tank-32"), 15e6) is None
    assert in_place_energy_btu_per_yr(by_id("electric-tank-50"), 15e6) is None
    energy, source = in_place_energy_btu_per_yr(by_id("gas-tank-40"), 15e6)
    assert energy == pytest.approx(15e6 / (0.60 * 0.80))
    assert "former energy factor" in said(source)


def test_a_heat_pump_without_an_element_uses_none():
    """At 45 °F a fifth of the hours lock a compressor out: elements take over where there are any, at a COP of 1."""
    cold = circumstances(air_f=45.0, wet_bulb_f=40.0)
    year = {name: annual_energy(by_id(name), cold) for name in ("heat-pump-plug-in-50", "heat-pump-50")}
    over_rated = {
        name: float(energy.into_water_btu.sum() / energy.bought_btu.sum()) / parameters_of(by_id(name)).efficiency_frac
        for name, energy in year.items()
    }
    # The same map serves both compressors; what is left of the rating differs by the elements alone.
    share, cop = float(lockout_share_frac(45.0)), over_rated["heat-pump-plug-in-50"]
    rated = parameters_of(by_id("heat-pump-50")).efficiency_frac
    assert share > 0.15
    assert over_rated["heat-pump-50"] == pytest.approx(1 / ((1 - share) / cop + share * rated), rel=0.01)
