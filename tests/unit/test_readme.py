"""What the README says is what happens: its two commands, and the answer that it prints."""

import re
from datetime import date
from pathlib import Path

from advisor.case.file import read_case
from advisor.comparison import compare
from advisor.core import paths
from advisor.report.text import comparison_text

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
FENCES = re.findall(r"^```(\w*)\n(.*?)^```", README, re.MULTILINE | re.DOTALL)


def test_the_first_two_commands_open_the_app_and_run_the_tests():
    main, tests = FENCES[0][1].strip(), FENCES[1][1].strip()
    assert "\n" not in main + tests
    assert main.startswith("python3 -m venv .venv && ") and main.endswith(".venv/bin/advisor serve")
    assert tests.startswith("python3 -m venv .venv && ") and tests.endswith("-m pytest")


def test_the_integration_runs_the_readmes_test_command():
    """It takes what stands between the third and the fourth fence line: the second block."""
    assert "block == 3" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert README.split("```")[3].strip() == FENCES[1][1].strip()


def test_the_answer_in_the_readme_is_the_one_that_comes_out():
    shown = next(text for kind, text in FENCES if kind == "text").strip()
    comparison = compare(read_case(paths.CASES / "cold-city-basement.toml"), today=date(2026, 11, 25))
    assert comparison_text(comparison).startswith(shown)


def test_the_example_in_python_runs(tmp_path, monkeypatch, capsys):
    """As printed, beside a file of the name that it reads."""
    example = next(text for kind, text in FENCES if kind == "python")
    (tmp_path / "house.toml").write_text((paths.CASES / "cold-city-basement.toml").read_text(encoding="utf-8"))
    monkeypatch.chdir(tmp_path)
    exec(compile(example, "README.md", "exec"), {})
    said, *rows = capsys.readouterr().out.splitlines()
    assert said.startswith("Put in a 50 gal gas tank, natural draft, the same again")
    assert len(rows) == 43 and any(row.startswith("gas-tank-50 keeps up 2") for row in rows)


def test_its_pictures_are_there_and_small():
    pictures = re.findall(r"!\[[^]]+\]\(([^)]+)\)", README)
    assert len(pictures) >= 3
    assert all((ROOT / name).stat().st_size < 100_000 for name in pictures)
