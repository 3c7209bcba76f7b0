"""Each job has its trigger: with it the job is on the list, without it it is not."""

import copy
from dataclasses import replace

import numpy as np
import pytest

from advisor import tables
from advisor.case_file import case_from
from advisor.heaters.candidates import heater_from_label
from advisor.heaters.catalogue import by_id, catalogue
from advisor.house.facts import HeaterUse, HouseFacts
from advisor.house.items import base_item, item
from advisor.house.work import USUAL_JOBS, check_house
from advisor.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK

TANK, BIG_TANK, POWER_VENT = "gas-tank-50", "gas-tank-75", "gas-tank-power-vent-50"
CONDENSING_TANK, PROPANE_TANK, OIL = "gas-tank-condensing-50", "propane-tank-50", "oil-tank-32"
TANKLESS, CONDENSING, PROPANE_TANKLESS = "gas-tankless-199", "gas-tankless-condensing-199", "propane-tankless-199"
SMALL_CONDENSING = "gas-tankless-condensing-120"
ELECTRIC, HEAT_PUMP, PLUG_IN, ELECTRIC_TANKLESS = (
    "electric-tank-50",
    "heat-pump-50",
    "heat-pump-plug-in-50",
    "electric-tankless-27",
)
FOUR = {
    "place": {"zip_code": "55811"},
    "household": {"people": 4},
    "failed": {"fuel": "natural_gas"},
    "house": {"fuels": ["natural_gas", "propane", "heating_oil"]},
}


def facts_of(space="basement", **changes):
    """A house with the four answers and keys ``section__key`` added: mild, at sea level, nothing measured."""
    values = copy.deepcopy(FOUR)
    for key, value in changes.items():
        section, _, name = key.partition("__")
        values.setdefault(section, {})[name] = value
    return HouseFacts(
        case=case_from(values), heater_space=space, us_state="MN", elevation_ft=600.0, altitude_frac=1.0,
        outdoor_coldest_f=10.0, heater_air_f=np.full(12, 62.0), cold_water_f=42.0, daily_gal=60.0,
        heat_btu_per_day=38_000.0, electricity_usd_per_kwh=0.16,
    )  # fmt: skip


USE = HeaterUse(
    fuel_therm_per_yr=160.0, working_cop=2.8, loss_btuh_per_df=3.0, efficiency_frac=0.8, energy_usd_per_mmbtu=12.0
)


def check(heater_id, space="basement", n_units=1, **changes):
    heater = by_id(heater_id)
    if n_units > 1:
        heater = replace(heater, id=f"{heater.id}-x{n_units}", n_units=n_units)
    return check_house(heater, facts_of(space, **changes), USE)


def jobs(*arguments, **changes):
    return {job.job: job for job in check(*arguments, **changes).work}


WIDE_GAS = {"gas__branch_size_in": "1-1/4", "gas__trunk_size_in": "2"}
TYPE_B = {"vent__flue": "type_b", "vent__flue_height_ft": 20, "vent__flue_lateral_ft": 2}
ELECTRIC_HOUSE = {"failed__fuel": "electricity"}


