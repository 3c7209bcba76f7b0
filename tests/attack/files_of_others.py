"""Files that come from others: spreadsheets of offers, files of applicants and rule sets of programs, mutilated."""

from __future__ import annotations

import random
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

from advisor.case.file import case_from, parse_case
from advisor.case.offer_csv import offers_in
from advisor.core.paths import CASES
from advisor.screening.checking import check
from advisor.screening.decide import DECISIONS, columns_read, decide
from advisor.screening.explaining import explained
from advisor.screening.mapping import Reading
from advisor.screening.reading import open_source
from advisor.screening.rules import parse_rules
from advisor.screening.run import Job, csv_bytes, decide_chunk
from tests.applicants import PROGRAMS, frame, rows
from tests.speed.dirty_applicants import block

_CELLS = (b'"', b",", b"\n", b"\r\n", b"\0", b"\xff", b"=1", b"-", b"1e999", b"nan", b"'", b"\t", b";", b"9" * 400)
_WORDS = ("0", "-1", "1e400", "nan", '""', "true", "[]", "{}", "2026-02-29", "[[rules]]", "{ all = [] }", "\\", "=")
_OFFERS = (
    b"firm,candidate,total_usd,what,kind,usd\nNorth,gas-tank-50,2500,Heater,equipment,1800\n"
    b"North,gas-tank-50,,Work,labor,700\nSouth,heat-pump-50,4100,,,\n"
)


def mutilated(chance: random.Random, content: bytes, pieces: tuple[bytes, ...]) -> bytes:
    """A few cuts, doublings and pieces put in."""
    for _ in range(chance.randint(1, 5)):
        start = chance.randrange(len(content) + 1)
        end = min(len(content), start + chance.randrange(60))
        piece = chance.choice([b"", chance.choice(pieces), content[start:end] * 2, content[start:end]])
        content = content[:start] + piece + content[chance.choice([start, end]) :]
    return content


def offers(chance: random.Random) -> tuple[Any, Any]:
    """A spreadsheet of offers."""
    content = mutilated(chance, _OFFERS, _CELLS)
    return content, lambda: case_from({**_house(), "offers": offers_in(content)})


def applicants(chance: random.Random) -> tuple[Any, Any]:
    """A file of applicants: refused in a sentence, or every row is decided."""
    content = mutilated(chance, _dirty(), _CELLS)

    def take() -> Any:
        text, columns = _program()
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "applicants.csv"
            path.write_bytes(content)
            source = open_source(path, Reading(), columns, Path(folder))
            job = Job(source, text)
            for chunk in source.chunks(1000):
                assert decide_chunk(job, chunk, {}).totals["rows",] == chunk.n_rows
        return True

    return content, take


def rule_sets(chance: random.Random) -> tuple[Any, Any]:
    """A rule set of a program: refused in a sentence, or it decides every applicant for a reason."""
    content = (PROGRAMS / f"{chance.choice(('quillmarsh', 'brindlewood', 'hollowmere'))}.toml").read_bytes()
    content = mutilated(chance, content, tuple(word.encode() for word in _WORDS))

    def take() -> Any:
        rule_set = parse_rules(content)
        check(rule_set)
        assert explained(rule_set)
        decisions = decide(_applicants(), rule_set)
        assert decisions.num_rows == _applicants().num_rows
        assert set(decisions["decision"].to_pylist()) <= set(DECISIONS)
        return csv_bytes(decisions)

    return content, take


@cache
def _house() -> dict[str, Any]:
    case = parse_case((CASES / "cold-city-basement.toml").read_bytes())
    return case.model_dump(mode="python", exclude_unset=True, exclude_none=True)


@cache
def _dirty() -> bytes:
    return block(1, 12, 3)


@cache
def _program() -> tuple[bytes, tuple[str, ...]]:
    text = (PROGRAMS / "quillmarsh.toml").read_bytes()
    return text, columns_read(parse_rules(text))


@cache
def _applicants() -> Any:
    return frame([*list(rows("quillmarsh").values())[:6], *list(rows("brindlewood").values())[:6]])
