"""A storage tank through time: any tank, with burner, elements or heat pump.

What mixes the layers of ``stratification`` is what mixes a tank: the jet of the dip tube (``mix_frac``), warm water
under cool, and conduction. One main source heats a band of the tank; its output and its efficiency are quadratics in
the temperature of the water there (a burner and a lower element are constant, a heat pump is not). A backup element
may sit near the top and takes precedence where the two are interlocked.
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
from advisor.bench.stratification import (
    at_height_f,
    band_mean_f,
    conduct,
    displace,
    heat_band,
    mean_f,
    mix_bottom,
    settle,
)
from advisor.physics.water import TEST_BTU_PER_GAL_DF

LAYERS = 40

# Places in the state array. Heat and energy are running totals in Btu.
FILL, MAIN_ON, BACKUP_ON, CLOCK_MIN, FLOWING_MIN = 0, 1, 2, 3, 4
MAIN_IN, BACKUP_IN, AUX_IN, INTO_WATER, DELIVERED, LOST, LOOP_LOST = 5, 6, 7, 8, 9, 10, 11
STARTS, MAIN_MIN, TRACE_ROWS, WAITED_MIN, PILOT_MIN = 12, 13, 14, 15, 16
#: From here on the state is room in which ``settle`` works.
SPARE = 17
STATE_SIZE = SPARE + 3 * (LAYERS + 1)
#: Pilot, loss and conduction are slow and reckoned at least this often. [min]
SLOW_MIN = 1.0
LOG_SIZE = 4

# Columns of a source: output a + bT + cT² [Btu/h], efficiency or COP a + bT + cT² [-], 1 where it stands in for a
# locked-out heat pump and its energy counts as backup, and the range of T for which they hold (held at its ends).
SOURCE_SIZE = 9


class Tank(NamedTuple):
    """What the simulation needs to know of a tank; every field is a float.

    Heights are fractions of the height, bottom = 0. ``valve_f`` is a mixing valve at the outlet, infinite when there
    is none. A recirculation loop runs for ``loop_on_min`` of every ``loop_every_min``; zero flow means no loop.
    """

    volume_gal: float
    set_point_f: float
    dead_band_df: float
    mix_frac: float
    loss_btuh_per_df: float
    conduct_btuh_per_df: float
    source_low_frac: float
    source_high_frac: float
    flue_frac: float
    sensor_frac: float
    pilot_btuh: float
    idle_btuh: float
    running_btuh: float
    backup_btuh: float
    backup_frac: float
    backup_sensor_frac: float
    backup_drop_df: float
    backup_off_df: float
    interlocked: float
    valve_f: float
    loop_gpm: float
    loop_loss_btuh_per_df: float
    loop_on_min: float
    loop_every_min: float


def full_tank(tank: Tank, layers: int = LAYERS) -> tuple[np.ndarray, np.ndarray]:
    """Layers all at the set point and a state with every thermostat satisfied."""
    return np.full(layers + 1, tank.set_point_f), np.zeros(SPARE + 3 * (layers + 1))


@kernel
def _slow_things(temps: np.ndarray, state: np.ndarray, tank: Tank, source: np.ndarray, air_f: float) -> None:
    """Pilot, conduction between layers and loss to the room, for the time since they were last reckoned."""
    hours = state[WAITED_MIN] / 60
    tank_btu_per_df = tank.volume_gal * TEST_BTU_PER_GAL_DF
    if state[PILOT_MIN] > 0 and tank.pilot_btuh > 0:
        used = tank.pilot_btuh * state[PILOT_MIN] / 60
        state[MAIN_IN] += used
        state[INTO_WATER] += used * source[3]
        heat_band(
            temps,
            state[FILL],
            tank.source_low_frac,
            tank.source_high_frac,
            used * source[3] * (temps.size - 1) / tank_btu_per_df,
        )
    state[WAITED_MIN] = state[PILOT_MIN] = 0.0
    conduct(temps, state[FILL], tank.conduct_btuh_per_df * hours / tank_btu_per_df * (temps.size - 1))
    kept = math.exp(-tank.loss_btuh_per_df * hours / tank_btu_per_df)
    state[LOST] += (mean_f(temps, state[FILL]) - air_f) * (1 - kept) * tank_btu_per_df
    for i in range(temps.size):
        temps[i] = air_f + (temps[i] - air_f) * kept


@kernel
def _control(temps: np.ndarray, state: np.ndarray, tank: Tank) -> None:
    """Both thermostats look at the water and call, or stop calling."""
    if tank.backup_btuh > 0:
        high_f = at_height_f(temps, state[FILL], tank.backup_sensor_frac)
        if state[BACKUP_ON] > 0:
            if high_f >= tank.set_point_f - tank.backup_off_df:
                state[BACKUP_ON] = 0.0
        elif high_f < tank.set_point_f - tank.backup_drop_df:
            state[BACKUP_ON] = 1.0
    low_f = at_height_f(temps, state[FILL], tank.sensor_frac)
    if state[MAIN_ON] > 0:
        if low_f >= tank.set_point_f:
            state[MAIN_ON] = 0.0
    elif low_f < tank.set_point_f - tank.dead_band_df:
        state[MAIN_ON] = 1.0
        state[STARTS] += 1


@kernel
def _heat(temps: np.ndarray, state: np.ndarray, tank: Tank, source: np.ndarray, hours: float) -> None:
    """Heat from the main source and the backup element, and what they and the controls use."""
    last = temps.size - 1
    fill = state[FILL]
    layers_df_per_btu = last / (tank.volume_gal * TEST_BTU_PER_GAL_DF)
    if state[MAIN_ON] > 0 and not (tank.interlocked > 0 and state[BACKUP_ON] > 0):
        near_f = band_mean_f(temps, fill, tank.source_low_frac, tank.source_high_frac)
        near_f = max(source[7], min(source[8], near_f))
        efficiency = source[3] + near_f * (source[4] + near_f * source[5])
        heat = max(0.0, source[0] + near_f * (source[1] + near_f * source[2])) * hours
        state[BACKUP_IN if source[6] > 0 else MAIN_IN] += heat / efficiency
        state[INTO_WATER] += heat
        state[AUX_IN] += tank.running_btuh * hours
        state[MAIN_MIN] += hours * 60
        shared = heat * tank.flue_frac * layers_df_per_btu
        if shared > 0:
            heat_band(temps, fill, 0.0, 1.0, shared)
        heat_band(temps, fill, tank.source_low_frac, tank.source_high_frac, heat * layers_df_per_btu - shared)
    else:
        state[PILOT_MIN] += hours * 60
    if state[BACKUP_ON] > 0:
        heat = tank.backup_btuh * hours
        state[BACKUP_IN] += heat
        state[INTO_WATER] += heat
        heat_band(temps, fill, tank.backup_frac, tank.backup_frac + 0.05, heat * layers_df_per_btu)
    state[AUX_IN] += tank.idle_btuh * hours


@kernel
def _advance(
    temps: np.ndarray,
    state: np.ndarray,
    tank: Tank,
    source: np.ndarray,
    inlet_f: float,
    air_f: float,
    flow: tuple[float, float, float],
    minutes: float,
    heat_until_min: float,
) -> tuple[float, float]:
    """One step, heated until a minute on the clock. Returns outlet °F and hot gpm.

    A hand at the tap mixes for the outlet as it is.
    """
    mixed_gpm, use_f, hot_gpm = flow
    last = temps.size - 1
    layer_gal = tank.volume_gal / last
    outlet_f, gpm = min(temps[last], tank.valve_f), 0.0
    if mixed_gpm + hot_gpm > 0:
        share = 1.0
        if outlet_f > inlet_f:
            share = max(0.0, min(1.0, (use_f - inlet_f) / (outlet_f - inlet_f)))
        gpm = hot_gpm + mixed_gpm * share
        state[FLOWING_MIN] += minutes
    else:
        state[FLOWING_MIN] = 0.0
    if gpm > 0:
        layers = gpm * minutes / layer_gal
        tempered = 1.0
        if temps[last] > tank.valve_f:
            tempered = (tank.valve_f - inlet_f) / (temps[last] - inlet_f)
        out, state[FILL] = displace(temps, state[FILL], layers * tempered, inlet_f)
        heat = out - inlet_f * layers * tempered
        outlet_f = inlet_f + heat / layers
        state[DELIVERED] += heat * layer_gal * TEST_BTU_PER_GAL_DF
        mix_bottom(temps, state[FILL], tank.mix_frac)
    if tank.loop_gpm > 0 and state[CLOCK_MIN] % tank.loop_every_min < tank.loop_on_min:
        kept = math.exp(-tank.loop_loss_btuh_per_df / (60 * TEST_BTU_PER_GAL_DF * tank.loop_gpm))
        back_f = air_f + (temps[last] - air_f) * kept
        layers = tank.loop_gpm * minutes / layer_gal
        out, state[FILL] = displace(temps, state[FILL], layers, back_f)
        state[LOOP_LOST] += (out - back_f * layers) * layer_gal * TEST_BTU_PER_GAL_DF
        mix_bottom(temps, state[FILL], tank.mix_frac)
    if state[CLOCK_MIN] < heat_until_min - 1e-9:
        _heat(temps, state, tank, source, minutes / 60)
    state[WAITED_MIN] += minutes
    if state[WAITED_MIN] > SLOW_MIN - 1e-9 or gpm == 0:
        _slow_things(temps, state, tank, source, air_f)
    settle(temps, state[FILL], state[SPARE:])
    state[CLOCK_MIN] += minutes
    return outlet_f, gpm


@kernel
def _quiet_min(state: np.ndarray, tank: Tank, source: np.ndarray, step_s: float) -> float:
    """Step while nothing is drawn: a fixed part of a degree while heating, else 60 times the step of a draw."""
    if tank.loop_gpm > 0:
        return step_s * 3 / 60
    heat = max(source[0] * state[MAIN_ON], tank.backup_btuh * state[BACKUP_ON])
    if heat <= 0:
        return step_s
    return min(step_s, max(step_s / 60, 6 * step_s * tank.volume_gal / heat * TEST_BTU_PER_GAL_DF))


@kernel
def _note(log: np.ndarray, temps: np.ndarray, state: np.ndarray) -> None:
    """Write the minute's mean temperature, total input, whether heat is called for, and heat delivered so far."""
    minute = int(round(state[CLOCK_MIN]))
    if abs(state[CLOCK_MIN] - minute) < 1e-6 and minute < log.shape[0]:
        log[minute, 0] = mean_f(temps, state[FILL])
        log[minute, 1] = state[MAIN_IN] + state[BACKUP_IN] + state[AUX_IN]
        log[minute, 2] = max(state[MAIN_ON], state[BACKUP_ON])
        log[minute, 3] = state[DELIVERED]


