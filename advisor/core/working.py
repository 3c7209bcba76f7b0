"""The working of a quoted number: the formula, its inputs and its result, kept as the engine made it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from advisor.core.findings import Finding
from advisor.core.published import Published
from advisor.core.units import suffix_of


@dataclass(frozen=True)
class Working:
    """A published formula that was run.

    Parameters
    ----------
    figure : Finding
        What it says, as a key of the message catalogues.
    function : callable
        The formula.
    inputs : mapping
        Its inputs by name, in canonical units; what is left out has its usual value.
    result : float
        What it gave; NaN or infinite where these inputs have no answer.
    """

    figure: Finding
    function: Callable[..., Any]
    inputs: Mapping[str, Any]
    result: float

    @property
    def formula(self) -> str:
        """Name of the formula."""
        return self.function.__name__

    @property
    def suffix(self) -> str:
        """Unit of the result, a key of ``UNITS``."""
        return suffix_of(self.formula) or "dimensionless"

    @property
    def published(self) -> Published:
        """Where the formula comes from and how far it was checked."""
        found: Published = self.function.__published__  # type: ignore[attr-defined]
        return found


def worked(figure: Finding, function: Callable[..., Any], **inputs: Any) -> Working:
    """Run a published formula and keep how."""
    return Working(figure, function, inputs, float(function(**inputs)))
