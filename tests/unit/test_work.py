"""Each job has its trigger: with it the job is on the list, without it it is not."""

import copy

import pytest

from advisor import tables
from advisor.case_file import case_from
from advisor.heaters.candidates import heater_from_label
from advisor.heaters.catalogue import by_id, catalogue
from advisor.house.work import DOES_NOT_FIT, FITS, NEEDS_WORK, base_item, check_house, item

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


def check(heater_id, space="basement", hardness_gpg=None, n_units=1, **changes):
    values = copy.deepcopy(FOUR)
    for key, value in changes.items():
        section, _, name = key.partition("__")
        values.setdefault(section, {})[name] = value
    heater = by_id(heater_id)
    if n_units > 1:
        from dataclasses import replace

        heater = replace(heater, id=f"{heater.id}-x{n_units}", n_units=n_units)
    return check_house(heater, case_from(values), heater_space=space, hardness_gpg=hardness_gpg)


def jobs(*arguments, **changes):
    return {job.job: job for job in check(*arguments, **changes).work}


ELECTRIC_HOUSE = {"failed__fuel": "electricity"}


@pytest.mark.parametrize(
    ("job", "heater", "present", "absent"),
    [
        # gas
        ("gas-branch-3-4", TANKLESS, {}, {"gas__branch_size_in": "3/4"}),
        ("gas-branch-3-4", TANKLESS, {"gas__branch_size_in": "1/2"}, {"gas__branch_size_in": "1"}),
        ("gas-branch-3-4", TANK, ELECTRIC_HOUSE, {}),
        ("gas-branch-3-4", PROPANE_TANK, {}, {"failed__fuel": "propane"}),
        ("gas-call-out", TANKLESS, {}, {"gas__branch_size_in": "3/4"}),
        ("gas-meter", TANKLESS, {"gas__other_input_btuh": 100_000}, {"gas__other_input_btuh": 40_000}),
        ("gas-meter", TANKLESS, {"gas__other_input_btuh": 51_001}, {"gas__other_input_btuh": 51_000}),
        ("propane-supply", PROPANE_TANKLESS, {}, {"gas__other_input_btuh": 20_000}),
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
        ("flue-cap", TANKLESS, {}, {"vent__is_shared": True}),
        ("flue-cap", HEAT_PUMP, {}, ELECTRIC_HOUSE),
        ("combustion-air", TANK, {"house__room_volume_ft3": 1_999}, {"house__room_volume_ft3": 2_000}),
        ("combustion-air", BIG_TANK, {"house__room_volume_ft3": 3_799}, {"house__room_volume_ft3": 3_800}),
        # condensate
        ("condensate-drain", CONDENSING, {}, {"drain__has_gravity_drain": False}),
        ("condensate-drain", HEAT_PUMP, {"drain__has_gravity_drain": True}, {"drain__has_gravity_drain": False}),
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
        ("mixing-valve", TANK, {"household__set_point_f": 126}, {"household__set_point_f": 125}),
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
        ("gas-branch-3-4", TANKLESS, POWER_VENT),
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
    found = {"softener", "scale-filter"} & set(jobs(TANKLESS, hardness_gpg=hardness_gpg))
    assert found == ({job} if job else set())
    assert not {"softener", "scale-filter"} & set(jobs(TANK, hardness_gpg=hardness_gpg))


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
        (HEAT_PUMP, "outdoors", None, "indoors"),
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
    branch = jobs(TANKLESS, gas__branch_size_in="1/2", gas__branch_ft=40)["gas-branch-3-4"]
    assert (branch.quantity, branch.unit) == (40, "ft")
    assert branch.typical_usd == 40 * costs["gas-branch-3-4"]["typical_usd_per_unit"]
    extra = jobs(CONDENSING, n_units=2, vent__run_ft=25, vent__n_elbows=3)
    assert extra["vent-plastic-extra"].quantity == 2 * 15
    assert extra["vent-elbow"].quantity == 2 * 3
    assert extra["vent-plastic"].quantity == 2


def test_two_burners_need_the_gas_of_two():
    """398,000 Btu/h is more than a 3/4 in. branch is taken for here."""
    assert "gas-branch-1" in jobs(TANKLESS, n_units=2)
    assert "398,000 Btu/h" in jobs(TANKLESS, n_units=2)["gas-branch-1"].why
    assert "gas-branch-1" not in jobs(TANKLESS)


def test_what_the_case_does_not_say_is_marked_as_assumed():
    assert jobs(TANKLESS)["gas-branch-3-4"].is_assumed
    assert not jobs(TANKLESS, gas__branch_size_in="1/2", gas__branch_ft=20)["gas-branch-3-4"].is_assumed
    assert jobs(CONDENSING)["condensate-drain"].is_assumed
    assert not jobs(CONDENSING, drain__has_gravity_drain=True)["condensate-drain"].is_assumed
    assert jobs(ELECTRIC_TANKLESS)["panel-200"].is_assumed
    assert not jobs(ELECTRIC_TANKLESS, electrical__service_a=100)["panel-200"].is_assumed
    assert jobs(HEAT_PUMP)["circuit-240-30"].is_assumed
    assert jobs(TANKLESS)["receptacle-120"].is_assumed
    assert jobs(TANKLESS)["flue-cap"].is_assumed
    assert not jobs(TANKLESS, vent__is_shared=False)["flue-cap"].is_assumed


def test_a_septic_tank_is_named_where_acid_water_would_reach_it():
    assert "septic" in jobs(CONDENSING, drain__is_septic=True)["condensate-neutralizer"].why
    assert "septic" not in jobs(CONDENSING)["condensate-neutralizer"].why


@pytest.mark.parametrize("heater", catalogue(), ids=lambda heater: heater.id)
def test_prices_of_every_candidate_stand_in_order(heater):
    found = check(heater.id, vent__is_shared=True, drain__has_gravity_drain=False, gas__other_input_btuh=300_000)
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
    values = FOUR | {"heaters": [{"title": "Mine", "technology": "gas_storage_atmospheric", "fuel": "natural_gas",
                                  "uef": 0.62, "fhr_gal": 80, "rated_volume_gal": 48, "input_btuh": 39_000}]}  # fmt: skip
    heater = heater_from_label(case_from(values).heaters[0], 1)
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
    trades = {row["job"] for row in tables.load("work_jobs").rows()}
    costs = {row["id"] for row in tables.load("installed_costs").rows() if row["category"] != "base"}
    assert trades == costs
    for job in trades:
        assert item(job, "test").typical_usd >= 0


@pytest.mark.parametrize(
    ("heater", "triggers"),
    [
        (TANK, {"always", "fuel_burning", "storage"}),
        (TANKLESS, {"always", "fuel_burning", "tankless"}),
        (PROPANE_TANKLESS, {"always", "fuel_burning", "propane", "tankless"}),
        (CONDENSING_TANK, {"always", "fuel_burning", "condensing", "storage"}),
        (HEAT_PUMP, {"always", "electric", "heat_pump", "storage"}),
        (ELECTRIC_TANKLESS, {"always", "electric", "tankless"}),
    ],
)
def test_cautions_that_every_heater_of_a_kind_carries(heater, triggers):
    assert triggers <= set(check(heater).caution_triggers)
    assert "hot_storage" in check(heater, household__set_point_f=130).caution_triggers


def test_every_caution_trigger_is_one_of_the_table():
    known = set(tables.load("cautions").columns["trigger"].allowed)
    for heater in catalogue():
        assert set(check(heater.id, household__set_point_f=140).caution_triggers) <= known
