"""Each verdict has its words, its sign and its weight in one place; the gravest governs."""

import json

import pytest

from advisor.core.findings import Severity, care, note, stop
from advisor.core.verdicts import (
    DOES_NOT_FIT,
    FALLS_SHORT,
    FITS,
    KEEPS_UP,
    NEEDS_WORK,
    WITH_CARE,
    CapacityVerdict,
    HouseVerdict,
    verdict_of,
)
from advisor.report.words import LOCALES, say


def test_the_gravest_finding_governs():
    assert verdict_of() == FITS
    assert verdict_of(note("a.b"), care("a.b")) == NEEDS_WORK
    assert verdict_of(care("a.b"), stop("a.b"), note("a.b")) == DOES_NOT_FIT


@pytest.mark.parametrize("kinds", [CapacityVerdict, HouseVerdict])
def test_a_verdict_weighs_as_much_as_what_it_rests_on(kinds):
    assert [verdict.severity for verdict in kinds] == list(Severity)
    assert [verdict.sign for verdict in kinds] == ["✓", "!", "✗"]


def test_files_keep_the_words_that_scripts_read():
    assert json.dumps([KEEPS_UP, WITH_CARE, FALLS_SHORT, FITS, NEEDS_WORK, DOES_NOT_FIT]) == json.dumps(
        ["keeps up", "keeps up with care", "falls short", "fits as it is", "needs work", "does not fit"]
    )


@pytest.mark.parametrize("verdict", [*CapacityVerdict, *HouseVerdict])
@pytest.mark.parametrize("language", LOCALES)
def test_every_verdict_has_its_words(verdict, language):
    said = say(verdict.key, language=language)
    assert said == str(verdict) if language == "en" else said != str(verdict)
    assert len(say(f"{verdict.key}.short", language=language)) <= 10
