"""Which application came before, for the same meter, dwelling or household: across a file of any size, and a history.

Keys are sorted into files by their first bits, each small enough to be held; within one, applications of a key
stand in the order in which they were received, then as in the file. What was found is kept by blocks of rows, and
read back chunk by chunk.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from advisor.screening.applicants import NO_DAY
from advisor.screening.keys import Keys
from advisor.screening.of_program import Others

KEY = np.dtype([("key", "<u8"), ("row", "<i8"), ("received", "<i8"), ("installed", "<i8")])
FOUND = np.dtype([("row", "<i8"), ("earlier_row", "<i8"), ("earlier_on", "<i8"), ("paid_on", "<i8")])
_PART_BITS = 5
_BLOCK_BITS = 18
_NO_DAY = np.iinfo(np.int64).min


class Ledger:
    """Keys of a whole file, written as they are read, then resolved.

    Parameters
    ----------
    folder : Path
        Where the files of keys lie until they are resolved.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        folder.mkdir(parents=True, exist_ok=True)

    def add(self, keys: dict[str, Keys], *, is_history: bool = False) -> None:
        """Write down the keys of some rows; of a history's rows only the day counts."""
        for per, one in keys.items():
            rows = records_of(one, is_history=is_history)
            _scatter(self.folder, f"{per}-keys", rows, (one.key >> np.uint64(64 - _PART_BITS)).astype(np.int64))

    def resolve(self) -> None:
        """Find for every application the one before it and the last rebate."""
        for path in sorted(self.folder.glob("*-keys-*")):
            per = path.name.partition("-")[0]
            self.keep(per, resolve(np.fromfile(path, dtype=KEY)))
            path.unlink()

    def keep(self, per: str, found: np.ndarray) -> None:
        """Write down what was found of some rows."""
        _scatter(self.folder, f"{per}-found", found, found["row"] >> _BLOCK_BITS)

    def found(self, per: str, first_row: int, n_rows: int) -> np.ndarray:
        """What was found of some rows."""
        blocks = range(first_row >> _BLOCK_BITS, ((first_row + n_rows - 1) >> _BLOCK_BITS) + 1)
        paths = [self.folder / f"{per}-found-{block}" for block in blocks]
        held = [np.fromfile(path, dtype=FOUND) for path in paths if path.exists()]
        rows = np.concatenate(held) if held else np.empty(0, dtype=FOUND)
        return rows[(rows["row"] >= first_row) & (rows["row"] < first_row + n_rows)]


def records_of(keys: Keys, *, is_history: bool) -> np.ndarray:
    """Keys as records; a row of a history has no number."""
    rows = np.empty(len(keys.key), dtype=KEY)
    rows["key"], rows["received"], rows["installed"] = keys.key, keys.received, keys.installed
    rows["row"] = -1 if is_history else keys.row
    return rows


def _scatter(folder: Path, name: str, rows: np.ndarray, parts: np.ndarray) -> None:
    """Append rows to one file for each part."""
    order = np.argsort(parts, kind="stable")
    rows, parts = rows[order], parts[order]
    for part, begin, end in _runs(parts):
        with (folder / f"{name}-{part}").open("ab") as stream:
            stream.write(rows[begin:end].tobytes())


def _runs(values: np.ndarray) -> Iterator[tuple[int, int, int]]:
    """Value, begin and end of every run of equal values."""
    if not len(values):
        return
    starts = np.flatnonzero(np.append(True, values[1:] != values[:-1]))
    for begin, end in zip(starts, np.append(starts[1:], len(values)), strict=True):
        yield int(values[begin]), int(begin), int(end)


def resolve(keys: np.ndarray) -> np.ndarray:
    """The application before each, and the last rebate of its key, for those that have either.

    Parameters
    ----------
    keys : ndarray
        Rows of key, row (-1 in a history), received and installed.
    """
    past = keys[keys["row"] < 0]
    now = keys[keys["row"] >= 0]
    now = now[
        np.lexsort(
            (now["row"], np.where(now["received"] == _NO_DAY, np.iinfo(np.int64).max, now["received"]), now["key"])
        )
    ]
    found = np.empty(len(now), dtype=FOUND)
    found["row"], found["paid_on"] = now["row"], _NO_DAY
    follows = np.append(False, now["key"][1:] == now["key"][:-1])[: len(now)]
    found["earlier_row"] = np.where(follows, np.roll(now["row"], 1), -1)
    found["earlier_on"] = np.where(follows, np.roll(now["installed"], 1), _NO_DAY)
    if len(past):
        past = past[np.lexsort((past["installed"], past["key"]))]
        last = past[np.append(past["key"][1:] != past["key"][:-1], True)]
        at = np.minimum(np.searchsorted(last["key"], now["key"]), len(last) - 1)
        found["paid_on"] = np.where(last["key"][at] == now["key"], last["installed"][at], _NO_DAY)
    return found[follows | (found["paid_on"] != _NO_DAY)]


def others_of(found: np.ndarray, has_key: np.ndarray, first_row: int) -> Others:
    """What was found, as arrays over the rows of a frame."""
    n_rows = len(has_key)
    paid_on, earlier_on = np.full(n_rows, NO_DAY), np.full(n_rows, NO_DAY)
    earlier_row = np.full(n_rows, -1)
    at = found["row"] - first_row
    paid_on[at] = found["paid_on"].astype("datetime64[D]")
    earlier_on[at] = found["earlier_on"].astype("datetime64[D]")
    earlier_row[at] = found["earlier_row"]
    return Others(has_key, paid_on, earlier_row, earlier_on)
