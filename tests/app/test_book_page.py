"""The job book in the app: a visit from the first house to the kept job, and two windows on one of them."""

from pathlib import Path

import pytest

from advisor.book.store import Book
from advisor.case.file import parse_case
from advisor.web import job_book
from tests.app.test_contractor_pages import open_page, words
from tests.hostile import RAW, TEXT

HOUSE = b"""
[place]
zip_code = "55811"
[household]
people = 4
[failed]
fuel = "natural_gas"
[house]
fuels = ["natural_gas"]
"""


@pytest.fixture
def book(tmp_path, monkeypatch):
    """The server was started with a folder."""
    made = Book(tmp_path)
    monkeypatch.setattr(job_book, "book", made)
    return made


def new_job(customer="Rivera"):
    at = open_page("book", "cold-city-basement")
    at.session_state["session"].is_demo = False
    at.text_input(key="book_customer").set_value(customer).run()
    at.button(key="book_add").click().run()
    assert not at.exception
    return at


def test_without_a_folder_nothing_is_stored():
    at = open_page("book")
    assert "advisor serve --book FOLDER" in words(at)
    assert not any(button.key == "book_add" for button in at.button)


def test_a_folder_is_named_on_the_page_of_a_machine_of_ones_own(tmp_path, monkeypatch):
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    monkeypatch.setattr(job_book, "book", None)
    monkeypatch.setattr(job_book, "may_choose", False)
    assert not [one for one in open_page("book").text_input if one.key == "book_folder"], "others may reach that server"
    monkeypatch.setattr(job_book, "may_choose", True)
    at = open_page("book")
    for wrong in ("/", "..", "~/../x", ".hidden", "a/.b", "", "~", "no/such/one", "a\0b"):
        at.text_input(key="book_folder").set_value(wrong).run()
        at.button(key="book_choose").click().run()
        assert job_book.book is None and len(at.error) == 1, wrong
    at.text_input(key="book_folder").set_value("My jobs").run()
    at.button(key="book_choose").click().run()
    assert not at.exception and job_book.book.folder == (tmp_path / "My jobs").resolve()
    assert "0 jobs in the book" in words(at)


def test_a_case_that_is_opened_brings_its_name_and_day(book):
    at = open_page("book")
    at.text_input(key="book_customer").set_value("Somebody").run()
    case = parse_case(b'name = "Kowalski"\n[job]\nvisit_on = 2026-11-20\n' + HOUSE)
    # The strip opens a file before the page is drawn.
    held = at.session_state["session"]
    held.given = case.model_dump(mode="python", exclude_unset=True, exclude_none=True)
    held.is_demo, held.n_opened = False, held.n_opened + 1
    at.run()
    assert at.text_input(key="book_customer").value == "Kowalski"
    at.button(key="book_add").click().run()
    assert [(one.customer, one.day.isoformat()) for one in book.jobs()] == [("Kowalski", "2026-11-20")]


def test_a_job_is_put_in_changed_kept_and_opened_again(book):
    at = new_job()
    (job,) = book.jobs()
    assert job.customer == "Rivera" and "**Rivera** (kept in the book)" in words(at)
    at.switch_page("../../pages/job.py").run()
    at.text_input(key="in.household.people").set_value("3").run()
    assert "changes are not kept yet" in words(at) and book.read(job.file)[0].household.people != 3
    at.button(key="book_keep_strip").click().run()
    assert book.read(job.file)[0].household.people == 3 and "(kept in the book)" in words(at)
    other = open_page("book")
    other.button(key="book_open").click().run()
    assert other.session_state["session"].given["household"]["people"] == 3
    assert not other.session_state["session"].past


def test_the_later_of_two_windows_is_told_and_keeps_a_copy(book):
    first = new_job()
    file = book.jobs()[0].file
    second = open_page("book")
    second.button(key="book_open").click().run()
    for at, people in ((first, "3"), (second, "6")):
        at.switch_page("../../pages/job.py").run()
        at.text_input(key="in.household.people").set_value(people).run()
        at.button(key="book_keep_strip").click().run()
    assert "changed in another window" in words(second)
    assert book.read(file)[0].household.people == 3
    second.button(key="book_keep_copy_strip").click().run()
    assert sorted(book.read(job.file)[0].household.people for job in book.jobs()) == [3, 6]
    assert "(kept in the book)" in words(second)


def test_copy_put_away_and_take_back(book):
    at = new_job()
    at.button(key="book_copy").click().run()
    assert len(book.jobs()) == 2
    at.selectbox(key="book_job").set_value(book.jobs()[0].file).run()
    at.button(key="book_put_away").click().run()
    assert len(book.jobs()) == 1 == len(book.jobs(is_archived=True))
    at.checkbox(key="book_archive").check().run()
    at.button(key="book_put_away").click().run()
    assert len(book.jobs()) == 2 and not at.exception


def test_a_reload_opens_the_job_again_and_its_address_holds_no_name(book):
    at = new_job()
    link = at.session_state["session"].job.in_link
    assert "Rivera" not in link
    held = at.session_state["session"]
    given = {key: value for key, value in held.given.items() if key != "name"}
    again = open_page("book")
    again.session_state["session"].given = given
    from advisor.web import session

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(session, "current", lambda: again.session_state["session"])
        job_book.from_link(link)
        assert job_book.current().file == held.job.file and job_book.is_kept()
        job_book.from_link("damaged")
        assert job_book.current().file == held.job.file


def test_a_hostile_customer_is_shown_as_typed(book):
    at = new_job(TEXT)
    assert len(book.jobs()) == 1
    for raw in RAW:
        assert raw not in words(at), raw


def test_words_find_a_job_and_no_customer_is_refused(book):
    at = new_job("")
    assert "no customer's name" in words(at) and book.jobs() == []
    at.text_input(key="book_customer").set_value("Chen").run()
    at.button(key="book_add").click().run()
    at.text_input(key="book_search").set_value("nobody").run()
    assert "No job is found." in words(at)
