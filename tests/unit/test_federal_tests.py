"""Mornings, pauses and years on the bench; and the same numbers with the compiler switched off."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from advisor.bench import calibration, federal_tests, morning
from advisor.bench.internals import Tankless
from advisor.core.errors import InputError
from advisor.demand import events
from advisor.demand.recirculation import Recirculation
from advisor.heaters.catalogue import by_id
from tests.houses import said

USES = [
    ("shower 1", 0, 8, 2.1, 105),
    ("shower 2", 4, 8, 2.1, 105),
    ("kitchen", 6, 2, 1.0, 105),
    ("washer", 20, 3, 2.2, None),
]
PLACE = {"set_point_f": 120.0, "inlet_f": 48.0, "air_f": 65.0}
MAINS = np.array([45, 44, 47, 52, 58, 64, 68, 69, 66, 60, 53, 48.0])

SHORT_RUN = """
import json, sys
from advisor.demand import events
from advisor.demand.recirculation import Recirculation
from advisor.core.errors import InputError
from advisor.bench import federal_tests, morning
from advisor.heaters.catalogue import by_id
from advisor.bench.calibration import retest
from advisor.bench.internals import sources_of, tank_of
import numpy as np
uses = events.morning([("a", 0, 4, 2.1, 105), ("b", 5, 3, 2.1, 105), ("c", 6, 1, 1.4, None)])
answer = {}
for name in ("gas-tank-40", "electric-tank-40", "heat-pump-50", "heat-pump-plug-in-50", "gas-tankless-180"):
    heater = by_id(name)
    result = morning.run_morning(heater, uses, set_point_f=120.0, inlet_f=48.0, air_f=65.0)
    answer[name] = [result.hot_gal, result.heat_btu, float(result.outlet_f.sum())]
    if heater.is_storage:
        inside = retest(heater).internals
        source = sources_of(heater, inside, np.array([67.5]))[0]
        answer[name].append(federal_tests.first_hour(tank_of(heater, inside), source).fhr_gal)
json.dump(answer, sys.stdout)
"""


def test_the_same_numbers_without_the_compiler():
    """A short run in a fresh process with NUMBA_DISABLE_JIT=1 and one without: equal to rounding (1e-9)."""
    root = Path(__file__).resolve().parents[2]
    answers = []
    for switch in ("0", "1"):
        environment = {**os.environ, "NUMBA_DISABLE_JIT": switch, "PYTHONPATH": str(root)}
        run = subprocess.run(
            [sys.executable, "-c", SHORT_RUN], capture_output=True, env=environment, text=True, check=True
        )
        answers.append(json.loads(run.stdout))
    assert answers[0].keys() == answers[1].keys()
    for name, numbers in answers[0].items():
        assert answers[1][name] == pytest.approx(numbers, rel=1e-9), name


def test_numba_stays_away_until_the_bench_is_used():
    """Reading the catalogue, the rating and the draws does not import the compiler."""
    code = (
        "import sys, advisor.demand.events, advisor.heaters.catalogue, advisor.heaters.heat_pump;"
        "print('numba' in sys.modules)"
    )
    root = Path(__file__).resolve().parents[2]
    run = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(root)},
    )
    assert run.stdout.strip() == "False"


def test_a_big_tank_keeps_up_and_a_small_one_does_not():
    draws = events.morning(USES)
    big = morning.run_morning(by_id("gas-tank-75"), draws, **PLACE)
    small = morning.run_morning(
        by_id("electric-tank-30"), events.morning([*USES, ("shower 3", 12, 15, 2.1, 105)]), **PLACE
    )
    assert big.minutes_short == 0 and big.noticed_by == ()
    assert small.minutes_short > 3 and "shower 3" in small.noticed_by
    assert [use.name for use in big.uses] == ["shower 1", "shower 2", "kitchen", "washer"]


def test_hot_gallons_follow_the_mixing_balance():
    """8 min at 2.1 gpm, 105 °F from 120 and 48 °F: (105 - 48) / (120 - 48) of 16.8 gal = 13.3 hot gal."""
    result = morning.run_morning(by_id("gas-tank-75"), events.morning([("shower", 0, 8, 2.1, 105)]), **PLACE)
    assert result.hot_gal == pytest.approx(16.8 * 57 / 72, rel=0.005)
    assert result.heat_btu == pytest.approx(16.8 * 57 * 8.24, rel=0.005)


def test_a_flow_limiting_valve_trades_cold_for_slow():
    draws = events.morning([("a", 0, 8, 2.9, 105), ("b", 0, 8, 2.9, 105)])
    heater = by_id("gas-tankless-150")
    sagging = morning.run_morning(heater, draws, **PLACE)
    limiting = morning.run_morning(heater, draws, **PLACE, how=Tankless(limits_flow=True))
    assert sagging.minutes_short > 5 and sagging.minutes_slow == 0
    assert limiting.minutes_short < 1 and limiting.minutes_slow > 5


def test_a_tap_too_small_to_light_the_burner_is_named():
    result = morning.run_morning(by_id("gas-tankless-199"), events.morning([("basin", 0, 2, 0.4, 105)]), **PLACE)
    assert not result.uses[0].lit
    assert result.uses[0].noticed and result.uses[0].lowest_f < 70


def test_pause():
    """A tank does not notice a pause; a gas tankless heater sends a cold slug of at most delay and warm-up."""
    tank = morning.pause_test(by_id("gas-tank-50"), **PLACE)
    assert tank.seconds_cold == 0 and tank.coldest_f > 103
    gas = morning.pause_test(by_id("gas-tankless-180"), **PLACE)
    assert 0 < gas.seconds_cold <= 15 and gas.coldest_f < 97
    electric = morning.pause_test(by_id("electric-tankless-27"), **PLACE)
    assert electric.seconds_cold <= gas.seconds_cold


def test_a_trickle_keeps_it_lit_or_not():
    """A trickle above the switch's release keeps the burner on; below, the second shower starts cold."""
    heater = by_id("gas-tankless-180")
    kept = morning.pause_test(heater, **PLACE, trickle_gpm=0.6)
    lost = morning.pause_test(heater, **PLACE, trickle_gpm=0.3, pause_min=6.0)
    assert kept.trickle_lit is True
    assert lost.coldest_f < kept.coldest_f


