"""What must hold among the verdicts on capacity of any household: ratings lead, people weigh, mornings agree."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.bench.household_run import HouseholdBench, capacity_on
from advisor.core.verdicts import FALLS_SHORT, KEEPS_UP, WITH_CARE
from advisor.heaters.candidates import with_parallel_units
from advisor.heaters.catalogue import catalogue
from advisor.heaters.hand_sizing import KEEPS_UP_MOST_PER_YR, WITH_CARE_MOST_PER_YR, hand_method
from advisor.heaters.keeping_up import settled
from tests.circumstances import circumstances, household_demand
from tests.houses import case_of

MODEST = settings(max_examples=12, deadline=None)
TODAY = date(2026, 11, 28)
RANK = {FALLS_SHORT: 0, WITH_CARE: 1, KEEPS_UP: 2}


@st.composite
def households(draw, most_people=7):
    """Arguments of ``met``: the weather, the set point and the people of a house."""
    return {
        "set_point_f": draw(st.sampled_from([115.0, 120.0, 130.0, 140.0])),
        "mains_f": draw(st.floats(36, 72)) + np.array([0, 1, 3, 7, 12, 16, 18, 18, 15, 10, 5, 2.0]),
        "air_f": draw(st.floats(46, 75)) + np.zeros(12),
        "altitude_frac": draw(st.sampled_from([1.0, 0.8, 0.66])),
        "people": draw(st.integers(1, most_people)),
        "full_baths": draw(st.integers(1, 3)),
    }


def met(people, full_baths, set_point_f, mains_f, **place):
    demand = household_demand(mains_f, people=people, full_baths=full_baths, set_point_f=set_point_f)
    return circumstances(set_point_f=set_point_f, mains_f=mains_f, demand=demand, **place)


def verdicts(house, **failed):
    """Every candidate of a house."""
    what_it_meets = met(**house)
    bench = HouseholdBench(what_it_meets)
    judged = with_parallel_units(list(catalogue()), lambda heater: capacity_on(bench, heater), TODAY)
    case = case_of({"household": {"people": house["people"]}, "failed": {"fuel": "natural_gas", **failed}})
    return settled(judged, case, what_it_meets.mornings)


@MODEST
@given(households(), st.sampled_from([None, "never", "sometimes", "often"]), st.sampled_from([30.0, 40.0, 50.0, 75.0]))
def test_a_tenth_more_rating_and_no_less_volume_never_has_a_worse_verdict(house, ran_out, size):
    tanks = [(h, c) for h, c in verdicts(house, ran_out=ran_out, size_gal=size) if h.is_storage and h.n_units == 1]
    for more, of_more in tanks:
        for less, of_less in tanks:
            # Of one kind any difference counts: nobody is told that a short tank does better than a tall one.
            ratio = 1.0 if (more.technology, more.fuel) == (less.technology, less.fuel) else 1.1
            if more.fhr_gal >= ratio * less.fhr_gal and more.rated_volume_gal >= less.rated_volume_gal:
                assert RANK[of_more.verdict] >= RANK[of_less.verdict], (more.id, less.id)
                assert of_more.short_mornings_per_yr <= of_less.short_mornings_per_yr, (more.id, less.id)


@MODEST
@given(households(most_people=6))
def test_more_people_never_have_a_better_verdict(house):
    fewer, more = (dict(verdicts(house | {"people": house["people"] + n})) for n in (0, 1))
    for heater, capacity in more.items():
        if heater in fewer:
            assert RANK[capacity.verdict] <= RANK[fewer[heater].verdict], heater.id


@MODEST
@given(households(), st.sampled_from([None, "never", "sometimes", "often"]))
def test_the_verdict_and_the_mornings_of_a_year_never_disagree(house, ran_out):
    judged = verdicts(house, ran_out=ran_out, size_gal=50.0)
    for heater, capacity in judged:
        mornings = capacity.short_mornings_per_yr
        assert (capacity.verdict == FALLS_SHORT) == (mornings > WITH_CARE_MOST_PER_YR), heater.id
        assert (capacity.verdict == KEEPS_UP) <= (mornings <= KEEPS_UP_MOST_PER_YR), heater.id
        if not capacity.needs_care:
            assert (capacity.verdict == KEEPS_UP) == (mornings <= KEEPS_UP_MOST_PER_YR), heater.id
    steady = [capacity for _, capacity in judged if not capacity.needs_care]
    for one in steady:
        for other in steady:
            if RANK[one.verdict] > RANK[other.verdict]:
                assert one.short_mornings_per_yr < other.short_mornings_per_yr


@MODEST
@given(households(), st.sampled_from(catalogue()))
def test_the_bench_moves_the_hand_method_by_a_step_at_most(house, heater):
    what_it_meets = met(**house)
    capacity = capacity_on(HouseholdBench(what_it_meets), heater)
    by_hand = hand_method(heater, what_it_meets)
    assert capacity.analytic_verdict == by_hand.verdict
    assert abs(RANK[capacity.verdict] - RANK[by_hand.verdict]) <= 1
    assert len(capacity.household_run.carries_frac) == (2 if heater.is_storage else 1)


def test_a_label_that_the_bench_cannot_return_gets_the_worse_of_both():
    house = {"set_point_f": 120.0, "mains_f": np.full(12, 45.0), "air_f": np.full(12, 65.0), "altitude_frac": 1.0}
    what_it_meets = met(people=4, full_baths=2, **house)
    odd = replace(next(h for h in catalogue() if h.id == "gas-tank-30"), id="own-1", fhr_gal=150.0)
    capacity = capacity_on(HouseholdBench(what_it_meets), odd)
    assert hand_method(odd, what_it_meets).verdict == KEEPS_UP
    assert capacity.household_run.label_trouble and capacity.verdict == FALLS_SHORT