@pytest.mark.parametrize(
    ("job", "heater", "present", "absent"),
    [
        # gas
        ("gas-larger-pipe", TANKLESS, {"gas__branch_size_in": "1/2"}, WIDE_GAS),
        ("gas-larger-pipe", TANKLESS, {"gas__branch_size_in": "1"}, WIDE_GAS),  # the trunk is too narrow
        ("gas-larger-meter", TANKLESS,
         {**WIDE_GAS, "gas__meter_class": "175"}, {**WIDE_GAS, "gas__meter_class": "425"}),
        ("gas-branch-3-4", TANK, ELECTRIC_HOUSE, {}),
        ("gas-branch-3-4", PROPANE_TANK, {}, {"failed__fuel": "propane"}),
        ("gas-call-out", TANK, ELECTRIC_HOUSE, {}),
        # vent
        ("vent-stainless", TANKLESS, {}, {"vent__flue": "stainless"}),
        ("vent-plastic", CONDENSING, {}, {"vent__flue": "plastic"}),
        ("vent-plastic", POWER_VENT, {}, {"vent__flue": "plastic"}),
        ("vent-stainless-extra", TANKLESS, {"vent__run_ft": 7}, {"vent__run_ft": 6}),
        ("vent-plastic-extra", CONDENSING, {"vent__run_ft": 11}, {"vent__run_ft": 10}),
        ("vent-elbow", CONDENSING, {"vent__n_elbows": 1}, {"vent__n_elbows": 0}),
        ("vent-connector", TANK, {}, ELECTRIC_HOUSE),
        ("vent-connector", OIL, {"failed__fuel": "heating_oil"}, {"failed__kind": "tankless"}),
        ("chimney-liner", TANK, ELECTRIC_HOUSE, {}),
        ("chimney-liner", TANK, {"vent__flue": "none"}, {"vent__flue": "type_b"}),
        ("chimney-liner", TANK, {"vent__flue": "plastic"}, {"vent__flue": "masonry"}),
        ("chimney-liner", TANKLESS, {"vent__is_shared": True}, {"vent__is_shared": False}),
        ("chimney-liner", HEAT_PUMP, {"vent__is_shared": True}, {"vent__is_shared": True, **ELECTRIC_HOUSE}),
        ("chimney-liner", BIG_TANK, {**TYPE_B, "vent__flue_diameter_in": 3}, {**TYPE_B, "vent__flue_diameter_in": 5}),
        ("flue-cap", TANKLESS, {}, {"vent__is_shared": True}),
        ("flue-cap", HEAT_PUMP, {}, ELECTRIC_HOUSE),
        ("combustion-air", TANK, {"house__room_volume_ft3": 1_999}, {"house__room_volume_ft3": 2_000}),
        ("combustion-air", BIG_TANK, {"house__room_volume_ft3": 3_799}, {"house__room_volume_ft3": 3_800}),
        # condensate
        ("condensate-drain", CONDENSING, {}, {"drain__has_gravity_drain": False}),
        ("condensate-drain", HEAT_PUMP, {"drain__has_gravity_drain": True}, {"drain__has_gravity_drain": False}),
        ("condensate-neutralizer", CONDENSING, {}, {"drain__material": "plastic"}),
        ("condensate-neutralizer", CONDENSING, {"drain__material": "plastic", "drain__is_septic": True},
         {"drain__material": "plastic", "drain__is_septic": False}),
        ("condensate-pump", CONDENSING_TANK, {"drain__has_gravity_drain": False}, {"drain__has_gravity_drain": True}),
        # electrical
        ("receptacle-120", TANKLESS, {}, {"electrical__has_receptacle": True}),
        ("receptacle-120", PLUG_IN, {"electrical__has_receptacle": False}, {"electrical__has_receptacle": True}),
        ("circuit-240-30", HEAT_PUMP, {}, ELECTRIC_HOUSE),
        ("circuit-240-30", ELECTRIC, {"electrical__has_240_v_circuit": False}, {"electrical__has_240_v_circuit": True}),
        ("circuit-240-30", HEAT_PUMP, {"electrical__has_240_v_circuit": False, **ELECTRIC_HOUSE}, ELECTRIC_HOUSE),
        ("subpanel", HEAT_PUMP, {"electrical__n_free_spaces": 1}, {"electrical__n_free_spaces": 2}),
        ("subpanel", HEAT_PUMP, {"electrical__n_free_spaces": 0},
         {"electrical__n_free_spaces": 0, "electrical__has_240_v_circuit": True}),
        ("panel-200", ELECTRIC_TANKLESS, {}, {"electrical__service_a": 200}),
        ("panel-200", ELECTRIC_TANKLESS, {"electrical__service_a": 100}, {"electrical__service_a": 200}),
        ("service-upgrade", ELECTRIC_TANKLESS, {"electrical__service_a": 60}, {"electrical__service_a": 200}),
        # water
        ("expansion-tank", TANK, {"water__has_closed_system": True}, {"water__has_closed_system": False}),
        ("expansion-tank", TANK, {"water__has_closed_system": True},
         {"water__has_closed_system": True, "water__has_expansion_tank": True}),
        ("mixing-valve", TANK, {"household__set_point_f": 121}, {"household__set_point_f": 120}),
        ("mixing-valve", TANK, {"household__set_point_f": 140},
         {"household__set_point_f": 140, "water__has_mixing_valve": True}),
        ("seismic-straps", TANK, {"water__is_earthquake_country": True}, {}),
        ("pressure-regulator", TANKLESS, {"water__static_pressure_psi": 81}, {"water__static_pressure_psi": 80}),
        ("drain-pan", TANK, {"house__is_over_living_space": True}, {"house__is_over_living_space": False}),
        # permits
        ("permit-electrical", HEAT_PUMP, {}, ELECTRIC_HOUSE),
    ],
)  # fmt: skip
def test_a_job_and_its_trigger(job, heater, present, absent):
    assert job in jobs(heater, **present)
    assert job not in jobs(heater, **absent)


