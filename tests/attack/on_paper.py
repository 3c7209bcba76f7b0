"""What is read at a heater, typed of an offer and set on paper: readings, offers, logos, documents, sheets."""

from __future__ import annotations

import io
import random
import re
from functools import cache
from typing import Any

from advisor.case.file import case_from
from advisor.case.reading import unit_of_reading
from advisor.comparison import Comparison, compare
from advisor.core.paths import CASES
from advisor.document.logo import as_png
from advisor.document.make import document, written
from advisor.document.sheet import sheet
from advisor.house.readings import judged, readings_for
from advisor.report.offers_text import offers_text
from advisor.report.readings_text import readings_dict, readings_text
from tests.attack.files_of_others import mutilated
from tests.hostile import HOUSE

_NUMBERS = (
    "0",
    "-1",
    "7",
    "7 in. w.c.",
    "120 °F",
    "9" * 70,
    "1e999",
    "nan",
    "½",
    "ok",
    " ",
    "35 ppm",
    "49 °C",
    "٧",
    "0x10",
)
_DAYS = ("2026-11-28", "2026-02-30", "9999-12-31", "0001-01-01", "20261128", 3, "", None)
_PIECES = (b"\0", b"\xff", b"IEND", b"\x89PNG", b"\xff\xd8", b"\x7f\xff\xff\xff", b"<svg>", b"A" * 3000)
_TAG = re.compile(rb"<(?:script|img|i|a href)\b[^>]*")


def _text(chance: random.Random, texts: tuple[str, ...]) -> str:
    return chance.choice(texts)[: chance.choice([20, 40, 80, 120, 5000])]


def readings(chance: random.Random, texts: tuple[str, ...]) -> tuple[Any, Any]:
    """What was read when a heater first ran: refused in a sentence, or judged and told."""
    names = (*unit_of_reading(), _text(chance, texts))
    taken = [
        {
            "reading": chance.choice(names),
            "value": chance.choice((*_NUMBERS, _text(chance, texts), chance.uniform(-1e7, 1e7))),
            **({"read_on": chance.choice(_DAYS)} if chance.random() < 0.3 else {}),
            **({"by": _text(chance, texts)} if chance.random() < 0.3 else {}),
            **({"unit": chance.choice([1, 3, 0, 4])} if chance.random() < 0.2 else {}),
        }
        for _ in range(chance.choice([1, 1, 2, 40, 600]))
    ]

    def take() -> Any:
        case = case_from({**_demo(), "readings": taken})
        comparison, one = _compared(), chance.choice(_compared().candidates)
        asked = readings_for(one.heater, comparison.facts, comparison.circumstances, one.use)
        found = judged(asked, case.readings, one.heater.id)
        readings_dict(one.heater.id, asked, found)
        return readings_text(one.heater.title, asked, taken=found)

    return taken, take


def typed_offers(chance: random.Random, texts: tuple[str, ...]) -> tuple[Any, Any]:
    """Offers as a form hands them over, every cell a text: refused in a sentence, or checked and told."""
    right = chance.choice([0.9, 0.98, 1.0])

    def cell(good: tuple[Any, ...], bad: tuple[Any, ...]) -> Any:
        return chance.choice(good) if chance.random() < right else chance.choice(bad)

    def money() -> Any:
        return cell(("2500", "$2,500.00", "40", "199999.99"), (*_NUMBERS, "2500.001", "1e5"))

    def maybe(often: float, name: str, value: Any) -> dict[str, Any]:
        return {name: value} if chance.random() < often else {}

    def line() -> dict[str, Any]:
        words = cell(("Heater", "Permit", "Haul away", "expansion tank"), (_text(chance, texts),))
        kind = cell(("equipment", "labor", "discount", "rebate", "tax"), ("Equipment", ""))
        kept = {"what": words, "kind": kind, "usd": money()} | maybe(0.2, "job", _text(chance, texts)[:80] or "x")
        return kept | maybe(0.2, "as_of", cell(_DAYS[:1], _DAYS))

    def offer() -> dict[str, Any]:
        heater = cell(("gas-tank-50", "heat-pump-50", "gas-tankless-199"), (_text(chance, texts),))
        lines = [line() for _ in range(cell((1, 3, 8), (60,)))]
        head = {"candidate": heater, "total_usd": money()} | maybe(0.5, "lines", lines)
        head |= maybe(0.7, "firm", _text(chance, texts)[:80].strip() or "x")
        return head | maybe(0.3, "made_on", cell(_DAYS[:1], _DAYS)) | maybe(0.3, "valid_until", cell(_DAYS[2:4], _DAYS))

    offers = [offer() for _ in range(cell((1, 2, 4), (60,)))]
    return offers, lambda: offers_text(compare(case_from({**_demo(), "offers": offers}), by_hand=True))


def logos(chance: random.Random) -> tuple[Any, Any]:
    """A logo's file, damaged; what comes of it is a small picture drawn anew."""
    content = mutilated(chance, _picture(chance.choice(("PNG", "JPEG")), chance.choice([1, 40, 900])), _PIECES)

    def take() -> Any:
        png, size = as_png(content)
        assert png.startswith(b"\x89PNG") and max(size) <= 600
        return png

    return content, take


def documents(chance: random.Random, texts: tuple[str, ...]) -> tuple[Any, Any]:
    """Whole documents and sheets of houses full of hostile texts: they are set, and nothing of them is markup."""
    put = {
        "name": _text(chance, texts)[:80] or "x",
        "contractor": {"name": _text(chance, texts)[:80], "phone": _text(chance, texts)[:40]},
        "offers": [{"candidate": "gas-tank-50", "firm": _text(chance, texts)[:80] or "x", "total_usd": 2500}],
    }
    kind = chance.choice(("html", "pdf"))
    language, si = chance.choice(("en", "es")), chance.random() < 0.5
    link = chance.choice(("", "http://127.0.0.1/?zip=55811", *texts))

    def take() -> Any:
        comparison = compare(case_from({**HOUSE, **put}), by_hand=True)
        about = chance.choice((*comparison.candidates, None))
        whole = document(comparison, chosen=about, language=language, si=si)
        for made in (whole, sheet(comparison, link=link, language=language, si=si)):
            content = written(made, "html" if kind == "html" else "pdf", day=comparison.today)
            if kind == "pdf":
                assert content.startswith(b"%PDF") and content.rstrip().endswith(b"%%EOF")
            else:
                assert content.rstrip().endswith(b"</html>")
                assert not [tag for tag in _TAG.findall(content) if b"elsewhere" in tag or tag.startswith(b"<script")]
        return True

    return (put, kind, link), take


@cache
def _demo() -> dict[str, Any]:
    from advisor.case.file import parse_case

    case = parse_case((CASES / "cold-city-basement.toml").read_bytes())
    return case.model_dump(mode="python", exclude_unset=True, exclude_none=True)


@cache
def _compared() -> Comparison:
    return compare(case_from(_demo()), by_hand=True)


@cache
def _picture(kind: str, side_px: int) -> bytes:
    from PIL import Image

    made = io.BytesIO()
    Image.new("RGB", (side_px, max(1, side_px // 2)), (20, 90, 160)).save(made, kind)
    return made.getvalue()
