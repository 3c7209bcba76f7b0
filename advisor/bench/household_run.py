"""The runs behind the verdict on capacity: every candidate runs through this household's winter mornings.

The morning is built from the busy hour and has nothing random in it. The bench finds how large such a morning may be
before someone's water runs below their temperature for over a minute, for each of the insides that return the label;
how often a year brings a larger one says how many mornings run short. The hand methods of ``hand_sizing`` lead the
verdict, and these mornings move it by a step at most (``keeping_up``).
"""

from __future__ import annotations

import math
import pickle
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import Any

import numpy as np

from advisor.bench import seen
from advisor.bench.calibration import possible_internals, retest
from advisor.bench.internals import Internals
from advisor.bench.largest_morning import carried_frac
from advisor.bench.morning import (
    SHORT_BELOW_F,
    MorningResult,
    PauseResult,
    YearResult,
    pause_test,
    run_morning,
    run_year,
)
from advisor.circumstances import Circumstances
from advisor.core.units import MIN_PER_H
from advisor.demand.busy_hour import Use
from advisor.demand.events import Draws, morning, random_year
from advisor.demand.household import Demand
from advisor.demand.morning_sizes import MOST_SIZE_DIMENSIONLESS, Mornings
from advisor.heaters.catalogue import Heater
from advisor.heaters.hand_sizing import Capacity, HouseholdRun, hand_method, input_frac
from advisor.heaters.keeping_up import judged_by_mornings, span
from advisor.physics.water import TEST_BTU_PER_GAL_DF

#: Minute at which the smallest tap opens in the summer run: the shower before it is over.
_TAP_AT_MIN = 20.0
#: A tap, not a shower. [min]
_SHORT_USE_MIN = 5.0
#: A label that the bench cannot return may be far off: how far below the hand method it is looked for.
_DOUBTED_FRAC = 0.25


@dataclass(frozen=True, eq=False)
class HouseholdBench:
    """The bench with a household on it.

    A loop is on it in the year only: how its return stirs a tank while taps run depends on piping that nobody has
    described.

    Parameters
    ----------
    circumstances : Circumstances
        What every heater meets there.
    """

    circumstances: Circumstances

    @property
    def demand(self) -> Demand:
        """What the household draws."""
        return self.circumstances.demand

    @property
    def skin_f(self) -> float:
        """Temperature wanted at the skin: never hotter than the set point. [°F]"""
        return min(self.circumstances.use_f, self.circumstances.set_point_f)

    @cached_property
    def mark(self) -> bytes:
        """Equal for two households to which every heater gives the same run."""
        met, demand = self.circumstances, self.demand
        return pickle.dumps(
            (
                met.set_point_f,
                met.mains_f,
                met.air_f,
                met.altitude_frac,
                met.element_frac,
                met.use_f,
                met.wet_bulb_f,
                demand.busy_hour_uses,
                demand.steady_flows,
                demand.busy_hour_gal,
                demand.simultaneous_gpm,
                demand.smallest_summer_gpm,
            )
        )

    @cached_property
    def draws(self) -> Draws:
        """The busy morning as told."""
        return busy_morning(self.demand.busy_hour_uses, self.circumstances.set_point_f)

    @cached_property
    def mornings(self) -> Mornings:
        """How many mornings of a year draw more than a share of the busy one."""
        return self.circumstances.mornings

    @cached_property
    def summer_draws(self) -> Draws:
        """One shower and then the smallest tap, each alone: what a lowest fire and a flow switch meet in summer."""
        shower = self.demand.shower
        tap = min(self.demand.steady_flows, key=lambda flow: flow.summer_hot_gpm)
        wanted = {use.name: use.use_f for use in self.demand.busy_hour_uses}
        rows = [("shower", 0.0, 8.0, shower.mixed_gpm, self.skin_f)]
        if tap.name != "shower":
            use_f = min(wanted.get(tap.name, self.skin_f), self.circumstances.set_point_f)
            rows.append((tap.name, _TAP_AT_MIN, 2.0, tap.mixed_gpm, use_f))
        return morning(rows)

    @cached_property
    def year_draws(self) -> Draws:
        """A year of random draws whose mean day is the household's, in each month."""
        year = random_year(self.demand.mixed_gpd, self.demand.machines_gpd)
        return replace(year, use_f=np.where(np.isfinite(year.use_f), self.skin_f, np.inf))

    def run(self, heater: Heater, draws: Draws | None = None) -> MorningResult:
        """One heater through a winter morning, the household's own if none is given."""
        return run_morning(heater, self.draws if draws is None else draws, **self._winter(heater))

    def carries_frac(self, heater: Heater, internals: Internals, least: float, most: float) -> float:
        """Largest share of the busy morning that leaves nobody short, looked for between two others. [-]"""
        if least >= MOST_SIZE_DIMENSIONLESS:
            return least  # no morning is as large
        return carried_frac(heater, self.draws, internals, least, most, **self._winter(heater))

    def summer(self, heater: Heater) -> MorningResult:
        """One heater through ``summer_draws`` in the month of the warmest water."""
        return run_morning(heater, self.summer_draws, **self._month(heater, int(np.argmax(self.circumstances.mains_f))))

    def pause(self, heater: Heater) -> PauseResult:
        """A shower, three minutes' pause, and a shower again, in winter."""
        winter = self._winter(heater)
        del winter["wet_bulb_f"]
        return pause_test(heater, flow_gpm=self.demand.shower.mixed_gpm, use_f=self.skin_f, **winter)

    def year(self, heater: Heater, *, quoted_btu_per_yr: float | None = None) -> YearResult:
        """One heater through the random year, beside the figure that the two-parameter model quotes."""
        met = self.circumstances
        return run_year(
            heater,
            self.year_draws,
            set_point_f=met.set_point_f,
            mains_f=met.mains_f,
            air_f=met.air_f,
            wet_bulb_f=met.wet_bulb_f,
            loop=met.loop,
            input_frac=input_frac(heater, met),
            quoted_btu_per_yr=quoted_btu_per_yr,
        )

    def _winter(self, heater: Heater) -> dict[str, Any]:
        return self._month(heater, int(np.argmin(self.circumstances.mains_f)))

    def _month(self, heater: Heater, month: int) -> dict[str, Any]:
        met = self.circumstances
        return {
            "set_point_f": met.set_point_f,
            "inlet_f": float(met.mains_f[month]),
            "air_f": float(met.air_f[month]),
            "wet_bulb_f": float(met.wet_bulb_f[month]),
            "input_frac": input_frac(heater, met),
        }


