"""CSV that a spreadsheet opens as text: OWASP, "CSV Injection", names the characters that start a formula."""

import csv
import io

import pytest

from advisor.report.csv_cells import csv_cell, csv_text


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", " =1", "-3.5"])
def test_what_a_spreadsheet_would_run_is_text(text):
    assert csv_cell(text) == f"'{text}"


@pytest.mark.parametrize("text", ["7 in. w.c.", "3/4", "a = b", "", "½"])
def test_plain_text_stays_as_it_is(text):
    assert csv_cell(text) == text


def test_nothing_is_an_empty_cell():
    assert csv_cell(None) == ""


def test_rows_come_back_as_they_went_in():
    rows = [{"what": 'say "so"', "how": "a, b", "n": 3}, {"what": "=cmd", "how": "two\nlines", "n": None}]
    read = list(csv.DictReader(io.StringIO(csv_text(rows), newline="")))
    assert read == [
        {"what": 'say "so"', "how": "a, b", "n": "3"},
        {"what": "'=cmd", "how": "two\nlines", "n": ""},
    ]


def test_no_rows_no_text():
    assert csv_text([]) == ""
