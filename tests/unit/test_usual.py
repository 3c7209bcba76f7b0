"""What a house is taken to have: each value once, for a key of the case, worded in both languages."""

import re
from typing import Annotated, get_args

import pytest
from pydantic import TypeAdapter

from advisor.case.base import Section
from advisor.case.file import read_case
from advisor.case.record import Case
from advisor.case.usual import assumption, usual
from advisor.comparison import compare
from advisor.core import paths
from advisor.core.tables import STATES, load
from advisor.core.units import suffix_of
from advisor.report.words import LOCALES, has, keys, say, template
from tests.regression.outcomes import DEMOS, TODAY

ROWS = {(row["key"], row["way"] or ""): row for row in load("usual_values").rows()}
KEYS = {key for key, _ in ROWS}


def key_paths(part=Case, above=""):
    """Every key of the case, with the section that it stands in; those of a list's entries without their number."""
    found = {}
    for name, field in part.model_fields.items():
        path = f"{above}{name}"
        found[path] = part
        for kind in (field.annotation, *get_args(field.annotation)):
            if isinstance(kind, type) and issubclass(kind, Section):
                found |= key_paths(kind, f"{path}.")
    return found


CASE_KEYS = key_paths()


@pytest.mark.parametrize(("key", "way"), ROWS)
def test_a_row_stands_for_a_key_of_the_case_and_could_be_typed_there(key, way):
    row = ROWS[key, way]
    assert key in CASE_KEYS
    assert row["value"] is None or (row["text"] is None and row["unit"] == (suffix_of(key) or "count"))
    if usual(key, way) is not None:
        field = CASE_KEYS[key].model_fields[key.rpartition(".")[2]]
        typed = TypeAdapter(Annotated[field.annotation, field])
        assert typed.validate_python(usual(key, way)) == usual(key, way)


@pytest.mark.parametrize("language", LOCALES)
def test_every_row_has_its_sentence_which_says_how_far_it_was_checked(language):
    worded = {code for code in keys(language) if code.startswith("usual.")}
    for key in KEYS:
        assert any(code == f"usual.{key}" or code.startswith(f"usual.{key}.") for code in worded), key
    for code in worded:
        assert any(code == f"usual.{key}" or code.startswith(f"usual.{key}.") for key in KEYS), code
        assert "{state}" in template(code, language), code


@pytest.mark.parametrize("language", LOCALES)
def test_every_state_of_verification_has_its_word(language):
    words = {re.sub("[ -]", "_", state.partition(",")[0]) for state in STATES}
    assert all(has(f"state.{word}", language) for word in words - {"mixed"})


def test_an_assumption_carries_key_value_and_sentence():
    told = assumption("water.loop_ft")
    assert (told.field, told.value) == ("water.loop_ft", 120)
    assert say(told.reason) == "The loop is 120 ft long (assumed; measure it)."
    assert say(told.reason, language="es", si=True) == "El circuito mide 36.6 m (supuesto; mídalo)."
    assert assumption("water.loop_ft", 90.0).value == assumption("water.loop_ft", 90.0).reason.number("loop_ft") == 90.0
    assert usual("drain.has_gravity_drain") is True


@pytest.mark.parametrize("demo", DEMOS)
def test_what_a_demo_house_assumes_comes_from_the_table_and_is_one_value(demo):
    found = compare(read_case(paths.CASES / f"{demo}.toml"), today=TODAY)
    told = {one for candidate in found.candidates for one in candidate.house.assumed}
    values = {}
    for one in told:
        assert one.field in KEYS
        if any(usual(key, way) is not None for key, way in ROWS if key == one.field):
            values.setdefault((one.field, one.reason.code), set()).add(one.value)
    assert [key for key, used in values.items() if len(used) > 1] == []
    for item in found.assumed:
        assert item.field.split(".")[0] in CASE_KEYS
        # Nothing that the whole answer rests on is assumed otherwise by a trade.
        assert all(used == {item.value} for (field, _), used in values.items() if field == item.field)
