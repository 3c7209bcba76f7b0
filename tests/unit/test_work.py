"""Each job has its trigger: with it the job is on the list, without it it is not; and jobs and verdicts agree."""

import numpy as np
import pytest

from advisor.core import tables
from advisor.core.findings import note
from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK
from advisor.heaters.candidates import heater_from_label
from advisor.heaters.catalogue import catalogue
from advisor.house.items import base_item, item
from advisor.house.local_prices import local_prices
from advisor.house.work import check_house
from advisor.report.words import clause, has, keys, say
from tests.houses import ELECTRIC_HOUSE, USE, case_of, check, house_of, jobs, said

TANK, BIG_TANK, POWER_VENT = "gas-tank-50", "gas-tank-75", "gas-tank-power-vent-50"
CONDENSING_TANK, PROPANE_TANK, OIL = "gas-tank-condensing-50", "propane-tank-50", "oil-tank-32"
TANKLESS, CONDENSING, PROPANE_TANKLESS = "gas-tankless-199", "gas-tankless-condensing-199", "propane-tankless-199"
ELECTRIC, HEAT_PUMP, PLUG_IN = "electric-tank-50", "heat-pump-50", "heat-pump-plug-in-50"
ELECTRIC_TANKLESS = "electric-tankless-27"
OIL_HOUSE = {"failed__fuel": "heating_oil"}
ELECTRIC_TANKLESS_HOUSE = {"failed__fuel": "electricity", "failed__kind": "tankless"}
GARAGE = {"house__heater_space": "garage"}
BRICK = {"vent__flue": "masonry"}
BIG_PIPE = {"gas__branch_size_in": "1-1/4", "gas__trunk_size_in": "1-1/2"}


