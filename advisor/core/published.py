"""Marks a function as a published formula, so that it can be listed, run with units, and cited."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any, TypeVar

from advisor.core.findings import Finding, note

F = TypeVar("F", bound=Callable[..., Any])

STATES = (
    "verified",
    "cross-checked",
    "computed",
    "common practice, no published source",
    "assumed",
    "from memory, unverified",
)


@cache
def state_word(state: str) -> Finding:
    """How far something was checked, as a word of the message catalogues."""
    return note(f"state.{re.sub('[ -]', '_', state.partition(',')[0])}")


@dataclass(frozen=True)
class Published:
    """What a reader needs to judge a formula.

    Parameters
    ----------
    source : str
        Publication with edition and section or table.
    state : str
        One of ``STATES``: how far the formula was checked against its source.
    example : dict
        Arguments, in canonical units, for which the formula can be run as a demonstration.
    by_hand : bool
        It is there for people to run; no answer of the advisor's rests on it.
    """

    source: str
    state: str
    example: dict[str, float]
    by_hand: bool = False


def published(source: str, *, state: str, by_hand: bool = False, **example: float) -> Callable[[F], F]:
    """Attach source, state of verification and a worked example to a formula.

    The function's parameters and its own name must end in a unit suffix of ``quantities.UNITS``, so that the
    units need not be said twice: ``heated_flow_gpm(input_btuh, thermal_eff_frac, rise_df)``.
    """
    if state not in STATES:
        raise ValueError(f"state {state!r} is not one of {STATES}")

    def mark(function: F) -> F:
        function.__published__ = Published(source, state, example, by_hand)  # type: ignore[attr-defined]
        return function

    return mark
