"""What must hold for every household."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.case.people import equivalent_bedrooms, usual_people
from advisor.demand import busy_hour as bh
from advisor.demand import daily_volume as dv
from tests.circumstances import household_demand

quick = settings(max_examples=50, deadline=None)
people = st.integers(1, 12)
baths = st.integers(1, 6)
set_point = st.floats(106, 160)
mains = st.floats(33, 90)
flow = st.floats(0.3, 12)
tub = st.one_of(st.none(), st.floats(20, 200))


@quick
@given(people, baths, set_point, mains, tub)
def test_more_people_never_need_fewer_gallons(n, full_baths, set_point_f, mains_f, tub_gal):
    one, more = (
        household_demand(
            people=count,
            full_baths=full_baths,
            set_point_f=set_point_f,
            mains_f=mains_f,
            soaking_tub_gal=tub_gal,
        )
        for count in (n, n + 1)
    )
    assert np.all(more.daily_gal > one.daily_gal)
    assert more.busy_hour_gal >= one.busy_hour_gal
    assert more.simultaneous_gpm >= one.simultaneous_gpm
    assert more.worksheet.gal >= one.worksheet.gal


@quick
@given(st.floats(0, 12), set_point, mains, st.floats(0, 30), st.floats(10, 90))
def test_colder_mains_never_need_fewer_hot_gallons(count, set_point_f, mains_f, colder_df, annual_air_f):
    cold = dv.hot_water_gpd(count, set_point_f, mains_f - colder_df, annual_air_f)
    assert cold >= dv.hot_water_gpd(count, set_point_f, mains_f, annual_air_f) - 1e-9


@quick
@given(flow, st.floats(80, 160), st.floats(90, 180), mains)
def test_hot_is_never_more_than_mixed(mixed_gpm, use_f, set_point_f, mains_f):
    hot = bh.hot_flow_gpm(mixed_gpm, use_f, set_point_f, mains_f)
    assert 0 <= hot <= mixed_gpm


@quick
@given(flow, set_point, mains, st.floats(95, 105))
def test_mixing_balances(mixed_gpm, set_point_f, mains_f, use_f):
    """Hot and cold streams add up to the mixed one, in volume and in heat."""
    hot = bh.hot_flow_gpm(mixed_gpm, use_f, set_point_f, mains_f)
    heat = hot * set_point_f + (mixed_gpm - hot) * mains_f
    np.testing.assert_allclose(heat, mixed_gpm * use_f, rtol=1e-9)


@quick
@given(people, baths, set_point, mains)
def test_a_hotter_set_point_never_needs_more_gallons(n, full_baths, set_point_f, mains_f):
    uses, hotter = (bh.default_busy_hour(n, full_baths, set_point_f=f) for f in (set_point_f, set_point_f + 10))
    assert bh.busy_hour_gal(hotter, set_point_f + 10, mains_f) <= bh.busy_hour_gal(uses, set_point_f, mains_f) + 1e-9


@quick
@given(people, baths)
def test_no_more_showers_at_once_than_there_are(n, full_baths):
    for use in bh.default_busy_hour(n, full_baths, set_point_f=120.0):
        assert 0 <= use.together <= use.count or use.name == "faucet"
    assert bh.showers_at_once(n, full_baths) <= full_baths


@quick
@given(st.floats(1, 12))
def test_people_and_bedrooms_turn_round(count):
    np.testing.assert_allclose(usual_people(equivalent_bedrooms(count)), count, rtol=1e-12)
