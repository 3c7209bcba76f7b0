"""How somebody's file is to be read: which of its headings is which column, its units, encoding and separator."""

from __future__ import annotations

import codecs
import hashlib
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from advisor.core.errors import InputError
from advisor.core.units import UNITS, read_quantity
from advisor.screening.dictionary import columns

_KEYS = ("columns", "units", "encoding", "delimiter")


@dataclass(frozen=True)
class Reading:
    """Column to heading, column to the unit in which the file gives it, and how the bytes are written.

    Parameters
    ----------
    headings : mapping
        Column to the file's own heading, where that is another.
    units : mapping
        Column to a unit as people write it, such as ``kBtu/h``.
    encoding : str
        As Python names it; ``utf-8`` takes a byte order mark too.
    delimiter : str
        One character.
    """

    headings: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    encoding: str = "utf-8"
    delimiter: str = ","

    def scales(self) -> dict[str, float]:
        """What a number of a column is multiplied by to be in the column's own unit."""
        return {name: _scale(name, unit) for name, unit in self.units.items()}

    def heading_of(self, name: str) -> str:
        """The file's heading of a column."""
        return self.headings.get(name, name)

    @property
    def sha256(self) -> str:
        """Hash of what it says."""
        said = repr((sorted(self.headings.items()), sorted(self.units.items()), self.encoding, self.delimiter))
        return hashlib.sha256(said.encode()).hexdigest()


def _scale(name: str, unit: str) -> float:
    suffix = columns()[name].unit
    if suffix is None or suffix not in UNITS or not UNITS[suffix].pint:
        raise InputError(f"units.{name}", unit, "this column has no unit that could be another", "take the line out")
    # To twelve digits: a unit's own rounding is no part of a number.
    return float(f"{read_quantity(f'units.{name}', f'1 {unit}', suffix):.12g}")


def read_mapping(path: str | Path) -> Reading:
    """A mapping from a file.

    Raises
    ------
    InputError
        What is wrong, by its key.
    """
    try:
        data = tomllib.loads(Path(path).read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError("mapping", str(path), "this file cannot be read", "name a mapping in TOML") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError("mapping", str(path), f"this is not TOML: {error}", "mend the file at that line") from error
    return mapping_of(data)


def mapping_of(data: Mapping[str, Any]) -> Reading:
    """A mapping from its tables."""
    for key in data:
        if key not in _KEYS:
            raise InputError(key, None, "a mapping has no such key", f"write some of {', '.join(_KEYS)}")
    headings, units = (_names(key, data.get(key, {})) for key in ("columns", "units"))
    encoding, delimiter = data.get("encoding", "utf-8"), data.get("delimiter", ",")
    try:
        codecs.lookup(encoding)
    except (LookupError, TypeError) as error:
        raise InputError("encoding", encoding, "this encoding is not known", "write utf-8, cp1252 or utf-16") from error
    if not isinstance(delimiter, str) or len(delimiter) != 1 or ord(delimiter) > 127 or delimiter in '"\n\r':
        raise InputError("delimiter", delimiter, "this is not one plain character", 'write "," or ";" or "\\t"')
    found = Reading(headings, units, encoding, delimiter)
    found.scales()
    return found


def _names(key: str, data: Any) -> dict[str, str]:
    if not isinstance(data, dict):
        raise InputError(key, data, "this is not a table", f"write [{key}]")
    for name, value in data.items():
        if name not in columns():
            raise InputError(f"{key}.{name}", None, "there is no such column", "see 'advisor rules columns'")
        if not isinstance(value, str) or not value:
            raise InputError(f"{key}.{name}", value, "this is not a text", "write it in quotes")
    return dict(data)


def guess_headings(headings: list[str]) -> dict[str, str]:
    """Column to the heading that most likely is it: spelled alike, or without its unit.

    A guess is for a person to look at: nothing is screened by it unseen.
    """
    plain = {_plain(heading): heading for heading in reversed(headings)}
    found: dict[str, str] = {}
    for name in columns():
        for spelled in (name, re.sub(r"_(usd|gal|btuh|ft3|yr|v|kw|id)$", "", name)):
            if _plain(spelled) in plain and plain[_plain(spelled)] not in found.values():
                found[name] = plain[_plain(spelled)]
                break
    return found


def _plain(text: str) -> str:
    return re.sub(r"[^a-z0-9]", "", text.lower())
