"""The whole gas tree as measured: tables to edit and paste into, and the way to and from the case."""

from __future__ import annotations

import re
from typing import Any

import pandas as pd
import streamlit as st

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.house.gas import pipe as gas_pipe
from advisor.house.gas.piping import HEATER, GasSystem
from advisor.web import grid, state
from advisor.web.words import typed

SHOWN_AT = "gas.tree"
#: Columns of each table: key of the case, heading, what to write. Text, so that "12 ft" or 3/4" can be typed.
_COLUMNS: dict[str, dict[str, tuple[str, str]]] = {
    "segments": {
        "name": ("Pipe", "What you would call this run, for example: trunk"),
        "upstream": ("Fed by", "The run that feeds it, or: source"),
        "material": ("Made of", "Steel where nothing is written"),
        "size_in": ("Size", "Nominal inches, 3/4; the EHD number of corrugated tubing"),
        "length_ft": ("Length", "Feet, or with a unit: 12 ft, 6' 4\", 3 m"),
        "elbows_90": ("90° elbows", "How many"),
        "elbows_45": ("45° elbows", "How many"),
        "tees": ("Side tees", "Tees where the gas turns into the side"),
        "extra_ft": ("Extra", "Valves and the rest, as feet of straight pipe"),
    },
    "outlets": {
        "name": ("Appliance", f"The one being replaced is called: {HEATER}"),
        "segment": ("At the end of", "The pipe it stands on"),
        "input_btuh": ("Input", "Btu/h on its plate, or with a unit: 80 kBtu/h, 20 kW"),
        "min_inlet_inwc": ("Least pressure", "in. w.c. on its plate; empty if not known"),
        "max_inlet_inwc": ("Highest pressure", "in. w.c. on its plate; empty if not known"),
    },
    "regulators": {
        "segment": ("At the end of", "The pipe it ends"),
        "outlet_inwc": ("Holds", "in. w.c. beyond it"),
        "own_loss_inwc": ("Own loss", "in. w.c. it needs itself"),
        "capacity_cfh": ("It passes", "ft³/h, as on its label; empty if not known"),
        "allowed_drop_inwc": ("Allowed drop", "in. w.c. in the pipe beyond it; empty for the usual one"),
    },
}
_TITLES = {"segments": "Pipe runs", "outlets": "Appliances", "regulators": "Line regulators"}
_PATHS = tuple(f"gas.{kind}" for kind in _COLUMNS)
_NOTHING = {None, "", "0", "0.0"}


def tree_of(system: GasSystem, altitude_frac: float) -> dict[str, Any]:
    """A tree as the case keeps it, by the paths of the case.

    Parameters
    ----------
    system : GasSystem
        Its inputs are those that burners have at this height.
    altitude_frac : float
        Share of its plate that a burner keeps there; the case holds the plates. [-]
    """
    segments = [
        _known(
            {
                "name": run.name,
                "upstream": run.upstream,
                "material": run.material,
                "size_in": run.size,
                "length_ft": round(run.length_ft, 2),
                "elbows_90": run.elbows_90,
                "elbows_45": run.elbows_45,
                "tees": run.tees,
                "extra_ft": run.extra_equivalent_ft,
            }
        )
        for run in system.segments
    ]
    outlets = [
        _known(
            {
                "name": load.name,
                "segment": load.segment,
                "input_btuh": float(round(load.input_btuh / altitude_frac)),
                "min_inlet_inwc": load.min_inlet_inwc,
                "max_inlet_inwc": load.max_inlet_inwc,
            }
        )
        for load in system.outlets
    ]
    regulators = [
        {
            "segment": one.segment,
            "outlet_inwc": one.outlet_inwc,
            "own_loss_inwc": one.own_loss_inwc,
            **_known({"capacity_cfh": one.capacity_cfh, "allowed_drop_inwc": one.allowed_drop_inwc}),
        }
        for one in system.regulators
    ]
    return {"gas.segments": segments, "gas.outlets": outlets, "gas.regulators": regulators or None}


def _known(row: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in row.items() if value not in (None, 0)}


def frame(kind: str) -> pd.DataFrame:
    """The case's rows of one kind as text, ready to edit."""
    rows = [{key: _text(getattr(row, key)) for key in _COLUMNS[kind]} for row in getattr(state.case().gas, kind)]
    return pd.DataFrame(rows, columns=list(_COLUMNS[kind]), dtype=object)


def _text(value: Any) -> str | None:
    return None if value is None else f"{value:.10g}" if isinstance(value, float) else str(value)


