"""Tankless heaters in parallel through a winter's day: who runs, who joins, who leads, and what leaves them meanwhile.

The next joins when those running are near their output, one leaves when they are lightly loaded, and the lead goes
round by hours, so that all wear alike. Settings as they are common practice, no published source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.bench import instantaneous
from advisor.bench.calibration import retest
from advisor.bench.household_run import HouseholdBench
from advisor.bench.internals import unit_of
from advisor.bench.kernels import HOT_GAL, OUTCOME_SIZE, TRACE_SIZE
from advisor.bench.morning import with_input
from advisor.core.errors import InputError
from advisor.core.units import MIN_PER_H
from advisor.demand.events import Draws, month_of
from advisor.heaters.catalogue import Heater
from advisor.heaters.hand_sizing import input_frac

#: Common practice, no published source. [-], [-], [h]
JOIN_FRAC, LEAVE_FRAC, ROTATE_H = 0.85, 0.30, 6.0
_DAY_MIN = 1440.0
_SLICE_MIN, _STEP_S = 5 / 60, 1.0
_NEVER_SHORT = (-np.inf, np.inf)


@dataclass(frozen=True)
class Staging:
    """How several heaters are switched.

    Parameters
    ----------
    join_frac : float
        The next joins where those running carry more than this share of their output. [-]
    leave_frac : float
        One leaves where they carry less than this share. [-]
    rotate_h : float
        The one that has burned least leads, looked at so often, while no water runs. [h]
    """

    join_frac: float = JOIN_FRAC
    leave_frac: float = LEAVE_FRAC
    rotate_h: float = ROTATE_H

    def __post_init__(self) -> None:
        for field, value, low, high in (
            ("join_frac", self.join_frac, 0.3, 1.0),
            ("leave_frac", self.leave_frac, 0.05, 0.9),
            ("rotate_h", self.rotate_h, 0.5, 1000.0),
        ):
            if not low <= value <= high:
                raise InputError(
                    field, value, "no controller is set so", "give {low:g} to {high:g}", low=low, high=high
                )
        if self.leave_frac >= self.join_frac:
            raise InputError(
                "leave_frac",
                self.leave_frac,
                "it would leave as soon as it has joined at {join_frac:g}",
                "lower it",
                join_frac=self.join_frac,
            )


@dataclass(frozen=True)
class Day:
    """A day of several heaters.

    Parameters
    ----------
    time_min, outlet_f, hot_gpm : ndarray
        While water runs, every five seconds: clock, what leaves them together, flow.
    running : ndarray
        How many of them take a share of the flow.
    joins, leaves, lead_changes : int
        How often.
    burned_min : tuple of float
        How long each has burned. [min]
    lowest_f : float
        Coldest outlet within a minute after one joined or left; NaN where none did. [°F]
    """

    time_min: np.ndarray
    outlet_f: np.ndarray
    hot_gpm: np.ndarray
    running: np.ndarray
    joins: int
    leaves: int
    lead_changes: int
    burned_min: tuple[float, ...]
    lowest_f: float


def busiest_day(bench: HouseholdBench) -> Draws:
    """The day of the coldest month on which the household draws most, from midnight."""
    year, coldest = bench.year_draws, int(np.argmin(bench.circumstances.mains_f))
    day = (year.start_min // _DAY_MIN).astype(int)
    gallons = np.where(month_of(year.start_min) == coldest, year.gallons, 0.0)
    chosen = int(np.argmax(np.bincount(day, gallons)))
    of_day = np.flatnonzero(day == chosen)
    return Draws(
        year.start_min[of_day] - chosen * _DAY_MIN,
        year.minutes[of_day],
        year.flow_gpm[of_day],
        year.use_f[of_day],
        tuple(year.name[row] for row in of_day),
    )


def through_a_day(bench: HouseholdBench, heater: Heater, staging: Staging, draws: Draws) -> Day:
    """Several tankless heaters through a day.

    Parameters
    ----------
    bench : HouseholdBench
        The household.
    heater : Heater
        Two or more side by side.
    staging : Staging
        How they are switched.
    draws : Draws
        The day, such as ``busiest_day``.

    Raises
    ------
    InputError
        It is one heater, or none that is tankless.
    """
    if heater.n_units < 2 or not heater.is_tankless:
        raise InputError(
            "candidate", heater.id, "one heater has nobody to take turns with", "choose two or three of it"
        )
    met = bench.circumstances
    month = int(np.argmin(met.mains_f))
    inlet, air = (np.array([float(values[month])]) for values in (met.mains_f, met.air_f))
    internals = retest(heater).internals
    unit = unit_of(with_input(heater, input_frac(heater, met)), internals, set_point_f=met.set_point_f)
    units, state = instantaneous.cold_units(unit, float(air[0]))
    segments = draws.segments()
    order, burned, looked_min = np.arange(heater.n_units), np.zeros(heater.n_units), 0.0
    joins = leaves = lead_changes = 0
    rows: list[tuple[float, float, float, float]] = []
    changed_min: list[float] = []
    ended = -1.0
    for segment in segments:
        if segment[0] > ended + 1e-6 and segment[0] - looked_min >= staging.rotate_h * MIN_PER_H:
            # Nothing runs: the one that has burned least leads.
            looked_min = float(segment[0])
            by_hours = np.argsort(burned[order], kind="stable")
            lead_changes += int(by_hours[0] != 0)
            units, order = np.ascontiguousarray(units[by_hours]), order[by_hours]
        ended = float(segment[1])
        for begin in np.arange(segment[0], segment[1] - 1e-9, _SLICE_MIN):
            end = min(begin + _SLICE_MIN, ended)
            running = state[instantaneous.ACTIVE]
            # The bench lets one leave by what the others could carry: the same share, said of those that remain.
            leave = staging.leave_frac * running / max(running - 1, 1.0)
            switched = unit._replace(join_frac=staging.join_frac, leave_frac=min(leave, 0.99 * staging.join_frac))
            piece = segment.copy()[None, :]
            piece[0, :2] = begin, end
            outcome, trace = np.zeros((1, OUTCOME_SIZE)), np.zeros((0, TRACE_SIZE))
            instantaneous.run(
                units, state, switched, inlet, air, piece, float(end), _STEP_S, _NEVER_SHORT, outcome, trace
            )
            now = state[instantaneous.ACTIVE]
            if now != running:
                joins, leaves = joins + int(now > running), leaves + int(now < running)
                changed_min.append(float(end))
            burned[order] += (units[:, instantaneous.PHASE] == instantaneous.BURNING) * (end - begin)
            rows.append(
                (float(begin), float(state[instantaneous.OUTLET_F]), float(outcome[0, HOT_GAL]) / (end - begin), now)
            )
    clock, outlet, gpm, count = np.array(rows).T
    near = np.zeros(len(clock), dtype=bool)
    for minute in changed_min:
        near |= (clock >= minute - _SLICE_MIN) & (clock < minute + 1)
    lowest = float(outlet[near].min()) if near.any() else float("nan")
    return Day(clock, outlet, gpm, count, joins, leaves, lead_changes, tuple(burned.tolist()), lowest)
