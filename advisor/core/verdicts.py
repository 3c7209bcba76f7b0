"""The two verdicts on a candidate: whether it keeps up with the household, and what the house needs for it."""

from __future__ import annotations

from enum import StrEnum

from advisor.core.findings import Finding, Severity


class Verdict(StrEnum):
    """A verdict is its own text in files and JSON; its kinds stand from the lightest to the gravest."""

    @property
    def severity(self) -> Severity:
        """How much a finding weighs that brings this verdict about."""
        return _SEVERITIES[self]

    @property
    def sign(self) -> str:
        """A mark that needs no color."""
        return "✓!✗"[self.severity]

    @property
    def key(self) -> str:
        """Key of its words in the message catalogues."""
        return f"verdict.{self.value.replace(' ', '_')}"


class CapacityVerdict(Verdict):
    """Whether a heater keeps up with the busiest hour."""

    KEEPS_UP = "keeps up"
    WITH_CARE = "keeps up with care"
    FALLS_SHORT = "falls short"


class HouseVerdict(Verdict):
    """Whether a heater can stand in this house."""

    FITS = "fits as it is"
    NEEDS_WORK = "needs work"
    DOES_NOT_FIT = "does not fit"


KEEPS_UP, WITH_CARE, FALLS_SHORT = CapacityVerdict
FITS, NEEDS_WORK, DOES_NOT_FIT = HouseVerdict
_HOUSE_VERDICTS = tuple(HouseVerdict)
_SEVERITIES = {
    one: severity for kind in (CapacityVerdict, HouseVerdict) for one, severity in zip(kind, Severity, strict=True)
}


def verdict_of(*findings: Finding) -> HouseVerdict:
    """What the gravest of several findings means for a candidate; none at all means it fits."""
    return _HOUSE_VERDICTS[max((one.severity for one in findings), default=Severity.NOTE)]
