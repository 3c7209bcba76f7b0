"""The household's own prices: a tariff as on the bill, and newer state averages when somebody asks for them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd
import streamlit as st

from advisor.comparison import Comparison
from advisor.core.kinds import Fuel, electricity
from advisor.money.live_prices import LivePriceError, PriceQuote
from advisor.report.prices_text import live_prices
from advisor.web import session, state
from advisor.web.widgets import fresh_key, reset
from advisor.web.words import kind_word, refused, typed

_BLOCKS = {"up_to_units": "up to, units a month", "price_usd_per_unit": "price, $"}
_HOURS = {"start_h": "from, hour", "end_h": "to, hour", "days": "days", "price_usd_per_unit": "price, $"}


def draw(comparison: Comparison) -> None:
    """Two boxes, closed until they are wanted."""
    fuels = list(dict.fromkeys((*comparison.case.house.fuels, electricity())))
    with st.expander("Type in a tariff as on your bill: account charge, blocks, hours"):
        _tariff(fuels)
    with st.expander("Ask the publisher for newer state prices"):
        _live(comparison)


def _tariff(fuels: Sequence[Fuel]) -> None:
    fuel = st.selectbox("Fuel", fuels, format_func=kind_word, key="tariff_fuel")
    present: dict[str, Any] = next((one for one in state.answer("tariffs") or () if one["fuel"] == fuel.id), {})
    name = f"{fresh_key('tariff')}.{fuel}"
    with st.form(name, border=False):
        st.caption("One price is enough. Fill in blocks or hours only if the bill has them; leave the rest empty.")
        simple = {
            "price_usd_per_unit": st.number_input(
                f"Price of a {fuel.unit} before tax ($); with hours, the price outside them",
                0.0,
                30.0,
                present.get("price_usd_per_unit"),
                0.01,
                "%g",
                key=f"{name}_price",
            ),
            "fixed_usd_per_mo": st.number_input(
                "Account charge a month ($)",
                0.0,
                500.0,
                present.get("fixed_usd_per_mo"),
                1.0,
                "%g",
                key=f"{name}_fixed",
                placeholder="0 assumed",
            ),
            "tax_frac": st.number_input(
                "Taxes and riders on the whole bill (share, 0.06 is 6 %)",
                0.0,
                0.5,
                present.get("tax_frac"),
                0.01,
                "%g",
                key=f"{name}_tax",
                placeholder="0 assumed",
            ),
            "other_units_per_mo": st.number_input(
                f"What the rest of the house uses a month ({fuel.unit}); needed with blocks",
                0.0,
                1e6,
                present.get("other_units_per_mo"),
                10.0,
                "%g",
                key=f"{name}_other",
            ),
        }
        st.markdown("**Blocks**, the last without an end")
        blocks = _table(present.get("blocks", ()), _BLOCKS, f"{name}_blocks")
        st.markdown("**Hours** with a price of their own")
        hours = _table(present.get("windows", ()), _HOURS, f"{name}_hours")
        taken = st.form_submit_button("Use this tariff")
    if taken:
        given: dict[str, Any] = {name: value for name, value in simple.items() if value is not None}
        given |= {name: rows for name, rows in (("blocks", _rows(blocks)), ("windows", _rows(hours))) if rows}
        if _keep(fuel, given):
            st.rerun()
    if present:
        st.button("Back to the average price", key="drop_tariff", on_click=_drop, args=(fuel,))
    if why := state.refusal("tariffs"):
        st.error(typed(why))


def _table(rows: Any, columns: dict[str, str], key: str) -> pd.DataFrame:
    """A table that grows; hours and their days are checked by the case, which says what is wrong."""
    filled = pd.DataFrame([dict(row) for row in rows], columns=list(columns))
    shown: dict[str, Any] = {
        name: st.column_config.SelectboxColumn(title, options=["all", "weekday", "weekend"])
        if name == "days"
        else st.column_config.NumberColumn(title, min_value=0)
        for name, title in columns.items()
    }
    numbers = {name: "float64" for name in columns if name != "days"}
    return st.data_editor(
        filled.astype(numbers), num_rows="dynamic", hide_index=True, column_config=shown, key=key, alt=" ".join(shown)
    )


def _rows(edited: pd.DataFrame) -> list[dict[str, Any]]:
    """The rows that hold something, without their empty cells."""
    whole = edited.dropna(how="all")
    return [
        {
            name: int(value) if name.endswith("_h") and float(value).is_integer() else value
            for name, value in row.items()
            if not pd.isna(value)
        }
        for row in whole.to_dict("records")
    ]


def _keep(fuel: Fuel, given: dict[str, Any]) -> bool:
    """Put this fuel's tariff into the case, or take it out if nothing is given."""
    others = [one for one in state.answer("tariffs") or () if one["fuel"] != fuel.id]
    tariffs = [*others, {"fuel": fuel.id, **given}] if given else others
    taken = state.set_answers({"tariffs": tariffs or None}, shown_at="tariffs")
    if taken:
        # A table keeps its edits under its name: a new name shows what the case now holds.
        reset("tariff")
    return taken


def _drop(fuel: Fuel) -> None:
    _keep(fuel, {})


def _live(comparison: Comparison) -> None:
    where = comparison.site.location.state
    st.caption(
        f"This is the only time the app asks another host: the US Energy Information Administration's open data, for"
        f" {where}. It takes a free key of your own, which is sent with the question and kept nowhere."
    )
    held = session.current()
    with st.form("live_prices", border=False):
        key = st.text_input("Key", type="password", key=fresh_key("live_key"), autocomplete="off")
        asked = st.form_submit_button("Ask now")
    if asked:
        try:
            held.live_found, held.live_refused = live_prices(comparison, key or None), None
        except LivePriceError as error:
            held.live_found, held.live_refused = {}, refused(error)
        reset("live_key")  # so that the session forgets it
        st.rerun()
    if held.live_refused:
        st.error(typed(held.live_refused))
    found = held.live_found
    fresh = {fuel: one for fuel, one in found.items() if isinstance(one, PriceQuote) and one.state == where}
    for fuel, one in found.items():
        if isinstance(one, LivePriceError):
            st.warning(f"{kind_word(fuel).capitalize()}: {typed(one)}")
    if fresh:
        st.table(
            [
                {
                    "fuel": kind_word(fuel),
                    "now used": f"${comparison.prices.usd_per_unit[fuel]:.3f} a {one.unit}",
                    "newer": f"${one.price_usd_per_unit:.3f} a {one.unit}",
                    "for": one.period,
                    "source": typed(one.source),
                }
                for fuel, one in fresh.items()
            ]
        )
        prices = {f"prices.{fuel.price_key}": one.price_usd_per_unit for fuel, one in fresh.items()}
        st.button("Use these prices", key="use_live", on_click=_use, args=(prices,))


def _use(prices: dict[str, float]) -> None:
    if state.set_answers(prices, shown_at="prices"):
        session.current().live_found = {}
