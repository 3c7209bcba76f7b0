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
