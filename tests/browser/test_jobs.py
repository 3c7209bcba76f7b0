"""A contractor's visit on a tablet: from the case's file to the paper, and the job opened again in another window."""

import io
import re
import tomllib

import pypdf
import pytest

from advisor.case.file import read_case
from tests.browser import conftest
from tests.browser.visits import JOBS, TABLET, fetched, into_the_book, keep, open_case, too_wide, walk
from tests.browser.windows import enter

NAME = "shared-vent-1978"


@pytest.fixture(scope="module")
def with_book(tmp_path_factory):
    """A server with a job book: its address and its folder."""
    folder, port = tmp_path_factory.mktemp("book"), conftest.free_port()
    server = conftest.start_server(port, "--book", str(folder))
    yield f"http://{conftest.HOST}:{port}", folder
    server.terminate()
    server.wait(10)


@pytest.fixture
def open_window(browser, with_book):
    opened = []

    def window():
        opened.append(conftest.Visitor(browser, with_book[0], **TABLET))
        return opened[-1]

    yield window
    outside = [url for one in opened for url in one.outside]
    for one in opened:
        one.context.close()
    assert not outside


def typed(window, label, text):
    enter(window, window.page.get_by_label(label, exact=True), text)


def type_an_offer(window, lines):
    """An offer with its lines, typed into the form as a person does: Tab moves right, Enter down."""
    window.page.get_by_text("Type an offer, or take it from a spreadsheet").click()
    window.settle()
    typed(window, "Firm", "Bay View Heating")
    typed(window, "Total on the paper, $", "3,100")
    typed(window, "Holds until", "2099-01-31")
    table = window.page.locator("[data-testid=stDataFrame] .dvn-scroller").first
    table.scroll_into_view_if_needed()
    for row, cells in enumerate(lines):
        # Below the headings, each row 35 px high; right of the column that marks a row.
        table.click(position={"x": 120, "y": 36 + 17 + 35 * row})
        for place, text in cells.items():
            for _ in range(place):
                window.page.keyboard.press("ArrowRight")
            window.page.keyboard.type(text, delay=60)
            window.page.keyboard.press("Enter")
            window.settle()
            table.click(position={"x": 120, "y": 36 + 17 + 35 * row})
    window.press("Put it among the offers")


def test_a_visit_from_the_case_to_the_signed_paper_and_back(open_window, with_book):
    window = open_window().go("book")
    open_case(window, JOBS / f"{NAME}.toml")
    into_the_book(window)
    assert window.sees("Kowalski, shared vent of 1978", "kept in the book", "1 job in the book")

    walk(window, "offers")
    assert window.sees("2 offers side by side", "No line for: Larger pipe", "$2,875.50")
    type_an_offer(
        window,
        [
            {0: "Condensing tankless heater", 1: "equipment", 2: "2400"},
            {0: "Gas pipe in 1-1/4 in.", 1: "labor", 2: "600"},
        ],
    )
    assert window.sees("3 offers side by side", "the lines add up to $3,000.00, the total says $3,100.00, $100.00 more")
    assert too_wide(window) == []

    walk(window, "panel-and-drain")
    window.page.get_by_role("tab", name="Readings when it runs").click()
    window.settle()
    field = window.page.get_by_label(re.compile("gas pressure, nothing burning"))
    enter(window, field, "1.5 kPa")
    assert window.sees("as it should be") and field.input_value() == "1.5 kPa"
    enter(window, window.page.get_by_label(re.compile("^water pressure, nothing running")), "95")
    assert window.sees("Usually no pressure regulator or a worn one")

    keep(window)
    (file,) = with_book[1].glob("*.toml")
    kept = tomllib.loads(file.read_text(encoding="utf-8"))
    assert file.name == "2026-11-20 Kowalski shared vent of 1978.toml" and len(kept["offers"]) == 3
    assert [line["usd"] for line in kept["offers"][2]["lines"]] == [2400, 600]

    walk(window, "offers")
    paper = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(fetched(window, "Make the PDF"))).pages]
    first, everything = re.sub(r"\s+", "", paper[0]), re.sub(r"\s+", "", "".join(paper))
    for text in ("Third Street Plumbing", "License MP-20417", "Bay View Heating", "$3,100.00", "valid until"):
        assert re.sub(r"\s+", "", text) in first, text
    assert "$100.00more" in first and "95.0psi✗outside" in everything and "in.w.c.✓asitshouldbe" in everything
    page = fetched(window, "Make a page for a phone").decode()
    assert "Bay View Heating" in page and "://" not in re.sub(r'xmlns="[^"]*"', "", page)

    other = open_window().go("book")
    other.page.locator(".st-key-book_open button").click()
    other.settle()
    assert other.sees("Kowalski, shared vent of 1978", "kept in the book")
    walk(other, "offers")
    assert other.sees("3 offers side by side", "Bay View Heating")
    again = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(fetched(other, "Make the PDF"))).pages]
    assert again == paper
    assert read_case(file).offers[2].firm == "Bay View Heating"
