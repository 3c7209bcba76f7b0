"""Whatever is refused can be said in both languages, in one sentence of bearable length."""

import io
import string

import pytest
from babel.messages.pofile import read_po

from advisor.case.file import parse_case
from advisor.cli import main
from advisor.core import paths
from advisor.core.errors import AdvisorError, InputError, OutOfRangeError
from advisor.core.findings import note
from advisor.money.live_prices import LivePriceError
from advisor.report.words import LOCALES, refused, say
from tests.refusals import PACKAGE, raised, raised_in

#: The rooms whose refusals only the staff of a rebate program meets, who reads them in English.
PROGRAM = PACKAGE / "screening"
RAISED = [one for one in raised() if f"{PROGRAM.name}/" not in one.where]
#: Sentences that are put together where they are defined, and not where they are raised.
DEFINED = {
    "a number of thousands of digits",
    "No fresh price: {why}; the price in the case stays in use.",
}
OTHERS = [language for language in LOCALES if language != "en"]


def catalogue(language):
    """English words to those of another language, from the source."""
    path = paths.ASSETS / "locale" / language / "LC_MESSAGES" / "refusals.po"
    found = [(message.id, message.string) for message in read_po(io.BytesIO(path.read_bytes())) if message.id]
    assert len(dict(found)) == len(found)
    return dict(found)


def blanks(text):
    """Names and formats of the blanks of a text."""
    return sorted({(name, written) for _, name, written, _ in string.Formatter().parse(text) if name})


def test_the_code_is_read():
    rooms = {one.where.split("/")[1] for one in RAISED}
    assert {"case", "place", "demand", "house", "money", "heaters", "core", "web", "book", "document"} <= rooms
    assert len(RAISED) > 200


@pytest.mark.parametrize("one", RAISED, ids=lambda one: one.where)
def test_the_words_of_a_refusal_stand_in_the_code_and_its_numbers_beside_them(one):
    assert one.hidden == ()
    wanted = {name for part in one.parts for text in part for name, _ in blanks(text)}
    assert "**" in one.blanks or wanted <= one.blanks


@pytest.mark.parametrize("language", OTHERS)
def test_every_refusal_has_words_in_every_language_and_none_is_left_over(language):
    texts = {text for one in RAISED for part in one.parts for text in part} | DEFINED
    assert set(catalogue(language)) == texts


@pytest.mark.parametrize("language", OTHERS)
def test_a_refusal_fills_the_same_blanks_in_every_language(language):
    found = catalogue(language)
    assert [text for text, other in found.items() if not other or blanks(text) != blanks(other)] == []


@pytest.mark.parametrize("language", ["en", *OTHERS])
def test_a_refusal_stays_one_sentence_of_bearable_length(language):
    """A field takes 80 letters and a value 60 at most; a number or a list of names 30 more than its blank."""
    found = catalogue(language) if language != "en" else {}
    for one in RAISED:
        longest = [
            max((len(found.get(text, text)) + 24 * text.count("{") for text in part), default=0) for part in one.parts
        ]
        assert sum(longest) <= 300 - 44, one.where


def test_words_that_are_made_where_they_are_raised_are_found_out():
    made = 'def check(size):\n    why = f"{size} is wrong"\n    raise InputError("a", size, why, "mend it")\n'
    assert raised_in(made)[0].hidden == ("f'{size} is wrong'",)
    one = raised_in(made.replace('f"', '"'))[0]
    assert (one.parts, one.blanks, one.hidden) == ((("{size} is wrong",), ("mend it",)), frozenset(), ())


def test_an_error_says_the_same_as_data():
    error = InputError("water.supply", "lake", "this is no kind of supply", "write one of {known}", known="mains, well")
    assert str(error) == "water.supply = 'lake': this is no kind of supply; write one of mains, well."
    assert refused(error) == str(error)
    assert (
        refused(error, "es") == "water.supply = 'lake': este no es un tipo de suministro; escriba uno de mains, well."
    )
    inner = error.at("tariffs.1.supply")
    assert refused(inner, "es").startswith("tariffs.1.supply = 'lake': este no es")


def test_what_somebody_typed_is_never_read_as_a_blank():
    error = InputError("{field}", "{value}", "this cannot be read ({why})", "correct it", why="{known}\n{0}")
    for language in LOCALES:
        said = refused(error, language)
        assert "{field} = '{value}'" in said and "({known} {0})" in said
    assert refused(InputError("a", None, "one {of} ours", "mend {it}"), "es") == "a: one {of} ours; mend {it}."
    assert refused(AdvisorError("Timeout"), "es") == "Timeout"


def test_a_blank_may_be_a_word_of_the_catalogues():
    case = b'place.zip_code = "55811"\nhousehold.people = 2\nfailed.fuel = "propane"\nhouse.fuels = ["natural_gas"]\n'
    with pytest.raises(InputError) as found:
        parse_case(case)
    assert "a propane heater failed but house.fuels has no propane" in str(found.value)
    assert f"un calentador de {say('fuel.propane', language='es')}" in refused(found.value, "es")
    error = OutOfRangeError("a", 1, "{both} cannot be", "correct it", both=(note("fuel.propane", title="propane"), "b"))
    assert str(error) == "a = 1: propane and b cannot be; correct it."
    assert "propano y b cannot be; corríjalo." in refused(error, "es")


def test_a_refused_price_is_told_in_both_languages():
    error = LivePriceError("timeout", "the reply was not there in {late_s:g} s", late_s=30.0)
    assert str(error) == "No fresh price: the reply was not there in 30 s; the price in the case stays in use."
    assert (
        refused(error, "es") == "Sin precio nuevo: la respuesta no llegó en 30 s; se sigue usando el precio del caso."
    )
    assert error.reason == "the reply was not there in 30 s"


def test_the_command_line_refuses_in_the_language_of_the_document(tmp_path, capsys):
    assert main(["document", str(tmp_path / "none.toml"), "--output", "a.pdf", "--language", "es"]) == 2
    assert "no hay tal archivo; revise el nombre." in capsys.readouterr().err
