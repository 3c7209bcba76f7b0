"""The three things that can be said about a candidate and this house."""

from __future__ import annotations

FITS = "fits as it is"
NEEDS_WORK = "needs work"
DOES_NOT_FIT = "does not fit"

#: From the lightest to the gravest.
ON_THE_HOUSE = (FITS, NEEDS_WORK, DOES_NOT_FIT)


def gravest(*verdicts: str) -> str:
    """The one that governs when several checks speak of the same candidate; none at all means it fits."""
    return max(verdicts, key=ON_THE_HOUSE.index, default=FITS)
