"""The case: four answers are enough, what is assumed says so, contradictions are refused, odd things asked again."""

import copy
import re
from datetime import date

import pytest
from pydantic import ValidationError

from advisor.case.file import case_from
from advisor.case.record import Case, Section
from advisor.core.errors import InputError
from advisor.core.units import suffix_of
from tests.houses import case_of, said

FOUR = {
    "place": {"zip_code": "55811"},
    "household": {"people": 4},
    "failed": {"fuel": "natural_gas"},
    "house": {"fuels": ["natural_gas"]},
}


def case_with(**changes):
    """The four answers with keys ``section__key`` added or replaced."""
    values = copy.deepcopy(FOUR)
    for key, value in changes.items():
        section, _, name = key.partition("__")
        if name:
            values.setdefault(section, {})[name] = value
        else:
            values[section] = value
    return case_from(values)


def sections(model=Case):
    return {
        name: field.annotation
        for name, field in model.model_fields.items()
        if isinstance(field.annotation, type) and issubclass(field.annotation, Section)
    }


def test_four_answers_are_enough():
    case = case_from(FOUR)
    assert case.household.people == 4
    assert case.household.set_point_f == 120.0
    assert case.failed.kind == "tank"
    assert case.water.supply == "mains"
    assert case.gas.branch_size_in is None
    assert case.uses == case.heaters == case.offers == ()


@pytest.mark.parametrize("missing", FOUR)
def test_none_of_the_four_can_be_left_out(missing):
    values = {name: answer for name, answer in FOUR.items() if name != missing}
    with pytest.raises(InputError, match="this is needed and is not given") as caught:
        case_from(values)
    assert caught.value.field == missing


def test_every_default_is_listed_as_assumed_with_a_reason():
    assumed = {item.field: item for item in case_from(FOUR).assumed()}
    for section, model in sections().items():
        for name, field in model.model_fields.items():
            path = f"{section}.{name}"
            is_assumed = not field.is_required() and field.default not in (None, ())
            assert (path in assumed) == is_assumed, path
            if is_assumed:
                assert assumed[path].value == field.default
                assert len(said(assumed[path].reason)) > 2
    assert len(assumed) >= 14


def test_defaults_in_lists_are_assumed_too():
    use = {"name": "tub", "mixed_gpm": 4, "duration_min": 10}
    assumed = [item.field for item in case_with(uses=[use | {"use_f": 102}, use]).assumed()]
    assert {"uses.1.count", "uses.2.count", "uses.2.use_f"} <= set(assumed)
    assert "uses.1.use_f" not in assumed
    run = {"name": "trunk", "upstream": "source", "size_in": "1", "length_ft": 20, "tees": 1}
    assumed = [item.field for item in case_with(gas__segments=[run]).assumed()]
    assert "gas.segments.1.elbows_90" in assumed
    assert "gas.segments.1.tees" not in assumed


def test_an_unknown_fact_has_no_default():
    """What is not listed as assumed stands as not known, not as zero or false."""
    case = case_from(FOUR)
    assumed = {item.field for item in case.assumed()}
    for section, model in sections().items():
        for name in model.model_fields:
            if name not in FOUR.get(section, {}) and f"{section}.{name}" not in assumed:
                assert getattr(getattr(case, section), name) in (None, ())


@pytest.mark.parametrize("path", [item.field for item in case_from(FOUR).assumed()])
def test_what_is_given_is_not_assumed(path):
    section, name = path.split(".")
    value = getattr(getattr(case_from(FOUR), section), name)
    assert path not in [item.field for item in case_with(**{f"{section}__{name}": value}).assumed()]


@pytest.mark.parametrize(("bedrooms", "people"), [(0, 1), (1, 1), (2, 2), (3, 3), (4, 3), (5, 4), (6, 4), (20, 13)])
def test_bedrooms_tell_how_many_people_where_nobody_knows(bedrooms, people):
    """0.59 a bedroom and 0.87, by hand: 0.87, 1.46, 2.05, 2.64, 3.23, 3.82, 4.41 and 12.67, rounded."""
    case = case_with(household={"bedrooms": bedrooms})
    assert case.household.people is None and case.household.people_counted == people
    (told,) = (one for one in case.assumed() if one.field == "household.people")
    assert told.value == people and "unverified" in said(told.reason) and f"in {bedrooms} bedroom" in said(told.reason)


