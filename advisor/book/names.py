"""The name of a job's file, from customer and date: whatever was typed, a plain name within its folder."""

from __future__ import annotations

import unicodedata
from datetime import date

#: Letters of every script are fine in a name; what any system takes for a sign is left out.
_ALSO_FINE = " -_"
#: A name of 255 bytes is the most that disks take; beside this stand a date, a number and what is written meanwhile.
_MOST_BYTES = 120
ENDING = ".toml"


def file_name(customer: str, day: date, number: int = 1) -> str:
    """``2026-11-29 Rivera.toml``; with a number behind the name where that is taken.

    Parameters
    ----------
    customer : str
        As it was typed.
    day : date
        Day of the visit.
    number : int
        1 for the first of this name.
    """
    letters = (
        letter if letter.isalnum() or letter in _ALSO_FINE else " " for letter in unicodedata.normalize("NFC", customer)
    )
    plain = " ".join("".join(letters).split())
    cut = plain.encode()[:_MOST_BYTES].decode(errors="ignore").strip() or "job"
    return f"{day.isoformat()} {cut}{f' {number}' if number > 1 else ''}{ENDING}"


def is_plain(name: str) -> bool:
    """Whether a name is that of a file within a folder and of nothing elsewhere."""
    return name.endswith(ENDING) and not name.startswith(".") and not set(name) & set("/\\:\0") and len(name) < 250
