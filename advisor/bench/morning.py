"""A heater in a household: its busy morning second by second, a pause under the shower, and a year of draws.

The inputs are plain numbers: set point, inlet and air by month, and the draws of ``demand.events``. Pipes between
heater and tap are left out: what is seen here is what the heater does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from advisor.bench import comfort, instantaneous, storage
from advisor.bench.calibration import retest
from advisor.bench.internals import PLAIN, Internals, Tankless, sources_of, tank_of, unit_of
from advisor.bench.kernels import (
    ALL_HOT_GPM,
    HEAT_BTU,
    HOT_GAL,
    LIT,
    MIXED_GPM,
    OUTCOME_SIZE,
    SHORT_MIN,
    SLOW_MIN,
    TRACE_GPM,
    TRACE_HAND_F,
    TRACE_MIN,
    TRACE_OUTLET_F,
    TRACE_SIZE,
    TRACE_STEP_MIN,
)
from advisor.core.arrays import Floats, Numbers
from advisor.core.errors import InputError, OutOfRangeError
from advisor.core.units import BTU_PER_KWH
from advisor.demand.events import YEAR_MIN, Draws, morning
from advisor.demand.recirculation import NO_LOOP, Recirculation
from advisor.heaters import heat_pump
from advisor.heaters.catalogue import Heater
from advisor.physics.water import hot_share_frac

#: Below this at the tap a minute counts as short, or below the use temperature where that is lower. [°F]
SHORT_BELOW_F = 105.0
#: Thermometers and skins do not tell a degree; assumed. [°F]
TOLERANCE_DF = 1.0
#: Water that runs this long before it counts: whoever opens a tap waits for it; assumed. [min]
WAIT_MIN = 0.5
#: A dip is noticed when it is deeper than 8 °F for longer than 3 s; our own threshold.
NOTICED_DF, NOTICED_MIN = 8.0, 3 / 60
#: A morning runs short when someone's water is below their temperature for over a minute; our own threshold.
SHORT_MORNING_MIN = 1.0
#: Steps while water flows. [s]
TANK_STEP_S, TANKLESS_STEP_S = 5.0, 1.0
_YEAR_TANK_STEP_S, _YEAR_TANKLESS_STEP_S = 10.0, 2.0


@dataclass(frozen=True)
class UseResult:
    """How one use of the morning fared.

    Parameters
    ----------
    name : str
        What it is called.
    minutes_short : float
        Minutes below 105 °F (or below its own temperature where that is lower), the first half minute of flow forgiven.
    lowest_f : float
        Coldest at the tap after that half minute. [°F]
    noticed : bool
        Whether a dip of more than 8 °F lasted more than 3 s.
    lit : bool
        Whether the heater heated at all while it ran; a tank counts as lit.
    """

    name: str
    minutes_short: float
    lowest_f: float
    noticed: bool
    lit: bool


@dataclass(frozen=True)
class MorningResult:
    """A run through the busy morning.

    Parameters
    ----------
    time_min, outlet_f, hot_gpm : ndarray
        Trace while water flows: clock, outlet of the heater, flow through it.
    uses : tuple of UseResult
        In the order of their start.
    minutes_short : float
        Summed over the uses. [min]
    minutes_slow : float
        Minutes in which a flow-limiting valve cut the flow by more than a tenth. [min]
    hot_gal, heat_btu : float
        What left the heater. [gal], [Btu]
    starts : int
        Times a burner, an element or a compressor came on while the morning lasted.
    """

    time_min: np.ndarray
    outlet_f: np.ndarray
    hot_gpm: np.ndarray
    uses: tuple[UseResult, ...]
    minutes_short: float
    minutes_slow: float
    hot_gal: float
    heat_btu: float
    starts: int

    @property
    def noticed_by(self) -> tuple[str, ...]:
        """Uses that notice."""
        return tuple(use.name for use in self.uses if use.noticed)


@dataclass(frozen=True)
class PauseResult:
    """A shower, a pause or a trickle, and a shower again.

    Parameters
    ----------
    time_min, tap_f : ndarray
        Trace of the second shower: minutes from its start, temperature at its tap.
    coldest_f, hottest_f : float
        During its first two minutes. [°F]
    seconds_cold : float
        How long it is more than 8 °F too cold. [s]
    trickle_lit : bool or None
        Whether the trickle kept the heater alight; None where nothing ran in the pause.
    """

    time_min: np.ndarray
    tap_f: np.ndarray
    coldest_f: float
    hottest_f: float
    seconds_cold: float
    trickle_lit: bool | None


@dataclass(frozen=True)
class YearResult:
    """A year of draws.

    Parameters
    ----------
    energy_btu : float
        All energy bought, fuel and electricity. [Btu]
    fuel_btu, electricity_kwh : float
        Its two parts.
    heat_btu, lost_btu, loop_btu : float
        Delivered in hot water, lost to the room, lost by a loop. [Btu]
    from_air_btu : float
        Taken from the room by a heat pump, its tank's loss not given back. [Btu]
    backup_share_frac : float
        Share of the heat that a backup element gave. [-]
    starts_per_day : float
        Times a burner, an element or a compressor came on.
    unlit_events, events : int
        Draws that never lit the burner, of how many.
    minutes_short : float
        Minutes short, summed over all draws. [min]
    over_quoted_frac : float or None
        Energy over a quoted figure, less 1; None without a figure.
    """

    energy_btu: float
    fuel_btu: float
    electricity_kwh: float
    heat_btu: float
    lost_btu: float
    loop_btu: float
    from_air_btu: float
    backup_share_frac: float
    starts_per_day: float
    unlit_events: int
    events: int
    minutes_short: float
    over_quoted_frac: float | None


@dataclass(frozen=True)
class _Run:
    outcome: np.ndarray
    trace: np.ndarray
    state: np.ndarray
    starts: float


def _run(
    heater: Heater,
    segments: np.ndarray,
    until_min: float,
    step_s: float,
    trace_rows: int,
    *,
    set_point_f: float,
    inlet_f: np.ndarray,
    air_f: np.ndarray,
    mode: str,
    wet_bulb_f: np.ndarray | None,
    how: Tankless,
    loop: Recirculation,
    input_frac: float,
    internals: Internals | None = None,
) -> _Run:
    """Any heater through any segments, from a full tank or a cold exchanger."""
    _check_mode(mode)
    check_water(set_point_f, inlet_f, air_f)
    internals = internals or retest(heater).internals  # of the label, which is of sea level
    heater = with_input(heater, input_frac)
    outcome, trace = np.zeros((len(segments), OUTCOME_SIZE)), np.zeros((trace_rows, TRACE_SIZE))
    short = (SHORT_BELOW_F - TOLERANCE_DF, WAIT_MIN)
    if heater.is_tankless:
        unit = unit_of(heater, internals, set_point_f=set_point_f, how=how, loop=loop)
        units, state = instantaneous.cold_units(unit, float(air_f[0]))
        instantaneous.run(units, state, unit, inlet_f, air_f, segments, until_min, step_s, short, outcome, trace)
        starts = float(state[instantaneous.STARTS])
        return _Run(outcome, trace[: int(state[instantaneous.TRACE_ROWS])], state, starts)
    tank = tank_of(heater, internals, set_point_f=set_point_f, mode=mode, loop=loop)
    sources = sources_of(heater, internals, air_f, wet_f=wet_bulb_f, mode=mode)
    segments = segments.copy()
    segments[:, [MIXED_GPM, ALL_HOT_GPM]] /= heater.n_units  # equal tanks in parallel share the flow
    temps, state = storage.full_tank(tank)
    storage.run(
        temps,
        state,
        tank,
        sources,
        inlet_f,
        air_f,
        segments,
        until_min,
        step_s,
        short,
        outcome,
        np.empty((0, storage.LOG_SIZE)),
        trace,
    )
    outcome[:, [HOT_GAL, HEAT_BTU]] *= heater.n_units
    trace[:, TRACE_GPM] *= heater.n_units
    starts = float(state[storage.STARTS]) * heater.n_units
    return _Run(outcome, trace[: int(state[storage.TRACE_ROWS])], state, starts)


@lru_cache(maxsize=512)
def with_input(heater: Heater, input_frac: float) -> Heater:
    """A heater with the input that its burner keeps at a height, or its element at a voltage."""
    if input_frac == 1:
        return heater
    if heater.input_btuh is not None:
        return replace(heater, input_btuh=heater.input_btuh * input_frac)
    return replace(heater, input_kw=(heater.input_kw or 0.0) * input_frac)


def _check_mode(mode: str) -> None:
    if mode not in heat_pump.MODES:
        known = ", ".join(heat_pump.MODES)
        raise InputError("mode", mode, "there is no such mode", "write one of {known}", known=known)


def check_water(set_point_f: float, inlet_f: np.ndarray, air_f: np.ndarray) -> None:
    """Refuse what no house has, in a sentence."""
    if not 90 <= set_point_f <= 180:
        raise OutOfRangeError("set_point_f", set_point_f, "this is no set point of a water heater", "give 90 to 180 °F")
    for field, values, low, high in (("inlet_f", inlet_f, 32, 120), ("air_f", air_f, -40, 150)):
        outside = values[~((values >= low) & (values <= high))]
        if len(outside):
            raise OutOfRangeError(
                field, outside[0], "this cannot be right", "give {low} to {high} °F", low=low, high=high
            )


def trace_rows(segments: np.ndarray, step_s: float) -> int:
    """Most steps that a run through these segments takes while water flows."""
    return int(np.ceil((segments[:, 1] - segments[:, 0]) * 60 / step_s + 2).sum())


def run_morning(
    heater: Heater,
    uses: Draws,
    *,
    set_point_f: float,
    inlet_f: float,
    air_f: float,
    mode: str = "hybrid",
    wet_bulb_f: float | None = None,
    how: Tankless = PLAIN,
    loop: Recirculation = NO_LOOP,
    input_frac: float = 1.0,
    internals: Internals | None = None,
) -> MorningResult:
    """Run a heater through a morning, starting from a full tank or an exchanger at room temperature.

    Parameters
    ----------
    heater : Heater
        Label, and number of units in parallel.
    uses : Draws
        As ``events.morning`` makes them.
    set_point_f, inlet_f, air_f : float
        Set point, cold water, and air around the heater. [°F]
    mode : str
        ``hybrid`` or ``efficient``; heat pumps only.
    wet_bulb_f : float, optional
        Of that air, for heat pumps; of air as moist as the test room's if not given. [°F]
    how : Tankless
        How a tankless heater is set up.
    loop : Recirculation
        Recirculation loop.
    input_frac : float
        Share of its rated input that a burner keeps at this height, or an element at this voltage. [-]
    internals : Internals, optional
        Another inside that returns the label; the usual one if not given.
    """
    segments = uses.segments()
    step_s = TANKLESS_STEP_S if heater.is_tankless else TANK_STEP_S
    until = float(segments[-1, 1]) if len(segments) else 0.0
    run = _run(
        heater,
        segments,
        until,
        step_s,
        trace_rows(segments, step_s),
        set_point_f=set_point_f,
        inlet_f=np.array([inlet_f]),
        air_f=np.array([air_f]),
        mode=mode,
        wet_bulb_f=None if wet_bulb_f is None else np.array([wet_bulb_f]),
        how=how,
        loop=loop,
        input_frac=input_frac,
        internals=internals,
    )
    results = _use_results(uses, segments, run, inlet_f)
    return MorningResult(
        run.trace[:, TRACE_MIN],
        run.trace[:, TRACE_OUTLET_F],
        run.trace[:, TRACE_GPM],
        results,
        sum(use.minutes_short for use in results),
        float(run.outcome[:, SLOW_MIN].sum()),
        float(run.outcome[:, HOT_GAL].sum()),
        float(run.outcome[:, HEAT_BTU].sum()),
        round(run.starts),
    )


def _tap_f(trace: np.ndarray, use_f: Numbers, inlet_f: float) -> np.ndarray:
    """Temperature at a tap that mixes for ``use_f``; where hot water is taken as it comes (infinity), the outlet."""
    share = hot_share_frac(use_f, trace[:, TRACE_HAND_F], inlet_f)
    return inlet_f + share * (trace[:, TRACE_OUTLET_F] - inlet_f)


def _use_results(uses: Draws, segments: np.ndarray, run: _Run, inlet_f: float) -> tuple[UseResult, ...]:
    """How each use fared."""
    wanted = np.minimum(uses.use_f, SHORT_BELOW_F)
    found = comfort.comfort_of_uses(
        run.trace,
        segments,
        run.outcome,
        uses.start_min,
        uses.end_min,
        uses.use_f,
        wanted - TOLERANCE_DF,
        wanted - NOTICED_DF,
        inlet_f,
        WAIT_MIN,
    )
    return tuple(
        UseResult(name, short, lowest if lowest < math.inf else math.nan, dipped > NOTICED_MIN, lit > 0)
        for name, (short, dipped, lowest, lit) in zip(uses.name, found.tolist(), strict=True)
    )


@lru_cache(maxsize=64)
def _pause_draws(flow_gpm: float, use_f: float, shower_min: float, pause_min: float, trickle_gpm: float) -> Draws:
    again = shower_min + pause_min
    uses = [("shower", 0.0, shower_min, flow_gpm, use_f), ("again", again, shower_min, flow_gpm, use_f)]
    if trickle_gpm > 0:
        uses.append(("trickle", shower_min, pause_min, trickle_gpm, use_f))
    return morning(uses)


def pause_test(
    heater: Heater,
    *,
    set_point_f: float,
    inlet_f: float,
    air_f: float,
    flow_gpm: float = 2.0,
    use_f: float = 105.0,
    shower_min: float = 8.0,
    pause_min: float = 3.0,
    trickle_gpm: float = 0.0,
    how: Tankless = PLAIN,
    loop: Recirculation = NO_LOOP,
    input_frac: float = 1.0,
) -> PauseResult:
    """A shower, a pause (or a trickle of ``trickle_gpm``, for example 0.5), and a shower again."""
    again = shower_min + pause_min
    segments = _pause_draws(flow_gpm, use_f, shower_min, pause_min, trickle_gpm).segments()
    step_s = TANKLESS_STEP_S if heater.is_tankless else TANK_STEP_S
    run = _run(
        heater,
        segments,
        again + shower_min,
        step_s,
        trace_rows(segments, step_s),
        set_point_f=set_point_f,
        inlet_f=np.array([inlet_f]),
        air_f=np.array([air_f]),
        mode="hybrid",
        wet_bulb_f=None,
        how=how,
        loop=loop,
        input_frac=input_frac,
    )
    second = run.trace[run.trace[:, TRACE_MIN] >= again - 1e-6]
    time_min, lengths = second[:, TRACE_MIN] - again, second[:, TRACE_STEP_MIN]
    tap = _tap_f(second, use_f, inlet_f)
    early = time_min < 2.0
    cold = early & (tap < use_f - NOTICED_DF)
    lit = bool(run.outcome[segments[:, 0].searchsorted(shower_min - 1e-6), LIT]) if trickle_gpm > 0 else None
    return PauseResult(
        time_min,
        tap,
        float(tap[early].min()),
        float(tap[early].max()),
        float(lengths[cold].sum() * 60),
        lit,
    )


def run_year(
    heater: Heater,
    draws: Draws,
    *,
    set_point_f: float,
    mains_f: Numbers,
    air_f: Numbers,
    mode: str = "hybrid",
    wet_bulb_f: Floats | None = None,
    how: Tankless = PLAIN,
    loop: Recirculation = NO_LOOP,
    input_frac: float = 1.0,
    quoted_btu_per_yr: float | None = None,
) -> YearResult:
    """Run a heater through a year of draws, as ``events.random_year`` makes them.

    Parameters
    ----------
    heater, set_point_f, mode, how, loop, input_frac
        As for ``run_morning``.
    draws : Draws
        A year from 1 January.
    mains_f, air_f : array of 12
        Cold water, and air around the heater. [°F]
    wet_bulb_f : array of 12, optional
        As for ``run_morning``. [°F]
    quoted_btu_per_yr : float, optional
        Energy that the two-parameter model quotes, to compare with. [Btu/yr]
    """
    inlet, air = (
        np.ascontiguousarray(np.broadcast_to(np.asarray(value, dtype=float), (12,))) for value in (mains_f, air_f)
    )
    segments = draws.segments(month_of_start=True)
    until = max(YEAR_MIN, float(draws.end_min.max(initial=0.0)))
    step_s = _YEAR_TANKLESS_STEP_S if heater.is_tankless else _YEAR_TANK_STEP_S
    run = _run(
        heater,
        segments,
        until,
        step_s,
        0,
        set_point_f=set_point_f,
        inlet_f=inlet,
        air_f=air,
        mode=mode,
        wet_bulb_f=wet_bulb_f,
        how=how,
        loop=loop,
        input_frac=input_frac,
    )
    short, lit = _by_draw(draws, segments, run.outcome)
    totals = _energy(heater, run.state)
    energy = totals["fuel_btu"] + totals["electricity_kwh"] * BTU_PER_KWH
    return YearResult(
        energy_btu=energy,
        **totals,
        unlit_events=int(np.sum(~lit)),
        events=len(draws),
        minutes_short=float(short.sum()),
        over_quoted_frac=None if quoted_btu_per_yr is None else energy / quoted_btu_per_yr - 1,
    )


def _by_draw(draws: Draws, segments: np.ndarray, outcome: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Minutes short and whether lit, of each draw: summed over the segments that it runs through."""
    first, last = draws.first_and_last_segment(segments)
    running_short = np.concatenate([[0.0], np.cumsum(outcome[:, SHORT_MIN])])
    running_lit = np.concatenate([[0.0], np.cumsum(outcome[:, LIT])])
    return running_short[last] - running_short[first], running_lit[last] > running_lit[first]


