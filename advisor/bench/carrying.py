"""How much of a busy morning a heater carries before someone runs short: halved in one compiled pass."""

from __future__ import annotations

import math

import numpy as np

from advisor.bench import instantaneous, storage
from advisor.bench.comfort import IS_LIT, SHORT, read_off
from advisor.bench.instantaneous import Unit
from advisor.bench.kernels import ALL_HOT_GPM, MIXED_GPM, entry, kernel
from advisor.bench.storage import Tank


@kernel
def _copy(into: np.ndarray, values: np.ndarray) -> None:
    """Loops like this one, and the next, compile to less than an assignment of arrays does."""
    for i in range(into.shape[0]):
        into[i] = values[i]


@kernel
def _clear(rows: np.ndarray) -> None:
    for i in range(rows.shape[0]):
        for j in range(rows.shape[1]):
            rows[i, j] = 0.0


@kernel
def _size(sized: np.ndarray, segments: np.ndarray, size: float, n_tanks: float) -> None:
    """Segments with so many times the flow, shared by equal tanks."""
    for k in range(segments.shape[0]):
        sized[k, MIXED_GPM] = segments[k, MIXED_GPM] * size / n_tanks
        sized[k, ALL_HOT_GPM] = segments[k, ALL_HOT_GPM] * size / n_tanks


@kernel
def _runs_short(
    trace: np.ndarray,
    sized: np.ndarray,
    outcome: np.ndarray,
    start_min: np.ndarray,
    end_min: np.ndarray,
    use_f: np.ndarray,
    cold_f: np.ndarray,
    inlet_f: float,
    wait_min: float,
    short_min: float,
    found: np.ndarray,
) -> bool:
    """Whether a use that was heated at all is too cold for longer than ``short_min``."""
    _clear(found)
    read_off(trace, sized, outcome, start_min, end_min, use_f, cold_f, cold_f, inlet_f, wait_min, found)
    short = False
    for use in range(found.shape[0]):
        short = short or (found[use, IS_LIT] > 0 and found[use, SHORT] > short_min)
    return short


@entry
def of_tank(
    full: np.ndarray,
    still: np.ndarray,
    tank: Tank,
    sources: np.ndarray,
    inlet_f: np.ndarray,
    air_f: np.ndarray,
    segments: np.ndarray,
    start_min: np.ndarray,
    end_min: np.ndarray,
    use_f: np.ndarray,
    cold_f: np.ndarray,
    until_min: float,
    step_s: float,
    short: tuple[float, float],
    short_min: float,
    n_tanks: float,
    least: float,
    most: float,
    halvings: float,
    temps: np.ndarray,
    state: np.ndarray,
    sized: np.ndarray,
    outcome: np.ndarray,
    log: np.ndarray,
    trace: np.ndarray,
    found: np.ndarray,
) -> float:
    """Largest share of a morning's flows with which nobody runs short, looked for between two others.

    Parameters
    ----------
    full, still : ndarray
        Layers and state to begin with, as ``storage.full_tank`` makes them.
    tank, sources, inlet_f, air_f, segments, until_min, step_s, short
        As for ``storage.run``; ``sized`` is a copy of ``segments``.
    start_min, end_min, use_f, cold_f : ndarray
        As for ``comfort.comfort_of_uses``.
    short_min : float
        From so many cold minutes of one use on a morning runs short. [min]
    n_tanks : float
        Equal tanks that share the flow.
    least, most, halvings : float
        Between which shares to look, and how often to halve.
    temps, state, sized, outcome, log, trace, found : ndarray
        Room to work in.
    """
    for _ in range(int(halvings)):
        middle = math.sqrt(least * most)
        _copy(temps, full)
        _copy(state, still)
        _clear(outcome)
        _size(sized, segments, middle, n_tanks)
        storage.run(temps, state, tank, sources, inlet_f, air_f, sized, until_min, step_s, short, outcome, log, trace)
        ran = trace[: int(state[storage.TRACE_ROWS])]
        if _runs_short(ran, sized, outcome, start_min, end_min, use_f, cold_f, inlet_f[0], short[1], short_min, found):
            most = middle
        else:
            least = middle
    return math.sqrt(least * most)


@entry
def of_tankless(
    cold: np.ndarray,
    still: np.ndarray,
    unit: Unit,
    inlet_f: np.ndarray,
    air_f: np.ndarray,
    segments: np.ndarray,
    start_min: np.ndarray,
    end_min: np.ndarray,
    use_f: np.ndarray,
    cold_f: np.ndarray,
    until_min: float,
    step_s: float,
    short: tuple[float, float],
    short_min: float,
    least: float,
    most: float,
    halvings: float,
    units: np.ndarray,
    state: np.ndarray,
    sized: np.ndarray,
    outcome: np.ndarray,
    trace: np.ndarray,
    found: np.ndarray,
) -> float:
    """The same of tankless heaters: ``cold`` units in place of full layers."""
    for _ in range(int(halvings)):
        middle = math.sqrt(least * most)
        for i in range(units.shape[0]):
            _copy(units[i], cold[i])
        _copy(state, still)
        _clear(outcome)
        _size(sized, segments, middle, 1.0)
        instantaneous.run(units, state, unit, inlet_f, air_f, sized, until_min, step_s, short, outcome, trace)
        ran = trace[: int(state[instantaneous.TRACE_ROWS])]
        if _runs_short(ran, sized, outcome, start_min, end_min, use_f, cold_f, inlet_f[0], short[1], short_min, found):
            most = middle
        else:
            least = middle
    return math.sqrt(least * most)
