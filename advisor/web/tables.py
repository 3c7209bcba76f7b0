"""Lists of the case as tables that count as they are typed; as the text of a case file where a table would not do."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from advisor.case.base import Section
from advisor.case.file import read_toml
from advisor.core.errors import AdvisorError, InputError
from advisor.core.tables import load
from advisor.core.units import UNITS, suffix_of
from advisor.web import grid, session, state, widgets
from advisor.web.words import heater_option, kind_word, refused, typed

#: A row as somebody would type it, below each table.
_EXAMPLES = {
    "uses": "shower, 2.1, 8, 105, 2 of them, 2 at once",
    "several": "50 gal gas tank, natural draft; 2",
    "price_list": "50 gal gas tank, natural draft; 2,450; my list of May",
    "rebates": "a heat pump tank; 500; letter of the utility, 2026-11-02",
}
#: Headings where the key's own words would not do.
_HEADINGS = {"id": "Heater or job", "n_units": "How many", "candidate": "Heater"}


def take(path: str) -> None:
    """Take what was typed into a table; to be called before anything shows the case."""
    grid.take((path,), lambda _, table: rows_of(table), shown_at=path)


def rows_of(table: pd.DataFrame) -> list[dict[str, str]]:
    """What somebody typed or pasted, as the case takes it: empty rows and empty cells left out."""
    rows = [{str(key): text for key, value in cells.items() if (text := _cell(value))} for _, cells in table.iterrows()]
    return [row for row in rows if row]


def _cell(value: Any) -> str:
    return "" if value is None or (isinstance(value, float) and pd.isna(value)) else str(value).strip()


def draw(path: str, model: type[Section] | None) -> None:
    """The table of a list, a column a key; a unit may stand behind a number."""
    assert model is not None, path
    held = getattr(state.case(), path)
    columns = list(model.model_fields)
    rows = [{key: _text(getattr(row, key)) for key in columns} for row in held]
    config = {key: _column(key, found) for key, found in model.model_fields.items()}
    frame = pd.DataFrame(rows, columns=columns, dtype=object)
    grid.draw(path, frame, column_config=config, placeholder="", alt=f"{_heading(path)}, to edit")
    if path in _EXAMPLES:
        st.caption(widgets.plain(f"For example: {_EXAMPLES[path]}."))
    if why := state.refusal(path):
        st.error(f"Not used yet, and nothing was changed. {typed(why)}")
        st.button(
            "Take back what was typed",
            key=f"untype_{path}",
            on_click=grid.forget,
            args=((path,),),
            kwargs={"shown_at": path},
        )


def _column(key: str, found: Any) -> Any:
    unit = UNITS[suffix_of(key) or "dimensionless"].label
    heading = f"{_heading(key)} ({unit})" if unit else _heading(key)
    help = str(found.description)
    if key in {"candidate", "id"}:
        names = heaters_and_kinds() if key == "candidate" else heaters_and_kinds() | jobs()
        options = list(names)
        return st.column_config.SelectboxColumn(
            heading, help=help, options=options, format_func=lambda one: names.get(str(one), str(one)), width="medium"
        )
    return st.column_config.TextColumn(heading, help=help, width="medium" if key in {"name", "source", "id"} else None)


def heaters_and_kinds() -> dict[str, str]:
    """Every candidate and every kind of them by its id, as a list to choose from shows it."""
    found = state.comparison().candidates
    kinds = {one.heater.technology.id: kind_word(one.heater.technology) for one in found}
    return {one.heater.id: heater_option(one.heater) for one in found} | kinds


def jobs() -> dict[str, str]:
    """Every job on the list of work by its id, as a list to choose from shows it."""
    return {row["id"]: row["id"].replace("-", " ") for row in load("jobs").rows()}


def _heading(key: str) -> str:
    if key in _HEADINGS:
        return _HEADINGS[key]
    words = key.removesuffix(f"_{suffix_of(key)}") if suffix_of(key) else key
    return words.replace("_", " ").capitalize()


def _text(value: Any) -> str | None:
    return None if value is None else f"{value:.10g}" if isinstance(value, float) else str(value)


def as_text(path: str, model: type[Section] | None) -> None:
    """A list whose entries hold lists, written as a case file holds them."""
    import tomli_w

    assert model is not None, path
    key = f"in.{path}"
    first = ("fuel", '"electricity"') if "fuel" in model.model_fields else ("candidate", '"gas-tank-50"')
    held = state.case().model_dump(mode="json", exclude_unset=True, exclude_none=True).get(path)
    if not state.refusal(path) or key not in st.session_state:
        widgets.bind(key, tomli_w.dumps({path: held}) if held else "")
    session.current().drawn.add(key)
    st.text_area(
        "As a case file holds them",
        key=key,
        placeholder=f"[[{path}]]\n{first[0]} = {first[1]}",
        height=160,
        max_chars=20_000,
        help=f"Keys: {', '.join(model.model_fields)}.",
        on_change=_take_text,
        args=(path, key),
    )
    if why := state.refusal(path):
        st.error(typed(why))


def _take_text(path: str, key: str) -> None:
    try:
        found = read_toml(st.session_state[key])
    except AdvisorError as error:
        session.current().refused[path] = refused(error)
        return
    if set(found) - {path}:
        wrong = InputError(path, None, "only [[{path}]] belongs here", "take the rest out", path=path)
        session.current().refused[path] = refused(wrong)
        return
    state.set_answer(path, found.get(path))
