"""What must hold of the busy morning for every household and every candidate."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.bench.household_run import HouseholdBench, busy_morning, capacity_on, run_of_household
from advisor.core.verdicts import FALLS_SHORT, KEEPS_UP, WITH_CARE
from advisor.demand.busy_hour import Use, busy_hour_gal, simultaneous_hot_gpm
from advisor.heaters.catalogue import catalogue
from advisor.physics.water import hot_share_frac
from tests.circumstances import circumstances, household_demand

MODEST = settings(max_examples=50, deadline=None)
RANK = {FALLS_SHORT: 0, WITH_CARE: 1, KEEPS_UP: 2}


@st.composite
def some_uses(draw):
    count = draw(st.integers(1, 5))
    return Use(
        draw(st.sampled_from(["shower", "tap", "washer", "tub fill"])),
        draw(st.floats(0.5, 4.0)),
        draw(st.floats(1.0, 25.0)),
        draw(st.sampled_from([100.0, 105.0, 118.0])),
        count,
        draw(st.integers(0, count)),
    )


uses = st.lists(some_uses(), min_size=1, max_size=4, unique_by=lambda use: use.name)


@st.composite
def benches(draw, least_people=1, most_people=7):
    set_point = draw(st.floats(112, 140))
    mains = draw(st.floats(36, 72)) + np.array([0, 1, 3, 7, 12, 16, 18, 18, 15, 10, 5, 2.0])
    air = draw(st.floats(42, 75)) + np.zeros(12)
    household = {"people": draw(st.integers(least_people, most_people)), "full_baths": draw(st.integers(1, 3))}
    demand = household_demand(mains, **household, set_point_f=set_point)
    altitude_frac = draw(st.sampled_from([1.0, 0.8]))
    met = circumstances(set_point_f=set_point, mains_f=mains, air_f=air, altitude_frac=altitude_frac, demand=demand)
    return HouseholdBench(met)


@MODEST
@given(uses, st.floats(110, 140), st.floats(35, 75))
def test_the_morning_holds_the_busy_hour_and_never_more_at_once(some, set_point, inlet):
    """The hour's gallons are drawn, and at no moment flows more than the hand method counts together."""
    draws = busy_morning(some, set_point)
    share = hot_share_frac(draws.use_f, set_point, inlet)
    np.testing.assert_allclose((share * draws.gallons).sum(), busy_hour_gal(some, set_point, inlet), rtol=1e-9)
    hot = replace(draws, flow_gpm=share * draws.flow_gpm, use_f=np.full(len(draws), np.inf)).segments()
    together = [use for use in some if use.together > 0]
    alone = max((float(use.mixed_gpm) for use in some if use.together == 0), default=0.0)
    most = max(float(simultaneous_hot_gpm(together, set_point, inlet)), alone)
    assert hot[:, 4].max() <= most + 1e-6


@MODEST
@given(benches(), st.sampled_from([h for h in catalogue() if h.is_tankless]), st.integers(2, 3))
def test_more_units_never_fall_short_where_one_does_not(bench, heater, n_units):
    """One that keeps up alone may need care with others: a unit that joins sends its cold exchanger along."""
    one, more = (capacity_on(bench, replace(heater, n_units=n)) for n in (1, n_units))
    assert RANK[more.verdict] >= min(RANK[one.verdict], RANK[WITH_CARE])


@MODEST
@given(benches(), st.sampled_from(catalogue()))
def test_what_is_seen_keeps_its_bounds(bench, heater):
    """Minutes within those that run, temperatures between the coldest thing and a hot tank, margins in their order."""
    found, met = run_of_household(bench, heater), bench.circumstances
    ran = float(bench.draws.minutes.sum())
    assert 0 <= found.minutes_short <= ran + 1e-6
    coldest = min(float(met.mains_f.min()), float(met.air_f.min()))
    assert coldest - 1e-6 <= found.outlet_low_f <= found.outlet_high_f <= met.set_point_f + 40
    assert set(found.noticed_by) <= set(found.short_uses) | set(bench.draws.name)
    assert not set(found.never_lit) & set(found.noticed_by)
    assert all(share > 0 for share in found.carries_frac)
    assert run_of_household(bench, heater) == found
