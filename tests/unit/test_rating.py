"""The federal rating: arrays, classes, floors and labels that contradict themselves."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from advisor.bench.calibration import retest
from advisor.core.errors import InputError
from advisor.heaters import rating
from advisor.heaters.catalogue import by_id
from advisor.heaters.hand_sizing import tankless_capacity
from advisor.heaters.label_limits import label_flags
from tests.circumstances import circumstances
from tests.houses import said

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (rating.pattern_heat_btu_per_day, ([10.0, 38.0, 84.0],)),
        (rating.label_energy_btu_per_yr, ([0.6, 0.93, 3.5], [55.0, 84.0, 55.0])),
        (rating.loss_coefficient_btuh_per_df, ([0.6, 0.62, 0.9], [0.78, 0.6, 0.97], [40e3, 40e3, 50e3], 84.0)),
        (rating.conversion_efficiency_frac, ([0.78, 0.8], [7.0, 0.0], 40e3)),
        (rating.input_side_loss_btuh_per_df, ([0.6, 0.9], [0.78, 0.97], [40e3, 50e3], [55.0, 84.0])),
        (rating.resistance_loss_btuh_per_df, ([0.9, 0.93], 55.0)),
        (rating.rated_cop, ([2.9, 3.5], [1.8, 2.0], [38.0, 55.0])),
    ],
)
def test_one_label_and_many_agree(function, arguments):
    many = np.broadcast_arrays(*(np.asarray(argument, dtype=float) for argument in arguments))
    together = function(*many)
    assert together.shape == many[0].shape
    for index, one in enumerate(zip(*many, strict=True)):
        alone = function(*(float(value) for value in one))
        assert np.ndim(alone) == 0
        np.testing.assert_allclose(together[index], alone, rtol=1e-12, equal_nan=True)


def test_patterns_of_many_heaters():
    found = rating.draw_pattern_of(np.array([[0.0, 18.0], [74.9, 300.0]]), is_storage=True)
    assert found.tolist() == [["very_small", "low"], ["medium", "high"]]
    assert rating.draw_pattern_of(0, is_storage=False) == "very_small"


def test_unknown_pattern_names_the_known_ones():
    with pytest.raises(InputError, match="very_small, low, medium, high"):
        rating.pattern_daily_gal("huge")


def test_tanks_on_their_test_day_by_hand():
    """55 gal x 8.24 x 67 °F are 30,364.4 Btu a day, lost for 24 h over 57.5 °F (10 CFR 430 subpart B app. E).

    Heat pump 3.5 x (1 + 24 x 1.9 x 57.5 / 30,364.4); element 30,364.4 x (1 / 0.92 - 1) / (24 x 57.5); burner
    0.78 + 9.41 x 57.5 / 40,000.
    """
    assert rating.rated_cop(3.5, 1.9, 55.0) == pytest.approx(3.80223, abs=1e-5)
    assert rating.resistance_loss_btuh_per_df(0.92, 55.0) == pytest.approx(1.91332, abs=1e-5)
    assert rating.conversion_efficiency_frac(0.78, 9.41, 40_000) == pytest.approx(0.793527, abs=1e-6)


def test_a_label_that_contradicts_itself_has_no_loss():
    assert np.isnan(rating.loss_coefficient_btuh_per_df(0.80, 0.78, 40e3, 84.0))
    assert rating.loss_coefficient_btuh_per_df(0.78, 0.78, 40e3, 84.0) == 0


@pytest.mark.parametrize(("mean_f", "credited_gal"), [(113.0, 2.4), (119.0, 6.0), (108.0, 0.0)])
def test_the_last_draw_counts_by_its_warmth(mean_f, credited_gal):
    """10 CFR 430 subpart B app. E 6.1 (from memory): 6 gal at 113 °F after 119 °F, stopped at 109 °F: 6 x 4 / 10."""
    assert rating.credited_gal(6.0, mean_f, 119.0, 109.0) == pytest.approx(credited_gal)


@pytest.mark.parametrize(
    ("heater_id", "heater_class"),
    [
        ("gas-tank-40", "gas_storage"),
        ("propane-tank-power-vent-50", "gas_storage"),
        ("gas-tank-75", "residential_duty_gas_storage"),
        ("gas-tankless-199", "gas_instantaneous"),
        ("electric-tank-50", "electric_storage"),
        ("heat-pump-80", "electric_storage"),
        ("electric-tank-80-grid", "grid_enabled_storage"),
        ("electric-tankless-18", "residential_duty_electric_instantaneous"),
        ("oil-tank-32", "oil_storage"),
    ],
)
def test_product_classes(heater_id, heater_class):
    assert rating.heater_class_of(by_id(heater_id)) == heater_class


def test_edge_of_the_consumer_class_of_gas_tanks():
    # 10 CFR 430.32(d): consumer gas tanks burn up to 75,000 Btu/h.
    tank = by_id("gas-tank-50")
    assert rating.heater_class_of(replace(tank, input_btuh=75_000.0)) == "gas_storage"
    assert rating.heater_class_of(replace(tank, input_btuh=75_001.0)) == "residential_duty_gas_storage"
    # 10 CFR 430.2: a consumer's electric instantaneous heater takes 12 kW or less.
    tankless = by_id("electric-tankless-18")
    assert rating.heater_class_of(replace(tankless, input_kw=12.0)) == "electric_instantaneous"
    assert rating.heater_class_of(replace(tankless, input_kw=12.1)) == "residential_duty_electric_instantaneous"


def test_no_floor_is_said_plainly():
    allowed, sentence = rating.may_be_made(replace(by_id("gas-tank-50"), rated_volume_gal=110.0), TODAY)
    assert allowed
    assert "No federal minimum" in said(sentence)


def test_a_floor_from_memory_does_not_look_verified():
    _, sentence = rating.may_be_made(by_id("gas-tank-40"), date(2029, 6, 1))
    assert "is below the federal minimum of 0.64" in said(sentence)
    assert "from memory, unverified" in said(sentence)
    _, sentence = rating.may_be_made(by_id("gas-tank-40"), TODAY)
    assert "meets" in said(sentence) and "unverified" not in said(sentence)


def test_a_floor_is_met_at_the_label_s_two_decimals():
    # 0.6483 - 0.0017 x 38 = 0.5837: a label of 0.58 meets it, 0.57 does not.
    tank = by_id("gas-tank-40")
    assert rating.may_be_made(replace(tank, uef=0.58), TODAY)[0]
    assert not rating.may_be_made(replace(tank, uef=0.57), TODAY)[0]


@pytest.mark.parametrize(
    ("heater_id", "changes", "words"),
    [
        ("gas-tank-40", {"draw_pattern": "high"}, "belongs to the medium draw pattern, not high"),
        ("gas-tankless-150", {"draw_pattern": "low"}, "3.8 gpm belongs to the medium draw pattern, not low"),
        ("gas-tank-40", {"recovery_frac": 0.59}, "recovery efficiency 0.59 is below the UEF 0.6"),
        (
            "gas-tankless-180",
            {"max_gpm": 6.6},
            "6.6 gpm at a 67 °F rise cannot be of 180,000 Btu/h, which heats about 4.6",
        ),
        ("gas-tank-40", {"uef": 3.5}, "what only burns or resists gives no more heat than it takes"),
        ("gas-tank-40", {"uef": 0.95, "recovery_frac": 0.97}, "cannot be of a heater that does not condense"),
        ("electric-tank-50", {"uef": 1.05}, "A UEF of 1.05 cannot be"),
        ("gas-tank-condensing-50", {"recovery_frac": 1.02}, "A recovery efficiency of 1.02 cannot be"),
        ("gas-tank-condensing-50", {"recovery_frac": 0.88}, "leaves nothing for the standby loss"),
        ("gas-tank-50", {"fhr_gal": 20.0, "draw_pattern": "low"}, "A first-hour rating of 20 gal cannot be of 48 gal"),
        ("gas-tank-50", {"fhr_gal": 150.0}, "A first-hour rating of 150 gal cannot be of 48 gal"),
        ("heat-pump-plug-in-50", {"input_kw": 4.5}, "more than a 120 V plug carries"),
        ("gas-tank-40", {"uef": 0.50}, "is below the federal minimum"),
    ],
)
def test_labels_that_cannot_be_right_are_flagged(heater_id, changes, words):
    heater = by_id(heater_id)
    assert label_flags(heater, TODAY) == ()
    assert any(words in said(flag) for flag in label_flags(replace(heater, **changes), TODAY))


def test_every_fault_of_a_label_is_named():
    bad = replace(by_id("gas-tank-40"), uef=0.50, recovery_frac=0.45, draw_pattern="low")
    assert len(label_flags(bad, TODAY)) == 3


def test_a_flow_below_the_heat_balance_is_a_limit_and_no_fault():
    """Pipes and valves inside pass less than the input heats: listed labels of large burners say so."""
    heater = replace(by_id("gas-tankless-condensing-199"), max_gpm=4.6)
    assert label_flags(heater, TODAY) == ()
    assert retest(heater).cannot_meet is None
    # Where the rise asks for less than the input heats, the limit holds; at a great rise the input does.
    warm, cold = (tankless_capacity(heater, circumstances(mains_f=mains_f)).deliverable for mains_f in (70.0, 36.0))
    full = tankless_capacity(by_id("gas-tankless-condensing-199"), circumstances(mains_f=36.0)).deliverable
    assert warm == pytest.approx(4.6) and cold == pytest.approx(min(4.6, full), rel=0.03)
