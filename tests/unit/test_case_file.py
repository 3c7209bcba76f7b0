"""A case on disk: out and in without loss, a starter that can be read, a schema that names units, clear refusals."""

import math
import tomllib
from datetime import date
from typing import Literal, get_args, get_origin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.case.file import MAX_FILE_BYTES, case_from, case_schema, parse_case, read_case, starter, write_case
from advisor.case.record import Case, Section
from advisor.core import paths
from advisor.core.errors import InputError
from advisor.core.kinds import Kind
from advisor.core.units import UNITS, suffix_of

FOUR = """
[place]
zip_code = "55811"
[household]
people = 4
[failed]
fuel = "natural_gas"
[house]
fuels = ["natural_gas"]
"""
DEMOS = sorted(paths.CASES.glob("*.toml"))
words = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Zl", "Zp")), min_size=1, max_size=40)


def _bounds(field):
    found = {type(item).__name__: item for item in field.metadata}
    low = next((getattr(found[key], key.lower()) for key in ("Ge", "Gt") if key in found), None)
    high = next((getattr(found[key], key.lower()) for key in ("Le", "Lt") if key in found), None)
    return low, high, "Gt" in found


def _most(field):
    return next((item.max_length for item in field.metadata if hasattr(item, "max_length")), 40)


def _value(annotation, field):
    """Valid values of one key, from its annotation and bounds."""
    options = [item for item in get_args(annotation) if item is not type(None)]
    if get_origin(annotation) is Literal:
        return st.sampled_from(get_args(annotation))
    if isinstance(annotation, type) and issubclass(annotation, Kind):
        return st.sampled_from([kind.id for kind in annotation.all()])
    if get_origin(annotation) is tuple:
        inner = options[0]
        if isinstance(inner, type) and issubclass(inner, Section):
            return st.lists(_section(inner), max_size=3)
        return st.lists(_value(inner, field), min_size=1, unique=True)
    if isinstance(annotation, type) and issubclass(annotation, Section):
        return _section(annotation)
    if len(options) == 1:
        return _value(options[0], field)
    low, high, is_open = _bounds(field)
    return {
        bool: st.booleans,
        int: lambda: st.integers(low, high),
        float: lambda: st.floats(low, high, exclude_min=is_open),
        str: lambda: words.map(lambda text: text[: _most(field)]),
        date: lambda: st.dates(date(2020, 1, 1), date(2040, 12, 31)),
    }[annotation]()


def _section(model):
    required = {
        name: _value(field.annotation, field) for name, field in model.model_fields.items() if field.is_required()
    }
    optional = {
        name: _value(field.annotation, field) for name, field in model.model_fields.items() if name not in required
    }
    return st.fixed_dictionaries(required, optional=optional)


def _without_contradictions(values):
    """Bend a random record where the case would refuse it for contradicting itself."""
    failed, place = values["failed"], values["place"]
    if failed.get("kind") == "heat_pump":
        failed["fuel"] = "electricity"
    if failed.get("kind") == "tankless":
        failed.pop("size_gal", None)
    if failed.get("kind") == "boiler_tank":
        # A boiler burned for it, and is there.
        failed["fuel"] = "heating_oil" if failed["fuel"] == "electricity" else failed["fuel"]
        values["house"] |= {"has_boiler": True, "heating_fuel": failed["fuel"]}
    if failed["fuel"] not in values["house"]["fuels"]:
        values["house"]["fuels"].append(failed["fuel"])
    if "city" not in place:
        place["zip_code"] = "55811"
    household = values["household"]
    if "people" not in household and "bedrooms" not in household:
        household["bedrooms"] = 3
    if "children" in household:
        household["people"] = max(household.get("people", 1), household["children"] + 1)
    if "made_on" in values and "install_date" in values:
        values["made_on"] = min(values["made_on"], values["install_date"])
    if values.get("water", {}).get("has_expansion_tank") is False:
        values["water"].pop("expansion_tank_gal", None)
    water = values.get("water", {})
    if "dynamic_pressure_psi" in water:
        water["static_pressure_psi"] = max(water.get("static_pressure_psi", 10.0), water["dynamic_pressure_psi"])
    for line in values.get("price_list", ()):
        for name in ("low_usd", "typical_usd", "high_usd"):
            line.pop(name, None)
        line["price_usd"] = 100.0
    for number, reading in enumerate(values.get("readings", ())):
        # A gauge shows a number, what is looked at takes any words.
        reading["reading"] = "bath_f" if number else "relief"
        reading["value"] = "49 °C" if number else f"seen {reading['value']}"
    for use in values.get("uses", ()):
        use["together"] = min(use.get("together", 1), use.get("count", 1))
    for offer in values.get("offers", ()):
        # To the cent, and at least one price.
        offer["total_usd"] = round(offer.get("total_usd", 0.0), 2)
        for line in offer.get("lines", ()):
            line["usd"] = round(line["usd"], 2)
    return values


