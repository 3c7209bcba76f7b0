"""Every dependency has a lowest and a highest version, and the one that CI installs lies between them."""

import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
ASKED = [
    *PROJECT["build-system"]["requires"],
    *PROJECT["project"]["dependencies"],
    *PROJECT["project"]["optional-dependencies"]["test"],
]
INSTALLED = dict(
    line.split("==")
    for line in (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    if not line.startswith("#")
)


@pytest.mark.parametrize("asked", ASKED)
def test_bounds(asked):
    one = Requirement(asked)
    assert {">=", "<"} <= {part.operator for part in one.specifier}
    name = re.sub(r"[-_.]+", "-", one.name).lower()
    assert one.specifier.contains(INSTALLED[name])


def test_ci_installs_from_the_constraints():
    assert "PIP_CONSTRAINT" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