@pytest.mark.parametrize(
    ("job", "heater", "never"),
    [
        ("gas-trap-and-valve", TANK, HEAT_PUMP),
        ("gas-trap-and-valve", PROPANE_TANK, OIL),
        ("condensate-neutralizer", CONDENSING, HEAT_PUMP),
        ("condensate-drain", HEAT_PUMP, TANKLESS),
        ("receptacle-120", POWER_VENT, TANK),
        ("isolation-valves", TANKLESS, TANK),
        ("circuits-240-40-x3", ELECTRIC_TANKLESS, ELECTRIC),
        ("panel-200", ELECTRIC_TANKLESS, HEAT_PUMP),
        ("gas-larger-pipe", TANKLESS, POWER_VENT),
    ],
)
def test_a_job_of_one_kind_of_heater_only(job, heater, never):
    assert job in jobs(heater)
    assert job not in jobs(never)


def test_only_tanks_need_an_expansion_tank_a_mixing_valve_and_a_pan():
    changes = {"water__has_closed_system": True, "household__set_point_f": 140, "house__is_over_living_space": True}
    wanted = {"expansion-tank", "mixing-valve", "drain-pan"}
    assert wanted <= set(jobs(TANK, **changes))
    assert not wanted & set(jobs(TANKLESS, **changes))


@pytest.mark.parametrize(
    ("hardness_gpg", "job"),
    [(None, None), (7, None), (7.1, "scale-filter"), (10.5, "scale-filter"), (10.6, "softener")],
)
def test_hard_water_asks_for_treatment_before_a_tankless_heater(hardness_gpg, job):
    found = {"softener", "scale-filter"} & set(
        jobs(TANKLESS, **({} if hardness_gpg is None else {"water__hardness_gpg": hardness_gpg}))
    )
    assert found == ({job} if job else set())
    assert not {"softener", "scale-filter"} & set(
        jobs(TANK, **({} if hardness_gpg is None else {"water__hardness_gpg": hardness_gpg}))
    )


@pytest.mark.parametrize(
    ("heater", "space", "volume_ft3", "job"),
    [
        (HEAT_PUMP, "basement", 449, "heat-pump-duct"),
        (HEAT_PUMP, "basement", 450, None),
        (HEAT_PUMP, "closet", None, "louvred-door"),
        (HEAT_PUMP, "basement", None, None),
        (TANK, "attic", None, "hard-access"),
        (TANK, "basement", None, None),
    ],
)
def test_the_room(heater, space, volume_ft3, job):
    changes = {} if volume_ft3 is None else {"house__room_volume_ft3": volume_ft3}
    found = {"heat-pump-duct", "louvred-door", "hard-access"} & set(jobs(heater, space, **changes))
    assert found == ({job} if job else set())


@pytest.mark.parametrize(
    ("heater", "space", "height_in", "says"),
    [
        (TANK, "basement", 65.9, "60 in. tall"),  # 60 in. and 6 in. above it
        (TANK, "basement", 66, None),
        (HEAT_PUMP, "outdoors", None, "weather"),
        (HEAT_PUMP, "garage", None, None),
        (TANK, "outdoors", None, "weather"),
        (TANKLESS, "outdoors", None, None),
    ],
)
def test_what_cannot_stand_there_does_not_fit(heater, space, height_in, says):
    changes = {} if height_in is None else {"house__room_height_in": height_in}
    found = check(heater, space, **changes)
    assert (found.verdict == DOES_NOT_FIT) == (says is not None)
    assert says is None or says in found.why


def test_a_plain_swap_fits_as_it_is():
    found = check(TANK, vent__flue="type_b")
    assert found.verdict == FITS
    assert {job.job for job in found.work} == {"gas-trap-and-valve", "vent-connector", "permit"}
    assert check(ELECTRIC, **ELECTRIC_HOUSE).verdict == FITS


