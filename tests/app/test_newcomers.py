"""A newcomer is rows: a heater of a known class, a class made of known parts. What it still lacks is named."""

import csv
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.core import paths, references, tables
from advisor.core.errors import TableError

ROOT = Path(__file__).parents[2]
#: Every table that a class must have a row in.
OF_A_CLASS = ("lifetimes", "upkeep", "spreads", "heater_availability", "heater_venting", "heater_power")
#: New words in place of those of the row that is copied.
TANK = {"gas-tank-50": "gas-tank-60", "50 gal gas tank, natural draft": "60 gal gas tank, natural draft"}
CLASS = {
    "gas_tankless_noncondensing": "gas_tankless_low_nox",
    "tankless, non-condensing": "tankless, low-NOx",
    "gas-tankless-199": "gas-tankless-low-nox",
    "Gas tankless heater, 199,000 Btu/h": "Gas tankless heater, low-NOx, 199,000 Btu/h",
}
IN_THIS_DATA = """
import sys
from pathlib import Path
from advisor.core import paths
paths.DATA = Path(sys.argv.pop(1))
"""
COMMAND = IN_THIS_DATA + "from advisor.cli import main\nsys.exit(main(sys.argv[1:]))"
PAGES = (
    IN_THIS_DATA
    + """
from streamlit.testing.v1 import AppTest
from advisor.case.file import read_case
from advisor.core.kinds import Technology
at = AppTest.from_file(str(Path(sys.argv[1]) / "advisor" / "web" / "main.py"), default_timeout=60).run()
case = read_case(paths.CASES / "cold-city-basement.toml")
at.session_state["session"].given = case.model_dump(mode="python", exclude_unset=True, exclude_none=True)
at.switch_page("../../pages/compare.py").run()
assert not at.exception, at.exception
at.session_state["session"].language = "es"
at.run()
assert not at.exception, at.exception
print("\\n".join(table.value.to_csv() for table in at.table))
"""
)


@pytest.fixture
def data(tmp_path):
    return Path(shutil.copytree(paths.DATA, tmp_path / "data"))


def add(data: Path, table: str, changed: dict[str, str], *, model: str) -> None:
    """Copy the rows in which a word stands, with new words."""
    path = data / f"{table}.csv"
    with path.open(encoding="utf-8", newline="") as stream:
        copied = [[changed.get(cell, cell) for cell in row] for row in csv.reader(stream) if model in row]
    assert copied
    with path.open("a", encoding="utf-8", newline="") as stream:
        csv.writer(stream, lineterminator="\n").writerows(copied)


def add_class(data: Path, *, without: str | None = None) -> None:
    for table in {"technologies", *OF_A_CLASS} - {without}:
        add(data, table, CLASS, model="gas_tankless_noncondensing")
    # Its one heater comes with a price, or with neither.
    for table in () if without == "heaters" else {"heaters", "installed_costs"} - {without}:
        add(data, table, CLASS, model="gas-tankless-199")


def run(program: str, data: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    told = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", program, str(data), *arguments]
    return subprocess.run(command, cwd=ROOT, env=told, capture_output=True, text=True, timeout=120, check=False)


def test_a_heater_without_a_price_is_refused_in_one_sentence(data):
    add(data, "heaters", TANK, model="gas-tank-50")
    done = run(COMMAND, data, "compare", str(paths.CASES / "cold-city-basement.toml"))
    assert done.returncode == 2
    assert done.stderr == "advisor: heaters.csv: gas-tank-60 has no row in installed_costs.\n"


def test_a_heater_without_a_number_of_its_label_is_refused_in_one_sentence(data):
    path = data / "heaters.csv"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("0.63,high,82,,0.78", "0.63,high,,,0.78", 1), encoding="utf-8")
    done = run(COMMAND, data, "compare", str(paths.CASES / "cold-city-basement.toml"))
    assert done.returncode == 2
    assert done.stderr == "advisor: heaters.csv: gas-tank-50 has no fhr_gal, and a natural-draft tank needs it.\n"


@pytest.mark.parametrize("missing", ["heaters", "installed_costs", *OF_A_CLASS])
def test_a_class_names_the_table_that_it_still_lacks(data, missing):
    add_class(data, without=missing)
    with pytest.raises(TableError) as caught:
        references.check(("fuels", "technologies", "heaters"), lambda name: tables.load_from(data, name))
    newcomer = "gas-tankless-low-nox" if missing == "installed_costs" else "gas_tankless_low_nox"
    assert f"{newcomer} has no row in {missing}" in str(caught.value)


def test_a_heater_and_a_class_that_are_rows_alone_are_compared_and_shown(data):
    add(data, "heaters", TANK, model="gas-tank-50")
    add(data, "installed_costs", TANK, model="gas-tank-50")
    add_class(data)
    done = run(COMMAND, data, "compare", str(paths.CASES / "cold-city-basement.toml"), "--all")
    assert (done.returncode, done.stderr) == (0, "")
    assert "60 gal gas tank, natural draft" in done.stdout and "Gas tankless heater, low-NOx" in done.stdout
    shown = run(PAGES, data, str(ROOT))
    assert shown.returncode == 0, shown.stderr[-2000:]
    assert "Tankless, low-NOx, gas natural, 199,000 Btu/h" in shown.stdout
