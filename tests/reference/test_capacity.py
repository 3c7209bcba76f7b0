"""Will it keep up: published hand methods and facts of the trade.

The trade counts 500 Btu an hour for each gallon a minute and degree; the test method's water (8.24 lb/gal) gives 494.4.
Tables made with 500 are compared after that one factor, so that the tolerance is their printed rounding alone.
"""

from dataclasses import replace

import numpy as np
import pytest

from advisor.core.units import BTU_PER_KWH
from advisor.core.verdicts import FALLS_SHORT, KEEPS_UP, WITH_CARE
from advisor.demand.busy_hour import Use, simultaneous_hot_gpm
from advisor.heaters.catalogue import by_id, catalogue
from advisor.heaters.hand_sizing import (
    least_steady_flow_gpm,
    local_first_hour_gal,
    local_max_flow_gpm,
    rated_recovery_gph,
    storage_capacity,
    tankless_capacity,
)
from advisor.heaters.rating import TEST_RISE_DF
from advisor.physics.water import TEST_BTU_PER_GAL_DF, heated_flow_gpm
from advisor.place.air import altitude_frac
from tests.circumstances import asking, circumstances

TEST_OVER_TRADE = 60 * TEST_BTU_PER_GAL_DF / 500
#: Trade tables of recovery weigh a gallon cold.
TRADE_LB_PER_GAL = 8.33
TANKS = [heater for heater in catalogue() if heater.is_storage]


def _name(heater):
    return heater.id


# --- tankless ----------------------------------------------------------------------------------------------------


def test_published_example_of_sizing_a_tankless_heater():
    # US Department of Energy consumer guidance, seen second-hand: a faucet of 0.75 and a shower of 2.5 gpm ask for
    # 3.25 gpm at a 70 F rise, 120 F from 50 F. It counts the mixed shower as all hot: so do we, here only.
    uses = (Use("faucet", 0.75, 1.0, use_f=120.0), Use("shower", 2.5, 10.0, use_f=120.0))
    asked = float(simultaneous_hot_gpm(uses, 120.0, 50.0))
    assert asked == pytest.approx(3.25, abs=1e-9)

    def judged(heater_id):
        flows = {"simultaneous_gpm": asked, "summer_shower_gpm": 2.5, "smallest_summer_gpm": 0.75}
        return tankless_capacity(by_id(heater_id), asking(circumstances(mains_f=50.0), **flows))

    # The same page: gas heaters give about 5 gpm and electric ones about 2 at that rise. Whole gallons of a general
    # statement, so half a gallon either way; the largest gas heaters and a common electric one.
    assert judged("gas-tankless-199").deliverable == pytest.approx(5, abs=0.5)
    assert judged("electric-tankless-24").deliverable == pytest.approx(2, abs=0.5)
    assert judged("gas-tankless-199").verdict == KEEPS_UP
    assert judged("electric-tankless-24").verdict == FALLS_SHORT


_RISES_DF = np.array([40, 50, 60, 70, 77, 80])
_GLANCE = {
    # Input in Btu/h, efficiency; gpm at the rises above. Derived with 500, printed to 0.01.
    (199_000, 0.95): (9.45, 7.56, 6.30, 5.40, 4.91, 4.73),
    (199_000, 0.82): (8.16, 6.53, 5.44, 4.66, 4.24, 4.08),
    (180_000, 0.82): (7.38, 5.90, 4.92, 4.22, 3.83, 3.69),
    (160_000, 0.82): (6.56, 5.25, 4.37, 3.75, 3.41, 3.28),
    (120_000, 0.82): (4.92, 3.94, 3.28, 2.81, 2.56, 2.46),
    (36 * BTU_PER_KWH, 0.99): (6.08, 4.86, 4.05, 3.47, None, 3.04),
    (27 * BTU_PER_KWH, 0.99): (4.56, 3.65, 3.04, 2.61, None, 2.28),
    (24 * BTU_PER_KWH, 0.99): (4.05, 3.24, 2.70, 2.32, None, 2.03),
    (18 * BTU_PER_KWH, 0.99): (3.04, 2.43, 2.03, 1.74, None, 1.52),
    (13.5 * BTU_PER_KWH, 0.99): (2.28, 1.82, 1.52, 1.30, None, 1.14),
    (11 * BTU_PER_KWH, 0.99): (1.86, 1.49, 1.24, 1.06, None, 0.93),
}


@pytest.mark.parametrize(("input_btuh", "efficiency"), _GLANCE)
def test_capacity_at_a_glance(input_btuh, efficiency):
    # Common practice, no published source: input x efficiency / (500 x rise), worked separately.
    printed = np.array([np.nan if flow is None else flow for flow in _GLANCE[input_btuh, efficiency]])
    found = heated_flow_gpm(input_btuh * efficiency, _RISES_DF) * TEST_OVER_TRADE
    known = ~np.isnan(printed)
    np.testing.assert_allclose(found[known], printed[known], atol=0.0051)