def test_the_largest_job_is_named():
    found = check(TANKLESS, vent__is_shared=True)
    assert found.verdict == NEEDS_WORK
    real = [
        job
        for job in found.work
        if job.job not in {"permit", "permit-electrical", "gas-trap-and-valve", "isolation-valves"}
    ]
    assert max(real, key=lambda job: job.typical_usd).what in found.why
    assert found.why.startswith(f"{len(real)} jobs beyond a plain swap")


def test_quantities_multiply_prices():
    costs = {row["id"]: row for row in tables.load("installed_costs").rows()}
    branch = jobs(TANK, gas__branch_ft=40, **ELECTRIC_HOUSE)["gas-branch-3-4"]
    assert (branch.quantity, branch.unit) == (40, "ft")
    assert branch.typical_usd == 40 * costs["gas-branch-3-4"]["typical_usd_per_unit"]
    extra = jobs(CONDENSING, n_units=2, vent__run_ft=25, vent__n_elbows=3)
    assert extra["vent-plastic-extra"].quantity == 2 * 15
    assert extra["vent-elbow"].quantity == 2 * 3
    assert extra["vent-plastic"].quantity == 2


def test_two_burners_need_the_gas_of_two():
    wide = {"gas__branch_size_in": "1", "gas__trunk_size_in": "1-1/4", "gas__trunk_ft": 60, "gas__branch_ft": 60}
    assert "gas-larger-pipe" in jobs(TANKLESS, n_units=3, **wide)
    assert "gas-larger-pipe" not in jobs(SMALL_CONDENSING, **wide)


def test_other_ways_than_the_priced_one_are_told_with_their_prices():
    found = check(TANKLESS, gas__branch_size_in="1/2").trade("gas")
    assert found.verdict == NEEDS_WORK
    assert found.ways_out
    for way in found.ways_out:
        assert way.title and 0 <= way.low_usd <= way.typical_usd <= way.high_usd


def test_what_the_case_does_not_say_is_marked_as_assumed():
    assert jobs(TANK, **ELECTRIC_HOUSE)["gas-branch-3-4"].is_assumed
    assert not jobs(TANK, gas__branch_ft=20, **ELECTRIC_HOUSE)["gas-branch-3-4"].is_assumed
    assert jobs(CONDENSING)["condensate-drain"].is_assumed
    assert not jobs(CONDENSING, drain__has_gravity_drain=True)["condensate-drain"].is_assumed
    assert jobs(TANKLESS)["vent-stainless"].is_assumed
    assert not jobs(TANKLESS, vent__run_ft=8)["vent-stainless"].is_assumed
    assert jobs(TANKLESS)["flue-cap"].is_assumed
    assert not jobs(TANKLESS, vent__is_shared=False)["flue-cap"].is_assumed


@pytest.mark.parametrize(
    ("heater", "known", "says"),
    [
        (TANKLESS, {"gas__supply_pressure_inwc": 7}, "The gas stands at"),
        (TANKLESS, {"gas__trunk_ft": 20}, "The trunk from the meter"),
        (TANKLESS, {"gas__furnace_btuh": 80_000}, "The furnace burns"),
        (TANKLESS, {"vent__run_ft": 10}, "The new vent runs"),
        (TANKLESS, {"vent__flue": "type_b"}, "The old flue is"),
        (TANKLESS, {"electrical__has_receptacle": False}, "No 120 V outlet"),
        (TANK, {"house__room_volume_ft3": 3000}, "The room feeds the flame"),
        (CONDENSING, {"drain__has_gravity_drain": True}, "A drain lies lower"),
        (HEAT_PUMP, {"electrical__n_free_spaces": 4}, "free breaker spaces"),
        (HEAT_PUMP, {"house__room_volume_ft3": 3000}, "The heater's room has"),
        (TANK, {"water__static_pressure_psi": 55}, "Water pressure"),
    ],
)
def test_what_was_taken_for_granted_is_told_until_it_is_given(heater, known, says):
    assert any(says in sentence for sentence in check(heater).assumed)
    assert not any(says in sentence for sentence in check(heater, **known).assumed)