def test_a_longer_delay_makes_a_colder_slug():
    heater = by_id("gas-tankless-199")
    slugs = [morning.pause_test(heater, **PLACE, how=Tankless(delay_s=s)).coldest_f for s in (2.0, 4.0, 8.0)]
    assert slugs[0] > slugs[1] > slugs[2]


def test_a_year():
    draws = events.random_year(50, 12)
    where = {"set_point_f": 120.0, "mains_f": MAINS, "air_f": np.full(12, 66.0)}
    tank = morning.run_year(by_id("gas-tank-50"), draws, **where, quoted_btu_per_yr=17e6)
    assert tank.over_quoted_frac == pytest.approx(tank.energy_btu / 17e6 - 1)
    assert tank.unlit_events == 0 and tank.backup_share_frac == 0 and tank.events == len(draws)
    tankless = morning.run_year(by_id("gas-tankless-199"), draws, **where)
    assert 0.05 < tankless.unlit_events / tankless.events < 0.4
    assert 10 < tankless.starts_per_day < 45
    assert tankless.electricity_kwh > 0 and tankless.fuel_btu > 100 * tankless.electricity_kwh


def test_a_heat_pump_s_modes_and_its_lockout():
    draws = events.random_year(60, 15)
    heater = by_id("heat-pump-40")
    cold = {"set_point_f": 120.0, "mains_f": MAINS, "air_f": np.array([30.0] * 3 + [60.0] * 9)}
    hybrid, efficient = (morning.run_year(heater, draws, **cold, mode=mode) for mode in ("hybrid", "efficient"))
    assert hybrid.backup_share_frac > 0.2 and efficient.backup_share_frac == 0
    assert efficient.minutes_short > hybrid.minutes_short
    warm = morning.run_year(heater, draws, set_point_f=120.0, mains_f=MAINS, air_f=np.full(12, 70.0))
    assert warm.backup_share_frac < hybrid.backup_share_frac
    assert 0 < warm.from_air_btu < warm.heat_btu + warm.lost_btu


def test_two_tanks_share_the_flow():
    draws = events.morning([*USES, ("shower 3", 12, 15, 2.1, 105)])
    one, two = (morning.run_morning(replace(by_id("gas-tank-40"), n_units=n), draws, **PLACE) for n in (1, 2))
    assert two.minutes_short < one.minutes_short
    assert two.hot_gal == pytest.approx(one.hot_gal, rel=0.2)


def test_a_loop_costs_what_it_loses():
    """120 ft of 3/4 in. with 1/2 in. of insulation, 0.25 Btu/(h ft °F): about 12 MMBtu a year at 115 °F in 70 °F."""
    draws = events.random_year(40, 10)
    where = {"set_point_f": 120.0, "mains_f": np.full(12, 58.0), "air_f": np.full(12, 70.0)}
    loop = Recirculation(flow_gpm=1.5, loss_btuh_per_df=0.25 * 120)
    with_loop = morning.run_year(by_id("gas-tank-50"), draws, **where, loop=loop)
    without = morning.run_year(by_id("gas-tank-50"), draws, **where)
    # 0.25 x 120 x (115 - 70) x 8760 = 11.8 MMBtu; the loop's mean temperature is within 5 °F of that.
    assert with_loop.loop_btu == pytest.approx(11.8e6, rel=0.12)
    extra = with_loop.energy_btu - without.energy_btu
    assert extra == pytest.approx(with_loop.loop_btu / 0.79, rel=0.1)


def test_a_label_that_contradicts_itself_is_said_so():
    upside_down = calibration.fit(replace(by_id("gas-tank-40"), id="x", recovery_frac=0.60, uef=0.64))
    assert "recovery efficiency" in said(upside_down.cannot_meet)
    too_much = calibration.fit(replace(by_id("gas-tank-40"), id="x", fhr_gal=140.0))
    assert "first-hour rating of 83 gal" in said(too_much.cannot_meet) and "label says 140" in said(
        too_much.cannot_meet
    )
    flow = calibration.fit(replace(by_id("gas-tankless-180"), id="x", max_gpm=7.0))
    assert "7 gpm" in said(flow.cannot_meet)


def test_pattern_segments_hold_the_pattern_s_gallons():
    """10, 38, 55 and 84 gal a day (verified); the first cluster has 5, 3, 3 and 4 draws (from memory)."""
    for pattern, gallons, cluster in (("very_small", 10, 5), ("low", 38, 3), ("medium", 55, 3), ("high", 84, 4)):
        segments, first = federal_tests.pattern_segments(pattern)
        assert ((segments[:, 1] - segments[:, 0]) * segments[:, 4]).sum() == pytest.approx(gallons)
        assert first == cluster


@pytest.mark.parametrize(
    ("field", "change"),
    [
        ("mode", {"mode": "turbo"}),
        ("set_point_f", {"set_point_f": 48.0}),
        ("inlet_f", {"inlet_f": float("nan")}),
        ("air_f", {"air_f": 200.0}),
    ],
)
def test_nonsense_is_refused_in_a_sentence(field, change):
    with pytest.raises(InputError, match=field):
        morning.run_morning(by_id("heat-pump-50"), events.morning(USES), **{**PLACE, **change})
