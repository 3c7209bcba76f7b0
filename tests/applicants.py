"""Applicants and rule sets for tests: the shipped ones, changed where a test says so."""

import csv
import io
import re
from pathlib import Path

import pyarrow as pa

from advisor.core import paths
from advisor.screening.decide import decide
from advisor.screening.rules import parse_rules

PROGRAMS = paths.DATA / "programs"


def rules_text(name, **replaced):
    """A shipped rule set as text, pieces of it replaced."""
    text = (PROGRAMS / f"{name}.toml").read_text(encoding="utf-8")
    for old, new in replaced.get("pairs", ()):
        assert old in text
        text = text.replace(old, new)
    return text


def rules(name, *pairs):
    """A shipped rule set, pieces of it replaced."""
    return parse_rules(rules_text(name, pairs=pairs).encode())


def rows(name):
    """The shipped applicants of a program, by number of the application."""
    with (PROGRAMS / f"{name}.csv").open(encoding="utf-8", newline="") as stream:
        return {row["application_id"]: row for row in csv.DictReader(stream)}


def frame(applicants):
    """Applicants as a frame of text."""
    names = dict.fromkeys(name for row in applicants for name in row)
    return pa.table({name: pa.array([str(row.get(name, "")) for row in applicants], pa.string()) for name in names})


def decided(rule_set, *applicants, **how):
    """Decisions on some applicants."""
    return decide(frame(applicants), rule_set, **how).to_pylist()


def one(name, application, *pairs, **changed):
    """The decision on one of the shipped applicants, with cells of it changed."""
    return decided(rules(name, *pairs), rows(name)[application] | changed)[0]


def csv_file(path: Path, applicants):
    """Applicants in a file."""
    names = list(dict.fromkeys(name for row in applicants for name in row))
    text = io.StringIO()
    writer = csv.DictWriter(text, names, lineterminator="\n")
    writer.writeheader()
    writer.writerows(applicants)
    path.write_text(text.getvalue(), encoding="utf-8")
    return path


def numbers_in(text):
    """Numbers of a sentence."""
    return [float(found) for found in re.findall(r"\d+(?:\.\d+)?", text.replace(",", ""))]
