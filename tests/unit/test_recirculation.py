"""A loop and its control."""

import numpy as np
import pytest

from advisor.case.house import Water
from advisor.core.errors import InputError
from advisor.core.verdicts import FITS, NEEDS_WORK
from advisor.demand.recirculation import (
    NO_LOOP,
    Loop,
    check_recirculation,
    distribution_heat_frac,
    firing_share_frac,
    heater_energy_multiplier_frac,
    loop_cost_usd_per_yr,
    loop_loss_btuh,
    pipe_loss_btuh_per_ft_df,
    pump_kwh_per_yr,
    recirculation,
    recirculation_of,
)


def _check(loop=None, **changes):
    given = {"heater_eff_frac": 0.8, "energy_usd_per_mmbtu": 15, "electricity_usd_per_kwh": 0.15}
    return check_recirculation(recirculation(loop or Loop(120)), **{**given, **changes})


def test_a_loop_that_always_runs():
    loop, check = recirculation(Loop(120, pump_w=25)), _check(Loop(120, pump_w=25))
    assert loop.heat_btu_per_yr == check.heat_btu_per_yr == pytest.approx(0.45 * 120 * 45 * 8760)
    assert loop.pump_kwh_per_yr == pytest.approx(219)
    assert check.cost_usd_per_yr == pytest.approx(check.heat_btu_per_yr / 0.8 / 1e6 * 15 + 219 * 0.15)


def test_control_orders_the_cost():
    costs = [
        _check(Loop(120, control=control)).cost_usd_per_yr
        for control in (
            "always",
            "temperature",
            "presence",
            "button",
            "none",
        )
    ]
    assert costs == sorted(costs, reverse=True)
    assert costs[-1] == 0


def test_tankless_burner_would_cycle_unless_batched():
    always = _check(tankless_min_btuh=15_000)
    assert always.firing_share_frac < 1
    assert always.verdict == NEEDS_WORK
    assert _check(Loop(120, control="button"), tankless_min_btuh=15_000).verdict == FITS
    assert _check().firing_share_frac is None


def test_heat_pump_loses_efficiency_to_a_running_loop():
    assert recirculation(Loop(120)).heat_pump_cop_frac == pytest.approx(0.88)
    assert _check(heat_pump=True).verdict == NEEDS_WORK
    assert _check().verdict == FITS
    assert recirculation(Loop(120, control="button")).heat_pump_cop_frac == 1
    assert _check(Loop(120, control="button"), heat_pump=True).verdict == FITS


def test_unknown_words_are_refused():
    with pytest.raises(InputError, match="water.recirculation"):
        _check(Loop(120, control="magic"))


def test_a_loop_by_hand():
    """120 ft at 0.45: 0.45 x 120 x 45 = 2,430 Btu/h; 12 MMBtu at 80 % and $15 are $225; (128 + 500) / 160 = 3.925."""
    assert loop_loss_btuh(0.45, 120, 115, [70, 115, 120]) == pytest.approx([2430, 0, 0])
    assert loop_cost_usd_per_yr(12e6, 0.8, 15.0) == pytest.approx(225, rel=1e-9)
    assert firing_share_frac(1000, 15_000, 0.95) == pytest.approx(0.0701754, rel=1e-5)
    assert heater_energy_multiplier_frac(500.0) == pytest.approx(3.925)
    # With 20 % of the drain's waste avoided and pipe half as long: 500 x (0.25 x 0.8 + 0.75 x 0.5) = 287.5.
    assert heater_energy_multiplier_frac(500.0, 0.2, 0.5) == pytest.approx((128 + 287.5) / 160)


def test_bare_pipes_without_a_loop_are_the_reference():
    assert distribution_heat_frac() == 1
    assert distribution_heat_frac(is_insulated=True) < 1


def test_the_usual_pump_and_the_cold_core():
    """25 W and 1.5 gpm, and 12 calls a day that reheat 251 Btu of a cold core: 1,099,380 Btu a year (all assumed)."""
    loop = recirculation(Loop(120))
    assert (loop.pump_kwh_per_yr, loop.flow_gpm) == (pytest.approx(219), 1.5)
    warm, cold = (_check(Loop(120, control="button"), tankless_min_btuh=least) for least in (None, 15_000))
    assert cold.heat_btu_per_yr - warm.heat_btu_per_yr == pytest.approx(1_099_380)


AIR_F = np.linspace(40.0, 70.0, 12)


def test_a_house_s_loop_takes_usual_values_where_none_are_given():
    assert recirculation_of(Water(), 120.0, AIR_F) == NO_LOOP
    usual = recirculation_of(Water(recirculation="timer"), 120.0, AIR_F)
    assert usual == recirculation_of(Water(recirculation="timer", loop_ft=120), 120.0, AIR_F)
    assert usual.loss_btuh == pytest.approx(0.45 * 120 * (115 - 70))
    longer = recirculation_of(Water(recirculation="timer", loop_ft=240), 120.0, AIR_F)
    assert longer.heat_btu_per_yr == pytest.approx(2 * usual.heat_btu_per_yr)
    covered = recirculation_of(Water(recirculation="timer", loop_is_insulated=True), 120.0, AIR_F)
    ratio = pipe_loss_btuh_per_ft_df("half_inch", "3/4")[1] / pipe_loss_btuh_per_ft_df("bare", "3/4")[1]
    assert covered.heat_btu_per_yr == pytest.approx(ratio * usual.heat_btu_per_yr)


def test_the_bench_counts_the_same_loss_above_the_air_around_the_heater():
    loop = recirculation_of(Water(recirculation="always"), 130.0, AIR_F)
    assert loop.loss_btuh_per_df * (125 - AIR_F.mean()) == pytest.approx(loop.loss_btuh)
    assert loop.loss_btuh * loop.warm_frac * 8760 == pytest.approx(loop.heat_btu_per_yr)
    assert loop.heat_btu_per_day * 365 == pytest.approx(loop.heat_btu_per_yr)


def test_every_control_costs_heat_and_a_pump():
    for control in ("always", "timer", "temperature", "presence", "button"):
        assert distribution_heat_frac(recirculation=control) > 1
        assert pump_kwh_per_yr(25.0, recirculation=control) > 0
    assert pump_kwh_per_yr(25.0, recirculation="none") == 0
