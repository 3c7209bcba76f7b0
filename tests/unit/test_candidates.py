"""Which heaters are compared: the user's own labels, pairs, and the plain replacement."""

from datetime import date

import pytest

from advisor.case.file import case_from
from advisor.case.record import Label
from advisor.core.errors import InputError
from advisor.core.findings import note
from advisor.core.verdicts import FALLS_SHORT, KEEPS_UP
from advisor.heaters.candidates import (
    MOST_UNITS,
    heater_from_label,
    heaters_to_compare,
    like_for_like,
    own_heaters,
    usual_tank_gal,
    with_asked_units,
    with_parallel_units,
)
from advisor.heaters.catalogue import by_id, catalogue
from advisor.heaters.hand_sizing import Capacity
from advisor.heaters.label_limits import label_flags
from advisor.heaters.rating import may_be_made
from tests.houses import said

TODAY = date(2026, 11, 28)
TANK = {
    "title": "Quoted tank",
    "technology": "gas_storage_power_vent",
    "fuel": "natural_gas",
    "uef": 0.66,
    "rated_volume_gal": 47,
    "fhr_gal": 90,
    "input_btuh": 42_000,
}
TANKLESS = {
    "title": "Quoted tankless",
    "technology": "gas_tankless_condensing",
    "fuel": "natural_gas",
    "uef": 0.97,
    "max_gpm": 3.5,
    "input_btuh": 120_000,
}
HEAT_PUMP = {
    "title": "Quoted heat pump",
    "technology": "heat_pump_storage_240v",
    "fuel": "electricity",
    "uef": 3.9,
    "rated_volume_gal": 59,
    "fhr_gal": 76,
    "input_kw": 4.5,
}


def _case(**changes):
    values = {
        "place": {"city": "Duluth, MN"},
        "household": {"people": 4},
        "failed": {"fuel": "natural_gas"},
        "house": {"fuels": ["natural_gas"]},
    }
    for section, keys in changes.items():
        values[section] = keys if isinstance(keys, list) else {**values.get(section, {}), **keys}
    return case_from(values)


# --- labels typed in ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("label", "missing"),
    [
        (TANK, "fhr_gal"),
        (TANK, "rated_volume_gal"),
        (TANK, "input_btuh"),
        (TANKLESS, "max_gpm"),
        (TANKLESS, "input_btuh"),
        (HEAT_PUMP, "input_kw"),
        (HEAT_PUMP, "fhr_gal"),
    ],
)
def test_a_missing_number_is_named(label, missing):
    rest = {key: value for key, value in label.items() if key != missing}
    with pytest.raises(InputError, match=rf"^heaters\.2\.{missing}: .*read it from the label") as caught:
        heater_from_label(Label(**rest), 2)
    assert caught.value.field == f"heaters.2.{missing}"


@pytest.mark.parametrize(
    ("label", "fuel", "fix"),
    [
        (TANK, "electricity", "write one of natural_gas, propane"),
        (TANK, "heating_oil", "write one of natural_gas, propane"),
        (HEAT_PUMP, "natural_gas", "write electricity"),
        ({**TANK, "technology": "oil_storage"}, "propane", "write heating_oil"),
        ({**TANKLESS, "technology": "electric_tankless"}, "natural_gas", "write electricity"),
    ],
)
def test_a_wrong_fuel_is_refused(label, fuel, fix):
    with pytest.raises(InputError, match=fix) as caught:
        heater_from_label(Label(**{**label, "fuel": fuel}), 1)
    assert caught.value.field == "heaters.1.fuel"


def test_what_was_typed_is_what_is_compared():
    heater = heater_from_label(Label(**TANK, recovery_frac=0.80, nominal_gal=50), 3)
    assert (heater.id, heater.title, heater.technology.id) == ("own-3", "Quoted tank", "gas_storage_power_vent")
    assert (heater.uef, heater.fhr_gal, heater.rated_volume_gal, heater.nominal_gal) == (0.66, 90, 47, 50)
    assert (heater.input_btuh, heater.recovery_frac, heater.draw_pattern) == (42_000, 0.80, "high")
    assert heater.max_gpm is None and heater.input_kw is None
    assert heater.source == "your own entry"


