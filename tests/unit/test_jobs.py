"""Nine invented jobs from case to paper: the text is the comparison's numbers, the offers and the readings."""

import io
import re
from datetime import date
from functools import cache
from pathlib import Path

import pypdf
import pytest

from advisor.case.file import case_from, parse_case, read_case, write_case
from advisor.comparison import compare
from advisor.document.make import document, written
from advisor.document.told import Told, about
from advisor.house.readings import judged, readings_for
from advisor.report.offers_text import questions
from advisor.report.readings_text import amount_words, expected_words, verdict_words
from advisor.report.words import cents, say, sentences, usd
from tests.hostile import TEXT

TODAY = date(2026, 11, 28)
FOLDER = Path(__file__).parents[1] / "jobs"
JOBS = sorted(path.stem for path in FOLDER.glob("*.toml"))


@cache
def compared(name):
    return compare(read_case(FOLDER / f"{name}.toml"), today=TODAY)


@cache
def sheets(name, kind="pdf", language="en"):
    """The document's pages without white space: a sheet breaks lines where it likes."""
    content = written(document(compared(name), language=language), kind, day=TODAY)
    if kind == "html":
        import html

        return (plain(html.unescape(re.sub(r"<[^>]+>", "", content.decode()))),)
    return tuple(plain(page.extract_text()) for page in pypdf.PdfReader(io.BytesIO(content)).pages)


def plain(text):
    return re.sub(r"\s+", "", text)


def test_there_are_nine():
    assert len(JOBS) == 9


@pytest.mark.parametrize("kind", ["pdf", "html"])
@pytest.mark.parametrize("name", JOBS)
def test_offers_stand_on_it_as_typed_with_what_to_ask(name, kind):
    comparison, pages = compared(name), sheets(name, kind)
    assert comparison.offers
    for checked in comparison.offers:
        offer = checked.offer
        for text in (cents(offer.price_usd), offer.firm, f"about {usd(checked.life_cycle_usd, 100)}"):
            assert plain(text) in pages[0], text
        for line in offer.lines:
            assert plain(f"{line.what}{say(f'offer.kind.{line.kind}')}{cents(line.usd)}") in "".join(pages)
        for question in questions(checked):
            assert plain(question) in "".join(pages), question


@pytest.mark.parametrize("name", JOBS)
def test_the_work_and_the_sizing_are_the_comparisons(name):
    comparison = compared(name)
    chosen, everything = about(comparison), "".join(sheets(name))
    told = Told(comparison, chosen, "en", False, TODAY)
    assert plain(told.sentences(chosen.capacity.why)) in everything
    for trade in chosen.house.trades:
        assert plain(sentences(trade.findings)) in everything
    for job in chosen.house.work:
        assert plain(say(job.what)) in everything
    for one in chosen.workings:
        source = one.published.source
        assert plain(source) in everything
    if chosen.quote_usd is None:
        assert plain(told.price(chosen)) in everything


@pytest.mark.parametrize("name", JOBS)
def test_every_reading_stands_on_it_with_its_verdict_or_a_blank(name):
    comparison, everything = compared(name), "".join(sheets(name))
    chosen = about(comparison)
    sheet = readings_for(chosen.heater, comparison.facts, comparison.circumstances, chosen.use)
    taken = judged(sheet, comparison.case.readings, chosen.heater.id)
    assert taken, "each job was read"
    for one in sheet:
        assert plain(f"{say(one.what)}{expected_words(one, si=False)}") in everything
    for one in taken:
        assert plain(f"{amount_words(one, si=False)} {verdict_words(one)}") in everything
    assert everything.count("____________") >= len(sheet) - len({one.reading.id for one in taken})


@pytest.mark.parametrize("name", JOBS)
def test_the_customers_page_is_one_page_and_all_are_few(name):
    pages = sheets(name)
    assert "validuntil" in pages[0] and plain("For the installer") in pages[1]
    assert 3 <= len(pages) <= 7
    assert sheets(name, language="es")[0] != pages[0] and "firma" not in pages[0]


