"""The gravest verdict governs."""

from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK, gravest


def test_gravest_governs():
    assert gravest() == FITS
    assert gravest(FITS, NEEDS_WORK) == NEEDS_WORK
    assert gravest(NEEDS_WORK, DOES_NOT_FIT, FITS) == DOES_NOT_FIT