@pytest.mark.parametrize(
    ("job", "heater", "present", "absent"),
    [
        # gas: a new branch where the fuel changes, larger pipe where the old one is too small
        ("gas-branch-3-4", TANK, ELECTRIC_HOUSE, {}),
        ("gas-branch-3-4", PROPANE_TANK, {}, {"failed__fuel": "propane"}),
        ("gas-branch-1", CONDENSING, ELECTRIC_HOUSE, {}),
        ("gas-call-out", TANK, ELECTRIC_HOUSE, {}),
        ("gas-larger-pipe", TANKLESS, {"gas__branch_size_in": "1/2"}, BIG_PIPE),
        (
            "gas-dedicated-run",
            "gas-tankless-condensing-120",
            {"gas__branch_size_in": "1/2", "gas__trunk_size_in": "3/4"},
            BIG_PIPE,
        ),
        (
            "gas-larger-meter",
            TANKLESS,
            {**BIG_PIPE, "gas__meter_class": "175"},
            {**BIG_PIPE, "gas__meter_class": "425"},
        ),
        ("gas-meter", TANKLESS, {"gas__meter_class": "175"}, {"gas__meter_class": "425"}),
        # vent
        ("vent-stainless", TANKLESS, {}, {"vent__flue": "stainless"}),
        ("vent-stainless", TANKLESS, {"vent__flue": "plastic"}, {"vent__flue": "stainless"}),
        ("vent-plastic", CONDENSING, {}, {"vent__flue": "plastic"}),
        ("vent-plastic", CONDENSING, {"vent__flue": "none"}, {"house__heater_space": "outdoors"}),
        ("vent-plastic", POWER_VENT, {}, {"vent__flue": "plastic"}),
        ("vent-stainless-extra", TANKLESS, {"vent__run_ft": 7}, {"vent__run_ft": 6}),
        ("vent-plastic-extra", CONDENSING, {"vent__run_ft": 11}, {"vent__run_ft": 10}),
        ("vent-elbow", CONDENSING, {"vent__n_elbows": 1}, {"vent__n_elbows": 0}),
        ("vent-connector", TANK, {}, ELECTRIC_HOUSE),
        ("vent-connector", OIL, OIL_HOUSE, {"failed__kind": "tankless"}),
        ("vent-type-b", TANK, ELECTRIC_HOUSE, {}),
        ("vent-type-b", TANK, {"vent__flue": "none"}, {"vent__flue": "type_b"}),
        ("vent-type-b", TANK, {"vent__flue": "plastic"}, {"vent__flue": "masonry"}),
        # 20 ft, 4 ft across, 3 in.: at most 48,000 Btu/h by IRC Table G2428.2(1), and the 75 gal tank burns 76,000.
        (
            "vent-type-b",
            BIG_TANK,
            {"vent__flue": "type_b", "vent__is_shared": False, "vent__flue_height_ft": 20, "vent__flue_diameter_in": 3},
            {"vent__flue": "type_b", "vent__is_shared": False, "vent__flue_height_ft": 20, "vent__flue_diameter_in": 4},
        ),
        ("chimney-liner", OIL, {}, OIL_HOUSE),
        ("chimney-liner", TANKLESS, {**BRICK, "vent__is_shared": True}, {**BRICK, "vent__is_shared": False}),
        ("chimney-liner", HEAT_PUMP, {**BRICK, "vent__is_shared": True}, {**BRICK, **ELECTRIC_HOUSE}),
        # Metal is mended with metal: nobody lines a Type B vent.
        ("chimney-liner", TANKLESS, {**BRICK, "vent__is_shared": True}, {"vent__is_shared": True}),
        ("flue-sizing", TANKLESS, {"vent__is_shared": True}, {"vent__is_shared": False}),
        # 8x12 tile is 9.0 times a 3 in. draft hood, 8x8 is 6.0 (IFGC Table B-1 and the 7 times of Table 504.2(3)).
        (
            "chimney-liner",
            TANK,
            {"vent__flue": "masonry", "vent__is_shared": False, "vent__tile_liner": "8x12"},
            {"vent__flue": "masonry", "vent__is_shared": False, "vent__tile_liner": "8x8"},
        ),
        ("flue-cap", TANKLESS, {}, {**BRICK, "vent__is_shared": True}),
        ("flue-cap", HEAT_PUMP, {}, ELECTRIC_HOUSE),
        # air: 50 ft3 for each 1,000 Btu/h (NFPA 54 9.3)
        ("combustion-air-indoor", TANK, {"house__room_volume_ft3": 1_999}, {"house__room_volume_ft3": 2_000}),
        ("combustion-air-indoor", BIG_TANK, {"house__room_volume_ft3": 3_799}, {"house__room_volume_ft3": 3_800}),
        ("combustion-air-indoor", TANK, {"house__heater_space": "closet"}, {"house__heater_space": "indoors"}),
        # No opening joins a garage to the house: one to outdoors is the cheapest.
        ("combustion-air-one", TANK, {**GARAGE, "house__room_volume_ft3": 1_999}, {"house__room_volume_ft3": 1_999}),
        # condensate
        ("condensate-drain", CONDENSING, {}, {"drain__has_gravity_drain": False}),
        ("condensate-drain", HEAT_PUMP, {"drain__has_gravity_drain": True}, {"drain__has_gravity_drain": False}),
        ("condensate-pump", CONDENSING_TANK, {"drain__has_gravity_drain": False}, {"drain__has_gravity_drain": True}),
        ("condensate-neutralizer", CONDENSING, {}, {"drain__material": "plastic"}),
        # electrical
        ("receptacle-120", TANKLESS, {}, {"electrical__has_receptacle": True}),
        ("receptacle-120", POWER_VENT, {}, {"vent__flue": "plastic"}),
        ("receptacle-120", PLUG_IN, {"electrical__has_receptacle": False}, {"electrical__has_receptacle": True}),
        ("circuit-240-30", HEAT_PUMP, {}, ELECTRIC_HOUSE),
        ("circuit-240-30", ELECTRIC, {"electrical__has_240_v_circuit": False}, {"electrical__has_240_v_circuit": True}),
        ("circuit-240-30", HEAT_PUMP, {"electrical__has_240_v_circuit": False, **ELECTRIC_HOUSE}, ELECTRIC_HOUSE),
        ("circuit-240-30", ELECTRIC, {"electrical__circuit_a": 20, **ELECTRIC_HOUSE}, ELECTRIC_HOUSE),
        ("circuits-240-40-x3", ELECTRIC_TANKLESS, ELECTRIC_HOUSE, ELECTRIC_TANKLESS_HOUSE),
        ("subpanel", HEAT_PUMP, {"electrical__n_free_spaces": 1}, {"electrical__n_free_spaces": 2}),
        (
            "subpanel",
            HEAT_PUMP,
            {"electrical__n_free_spaces": 0},
            {"electrical__n_free_spaces": 0, "electrical__has_240_v_circuit": True},
        ),
        # a larger panel brings its own spaces
        (
            "subpanel",
            ELECTRIC_TANKLESS,
            {"electrical__n_free_spaces": 0, "electrical__service_a": 200},
            {"electrical__n_free_spaces": 0, "electrical__service_a": 100},
        ),
        ("panel-200", ELECTRIC_TANKLESS, {}, {"electrical__service_a": 200}),
        ("panel-200", ELECTRIC, {"electrical__is_damaged_panel": True}, {}),
        ("service-upgrade", ELECTRIC_TANKLESS, {"electrical__service_a": 60}, {"electrical__service_a": 200}),
        ("load-sharing", HEAT_PUMP, {"electrical__service_a": 100}, {"electrical__service_a": 125}),
        # water
        ("expansion-tank", TANK, {"water__has_closed_system": True}, {"water__has_closed_system": False}),
        ("expansion-tank", TANK, {"water__static_pressure_psi": 85}, {"water__static_pressure_psi": 80}),
        ("mixing-valve", TANK, {"household__set_point_f": 121}, {"household__set_point_f": 120}),
        ("pressure-regulator", TANKLESS, {"water__static_pressure_psi": 81}, {"water__static_pressure_psi": 80}),
        ("drain-pan", TANK, {"house__is_over_living_space": True}, {"house__is_over_living_space": False}),
        ("seismic-straps", TANK, {"water__is_earthquake_country": True}, {}),
        # room
        ("hard-access", ELECTRIC, {"house__heater_space": "attic"}, {}),
        ("hard-access", TANKLESS, {"house__heater_space": "crawl_space"}, {}),
        # permits
        ("permit-electrical", HEAT_PUMP, {}, ELECTRIC_HOUSE),
    ],
)
def test_a_job_and_its_trigger(job, heater, present, absent):
    assert job in jobs(heater, **present)
    assert job not in jobs(heater, **absent)


