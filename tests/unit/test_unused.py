"""Nothing is carried that nobody reads: tables, columns, cautions and priced jobs."""

import ast
import re
from pathlib import Path

import pytest

import advisor
from advisor.core import tables

PACKAGE = Path(advisor.__file__).parent
REFERENCE = Path(__file__).parents[1] / "reference"

#: Columns for whoever reads the table itself (on the method page, or in the file): how far a row can be trusted.
FOR_READERS = {"basis", "checked", "heating_value_state", "note", "reason", "recovery_state", "source", "state"}
#: Further columns that no code names, and why they stay.
KEPT_COLUMNS = {
    ("gas_pipe_bores", "designation"): "the wall that a bore belongs to",
    ("gas_csst", "worst_error_frac"): "how well the row gives back the printed table",
    ("gas_steel_high_pressure", "worst_error_frac"): "how well the row gives back the printed table",
    ("hourly_profiles", "clothes_washer_frac"): "named in draw_events",
    ("hourly_profiles", "dishwasher_frac"): "named in draw_events",
    ("in_place_efficiency", "n_heaters"): "how many heaters were measured",
    ("minimum_ratings", "volume_basis"): "which of a tank's two volumes the law counts",
    **{
        ("stations", f"{month}_f"): "read by the name of the month"
        for month in ["jan", "feb", "mar", "apr", "may", "jun"]
    },
    **{
        ("stations", f"{month}_f"): "read by the name of the month"
        for month in ["jul", "aug", "sep", "oct", "nov", "dec"]
    },
}


def _names(folder: Path) -> tuple[set[str], set[str]]:
    """What the code of a folder names: words and names as they are, and patterns of words with blanks in them."""
    words, patterns = set(), set()
    for path in folder.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                words.add(node.value)
            elif isinstance(node, ast.JoinedStr):
                fixed = [part.value if isinstance(part, ast.Constant) else None for part in node.values]
                if sum(len(text or "") for text in fixed) >= 4:
                    patterns.add("".join(".+" if text is None else re.escape(text) for text in fixed))
            elif isinstance(node, ast.keyword | ast.arg):
                words.add(node.arg or "")
            elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
                words.add(node.target.id)  # a record made from a whole row
    return words, patterns


IN_CODE, _made_in_code = _names(PACKAGE)
IN_REFERENCE, _made_in_reference = _names(REFERENCE)
PATTERNS = re.compile("|".join(_made_in_code | _made_in_reference))


NEEDS = [need for name in tables.names() for need in tables.load(name).must_have_row_in]
IN_NEEDS = {name for need in NEEDS for name in (need.column, *need.where)}


def _is_named(name: str) -> bool:
    """By the engine, by another table that must have a row here, or by a check against published values."""
    return name in IN_CODE | IN_NEEDS | IN_REFERENCE or PATTERNS.fullmatch(name) is not None


def _unread_columns(name: str) -> set[str]:
    table = tables.load(name)
    return {name for name in table.columns if name not in FOR_READERS | set(table.key) and not _is_named(name)}


@pytest.mark.parametrize("name", tables.names())
def test_every_table_and_column_is_read(name):
    assert name in IN_CODE, "no code loads this table: what only tests read stands in tests/reference"
    unread = {column for column in _unread_columns(name) if (name, column) not in KEPT_COLUMNS}
    assert not unread, "no code names these columns: take them out, or say in KEPT_COLUMNS why they stay"


def test_what_is_kept_is_there_and_unread():
    for name, column in KEPT_COLUMNS:
        assert column in _unread_columns(name), f"{name}.{column} needs no exception"


def test_every_caution_can_be_raised():
    never = {
        row["id"] for row in tables.load("cautions").rows() if row["raised_by"] != "always" and row["id"] not in IN_CODE
    }
    assert not never


def test_every_priced_job_can_come_up():
    of_class = {row["vent_job"] for row in tables.load("technologies").rows()}
    of_class |= set(tables.load("combustion_air_openings")["job"])
    assert not {job for job in set(tables.load("jobs")["id"]) - of_class if not _is_named(job)}