@entry
def run(
    temps: np.ndarray,
    state: np.ndarray,
    tank: Tank,
    sources: np.ndarray,
    inlet_f: np.ndarray,
    air_f: np.ndarray,
    segments: np.ndarray,
    until_min: float,
    step_s: float,
    short: tuple[float, float],
    outcome: np.ndarray,
    log: np.ndarray,
    trace: np.ndarray,
) -> None:
    """Run through segments of draw and the idle time between them.

    Parameters
    ----------
    temps, state : ndarray
        As ``full_tank`` makes them; changed in place.
    tank : Tank
    sources, inlet_f, air_f : ndarray
        One row or value a month (or one in all): the main source, the water coming in, the air around the tank.
    segments : ndarray
        Rows as ``kernels`` describes them.
    until_min : float
        Run on to this minute after the last segment.
    step_s : float
        Step while water flows; longer while only heating, 60 times as long while idle. [s]
    short : tuple of float
        Below which tap temperature a minute counts as short [°F], and from how long after the flow began [min].
    outcome : ndarray
        One row a segment, filled in.
    log, trace : ndarray
        Filled when they have rows: minute by minute (mean °F, Btu in, heating, Btu out), and step by step of each draw.
    """
    count = segments.shape[0]
    month = 0
    for k in range(count + 1):
        if k < count:
            month = int(segments[k, MONTH])
        begin = segments[k, START_MIN] if k < count else until_min
        while state[CLOCK_MIN] < begin - 1e-9:
            _control(temps, state, tank)
            minutes = min(begin - state[CLOCK_MIN], _quiet_min(state, tank, sources[month], step_s))
            if log.shape[0] > 0:
                minutes = min(minutes, math.floor(state[CLOCK_MIN] + 1e-6) + 1 - state[CLOCK_MIN])
            _advance(
                temps, state, tank, sources[month], inlet_f[month], air_f[month], (0.0, 0.0, 0.0), minutes, math.inf
            )
            _note(log, temps, state)
        if k == count:
            break
        flow = (segments[k, MIXED_GPM], segments[k, USE_F], segments[k, ALL_HOT_GPM])
        limit_f = min(flow[1], short[0])
        read_min = 0.0
        outcome[k, LOW_F] = np.inf
        outcome[k, LIT] = 1.0
        while state[CLOCK_MIN] < segments[k, END_MIN] - 1e-9:
            minutes = min(segments[k, END_MIN] - state[CLOCK_MIN], step_s / 60)
            if log.shape[0] > 0:
                minutes = min(minutes, math.floor(state[CLOCK_MIN] + 1e-6) + 1 - state[CLOCK_MIN])
            began, before = state[CLOCK_MIN], state[DELIVERED]
            _control(temps, state, tank)
            outlet_f, gpm = _advance(
                temps, state, tank, sources[month], inlet_f[month], air_f[month], flow, minutes, math.inf
            )
            outcome[k, HOT_GAL] += gpm * minutes
            outcome[k, HEAT_BTU] += state[DELIVERED] - before
            if state[CLOCK_MIN] - segments[k, START_MIN] > READ_FROM_MIN:
                outcome[k, READ_F] += outlet_f * minutes
                read_min += minutes
            if state[FLOWING_MIN] > short[1]:
                outcome[k, LOW_F] = min(outcome[k, LOW_F], outlet_f)
                if outlet_f < limit_f:
                    outcome[k, SHORT_MIN] += minutes
            _note(log, temps, state)
            rows = int(state[TRACE_ROWS])
            if rows < trace.shape[0]:
                trace[rows, TRACE_MIN], trace[rows, TRACE_STEP_MIN] = began, minutes
                trace[rows, TRACE_OUTLET_F], trace[rows, TRACE_GPM], trace[rows, TRACE_HAND_F] = (
                    outlet_f,
                    gpm,
                    outlet_f,
                )
                state[TRACE_ROWS] += 1
        if read_min > 0:
            outcome[k, READ_F] /= read_min


