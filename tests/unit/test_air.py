"""Air at the heater and the derating of gas input."""

import numpy as np
import pytest

from advisor.core import tables
from advisor.core.errors import InputError
from advisor.place.air import (
    INDOOR_F,
    altitude_frac,
    heater_air_f,
    heater_spaces,
)

CHICAGO = np.array([26.0, 28.3, 38.0, 48.7, 59.5, 69.5, 74.1, 73.2, 66.2, 54.2, 41.7, 30.9])


def test_every_space_that_a_heater_stands_in_is_known():
    assert set(heater_spaces()) == {
        "basement",
        "garage",
        "attic",
        "closet",
        "indoors",
        "outdoors",
        "crawl_space",
    }


def test_the_shares_of_every_space_make_a_whole():
    for row in tables.load("heater_spaces").rows():
        assert row["outdoor_frac"] + row["ground_frac"] + row["indoor_frac"] == pytest.approx(1.0)


def test_outdoors_is_the_outdoor_air_and_indoors_the_rooms():
    assert np.array_equal(heater_air_f("outdoors", CHICAGO), CHICAGO)
    assert np.array_equal(heater_air_f("indoors", CHICAGO), np.full(12, INDOOR_F))


def test_a_basement_is_half_way_between_the_rooms_and_the_ground():
    assert np.allclose(heater_air_f("basement", CHICAGO), (70.0 + CHICAGO.mean()) / 2)


def test_a_garage_is_warmer_than_outdoors_in_winter_and_no_cooler_in_a_hot_summer():
    garage = heater_air_f("garage", CHICAGO)
    assert garage[0] > CHICAGO[0] + 10
    assert heater_air_f("garage", np.full(12, 86.0))[0] >= 86.0


@pytest.mark.parametrize("space", heater_spaces())
def test_one_house_and_many_give_the_same(space):
    houses = np.stack([CHICAGO, CHICAGO + 7])
    one_by_one = np.stack([heater_air_f(space, house) for house in houses])
    assert np.array_equal(heater_air_f(space, houses), one_by_one)


def test_an_unknown_space_is_refused():
    with pytest.raises(InputError) as caught:
        heater_air_f("roof", CHICAGO)
    assert caught.value.field == "house.heater_space"
    assert "basement" in caught.value.fix


def test_a_number_and_an_array_give_the_same():
    values = np.array([10.0, 2500.0, 9000.0])
    assert np.array_equal(altitude_frac(values), [altitude_frac(value) for value in values])
    assert isinstance(altitude_frac(70.0), float)


def test_gas_input_is_whole_up_to_two_thousand_feet_and_not_above():
    assert altitude_frac(2000.0) == 1.0
    assert altitude_frac(-100.0) == 1.0
    # 4 % for each 1,000 ft: 2,500 ft take 10 %, 15,000 ft 60 %.
    assert altitude_frac([2000.1, 2500.0, 15_000.0]) == pytest.approx([0.92, 0.90, 0.40], abs=1e-5)
    assert np.isnan(altitude_frac(15_001.0))