def busy_morning(uses: Iterable[Use], set_point_f: float) -> Draws:
    """Who starts when: the busy hour of ``busy_hour`` as a morning with nothing random in it.

    Of each use, as many as run together start together; all kinds start together at minute 0, which makes the peak
    flow that the hand method counts, and the rest follow in turns that divide the hour evenly (a turn is never
    shorter than the use), taps in halves of it. So three showers, two of them together, start at 0, 0 and 30 minutes.
    A use that is said never to run together with others follows when those are over. No use is wanted hotter than the
    set point: no heater could help that. Our own proposal; a household that describes its uses gets these turns from
    them.

    Parameters
    ----------
    uses : iterable of Use
        With count, together and length; no more than an hour of each is run.
    set_point_f : float
        Set point. [°F]
    """
    rows: list[tuple[str, float, float, float, float]] = []
    alone = []
    for use in uses:
        minutes, use_f = min(float(use.duration_min), MIN_PER_H), min(float(use.use_f), set_point_f)
        named = _numbered(use.name, int(use.count))
        if use.together < 1:
            alone += [(name, minutes, use.mixed_gpm, use_f) for name in named]
            continue
        at_once = int(use.together)
        starts = _turns_min(math.ceil(len(named) / at_once), minutes)
        rows += [(name, starts[number // at_once], minutes, use.mixed_gpm, use_f) for number, name in enumerate(named)]
    free_min = max((start + minutes for _, start, minutes, _, _ in rows), default=0.0)
    for name, minutes, gpm, use_f in alone:
        rows.append((name, free_min, minutes, gpm, use_f))
        free_min += minutes
    return morning(rows)


def _turns_min(count: int, minutes: float) -> list[float]:
    """When the turns of a use begin. [min]

    Short uses halve the hour, and halve it again: so the morning of a larger household holds that of a smaller one.
    """
    spacing = MIN_PER_H / 2 ** math.ceil(math.log2(count))
    if minutes > min(_SHORT_USE_MIN, spacing):
        return [number * max(MIN_PER_H / count, minutes) for number in range(count)]
    halvings, starts = 1, [0.0]
    while len(starts) < count:
        starts += [start + MIN_PER_H / 2**halvings for start in starts]
        halvings += 1
    return sorted(starts[:count])


def _numbered(name: str, count: int) -> list[str]:
    return [name] if count == 1 else [f"{name} {number}" for number in range(1, count + 1)]


def capacity_on(bench: HouseholdBench, heater: Heater) -> Capacity:
    """Whether a heater keeps up: the bench's verdict, with the hand method's beside it.

    Parameters
    ----------
    bench : HouseholdBench
        The bench with the household on it.
    heater : Heater
        Candidate; ``n_units`` in parallel.
    """
    return _capacity(_Asked(bench.mark, bench), heater)


@dataclass(frozen=True)
class _Asked:
    mark: bytes
    bench: HouseholdBench = field(compare=False)


@lru_cache(maxsize=2048)
def _capacity(asked: _Asked, heater: Heater) -> Capacity:
    """The same household is asked about again whenever something else of its house is changed."""
    bench = asked.bench
    by_hand = hand_method(heater, bench.circumstances)
    household_run = run_of_household(bench, heater, by_hand)
    unsteady = bool(household_run.never_lit) or _summer_trouble(bench.demand, household_run, by_hand)
    return judged_by_mornings(by_hand, household_run, bench.mornings, needs_care=unsteady)


def _summer_trouble(demand: Demand, household_run: HouseholdRun, by_hand: Capacity) -> bool:
    """A summer shower that it cannot hold steady, by the bench or by the least flow."""
    too_small = (by_hand.least_flow_summer_gpm or 0.0) > demand.shower.summer_hot_gpm
    return too_small or "shower" in (*household_run.summer_never_lit, *household_run.summer_unsteady)


def run_of_household(bench: HouseholdBench, heater: Heater, by_hand: Capacity | None = None) -> HouseholdRun:
    """Run a heater through the busy morning and smaller or larger ones, a summer's small draws and a pause.

    Parameters
    ----------
    bench : HouseholdBench
        The bench with the household on it.
    heater : Heater
        Candidate.
    by_hand : Capacity, optional
        What the hand method says of it: how far the bench may differ.
    """
    by_hand = by_hand or hand_method(heater, bench.circumstances)
    told = bench.run(heater)
    lit = [use for use in told.uses if use.lit]
    summer = bench.summer(heater).uses if heater.is_tankless else ()
    paused = bench.pause(heater) if heater.is_tankless else None
    lowest = [use.lowest_f for use in told.uses if not math.isnan(use.lowest_f)]
    trouble = retest(heater).cannot_meet
    least, most = span(1 + by_hand.margin_frac, bench.mornings)
    least = least if trouble is None else _DOUBTED_FRAC * least
    coldest_f = float(bench.circumstances.coldest_mains_f)
    return HouseholdRun(
        why=seen.findings(told, wanted_f=min(SHORT_BELOW_F, float(bench.draws.use_f.max()))),
        carries_frac=tuple(
            bench.carries_frac(heater, internals, least, most) for internals in possible_internals(heater)
        ),
        minutes_short=seen.minutes_short(lit),
        short_uses=tuple(use.name for use in lit if use.minutes_short > 0),
        noticed_by=tuple(use.name for use in lit if use.noticed),
        coldest_tap_f=min(lowest, default=None),
        outlet_low_f=float(told.outlet_f.min(initial=math.inf)),
        outlet_mean_f=coldest_f + told.heat_btu / (told.hot_gal * TEST_BTU_PER_GAL_DF)
        if told.hot_gal > 0
        else math.nan,
        outlet_high_f=float(told.outlet_f.max(initial=-math.inf)),
        hot_gal=told.hot_gal,
        starts=told.starts,
        never_lit=tuple(use.name for use in told.uses if not use.lit),
        summer_never_lit=tuple(use.name for use in summer if not use.lit),
        summer_unsteady=tuple(use.name for use in summer if use.lit and use.noticed),
        pause_coldest_f=None if paused is None else paused.coldest_f,
        pause_seconds_cold=None if paused is None else paused.seconds_cold,
        label_trouble=trouble,
    )
