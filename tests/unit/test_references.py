"""What one table says of another's rows holds; where it does not, one sentence names the file to mend."""

import pytest

from advisor.core import references, tables
from advisor.core.errors import TableError

HEAD = """
id = "{name}"
title = "Test"
publication = "A handbook"
edition = "2024"
locator = "Table 1"
state = "verified"
licence = "none"
key = ["id"]
"""
COLUMN = '\n[columns.{name}]\nkind = "{kind}"\nmeaning = "Something"\n{more}\n'
PIPES = """
[[must_have_row_in]]
table = "prices"
column = "pipe"
where = { kind = "new" }
"""


def _write(folder, name, csv, *columns, extra=""):
    text = HEAD.format(name=name) + extra + "".join(COLUMN.format(name=n, kind=k, more=m) for n, k, m in columns)
    (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    (folder / f"{name}.csv").write_text(csv, encoding="utf-8")


@pytest.fixture
def check(tmp_path):
    """Three tables in which all is well, then what a test writes over them."""

    def run(chosen, *, pipes="steel\ncopper\n", fits="elbow,steel copper\ncap,\n", prices=None, extra=PIPES):
        prices = prices or "one,steel,new\ntwo,copper,new\nthree,copper,old\n"
        _write(tmp_path, "pipes", f"id\n{pipes}", ("id", "text", ""), extra=extra)
        on = 'required = false\nreferences = "pipes.id"'
        _write(tmp_path, "fittings", f"id,on\n{fits}", ("id", "text", ""), ("on", "list", on))
        of = 'references = "pipes.id"'
        _write(
            tmp_path,
            "prices",
            f"id,pipe,kind\n{prices}",
            ("id", "text", ""),
            ("pipe", "text", of),
            ("kind", "text", ""),
        )
        references.check(chosen, lambda name: tables.load_from(tmp_path, name))

    return run


def test_only_rows_of_a_kind_must_be_named(check):
    only = PIPES + "only = { id = 'copper' }\n"
    check(("pipes",), pipes="steel\ncopper\n", prices="two,copper,new\n", extra=only)
    with pytest.raises(TableError, match="copper has no row in prices"):
        check(("pipes",), pipes="steel\ncopper\n", prices="two,steel,new\n", extra=only)


def test_every_table_that_is_carried_holds():
    references.check()


def test_tables_that_agree_pass(check):
    check(("pipes", "fittings", "prices"))


@pytest.mark.parametrize(
    ("chosen", "changed", "says"),
    [
        (("fittings",), {"fits": "elbow,steel lead\n"}, "fittings.csv, row 2, column on: lead has no row in pipes."),
        (("pipes",), {"pipes": "steel\ncopper\nlead\n"}, "pipes.csv: lead has no row in prices with kind new."),
        (("pipes",), {"prices": "one,steel,new\ntwo,copper,old\n"}, "pipes.csv: copper has no row in prices with"),
        # What must name the asked tables is held against them too.
        (
            ("pipes",),
            {"prices": "one,steel,new\ntwo,copper,new\nthree,tin,old\n"},
            "prices.csv, row 4, column pipe: tin",
        ),
    ],
)
def test_what_is_missing_is_named(check, chosen, changed, says):
    with pytest.raises(TableError) as caught:
        check(chosen, **changed)
    assert str(caught.value).startswith(says)


def test_only_what_is_asked_is_read(check):
    check(("pipes",), fits="elbow,lead\n")


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('table = "prices"', "", "pipes.toml: must_have_row_in does not say its table"),
        ('column = "pipe"', 'columns = "pipe"', "pipes.toml: unknown key 'columns' in must_have_row_in"),
    ],
)
def test_a_bad_declaration_names_its_place(check, old, new, says):
    with pytest.raises(TableError, match=says):
        check(("pipes",), extra=PIPES.replace(old, new))


def test_a_reference_says_table_and_column(tmp_path):
    _write(tmp_path, "pipes", "id\nsteel\n", ("id", "text", 'references = "prices"'))
    with pytest.raises(TableError, match="pipes.toml, column id: references must read table.column"):
        tables.load_from(tmp_path, "pipes")


FLAGS = ("id", "text", ""), ("is_new", "flag", ""), ("suits", "list", 'allowed = ["a", "b"]\nrequired = false')


def test_flags_and_lists_are_read_as_what_they_are(tmp_path):
    _write(tmp_path, "pipes", "id,is_new,suits\nsteel,yes,a b\ncopper,no,b a\ntin,no,\n", *FLAGS)
    table = tables.load_from(tmp_path, "pipes")
    assert table["is_new"].dtype == bool and table["is_new"].tolist() == [True, False, False]
    assert table.row(0) == {"id": "steel", "is_new": True, "suits": ("a", "b")}
    assert table["suits"].tolist() == [("a", "b"), ("b", "a"), None]
    assert table.find("copper")["is_new"] is False
    with pytest.raises(TableError, match="pipes.csv: there is no row for lead"):
        table.find("lead")


@pytest.mark.parametrize(
    ("cells", "says"),
    [("true,a", "column is_new: 'true' is neither yes nor no"), ("yes,a c", "column suits: 'c' is not")],
)
def test_a_bad_flag_or_list_names_its_place(tmp_path, cells, says):
    _write(tmp_path, "pipes", f"id,is_new,suits\nsteel,{cells}\n", *FLAGS)
    with pytest.raises(TableError, match=says):
        tables.load_from(tmp_path, "pipes")
