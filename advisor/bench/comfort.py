"""How each use fared in a run, read off the trace in one compiled pass."""

from __future__ import annotations

import numpy as np

from advisor.bench.kernels import LIT, START_MIN, TRACE_HAND_F, TRACE_MIN, TRACE_OUTLET_F, TRACE_STEP_MIN, entry, kernel

#: Columns of what is found: minutes too cold, minutes of a dip, coldest at the tap [°F], whether the heater heated.
SHORT, DIPPED, LOWEST_F, IS_LIT = 0, 1, 2, 3
FARED_SIZE = 4


@kernel
def tap_f(outlet_f: float, hand_f: float, use_f: float, inlet_f: float) -> float:
    """Temperature at a tap that mixes for ``use_f``; where hot water is taken as it comes (infinity), the outlet.

    The mixing balance of ``water.hot_share_frac`` for one moment: the hand has set the share for ``hand_f``.
    """
    share = 1.0
    if hand_f > inlet_f:
        share = max(0.0, min(1.0, (use_f - inlet_f) / (hand_f - inlet_f)))
    return inlet_f + share * (outlet_f - inlet_f)


def fared(
    trace: np.ndarray,
    segments: np.ndarray,
    outcome: np.ndarray,
    start_min: np.ndarray,
    end_min: np.ndarray,
    use_f: np.ndarray,
    cold_f: np.ndarray,
    dip_f: np.ndarray,
    inlet_f: float,
    wait_min: float,
) -> np.ndarray:
    """Minutes short and dipped, coldest water and whether it lit, of each use.

    Parameters
    ----------
    trace, segments, outcome : ndarray
        As ``kernels`` describes them.
    start_min, end_min, use_f : ndarray
        The uses. [min], [°F]
    cold_f, dip_f : ndarray
        Below these a minute of a use counts as short, or as a dip. [°F]
    inlet_f : float
        Cold water. [°F]
    wait_min : float
        Minutes of unbroken flow before anything counts.

    Returns
    -------
    ndarray
        A row for each use; the coldest is infinite where nothing counted.
    """
    found = np.zeros((start_min.shape[0], FARED_SIZE))
    found[:, LOWEST_F] = np.inf
    start_min, end_min, use_f = (np.ascontiguousarray(column) for column in (start_min, end_min, use_f))
    read_off(trace, segments, outcome, start_min, end_min, use_f, cold_f, dip_f, inlet_f, wait_min, found)
    return found


@entry
def read_off(
    trace: np.ndarray,
    segments: np.ndarray,
    outcome: np.ndarray,
    start_min: np.ndarray,
    end_min: np.ndarray,
    use_f: np.ndarray,
    cold_f: np.ndarray,
    dip_f: np.ndarray,
    inlet_f: float,
    wait_min: float,
    found: np.ndarray,
) -> None:
    """What ``fared`` finds, added to ``found``."""
    began = 0.0
    for row in range(trace.shape[0]):
        now, minutes = trace[row, TRACE_MIN], trace[row, TRACE_STEP_MIN]
        if row == 0 or now > trace[row - 1, TRACE_MIN] + trace[row - 1, TRACE_STEP_MIN] + 1e-6:
            began = now
        if now + minutes - began <= wait_min:
            continue
        for use in range(start_min.shape[0]):
            if start_min[use] - 1e-6 <= now < end_min[use] - 1e-6:
                tap = tap_f(trace[row, TRACE_OUTLET_F], trace[row, TRACE_HAND_F], use_f[use], inlet_f)
                if tap < cold_f[use]:
                    found[use, SHORT] += minutes
                if tap < dip_f[use]:
                    found[use, DIPPED] += minutes
                found[use, LOWEST_F] = min(found[use, LOWEST_F], tap)
    for k in range(segments.shape[0]):
        for use in range(start_min.shape[0]):
            if start_min[use] <= segments[k, START_MIN] < end_min[use] and outcome[k, LIT] > 0:
                found[use, IS_LIT] = 1.0
