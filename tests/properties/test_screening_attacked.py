"""Mutated files of applicants and mutated rule sets: one sentence or every row, never a traceback, never a lost row.

A few hundred of each by default; ``ADVISOR_EXPLORE=1`` runs ten thousand, from another seed every time.
"""

import os
import time

import numpy as np
import pytest

from advisor.core.errors import InputError
from advisor.screening.checking import check
from advisor.screening.decide import DECISIONS, columns_read, decide
from advisor.screening.explaining import explained
from advisor.screening.mapping import Reading
from advisor.screening.reading import open_source
from advisor.screening.rules import parse_rules
from advisor.screening.run import Job, csv_bytes, decide_chunk, keys_of_chunk
from tests.applicants import PROGRAMS, frame, rows
from tests.speed.dirty_applicants import block

EXPLORES = bool(os.environ.get("ADVISOR_EXPLORE"))
SEED = int(time.time()) if EXPLORES else 7
BATCHES, EACH = (100, 100) if EXPLORES else (6, 40)
PIECES = [
    b'"',
    b",",
    b"\n",
    b"\r\n",
    b"\x00",
    b"\xff",
    b"=1",
    b"-",
    b"1e999",
    b"nan",
    b"'",
    b"\xef\xbb\xbf",
    b"\t",
    b";",
    b"9" * 40,
]
TOKENS = [
    "0",
    "-1",
    "1e400",
    "nan",
    '""',
    "true",
    "[]",
    "{}",
    '"uef"',
    "2026-02-29",
    "[[rules]]",
    "{ all = [] }",
    "\\",
    "=",
    "{ not = { field = 1 } }",
]


def mutated(content, random, pieces):
    """A few cuts, swaps and insertions."""
    for _ in range(int(random.integers(1, 6))):
        at, to = sorted(int(one) for one in random.integers(0, len(content) + 1, 2))
        to = min(to, at + int(random.integers(0, 60)))
        piece = pieces[int(random.integers(len(pieces)))]
        way = int(random.integers(4))
        if way == 0:
            content = content[:at] + piece + content[at:]
        elif way == 1:
            content = content[:at] + content[to:]
        elif way == 2:
            content = content[:at] + piece + content[to:]
        else:
            content = content[:to] + content[at:to] + content[to:]
    return content


@pytest.mark.parametrize("batch", range(BATCHES))
def test_no_file_of_applicants_breaks_a_run_or_loses_a_row(tmp_path, batch):
    random = np.random.default_rng([SEED, batch])
    text = (PROGRAMS / "quillmarsh.toml").read_bytes()
    rule_set = parse_rules(text)
    whole = block(1, 12, 3)
    for number in range(EACH):
        content = mutated(whole, random, PIECES)
        path = tmp_path / f"{number}.csv"
        path.write_bytes(content)
        try:
            source = open_source(path, Reading(), columns_read(rule_set), tmp_path)
        except InputError as refused:
            assert "\n" not in str(refused)
            continue
        job = Job(source, text)
        seen = []
        for chunk_rows in (1000, 5):
            chunks = list(source.chunks(chunk_rows))
            keys = [keys_of_chunk(job, chunk) for chunk in chunks]
            parts = [decide_chunk(job, chunk, {}) for chunk in chunks]
            assert sum(part.totals["rows",] for part in parts) == sum(chunk.n_rows for chunk in chunks)
            ends = [chunk.offset + chunk.length for chunk in chunks]
            assert [source.offset, *ends][: len(chunks)] == [chunk.offset for chunk in chunks]
            seen.append((b"".join(part.decisions for part in parts), sum(len(one["meter"].key) for one in keys)))
        assert seen[0] == seen[1]
        body = content[source.offset :]
        if b'"' not in body:
            lines = [line for line in body.split(b"\n") if line.removesuffix(b"\r")]
            assert sum(chunk.n_rows for chunk in source.chunks(1000)) == len(lines)


@pytest.mark.parametrize("batch", range(BATCHES))
def test_no_rule_set_breaks_a_decision_or_passes_what_it_should_not(batch):
    random = np.random.default_rng([SEED, batch, 1])
    applicants = frame(list(rows("quillmarsh").values()) + list(rows("brindlewood").values()))
    names = ("quillmarsh", "brindlewood", "hollowmere")
    for _ in range(EACH):
        text = (PROGRAMS / f"{names[int(random.integers(3))]}.toml").read_text()
        try:
            rule_set = parse_rules(mutated(text, random, TOKENS).encode())
        except InputError as refused:
            assert "\n" not in str(refused)
            continue
        check(rule_set)
        assert explained(rule_set)
        decisions = decide(applicants, rule_set)
        assert decisions.num_rows == applicants.num_rows
        assert set(decisions["decision"].to_pylist()) <= set(DECISIONS)
        assert all(row["reasons"] for row in decisions.to_pylist() if row["decision"] in ("deny", "hold"))
        assert csv_bytes(decisions)
