"""How hard the homeowner's texts are to read, by a library's formulas.

English: the automated readability index, a school grade (Senter and Smith 1967). Spanish: the perspicuity index of
Szigriszt Pazos (1993), from 0 to 100, of which 55 and more is called normal and 65 and more fairly easy.
"""

import re

import pytest
import textstat

from tests.unit.test_report_words import MESSAGES

#: What stands on a homeowner's first page, on the sheet to keep and in the strip above.
OF_THE_HOMEOWNER = (
    "home.",
    "plain.means.",
    "q.",
    "qa.",
    "taken.",
    "today.",
    "tonight.",
    "phone.",
    "stopgap.",
    "start.",
    "quote.",
    "keep.",
    "sheet.",
    "frame.",
    "box.",
    "ask.",
    "work.licensed",
)
#: A name or a label has no grade.
_LEAST_WORDS = 8
#: Grade 8, or what comes near it.
HARDEST_GRADE, LEAST_EASE = 8.0, 55.0


def texts(language):
    """Key to text, its blanks filled with a number, its marks taken out."""
    for key, forms in MESSAGES[language].items():
        if key.startswith(OF_THE_HOMEOWNER):
            text = re.sub(r"[*\n]|- ", " ", re.sub(r"\{[^}]*\}", "5", forms[-1]))
            if len(text.split()) >= _LEAST_WORDS:
                yield key, text


@pytest.fixture
def spanish():
    textstat.set_lang("es")
    yield
    textstat.set_lang("en")


def test_english_is_no_harder_than_grade_8():
    graded = {key: textstat.automated_readability_index(text) for key, text in texts("en")}
    assert len(graded) > 60
    assert {key: grade for key, grade in graded.items() if grade > HARDEST_GRADE} == {}


def test_spanish_is_as_easy(spanish):
    eased = {key: textstat.szigriszt_pazos(text) for key, text in texts("es")}
    assert len(eased) > 60
    assert {key: ease for key, ease in eased.items() if ease < LEAST_EASE} == {}


def test_a_hard_sentence_is_found(spanish):
    hard = "The instantaneous appliance necessitates condensate neutralization, notwithstanding requirements"
    assert textstat.automated_readability_index(hard) > HARDEST_GRADE
    assert (
        textstat.szigriszt_pazos("La instalación necesita neutralización de condensados conforme a la normativa") < 55
    )
