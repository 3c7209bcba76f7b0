"""The document that is handed over: the comparison's own numbers, the same bytes each time, any text only a text."""

import base64
import io
import re
import tomllib
from datetime import date

import pypdf
import pytest
from PIL import Image

from advisor.case.file import case_from
from advisor.cli import main
from advisor.comparison import compare
from advisor.core import paths
from advisor.core.errors import InputError
from advisor.document.logo import MAX_BYTES, as_png
from advisor.document.make import document, written
from advisor.report import winners
from advisor.report.conclusion_text import conclusion_text
from advisor.report.words import cents, sentences, usd
from tests.hostile import HOUSE

TODAY = date(2026, 11, 28)
DEMOS = sorted(paths.CASES.glob("*.toml"))
BY = {"name": "North Side Plumbing", "licence": "PL-4477", "phone": "555 0100"}


def compared(demo="half-inch-gas-branch", **changes):
    values = tomllib.loads((paths.CASES / f"{demo}.toml").read_text(encoding="utf-8"))
    return compare(case_from(values | changes), today=TODAY, by_hand=True)


def plain(text):
    """Without white space: a sheet breaks lines where it likes."""
    return re.sub(r"\s+", "", text)


def pages(content):
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages]


@pytest.fixture(scope="module")
def usual():
    return compared(contractor=BY)


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_the_numbers_are_those_of_the_comparison(path):
    comparison = compared(path.stem)
    found = pages(written(document(comparison), "pdf", day=TODAY))
    first, everything = plain(found[0]), plain("".join(found))
    assert plain(conclusion_text(comparison.advice)) in first
    for checked in comparison.offers:
        assert plain(cents(checked.offer.price_usd)) in first
        assert plain(f"about {usd(checked.life_cycle_usd, 100)}") in first
    if not comparison.offers:
        for one in winners.over_the_years(comparison)[:4]:
            assert plain(f"about {usd(one.money.point_usd, 100)}") in first
            assert plain(usd(one.running_cost.usd_per_yr, 10)) in first
    pick = comparison.recommended
    if pick is not None and not comparison.offers:
        assert plain(sentences(pick.capacity.why)) in first
        for trade in pick.house.trades:
            assert plain(sentences(trade.findings)) in everything
    assert "validuntil" in first, "the lines to sign must stand on the first page"


def test_the_same_case_gives_the_same_bytes(usual):
    again = compared(contractor=BY)
    for kind in ("pdf", "html"):
        assert written(document(usual), kind, day=TODAY) == written(document(again), kind, day=TODAY)


def test_a_change_of_the_case_changes_the_fingerprint(usual):
    def foot(comparison):
        return re.search(r"case (\w{12})", document(comparison).foot)[1]

    assert foot(usual) == foot(compared(contractor=BY)) != foot(compared())


@pytest.mark.parametrize(("paper", "points"), [("letter", (612, 792)), ("a4", (595.28, 841.89))])
def test_the_sheet_is_the_one_asked_for(usual, paper, points):
    box = pypdf.PdfReader(io.BytesIO(written(document(usual), "pdf", paper=paper, day=TODAY))).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(points, abs=0.1)


def test_faces_travel_within_the_file(usual):
    reader = pypdf.PdfReader(io.BytesIO(written(document(usual), "pdf", day=TODAY)))
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            inner = font.get_object()["/DescendantFonts"][0].get_object()
            assert {"/FontFile2", "/FontFile3"} & set(inner["/FontDescriptor"].get_object())


def test_spanish_and_si(usual):
    text = plain("".join(pages(written(document(usual, language="es", si=True), "pdf", day=TODAY))))
    assert plain("Lo que cuesta en 15 años") in text and "kPa" in text and "in.w.c." not in text.partition("Gas")[0]
    assert plain(conclusion_text(usual.advice, "es")) in text


def test_nothing_of_our_own_is_left_in_english(usual):
    """Names of pipes and appliances, and amounts, as a reader of Spanish and SI reads them."""
    made = written(document(usual, language="es", si=True), "pdf", paper="a4", day=TODAY)
    text = " ".join(" ".join(pages(made)).split())
    for word in ("trunk", "heater branch", "furnace", "pulg..", "Galones", "2.78 K", "True", "None"):
        # The keys of the case stay what they are.
        assert word not in re.sub(r"\b[a-z]+\.[a-z0-9_.]+", "", text), word
    assert "línea principal" in text and "entrada del gas" in text


