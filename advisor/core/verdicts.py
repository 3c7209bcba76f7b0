"""The three things that can be said about a candidate and this house."""

from __future__ import annotations

from advisor.core.findings import Finding

FITS = "fits as it is"
NEEDS_WORK = "needs work"
DOES_NOT_FIT = "does not fit"

#: From the lightest to the gravest.
ON_THE_HOUSE = (FITS, NEEDS_WORK, DOES_NOT_FIT)


def verdict_of(*findings: Finding) -> str:
    """What the gravest of several findings means for a candidate; none at all means it fits."""
    return ON_THE_HOUSE[max((one.severity for one in findings), default=0)]
