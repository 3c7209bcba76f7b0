"""The strict loader names file, row and column, and every table that is carried loads."""

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from advisor.core import tables
from advisor.core.errors import TableError
from advisor.core.paths import DATA
from advisor.core.units import UNITS

REFERENCE = Path(__file__).parents[1] / "reference"

TOML = """
id = "t"
title = "Test"
publication = "A handbook"
edition = "2024"
locator = "Table 1"
state = "verified"
licence = "none"
key = ["name"]

[columns.name]
kind = "text"
meaning = "Name"
allowed = ["a", "b", "c"]

[columns.length_ft]
kind = "number"
unit = "ft"
meaning = "Length"
min = 1
max = 10

[columns.count]
kind = "integer"
unit = "dimensionless"
meaning = "How many"

[columns.since]
kind = "date"
meaning = "When"
required = false

[columns.extra_ft]
kind = "number"
unit = "ft"
meaning = "More"
required = false
"""
CSV = "name,length_ft,count,since,extra_ft\na,1.5,2,2026-11-25,\nb,10,3,,4\n"


@pytest.fixture
def folder(tmp_path):
    def write(csv=CSV, toml=TOML):
        (tmp_path / "t.csv").write_text(csv, encoding="utf-8")
        (tmp_path / "t.toml").write_text(toml, encoding="utf-8")
        return tmp_path

    return write


def test_loads_typed_columns(folder):
    table = tables.load_from(folder(), "t")
    assert len(table) == 2
    assert table.row(0) == {
        "name": "a",
        "length_ft": 1.5,
        "count": 2,
        "since": date(2026, 11, 25),
        "extra_ft": None,
    }
    assert table.citation == "A handbook, 2024, Table 1 [verified]"
    assert np.isnan(table["extra_ft"][0]) and table["since"][1] is None
    assert table["count"].dtype == np.int64
    assert [row["name"] for row in table.rows()] == ["a", "b"]


def test_columns_are_frozen(folder):
    table = tables.load_from(folder(), "t")
    for column in table.data.values():
        with pytest.raises(ValueError, match="read-only"):
            column[0] = column[1]


@pytest.mark.parametrize(
    ("old", "new", "row", "column", "says"),
    [
        ("b,10,3", "b,,3", 3, "length_ft", "empty"),
        ("b,10,3", "b,11,3", 3, "length_ft", "outside"),
        ("a,1.5", "a,0.5", 2, "length_ft", "outside"),
        ("a,1.5", "a,long", 2, "length_ft", "not a number"),
        ("a,1.5", "a,nan", 2, "length_ft", "not finite"),
        ("a,1.5", "a,inf", 2, "length_ft", "not finite"),
        ("1.5,2,", "1.5,2.5,", 2, "count", "whole number"),
        ("2026-11-25", "25 Nov 2026", 2, "since", "not a date"),
        ("b,10,3", "d,10,3", 3, "name", "not one of"),
        ("b,10,3", "a,10,3", 3, None, "stands in row 2"),
        ("b,10,3,,4", "b,10,3,,4,5", 3, None, "6 cells where 5"),
        ("b,10,3,,4", "b,10,3", 3, None, "3 cells where 5"),
        ("name,length_ft", "name,width_ft", None, "width_ft", "unknown column"),
        ("since,extra_ft", "since,since", None, None, "twice"),
    ],
)
def test_a_bad_csv_names_its_place(folder, old, new, row, column, says):
    text = CSV.replace(old, new)
    toml = TOML.split("[columns.extra_ft]")[0] if says == "twice" else TOML
    assert text != CSV
    with pytest.raises(TableError, match=says) as caught:
        tables.load_from(folder(text, toml), "t")
    error = caught.value
    assert (error.file, error.row, error.column) == ("t.csv", row, column)
    assert "t.csv" in str(error)
    assert row is None or f"row {row}" in str(error)
    assert column is None or f"column {column}" in str(error)


def test_a_declared_column_must_be_there(folder):
    text = "\n".join(line.rpartition(",")[0] for line in CSV.splitlines())
    with pytest.raises(TableError, match="t.csv, column extra_ft: the column is declared but absent"):
        tables.load_from(folder(text), "t")


