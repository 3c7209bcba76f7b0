"""Offers from a spreadsheet: a line a row; rows of one firm and one heater make an offer."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

from advisor.case.file import MAX_FILE_BYTES, case_from
from advisor.case.offer import Offer, OfferLine
from advisor.case.record import Case
from advisor.core.errors import InputError

#: Columns of an offer, which need to stand in one of its rows only; and those of a line.
_HEAD = tuple(name for name in Offer.model_fields if name != "lines")
_LINE = tuple(OfferLine.model_fields)


def with_offers(case: Case, path: Path) -> Case:
    """A case with the offers of a CSV file in place of its own.

    Raises
    ------
    InputError
        The file cannot be read, has a column that nobody knows, or an offer that cannot be.
    """
    try:
        with path.open("rb") as stream:
            content = stream.read(MAX_FILE_BYTES + 1)
    except (OSError, ValueError) as error:
        raise InputError("offers", path.name, "this file cannot be read", "save it as CSV in UTF-8") from error
    held = case.model_dump(mode="python", exclude_unset=True, exclude_none=True)
    return case_from({**held, "offers": offers_in(content)})


def offers_in(content: bytes) -> list[dict[str, Any]]:
    """The offers of a CSV file's bytes, as a case takes them.

    Raises
    ------
    InputError
        It is no text, is too large, or has a column that nobody knows.
    """
    if len(content) > MAX_FILE_BYTES:
        raise InputError("offers", None, "the file is too large", "keep the lines of the offers only")
    try:
        text = content.decode("utf-8-sig")
    except ValueError as error:
        raise InputError("offers", None, "this file cannot be read as text", "save it as CSV in UTF-8") from error
    return _offers(text)


def _offers(text: str) -> list[dict[str, Any]]:
    found: dict[tuple[str, str], dict[str, Any]] = {}
    try:
        reader = csv.DictReader(io.StringIO(text, newline=""), strict=True)
        for name in reader.fieldnames or ():
            if name.strip() not in (*_HEAD, *_LINE):
                known = ", ".join((*_HEAD, *_LINE))
                raise InputError("offers", name, "there is no such column", "write one of {known}", known=known)
        for number, row in enumerate(reader, start=2):
            if None in row:
                raise InputError("offers", f"line {number}", "it has more cells than the heading", "mend that line")
            cells = {name.strip(): value.strip() for name, value in row.items() if value and value.strip()}
            offer = found.setdefault((cells.get("firm", ""), cells.get("candidate", "")), {"lines": []})
            offer |= {name: cells[name] for name in _HEAD if name in cells}
            if line := {name: cells[name] for name in _LINE if name in cells}:
                offer["lines"].append(line)
    except csv.Error as error:
        raise InputError(
            "offers", None, "this is not valid CSV: {why}", "save it again as CSV", why=str(error)
        ) from error
    if not found:
        raise InputError("offers", None, "the file holds no offer", "write a heading line and a row for each line")
    return list(found.values())