@pytest.mark.parametrize("heater_id", ["gas-tankless-180", "gas-tankless-condensing-199", "electric-tankless-27"])
def test_labelled_flow_moves_along_the_same_curve(heater_id):
    # 10 CFR 430 subpart B appendix E sec. 6.2: the label is the flow at a 67 F rise, so any other rise follows from the
    # heat balance. The catalogue's flows are printed to 0.1 and agree with their inputs within 1.5 %.
    heater = by_id(heater_id)
    by_balance = heated_flow_gpm(heater.power_btuh * heater.recovery_frac, _RISES_DF)
    np.testing.assert_allclose(local_max_flow_gpm(heater.max_gpm, _RISES_DF), by_balance, rtol=0.015)
    assert local_max_flow_gpm(heater.max_gpm, TEST_RISE_DF) == heater.max_gpm


_LEAST_RISES_DF = np.arange(40, 81, 5)
_LEAST_FLOW = {
    # Lowest fire in Btu/h, efficiency; gpm at 40 to 80 F. Derived with 500, printed to 0.01.
    (19_900, 0.82): (0.82, 0.73, 0.65, 0.59, 0.54, 0.50, 0.47, 0.44, 0.41),
    (19_900, 0.95): (0.95, 0.84, 0.76, 0.69, 0.63, 0.58, 0.54, 0.50, 0.47),
    (39_800, 0.82): (1.63, 1.45, 1.31, 1.19, 1.09, 1.00, 0.93, 0.87, 0.82),
    (199_000 / 15, 0.95): (0.63, 0.56, 0.50, 0.46, 0.42, 0.39, 0.36, 0.34, 0.32),
}


@pytest.mark.parametrize(("min_input_btuh", "efficiency"), _LEAST_FLOW)
def test_least_steady_flow(min_input_btuh, efficiency):
    # Common practice, no published source: the lowest fire over 500 x rise, worked separately.
    found = least_steady_flow_gpm(min_input_btuh, efficiency, _LEAST_RISES_DF) * TEST_OVER_TRADE
    np.testing.assert_allclose(found, _LEAST_FLOW[min_input_btuh, efficiency], atol=0.0051)


def test_least_flow_as_the_field_says_it():
    # Common practice, no published source: 199,000 Btu/h that turns down ten to one holds no less than 0.95 gpm at a
    # 40 F rise and 0.48 at 80 F. 0.01: printed rounding, and 500 for 494.
    flow = least_steady_flow_gpm(199_000 / 10, 0.95, np.array([40.0, 80.0]))
    np.testing.assert_allclose(flow, [0.95, 0.48], atol=0.011)


# --- tanks -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("heater", TANKS, ids=_name)
def test_first_hour_correction_returns_the_label(heater):
    # 10 CFR 430 subpart B appendix E sec. 5.3.3: the rating is taken at 125 - 58 = 67 F. Exact there, and at sea level.
    test_room = circumstances(set_point_f=125.0, mains_f=np.linspace(58.0, 75.0, 12))
    found = storage_capacity(heater, asking(test_room, busy_hour_gal=40.0))
    assert found.deliverable == pytest.approx(heater.fhr_gal, rel=1e-12)
    rises = np.array([50.0, 67.0, 90.0])
    warm, rated, cold = local_first_hour_gal(heater.fhr_gal, rated_recovery_gph(heater), heater.rated_volume_gal, rises)
    assert cold <= rated <= warm


@pytest.mark.parametrize("heater", TANKS, ids=_name)
def test_first_hour_is_near_the_rule_of_thumb(heater):
    # Trade rule 0.7 x volume + recovery, seen second-hand; a handbook has 60 to 80 % usable (from memory). A fit of its
    # form explains 43 % of the spread of certified condensing tanks: the label always rules. Bands are our reading:
    # 20 % where it is meant for (natural draft, power vent, electric), 30 % where a strong burner outruns the 3 gpm of
    # the test or a heat pump's slow recovery is counted.
    rule = 0.7 * heater.rated_volume_gal + rated_recovery_gph(heater)
    plain = {"gas_storage_atmospheric", "gas_storage_power_vent", "electric_storage_resistance"}
    assert heater.fhr_gal / rule == pytest.approx(1.0, abs=0.20 if heater.technology.id in plain else 0.30)


@pytest.mark.parametrize(("rise_df", "printed_gph"), [(60, 30.7), (70, 26.3), (80, 23.0), (90, 20.5), (100, 18.4)])
def test_published_recovery_of_an_electric_tank(rise_df, printed_gph):
    # 4,500 W, all of it into the water; trade table seen second-hand, at 8.33 lb/gal, printed to 0.1.
    recovery = rated_recovery_gph(by_id("electric-tank-50")) * TEST_RISE_DF / rise_df
    assert recovery * 8.24 / TRADE_LB_PER_GAL == pytest.approx(printed_gph, abs=0.051)
    # As it stands, counted in hot gallons of the test method, it reads 1.1 % higher.
    assert recovery == pytest.approx(printed_gph, rel=0.014)


