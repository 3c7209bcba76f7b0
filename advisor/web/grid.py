"""Tables bound to the case: what is typed or pasted counts at once, and the table stays under the hand that types."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd
import streamlit as st

from advisor.web import session, state, widgets


@dataclass
class Table:
    """What a table began with, and the rows of the case that it stands for."""

    start: pd.DataFrame
    stands_for: Any


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
    session.current().drawn.add(f"in.{path}")
    stands_for = state.answer(path) or rows.to_dict("records")
    tables = session.current().tables
    held = tables.get(path)
    # If the case's rows are not those that were last taken from this table, it was changed from elsewhere; and
    # Streamlit forgets what was typed once another page has been drawn. Either way the table begins again, under a
    # key of its own, as what is typed is kept under the key.
    if held is None or held.stands_for != stands_for or widgets.fresh_key(path) not in st.session_state:
        widgets.reset(path)
        held = tables[path] = Table(rows, stands_for)
    st.data_editor(held.start, key=widgets.fresh_key(path), num_rows="dynamic", hide_index=True, **options)


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
    held = session.current()
    if all(table is None for table in typed.values()):
        held.tried.pop(shown_at, None)
        return
    rows = {path: state.answer(path) if table is None else read(path, table) or None for path, table in typed.items()}
    # What was refused is not tried again with every other change on the page.
    if rows == held.tried.get(shown_at):
        return
    held.tried[shown_at] = rows
    if state.set_answers(rows, shown_at=shown_at):
        for path in paths:
            if table := held.tables.get(path):
                table.stands_for = state.answer(path)
        st.rerun()


def forget(paths: Sequence[str], *, shown_at: str) -> None:
    """Take back what was typed and not yet taken."""
    for path in paths:
        session.current().tables.pop(path, None)
    state.clear_refusal(shown_at)


def _typed(path: str) -> pd.DataFrame | None:
    """The table as it stands after what was typed; None if nothing was."""
    held: Table | None = session.current().tables.get(path)
    typed = st.session_state.get(widgets.fresh_key(path))
    if held is None or not typed or not any(typed.values()):
        return None
    table = held.start.reset_index(drop=True)
    for place, cells in typed["edited_rows"].items():
        for column, value in cells.items():
            table.at[int(place), column] = value
    table = table.drop(index=typed["deleted_rows"])
    return pd.DataFrame([*table.to_dict("records"), *typed["added_rows"]], columns=table.columns)
