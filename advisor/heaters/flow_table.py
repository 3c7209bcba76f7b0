"""How much hot water a heater gives without an end: by temperature rise, and by the month's cold water."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.circumstances import Circumstances
from advisor.core.units import MIN_PER_H
from advisor.heaters.catalogue import Heater
from advisor.heaters.hand_sizing import flow_inputs, input_frac, least_flow_gpm, local_max_flow_gpm, rated_recovery_gph
from advisor.heaters.rating import TEST_RISE_DF

#: The rises of a flow table, from a warm supply to the coldest (our own choice). [°F]
RISES_DF = (35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 65.0, 70.0, 75.0, 80.0, 85.0, 90.0)


@dataclass(frozen=True)
class Flow:
    """What a heater gives at one rise.

    Parameters
    ----------
    rise_df : float
        Set point less cold water. [°F]
    gives_gpm : float
        Flow that it heats by that without an end: a tankless heater's flow, a tank's recovery. [gpm]
    least_gpm : float or None
        Least flow that it holds steady; None for a tank. [gpm]
    """

    rise_df: float
    gives_gpm: float
    least_gpm: float | None


def at_rise(heater: Heater, circumstances: Circumstances, rise_df: float) -> Flow:
    """What a heater, all its units, gives at a rise in this house.

    Parameters
    ----------
    heater : Heater
        ``n_units`` add up; the least flow is that of one alone.
    circumstances : Circumstances
        Height and voltage.
    rise_df : float
        [°F]
    """
    if heater.is_tankless:
        gives = float(local_max_flow_gpm(rise_df=rise_df, **flow_inputs(heater, circumstances)))
        return Flow(rise_df, gives, least_flow_gpm(heater, rise_df))
    recovery = rated_recovery_gph(heater) * input_frac(heater, circumstances) * heater.n_units
    return Flow(rise_df, recovery * TEST_RISE_DF / rise_df / MIN_PER_H, None)


def by_month(heater: Heater, circumstances: Circumstances) -> tuple[Flow, ...]:
    """The same with the cold water of each month, from January."""
    rises = (max(circumstances.set_point_f - float(mains_f), 1.0) for mains_f in circumstances.mains_f)
    return tuple(at_rise(heater, circumstances, rise) for rise in rises)
