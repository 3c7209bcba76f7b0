"""Sentences for many rows at once: a template of the catalogues, filled with arrays of text."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from advisor.report.words import template
from advisor.screening.dictionary import columns

#: Stands in a template for what differs from row to row.
_BLANK = "\x00"


class Said(NamedTuple):
    """Texts about some rows of a frame."""

    rows: np.ndarray
    texts: Any


def title_of(field: str, language: str) -> str:
    """What a column is called in a sentence."""
    return template(f"column.{field}", language)


def with_unit(field: str, text: str) -> str:
    """A number's text with the unit of its column."""
    column = columns()[field]
    if column.unit == "usd":
        return f"${text}"
    return f"{text} {column.unit_label}".strip()


def fill(code: str, language: str, values: Any = None, **fixed: Any) -> Any:
    """A template filled with fixed words, and its blank ``value`` with an array of texts.

    Returns
    -------
    str or pyarrow.Array
        A plain text where there is no array to fill in.
    """
    import pyarrow.compute as pc

    text = template(code, language).format(value=_BLANK, **fixed)
    if values is None:
        return text
    before, _, after = text.partition(_BLANK)
    return pc.binary_join_element_wise(before, values, after, "")


def repeat(text: Any, count: int) -> Any:
    """One text for so many rows."""
    import pyarrow as pa

    return pa.repeat(pa.scalar(text, pa.string()), count) if isinstance(text, str) else text


def numbers(values: np.ndarray) -> Any:
    """Numbers as the shortest text that gives them back."""
    import pyarrow as pa
    import pyarrow.compute as pc

    return pc.cast(pa.array(np.asarray(values, dtype=float)), pa.string())


def days(values: np.ndarray) -> Any:
    """Days as year, month and day."""
    import pyarrow as pa
    import pyarrow.compute as pc

    return pc.cast(pa.array(values.astype("datetime64[D]")), pa.string())


def gather(said: list[Said], n_rows: int, separator: str) -> Any:
    """Every row's texts joined in the order in which they were said; empty for a row of which nothing was."""
    import pyarrow as pa
    import pyarrow.compute as pc

    said = [one for one in said if len(one.rows)]
    if not said:
        return pa.array([""] * n_rows, pa.string())
    rows = np.concatenate([one.rows for one in said])
    texts = pa.chunked_array([one.texts for one in said], pa.string()).combine_chunks()
    texts = texts.take(pa.array(np.argsort(rows, kind="stable")))
    offsets = np.concatenate([[0], np.cumsum(np.bincount(rows, minlength=n_rows))])
    return pc.binary_join(pa.ListArray.from_arrays(pa.array(offsets, pa.int32()), texts), separator)


def by_row(said: list[Said], separator: str) -> Said:
    """The same, for the rows alone of which something was said."""
    said = [one for one in said if len(one.rows)]
    if not said:
        import pyarrow as pa

        return Said(np.array([], dtype=int), pa.array([], pa.string()))
    rows = np.unique(np.concatenate([one.rows for one in said]))
    narrowed = [Said(np.searchsorted(rows, one.rows), one.texts) for one in said]
    return Said(rows, gather(narrowed, len(rows), separator))
