"""The message catalogues: whole in both languages, the same blanks, no key that nobody uses, none that is missing."""

import ast
import io
import re
import string
from collections import Counter
from pathlib import Path

import pytest
from babel.messages.pofile import read_po

import advisor
from advisor.core import paths
from advisor.core.findings import Severity, care, note, stop
from advisor.report.words import LOCALES, join, keys, localised, say, template, usd

PACKAGE = Path(advisor.__file__).parent
SOURCES = [*PACKAGE.rglob("*.py"), *paths.PAGES.glob("*.py")]
#: Functions whose first word is a key.
SAYS = {"finding", "note", "care", "stop", "say", "template", "has"}
#: Beginnings of keys that are put together from an id.
PUT_TOGETHER = (
    "assumed.",
    "place.elevation.",
    "rule.",
    "air.opening.",
    "rules.nox.area.",
    "book.state.",
    "offer.form.",
    "box.",
    "conclusion.",
    "capacity.experience.",
    "carbon.counts.",
    "card.",
    "chance.",
    "column.",
    "screening.",
    "course.",
    "driver.whose.",
    "flow.",
    "incentive.",
    "rate.",
    "sold_by.",
    "caution.",
    "condensate.rule.",
    "electrical.cut.",
    "electrical.metal.",
    "electrical.use.",
    "gas.beyond.",
    "gas.method.",
    "gas.name.",
    "gas.why.",
    "pipe.",
    "fuel.",
    "job.",
    "keep.",
    "money.later_law.",
    "keep_up.finding.",
    "kind.",
    "document.chart.",
    "document.col.",
    "document.get.",
    "document.question.",
    "document.sign.",
    "offer.kind.",
    "offer.sum.",
    "order.",
    "page.",
    "plain.",
    "home.",
    "phone.",
    "q.",
    "qa.",
    "quote.",
    "taken.",
    "today.",
    "tonight.",
    "price.",
    "program.is.",
    "reading.",
    "symptom.",
    "room.in_a.",
    "room.rule.",
    "soon.",
    "space.",
    "state.",
    "stopgap.",
    "supply.",
    "technology.",
    "trade.",
    "turn.",
    "vent.advice.",
    "vent.clearance.",
    "vent.kind.",
    "vent.material.",
    "vent.pressure.",
    "usual.",
    "verdict.",
    "capacity.alone.",
    "energy.basis.",
    "label.below",
    "label.meets",
    "pattern.",
    "heater.variant.",
    "sale.",
    "state.",
    "tap.",
    "unit.",
    "view.",
    "who.",
    "water.hardness.",
    "water.loop.",
    "water.plan.",
    "water.rule.",
    "water.wait.",
)


def messages(language):
    """Key to texts (singular, plural) of every catalogue, from the source."""
    found = []
    for path in sorted((paths.ASSETS / "locale" / language).rglob("*.po")):
        if path.stem == "refusals":  # by their English text: tests/unit/test_refusals.py
            continue
        for message in read_po(io.BytesIO(path.read_bytes())):
            if message.id:
                key = message.id if isinstance(message.id, str) else message.id[0]
                texts = (message.string,) if isinstance(message.string, str) else tuple(message.string)
                found.append((key, texts))
    return found


MESSAGES = {language: dict(messages(language)) for language in LOCALES}


def blanks(text):
    """Names of the blanks of a text."""
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


def used_keys():
    """Constant keys in the code, with where they stand; an f-string counts as the text before its first blank."""
    for path in SOURCES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or not node.args:
                continue
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            if name not in SAYS:
                continue
            for part in ast.walk(node.args[0]):
                if isinstance(part, ast.Constant) and isinstance(part.value, str) and "." in part.value[1:]:
                    yield path, part.value


#: What nobody can promise of a heater, in either language.
PROMISES = re.compile(r"\b(un)?(safe(ly|st|r)?|approv(ed|es?)|guarantee[ds]?|best|aprobad[oa]s?|garantiza\w*)\b", re.I)


@pytest.mark.parametrize("language", LOCALES)
def test_no_message_promises_anything(language):
    assert [key for key, texts in messages(language) if any(map(PROMISES.search, texts))] == []


def test_both_languages_have_the_same_keys():
    assert set(MESSAGES["en"]) == set(MESSAGES["es"])


@pytest.mark.parametrize("language", LOCALES)
def test_no_key_stands_twice_and_no_text_is_empty(language):
    counts = Counter(key for key, _ in messages(language))
    assert [key for key, count in counts.items() if count > 1] == []
    assert [key for key, texts in MESSAGES[language].items() if not all(texts)] == []


@pytest.mark.parametrize("key", sorted(MESSAGES["en"]))
def test_both_languages_fill_the_same_blanks(key):
    english, spanish = ({name for text in MESSAGES[language][key] for name in blanks(text)} for language in LOCALES)
    assert english - {"n"} == spanish - {"n"}


def test_every_key_that_the_code_names_exists():
    missing = [
        f"{path.name}: {key}"
        for path, key in used_keys()
        if key not in MESSAGES["en"] and not key.startswith(PUT_TOGETHER)
    ]
    assert not missing


def test_every_key_is_used():
    source = "\n".join(path.read_text(encoding="utf-8") for path in SOURCES)
    mentioned = set(re.findall(r"[\"']([a-z_0-9]+(?:\.[A-Za-z_0-9]+)+)[\"']", source))
    unused = [key for key in MESSAGES["en"] if key not in mentioned and not key.startswith(PUT_TOGETHER)]
    assert not unused


def test_numbers_dollars_and_lists_are_written_in_the_language():
    assert usd(1234.4) == "$1,234"
    assert [usd(1_449, 100), usd(-1_449, 100), usd(255, 10)] == ["$1,400", "-$1,400", "$260"]
    assert usd(-1260, 100) == "-$1,300"
    assert [usd(-0.2), usd(-4, 10)] == ["$0", "$0"]
    assert usd(1234, 10, "es") == "$1,230"
    assert localised("1,234.5", "es") == "1,234.5"  # Spanish of the United States writes numbers as English does
    assert [join(["a"]), join(["a", "b"]), join(["a", "b", "c"], "es")] == ["a", "a and b", "a, b y c"]


def test_a_missing_key_is_an_error_that_names_it():
    with pytest.raises(LookupError, match=r"no\.such\.key"):
        template("no.such.key", "en")
    assert "list.and" in keys("es")


def test_a_finding_carries_its_numbers_and_its_weight():
    found = stop("list.and", "IFGC 504.2", limit_ft=65.0, other=note("list.and"))
    assert found.number("limit_ft") == 65.0
    assert max(found, care("list.and"), key=lambda one: one.severity) is found
    assert found.severity is Severity.STOP and hash(found)
    assert say(found) == "and"
