"""What two applications can share, as keys: meter, dwelling and household, however they are spelled.

A meter's number keeps its letters and digits, without leading zeros. An address is written in capitals without
marks or accents, its words in their short forms (``address_words``), words for a unit left out, with the first five
digits of the ZIP. A household is its number, or its dwelling where it has none. Keys are hashes of 64 bits: among a
million, the chance that any two different ones agree is below one in ten million.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

import numpy as np

from advisor.core.tables import load
from advisor.screening.applicants import Applicants

_PRIME = np.uint64(0x9E3779B97F4A7C15)


class Keys(NamedTuple):
    """Keys of the rows that have one.

    Parameters
    ----------
    key : ndarray of uint64
        Hash of what is shared.
    row : ndarray of int64
        Number of the row in its file.
    received, installed : ndarray of int64
        Days since 1970; the least number where there is none.
    """

    key: np.ndarray
    row: np.ndarray
    received: np.ndarray
    installed: np.ndarray


def keys_of(frame: Applicants, first_row: int, pers: tuple[str, ...], day: str = "install_date") -> dict[str, Keys]:
    """Keys of a frame's rows, by what is shared."""
    rows = np.arange(first_row, first_row + frame.n_rows)
    received, installed = (frame.date(name).astype("datetime64[D]").astype(np.int64) for name in ("received_date", day))
    found = {}
    for per in pers:
        key, has_key = _keys(frame, per)
        found[per] = Keys(key[has_key], rows[has_key], received[has_key], installed[has_key])
    return found


def _keys(frame: Applicants, per: str) -> tuple[np.ndarray, np.ndarray]:
    if per == "meter":
        return _by_spelling(frame, "meter_id", _meter)
    address, has_address = _by_spelling(frame, "service_address", _address)
    place, has_place = _by_spelling(frame, "zip_code", _zip)
    with np.errstate(over="ignore"):
        dwelling, has_dwelling = _mixed(address * _PRIME + place), has_address & has_place
    if per == "dwelling":
        return dwelling, has_dwelling
    household, has_household = _by_spelling(frame, "household_id", _meter)
    return np.where(has_household, ~household, dwelling), has_household | has_dwelling


def _by_spelling(frame: Applicants, name: str, normal: Any) -> tuple[np.ndarray, np.ndarray]:
    """Hashes of a column's normal spellings, and which rows have one."""
    import pyarrow.compute as pc

    codes, texts = frame.spellings(name)
    plain = normal(texts)
    has_text = pc.greater(pc.utf8_length(plain), 0).to_numpy(zero_copy_only=False)
    return np.append(hashes(plain), np.uint64(0))[codes], np.append(has_text, False)[codes]


def _meter(texts: Any) -> Any:
    import pyarrow.compute as pc

    return pc.utf8_ltrim(pc.replace_substring_regex(pc.utf8_upper(texts), r"[^A-Z0-9]+", ""), "0")


def _zip(texts: Any) -> Any:
    import pyarrow.compute as pc

    digits = pc.replace_substring_regex(texts, r"[- ].*$", "")
    return pc.utf8_slice_codeunits(pc.utf8_lpad(digits, 5, "0"), 0, 5)


def _address(texts: Any) -> Any:
    """Addresses in their normal spelling; a word that stands in many of them is looked up once."""
    import pyarrow as pa
    import pyarrow.compute as pc

    plain = pc.utf8_normalize(pc.utf8_upper(texts), form="NFKD")
    plain = pc.replace_substring_regex(
        pc.replace_substring_regex(plain, r"[^\x00-\x7F'.]+|['.]", ""), r"[^A-Z0-9]+", " "
    )
    words = pc.split_pattern(pc.utf8_trim_whitespace(plain), " ")
    flat = words.flatten().dictionary_encode()
    short = _short_forms()
    spelled = flat.dictionary.to_pylist()
    normal = pa.array([short.get(word, word) for word in spelled], pa.string()).take(flat.indices)
    joined = pc.binary_join(pa.ListArray.from_arrays(words.offsets, normal), " ")
    return pc.utf8_trim_whitespace(pc.replace_substring_regex(joined, r" +", " "))


@cache
def _short_forms() -> Mapping[str, str]:
    """Written word to its short form; a word for a unit is left out, so that ``APT 4`` is ``4``."""
    forms = {row["written"]: row["short"] for row in load("address_words").rows()}
    return forms | dict.fromkeys(
        ("APT", "STE", "BLDG", "RM", *(word for word, to in forms.items() if to in {"APT", "STE", "BLDG", "RM"})), ""
    )


def hashes(texts: Any) -> np.ndarray:
    """A hash of 64 bits for every text: of its bytes and their places, mixed at the end."""
    import pyarrow as pa

    if not len(texts):
        return np.array([], dtype=np.uint64)
    texts = (
        pa.concat_arrays([texts.chunk(n) for n in range(texts.num_chunks)])
        if isinstance(texts, pa.ChunkedArray)
        else texts
    )
    _, offsets_buffer, letters_buffer = texts.cast(pa.string()).buffers()
    offsets = np.frombuffer(offsets_buffer, dtype=np.int32)[texts.offset : texts.offset + len(texts) + 1].astype(
        np.int64
    )
    letters = np.frombuffer(letters_buffer or b"", dtype=np.uint8)[offsets[0] : offsets[-1]]
    starts, lengths = offsets[:-1] - offsets[0], np.diff(offsets)
    place = np.arange(len(letters)) - np.repeat(starts, lengths)
    with np.errstate(over="ignore"):
        powers = np.cumprod(np.full(int(lengths.max(initial=0)) + 1, _PRIME, dtype=np.uint64))
        values = _mixed(letters.astype(np.uint64) + np.uint64(1)) * powers[place]
        sums = np.add.reduceat(np.append(values, np.uint64(0)), starts)
        sums = np.where(lengths > 0, sums, np.uint64(0))
        return _mixed(sums + lengths.astype(np.uint64))


def _mixed(values: np.ndarray) -> np.ndarray:
    """The finishing mix of a 64-bit hash (Steele, Lea and Flood 2014)."""
    with np.errstate(over="ignore"):
        values = (values ^ (values >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        values = (values ^ (values >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        return values ^ (values >> np.uint64(31))
