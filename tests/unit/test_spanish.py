"""What is said of every candidate of the demo houses can be said in Spanish, and no English word is left in it."""

import re

import pytest

from advisor.case.file import read_case
from advisor.comparison import compare
from advisor.core import paths
from advisor.report.conclusion_text import conclusion_text
from advisor.report.money_words import account, public_money, what_would_change
from advisor.report.names import title
from advisor.report.words import say, sentences

#: Words that no Spanish sentence holds.
ENGLISH = re.compile(r"\b(the|and|with|of|tank|heater|shower|water|bench|hand|about|would|costs?|prices?|year)\b", re.I)


def _said(comparison):
    """Every sentence, with what it is of."""
    yield "conclusion", conclusion_text(comparison.advice, "es")
    yield "public money", sentences(public_money(comparison), language="es")
    if comparison.recommended is not None:
        for whole in (False, True):
            change = what_would_change(comparison, "es", whole=whole)
            yield "change", sentences(change, language="es")
    for candidate in comparison.candidates:
        yield candidate.heater.id, title(candidate.heater, "es")
        yield candidate.heater.id, sentences((*candidate.capacity.why, *candidate.flags), language="es")
        yield candidate.heater.id, say(account(comparison, candidate, "es"), language="es")
        yield candidate.heater.id, " ".join(say(one.figure, language="es") for one in candidate.workings)
        yield candidate.heater.id, say(candidate.heater.rating, language="es")


@pytest.mark.parametrize("name", sorted(path.stem for path in paths.CASES.glob("*.toml")))
def test_every_sentence_can_be_said_in_spanish(name):
    comparison = compare(read_case(paths.CASES / f"{name}.toml"))
    # What a household calls its heater, and where a federal floor is printed, stay as they are.
    given = {candidate.heater.title for candidate in comparison.candidates if candidate.heater.is_own}
    given |= {flag.citation for candidate in comparison.candidates for flag in candidate.flags}
    for whose, told in _said(comparison):
        for text in filter(None, given):
            told = told.replace(text, "")
        assert told.strip() and not ENGLISH.findall(told), (whose, told)