def test_no_line_is_questioned_that_the_job_asks_for():
    """A drain beside a vent, a tank of propane that heats, a heater listed for such a home."""
    for name in JOBS:
        for checked in compared(name).offers:
            assert "offer.extra" not in [one.code for one in checked.findings], name
            missing = " ".join(str(say(one)) for one in checked.findings if one.code == "offer.missing")
            lines = " ".join(line.what for line in checked.offer.lines)
            assert "drain" not in lines or "Condensate drain" not in missing, name
            assert "listed for" not in lines or "manufactured" not in missing, name


def test_what_does_not_fit_is_not_what_the_paper_is_about():
    comparison = compared("attic-62-in")
    assert about(comparison) is comparison.recommended is not comparison.candidate("gas-tank-50")
    first = sheets("attic-62-in")[0]
    # The only offer has expired: a day that is over is no day to sign by.
    assert "validuntil2026" not in first and "validuntil" in first


def test_values_that_were_assumed_stand_as_a_file_writes_them():
    for name in JOBS:
        everything = "".join(sheets(name))
        assert "=None" not in everything and "=False" not in everything and "=(" not in everything, name


@pytest.mark.parametrize("name", JOBS)
def test_a_job_is_a_file_that_comes_back_whole(name):
    case = read_case(FOLDER / f"{name}.toml")
    assert parse_case(write_case(case)) == case and case.job.visit_on is not None


@pytest.mark.parametrize(
    ("name", "firm", "code", "says"),
    [
        ("shared-vent-1978", "Third Street Plumbing", "offer.missing", "No line for: Larger pipe"),
        ("propane-6500-ft", "High Country Gas", "offer.sum.more", "the total says $3,650.00, $300.00 more"),
        ("condo-closet-208-v", "Harbor Electric & Plumbing", "offer.doubled", "stands there 2 times"),
        ("attic-62-in", "Bayou Water Heaters", "offer.expired", "It held until 2026-11-26 and no longer does"),
        (
            "attic-62-in",
            "Bayou Water Heaters",
            "offer.does_not_fit",
            "This heater does not fit the house: It is 60 in. tall",
        ),
    ],
)
def test_a_fault_is_told_in_words_on_the_first_page_and_the_rest(name, firm, code, says):
    checked = next(one for one in compared(name).offers if one.offer.firm == firm)
    assert code in [one.code for one in checked.findings]
    assert any(says in text for text in questions(checked))
    assert plain(says.removeprefix("No line for: ")) in sheets(name)[0]


def four_faulty():
    """All four faults at once, four offers of many lines: the most that a first page is asked to hold."""
    case = read_case(FOLDER / "shared-vent-1978.toml").model_dump(mode="python", exclude_unset=True, exclude_none=True)
    lines = [{"what": f"{TEXT} {n}", "kind": "material", "usd": 10.0 + n // 2} for n in range(12)]
    lines += [
        {"what": "chimney liner of stainless steel with its cap and its insulation", "kind": "material", "usd": 900}
    ] * 2
    ids = ("gas-tankless-condensing-199", "gas-tank-50", "heat-pump-50", "gas-tank-75")
    offers = [
        {
            "candidate": one,
            "firm": f"{TEXT} {n}"[:80],
            "total_usd": 5000.0,
            "valid_until": date(2026, 1, 1),
            "lines": lines,
        }
        for n, one in enumerate(ids)
    ]
    return compare(case_from({**case, "offers": offers}), today=TODAY, by_hand=True)


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_four_faulty_offers_still_leave_room_to_sign_on_the_first_page(paper, language):
    comparison = four_faulty()
    content = written(document(comparison, language=language), "pdf", paper=paper, day=TODAY)
    first, second = [plain(page.extract_text()) for page in pypdf.PdfReader(io.BytesIO(content)).pages][:2]
    assert plain(say("document.sign.until", language=language, day="")) in first
    assert plain(say("document.sign.until", language=language, day="")) not in second
