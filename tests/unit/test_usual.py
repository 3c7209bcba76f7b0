"""What a house is taken to have: each value once, for a key of the case, worded in both languages."""

import re

import pytest

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

ROWS = {row["key"]: row for row in load("usual_values").rows()}


def key_paths(part=Case, above=""):
    """Every key of the case, entries of lists left out, with its annotation."""
    found = {}
    for name, field in part.model_fields.items():
        path = f"{above}{name}"
        found[path] = field.annotation
        if isinstance(field.annotation, type) and issubclass(field.annotation, Section):
            found |= key_paths(field.annotation, f"{path}.")
    return found


CASE_KEYS = key_paths()


@pytest.mark.parametrize("key", ROWS)
def test_a_row_stands_for_a_key_of_the_case_and_could_be_typed_there(key):
    row = ROWS[key]
    assert key in CASE_KEYS
    assert row["value"] is None or (row["text"] is None and row["unit"] == (suffix_of(key) or "count"))
    if usual(key) is not None:
        section, _, name = key.partition(".")
        part = CASE_KEYS[section]
        assert getattr(part.model_validate({name: usual(key)}), name) == usual(key)


@pytest.mark.parametrize("language", LOCALES)
def test_every_row_has_its_sentence_which_says_how_far_it_was_checked(language):
    worded = {code for code in keys(language) if code.startswith("usual.")}
    for key in ROWS:
        assert any(code == f"usual.{key}" or code.startswith(f"usual.{key}.") for code in worded), key
    for code in worded:
        assert any(code == f"usual.{key}" or code.startswith(f"usual.{key}.") for key in ROWS), code
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
    assert assumption("water.loop_ft", 90.0).value == assumption("water.loop_ft", 90.0).reason["loop_ft"] == 90.0
    assert usual("drain.has_gravity_drain") is True


@pytest.mark.parametrize("demo", DEMOS)
def test_what_a_demo_house_assumes_comes_from_the_table_and_is_one_value(demo):
    found = compare(read_case(paths.CASES / f"{demo}.toml"), today=TODAY)
    told = {one for candidate in found.candidates for one in candidate.house.assumed}
    values = {}
    for one in told:
        # Transitional: a sentence of a trade that names no key yet.
        if one.reason.code == "plain":
            continue
        assert one.field in ROWS
        if usual(one.field) is not None:
            values.setdefault(one.field, set()).add(one.value)
    assert [key for key, used in values.items() if len(used) > 1] == []
    for item in found.assumed:
        assert item.field.split(".")[0] in CASE_KEYS
        # Nothing that the whole answer rests on is assumed otherwise by a trade.
        assert values.get(item.field, {item.value}) == {item.value}
