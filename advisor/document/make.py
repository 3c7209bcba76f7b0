"""From a comparison to the bytes of a document: the customer's page, then the installer's."""

from __future__ import annotations

from datetime import date
from typing import Literal

from advisor import __version__
from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.document.as_html import html
from advisor.document.as_pdf import pdf
from advisor.document.blocks import Document, Letterhead, NextPage
from advisor.document.customer import customer_blocks
from advisor.document.installer import installer_blocks
from advisor.document.logo import as_png
from advisor.document.told import Told, about, fingerprint


def document(
    comparison: Comparison,
    *,
    chosen: Candidate | None = None,
    language: str = "en",
    si: bool = False,
    day: date | None = None,
    logo: bytes | None = None,
) -> Document:
    """The whole document.

    Parameters
    ----------
    comparison : Comparison
        What was worked out.
    chosen : Candidate, optional
        The heater it is about; if not given, what is advised or offered.
    language, si : str, bool
        ``en`` or ``es``; amounts in SI.
    day : date, optional
        Its date; that of the comparison if not given.
    logo : bytes, optional
        The contractor's logo, PNG or JPEG.

    Raises
    ------
    InputError
        The logo cannot be used.
    """
    told = Told(comparison, chosen or about(comparison), language, si, day or comparison.today)
    foot = told.say("document.foot", version=__version__, fingerprint=fingerprint(comparison), day=told.day.isoformat())
    by = comparison.case.contractor
    licence = told.say("document.licence", number=by.licence) if by and by.licence else None
    lines = tuple(text for text in (by.name, licence, by.phone) if text) if by else ()
    head: tuple[Letterhead, ...] = ()
    if lines or logo is not None:
        png, size = (None, (1, 1)) if logo is None else as_png(logo)
        head = (Letterhead(lines, png, size),)
    return Document(
        told.say("document.title"),
        language,
        foot,
        (*head, *customer_blocks(told), NextPage(), *installer_blocks(told)),
    )


def written(made: Document, kind: Literal["pdf", "html"], *, paper: str = "letter", day: date) -> bytes:
    """A document's bytes, the same each time for the same document and day."""
    return html(made) if kind == "html" else pdf(made, paper=paper, day=day)