def test_the_rest_comes_from_the_nearest_of_its_kind():
    # Size first, its own fuel before that.
    assert heater_from_label(Label(**TANK), 1).vent_category == by_id("gas-tank-power-vent-50").vent_category
    propane = heater_from_label(Label(**{**TANK, "fuel": "propane"}), 1)
    assert propane.noise_dba == by_id("propane-tank-power-vent-50").noise_dba
    # The least gas pressure is never borrowed: what a label does not say, the gas check assumes and says so.
    assert propane.min_inlet_inwc is None
    assert heater_from_label(Label(**TANK, min_inlet_inwc=4.0), 1).min_inlet_inwc == 4.0
    small, large = (heater_from_label(Label(**{**TANKLESS, "max_gpm": flow}), 1) for flow in (3.4, 6.0))
    assert small.min_input_btuh == by_id("gas-tankless-condensing-120").min_input_btuh
    assert large.min_input_btuh == by_id("gas-tankless-condensing-199").min_input_btuh
    assert small.rated_volume_gal == 0.4 and small.nominal_gal == 0


def test_a_flow_at_another_rise_is_restated():
    # 6.0 gpm at 45 F is 4.03 gpm at the rated 67 F, and that selects the draw pattern.
    heater = heater_from_label(Label(**{**TANKLESS, "max_gpm": 6.0, "max_gpm_rise_df": 45}), 1)
    assert heater.max_gpm == pytest.approx(6.0 * 45 / 67)
    assert heater.draw_pattern == "high"


def test_a_heat_pump_borrows_no_recovery_efficiency():
    assert heater_from_label(Label(**HEAT_PUMP), 1).recovery_frac is None


def test_a_borrowed_number_never_contradicts_the_typed_one():
    # UEF 0.97 is above the recovery efficiency of the nearest catalogue heater: that is no fault of the label.
    assert by_id("gas-tankless-condensing-120").recovery_frac < 0.97
    heater = heater_from_label(Label(**TANKLESS), 1)
    assert heater.recovery_frac == pytest.approx(0.975)
    assert label_flags(heater, date(2026, 11, 25)) == ()
    # A typed recovery efficiency below the typed UEF is.
    contradictory = heater_from_label(Label(**TANKLESS, recovery_frac=0.90), 1)
    assert any("both cannot be right" in said(flag) for flag in label_flags(contradictory, date(2026, 11, 25)))


def test_a_typed_tank_is_sold_to_everybody():
    """Nothing in a label says that a large electric tank is grid-enabled: it meets the plain federal floor, or not."""
    label = {
        "title": "Large tank",
        "technology": "electric_storage_resistance",
        "fuel": "electricity",
        "uef": 0.92,
        "rated_volume_gal": 76,
        "fhr_gal": 97,
        "input_kw": 5.5,
    }
    heater = heater_from_label(Label(**label), 1)
    assert heater.sale_note is None
    assert any("below the federal minimum" in said(flag) for flag in label_flags(heater, date(2026, 11, 25)))


def test_a_draw_pattern_may_be_given():
    assert heater_from_label(Label(**TANK, draw_pattern="medium"), 1).draw_pattern == "medium"
    flags = label_flags(heater_from_label(Label(**TANK, draw_pattern="medium"), 1), date(2026, 11, 25))
    assert any("belongs to the high draw pattern" in said(flag) for flag in flags)


# --- what is compared --------------------------------------------------------------------------------------------


def test_only_fuels_of_the_house_and_electricity():
    gas = heaters_to_compare(_case())
    assert {heater.fuel.id for heater in gas} == {"natural_gas", "electricity"}
    electric = heaters_to_compare(_case(failed={"fuel": "electricity"}, house={"fuels": ["electricity"]}))
    assert {heater.fuel.id for heater in electric} == {"electricity"}
    with_own = heaters_to_compare(_case(heaters=[TANK, HEAT_PUMP]))
    assert [heater.id for heater in with_own[-2:]] == ["own-1", "own-2"]