@entry
def draw_until(
    temps: np.ndarray,
    state: np.ndarray,
    tank: Tank,
    source: np.ndarray,
    inlet_f: float,
    air_f: float,
    gpm: float,
    stop_f: float,
    heat_until_min: float,
    step_s: float,
) -> tuple[float, float, float, float, float]:
    """A first-hour draw: until the outlet falls 15 °F below its highest reading, or to ``stop_f`` where that is set.

    Heat stops at ``heat_until_min`` on the clock. Returns gallons, mean delivered °F, highest reading, reading at 15 s,
    and the gallons that came within 5 °F of what the heater is set to deliver.
    """
    gallons, good_gal, degrees, highest_f, first_f, began = 0.0, 0.0, 0.0, -np.inf, np.nan, state[CLOCK_MIN]
    wanted_f = min(tank.set_point_f, tank.valve_f)
    minutes = step_s / 60
    while gallons < 100 * tank.volume_gal + 1000:
        _control(temps, state, tank)
        outlet_f, _ = _advance(temps, state, tank, source, inlet_f, air_f, (0.0, 0.0, gpm), minutes, heat_until_min)
        gallons += gpm * minutes
        degrees += outlet_f * gpm * minutes
        if abs(outlet_f - wanted_f) <= 5:
            good_gal += gpm * minutes
        elapsed_s = (state[CLOCK_MIN] - began) * 60
        if elapsed_s < 15 - 1e-6:
            continue
        if math.isnan(first_f):
            first_f = outlet_f
        highest_f = max(highest_f, outlet_f)
        if math.isnan(stop_f):
            if outlet_f <= highest_f - 15:
                break
        elif elapsed_s >= 30 - 1e-6 and outlet_f <= stop_f:
            break
    return gallons, degrees / gallons, highest_f, first_f, good_gal