valid_cases = _section(Case).map(_without_contradictions)


@given(valid_cases)
@settings(max_examples=60, deadline=None)
def test_out_and_in_loses_nothing(values):
    case = case_from(values)
    text = write_case(case)
    again = parse_case(text)
    assert again == case
    assert again.assumed() == case.assumed()
    assert write_case(again) == text
    assert parse_case(text.encode()) == case


def test_the_file_holds_what_was_given():
    values = tomllib.loads(FOUR) | {
        "uses": [{"name": "tub", "mixed_gpm": 4.0, "duration_min": 10.5}],
        "offers": [{"candidate": "gas-tank-50", "total_usd": 2400}],
        "install_date": date(2026, 11, 25),
        "name": 'A "quoted" name with ° and \\',
    }
    case = case_from(values)
    assert tomllib.loads(write_case(case)) == values
    assert parse_case(write_case(case)) == case


def test_only_what_was_given_is_written():
    assert tomllib.loads(write_case(parse_case(FOUR))) == tomllib.loads(FOUR)


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_every_demo_is_read_and_written_without_loss(path):
    case = read_case(path)
    assert case.name
    assert parse_case(write_case(case)) == case


def test_there_are_demos_of_many_kinds():
    cases = [read_case(path) for path in DEMOS]
    assert len(cases) >= 7
    assert {case.failed.fuel.id for case in cases} == {"natural_gas", "propane", "heating_oil", "electricity"}


def test_the_starter_can_be_read_and_holds_every_key():
    case = parse_case(starter())
    assert case.household.people == 4
    given = tomllib.loads(starter())
    assert set(given) - {"job", "water", "gas", "vent", "electrical", "drain", "prices", "economics"} == {
        "place",
        "household",
        "failed",
        "house",
    }
    for name, field in Case.model_fields.items():
        inner = field.annotation if isinstance(field.annotation, type) else next(iter(get_args(field.annotation)), None)
        if isinstance(inner, type) and issubclass(inner, Section):
            head, _, rest = starter().partition(f"[{name}]")
            assert rest, name
            for key in inner.model_fields:
                assert f"\n{key} = " in rest or f"\n# {key} = " in rest, f"{name}.{key}"
        else:
            assert f"# {name} = " in starter()


def _optional_lines():
    return [
        line.removeprefix("# ")
        for line in starter().splitlines()
        if line.startswith("# ") and " = " in line and not line.partition(" = ")[2].lstrip().startswith("#")
    ]


def test_a_default_in_the_starter_can_be_uncommented():
    """Each commented default, put back into its own section, is what would have been used."""
    section, before = None, parse_case(starter())
    tried = 0
    for line in starter().splitlines():
        if line.startswith("[") or line.startswith("# [["):
            section = line.strip("#[] ")
        elif line.removeprefix("# ") in _optional_lines() and section in {"household", "failed", "house", "water"}:
            case = parse_case(starter().replace(line, line.removeprefix("# "), 1))
            assert getattr(case, section) == getattr(before, section)
            tried += 1
    assert tried >= 14


def _defs():
    schema = case_schema()
    return {"Case": schema, **schema["$defs"]}


def test_the_schema_names_the_unit_of_every_number():
    seen = 0
    for part in _defs().values():
        for name, prop in part["properties"].items():
            kinds = {prop.get("type")} | {option.get("type") for option in prop.get("anyOf", ())}
            label = UNITS[suffix_of(name) or "dimensionless"].label
            if label and kinds & {"number", "integer"}:
                assert prop["x-unit"] == label, name
                assert "string" in kinds, f"{name} may be a text with a unit"
                assert "type" not in prop
                seen += 1
            else:
                assert "x-unit" not in prop
    assert seen > 40


