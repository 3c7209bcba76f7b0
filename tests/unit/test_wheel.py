"""The wheel holds everything it needs: built here without a network, unpacked elsewhere, and run from there."""

import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
pytest.importorskip("hatchling", reason="the wheel's build back end comes with the test extra")
pytest.importorskip("build", reason="the builder comes with the test extra")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    out = tmp_path_factory.mktemp("wheel")
    # Without isolation nothing is fetched: the back end that is installed builds it.
    command = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(out), str(ROOT)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    found = list(out.glob("*.whl"))
    assert len(found) == 1
    return found[0]


@pytest.fixture(scope="module")
def installed(wheel, tmp_path_factory):
    """The wheel unpacked into a folder of its own: what ``pip install --no-deps --target`` leaves there."""
    folder = tmp_path_factory.mktemp("installed")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder)
    return folder


def _run(installed, cwd, *arguments):
    environment = {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}
    environment |= {"PYTHONPATH": str(installed), "PYTHONDONTWRITEBYTECODE": "1", "PYTHONUTF8": "1"}
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=cwd,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
        encoding="utf-8",
    )


def test_the_wheel_bundles_data_and_leaves_out_the_rest(wheel):
    names = zipfile.ZipFile(wheel).namelist()
    inside = {name.removeprefix("advisor/_bundle/") for name in names}
    for path in (ROOT / "data").rglob("*"):
        if path.is_file():
            assert path.relative_to(ROOT).as_posix() in inside, path
    for path in (ROOT / "advisor").rglob("*.py"):
        assert path.relative_to(ROOT).as_posix() in names, path
    for path in (ROOT / "assets" / "locale").rglob("*.po"):
        assert path.with_suffix(".mo").relative_to(ROOT).as_posix() in inside, path
    assert "advisor/py.typed" in names
    top = {name.split("/")[0] for name in names}
    assert len(top) == 2 and "advisor" in top  # the package and its metadata
    assert not [name for name in names if name.split("/")[0] == "tests" or name.endswith(".pyc")]


def test_it_runs_from_elsewhere_on_its_own_data(installed, tmp_path):
    done = _run(installed, tmp_path, "-m", "advisor", "compare", "--json")
    assert (done.returncode, done.stderr) == (0, "")
    found = json.loads(done.stdout)
    assert len(found["candidates"]) > 5
    code = "import advisor.core.paths as p, advisor; print(advisor.__file__); print(p.DATA)"
    package, data = _run(installed, tmp_path, "-c", code).stdout.splitlines()
    assert Path(package).is_relative_to(installed)
    assert Path(data) == installed / "advisor" / "_bundle" / "data"


def test_it_answers_as_the_clone_does(installed, tmp_path):
    there = _run(installed, tmp_path, "-m", "advisor", "sources", "--json")
    here = _run(ROOT, tmp_path, "-m", "advisor", "sources", "--json")
    assert there.returncode == here.returncode == 0
    assert json.loads(there.stdout) == json.loads(here.stdout)


def test_its_demos_and_starter_travel_with_it(installed, tmp_path):
    assert _run(installed, tmp_path, "-m", "advisor", "case", "demos").stdout.count("\n") >= 7
    assert _run(installed, tmp_path, "-m", "advisor", "case", "new", "house.toml").returncode == 0
    assert _run(installed, tmp_path, "-m", "advisor", "case", "check", "house.toml").returncode == 0


def test_it_names_its_command(wheel):
    archive = zipfile.ZipFile(wheel)
    entry = next(name for name in archive.namelist() if name.endswith("entry_points.txt"))
    assert "advisor = advisor.cli:main" in archive.read(entry).decode()


def test_the_app_opens_from_the_wheel(installed, tmp_path):
    """Every page, by the links that the wheel's own pages hold."""
    code = """
import advisor.core.paths as paths
from pathlib import Path
from streamlit.testing.v1 import AppTest
app = AppTest.from_file(str(Path(paths.__file__).parents[1] / "web" / "main.py"), default_timeout=60).run()
assert not app.exception, app.exception
print(app.title[0].value)
for page in sorted(paths.PAGES.glob("*.py")):
    app.switch_page(str(page)).run()
    assert not app.exception, (page, app.exception)
    print(app.title[0].value)
"""
    done = _run(installed, tmp_path, "-c", code)
    assert done.returncode == 0, done.stderr
    assert len(done.stdout.splitlines()) == 1 + len(list((ROOT / "pages").glob("*.py")))
