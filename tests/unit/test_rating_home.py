"""The reference home by hand. The constants of ANSI/RESNET/ICC 301 are quoted from memory, unverified."""

import pytest

from advisor.demand.rating_home import (
    clothes_washer_gpd,
    dishwasher_gpd,
    fixture_use_gpd,
    pipe_waste_frac,
    pipe_waste_gpd,
    reference_home_gpd,
)


def test_three_bedrooms_by_hand():
    """Fixtures 14.6 + 30; waste 9.8 x 3^0.43 = 9.8 x 1.603845; dishwasher 193.1 x 8.16 / 365; washer 303.5 loads times
    7.83 / 7.56792, 4.52 gal each. At 125 and 58 °F the hot share is 47/67."""
    assert fixture_use_gpd(3.0) == pytest.approx(44.6)
    assert pipe_waste_gpd(3.0) == pytest.approx(15.71768, rel=1e-5)
    assert dishwasher_gpd(3.0) == pytest.approx(4.316975, rel=1e-5)
    assert clothes_washer_gpd(3.0) == pytest.approx(3.888539, rel=1e-5)
    by_hand = 4.316975 + 3.888539 + 47 / 67 * (44.6 + 15.71768)
    assert reference_home_gpd(3.0, 125.0, 58.0) == pytest.approx(by_hand, rel=1e-5)


@pytest.mark.parametrize(
    ("pipes", "waste_frac"),
    [
        ({}, 1.0),
        ({"is_insulated": True}, 0.25 + 0.75 * 0.90),
        ({"recirculation": "always"}, 0.25 + 0.75 * 0.111),
        ({"recirculation": "button", "is_insulated": True}, 0.25 + 0.75 * 0.10),
    ],
)
def test_waste_of_the_pipes(pipes, waste_frac):
    """A quarter stays; of the rest insulation saves a tenth, and a loop leaves a tenth, of 1.11 where it is bare."""
    assert pipe_waste_frac(**pipes) == pytest.approx(waste_frac)
