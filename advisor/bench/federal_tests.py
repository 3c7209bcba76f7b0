"""The test stand: the federal tests of 10 CFR 430 subpart B appendix E, run on a simulated heater.

Section numbers are those of appendix E. Its prose was read as of spring 2023; its tables and equations were not, and
are used as the table ``draw_patterns`` and the comments here say.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from advisor.bench import instantaneous, storage
from advisor.bench.instantaneous import Unit
from advisor.bench.internals import TEST_AIR_F, TEST_INLET_F, TEST_SET_F
from advisor.bench.kernels import (
    HOT_GAL,
    OUTCOME_SIZE,
    READ_F,
    SEGMENT_SIZE,
    TRACE_MIN,
    TRACE_OUTLET_F,
    TRACE_SIZE,
)
from advisor.bench.storage import Tank
from advisor.bench.stratification import mean_f
from advisor.core.tables import load
from advisor.heaters.rating import TEST_RISE_DF, TEST_TANK_MINUS_AIR_DF, credited_gal
from advisor.physics.water import TEST_BTU_PER_GAL_DF

STEP_S = 5.0
DAY_MIN = 1440
NO_LOG = np.empty((0, storage.LOG_SIZE))
NO_TRACE = np.empty((0, TRACE_SIZE))
_INLET, _AIR = np.array([TEST_INLET_F]), np.array([TEST_AIR_F])
_NEVER_SHORT = (-math.inf, math.inf)


@dataclass(frozen=True)
class FirstHour:
    """A first-hour test.

    Parameters
    ----------
    fhr_gal : float
        The rating. [gal]
    draws_gal : tuple of float
        What each draw added to it. [gal]
    accepted : bool
        Whether the set point passes the checks of sec. 5.2.2.
    """

    fhr_gal: float
    draws_gal: tuple[float, ...]
    accepted: bool


@dataclass(frozen=True)
class SimulatedUse:
    """A 24-hour simulated-use test.

    Parameters
    ----------
    uef : float
        Uniform energy factor. [-]
    recovery_frac : float
        Recovery efficiency; 0.98 by decree for immersed elements. [-]
    auxiliary_btu, backup_btu : float
        The parts of the input that fan and controls took, and the upper element. [Btu]
    mean_tank_f : float
        Mean tank temperature while standby was measured; NaN under 2 gal. [°F]
    """

    uef: float
    recovery_frac: float
    auxiliary_btu: float
    backup_btu: float
    mean_tank_f: float


@cache
def pattern_segments(pattern: str) -> tuple[np.ndarray, int]:
    """The draws of a pattern as segments, all hot, and how many belong to the first cluster (sec. 5.5)."""
    table = load("draw_patterns")
    chosen = table["pattern"] == pattern
    start, gallons, flow = (table[name][chosen].astype(float) for name in ("start_min", "volume_gal", "flow_gpm"))
    segments = np.zeros((len(start), SEGMENT_SIZE))
    free_at = 0.0
    for row, (at, volume, gpm) in enumerate(zip(start, gallons, flow, strict=True)):
        begins = max(at, free_at)  # a draw that would overlap waits for the one before
        free_at = begins + volume / gpm
        segments[row] = (begins, free_at, 0.0, math.inf, gpm, 0)
    segments.flags.writeable = False
    return segments, int(np.sum(table["first_cluster"][chosen]))


def satisfied(tank: Tank, source: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """A tank filled with supply water and heated until its thermostats are satisfied (sec. 5.2.2); clock at zero."""
    temps, state = np.full(storage.LAYERS + 1, TEST_INLET_F), np.zeros(storage.STATE_SIZE)
    for _ in range(4):  # the upper thermostat first, then the lower
        storage.recover(temps, state, tank, source, TEST_INLET_F, TEST_AIR_F, state[storage.CLOCK_MIN] + 3000, 60.0)
        if state[storage.MAIN_ON] == 0 and state[storage.BACKUP_ON] == 0:
            break
    fill = state[storage.FILL]
    state[:] = 0.0
    state[storage.FILL] = fill
    return temps, state


def first_hour(tank: Tank, source: np.ndarray) -> FirstHour:
    """The first-hour test, secs. 5.3.3 and 6.1.

    Parameters
    ----------
    tank : Tank
    source : ndarray
        Its main source in the air of the test, one row.
    """
    temps, state = satisfied(tank, source)
    where = (tank, source, TEST_INLET_F, TEST_AIR_F)
    added: list[float] = []
    highest, starts, good_share = -math.inf, [], 0.0
    while True:
        gallons, mean_f, highest_f, first_f, good_gal = storage.draw_until(
            temps, state, *where, _flow_gpm(tank), math.nan, 60.0, STEP_S
        )
        good_share = good_share if added else good_gal / gallons
        added.append(gallons)
        highest = max(highest, highest_f)
        starts.append(first_f)
        if state[storage.CLOCK_MIN] >= 60:
            break
        storage.recover(temps, state, *where, 60.0, STEP_S)
        if state[storage.CLOCK_MIN] >= 60 - 1e-6:
            added.append(_last_draw(temps, state, where, mean_f, highest_f - 15))
            break
    if tank.backup_btuh > 0:
        steady = all(abs(reading_f - TEST_SET_F) <= 5 for reading_f in starts)
        accepted = good_share >= 0.5 and highest <= TEST_SET_F + 5 and steady
    else:
        accepted = _one_thermostat_accepted(tank, source)
    return FirstHour(sum(added), tuple(added), accepted)


def _flow_gpm(tank: Tank) -> float:
    """Sec. 5.3.3.1: 3.0 gpm, or 1.5 under 20 gal (1.0 to 2023)."""
    return 3.0 if tank.volume_gal >= 20 else 1.5


def _one_thermostat_accepted(tank: Tank, source: np.ndarray) -> bool:
    """Sec. 5.2.2.2.1: from cut-out, 5 min at 1.7 gpm; the highest outlet must be within 5 °F of 125 °F."""
    temps, state = satisfied(tank, source)
    trace = np.zeros((100, TRACE_SIZE))
    segment = np.array([(0.0, 5.0, 0.0, math.inf, 1.7, 0.0)])
    storage.run(
        temps,
        state,
        tank,
        source[None, :],
        _INLET,
        _AIR,
        segment,
        5.0,
        STEP_S,
        _NEVER_SHORT,
        np.zeros((1, OUTCOME_SIZE)),
        NO_LOG,
        trace,
    )
    rows = trace[: int(state[storage.TRACE_ROWS])]
    return bool(abs(rows[rows[:, TRACE_MIN] >= 0.25, TRACE_OUTLET_F].max() - TEST_SET_F) <= 5)


def _last_draw(
    temps: np.ndarray,
    state: np.ndarray,
    where: tuple[Tank, np.ndarray, float, float],
    mean_before_f: float,
    cut_off_f: float,
) -> float:
    """The draw forced at 60 min on stored heat, counted in part: the fraction is printed as a picture, from memory."""
    gallons, mean_f, highest_f, _, _ = storage.draw_until(
        temps, state, *where, _flow_gpm(where[0]), cut_off_f, 60.0, STEP_S
    )
    return 0.0 if highest_f <= cut_off_f else float(credited_gal(gallons, mean_f, mean_before_f, cut_off_f))


def simulated_use(tank: Tank, source: np.ndarray, pattern: str, recovery_frac: float | None = None) -> SimulatedUse:
    """The 24-hour test of a storage heater, secs. 5.4.2 and 6.3.

    Parameters
    ----------
    tank : Tank
    source : ndarray
        Its main source in the air of the test, one row.
    pattern : str
        Draw pattern.
    recovery_frac : float, optional
        Decreed recovery efficiency; measured on the first recovery when left out.
    """
    temps, state = satisfied(tank, source)
    segments, cluster = pattern_segments(pattern)
    outcome = np.zeros((len(segments), OUTCOME_SIZE))
    log = np.zeros((DAY_MIN + 1, storage.LOG_SIZE))
    log[0, 0] = start_f = mean_f(temps, state[storage.FILL])
    storage.run(
        temps,
        state,
        tank,
        source[None, :],
        _INLET,
        _AIR,
        segments,
        float(DAY_MIN),
        STEP_S,
        _NEVER_SHORT,
        outcome,
        log,
        NO_TRACE,
    )
    tank_f, used, heating, delivered = log.T
    capacity = tank.volume_gal * TEST_BTU_PER_GAL_DF
    if recovery_frac is None:
        first = int(segments[0, 1]) + 1
        begun = first + int(np.argmax(heating[first:] > 0))
        end = begun + int(np.argmax(heating[begun:] == 0))
        recovery_frac = (delivered[end] + capacity * (tank_f[end] - start_f)) / used[end]
    low, high = _standby_window(segments, cluster, heating)
    hours = (high - low) / 60
    standby_f = float(tank_f[low : high + 1].mean())
    standby = used[high] - used[low] - capacity * (tank_f[high] - tank_f[low]) / recovery_frac
    loss = standby / hours / (standby_f - TEST_AIR_F)
    idle_h = 24 - (segments[:, 1] - segments[:, 0]).sum() / 60
    energy = used[-1] - capacity * (tank_f[-1] - start_f) / recovery_frac
    energy -= (standby_f - TEST_AIR_F - TEST_TANK_MINUS_AIR_DF) * loss * idle_h
    uef = _factor(outcome, energy, recovery_frac)
    return SimulatedUse(
        uef,
        float(recovery_frac),
        float(state[storage.AUX_IN]),
        float(state[storage.BACKUP_IN]),
        standby_f,
    )


def _standby_window(segments: np.ndarray, cluster: int, heating: np.ndarray) -> tuple[int, int]:
    """First and last minute of standby: in the gap after the first cluster, or at the end of the day (sec. 5.4.2)."""
    next_draw = int(segments[cluster, 0]) - 1
    low = _calm(heating, math.ceil(segments[cluster - 1, 1]) + 5)
    high = next_draw
    while high > low and heating[high] > 0:
        high -= 1
    if high - low >= 60:
        return low, high
    return min(_calm(heating, math.ceil(segments[-1, 1]) + 5), DAY_MIN - 60), DAY_MIN


def _calm(heating: np.ndarray, minute: int) -> int:
    """This minute, or 5 min after the recovery under way then."""
    if heating[min(minute, DAY_MIN)] == 0:
        return minute
    return minute + int(np.argmax(heating[minute:] == 0)) + 5


def _factor(outcome: np.ndarray, energy_btu: float, recovery_frac: float) -> float:
    """Energy factor at the nominal rise (secs. 6.3.5 and 6.4): the draws corrected to 67 °F."""
    per_df = outcome[:, HOT_GAL] * TEST_BTU_PER_GAL_DF
    nominal = per_df.sum() * TEST_RISE_DF
    measured = (per_df * (outcome[:, READ_F] - TEST_INLET_F)).sum()
    return float(nominal / (energy_btu + (nominal - measured) / recovery_frac))


def simulated_use_tankless(unit: Unit, pattern: str) -> SimulatedUse:
    """The 24-hour test of a heater under 2 gal, secs. 5.4.3 and 6.4. Recovery comes from the first draw alone."""
    units, state = instantaneous.cold_units(unit, TEST_AIR_F)
    segments, _ = pattern_segments(pattern)
    outcome = np.zeros((len(segments), OUTCOME_SIZE))
    after_first = segments[0, 1] + 5
    for part, until in ((slice(0, 1), after_first), (slice(1, None), float(DAY_MIN))):
        instantaneous.run(
            units, state, unit, _INLET, _AIR, segments[part], until, 1.0, _NEVER_SHORT, outcome[part], NO_TRACE
        )
        if part.start == 0:
            used = state[instantaneous.FUEL_IN] + state[instantaneous.AUX_IN]
            first = outcome[0, HOT_GAL] * TEST_BTU_PER_GAL_DF * (outcome[0, READ_F] - TEST_INLET_F)
            recovery = first / used
    used = state[instantaneous.FUEL_IN] + state[instantaneous.AUX_IN]
    return SimulatedUse(
        _factor(outcome, used, recovery),
        float(recovery),
        float(state[instantaneous.AUX_IN]),
        0.0,
        math.nan,
    )


def max_gpm(unit: Unit) -> float:
    """The maximum-flow test, secs. 5.3.2 and 6.2: 10 min at full input, as the flow at a 67 °F rise. [gpm]"""
    limited = unit._replace(limits_flow=1.0, set_point_f=TEST_SET_F)
    units, state = instantaneous.cold_units(limited, TEST_AIR_F)
    segments = np.array([(0.0, 10.0, 0.0, math.inf, 20.0, 0), (10.0, 20.0, 0.0, math.inf, 20.0, 0)])
    outcome = np.zeros((2, OUTCOME_SIZE))
    instantaneous.run(units, state, limited, _INLET, _AIR, segments, 20.0, 1.0, _NEVER_SHORT, outcome, NO_TRACE)
    return float(outcome[1, HOT_GAL] / 10 * (outcome[1, READ_F] - TEST_INLET_F) / TEST_RISE_DF)
