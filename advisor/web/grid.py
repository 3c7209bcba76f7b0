"""Tables bound to the case: what is typed or pasted counts at once, and the table stays under the hand that types."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import pandas as pd
import streamlit as st

from advisor.web import state


def draw(path: str, rows: pd.DataFrame, **options: Any) -> None:
    """Draw a table.

    Parameters
    ----------
    path : str
        Where the case keeps its rows.
    rows : pandas.DataFrame
        What the case holds, or what is assumed in its place.
    options : dict
        For ``st.data_editor``.
    """
    stands_for = state.value(path) or rows.to_dict("records")
    held = _held(path)
    # If the case's rows are not those that were last taken from this table, it was changed from elsewhere; and
    # Streamlit forgets what was typed once another page has been drawn. Either way the table begins again, under a
    # key of its own, as what is typed is kept under the key.
    if held is None or held["stands_for"] != stands_for or held["key"] not in st.session_state:
        turn = 1 if held is None else held["turn"] + 1
        held = {"start": rows, "stands_for": stands_for, "turn": turn, "key": f"{path}.{turn}"}
        st.session_state[_slot(path)] = held
    st.data_editor(held["start"], key=held["key"], num_rows="dynamic", hide_index=True, **options)


def take(paths: Sequence[str], read: Callable[[str, pd.DataFrame], Any], *, shown_at: str) -> None:
    """Put into the case what was typed since the last run, all of it or nothing; then run again.

    To be called before anything shows the case.

    Parameters
    ----------
    paths : sequence of str
        Tables that only make sense together.
    read : callable
        Makes the case's rows of a path and a table.
    shown_at : str
        Where a refusal is shown.
    """
    typed = {path: _typed(path) for path in paths}
    tried = f"tried.{shown_at}"
    if all(table is None for table in typed.values()):
        st.session_state.pop(tried, None)
        return
    rows = {path: state.value(path) if table is None else read(path, table) or None for path, table in typed.items()}
    # What was refused is not tried again with every other change on the page.
    if rows == st.session_state.get(tried):
        return
    st.session_state[tried] = rows
    if state.put_all(rows, shown_at=shown_at):
        for path in paths:
            if held := _held(path):
                held["stands_for"] = state.value(path)
        st.rerun()


def forget(paths: Sequence[str], *, shown_at: str) -> None:
    """Take back what was typed and not yet taken."""
    for path in paths:
        if held := _held(path):
            held["stands_for"] = None
    state.forgive(shown_at)


def _typed(path: str) -> pd.DataFrame | None:
    """The table as it stands after what was typed; None if nothing was."""
    held = _held(path)
    typed = st.session_state.get(held["key"]) if held else None
    if held is None or not typed or not any(typed.values()):
        return None
    table: pd.DataFrame = held["start"].reset_index(drop=True)
    for place, cells in typed["edited_rows"].items():
        for column, value in cells.items():
            table.at[int(place), column] = value
    table = table.drop(index=typed["deleted_rows"])
    return pd.DataFrame([*table.to_dict("records"), *typed["added_rows"]], columns=table.columns)


def _held(path: str) -> dict[str, Any] | None:
    return st.session_state.get(_slot(path))


def _slot(path: str) -> str:
    return f"grid.{path}"