@pytest.mark.parametrize(
    ("household", "says"),
    [
        ({}, "household.people: neither people nor bedrooms is given"),
        ({"bedrooms": 3, "children": 1}, "household.children = 1: nobody said how many people live here"),
    ],
)
def test_somebody_lives_there(household, says):
    with pytest.raises(InputError, match=says):
        case_with(household=household)


def test_people_that_are_given_rule_over_bedrooms():
    case = case_with(household={"people": 5, "bedrooms": 1})
    assert case.household.people_counted == 5
    assert "household.people" not in [one.field for one in case.assumed()]


def test_every_key_says_what_it_means():
    for model in (Case, *sections().values()):
        for name, field in model.model_fields.items():
            assert field.description or name in sections(), f"{model.__name__}.{name}"


def test_a_case_is_frozen():
    case = case_from(FOUR)
    with pytest.raises(ValidationError, match="frozen"):
        case.household.people = 5


@pytest.mark.parametrize(
    ("key", "given", "section", "name", "expected"),
    [
        ("failed__size_gal", "189 L", "failed", "size_gal", 49.9285),
        ("failed__size_gal", 50, "failed", "size_gal", 50),
        ("failed__input_btuh", "60 kBtu/h", "failed", "input_btuh", 60_000),
        ("failed__input_btuh", "12 kW", "failed", "input_btuh", 40_945.7),
        ("household__set_point_f", "49 C", "household", "set_point_f", 120.2),
        ("household__shower_flow_gpm", "8 L/min", "household", "shower_flow_gpm", 2.11338),
        ("household__people", "4", "household", "people", 4),
        ("house__room_height_in", "6' 8\"", "house", "room_height_in", 80),
        ("house__heating_efficiency_frac", "95 %", "house", "heating_efficiency_frac", 0.95),
        ("water__hardness_gpg", "120 mg/L", "water", "hardness_gpg", 7.0101),
        ("gas__branch_ft", "6 m", "gas", "branch_ft", 19.685),
        ("vent__diameter_in", "80 mm", "vent", "diameter_in", 3.14961),
        ("water__static_pressure_psi", "4 bar", "water", "static_pressure_psi", 58.0151),
        ("gas__supply_pressure_inwc", "1.743622 kPa", "gas", "supply_pressure_inwc", 7.0),
        ("prices__electricity_usd_per_kwh", "15 cents/kWh", "prices", "electricity_usd_per_kwh", 0.15),
        ("prices__natural_gas_usd_per_therm", "$1.10/therm", "prices", "natural_gas_usd_per_therm", 1.1),
        ("place__elevation_ft", "1600 m", "place", "elevation_ft", 5249.34),
    ],
)
def test_a_number_may_carry_its_unit(key, given, section, name, expected):
    case = case_with(**{key: given})
    assert getattr(getattr(case, section), name) == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize(("given", "zip_code"), [(55811, "55811"), (1002, "01002"), ("01002", "01002"), (501, "00501")])
def test_a_zip_code_without_quotes_is_read(given, zip_code):
    assert case_with(place__zip_code=given).place.zip_code == zip_code


@pytest.mark.parametrize("given", [0, -1, 100_000, True, 55811.5])
def test_a_number_that_is_no_zip_code_is_refused(given):
    with pytest.raises(InputError, match=r"^place\.zip_code"):
        case_with(place__zip_code=given)


@pytest.mark.parametrize("given", ["2026-11-25", date(2026, 11, 25)])
def test_a_date_is_read(given):
    assert case_with(install_date=given).install_date == date(2026, 11, 25)


@pytest.mark.parametrize("given", [0, 20261125, 1.5, True, "25 Nov 2026", "20261125", "2026-13-01", "tomorrow", ""])
def test_a_number_or_a_word_is_no_date(given):
    with pytest.raises(InputError, match="^install_date = .*this is not a date"):
        case_with(install_date=given)


