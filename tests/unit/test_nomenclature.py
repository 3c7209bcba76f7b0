"""One name a quantity: what has a name of the field is not called anything else."""

import ast
from pathlib import Path

import pytest

import advisor

PACKAGE = Path(advisor.__file__).parent

#: Second names, and the one that rules. What may stand beside it has an idea of its own, told in the contributor guide:
#: ``inlet_f`` is the water at the inlet of a heater under test, ``cold_f`` and ``hot_f`` are the sides of a mixture.
SECOND_NAMES = {
    "mains_f": {"supply_f", "incoming_f", "inlet_by_month_f", "mains_by_month_f", "cold_by_month_f", "city_f"},
    "set_point_f": {"setpoint_f", "set_f", "thermostat_f", "setting_f"},
    "use_f": {"mixed_use_f", "fixture_f", "at_tap_f"},
    "air_f": {"ambient_f", "surrounding_f", "heater_air_by_month_f", "air_by_month_f"},
    "wet_bulb_f": {"heater_wet_bulb_by_month_f", "wetbulb_f"},
    "outdoor_f": {"outside_f", "outdoor_by_month_f", "outdoor_air_f_by_month"},
    "elevation_ft": {"altitude_ft", "height_above_sea_ft"},
    "altitude_frac": {"derate_frac", "altitude_input_frac"},
    "daily_gal": {"gallons_per_day", "per_day_gal", "daily_volume_gal"},
    "humidity_frac": {"humidity_rh", "rh_frac"},
    "uef": {"energy_factor", "uniform_energy_factor"},
    "fhr_gal": {"first_hour_gal", "first_hour_rating", "fhr"},
    "input_btuh": {"burner_btuh", "firing_btuh"},
}


def _names(tree):
    """Every name that a module gives to something, and every keyword it passes on."""
    for node in ast.walk(tree):
        if isinstance(node, ast.arg):
            yield node.arg
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield node.id
        elif isinstance(node, ast.Attribute):
            yield node.attr
        elif isinstance(node, ast.keyword) and node.arg:
            yield node.arg


def second_names(source):
    """Names that are not the one that rules, each with that one."""
    rules = {second: first for first, seconds in SECOND_NAMES.items() for second in seconds}
    return sorted({(name, rules[name]) for name in _names(ast.parse(source)) if name in rules})


@pytest.mark.parametrize("path", sorted(PACKAGE.rglob("*.py")), ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_one_name_a_quantity(path):
    assert not second_names(path.read_text(encoding="utf-8"))


def test_a_second_name_is_found():
    assert second_names("def draw(setpoint_f, gallons): return tank.altitude_ft") == [
        ("altitude_ft", "elevation_ft"),
        ("setpoint_f", "set_point_f"),
    ]


def test_no_name_rules_and_is_ruled():
    seconds = [name for names in SECOND_NAMES.values() for name in names]
    assert len(seconds) == len(set(seconds))
    assert not set(seconds) & set(SECOND_NAMES)
