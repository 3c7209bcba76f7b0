"""Daily volume: one house and many give the same answer, and bad input is named."""

import numpy as np
import pytest

from advisor.case.people import equivalent_bedrooms, usual_people
from advisor.core.errors import InputError
from advisor.core.published import Published
from advisor.core.units import suffix_of
from advisor.demand import daily_volume as dv
from advisor.demand import rating_home as rh

MAINS = np.array([45.0, 46, 49, 54, 60, 66, 70, 71, 68, 62, 55, 49])


@pytest.mark.parametrize(
    "formula",
    [
        usual_people,
        equivalent_bedrooms,
        rh.fixture_use_gpd,
        rh.pipe_waste_gpd,
        rh.dishwasher_gpd,
        rh.clothes_washer_gpd,
        rh.reference_home_gpd,
        dv.line_gpd,
        dv.climate_frac,
        dv.hot_water_gpd,
    ],
)
def test_a_scalar_gives_what_an_array_gives(formula):
    published: Published = formula.__published__
    assert suffix_of(formula.__name__) and all(suffix_of(name) for name in published.example)
    one = formula(**published.example)
    many = formula(**{name: np.full(3, value) for name, value in published.example.items()})
    assert np.ndim(one) == 0
    np.testing.assert_array_equal(many, np.full(3, one))


AIR_F = 52.0


def test_months_of_one_house_and_of_many():
    one = dv.hot_gal_per_day_by_month(3.0, MAINS, 120.0, annual_air_f=AIR_F)
    assert one.shape == (12,)
    many = dv.hot_gal_per_day_by_month(
        np.array([1.0, 3.0]),
        np.stack([MAINS, MAINS]),
        np.array([125.0, 120.0]),
        annual_air_f=np.array([60.0, AIR_F]),
        has_low_flow_fixtures=[True, False],
    )
    assert many.shape == (2, 12)
    np.testing.assert_allclose(many[1], one, rtol=1e-12)
    for month, mains_f in enumerate(MAINS):
        assert one[month] == pytest.approx(dv.hot_water_gpd(3.0, 120.0, mains_f, AIR_F), rel=1e-12)


def test_low_flow_touches_only_fixtures():
    machines = dv.machines_gpd(3.0, AIR_F)
    standard, low = (
        dv.hot_gal_per_day_by_month(3.0, MAINS, 120.0, annual_air_f=AIR_F, has_low_flow_fixtures=flag) - machines
        for flag in (False, True)
    )
    np.testing.assert_allclose(low / standard, 0.95, rtol=1e-12)


def test_the_line_is_met_where_it_was_drawn():
    # 17.5 and 10.0 of the table, at 120 °F, cold water of 50 °F and a yearly mean air of 50 °F.
    assert dv.hot_water_gpd(3.0, 120.0, 50.0, 50.0) == pytest.approx(17.5 + 3 * 10.0, rel=1e-12)
    # By hand: 32 x 55/70 + 26 x 0.5 + 23 x 0.22 + 2 = 45.2 gal, of which the machines draw 7.06.
    assert dv.machines_gpd(3.0, 50.0) == pytest.approx(47.5 * 7.06 / 45.2029, rel=1e-5)


def test_a_hot_tank_low_flow_and_covered_pipes_by_hand():
    """140 °F, cold water of 60 °F: the hot share of a shower is 45/80 instead of 55/70, 0.71591 times as much.

    Of 45.203 gal 25.143 are mixed, 13 at taps, 7.06 in machines. A quarter, 0.26058, of the fixtures' is wasted in the
    pipes, of which covering them leaves 0.925, and low flow 0.95 of it all: 0.93143 x (0.55622 x 0.71591 + 0.28759) +
    0.15618 = 0.79496 of 47.5 gal.
    """
    found = dv.hot_water_gpd(3.0, 140.0, 60.0, 50.0, fixture_frac=0.95, waste_frac=0.925)
    assert found == pytest.approx(37.7606, abs=1e-3)
    # A place of 60 °F, 0.124 in the logarithm for 10 °F.
    assert dv.climate_frac(60.0) == pytest.approx(1.13202, abs=1e-5)


def test_the_climate_is_held_beyond_the_survey():
    assert dv.climate_frac(50.0) == 1.0
    assert dv.climate_frac(20.0) == dv.climate_frac(43.0) < 1 < dv.climate_frac(73.0) == dv.climate_frac(80.0)


def test_who_they_are_moves_the_gallons():
    assert dv.counted_people(4) == 4
    # By hand: (2 + 2 x 0.6)/0.93.
    assert dv.counted_people(4, 2) == pytest.approx(3.2 / 0.93)
    assert dv.counted_people(4, 2) < dv.counted_people(5, 3) < dv.counted_people(5, 2)
    at_home, away = (dv.line_gpd(dv.counted_people(4, None, flag)) for flag in (True, False))
    assert at_home / dv.line_gpd(4) == pytest.approx(1.08) and away / dv.line_gpd(4) == pytest.approx(0.92)


def test_a_loop_saves_water():
    assert rh.pipe_waste_frac() == 1.0
    assert rh.pipe_waste_frac(is_insulated=True) == pytest.approx(0.25 + 0.75 * 0.9)
    for control in ("always", "timer", "temperature", "presence", "button"):
        assert rh.pipe_waste_frac(recirculation=control) < rh.pipe_waste_frac(is_insulated=True)


def test_an_unknown_control_is_named():
    with pytest.raises(InputError, match="water.recirculation = 'magic': there is no such control") as caught:
        rh.pipe_waste_frac(recirculation="magic")
    assert "always" in str(caught.value)