def test_the_schema_has_bounds_choices_and_requirements():
    parts = _defs()
    assert set(parts["Case"]["required"]) == {"place", "household", "failed", "house"}
    assert parts["Household"]["properties"]["people"]["anyOf"][0]["minimum"] == 1
    assert parts["Household"]["anyOf"] == [{"required": ["people"]}, {"required": ["bedrooms"]}]
    assert all(part["additionalProperties"] is False for part in parts.values())
    assert "basement" in str(parts["House"]["properties"]["heater_space"])


def test_a_file_is_read(tmp_path):
    for content in (FOUR.encode(), FOUR.encode("utf-8-sig"), FOUR.replace("\n", "\r\n").encode()):
        path = tmp_path / "house.toml"
        path.write_bytes(content)
        assert read_case(path) == read_case(str(path)) == parse_case(FOUR)


def test_files_that_are_not_there(tmp_path):
    with pytest.raises(InputError, match="there is no such file"):
        read_case(tmp_path / "absent.toml")
    with pytest.raises(InputError, match="this is a folder"):
        read_case(tmp_path)
    with pytest.raises(InputError, match="the file cannot be read"):
        read_case(tmp_path / ("x" * 300))


def test_a_file_may_be_as_large_as_the_limit_and_no_larger():
    filled = FOUR + "#" * (MAX_FILE_BYTES - len(FOUR))
    assert parse_case(filled.encode()) == parse_case(FOUR)
    with pytest.raises(InputError, match="larger than 250 kB"):
        parse_case(filled.encode() + b"#")


@pytest.mark.parametrize(
    ("old", "new", "field", "says"),
    [
        ("people", "peopel", "household.peopel", "there is no such key; write 'people' if that is meant"),
        ("people", "colour", "household.colour", "remove it"),
        ("[household]", "[houshold]", "houshold", "write 'household' if that is meant"),
        ("people = 4", "people = 0", "household.people", "give a value from 1 to 20 people"),
        ("people = 4", "people = 4.5", "household.people", "must be a whole number"),
        ("people = 4", "people = 4\nset_point_f = 60", "household.set_point_f", "give a value from 90 to 180 °F"),
        ("people = 4", "people = 4\nhas_low_flow_fixtures = 3", "household.has_low_flow_fixtures", "true or false"),
        ('"natural_gas"]', '"coal"]', "house.fuels.1", "'natural_gas', 'electricity'"),
        ('fuels = ["natural_gas"]', 'fuels = "natural_gas"', "house.fuels", "square brackets"),
        ('zip_code = "55811"', "city = 5", "place.city", "put it in quotes"),
    ],
)
def test_the_first_thing_wrong_is_said_in_one_sentence(old, new, field, says):
    text = FOUR.replace(old, new, 1)
    assert text != FOUR
    with pytest.raises(InputError) as caught:
        parse_case(text)
    assert caught.value.field == field
    assert says in str(caught.value)


def test_an_unknown_key_is_told_before_what_it_stands_for():
    with pytest.raises(InputError, match="there is no such key") as caught:
        parse_case(FOUR.replace("people", "peple"))
    assert caught.value.field == "household.peple"


def test_a_mistake_in_a_list_is_counted_from_one():
    use = '[[uses]]\nname = "a"\nmixed_gpm = 2\nduration_min = 5\n'
    with pytest.raises(InputError) as caught:
        parse_case(FOUR + use + use.replace("2", "-2"))
    assert caught.value.field == "uses.2.mixed_gpm"


def test_a_bound_is_open_or_closed_as_declared():
    for name, low, works in (("people", 1, True), ("set_point_f", 90, True), ("set_point_f", 89.99, False)):
        text = FOUR.replace("people = 4", f"people = 4\n{name} = {low}" if name != "people" else f"people = {low}")
        if works:
            assert parse_case(text)
        else:
            with pytest.raises(InputError):
                parse_case(text)
    assert math.isclose(
        parse_case(FOUR + "[prices]\nnatural_gas_usd_per_therm = 1e-9").prices.natural_gas_usd_per_therm, 1e-9
    )
    with pytest.raises(InputError, match=r"prices\.natural_gas_usd_per_therm = 0"):
        parse_case(FOUR + "[prices]\nnatural_gas_usd_per_therm = 0")


def test_a_zip_code_that_begins_with_a_zero_needs_quotes():
    with pytest.raises(InputError, match="put the ZIP code in quotes"):
        parse_case("[place]\nzip_code = 02129\n")
