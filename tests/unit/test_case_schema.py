"""The schema of the case in words: every default says why it is assumed, in both languages."""

import pytest

from advisor.case.base import reason_key
from advisor.case.file import case_schema
from advisor.report.case_schema import schema_in_words
from advisor.report.words import LOCALES, keys, say

DEFAULTS = {
    reason_key(section, name): (section, name)
    for section, part in case_schema()["$defs"].items()
    for name, key in part.get("properties", {}).items()
    if key.get("is_assumed")
}


def test_the_key_of_a_reason_is_spelled_from_section_and_name():
    assert reason_key("GasPipe", "tees") == "assumed.gas_pipe.tees"
    assert reason_key("Use", "use_f") == "assumed.use.use_f"


@pytest.mark.parametrize("language", LOCALES)
def test_every_default_has_its_reason(language):
    assert len(DEFAULTS) > 35
    assert set(DEFAULTS) <= keys(language)
    # A reason without its default would never be read.
    sections = {key.rpartition(".")[0] for key in DEFAULTS}
    assert {key for key in keys(language) if key.rpartition(".")[0] in sections} == set(DEFAULTS)


def test_the_schema_says_it():
    schema = schema_in_words()["$defs"]
    for key, (section, name) in DEFAULTS.items():
        assert schema[section]["properties"][name]["assumed_because"] == say(key)
    assert "is_assumed" not in str(schema)