@entry
def recover(
    temps: np.ndarray,
    state: np.ndarray,
    tank: Tank,
    source: np.ndarray,
    inlet_f: float,
    air_f: float,
    until_min: float,
    step_s: float,
) -> bool:
    """Heat without drawing until the rule lets the next draw begin, or the clock stops it.

    The next draw begins when the uppermost heater that was running cuts out; with a heat pump and a backup element,
    only if the water above is then within 5 °F of the set point, else when the compressor cuts out.
    Returns whether it began for that reason.
    """
    last = temps.size - 1
    while state[CLOCK_MIN] < until_min - 1e-9:
        backup_was, main_was = state[BACKUP_ON], state[MAIN_ON]
        _control(temps, state, tank)
        minutes = min(until_min - state[CLOCK_MIN], step_s / 60)
        _advance(temps, state, tank, source, inlet_f, air_f, (0.0, 0.0, 0.0), minutes, math.inf)
        _control(temps, state, tank)
        ready = min(temps[last], tank.valve_f) >= min(tank.set_point_f, tank.valve_f) - 5
        if backup_was > 0 and state[BACKUP_ON] == 0 and ready:
            return True
        if state[MAIN_ON] == 0 and state[BACKUP_ON] == 0 and (main_was > 0 or backup_was > 0 or ready):
            return True
    return False