def _judge(wanted_gal):
    """A verdict by first-hour gallons or by twenty times the gpm, so that one number serves both."""

    def judge(heater):
        gives = (heater.fhr_gal or 20 * heater.max_gpm) * heater.n_units
        verdict = KEEPS_UP if gives >= wanted_gal else FALLS_SHORT
        return Capacity(verdict, note("capacity.slow"), (), False, gives, wanted_gal, "gal", gives / wanted_gal - 1)

    return judge


def test_pairs_are_added_only_where_no_single_one_keeps_up():
    tanks = [heater for heater in catalogue() if heater.technology.id == "electric_storage_resistance"]
    assert len(with_parallel_units(tanks, _judge(60), TODAY)) == len(tanks)
    # Two of the smallest that keep up together: 2 x 54 gal. The largest plain one gives 68 gal; the grid-enabled is
    # not sold to everybody and is not paired.
    judged = with_parallel_units(tanks, _judge(100), TODAY)
    (pair,) = (heater for heater, _ in judged[len(tanks) :])
    assert (pair.id, pair.n_units) == ("electric-tank-40-x2", 2)
    assert pair.title.startswith("2 in parallel: ")
    three = with_parallel_units(tanks, _judge(200), TODAY)[len(tanks) :]
    assert [heater.n_units for heater, _ in three] == [MOST_UNITS]
    assert len(with_parallel_units(tanks, _judge(1_000), TODAY)) == len(tanks)


def test_only_what_may_be_made_is_paired():
    """10 CFR 431.110, 88 FR 69686: no 75 gal tank without condensing is made after 2026-10-05; two of 40 gal are."""
    tanks = [heater for heater in catalogue() if heater.technology.id == "gas_storage_atmospheric"]
    tanks = [heater for heater in tanks if heater.fuel.id == "natural_gas"]
    before, after = (
        [heater.id for heater, _ in with_parallel_units(tanks, _judge(120), day)[len(tanks) :]]
        for day in (date(2026, 10, 5), TODAY)
    )
    assert (before, after) == ([], ["gas-tank-40-x2"])


def test_a_wish_for_several_of_an_unknown_heater_names_its_place():
    case = _case(several=[{"candidate": "gas-tank-50", "n_units": 2}, {"candidate": "gas-tank-51", "n_units": 2}])
    judged = [(by_id("gas-tank-50"), _judge(50)(by_id("gas-tank-50")))]
    with pytest.raises(InputError, match="write 'gas-tank-50'") as caught:
        with_asked_units(judged, case, _judge(50))
    assert caught.value.field == "several.2.candidate"


def test_own_labels_are_not_paired():
    own = heater_from_label(Label(**TANK), 1)
    assert [heater for heater, _ in with_parallel_units([own], _judge(150), TODAY)] == [own]


