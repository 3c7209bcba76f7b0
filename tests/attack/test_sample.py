"""A short, fixed sample of the attack; ``python -m tests.attack.run`` is the whole of it."""

import ast
import random
from pathlib import Path

import pytest

from tests.attack import fuzz, lines
from tests.attack.generators import GENERATORS, HOSTILE
from tests.attack.houses import RULES, Rule, _same, houses


@pytest.mark.parametrize("name", GENERATORS)
def test_every_door_stands(name):
    count = {"cases": 3, "applicants": 5, "rule sets": 8, "typed offers": 5, "documents": 2}.get(name, 25)
    found = fuzz.fuzz(count, only=name)
    assert found.faults == []
    assert sum(found.outcomes.values()) == count


def test_an_attempt_can_be_made_again():
    for name, (_, made) in GENERATORS.items():
        once, again = (made(random.Random(f"{name} 7"))[0] for _ in range(2))
        assert once == again


def test_what_is_wrong_is_found(monkeypatch):
    """The tool itself: a crash, a refusal of many lines, one that is too long, one that names nothing."""
    from advisor.core.errors import AdvisorError, InputError

    def ends(error):
        def made(_):
            def take():
                raise error

            return "x", take

        return 1, made

    for error, told in [
        (ValueError("boom"), "ValueError"),
        (InputError("household.people", None, "x" * 300, "mend it"), "letters"),
        (InputError("household.people", None, "x", "mend it\nor not"), ""),
        (AdvisorError("No key"), "letters"),
        (InputError("elsewhere.key", 1, "is wrong", "mend it"), "names no key"),
    ]:
        monkeypatch.setitem(GENERATORS, "cases", ends(error))
        found = fuzz.fuzz(1, only="cases")
        assert len(found.faults) >= bool(told) and told in " ".join(found.faults)


def test_houses_keep_the_rules():
    kept = houses(1, first_seed=100)
    assert kept.broken == [] and kept.tried >= 3


def test_a_broken_rule_is_found(monkeypatch):
    def dearer(_, given):
        return {**given, "prices": {**given.get("prices", {}), "electricity_usd_per_kwh": 2.9}}

    monkeypatch.setattr("tests.attack.houses.RULES", (Rule("nothing changes", dearer, _same),))
    assert houses(1).broken and len(RULES) > 10


@pytest.mark.parametrize("number", (3, 29, 57))
def test_lines_end_well(number, tmp_path):
    lines.put_files(tmp_path)
    assert lines.wrong(lines.LINES[number], tmp_path) == ""


def test_a_line_that_ends_badly_is_found(tmp_path):
    lines.put_files(tmp_path)
    assert "ended with 2" in lines.wrong(lines.Line("compare nothing.toml", 0), tmp_path)


def test_every_module_that_reads_what_others_wrote_has_a_generator():
    """A module of the edge that raises ``InputError`` for a text is called by some generator."""
    here = Path(__file__).parent
    texts = [
        (here / name).read_text(encoding="utf-8") for name in ("generators.py", "files_of_others.py", "on_paper.py")
    ]
    imported = {node.module for text in texts for node in ast.walk(ast.parse(text)) if isinstance(node, ast.ImportFrom)}
    doors = {"case.file", "web.link", "core.units", "place.location", "money.live_prices", "report.escape"}
    doors |= {"case.offer_csv", "case.reading", "screening.reading", "screening.rules", "book.store"}
    doors |= {"document.logo", "document.make", "document.sheet", "house.readings", "report.offers_text"}
    assert {f"advisor.{door}" for door in doors} <= imported
    assert len(HOSTILE) > 40 and min(share for share, _ in GENERATORS.values()) > 0
