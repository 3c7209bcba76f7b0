"""Circumstances for tests of single parts: a plain household in a plain place, changed by key."""

from dataclasses import replace

import numpy as np

from advisor.case.house import Water
from advisor.case.record import Household
from advisor.circumstances import Circumstances
from advisor.demand.household import SteadyFlow, demand_of

_BY_MONTH = ("mains_f", "air_f", "wet_bulb_f", "outdoor_f")
PLAIN = {
    "set_point_f": 120.0,
    "use_f": 105.0,
    "mains_f": 55.0,
    "air_f": 65.0,
    "wet_bulb_f": 54.0,
    "outdoor_f": 50.0,
    "elevation_ft": 0.0,
    "altitude_frac": 1.0,
    "heater_space": "basement",
    "us_state": "MN",
}


def household_demand(mains_f=55.0, *, annual_air_f=50.0, uses=(), recirculation="none", **household):
    """The demand of a household; a single temperature of the cold water stands for twelve months."""
    water, mains_f = Water(recirculation=recirculation), np.asarray(mains_f) + np.zeros(12)
    return demand_of(Household(**household), water, mains_f, annual_air_f, uses)


def circumstances(*, daily_gal=None, **changes):
    """What a heater meets; single numbers stand for twelve months."""
    known = PLAIN | {"demand": household_demand(people=3)} | changes
    known |= {name: known[name] + np.zeros(12) for name in _BY_MONTH}
    if daily_gal is not None:
        known["demand"] = replace(known["demand"], daily_gal=daily_gal + np.zeros(12))
    return Circumstances(**known)


def asking(met, *, summer_shower_gpm=None, **changes):
    """The same circumstances with another demand."""
    if summer_shower_gpm is not None:
        changes["steady_flows"] = (SteadyFlow("shower", 2.1, summer_shower_gpm, summer_shower_gpm),)
    return replace(met, demand=replace(met.demand, **changes))
