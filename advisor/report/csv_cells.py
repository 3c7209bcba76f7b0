"""Tables as CSV that a spreadsheet opens as text: no cell of ours is ever run as a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from typing import Any

#: A cell that begins with one of these may be run by a spreadsheet.
_RISKY = ("=", "+", "-", "@", "\t", "\r")


def csv_cell(value: Any) -> str:
    """One cell as text; what a spreadsheet would run gets an apostrophe in front."""
    text = "" if value is None else str(value)
    # Spreadsheets drop leading blanks before they look for a formula.
    return f"'{text}" if text.lstrip(" \n").startswith(_RISKY) else text


def csv_text(rows: Sequence[dict[str, Any]]) -> str:
    """Rows of one shape as CSV with a heading line; empty without rows."""
    if not rows:
        return ""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow([csv_cell(name) for name in rows[0]])
    writer.writerows([csv_cell(value) for value in row.values()] for row in rows)
    return stream.getvalue()