@pytest.mark.parametrize("heater", catalogue(), ids=lambda heater: heater.id)
@pytest.mark.parametrize("changes", [{}, ELECTRIC_HOUSE, WIDE_GAS], ids=["plain", "electric", "wide gas"])
def test_verdict_work_and_trades_agree(heater, changes):
    """Work on the list is what makes a house need work, and one trade that cannot be done is enough to fail."""
    found = check(heater.id, **changes)
    real = [job for job in found.work if job.job not in USUAL_JOBS]
    stopped = [trade for trade in found.trades if trade.verdict == DOES_NOT_FIT]
    assert found.verdict == (DOES_NOT_FIT if stopped else NEEDS_WORK if real else FITS)
    if stopped:
        assert found.why == stopped[0].finding
    for trade in found.trades:
        assert trade.finding.endswith(".")
        assert all(sentence.endswith(".") for sentence in trade.assumed)
        assert {job.job for job in trade.items} <= {job.job for job in found.work}
        if trade.verdict == FITS:
            assert {job.job for job in trade.items} <= USUAL_JOBS
    assert found.trade("gas") is not None or heater.fuel not in {"natural_gas", "propane"}
    assert found.trade("loop") is None


def test_a_septic_tank_is_named_where_acid_water_would_reach_it():
    assert "septic" in jobs(CONDENSING, drain__is_septic=True)["condensate-neutralizer"].why
    assert "septic" not in jobs(CONDENSING)["condensate-neutralizer"].why


@pytest.mark.parametrize("heater", catalogue(), ids=lambda heater: heater.id)
def test_prices_of_every_candidate_stand_in_order(heater):
    found = check(heater.id, vent__is_shared=True, drain__has_gravity_drain=False, gas__furnace_btuh=300_000)
    for job in (found.base, *found.work):
        assert 0 <= job.low_usd <= job.typical_usd <= job.high_usd
        assert job.why and job.who and job.what
    assert found.installed_usd == pytest.approx(
        [
            sum(getattr(job, name) for job in (found.base, *found.work))
            for name in ("low_usd", "typical_usd", "high_usd")
        ]
    )
    assert len({job.job for job in found.work}) == len(found.work), "a job stands twice"
    assert "permit" in {job.job for job in found.work}
    assert found.base.job == f"base-{heater.id}"


def test_the_plain_installation_of_a_typed_in_heater_is_that_of_the_nearest():
    label = {"title": "Mine", "technology": "gas_storage_atmospheric", "fuel": "natural_gas", "uef": 0.62,
             "fhr_gal": 80, "rated_volume_gal": 48, "input_btuh": 39_000}  # fmt: skip
    heater = heater_from_label(case_from(FOUR | {"heaters": [label]}).heaters[0], 1)
    assert base_item(heater).job in {
        "base-gas-tank-40",
        "base-gas-tank-50",
        "base-propane-tank-50",
        "base-propane-tank-40",
    }
    assert base_item(by_id(TANK)).low_usd < base_item(by_id(TANK)).high_usd


def test_two_tanks_cost_two_tanks():
    one, two = check(TANK).base, check(TANK, n_units=2).base
    assert two.typical_usd == 2 * one.typical_usd
    assert two.job == one.job


def test_every_job_that_may_be_asked_for_has_a_price_and_a_trade():
    """Changes of the gas line are priced by the foot, so they stand in the table of trades only."""
    trades = {row["job"] for row in tables.load("work_jobs").rows()}
    costs = {row["id"] for row in tables.load("installed_costs").rows() if row["category"] != "base"}
    assert costs <= trades
    assert all(job.startswith("gas-") for job in trades - costs)
    for job in costs:
        assert item(job, "test").typical_usd >= 0


@pytest.mark.parametrize(
    ("heater", "cautions"),
    [
        (TANK, {"carbon_monoxide_alarm"}),
        (TANKLESS, {"gas_supply", "vents_not_interchangeable"}),
        (CONDENSING_TANK, {"condensate_acidic", "vents_not_interchangeable"}),
        (HEAT_PUMP, {"heat_pump_air", "panel_load"}),
        (ELECTRIC_TANKLESS, {"panel_load"}),
    ],
)
def test_cautions_that_every_heater_of_a_kind_carries(heater, cautions):
    assert cautions <= set(check(heater, household__set_point_f=140).cautions)


@pytest.mark.parametrize("heater", catalogue(), ids=lambda heater: heater.id)
def test_every_caution_is_one_of_the_table(heater):
    known = set(tables.load("cautions")["id"])
    changes = {"vent__is_shared": True, "household__set_point_f": 140, "water__hardness_gpg": 15,
               "water__recirculation": "always", "house__room_volume_ft3": 300,
               "water__has_closed_system": True}  # fmt: skip
    for space in ("basement", "garage", "attic", "closet"):
        assert set(check(heater.id, space, **changes).cautions) <= known
