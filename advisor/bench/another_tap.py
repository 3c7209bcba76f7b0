"""What if another tap opens now? A draw on the bench that grows and shrinks while somebody showers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.bench.household_run import HouseholdBench
from advisor.bench.morning import TOLERANCE_DF
from advisor.demand.events import morning
from advisor.heaters.catalogue import Heater

#: The shower runs alone, then the other tap beside it, then alone again (our own choice). [min]
ALONE_MIN, BESIDE_MIN, AFTER_MIN = 4.0, 3.0, 3.0


@dataclass(frozen=True)
class OtherTap:
    """The outlet while another tap opens and shuts.

    Parameters
    ----------
    time_min, outlet_f, hot_gpm : ndarray
        Trace from the first tap on: clock, outlet of the heater, flow through it.
    opens_min, shuts_min : float
        When the other tap opens and shuts. [min]
    before_f : float
        Outlet in the half minute before it opens. [°F]
    lowest_f, highest_f : float
        From its opening until a minute after it has shut. [°F]
    settled_f : float
        Outlet in the half minute before it shuts. [°F]
    off_s : float
        How long the outlet is more than a degree below what it was before, while both run. [s]
    """

    time_min: np.ndarray
    outlet_f: np.ndarray
    hot_gpm: np.ndarray
    opens_min: float
    shuts_min: float
    before_f: float
    lowest_f: float
    highest_f: float
    settled_f: float
    off_s: float


def another_tap(bench: HouseholdBench, heater: Heater, *, other_gpm: float) -> OtherTap:
    """A winter's shower, and another tap that opens beside it.

    Parameters
    ----------
    bench : HouseholdBench
        The household, whose shower runs.
    heater : Heater
        The heater.
    other_gpm : float
        Flow of the other tap, mixed to the temperature of the shower. [gpm]
    """
    shuts = ALONE_MIN + BESIDE_MIN
    rows = [
        ("shower", 0.0, shuts + AFTER_MIN, bench.demand.shower.mixed_gpm, bench.skin_f),
        ("other tap", ALONE_MIN, BESIDE_MIN, other_gpm, bench.skin_f),
    ]
    run = bench.run(heater, morning(rows))
    clock, outlet = run.time_min, run.outlet_f
    both = (clock >= ALONE_MIN) & (clock < shuts)
    seen = (clock >= ALONE_MIN) & (clock < shuts + 1)
    before = float(outlet[(clock >= ALONE_MIN - 0.5) & (clock < ALONE_MIN)].mean())
    step_min = float(np.median(np.diff(clock)))
    return OtherTap(
        clock,
        outlet,
        run.hot_gpm,
        ALONE_MIN,
        shuts,
        before,
        float(outlet[seen].min()),
        float(outlet[seen].max()),
        float(outlet[both & (clock >= shuts - 0.5)].mean()),
        float((outlet[both] < before - TOLERANCE_DF).sum() * step_min * 60),
    )
