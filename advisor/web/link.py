"""The link that brings a case back: short, readable, without a name."""

from __future__ import annotations

import base64
import binascii
import copy
import zlib
from collections.abc import Mapping
from contextlib import suppress
from typing import Any
from urllib.parse import quote, urlencode

from advisor.case.file import MAX_FILE_BYTES, read_toml
from advisor.core.errors import InputError

#: What a link says in words: path in the case, name in the link, kind.
_IN_WORDS = (
    ("place.zip_code", "zip", str),
    ("place.city", "city", str),
    ("household.people", "people", int),
    ("failed.fuel", "failed", str),
    ("failed.kind", "kind", str),
    ("failed.size_gal", "gallons", float),
    ("failed.trouble", "trouble", str),
    ("failed.ran_out", "ran_out", str),
    ("house.fuels", "fuels", list),
    ("house.heater_space", "space", str),
    ("household.set_point_f", "setpoint", float),
    ("household.bedrooms", "bedrooms", int),
    ("household.full_baths", "baths", int),
)
#: Whatever else was measured or changed, packed: a case file, compressed.
_REST = "more"
_LONGEST_LINK = 50_000


def query_of(given: Mapping[str, Any], extras: Mapping[str, str]) -> str:
    """A case as the part of a link behind the question mark.

    Parameters
    ----------
    given : mapping
        A valid case as nested dicts. Its name is left out: it may be a person's.
    extras : mapping
        Further names and values, for the session rather than the case.
    """
    rest = copy.deepcopy({key: section for key, section in given.items() if key != "name"})
    carried = {}
    for path, name, kind in _IN_WORDS:
        section, key = path.split(".")
        found = rest.get(section, {}).pop(key, None)
        if found is not None:
            carried[name] = ",".join(found) if kind is list else f"{found:.10g}" if kind is float else str(found)
    rest = {key: section for key, section in rest.items() if section not in ({}, [], ())}
    if rest:
        carried[_REST] = packed(rest)
    return urlencode({**carried, **extras}, quote_via=quote, safe=",")


def given_of(query: Mapping[str, str]) -> dict[str, Any] | None:
    """The case in a link, or None if it carries none.

    Raises
    ------
    InputError
        The link is damaged or far too long. Whether what it holds makes a case is not asked here.
    """
    if sum(map(len, query.values())) > _LONGEST_LINK:
        raise InputError("link", None, "it is far longer than the link of any house", "open the case from a file")
    given = unpacked(query[_REST]) if _REST in query else {}
    for path, name, kind in _IN_WORDS:
        if name in query:
            section, key = path.split(".")
            given.setdefault(section, {})[key] = _read(query[name], kind)
    return given or None


def packed(rest: dict[str, Any]) -> str:
    """Nested dicts as letters that an address may hold."""
    import tomli_w

    return base64.urlsafe_b64encode(zlib.compress(tomli_w.dumps(rest).encode(), 9)).decode().rstrip("=")


def unpacked(text: str) -> dict[str, Any]:
    """Back again.

    Raises
    ------
    InputError
        The text is damaged.
    """
    damaged = InputError(_REST, None, "this part of the link is damaged", "copy the whole link again")
    try:
        content = base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))
        unpacking = zlib.decompressobj()
        rest = read_toml(unpacking.decompress(content, MAX_FILE_BYTES).decode())
    except InputError:
        raise damaged from None
    except (binascii.Error, zlib.error, ValueError, RecursionError) as error:
        raise damaged from error
    # A link that was cut off ends too soon.
    if not unpacking.eof or not all(isinstance(rest.get(path.split(".")[0], {}), dict) for path, _, _ in _IN_WORDS):
        raise damaged
    return rest


def _read(text: str, kind: type) -> Any:
    """A value as its kind; a number that is none stays the text, which the case refuses in its own words."""
    if kind is list:
        return text.split(",")
    if kind is not str:
        for read in (int, float):
            with suppress(ValueError):
                return read(text)
    return text
