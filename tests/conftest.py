"""One setting for every property test: the same examples each time, so that a failure comes from the change under test.

``ADVISOR_EXPLORE=1 python -m pytest tests/properties`` looks for new counterexamples instead.
"""

import os

from hypothesis import settings

settings.register_profile("same", derandomize=True)
if not os.environ.get("ADVISOR_EXPLORE"):
    settings.load_profile("same")