def _energy(heater: Heater, state: np.ndarray) -> dict[str, float]:
    """Totals of a run by kind, for all units."""
    if heater.is_tankless:
        bought, auxiliary, backup_heat = state[instantaneous.FUEL_IN], state[instantaneous.AUX_IN], 0.0
        delivered, lost, loop = (
            float(state[place]) for place in (instantaneous.DELIVERED, instantaneous.LOST, instantaneous.LOOP_LOST)
        )
        into_water, from_air, starts = delivered + lost + loop, 0.0, state[instantaneous.STARTS]
    else:
        state = state.copy()
        state[storage.MAIN_IN : storage.LOOP_LOST + 1] *= heater.n_units
        backup_heat = state[storage.BACKUP_IN]  # an element's heat is its input
        bought, auxiliary = state[storage.MAIN_IN] + backup_heat, state[storage.AUX_IN]
        delivered, lost, loop = (float(state[place]) for place in (storage.DELIVERED, storage.LOST, storage.LOOP_LOST))
        into_water, starts = float(state[storage.INTO_WATER]), state[storage.STARTS]
        from_air = 0.0
        if heater.is_heat_pump:
            by_compressor = into_water - backup_heat
            from_air = float(heat_pump.heat_from_air_btu(by_compressor, state[storage.MAIN_IN] / BTU_PER_KWH))
        else:
            backup_heat = 0.0  # the upper element of an ordinary electric tank is no backup
    fuel = float(bought) if heater.burns_fuel else 0.0
    electricity = float(auxiliary + (0.0 if heater.burns_fuel else bought)) / BTU_PER_KWH
    return {
        "fuel_btu": fuel,
        "electricity_kwh": electricity,
        "heat_btu": delivered,
        "lost_btu": lost,
        "loop_btu": loop,
        "from_air_btu": from_air,
        "backup_share_frac": float(backup_heat / into_water) if into_water > 0 else 0.0,
        "starts_per_day": float(starts) / 365,
    }
