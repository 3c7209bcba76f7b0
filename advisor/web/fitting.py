"""Heaters typed in from their labels: what is inside them is found aside, so that nobody else waits for it."""

from __future__ import annotations

import functools
from concurrent.futures import Future, ThreadPoolExecutor, wait

from advisor.bench.calibration import possible_internals
from advisor.bench.internals import Internals
from advisor.case.record import Case
from advisor.heaters.candidates import heaters_to_compare
from advisor.heaters.catalogue import Heater

#: Most labels take less; an odd one may take many seconds, and the hand method answers meanwhile.
PATIENCE_S = 2.0
#: One label after another: the other core serves whoever else is there.
_aside = ThreadPoolExecutor(max_workers=1, thread_name_prefix="labels")


@functools.lru_cache(maxsize=1024)
def _fit(heater: Heater) -> Future[tuple[Internals, ...]]:
    return _aside.submit(possible_internals, heater)


def are_fitted(case: Case, patience_s: float = PATIENCE_S) -> bool:
    """Whether the bench knows every label of a case; what it does not know is being found from now on."""
    own = [heater for heater in heaters_to_compare(case) if heater.is_own] if case.heaters else []
    return not wait([_fit(heater) for heater in own], timeout=patience_s).not_done
