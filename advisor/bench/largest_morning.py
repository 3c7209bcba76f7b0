"""The largest morning, as a share of the busy one, that a heater carries before someone runs short."""

from __future__ import annotations

import numpy as np

from advisor.bench import carrying, instantaneous, storage
from advisor.bench.comfort import COMFORT_SIZE
from advisor.bench.internals import PLAIN, Internals, sources_of, tank_of, unit_of
from advisor.bench.kernels import OUTCOME_SIZE, TRACE_SIZE
from advisor.bench.morning import (
    SHORT_BELOW_F,
    SHORT_MORNING_MIN,
    TANK_STEP_S,
    TANKLESS_STEP_S,
    TOLERANCE_DF,
    WAIT_MIN,
    check_water,
    trace_rows,
    with_input,
)
from advisor.demand.events import Draws
from advisor.heaters.catalogue import Heater

#: Runs that narrow it down: to a fortieth of the morning. And their steps, over those of a run that is shown: what they
#: count is whole minutes.
_HALVINGS, _COARSE = 4.0, 2.0


def carried_frac(
    heater: Heater,
    draws: Draws,
    internals: Internals,
    least: float,
    most: float,
    *,
    set_point_f: float,
    inlet_f: float,
    air_f: float,
    wet_bulb_f: float,
    input_frac: float,
) -> float:
    """Largest share of a morning's flows that leaves nobody short, looked for between two others. [-]

    Parameters
    ----------
    heater : Heater
        Label, and number of units in parallel.
    draws : Draws
        The busy morning.
    internals : Internals
        One that returns the label.
    least, most : float
        Shares between which to look, above zero. [-]
    set_point_f, inlet_f, air_f, wet_bulb_f, input_frac
        As for ``morning.run_morning``.
    """
    inlet, air = np.array([inlet_f]), np.array([air_f])
    check_water(set_point_f, inlet, air)
    heater = with_input(heater, input_frac)
    segments = draws.segments()
    step_s = _COARSE * (TANKLESS_STEP_S if heater.is_tankless else TANK_STEP_S)
    use_f = np.ascontiguousarray(draws.use_f)
    when = (np.ascontiguousarray(draws.start_min), np.ascontiguousarray(draws.end_min))
    morning = (inlet, air, segments, *when, use_f, np.minimum(use_f, SHORT_BELOW_F) - TOLERANCE_DF)
    until_min = float(segments[-1, 1]) if len(segments) else 0.0
    told = (until_min, step_s, (SHORT_BELOW_F - TOLERANCE_DF, WAIT_MIN), SHORT_MORNING_MIN)
    looked_for = (least, most, _HALVINGS)
    sized, outcome = segments.copy(), np.empty((len(segments), OUTCOME_SIZE))
    trace, found = np.empty((trace_rows(segments, step_s), TRACE_SIZE)), np.empty((len(draws), COMFORT_SIZE))
    if heater.is_tankless:
        unit = unit_of(heater, internals, set_point_f=set_point_f, how=PLAIN)
        units, still = instantaneous.cold_units(unit, air_f)
        room = (np.empty_like(units), np.empty_like(still), sized, outcome, trace, found)
        return float(carrying.of_tankless(units, still, unit, *morning, *told, *looked_for, *room))
    tank = tank_of(heater, internals, set_point_f=set_point_f)
    sources = sources_of(heater, internals, air, wet_f=np.array([wet_bulb_f]))
    full, still = storage.full_tank(tank)
    room_of_tank = (np.empty_like(full), np.empty_like(still), sized, outcome)
    log, n_tanks = np.empty((0, storage.LOG_SIZE)), float(heater.n_units)
    return float(
        carrying.of_tank(
            full, still, tank, sources, *morning, *told, n_tanks, *looked_for, *room_of_tank, log, trace, found
        )
    )
