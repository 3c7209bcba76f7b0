"""A document as PDF, set by typst from a template that takes every text as data: none is ever read as markup.

The faces are those that typst carries in itself; nothing is fetched and no face of the machine is used, so that the
same blocks give the same bytes wherever they are set.
"""

from __future__ import annotations

import base64
import json
from dataclasses import asdict
from datetime import UTC, date, datetime
from typing import Any

from advisor.core import paths
from advisor.document.blocks import Block, Document, Letterhead

#: Sheets by the name that a person types.
PAPERS = {"letter": "us-letter", "a4": "a4"}


def pdf(document: Document, *, paper: str, day: date) -> bytes:
    """The document's bytes.

    Parameters
    ----------
    document : Document
        What to set.
    paper : str
        ``letter`` or ``a4``.
    day : date
        Day that the file bears.
    """
    import typst

    told = {
        "title": document.title,
        "language": document.language,
        "foot": document.foot,
        "paper": PAPERS[paper],
        "scale": document.scale,
        "blocks": [_as_data(block) for block in document.blocks],
    }
    made: bytes = typst.compile(
        paths.ASSETS / "document.typ",
        format="pdf",
        sys_inputs={"document": json.dumps(told, ensure_ascii=False)},
        ignore_system_fonts=True,
        timestamp=datetime(day.year, day.month, day.day, tzinfo=UTC),
    )
    return made


def _as_data(block: Block) -> dict[str, Any]:
    held: dict[str, Any] = {"kind": type(block).__name__}
    if isinstance(block, Letterhead):
        return held | {"lines": block.lines, "svg": logo_svg(block)}
    return held | asdict(block)


def logo_svg(block: Letterhead) -> str | None:
    """The logo wrapped in SVG, which carries its points within itself."""
    if block.logo_png is None:
        return None
    wide, tall = block.logo_px
    coded = base64.b64encode(block.logo_png).decode()
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {tall}" width="{wide}" height="{tall}">'
        f'<image width="{wide}" height="{tall}" href="data:image/png;base64,{coded}"/></svg>'
    )
