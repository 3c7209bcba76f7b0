"""What must hold for every house."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from advisor.demand import recirculation
from advisor.house.air import combustion_air
from advisor.house.condensate import disposal
from advisor.house.electrical import circuits, power_cut, service_load
from advisor.house.space import room
from advisor.house.vent import vent_capacity, vent_run
from advisor.house.water import distribution, water_side
from advisor.physics.combustion import combustion_eff_frac, condensed_frac

quick = settings(max_examples=50, deadline=None)


def number(low, high):
    return st.floats(low, high, allow_nan=False)


@quick
@given(number(0, 80), st.integers(0, 8), st.integers(0, 8), number(20, 150))
def test_another_elbow_never_lengthens_the_margin(straight_ft, elbows_90, elbows_45, limit_ft):
    def run(more_90, more_45):
        pipe = vent_run.Run(straight_ft, elbows_90 + more_90, elbows_45 + more_45)
        return vent_run.check_vent_run(pipe, diameter_in=3, limit_ft=limit_ft)

    now = run(0, 0)
    for more in (run(1, 0), run(0, 1)):
        assert more.margin_ft < now.margin_ft
        assert more.elbows_left <= now.elbows_left
        assert more.verdict.severity >= now.verdict.severity


@quick
@given(number(0, 80), st.integers(0, 8), number(20, 150))
def test_the_elbows_left_are_the_elbows_left(straight_ft, elbows_90, limit_ft):
    check = vent_run.check_vent_run(vent_run.Run(straight_ft, elbows_90), diameter_in=3, limit_ft=limit_ft)
    assume(check.margin_ft >= 0)
    filled = vent_run.check_vent_run(
        vent_run.Run(straight_ft, elbows_90 + check.elbows_left), diameter_in=3, limit_ft=limit_ft
    )
    assert filled.margin_ft >= -1e-6
    assert filled.margin_ft < 5 + 1e-6


@quick
@given(number(6, 20), number(0.1, 15), st.sampled_from([3, 4]))
def test_vent_capacity_falls_with_lateral_and_elbows(height_ft, lateral_ft, diameter_in):
    here = vent_capacity.type_b_capacity_btuh(height_ft, lateral_ft, diameter_in)
    assume(np.isfinite(here))
    table = vent_capacity.load("type_b_vent_capacity")["capacity_btuh"]
    assert table.min() <= here <= table.max()
    further = vent_capacity.type_b_capacity_btuh(height_ft, lateral_ft + 1, diameter_in)
    assert np.isnan(further) or further <= here + 1e-6
    assert vent_capacity.capacity_with_elbows_btuh(here, 1, 0) < here
    assert vent_capacity.capacity_with_elbows_btuh(here, 0, 1) < vent_capacity.capacity_with_elbows_btuh(here, 1, 0)


@quick
@given(number(20_000, 300_000), number(100, 20_000), number(0.05, 1.0))
def test_room_and_opening_make_up_for_each_other(input_btuh, room_ft3, ach):
    required = combustion_air.known_infiltration_volume_ft3(input_btuh, 0, ach)
    full = combustion_air.opening_free_area_in2(input_btuh, 4000, 0.0)
    area = combustion_air.combined_outdoor_area_in2(full, room_ft3, required)
    assert 0 <= area <= full
    assert (area == 0) == (room_ft3 >= required)
    assert combustion_air.known_infiltration_volume_ft3(input_btuh, 0, ach / 2) >= required


@quick
@given(number(60, 200), number(0.05, 1.0), st.sampled_from([(1, 4), (3, 8)]))
def test_cooler_flue_condenses_more_and_loses_less(flue_f, excess, atoms):
    warm = condensed_frac(flue_f + 5, excess, *atoms)
    cool = condensed_frac(flue_f, excess, *atoms)
    assert 0 <= warm <= cool <= 1
    heating_value = 23_875 if atoms == (1, 4) else 21_650
    assert combustion_eff_frac(flue_f, excess, *atoms, heating_value) > combustion_eff_frac(
        flue_f + 5, excess, *atoms, heating_value
    )


@quick
@given(number(0, 60), number(-10, 60), number(0, 60))
def test_a_longer_drain_never_drains_more_easily(outlet_in, receptor_in, run_ft):
    order = ["gravity", "pump", "neither"]

    def way(feet):
        return disposal.check_drain(
            acidic=True,
            outlet_height_in=outlet_in,
            receptor_height_in=receptor_in,
            run_ft=feet,
            receptacle_near=True,
            drain_material="plastic",
        ).way

    assert order.index(way(run_ft + 5)) >= order.index(way(run_ft))


@quick
@given(number(0.5, 15), st.sampled_from(["copper", "aluminum"]))
def test_storage_circuit_is_consistent(power_kw, material):
    circuit = circuits.storage_circuit(power_kw, material=material)
    assert circuit.rating_a <= circuit.least_breaker_a <= circuit.usual_breaker_a <= circuit.largest_breaker_a
    assert circuit.conductor.ampacity_a >= circuit.rating_a


@quick
@given(number(3, 40), st.sampled_from([208.0, 240.0]))
def test_tankless_circuits_add_up(power_kw, supply_v):
    circuit = circuits.tankless_circuits(power_kw, supply_v=supply_v)
    assert circuit.each_a * circuit.circuits == pytest.approx(circuit.total_a)
    assert circuit.each_a <= 48 + 1e-6
    assert circuit.total_a * supply_v == pytest.approx(circuit.power_kw * 1000)


@quick
@given(number(400, 6000), number(0, 40_000), number(0, 10_000), number(0, 30_000), number(60, 400))
def test_more_load_never_fits_better(floor_ft2, appliances_va, cooling_va, heater_va, service_a):
    loads = service_load.ServiceLoads(floor_ft2, appliances_va=appliances_va, cooling_va=cooling_va)
    now = service_load.check_service(loads, service_a=service_a, new_heater_va=heater_va)
    more = service_load.check_service(loads, service_a=service_a, new_heater_va=heater_va + 500)
    for route, heavier in zip(now.routes, more.routes, strict=True):
        assert heavier.after_a > route.after_a >= route.before_a
        assert heavier.after_a - route.after_a <= 500 / 240 + 1e-9
    assert now.routes[0].after_a >= now.routes[1].after_a - 1e-9
    assert more.verdict.severity >= now.verdict.severity


@quick
@given(number(1, 120), number(33, 75), number(100, 180), number(1, 40), number(20, 79))
def test_larger_rise_never_asks_a_smaller_expansion_tank(volume_gal, cold_f, hot_f, more_df, supply_psi):
    def tank(to_f, psi):
        extra = water_side.expanded_gal(volume_gal, cold_f, to_f)
        return water_side.expansion_tank_gal(extra, psi, 80.0)

    assert tank(hot_f, supply_psi) > 0
    assert tank(min(hot_f + more_df, 212), supply_psi) > tank(hot_f, supply_psi)
    assert tank(hot_f, supply_psi + 0.5) > tank(hot_f, supply_psi)


@quick
@given(number(113, 139), number(0.01, 1))
def test_hotter_water_burns_sooner_and_deeper_later(water_f, more_df):
    assert water_side.second_degree_burn_s(water_f + more_df) < water_side.second_degree_burn_s(water_f)
    assert water_side.third_degree_burn_s(water_f) > water_side.second_degree_burn_s(water_f)


@quick
@given(number(10, 80), number(100, 180), number(90, 130), number(33, 80))
def test_mixing_keeps_the_heat(stored_gal, stored_f, mixed_f, cold_f):
    assume(mixed_f > cold_f)
    out = water_side.mixed_gal(stored_gal, stored_f, mixed_f, cold_f)
    assert out >= stored_gal
    if stored_f >= mixed_f:
        assert out * (mixed_f - cold_f) == pytest.approx(stored_gal * (stored_f - cold_f))


@quick
@given(number(0, 200), number(0.2, 8), number(1, 1.5), number(0, 10))
def test_wait_grows_with_pipe_and_shrinks_with_flow(pipe_ft, flow_gpm, purge, delay):
    gallons = distribution.pipe_volume_gal(pipe_ft, 3.22)
    wait = distribution.hot_water_wait_s(gallons, flow_gpm, purge, delay)
    assert wait >= delay
    assert distribution.hot_water_wait_s(gallons, flow_gpm * 2, purge, delay) <= wait
    assert distribution.wasted_gal(wait, flow_gpm) >= gallons * 0.999


@quick
@given(number(0, 300), number(60, 160), number(40, 100))
def test_loop_never_gains_heat(loop_ft, loop_f, air_f):
    loss = recirculation.loop_loss_btuh(0.45, loop_ft, loop_f, air_f)
    assert loss >= 0
    assert recirculation.loop_loss_btuh(0.45, loop_ft * 2, loop_f, air_f) == pytest.approx(2 * loss)


@quick
@given(number(450, 2000), number(10, 84))
def test_more_air_never_hurts_a_heat_pump(room_ft3, use_gpd):
    here = room.room_cop_frac(room_ft3, use_gpd)
    assert 0.8 < here <= 1
    assert room.room_cop_frac(room_ft3 + 50, use_gpd) >= here


@quick
@given(number(20, 120), number(1, 12), number(110, 160), number(40, 80), number(85, 110))
def test_cooling_splits_in_two(volume_gal, loss, tank_f, room_f, usable_f):
    between = (tank_f + usable_f) / 2
    whole = power_cut.warm_water_h(volume_gal, loss, tank_f, room_f, usable_f)
    first = power_cut.warm_water_h(volume_gal, loss, tank_f, room_f, between)
    second = power_cut.warm_water_h(volume_gal, loss, between, room_f, usable_f)
    assert first + second == pytest.approx(whole)
