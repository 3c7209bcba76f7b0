"""The gravest finding governs."""

from advisor.core.findings import care, note, stop
from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK, verdict_of


def test_the_gravest_finding_governs():
    assert verdict_of() == FITS
    assert verdict_of(note("a.b"), care("a.b")) == NEEDS_WORK
    assert verdict_of(care("a.b"), stop("a.b"), note("a.b")) == DOES_NOT_FIT