def test_the_contractor_stands_on_it(usual):
    for kind in ("pdf", "html"):
        made = written(document(usual), kind, day=TODAY)
        text = pages(made)[0] if kind == "pdf" else made.decode()
        assert all(word in text for word in ("North Side Plumbing", "PL-4477", "555 0100"))


HOSTILE = (
    '#read("/etc/passwd") $x$ *y* _z_ `c` @a <b>',
    "<script>alert(1)</script>&amp;\"'",
    "=HYPERLINK(1) \\u{41} ] [ #[ // /* -- ~",
    "שלום مرحبا 🚿",
)


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_texts_stay_texts(text):
    line = {"what": text, "kind": "material", "usd": 12.5}
    offer = {"candidate": "gas-tank-50", "firm": text, "total_usd": 12.5, "lines": [line]}
    comparison = compared(name=text, contractor={"name": text, "licence": text, "phone": text[:40]}, offers=[offer])
    page = written(document(comparison), "html", day=TODAY).decode()
    assert "<script" not in page and not re.search(r"<(?!/?[a-zA-Z!])", page)
    found = plain("".join(pages(written(document(comparison), "pdf", day=TODAY))))
    if text.isascii():
        assert plain(text) in found


def test_a_house_full_of_hostile_texts_is_set():
    comparison = compare(case_from(HOUSE), today=TODAY, by_hand=True)
    for language in ("en", "es"):
        made = document(comparison, language=language)
        assert written(made, "pdf", day=TODAY).startswith(b"%PDF")
        assert b"<script" not in written(made, "html", day=TODAY)


def test_ten_thousand_letters_are_refused_in_a_sentence():
    with pytest.raises(InputError, match=r"contractor\.name"):
        compared(contractor={"name": "x" * 10_000})


def picture(kind="PNG", size=(900, 300)):
    made = io.BytesIO()
    Image.new("RGB", size, "#336699").save(made, kind)
    return made.getvalue()


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_logo_is_drawn_anew(usual, kind):
    png, size = as_png(picture(kind))
    assert size == (600, 200) and Image.open(io.BytesIO(png)).size == size
    made = document(usual, logo=picture(kind))
    assert written(made, "pdf", day=TODAY).startswith(b"%PDF")
    coded = re.search(rb"base64,([^\"]+)", written(made, "html", day=TODAY))[1]
    assert base64.b64decode(coded) == png


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"GIF89a",
        picture("GIF"),
        b"<svg onload='x()'/>",
        picture()[:200],
        b"\x89PNG" + b"x" * MAX_BYTES,
        picture(size=(9000, 2)),
    ],
    ids=["empty", "no picture", "gif", "svg", "cut", "too large", "too many points"],
)
def test_a_logo_that_cannot_be_is_refused_in_a_sentence(usual, content):
    with pytest.raises(InputError) as caught:
        document(usual, logo=content)
    assert caught.value.field == "contractor.logo" and "\n" not in str(caught.value)


def test_the_command_line(tmp_path, capsys):
    case = tmp_path / "house.toml"
    case.write_text((paths.CASES / "half-inch-gas-branch.toml").read_text() + '\n[contractor]\nlogo = "l.png"\n')
    with (tmp_path / "l.png").open("wb") as logo:
        logo.truncate(50_000_000)
    out = tmp_path / "paper.pdf"
    assert main(["document", str(case), "-o", str(out)]) == 2
    assert "larger than 2 MB" in capsys.readouterr().err and not out.exists()
    (tmp_path / "l.png").write_bytes(picture())
    assert main(["document", str(case), "-o", str(out), "--date", "2026-11-28"]) == 0
    assert out.read_bytes().startswith(b"%PDF") and sorted(one.name for one in tmp_path.iterdir()) == [
        "house.toml",
        "l.png",
        "paper.pdf",
    ]
    for wrong in (["-o", "x.docx"], ["-o", str(out), "--date", "soon"], ["-o", str(tmp_path / "no" / "x.pdf")]):
        assert main(["document", str(case), *wrong]) == 2
        assert capsys.readouterr().err.count("\n") == 1
