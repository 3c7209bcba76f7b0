"""Made-up input at every door: an answer or one sentence, in time."""

from __future__ import annotations

import random
import time
from collections import Counter
from dataclasses import dataclass, field

from advisor.case.record import Case
from advisor.core.errors import AdvisorError, InputError
from tests.attack.generators import GENERATORS

LONGEST_LETTERS = 300
#: What a refusal may name at the doors of a case: its keys, its file, its link.
_OF_A_CASE = {"cases", "files", "links", "readings", "typed offers", "logos", "documents"}
_KEYS = {*Case.model_fields, "file", "link", "more"}


@dataclass
class Found:
    """What came of many attempts."""

    seconds: list[float] = field(default_factory=list)
    outcomes: Counter[tuple[str, str]] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    slow: list[tuple[float, str, str]] = field(default_factory=list)

    def share_over(self, limit_s: float) -> float:
        """Share of the attempts that took longer. [-]"""
        return sum(took > limit_s for took in self.seconds) / max(len(self.seconds), 1)


def attempt(name: str, seed: int, found: Found) -> None:
    """One attempt; what is wrong with its outcome is noted with the seed that makes it again."""
    put_in, take = GENERATORS[name][1](random.Random(f"{name} {seed}"))
    began = time.perf_counter()
    try:
        take()
        outcome = "answered"
    except AdvisorError as error:
        outcome = "refused"
        said = str(error)
        if len(said) > LONGEST_LETTERS or "\n" in said or not said.endswith("."):
            found.faults.append(f"{name} {seed}: {len(said)} letters: {said[:400]!r}")
        key = error.field.split(".")[0] if isinstance(error, InputError) else ""
        is_known = key in _KEYS or "there is no such key" in said
        if name in _OF_A_CASE and not is_known or isinstance(error, InputError) and not key:
            found.faults.append(f"{name} {seed}: names no key: {said!r}")
    except Exception as error:  # this is what is looked for
        outcome = "fault"
        found.faults.append(f"{name} {seed}: {type(error).__name__}: {str(error)[:300]} from {str(put_in)[:300]!r}")
    took = time.perf_counter() - began
    found.seconds.append(took)
    found.outcomes[name, outcome] += 1
    if took > 1:
        found.slow.append((took, f"{name} {seed}", str(put_in)[:100]))


def fuzz(count: int, first_seed: int = 0, *, only: str | None = None, seconds: float = float("inf")) -> Found:
    """Many attempts, the doors taken in turn by their shares."""
    doors = [name for name, (share, _) in GENERATORS.items() for _ in range(share) if only in {None, name}]
    found, late = Found(), time.monotonic() + seconds
    for number in range(count):
        attempt(doors[number % len(doors)], first_seed + number, found)
        if time.monotonic() > late:
            break
    return found