@pytest.mark.parametrize(
    ("job", "heater", "never"),
    [
        ("gas-trap-and-valve", TANK, HEAT_PUMP),
        ("gas-trap-and-valve", PROPANE_TANK, OIL),
        ("propane-supply", PROPANE_TANKLESS, PROPANE_TANK),
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
    assert job in jobs(heater, gas__branch_size_in="1/2")
    assert job not in jobs(never, gas__branch_size_in="1/2")


def test_only_tanks_need_an_expansion_tank_a_mixing_valve_and_a_pan():
    changes = {"water__has_closed_system": True, "household__set_point_f": 140, "house__is_over_living_space": True}
    wanted = {"expansion-tank", "mixing-valve", "drain-pan"}
    assert wanted <= set(jobs(TANK, **changes))
    assert not wanted & set(jobs(TANKLESS, **changes))


def test_an_expansion_tank_that_is_there_is_not_bought_again():
    assert "expansion-tank" not in jobs(TANK, water__has_closed_system=True, water__has_expansion_tank=True)


@pytest.mark.parametrize(
    ("hardness_gpg", "job"),
    [(None, None), (7, None), (7.1, "scale-filter"), (10.5, "scale-filter"), (10.6, "softener")],
)
def test_hard_water_asks_for_treatment_before_a_tankless_heater(hardness_gpg, job):
    changes = {} if hardness_gpg is None else {"water__hardness_gpg": hardness_gpg}
    assert {"softener", "scale-filter"} & set(jobs(TANKLESS, **changes)) == ({job} if job else set())
    assert not {"softener", "scale-filter"} & set(jobs(TANK, **changes))


@pytest.mark.parametrize(
    ("space", "volume_ft3", "job"),
    [
        ("basement", 449, "heat-pump-duct"),
        ("basement", 450, None),
        ("closet", None, "louvred-door"),
        ("basement", None, None),
    ],
)
def test_the_air_of_a_heat_pump(space, volume_ft3, job):
    changes = {} if volume_ft3 is None else {"house__room_volume_ft3": volume_ft3}
    found = {"heat-pump-duct", "louvred-door"} & set(jobs(HEAT_PUMP, house__heater_space=space, **changes))
    assert found == ({job} if job else set())


@pytest.mark.parametrize(
    ("heater", "keys", "says"),
    [
        (TANK, {"house__room_height_in": 65.9}, "60 in. tall"),  # 60 in. and 6 in. above it
        (TANK, {"house__room_height_in": 66}, None),
        (HEAT_PUMP, {"house__heater_space": "outdoors"}, "weather"),
        (HEAT_PUMP, {"house__heater_space": "garage"}, None),
        # An outdoor closet held the old tank, so it holds one like it, but no other kind.
        (TANK, {"house__heater_space": "outdoors"}, None),
        (TANK, {"house__heater_space": "outdoors", **ELECTRIC_HOUSE}, "weather"),
        (CONDENSING_TANK, {"house__heater_space": "outdoors"}, "weather"),
        (ELECTRIC, {"house__heater_space": "outdoors", **ELECTRIC_HOUSE}, None),
        (TANKLESS, {"house__heater_space": "outdoors"}, None),
        # The maker's own limit binds; a generic one is only a hint until it is far exceeded (130 ft at 3 in.).
        (CONDENSING, {"vent__run_ft": 60, "vent__n_elbows": 0, "vent__limit_ft": 59}, "1 ft more"),
        (CONDENSING, {"vent__run_ft": 60, "vent__n_elbows": 0}, None),
        (CONDENSING, {"vent__run_ft": 131, "vent__n_elbows": 0}, "1 ft more"),
    ],
)
def test_what_cannot_stand_there_does_not_fit(heater, keys, says):
    found = check(heater, **keys)
    assert (found.verdict == DOES_NOT_FIT) == (says is not None)
    assert says is None or says in said(found.why)


def test_a_vent_beyond_the_generic_lengths_asks_for_the_instructions():
    found = check(CONDENSING, vent__diameter_in=5).trade("vent")
    assert found.verdict == NEEDS_WORK and "vent-plastic" in {job.job for job in found.items}
    assert "the instructions must say how far it may run" in said(found.findings)
    assert "must say" not in said(check(CONDENSING, vent__diameter_in=5, vent__limit_ft=60).trade("vent").findings)


def test_a_tile_liner_that_no_table_has_is_measured_by_a_professional():
    for heater, shared in ((TANK, False), (TANKLESS, True)):
        found = check(heater, vent__flue="masonry", vent__is_shared=shared, vent__tile_liner="9x9").trade("vent")
        assert found.verdict == NEEDS_WORK and "does not list a 9x9 tile liner" in said(found.findings)
        liner = next(job for job in found.items if job.job == "chimney-liner")
        assert liner.counted_usd[0] == 0 and liner.is_assumed, "perhaps it serves"
        assert liner.counted_usd[1] == pytest.approx(0.3 * liner.typical_usd)


def test_what_a_trade_cannot_follow_is_a_finding_of_that_heater_alone():
    """A typed-in tank of 60 kW asks for a circuit that no table here has."""
    label = {
        "title": "Mine",
        "technology": "electric_storage_resistance",
        "fuel": "electricity",
        "uef": 0.92,
        "fhr_gal": 150,
        "rated_volume_gal": 110,
        "input_kw": 60,
    }
    case = case_of({"heaters": [label]})
    found = check_house(heater_from_label(case.heaters[0], 1), *house_of(case), USE)
    assert found.verdict == DOES_NOT_FIT and found.why == found.trade("power").findings
    assert said(found.why) == (
        "Because of heaters.input_kw this goes beyond what can be worked out here: a professional must look at it."
    )
    assert found.trade("water").verdict == FITS


def test_a_plain_swap_fits_as_it_is():
    found = check(TANK, vent__flue="type_b")
    assert found.verdict == FITS
    assert {job.job for job in found.work} == {"gas-trap-and-valve", "vent-connector", "permit"}
    assert check(ELECTRIC, **ELECTRIC_HOUSE).verdict == FITS
    assert check(OIL, **OIL_HOUSE).verdict == FITS
    assert check(PROPANE_TANK, failed__fuel="propane", house__fuels=["propane"]).verdict == FITS
    # Nobody has read the old tankless heater's breakers and wires: somebody must, before these serve.
    swapped = check(ELECTRIC_TANKLESS, **ELECTRIC_TANKLESS_HOUSE)
    assert swapped.verdict == NEEDS_WORK
    assert [job.job for job in swapped.work if not job.is_usual] == ["circuit-check"]


def test_a_like_swap_leaves_pipe_that_only_the_table_finds_short():
    """Old rules sized many branches that today's table would not: who burns no more than the old burner, keeps it."""
    short = {"gas__branch_size_in": "1/2", "gas__branch_ft": 150, "gas__trunk_size_in": "1"}
    like = check(TANK, failed__input_btuh=40_000, **short)
    gas = like.trade("gas")
    assert not gas.detail.check.by_length.passes and gas.detail.check.pressure.passes
    assert gas.verdict == FITS and said(gas.findings).startswith("The new heater asks no more of the pipe")
    assert gas.ways_out, "what would mend the table is still shown"
    assert check(BIG_TANK, failed__input_btuh=40_000, **short).trade("gas").verdict == NEEDS_WORK
    # Nobody read the old plate: then nothing is known to be no more.
    assert check(TANK, **short).trade("gas").verdict == NEEDS_WORK


def test_the_largest_job_is_named():
    found = check(TANKLESS, vent__is_shared=True)
    assert found.verdict == NEEDS_WORK
    real = [job for job in found.work if not job.is_usual]
    assert said(max(real, key=lambda job: job.typical_usd).what) in said(found.why)
    assert said(found.why).startswith(f"{len(real)} jobs beyond a plain swap")


def test_quantities_multiply_prices():
    costs = {row["id"]: row for row in tables.load("jobs").rows()}
    branch = jobs(TANK, gas__branch_ft=40, house__heating_fuel="natural_gas", **ELECTRIC_HOUSE)["gas-branch-3-4"]
    assert (branch.quantity, branch.unit) == (40, "ft")
    # Alaska's plumbers earn 1.253 of the country's; 0.6 of the price is labor.
    moved = local_prices((), "AK").of_job(branch).typical_usd / branch.typical_usd
    assert moved == pytest.approx(1 + 0.6 * 0.253)
    here = local_prices((), house_of(case_of())[1].us_state).wage_factor("plumber", 0.6)
    assert branch.typical_usd == pytest.approx(40 * here * costs["gas-branch-3-4"]["typical_usd_per_unit"])
    extra = jobs(CONDENSING, n_units=2, vent__run_ft=25, vent__n_elbows=3)
    assert extra["vent-plastic-extra"].quantity == 2 * 15
    assert extra["vent-elbow"].quantity == 2 * 3
    assert extra["vent-plastic"].quantity == extra["gas-trap-and-valve"].quantity == 2
    assert extra["isolation-valves"].quantity == 2


def test_one_old_circuit_serves_one_tank():
    assert "circuit-240-30" not in jobs(ELECTRIC, **ELECTRIC_HOUSE)
    assert jobs(ELECTRIC, n_units=3, **ELECTRIC_HOUSE)["circuit-240-30"].quantity == 2
    assert jobs(PLUG_IN, n_units=2)["receptacle-120"].quantity == 2
    assert jobs(TANKLESS, n_units=2)["receptacle-120"].quantity == 1


def test_what_the_case_does_not_say_is_marked_as_assumed():
    assert jobs(TANK, **ELECTRIC_HOUSE)["gas-branch-3-4"].is_assumed
    assert not jobs(TANK, gas__branch_ft=20, **ELECTRIC_HOUSE)["gas-branch-3-4"].is_assumed
    assert jobs(CONDENSING)["condensate-drain"].is_assumed
    assert not jobs(CONDENSING, drain__has_gravity_drain=True)["condensate-drain"].is_assumed
    assert jobs(HEAT_PUMP)["circuit-240-30"].is_assumed
    assert not jobs(HEAT_PUMP, electrical__has_240_v_circuit=False)["circuit-240-30"].is_assumed
    assert jobs(TANKLESS)["receptacle-120"].is_assumed
    assert not jobs(TANKLESS, electrical__has_receptacle=False)["receptacle-120"].is_assumed
    assert jobs(TANKLESS)["flue-cap"].is_assumed
    assert not jobs(TANKLESS, vent__is_shared=False)["flue-cap"].is_assumed
    assert jobs(TANKLESS)["vent-stainless"].is_assumed
    assert not jobs(TANKLESS, vent__run_ft=12)["vent-stainless"].is_assumed


def test_an_assumption_is_a_sentence_that_says_so():
    for heater in catalogue():
        for sentence in map(said, check(heater.id).assumed):
            assert sentence[0].isupper() and sentence.endswith(".")
            assert any(word in sentence for word in ("assumed", "verified", "no published source", "computed"))
            assert "none vent" not in sentence and "None" not in sentence


def test_a_septic_tank_is_named_where_acid_water_would_reach_it():
    assert "septic" in said(jobs(CONDENSING, drain__is_septic=True)["condensate-neutralizer"].why)
    assert "septic" not in said(jobs(CONDENSING)["condensate-neutralizer"].why)


HOUSES = [
    {
        "vent__is_shared": True,
        "drain__has_gravity_drain": False,
        "gas__furnace_btuh": 200_000,
        "gas__meter_class": "175",
    },
    {},
    {"house__heater_space": "outdoors"},
    {"house__heater_space": "attic", "house__is_over_living_space": True, **ELECTRIC_HOUSE},
    {"failed__kind": "tankless", "house__heater_space": "closet"},
    ELECTRIC_TANKLESS_HOUSE,
    {"electrical__is_damaged_panel": True, "electrical__n_free_spaces": 0, **OIL_HOUSE},
    {"failed__fuel": "propane", "water__static_pressure_psi": 95, "electrical__service_a": 60},
    {"vent__flue": "plastic", "water__recirculation": "timer"},
]


@pytest.mark.parametrize("house", HOUSES, ids=range(len(HOUSES)))
@pytest.mark.parametrize("heater", catalogue(), ids=lambda heater: heater.id)
def test_jobs_prices_verdicts_and_cautions_hang_together(heater, house):
    found = check(heater.id, **house)
    for job in (found.base, *found.work):
        assert 0 <= job.low_usd <= job.typical_usd <= job.high_usd
        assert said(job.why) and say(job.who) and said(job.what) and job.quantity > 0
        assert not clause(job.why).endswith(".")
    names = [job.job for job in found.work]
    assert len(set(names)) == len(names), "a job stands twice"
    assert "permit" in names and found.base.job == f"base-{heater.id}"
    assert ("permit-electrical" in names) == any(job.is_electrical for job in found.work if job.job[:6] != "permit")
    jobs = (found.base, *found.work)
    # What nobody has looked at counts with its chance, and perhaps nothing.
    sums = [
        sum(job.low_usd for job in jobs if job.chance_frac == 1),
        sum(job.chance_frac * job.typical_usd for job in jobs),
        sum(job.high_usd for job in jobs),
    ]
    assert found.installed_usd == pytest.approx(sums)
    least, most = found.two_prices_usd
    assert least <= sums[1] + 1e-6 and sums[1] <= most + 1e-6
    assert most == pytest.approx(sum(job.typical_usd for job in jobs))
    assert all(0 < job.chance_frac <= 1 and job.is_assumed >= (job.chance_frac < 1) for job in jobs)
    known = {row["id"] for row in tables.load("cautions").rows()}
    assert set(found.cautions) <= known
    for trade in found.trades:
        real = [job for job in trade.items if not job.is_usual]
        if trade.verdict == FITS:
            assert not real, f"{trade.trade} fits but has jobs"
        if trade.verdict == NEEDS_WORK:
            assert real, f"{trade.trade} needs work but has no job"
        finding = said(trade.findings)
        assert finding[0].isupper() and finding.endswith("."), finding
        assert ".." not in finding and "  " not in finding and "None" not in finding
        assert len(set(trade.cautions)) == len(trade.cautions)
    worst = {trade.verdict for trade in found.trades}
    expected = DOES_NOT_FIT if DOES_NOT_FIT in worst else NEEDS_WORK if NEEDS_WORK in worst else FITS
    assert found.verdict == expected


def test_every_caution_about_a_heater_or_a_house_is_raised_somewhere():
    raised = set()
    more = [
        {"gas__material": "csst"},
        {"water__hardness_gpg": 12},
        {"household__set_point_f": 140},
        {"water__is_earthquake_country": True},
        {"house__heater_space": "garage"},
        {"vent__is_shared": True, "house__room_volume_ft3": 900},
        {"water__recirculation": "always"},
        {"house__is_manufactured_home": True},
    ]
    for heater in catalogue():
        for house in [*HOUSES, *more]:
            raised |= set(check(heater.id, place={"altitude_frac": 0.8, "state": "CO"}, **house).cautions)
    by_trades = {row["id"] for row in tables.load("cautions").rows() if row["raised_by"] == "trade"}
    assert by_trades <= raised


@pytest.mark.parametrize(
    ("heater", "cautions"),
    [
        (TANK, {"carbon_monoxide_alarm", "draft_test", "scald", "bacteria", "relief_valve", "leak"}),
        (TANKLESS, {"carbon_monoxide_alarm", "gas_supply", "vent_terminal", "power_cut", "tankless_flow"}),
        (PROPANE_TANKLESS, {"carbon_monoxide_alarm", "propane", "gas_supply"}),
        (CONDENSING_TANK, {"condensate_acidic", "vents_not_interchangeable", "power_cut"}),
        (HEAT_PUMP, {"panel_load", "heat_pump_air", "heat_pump_drain", "shared_flue"}),
        (ELECTRIC_TANKLESS, {"panel_load", "electric_tankless_load", "tankless_flow"}),
        (PLUG_IN, {"plug_in_slow"}),
        (OIL, {"oil", "carbon_monoxide_alarm"}),
    ],
)
def test_cautions_that_a_kind_carries(heater, cautions):
    assert cautions <= set(check(heater).cautions)


def test_the_plain_installation_of_a_typed_in_heater_is_that_of_the_nearest_of_its_fuel():
    label = {
        "title": "Mine",
        "technology": "gas_storage_atmospheric",
        "fuel": "propane",
        "uef": 0.62,
        "fhr_gal": 80,
        "rated_volume_gal": 48,
        "input_btuh": 39_000,
    }
    heater = heater_from_label(case_of({"heaters": [label]}).heaters[0], 1)
    assert base_item(heater).job in {"base-propane-tank-40", "base-propane-tank-50"}


def test_two_tanks_cost_two_tanks():
    one, two = check(TANK).base, check(TANK, n_units=2).base
    assert two.typical_usd == 2 * one.typical_usd
    assert two.job == one.job


def test_every_job_is_named_in_both_languages_and_somebody_does_it():
    for row in tables.load("jobs").rows():
        # The ways out of short gas pipe are named and priced from pipe, visit and meter.
        from_parts = row["typical_usd_per_unit"] is None and row["id"].startswith("gas-")
        assert has(f"who.{row['who']}") and has(f"job.{row['id']}") != from_parts
        if not from_parts:
            assert item(row["id"], note("work.why.permit")).typical_usd >= 0
    ids = {row["id"] for row in tables.load("jobs").rows()} | {"base"}
    doers = {row["who"] for row in tables.load("jobs").rows()}
    for key in keys("en"):
        kind, _, name = key.partition(".")
        assert name in {"job": ids, "who": doers}.get(kind, {name}), key


# What hangs there stays -------------------------------------------------------------------------------------------

TANKLESS_FAILED = {"failed__fuel": "natural_gas", "failed__kind": "tankless"}


def test_a_failed_tankless_heater_leaves_its_pipe_vent_outlet_and_valves():
    """Its like pays for the connection and a look at the vent, and no pipe, vent, outlet or valves."""
    found = jobs("gas-tankless-180", **TANKLESS_FAILED)
    assert set(found) <= {"gas-trap-and-valve", "vent-check", "permit"}
    new = set(jobs("gas-tankless-180"))
    assert {"vent-stainless", "isolation-valves"} <= new and "gas-trap-and-valve" in new
    guessed = {one.field for one in check("gas-tankless-180", **TANKLESS_FAILED).assumed}
    assert {"failed.input_btuh", "vent.flue"} <= guessed
    # What was read on the plate is not assumed; two in parallel lack valves for one.
    plate = check("gas-tankless-180", **TANKLESS_FAILED, failed__input_btuh=199_000)
    assert "failed.input_btuh" not in {one.field for one in plate.assumed}
    assert jobs("gas-tankless-180", 2, **TANKLESS_FAILED)["isolation-valves"].quantity == 1


def test_a_failed_heat_pump_leaves_its_circuit_and_drain():
    failed = {"failed__fuel": "electricity", "failed__kind": "heat_pump"}
    assert set(jobs("heat-pump-50", **failed)) == {"permit"}
    assert "condensate-drain" in jobs("heat-pump-50", failed__fuel="electricity")
    # A drain that is known to be missing is put in.
    assert "condensate-pump" in jobs("heat-pump-50", **failed, drain__has_gravity_drain=False)


# What cannot work is out ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("heater", "coldest_f", "fits"),
    [
        ("heat-pump-plug-in-50", 46.0, True),
        ("heat-pump-plug-in-50", 44.0, False),
        ("heat-pump-50", 44.0, True),
        ("heat-pump-50", 39.0, False),
        ("electric-tank-50", 20.0, True),
    ],
)
def test_a_heat_pump_is_out_where_it_would_not_heat(heater, coldest_f, fits):
    """No element: 45 °F in every month's mean; any heat pump: no month that has nights that freeze. Our own limits."""
    found = check(heater, place={"air_f": np.linspace(coldest_f, 70.0, 12)})
    assert (found.verdict != DOES_NOT_FIT) == fits
    assert fits or "coldest month" in said(found.why)