def rows_of(kind: str, edited: pd.DataFrame) -> list[dict[str, Any]]:
    """What somebody typed or pasted, as the case takes it: empty rows and empty cells left out."""
    rows = []
    for _, cells in edited.iterrows():
        row = {key: text for key in _COLUMNS[kind] if (text := _cell(cells.get(key))) is not None}
        # A row that holds nothing but zeros was never filled in.
        if any(value not in _NOTHING for value in row.values()):
            rows.append({key: _tidy_size(value) if key == "size_in" else value for key, value in row.items()})
    return rows


def _cell(value: Any) -> str | None:
    if value is None or (isinstance(value, float) and pd.isna(value)):
        return None
    return str(value).strip() or None


def _tidy_size(text: str) -> str:
    """``3/4"``, ``3/4 in.`` and ``1 1/4`` as the tables write them."""
    bare = re.sub(r"\s*(\"|''|in\.?|inch(es)?)\s*$", "", text, flags=re.I)
    return re.sub(r"^(\d+)\s+(\d+/\d+)$", r"\1-\2", bare)


def draw(comparison: Comparison, chosen: Candidate) -> None:
    """The tables, and what became of the last change."""
    has_tree = bool(comparison.case.gas.segments)
    with st.expander("The whole tree, as measured", expanded=has_tree or bool(state.refusal(SHOWN_AT))):
        st.markdown(
            "Every run of pipe without a branch inside it is a row; an appliance stands at the end of a run. "
            "Add a row at the foot, mark rows to delete them, or copy cells from a spreadsheet and paste them here. "
            "A unit may stand behind a number."
        )
        detail = chosen.house.trade("gas")
        if detail is not None and detail.detail is not None and not has_tree:
            st.button(
                "Start from the tree we assumed",
                key="gas_copy",
                on_click=_copy,
                args=(comparison, detail.detail.system),
            )
            st.caption("What is copied counts as measured from then on: put right what differs in the house.")
        for kind in _COLUMNS:
            _table(kind)
        if why := state.refusal(SHOWN_AT):
            st.error(f"Not used yet, and nothing was changed. {typed(said(why))}")
        with st.container(horizontal=True):
            if state.refusal(SHOWN_AT):
                st.button(
                    "Take back what was typed",
                    key="gas_untype",
                    on_click=grid.forget,
                    args=(_PATHS,),
                    kwargs={"shown_at": SHOWN_AT},
                )
            if has_tree:
                st.button("Forget the tree, use the simple answers", key="gas_forget", on_click=_forget)


def take() -> None:
    """Take what was typed into the tables; to be called before anything shows the case."""
    grid.take(_PATHS, lambda path, table: rows_of(path.removeprefix("gas."), table), shown_at=SHOWN_AT)


def _table(kind: str) -> None:
    st.markdown(f"**{_TITLES[kind]}**")
    config = {key: _column(key, heading, help) for key, (heading, help) in _COLUMNS[kind].items()}
    grid.draw(f"gas.{kind}", frame(kind), column_config=config, placeholder="", alt=f"{_TITLES[kind]}, to edit")


def _column(key: str, heading: str, help: str) -> Any:
    """A column of text, as names are made up here and sizes written in many ways; the material comes from a list."""
    if key == "material":
        return st.column_config.SelectboxColumn(
            heading,
            help=help,
            options=list(gas_pipe.materials()),
            format_func=lambda one: str(one).replace("_", " "),
            width="small",
        )
    return st.column_config.TextColumn(heading, help=help, width="medium" if key in {"name", "upstream"} else "small")


def _copy(comparison: Comparison, system: GasSystem) -> None:
    state.set_answers(tree_of(system, comparison.circumstances.altitude_frac), shown_at=SHOWN_AT)


def _forget() -> None:
    state.set_answers(dict.fromkeys(_PATHS), shown_at=SHOWN_AT)


def said(why: str) -> str:
    """A refusal in the words of the tables instead of the case's paths."""

    def row(found: re.Match[str]) -> str:
        kind, number, key = found.groups()
        heading = _COLUMNS[kind].get(key, (key, ""))[0]
        return f"{_TITLES[kind]}, row {number}, {heading}"

    why = re.sub(r"gas\.(segments|outlets|regulators)\.(\d+)\.(\w+)", row, why)
    # What only the whole tree shows names the run or appliance itself.
    return re.sub(r"gas\.(segments|outlets|regulators)(?: = |:)", lambda found: f"{_TITLES[found[1]]}, ", why)
