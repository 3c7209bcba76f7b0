"""For all tests: the bench is compiled before the first of them; property tests use the same examples each time.

``--hypothesis-profile=unshrunk`` is for the mutation run, which only asks whether a test fails.
``ADVISOR_EXPLORE=1 python -m pytest tests/properties`` looks for new counterexamples instead.
"""

import os
import sys
from pathlib import Path

import pytest
from hypothesis import Phase, settings

import advisor
from advisor.bench import code_store, machine_code

settings.register_profile("same", derandomize=True)
settings.register_profile("unshrunk", derandomize=True, phases=[Phase.explicit, Phase.generate])
if not os.environ.get("ADVISOR_EXPLORE"):
    settings.load_profile("same")


def pytest_sessionstart():
    """No test answers by the hand method because it came too early; a copy installed elsewhere finds the code too."""
    os.environ.setdefault(code_store.FOLDER_VARIABLE, str(Path(advisor.__file__).parent / "__pycache__"))
    machine_code.prepare()


@pytest.fixture(autouse=True)
def main_module_stays():
    """A page under test takes the place of ``__main__``; processes started later would begin by running that page."""
    before = sys.modules["__main__"]
    yield
    sys.modules["__main__"] = before
