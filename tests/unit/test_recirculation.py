"""A loop and its control."""

import pytest

from advisor.core.errors import InputError
from advisor.core.verdicts import FITS, NEEDS_WORK
from advisor.demand.recirculation import Loop, check_recirculation, pipe_loss_btuh_per_ft_df


def _check(loop=None, **changes):
    given = {"heater_eff_frac": 0.8, "energy_usd_per_mmbtu": 15, "electricity_usd_per_kwh": 0.15}
    return check_recirculation(loop or Loop(120), **{**given, **changes})


def test_a_loop_that_always_runs():
    check = _check(Loop(120, pump_w=25))
    assert check.heat_btu_per_yr == pytest.approx(0.45 * 120 * 45 * 8760)
    assert check.pump_kwh_per_yr == pytest.approx(219)
    assert check.cost_usd_per_yr == pytest.approx(check.heat_btu_per_yr / 0.8 / 1e6 * 15 + 219 * 0.15)
    assert check.low_btu_per_yr < check.heat_btu_per_yr < check.high_btu_per_yr


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
    check = _check(heat_pump=True)
    assert check.heat_pump_cop_frac == pytest.approx(0.88)
    assert check.verdict == NEEDS_WORK
    assert _check(Loop(120, control="button"), heat_pump=True).heat_pump_cop_frac is None


def test_unknown_words_are_refused():
    with pytest.raises(InputError, match="loop.control"):
        _check(Loop(120, control="magic"))
    with pytest.raises(InputError, match="loop.nominal_in"):
        pipe_loss_btuh_per_ft_df("one_inch", "1/2")
