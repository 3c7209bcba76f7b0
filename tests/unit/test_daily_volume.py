"""Daily volume: one house and many give the same answer, and bad input is named."""

import numpy as np
import pytest

from advisor.core.errors import InputError
from advisor.core.published import Published
from advisor.core.units import suffix_of
from advisor.demand import daily_volume as dv

MAINS = np.array([45.0, 46, 49, 54, 60, 66, 70, 71, 68, 62, 55, 49])


@pytest.mark.parametrize(
    "formula",
    [
        dv.usual_people,
        dv.equivalent_bedrooms,
        dv.fixture_use_gpd,
        dv.pipe_waste_gpd,
        dv.dishwasher_gpd,
        dv.clothes_washer_gpd,
        dv.hot_water_gpd,
        dv.protocol_hot_water_gpd,
    ],
)
def test_a_scalar_gives_what_an_array_gives(formula):
    published: Published = formula.__published__
    assert suffix_of(formula.__name__) and all(suffix_of(name) for name in published.example)
    one = formula(**published.example)
    many = formula(**{name: np.full(3, value) for name, value in published.example.items()})
    assert np.ndim(one) == 0
    np.testing.assert_array_equal(many, np.full(3, one))


def test_months_of_one_house_and_of_many():
    one = dv.hot_gal_per_day_by_month(3.0, MAINS, 120.0)
    assert one.shape == (12,)
    many = dv.hot_gal_per_day_by_month(
        np.array([1.0, 3.0]), np.stack([MAINS, MAINS]), np.array([125.0, 120.0]), has_low_flow_fixtures=[True, False]
    )
    assert many.shape == (2, 12)
    np.testing.assert_allclose(many[1], one, rtol=1e-12)
    for month, mains_f in enumerate(MAINS):
        assert one[month] == pytest.approx(dv.hot_water_gpd(3.0, 120.0, mains_f), rel=1e-12)


def test_low_flow_touches_only_fixtures():
    machines = dv.dishwasher_gpd(3.0) + dv.clothes_washer_gpd(3.0)
    standard, low = (
        dv.hot_gal_per_day_by_month(3.0, MAINS, 120.0, has_low_flow_fixtures=flag) - machines for flag in (False, True)
    )
    np.testing.assert_allclose(low / standard, 0.95, rtol=1e-12)


def test_a_loop_saves_water():
    assert dv.pipe_waste_frac() == 1.0
    assert dv.pipe_waste_frac(is_insulated=True) == pytest.approx(0.25 + 0.75 * 0.9)
    for control in ("always", "timer", "temperature", "presence", "button"):
        assert dv.pipe_waste_frac(recirculation=control) < dv.pipe_waste_frac(is_insulated=True)


def test_an_unknown_control_is_named():
    with pytest.raises(InputError, match="water.recirculation = 'magic': there is no such control") as caught:
        dv.pipe_waste_frac(recirculation="magic")
    assert "always" in str(caught.value)