@pytest.mark.parametrize("heater", TANKS, ids=_name)
def test_catalogue_recovery_is_the_recovery_used(heater):
    # Catalogues print recovery at a 90 F rise and 8.33 lb/gal (common practice). Whole gallons; an electric element is
    # counted at 0.98 there and at 1 here: 0.6 gal. A heat pump of 240 V is printed with compressor and element together
    # while the hour is judged by its element alone: never better than printed.
    used = rated_recovery_gph(heater) * TEST_RISE_DF / 90 * 8.24 / TRADE_LB_PER_GAL
    if heater.technology.has_backup_element:
        assert 0.7 * heater.recovery_gph <= used <= heater.recovery_gph
    else:
        assert used == pytest.approx(heater.recovery_gph, abs=0.6)


_RECOVERY = {
    # Input in Btu/h, efficiency; gal/h at 60, 70, 77, 90 and 100 F, worked separately at 8.25 lb/gal.
    (40_000, 0.76): (61.4, 52.6, 47.9, 40.9, 36.8),
    (40_000, 0.80): (64.6, 55.4, 50.4, 43.1, 38.8),
    (50_000, 0.80): (80.8, 69.3, 63.0, 53.9, 48.5),
    (76_000, 0.90): (138, 118, 108, 92.1, 82.9),
}


@pytest.mark.parametrize(("input_btuh", "efficiency"), _RECOVERY)
def test_recovery_table(input_btuh, efficiency):
    # Printed to three figures: half a unit of the last, after the step from 8.24 to 8.25 lb/gal.
    tank = replace(by_id("gas-tank-40"), input_btuh=input_btuh, recovery_frac=efficiency)
    found = rated_recovery_gph(tank) * TEST_RISE_DF / np.array([60, 70, 77, 90, 100]) * 8.24 / 8.25
    printed = np.array(_RECOVERY[input_btuh, efficiency])
    assert np.all(np.abs(found - printed) <= np.where(printed >= 100, 0.51, 0.051))


def test_plug_in_heat_pump_recovers_slowly():
    # Compressors give 4,500 to 8,500 Btu/h (from memory, unverified): 8 to 15 gal/h at a 67 F rise, a third of an
    # electric tank.
    plug_in, electric = by_id("heat-pump-plug-in-50"), by_id("electric-tank-50")
    heat = rated_recovery_gph(plug_in) * TEST_BTU_PER_GAL_DF * TEST_RISE_DF
    assert 4_500 <= heat <= 8_500
    assert rated_recovery_gph(plug_in) < rated_recovery_gph(electric) / 2


# --- altitude ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("heater", catalogue(), ids=_name)
def test_height_takes_from_burners_only(heater):
    # National Fuel Gas Code, read in makers' instructions: 4 % of the input for each 1,000 ft, from sea level, above
    # 2,000 ft. At 7,000 ft a burner keeps 72 %; an element or a heat pump loses nothing.
    share = float(altitude_frac(7_000.0))
    assert share == pytest.approx(0.72, abs=1e-9)
    low, high = (circumstances(set_point_f=125.0, mains_f=58.0, altitude_frac=frac) for frac in (1.0, share))
    if heater.is_tankless:
        flows = {"simultaneous_gpm": 2.0, "summer_shower_gpm": 1.5, "smallest_summer_gpm": 0.9}
        before, after = (tankless_capacity(heater, asking(met, **flows)).deliverable for met in (low, high))
        expected = before * (share if heater.burns_fuel else 1.0)
    else:
        before, after = (storage_capacity(heater, asking(met, busy_hour_gal=50.0)).deliverable for met in (low, high))
        # What is lost is the reheating of one hour, no more than the rating; the stored gallons stay.
        reheated = min(rated_recovery_gph(heater), heater.fhr_gal)
        expected = before - (reheated * (1 - share) if heater.burns_fuel else 0.0)
    assert after == pytest.approx(expected, rel=1e-9)


def test_verdicts_of_one_tank_as_the_hour_grows():
    # 63 gal at the rated rise: margins of 10 % and 5 % around it are our own choice.
    tank, met = by_id("electric-tank-50"), circumstances(set_point_f=125.0, mains_f=58.0)
    verdicts = [storage_capacity(tank, asking(met, busy_hour_gal=gal)).verdict for gal in (57, 58, 66, 67)]
    assert verdicts == [KEEPS_UP, WITH_CARE, WITH_CARE, FALLS_SHORT]