@pytest.mark.parametrize(
    ("changes", "field", "says"),
    [
        ({"failed__fuel": "propane"}, "failed.fuel", "house.fuels has no propane"),
        ({"failed__fuel": "heating_oil"}, "failed.fuel", "house.fuels has no heating oil"),
        ({"failed__kind": "tankless", "failed__size_gal": 50}, "failed.size_gal", "has no tank"),
        ({"failed__kind": "heat_pump"}, "failed.fuel", "runs on electricity"),
        ({"place": {"elevation_ft": 600}}, "place", "neither zip_code nor city"),
        ({"place": {"state": "MN"}}, "place", "neither zip_code nor city"),
        (
            {"uses": [{"name": "shower", "mixed_gpm": 2, "duration_min": 8, "count": 1, "together": 2}]},
            "uses.1.together",
            "only 1 such uses are given",
        ),
        ({"house__fuels": []}, "house.fuels", "this list is empty"),
    ],
)
def test_contradictions_are_refused(changes, field, says):
    with pytest.raises(InputError, match=says) as caught:
        case_with(**changes)
    assert caught.value.field == field


def test_what_looks_like_a_contradiction_but_is_none():
    assert case_with(failed__fuel="electricity").failed.fuel.is_electric  # always counted
    assert case_with(failed__fuel="electricity", failed__kind="heat_pump").failed.kind == "heat_pump"
    assert case_with(failed__kind="tankless").failed.size_gal is None
    assert case_with(place={"city": "Duluth, MN"}).place.city == "Duluth, MN"


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"house__fuels": ["natural_gas", "propane"]}, "both natural gas and propane"),
        ({"household__set_point_f": 145}, "hot enough to burn"),
        ({"household__set_point_f": 110}, "bacteria"),
        ({"failed__age_yr": 40}, "few heaters live so long"),
        ({"water__static_pressure_psi": 95}, "above 80 psi"),
        ({"household__bedrooms": 1, "household__people": 9}, "9 people in 1 bedroom:"),
        ({"household__bedrooms": 0, "household__people": 4}, "4 people in 0 bedrooms"),
    ],
)
def test_odd_things_are_asked_again(changes, says):
    notes = case_with(**changes).odd()
    assert len(notes) == 1
    assert says in said(notes[0])


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"household__set_point_f": 140},
        {"household__set_point_f": 115},
        {"failed__age_yr": 30},
        {"water__static_pressure_psi": 80},
        {"household__bedrooms": 1, "household__people": 3},
        {"house__fuels": ["natural_gas", "heating_oil", "electricity"]},
    ],
)
def test_usual_things_are_not(changes):
    assert case_with(**changes).odd() == []


def test_units_are_read_by_the_keys_of_the_case():
    """Every number of the case either ends in a unit or is a plain count."""
    counts = {
        "children",
        "full_baths",
        "showers_together",
        "n_elbows",
        "n_elbows_45",
        "n_flue_turns",
        "n_tees",
        "n_intake_elbows",
        "n_intake_elbows_45",
        "n_free_spaces",
    }
    for model in sections().values():
        for name, field in model.model_fields.items():
            if field.annotation in {int, float, int | None, float | None}:
                assert suffix_of(name) or name in counts, f"{model.__name__}.{name}"


@pytest.mark.parametrize("letter", ["\n", "\x1b[31m", "\x00", "\u202e", "\x7f", "\u2028"])
def test_text_may_not_break_the_line_or_steer_the_terminal(letter):
    for changes in ({"name": f"The{letter} house"}, {"place": {"city": f"Duluth,{letter} MN"}}):
        with pytest.raises(InputError, match="line break or control character"):
            case_with(**changes)


def test_text_may_be_in_any_language():
    assert case_with(name="Das Haus am Fluß, 家, №\u00a05").name.startswith("Das")


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("household.set_point_f", 40),
        ("house.heater_space", "moon"),
        ("house.room_volume_ft3", 0),
        ("drain.material", "clay"),
        ("electrical.service_a", 0),
        ("vent.flue", "brick"),
        ("vent.flue_lateral_ft", -2),
        ("vent.n_elbows", -1),
        ("water.farthest_tap_ft", -1),
        ("water.hardness_gpg", 200),
        ("water.loop_ft", 0),
        ("water.pipe_material", "lead"),
        ("water.recirculation", "magic"),
        ("water.static_pressure_psi", 0),
    ],
)
def test_what_the_checks_rely_on_is_refused_at_the_door(key, value):
    """Nothing behind the case looks at these a second time."""
    section, _, name = key.partition(".")
    with pytest.raises(InputError, match=re.escape(key)):
        case_of(**{f"{section}__{name}": value})