@pytest.mark.parametrize(
    ("old", "new", "column", "says"),
    [
        ('publication = "A handbook"', "", None, "missing 'publication'"),
        ('publication = "A handbook"', 'publication = ""', None, "missing 'publication'"),
        ('state = "verified"', "", None, "missing 'state'"),
        ('state = "verified"', 'state = "sure"', None, "'sure' is not one of"),
        ('state = "verified"', 'state = "mixed, see the state column"', None, "no column 'state'"),
        ('id = "t"', 'id = "t"\ncolour = "red"', None, "unknown key 'colour'"),
        ('unit = "ft"\nmeaning = "Length"', 'unit = "cubit"\nmeaning = "Length"', "length_ft", "'cubit'"),
        ('unit = "ft"\nmeaning = "Length"', 'meaning = "Length"', "length_ft", "needs a unit"),
        ('meaning = "Length"', "", "length_ft", "no meaning"),
        ('kind = "text"', 'kind = "words"', "name", "kind must be one of"),
        ("max = 10", "most = 10", "length_ft", "unknown key 'most'"),
        ('key = ["name"]', 'key = ["names"]', "names", "not declared"),
        ('id = "t"', "id = t", None, "not valid TOML"),
    ],
)
def test_a_bad_declaration_names_its_place(folder, old, new, column, says):
    text = TOML.replace(old, new, 1)
    assert text != TOML
    with pytest.raises(TableError, match=says) as caught:
        tables.load_from(folder(toml=text), "t")
    assert caught.value.file in {"t.toml", "t.csv"}
    assert caught.value.column == column


def test_missing_and_empty_files(folder, tmp_path):
    with pytest.raises(TableError, match="t.toml: the declaration cannot be read"):
        tables.load_from(tmp_path, "t")
    with pytest.raises(TableError, match="t.csv: there are no rows"):
        tables.load_from(folder(CSV.splitlines()[0] + "\n"), "t")
    (tmp_path / "t.csv").unlink()
    with pytest.raises(TableError, match="t.csv: the file cannot be read"):
        tables.load_from(tmp_path, "t")
    (tmp_path / "t.csv").write_bytes(b"name,length_ft\n\xff\xfe\n")
    with pytest.raises(TableError, match="t.csv: not a readable CSV file"):
        tables.load_from(tmp_path, "t")


@pytest.mark.parametrize("name", tables.names())
def test_every_table_loads_and_cites(name):
    table = tables.load(name)
    assert table.id == name
    assert len(table) > 0
    for part in (table.publication, table.edition, table.locator, table.licence, table.title):
        assert part.strip()
    assert table.publication in table.citation and table.state in table.citation
    assert not any(column.flags.writeable for column in table.data.values())
    assert tables.load(name) is table


@pytest.mark.parametrize("name", tables.names())
def test_every_unverified_row_says_so(name):
    """A table that calls itself verified holds no row from memory."""
    table = tables.load(name)
    if table.state == "verified" and "state" in table.columns:
        assert set(table["state"]) == {"verified"}


def test_every_csv_has_a_declaration():
    without = [path.name for path in DATA.glob("*.csv") if not path.with_suffix(".toml").exists()]
    assert not without


@pytest.mark.parametrize("name", ["installed_costs", "jobs", "upkeep"])
def test_low_typical_high_stand_in_order(name):
    table = tables.load(name)
    low, typical, high = (
        next(table[column] for column in table.columns if column.startswith(start))
        for start in ("low_usd", "typical_usd", "high_usd")
    )
    priced = ~np.isnan(typical)
    assert np.all((low <= typical)[priced]) and np.all((typical <= high)[priced])


def test_every_heater_has_one_base_cost():
    assert sorted(tables.load("installed_costs")["heater"]) == sorted(tables.load("heaters")["id"])


def test_test_conditions_name_known_units():
    assert set(tables.load_from(REFERENCE, "test_conditions")["unit"]) <= set(UNITS)


def test_reference_tables_load():
    found = [path.stem for path in REFERENCE.glob("*.toml")]
    assert len(found) >= 5
    for name in found:
        assert tables.load_from(REFERENCE, name).citation
