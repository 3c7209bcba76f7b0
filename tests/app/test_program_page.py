"""The page of a rebate program: the demo runs, a file is mapped, one applicant is read as a sentence."""

import pytest
from streamlit.testing.v1 import AppTest

from advisor.core import paths
from tests.applicants import PROGRAMS

ENTRY = paths.PAGES.parent / "advisor" / "web" / "main.py"


@pytest.fixture
def page():
    """The page, opened."""
    at = AppTest.from_file(str(ENTRY), default_timeout=60).run()
    return at.switch_page("../../pages/rebate_program.py").run()


def said(at):
    """All that stands on the page as text."""
    kinds = (at.title, at.header, at.subheader, at.markdown, at.caption, at.error, at.warning)
    return "\n".join(str(one.value) for kind in kinds for one in kind)


def ran(at, **widgets):
    """The demo, screened."""
    at.button(key="program_run").click().run()
    assert not at.exception
    return at


def test_what_is_read_stands_there_before_anything_runs(page):
    assert not page.exception
    assert "10 rows; 0 cannot be taken apart" in said(page)
    assert "can be paid" not in said(page)


def test_the_demo_gives_totals_reasons_and_savings(page):
    told = said(ran(page))
    assert "4 of 10 can be paid: $1,930" in told
    assert "Another $600 once what is held is mended." in told
    assert "243 therm" in told


def test_one_applicant_is_read_as_a_sentence(page):
    at = ran(page)
    at.selectbox(key="program_row").select("5").run()
    told = said(at)
    assert "Denied: uniform energy factor 0.83 is below 0.86, the floor for a high draw pattern (A-06)" in told


def test_another_rule_set_brings_its_own_demo_and_what_if_turns_a_decision(page):
    page.selectbox(key="program_rules").select("brindlewood").run()
    at = ran(page)
    assert "5 of 10 can be paid: $4,625" in said(at)
    at.text_input(key="program_move").set_value("measures.P1.first_hour_gal=70").run()
    assert "approve → deny" in said(at)
    at.text_input(key="program_move").set_value("nonsense").run()
    assert "no place and number" in said(at) and not at.exception


def test_a_file_of_other_headings_is_guessed_and_what_cannot_be_read_is_told(page):
    text = (PROGRAMS / "quillmarsh.csv").read_text().replace("invoice_usd", "Invoice", 1).replace("4300", "lots")
    page.file_uploader(key="program_file").upload("mine.csv", text.encode(), "text/csv").run()
    assert "10 rows" in said(page) and not page.exception
    assert "Columns with cells that cannot be read: 1" in "\n".join(one.label for one in page.expander)
    assert "3 of 10 can be paid: $1,330" in said(ran(page))


@pytest.mark.parametrize("content", [b"", b"\xff\xfe", b"a,b\n1,2\n", b"uef,uef\n1,2\n", b"PAR1x"])
def test_a_file_that_is_none_is_one_sentence(page, content):
    page.file_uploader(key="program_file").upload("mine.csv", content, "text/csv").run()
    assert not page.exception
    assert len(page.error) == 1


def test_in_spanish_the_sentences_are_spanish():
    at = AppTest.from_file(str(ENTRY), default_timeout=60).run()
    at.session_state["session"].language = "es"
    at.switch_page("../../pages/rebate_program.py").run()
    told = said(ran(at))
    assert "Se puede pagar 4 de 10" in told
    at.selectbox(key="program_row").select("5").run()
    assert "está por debajo de 0.86, el mínimo para patrón de extracción high" in said(at)
