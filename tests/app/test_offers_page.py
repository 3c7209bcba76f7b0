"""Offers in the app: typed or from a spreadsheet, side by side, faults in words, and the logo for the document."""

import io

import pytest
from PIL import Image

from advisor.core.errors import InputError
from advisor.web import handing_over, offer_form
from tests.app.test_contractor_pages import open_page, tables, words
from tests.hostile import RAW, TEXT

CSV = """candidate,firm,total_usd,valid_until,what,kind,usd
gas-tank-50,Firm A,2900.50,2026-01-31,tank,equipment,1500.25
gas-tank-50,Firm A,,,labor,labor,1400.25
gas-tank-50,Firm B,3000,,tank,equipment,1500
gas-tank-50,Firm B,,,Labor,labor,700
gas-tank-50,Firm B,,,labor.,labor,700
"""


@pytest.fixture
def page():
    return open_page("offers")


def typed(at, **values):
    for name, value in values.items():
        at.text_input(key=f"offer.{name}").set_value(value).run()
    at.button(key="offer_put").click().run()
    assert not at.exception
    return at


def test_a_price_is_typed_shown_to_the_cent_and_taken_out_again(page):
    at = typed(page, firm="Firm A", total_usd="$2,900.50", valid_until="2099-01-31")
    held = at.session_state["session"]
    (offer,) = held.compared[2]().offers
    assert offer.offer.total_usd == 2900.5 and offer.offer.candidate == held.contractor_heater
    assert "1 offer" in at.title[0].value and "2,900.50" in tables(at) and "2099-01-31" in tables(at)
    at.selectbox(key="offer_place").set_value(1).run()
    assert at.text_input(key="offer.firm").value == "Firm A"
    typed(at, total_usd="2950")
    assert len(held.given["offers"]) == 1 and "2,950.00" in tables(at)
    at.selectbox(key="offer_place").set_value(1).run()
    at.button(key="offer_drop").click().run()
    assert "offers" not in held.given


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        ("total_usd", "about 3000", "number"),
        ("valid_until", "March", "date"),
        ("total_usd", "10.005", "cent"),
        ("firm", "F", "total"),
    ],
)
def test_what_cannot_be_stays_and_is_told(page, name, value, says):
    at = typed(page, **{name: value})
    assert any(says in error.value for error in at.error)
    assert at.text_input(key=f"offer.{name}").value == value and "offers" not in at.session_state["session"].given


def test_a_line_that_lacks_something_is_told_by_its_heading(page):
    held = page.session_state["session"]
    held.offer = {"lines": [{"what": "Tank", "kind": "equipment", "usd": 900}, {"what": "Labor", "usd": 700}]}
    page.run()
    page.button(key="offer_put").click().run()
    assert [error.value for error in page.error] == ["Line 2 lacks: Sort. Type it, or empty the line."]
    assert "offers" not in held.given and held.offer["lines"][1]["what"] == "Labor"


def test_a_spreadsheet_of_two_firms_on_one_heater(page, monkeypatch):
    held = page.session_state["session"]
    monkeypatch.setattr(offer_form.session, "current", lambda: held)
    offer_form.add(CSV.encode())
    at = page.run()
    text = words(at)
    assert "2 offers side by side" in text and "Firm A" in tables(at)
    assert "It held until 2026-01-31" in text  # expired
    assert "stands there 2 times" in text  # a line twice
    assert "the lines add up to" in text  # a wrong total: 2,900.00 against 3,000.00
    offer_form.add(b"candidate,colour\na,b\n")
    assert "no such column" in held.refused[offer_form.SHOWN_AT]
    offer_form.add(b"\xff\xfe\x00")
    assert "cannot be read as text" in held.refused[offer_form.SHOWN_AT]
    offer_form.add(b"a" * 300_000)
    assert "too large" in held.refused[offer_form.SHOWN_AT]


def test_a_hostile_firm_is_shown_as_typed(page):
    at = typed(page, firm=TEXT[:80], total_usd="3000")
    for raw in RAW:
        assert raw not in words(at) and raw not in tables(at), raw


def test_a_logo_is_drawn_anew_or_refused_in_a_sentence(page, monkeypatch):
    held = page.session_state["session"]
    monkeypatch.setattr(handing_over.session, "current", lambda: held)
    picture = io.BytesIO()
    Image.new("RGB", (900, 300), "navy").save(picture, "JPEG")
    handing_over.take_logo(picture.getvalue())
    assert held.logo_png[:4] == b"\x89PNG" and held.logo_refused is None
    assert not page.run().exception
    for content in (b"GIF89a" + b"x" * 90, b"", b"<svg onload='x'/>", b"\x89PNG" + b"0" * 50_000_000):
        handing_over.take_logo(content)
        assert held.logo_png is None and held.logo_refused.count(".") == 2 and len(held.logo_refused) < 200


def test_the_contractor_stands_on_the_document_alone(page):
    page.text_input(key="in.contractor.name").set_value("North Shore Plumbing").run()
    assert page.session_state["session"].given["contractor"] == {"name": "North Shore Plumbing"}
    assert "North Shore" not in words(page)
    assert len(page.get("download_button")) >= 2 and not page.exception


def test_the_command_names_the_file_that_cannot_be_read(tmp_path):
    from pathlib import Path

    from advisor.case.file import read_case
    from advisor.case.offer_csv import with_offers
    from advisor.core import paths

    with pytest.raises(InputError, match="cannot be read"):
        with_offers(read_case(sorted(paths.CASES.glob("*.toml"))[0]), Path(tmp_path / "none.csv"))
