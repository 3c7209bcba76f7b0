"""The sheet to keep: one page, the comparison's own numbers, the same bytes each time, in both languages."""

import io
import re
import tomllib
from datetime import date

import pypdf
import pytest

from advisor.case.file import case_from
from advisor.comparison import compare
from advisor.core import paths
from advisor.document.make import document, written
from advisor.document.sheet import sheet
from advisor.report.decision_text import shown, to_ask
from advisor.report.repair_words import repair_findings
from advisor.report.words import say, usd
from tests.hostile import HOUSE

TODAY = date(2026, 11, 28)
DEMOS = sorted(paths.CASES.glob("*.toml"))
LINK = "http://127.0.0.1:8501/?" + "more=abcdefgh" * 60


def text_of(content):
    return [re.sub(r"[\s\u200b]+", "", page.extract_text()) for page in pypdf.PdfReader(io.BytesIO(content)).pages]


def put(text):
    return re.sub(r"\s+", "", text)


@pytest.mark.parametrize(("language", "paper"), [("en", "letter"), ("es", "a4")])
@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_one_page_with_the_numbers_of_the_comparison(path, language, paper):
    comparison = compare(case_from(tomllib.loads(path.read_text(encoding="utf-8"))), today=TODAY, by_hand=True)
    (page,) = text_of(written(sheet(comparison, link=LINK, language=language), "pdf", paper=paper, day=TODAY))
    assert LINK in page and TODAY.isoformat() in page
    for one in shown(comparison):
        if one.money.is_eligible:
            assert put(usd(one.installed_usd[1], 100)) in page and put(usd(one.money.point_usd, 100)) in page
            assert put(usd(one.running_cost.usd_per_yr / 12)) in page
    pick = comparison.recommended
    if pick is not None:
        assert all(put(say(asked, language=language)) in page for asked in to_ask(comparison, pick))
        for job in pick.house.work:
            assert put(say(job.what, language=language)) in page
            assert put(say(job.who, language=language)) in page


@pytest.mark.parametrize(
    ("path", "language", "paper"),
    [(path, *(("en", "letter"), ("es", "a4"))[number % 2]) for number, path in enumerate(DEMOS)],
    ids=[path.stem for path in DEMOS],
)
def test_a_repair_stands_on_the_sheet_and_on_the_document_as_it_is_compared(path, language, paper):
    """Price, how long it must hold and its risk, word for word; a tank that leaks has none."""
    given = tomllib.loads(path.read_text(encoding="utf-8"))
    for trouble, is_mended in (("nothing", True), ("leaks", False)):
        failed = given["failed"] | {"trouble": trouble, "age_yr": 9}
        comparison = compare(case_from(given | {"failed": failed}), today=TODAY, by_hand=True)
        made = sheet(comparison, link=LINK, language=language), document(comparison, language=language)
        first = [text_of(written(one, "pdf", paper=paper, day=TODAY)) for one in made]
        assert len(first[0]) == 1
        title = put(say("home.repair.title", language=language))
        for pages in first:
            assert (title + ":" in pages[0]) == is_mended
            if is_mended:
                for told in repair_findings(comparison.repair):
                    assert put(say(told, language=language)) in pages[0]
        # The lines to sign stay on the first page.
        assert put(say("document.sign.customer", language=language)) in first[1][0]


def test_the_same_case_and_day_give_the_same_bytes():
    def made(kind):
        case = case_from(tomllib.loads(DEMOS[0].read_text(encoding="utf-8")))
        return written(sheet(compare(case, today=TODAY, by_hand=True), link=LINK), kind, day=TODAY)

    assert made("pdf") == made("pdf") and made("html") == made("html")


def test_hostile_texts_stay_texts():
    comparison = compare(case_from(HOUSE), today=TODAY, by_hand=True)
    for language in ("en", "es"):
        made = sheet(comparison, link=LINK, language=language)
        assert written(made, "pdf", day=TODAY).startswith(b"%PDF")
        page = written(made, "html", day=TODAY).decode()
        assert "<script" not in page and not re.search(r"<(?!/?[a-zA-Z!])", page)


@pytest.mark.parametrize("link", ["javascript:alert(1)", "![x](http://elsewhere.invalid)", "data:text/html,x"])
def test_what_is_no_address_is_no_link(link):
    case = case_from(tomllib.loads(DEMOS[0].read_text(encoding="utf-8")))
    comparison = compare(case, today=TODAY, by_hand=True)
    assert b"<a " not in written(sheet(comparison, link=link), "html", day=TODAY)
    assert b"<a " in written(sheet(comparison, link=LINK), "html", day=TODAY)