# --- the plain replacement ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("failed", "people", "fuels", "expected"),
    [
        ({"fuel": "natural_gas", "size_gal": 50}, 4, ["natural_gas"], "gas-tank-50"),
        ({"fuel": "natural_gas", "size_gal": 38}, 4, ["natural_gas"], "gas-tank-40"),
        ({"fuel": "natural_gas", "size_gal": 100}, 4, ["natural_gas"], "gas-tank-75"),
        # Size not known: 40 gal up to three people, 50 for more.
        ({"fuel": "natural_gas"}, 3, ["natural_gas"], "gas-tank-40"),
        ({"fuel": "natural_gas"}, 4, ["natural_gas"], "gas-tank-50"),
        # A larger burner stays.
        ({"fuel": "natural_gas", "size_gal": 50, "input_btuh": 65_000}, 4, ["natural_gas"], "gas-tank-50-fastest"),
        ({"fuel": "natural_gas", "size_gal": 50, "input_btuh": 40_000}, 4, ["natural_gas"], "gas-tank-50"),
        ({"fuel": "propane", "size_gal": 30}, 2, ["propane"], "propane-tank-40"),
        ({"fuel": "heating_oil", "size_gal": 30}, 4, ["heating_oil"], "oil-tank-32"),
        ({"fuel": "electricity", "size_gal": 66}, 4, ["natural_gas"], "electric-tank-55"),
        # Sold only for load-control programmes: never the plain replacement.
        ({"fuel": "electricity", "size_gal": 80}, 4, ["electricity"], "electric-tank-55"),
        # Input not known: the middle of 150,000 to 199,000 Btu/h.
        ({"fuel": "natural_gas", "kind": "tankless"}, 4, ["natural_gas"], "gas-tankless-180"),
        ({"fuel": "natural_gas", "kind": "tankless", "input_btuh": 199_000}, 4, ["natural_gas"], "gas-tankless-199"),
        ({"fuel": "electricity", "kind": "tankless"}, 4, ["electricity"], "electric-tankless-36"),
        ({"fuel": "electricity", "kind": "heat_pump", "size_gal": 66}, 4, ["electricity"], "heat-pump-65"),
        # There is no oil-fired tankless heater on the list.
        ({"fuel": "heating_oil", "kind": "tankless"}, 4, ["heating_oil"], None),
    ],
)
def test_plain_replacement(failed, people, fuels, expected):
    case = _case(failed=failed, household={"people": people}, house={"fuels": fuels})
    found = like_for_like(case, heaters_to_compare(case))
    assert (found and found.id) == expected


@pytest.mark.parametrize(
    ("fuel", "size_gal", "room_in", "expected"),
    [
        ("electricity", 40, 65, "electric-tank-40"),
        ("electricity", 40, 64, "electric-tank-short-40"),
        ("electricity", 40, 30, "electric-tank-40"),
        ("natural_gas", 50, 58, "gas-tank-short-50"),
    ],
)
def test_a_low_room_had_a_short_tank(fuel, size_gal, room_in, expected):
    """With six inches for its connections; where none of the size fits, the usual one is shown as what failed."""
    case = _case(failed={"fuel": fuel, "size_gal": size_gal}, house={"room_height_in": room_in})
    assert like_for_like(case, heaters_to_compare(case)).id == expected


def test_neither_an_own_label_nor_a_pair_is_the_plain_replacement():
    case = _case(failed={"fuel": "natural_gas", "size_gal": 47}, heaters=[TANK])
    pair = [heater for heater, _ in with_parallel_units(heaters_to_compare(case), _judge(150), TODAY)]
    assert like_for_like(case, pair).id == "gas-tank-50"


def test_a_label_that_cannot_be_read_leaves_the_others_standing():
    """One label without its first-hour rating is told, with its key, and the rest is compared."""
    bad = {key: value for key, value in TANK.items() if key != "fhr_gal"}
    own, unread = own_heaters(_case(heaters=[bad, HEAT_PUMP]))
    assert [heater.id for heater in own] == ["own-2"]
    (finding,) = unread
    assert "heaters.1.fhr_gal" in said(finding) and TANK["title"] in said(finding)


@pytest.mark.parametrize(("fuel", "size_gal"), [("natural_gas", 40), ("natural_gas", 50), ("propane", 50)])
def test_from_may_2029_a_plain_tank_is_replaced_by_one_that_meets_the_floor(fuel, size_gal):
    """10 CFR 430.32(d)(2), 89 FR 37778, for heaters made from 6 May 2029; its levels are from memory."""
    made, barred = date(2029, 5, 6), []
    for heater in catalogue():
        if heater.fuel.id == fuel and heater.technology.vent == "natural_draft" and heater.nominal_gal == size_gal:
            may_today, may_then = (may_be_made(heater, day)[0] for day in (date(2029, 5, 5), made))
            assert may_today
            assert may_then == (heater.variant == "damper")
            barred.append(may_then)
    assert True in barred and False in barred


def test_three_people_usually_have_40_gallons_and_four_50():
    """Common practice, no published source."""
    assert [usual_tank_gal(people) for people in (1, 3, 4, 8)] == [40, 40, 50, 50]
