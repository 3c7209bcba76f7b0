"""A tankless heater second by second: gas or electric, one unit or several side by side.

Each unit is one lump of metal and water (the exchanger) that warms, cools and is rinsed by the flow; the equation is
solved exactly over each step, so the step only matters for the controls. A gas unit senses flow, purges, lights,
and modulates between its lowest and its full fire; an electric unit is the same with no purge and no lowest power.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from advisor.bench.kernels import (
    ALL_HOT_GPM,
    END_MIN,
    HEAT_BTU,
    HOT_GAL,
    LIT,
    LOW_F,
    MIXED_GPM,
    MONTH,
    READ_F,
    READ_FROM_MIN,
    SHORT_MIN,
    SLOW_MIN,
    START_MIN,
    TRACE_GPM,
    TRACE_HAND_F,
    TRACE_MIN,
    TRACE_OUTLET_F,
    TRACE_STEP_MIN,
    USE_F,
    entry,
    kernel,
)
from advisor.physics.water import TEST_BTU_PER_GAL_DF

# Places in the state array. Heat and energy are running totals in Btu.
CLOCK_MIN, FLOWING_MIN, HAND_F, OUTLET_F, BUFFER_F, ACTIVE, PUMP_ON = 0, 1, 2, 3, 4, 5, 6
FUEL_IN, AUX_IN, DELIVERED, LOST, LOOP_LOST, STARTS, LIT_MIN, TRACE_ROWS = 7, 8, 9, 10, 11, 12, 13, 14
STATE_SIZE = 15

# Columns of the array of units: exchanger temperature, phase, seconds left of the purge.
CORE_F, PHASE, WAIT_S = 0, 1, 2
UNIT_SIZE = 3
OFF, WAITING, BURNING = 0.0, 1.0, 2.0

#: A hand at the tap follows the outlet with this lag; assumed. It starts from the setting that worked last time.
HAND_S = 60.0
#: The controller closes the gap between exchanger and set point in about this time, as fire allows; assumed.
CLOSE_GAP_S = 3.0
#: A tap whose flow is cut by more than a tenth counts as slow; assumed.
SLOW_SHARE = 0.9


class Unit(NamedTuple):
    """What the simulation needs to know of a tankless heater; every field is a float.

    ``n_units`` equal units stand in parallel: the next joins when those running are above ``join_frac`` of full
    output, and one leaves when the rest could carry the load below ``leave_frac``. With ``limits_flow`` a valve
    holds the set point by cutting the flow; without, the outlet sags. A burner that overshoots the set point by
    ``overshoot_df`` cuts out and relights once the outlet is back. A small buffer tank (zero gallons for none) is
    kept warm by a pump that calls the burner. A recirculation loop runs ``loop_on_min`` of every ``loop_every_min``.
    """

    set_point_f: float
    max_btuh: float
    min_btuh: float
    eff_frac: float
    core_btu_per_df: float
    loss_btuh_per_df: float
    activation_gpm: float
    deactivation_gpm: float
    delay_s: float
    overshoot_df: float
    limits_flow: float
    idle_btuh: float
    running_btuh: float
    n_units: float
    join_frac: float
    leave_frac: float
    buffer_gal: float
    buffer_loss_btuh_per_df: float
    buffer_band_df: float
    pump_gpm: float
    loop_gpm: float
    loop_loss_btuh_per_df: float
    loop_on_min: float
    loop_every_min: float


def cold_units(unit: Unit, air_f: float) -> tuple[np.ndarray, np.ndarray]:
    """Units that have stood idle, exchangers as cool as the room; a buffer is warm."""
    units = np.zeros((int(unit.n_units), UNIT_SIZE))
    units[:, CORE_F] = air_f
    state = np.zeros(STATE_SIZE)
    state[HAND_F] = state[BUFFER_F] = unit.set_point_f
    state[OUTLET_F] = unit.set_point_f if unit.buffer_gal > 0 else air_f
    state[ACTIVE] = 1.0
    return units, state


@kernel
def _need_btuh(unit: Unit, core_f: float, gpm: float, inlet_f: float, air_f: float, aim_f: float) -> float:
    """Heat into the exchanger that holds the aim at this flow and closes the gap to it."""
    steady = 60 * TEST_BTU_PER_GAL_DF * gpm * (aim_f - inlet_f) + unit.loss_btuh_per_df * (aim_f - air_f)
    return steady + (aim_f - core_f) * unit.core_btu_per_df * 3600 / CLOSE_GAP_S


@kernel
def _phase(
    row: np.ndarray, state: np.ndarray, unit: Unit, gpm: float, inlet_f: float, aim_f: float, seconds: float
) -> None:
    """Flow switch, purge and ignition, and the limit above the set point."""
    if row[PHASE] == OFF:
        # Water that comes in as warm as it is wanted lights nothing, nor does a core still above its limit.
        if gpm >= unit.activation_gpm and inlet_f < aim_f - 1 and row[CORE_F] <= aim_f + 0.5:
            row[PHASE] = WAITING
            row[WAIT_S] = unit.delay_s
    elif gpm < unit.deactivation_gpm or row[CORE_F] > aim_f + unit.overshoot_df:
        row[PHASE] = OFF
    if row[PHASE] == WAITING:
        row[WAIT_S] -= seconds
        if row[WAIT_S] < 0:
            row[PHASE] = BURNING
            state[STARTS] += 1


@kernel
def _through(
    row: np.ndarray,
    state: np.ndarray,
    unit: Unit,
    gpm: float,
    inlet_f: float,
    air_f: float,
    aim_f: float,
    seconds: float,
) -> float:
    """One unit over one step: exact solution of its heat balance. Returns the mean temperature that leaves it."""
    fire_btuh = 0.0
    if row[PHASE] == BURNING:
        need = _need_btuh(unit, row[CORE_F], gpm, inlet_f, air_f, aim_f) / unit.eff_frac
        fire_btuh = max(unit.min_btuh, min(unit.max_btuh, need))
        state[FUEL_IN] += fire_btuh * seconds / 3600
        state[LIT_MIN] += seconds / 60
        state[AUX_IN] += unit.running_btuh * seconds / 3600
    carry = 60 * TEST_BTU_PER_GAL_DF * gpm
    total = carry + unit.loss_btuh_per_df
    final_f = (fire_btuh * unit.eff_frac + carry * inlet_f + unit.loss_btuh_per_df * air_f) / total
    rate = total * seconds / 3600 / unit.core_btu_per_df
    kept = math.exp(-rate)
    gap_df = row[CORE_F] - final_f
    mean_f = final_f + gap_df * (1 - kept) / rate
    row[CORE_F] = final_f + gap_df * kept
    state[LOST] += unit.loss_btuh_per_df * (mean_f - air_f) * seconds / 3600
    return mean_f


@kernel
def _stage(state: np.ndarray, units: np.ndarray, unit: Unit, gpm: float, inlet_f: float, aim_f: float) -> None:
    """Let the next unit join when those burning are nearly full, or one leave when the rest can carry the load."""
    active = state[ACTIVE]
    if gpm <= 0 or unit.n_units < 2:
        return
    full = unit.eff_frac * unit.max_btuh
    load = 60 * TEST_BTU_PER_GAL_DF * gpm * (aim_f - inlet_f) / full
    burning = True
    for i in range(int(active)):
        burning = burning and units[i, PHASE] == BURNING
    if burning and active < unit.n_units and load > unit.join_frac * active:
        if gpm / (active + 1) >= unit.activation_gpm:
            state[ACTIVE] = active + 1
    elif active > 1 and load < unit.leave_frac * (active - 1):
        state[ACTIVE] = active - 1


@kernel
def _loop_runs(state: np.ndarray, unit: Unit) -> bool:
    return unit.loop_gpm > 0 and state[CLOCK_MIN] % unit.loop_every_min < unit.loop_on_min


@kernel
def _wanted_gpm(
    state: np.ndarray, unit: Unit, flow: tuple[float, float, float], inlet_f: float, seconds: float
) -> tuple[float, float, float]:
    """Hot gpm asked of the heater and granted by its valve, and the hot share at the tap."""
    mixed_gpm, use_f, hot_gpm = flow
    if mixed_gpm + hot_gpm <= 0:
        state[FLOWING_MIN] = 0.0
        return 0.0, 0.0, 1.0
    if state[FLOWING_MIN] == 0:
        state[HAND_F] = unit.set_point_f
    state[FLOWING_MIN] += seconds / 60
    share = 1.0
    if state[HAND_F] > inlet_f:
        share = max(0.0, min(1.0, (use_f - inlet_f) / (state[HAND_F] - inlet_f)))
    asked = hot_gpm + mixed_gpm * share
    granted = asked
    if unit.limits_flow > 0 and inlet_f < unit.set_point_f:
        full = unit.n_units * unit.eff_frac * unit.max_btuh
        granted = min(asked, full / (60 * TEST_BTU_PER_GAL_DF * (unit.set_point_f - inlet_f)))
    return asked, granted, share


@kernel
def _advance(
    units: np.ndarray,
    state: np.ndarray,
    unit: Unit,
    inlet_f: float,
    air_f: float,
    flow: tuple[float, float, float],
    seconds: float,
) -> tuple[float, float, float, float]:
    """One step. Returns outlet °F, hot gpm asked and granted, and the hot share at the tap."""
    asked, gpm, share = _wanted_gpm(state, unit, flow, inlet_f, seconds)
    buffered = unit.buffer_gal > 0
    aim_f = unit.set_point_f + (2.0 if buffered else 0.0)
    loop_gpm, back_f, pump_gpm = 0.0, 0.0, 0.0
    if _loop_runs(state, unit):
        loop_gpm = unit.loop_gpm
        kept = math.exp(-unit.loop_loss_btuh_per_df / (60 * TEST_BTU_PER_GAL_DF * loop_gpm))
        back_f = air_f + (state[OUTLET_F] - air_f) * kept
    if buffered:
        if state[BUFFER_F] < unit.set_point_f - unit.buffer_band_df:
            state[PUMP_ON] = 1.0
        elif state[BUFFER_F] >= unit.set_point_f:
            state[PUMP_ON] = 0.0
        pump_gpm = unit.pump_gpm * state[PUMP_ON]
    total = gpm + loop_gpm + pump_gpm
    inlet_mix_f = inlet_f
    if total > 0:
        inlet_mix_f = (gpm * inlet_f + loop_gpm * back_f + pump_gpm * state[BUFFER_F]) / total
    _stage(state, units, unit, total, inlet_mix_f, aim_f)
    active = int(state[ACTIVE])
    leaving_f = 0.0
    for i in range(units.shape[0]):
        each = total / active if i < active else 0.0
        _phase(units[i], state, unit, each, inlet_mix_f, aim_f, seconds)
        leaving_f += _through(units[i], state, unit, each, inlet_mix_f, air_f, aim_f, seconds) * each
    outlet_f = state[OUTLET_F]
    if total > 0:
        outlet_f = leaving_f / total
    if buffered:
        entering_f, outlet_f = outlet_f, state[BUFFER_F]
        lost = unit.buffer_loss_btuh_per_df * (outlet_f - air_f) * seconds / 3600
        gained = TEST_BTU_PER_GAL_DF * total * seconds / 60 * (entering_f - outlet_f)
        state[BUFFER_F] += (gained - lost) / (unit.buffer_gal * TEST_BTU_PER_GAL_DF)
        state[LOST] += lost
    state[LOOP_LOST] += loop_gpm * seconds / 60 * TEST_BTU_PER_GAL_DF * (outlet_f - back_f)
    state[DELIVERED] += gpm * seconds / 60 * TEST_BTU_PER_GAL_DF * (outlet_f - inlet_f)
    state[AUX_IN] += unit.idle_btuh * unit.n_units * seconds / 3600
    state[HAND_F] += (outlet_f - state[HAND_F]) * min(1.0, seconds / HAND_S)
    state[OUTLET_F] = outlet_f
    state[CLOCK_MIN] += seconds / 60
    return outlet_f, asked, gpm, share


@kernel
def _idle(
    units: np.ndarray,
    state: np.ndarray,
    unit: Unit,
    inlet_f: float,
    air_f: float,
    until_min: float,
    step_s: float,
) -> None:
    """Stand idle until a minute on the clock; without a loop or a buffer that is one exact step."""
    while state[CLOCK_MIN] < until_min - 1e-9:
        left_s = (until_min - state[CLOCK_MIN]) * 60
        seconds = left_s
        if unit.loop_gpm > 0 or unit.buffer_gal > 0:
            running = _loop_runs(state, unit) or state[PUMP_ON] > 0
            seconds = min(left_s, step_s if running else 30 * step_s)
        _advance(units, state, unit, inlet_f, air_f, (0.0, 0.0, 0.0), seconds)


@entry
def run(
    units: np.ndarray,
    state: np.ndarray,
    unit: Unit,
    inlet_f: np.ndarray,
    air_f: np.ndarray,
    segments: np.ndarray,
    until_min: float,
    step_s: float,
    short: tuple[float, float],
    outcome: np.ndarray,
    trace: np.ndarray,
) -> None:
    """Run through segments of draw and the idle time between them.

    Parameters
    ----------
    units, state : ndarray
        As ``cold_units`` makes them; changed in place.
    unit : Unit
    inlet_f, air_f : ndarray
        One value a month (or one in all).
    segments : ndarray
        Rows as ``kernels`` describes them.
    until_min : float
        Run on to this minute after the last segment.
    step_s : float
        Step while water flows. [s]
    short : tuple of float
        Below which tap temperature a minute counts as short [°F], and from how long after the flow began [min].
    outcome : ndarray
        One row a segment, filled in.
    trace : ndarray
        Filled step by step of each draw when it has rows.
    """
    count = segments.shape[0]
    month = 0
    for k in range(count + 1):
        if k < count:
            month = int(segments[k, MONTH])
        begin = segments[k, START_MIN] if k < count else until_min
        _idle(units, state, unit, inlet_f[month], air_f[month], begin, step_s)
        if k == count:
            break
        flow = (segments[k, MIXED_GPM], segments[k, USE_F], segments[k, ALL_HOT_GPM])
        limit_f = min(flow[1], short[0])
        read_min, lit_before = 0.0, state[LIT_MIN]
        outcome[k, LOW_F] = np.inf
        while state[CLOCK_MIN] < segments[k, END_MIN] - 1e-9:
            minutes = min(segments[k, END_MIN] - state[CLOCK_MIN], step_s / 60)
            began, before = state[CLOCK_MIN], state[DELIVERED]
            outlet_f, asked, gpm, share = _advance(units, state, unit, inlet_f[month], air_f[month], flow, minutes * 60)
            outcome[k, HOT_GAL] += gpm * minutes
            outcome[k, HEAT_BTU] += state[DELIVERED] - before
            if state[CLOCK_MIN] - segments[k, START_MIN] > READ_FROM_MIN:
                outcome[k, READ_F] += outlet_f * minutes
                read_min += minutes
            if gpm < SLOW_SHARE * asked:
                outcome[k, SLOW_MIN] += minutes
            if state[FLOWING_MIN] > short[1]:
                tap_f = outlet_f
                if flow[0] > 0:
                    tap_f = inlet_f[month] + share * (outlet_f - inlet_f[month])
                outcome[k, LOW_F] = min(outcome[k, LOW_F], tap_f)
                if tap_f < limit_f:
                    outcome[k, SHORT_MIN] += minutes
            rows = int(state[TRACE_ROWS])
            if rows < trace.shape[0]:
                trace[rows, TRACE_MIN], trace[rows, TRACE_STEP_MIN] = began, minutes
                trace[rows, TRACE_OUTLET_F], trace[rows, TRACE_GPM], trace[rows, TRACE_HAND_F] = (
                    outlet_f,
                    gpm,
                    state[HAND_F],
                )
                state[TRACE_ROWS] += 1
        if read_min > 0:
            outcome[k, READ_F] /= read_min
        outcome[k, LIT] = 1.0 if state[LIT_MIN] > lit_before else 0.0
