"""Warm water without power."""

import math

import pytest

from advisor.core.kinds import Technology
from advisor.house.electrical.power_cut import power_cut, warm_water_h
from tests.houses import said


def test_edges_of_cooling():
    assert warm_water_h(45, 3, 104, 67.5, 105) == 0
    assert math.isinf(warm_water_h(45, 3, 125, 110, 105))
    assert math.isinf(warm_water_h(45, 3, 125, 105, 105))
    assert math.isinf(warm_water_h(45, 3, 105, 105, 105))
    assert warm_water_h(45, 3, 105, 67.5, 105) == 0


def test_behavior_by_kind():
    tankless = Technology.named("gas_tankless_condensing")
    assert power_cut(tankless, volume_gal=1, loss_btuh_per_df=3, tank_f=125, room_f=67.5).warm_h == 0
    plain = Technology.named("electric_storage_resistance")
    tank = power_cut(plain, volume_gal=45, loss_btuh_per_df=3, tank_f=125, room_f=67.5)
    assert tank.warm_h == pytest.approx(52.8, abs=0.1)
    assert "about 53 hours" in said(tank.findings)
    # A label that leaves nothing to be lost tells no hours.
    none = power_cut(plain, volume_gal=45, loss_btuh_per_df=0.0, tank_f=125, room_f=67.5)
    assert none.warm_h == 0 and len(none.findings) == 1
