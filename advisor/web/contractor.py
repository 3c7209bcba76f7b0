"""What the contractor's pages share: the choice of heater, the units, the cautions, the states in words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import Any

import streamlit as st

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.verdicts import FALLS_SHORT, KEEPS_UP, HouseVerdict
from advisor.document.told import about
from advisor.heaters.candidates import MOST_UNITS
from advisor.house.cautions import caution
from advisor.house.items import TradeCheck
from advisor.report.shortlist import shortlist
from advisor.web import session, state, widgets
from advisor.web.words import heater_option, language, say, typed, verdict_word

#: Cautions that stand on every one of these pages; the fuel ones only beside a flame.
_ALWAYS = ("licensed_work", "maker_and_code_govern")
_BURNS = ("gas_smell",)
#: Two of them and the gap fill the width of a phone.
_FIELD_PX = 170


def head(comparison: Comparison) -> Candidate:
    """The heater and the units, chosen once for all the contractor's pages."""
    with st.container(horizontal=True, vertical_alignment="bottom"):
        chosen = choose(comparison)
        _how_many(comparison, chosen)
        units()
    if widgets.is_si():
        st.caption("Sentences that quote a code's table keep its US units; headings, charts and tables are in SI.")
    if language() != "en":
        st.caption("Esta página para el contratista está solo en inglés.")
    return chosen


def choose(comparison: Comparison) -> Candidate:
    """Choose any candidate, the short list first; at first what is offered, else what asks the most of the house."""
    listed = {item.heater.id: item for item in (*shortlist(comparison), *comparison.candidates)}
    chosen = session.current().contractor_heater
    if chosen not in listed:
        chosen = first_choice(comparison).heater.id
    session.current().contractor_heater = chosen
    key = widgets.bind("contractor_candidate", chosen)
    st.selectbox(
        say("choose.candidate"),
        list(listed),
        format_func=lambda one: heater_option(listed[one].heater),
        key=key,
        on_change=_keep_choice,
    )
    return listed[chosen]


def _keep_choice() -> None:
    session.current().contractor_heater = st.session_state["contractor_candidate"]


def _how_many(comparison: Comparison, chosen: Candidate) -> None:
    """One of it, or two or three side by side because somebody wants them."""
    with st.container(width=130):
        st.selectbox(
            "How many",
            range(1, MOST_UNITS + 1),
            key=widgets.bind("contractor_units", chosen.heater.n_units),
            on_change=_keep_number,
            args=(comparison, chosen),
        )
    if why := state.refusal("several"):
        st.error(typed(why))


def _keep_number(comparison: Comparison, chosen: Candidate) -> None:
    n_units = st.session_state["contractor_units"]
    one = chosen.heater.id.removesuffix(f"-x{chosen.heater.n_units}")
    wanted = one if n_units == 1 else f"{one}-x{n_units}"
    if all(item.heater.id != wanted for item in comparison.candidates):
        rows = [*(state.answer("several") or ()), {"candidate": one, "n_units": n_units}]
        if not state.set_answer("several", rows):
            return
    session.current().contractor_heater = wanted


def first_choice(comparison: Comparison) -> Candidate:
    """What is offered; without offers the gas tankless heater that comes closest to serving, else any gas heater, else
    what is recommended."""
    if comparison.offers:
        return about(comparison)
    listed = shortlist(comparison)
    gas = [item for item in listed if item.heater.fuel.is_fuel_gas and item.heater.has_flame]
    tankless = [item for item in gas if item.heater.is_tankless]
    if tankless or gas:
        return min(tankless or gas, key=_distance)
    return next((item for item in listed if item.heater.id == comparison.recommended_id), listed[0])


def _distance(item: Candidate) -> tuple[int, int, float]:
    verdict = item.capacity.verdict
    return (
        0 if verdict == KEEPS_UP else 2 if verdict == FALLS_SHORT else 1,
        item.heater.n_units,
        item.installed_usd[1],
    )


def units() -> None:
    """US or SI, for every page of the session."""
    st.radio(
        "Units",
        ["US", "SI"],
        key=widgets.bind("units_switch", "SI" if widgets.is_si() else "US"),
        horizontal=True,
        on_change=_keep_units,
        help="For what is shown. Number fields keep US units.",
    )


def _keep_units() -> None:
    session.current().units = st.session_state["units_switch"]


def cautions(ids: Iterable[str], *, burns_fuel: bool) -> None:
    """What can hurt someone: the first always in sight, the rest folded below it; ids of the table of cautions."""
    first, *rest = _told((*(_BURNS if burns_fuel else ()), *_ALWAYS, *ids))
    st.warning(f"**{say('contractor.take_care')}** {first}")
    if rest:
        with st.expander(say("contractor.more_care", n=len(rest))):
            st.markdown(_listed(rest))


def also_cautions(ids: Iterable[str]) -> None:
    """Further cautions where they are wanted, below the box that stands on top of the page."""
    if told := _told(ids):
        st.warning(f"**{say('contractor.take_care')}**\n\n{_listed(told)}")


def _told(ids: Iterable[str]) -> list[str]:
    return [say(caution(name)) for name in dict.fromkeys(ids)]


def _listed(told: Iterable[str]) -> str:
    return "\n".join(f"- {text}" for text in told)


def verdict_line(verdict: HouseVerdict, finding: str) -> None:
    """A finding with its verdict in words, with its sign."""
    st.markdown(f"**{verdict_word(verdict)}.** {finding}")


def assumed(*trades: TradeCheck | None) -> None:
    """What this page's trades took for granted."""
    found = list(dict.fromkeys(one.reason for trade in trades if trade for one in trade.assumed))
    if found:
        with st.expander(f"Assumed here, until somebody measures it ({len(found)})"):
            st.markdown("\n".join(f"- {say(one)}" for one in found))


def fields() -> Any:
    """A row of narrow fields that wraps: two abreast beside a picture and on a phone."""
    # The line below a field that says its amount in SI would push its neighbors' labels out of line.
    return st.container(horizontal=True, vertical_alignment="top" if widgets.is_si() else "bottom")


def field(widget: Callable[..., None], *given: Any, **named: Any) -> None:
    """One narrow field of such a row."""
    with st.container(width=_FIELD_PX):
        widget(*given, **named)


number, choice, yes_no = (partial(field, widget) for widget in (widgets.quantity, widgets.choice, widgets.yes_no))


def table(rows: Sequence[dict[str, Any]], alt: str) -> None:
    """A table that can be read aloud and printed; its first column names the row."""
    if rows and widgets.is_phone():
        widgets.table(rows, alt=alt)
    elif rows:
        first = next(iter(rows[0]))
        st.table(_frame(rows).set_index(first), alt=alt)


def _frame(rows: Sequence[dict[str, Any]]) -> Any:
    import pandas as pd

    return pd.DataFrame(list(rows))


def amount(value: float | None, suffix: str, digits: int | None = None) -> str:
    """An amount in the session's units, or a dash where it is not known."""
    return "–" if value is None else widgets.shown(value, suffix, digits)


def in_units(value: Any, suffix: str) -> tuple[Any, str]:
    """A number for an axis, and the label of its unit, in the session's units."""
    from advisor.core.units import UNITS, to_si

    return to_si(value, suffix) if widgets.is_si() else (value, UNITS[suffix].label)
