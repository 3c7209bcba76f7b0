"""Ways out of gas piping that is too small: each changes a copy, shows its price and picture, and may be kept."""

from __future__ import annotations

import copy
from dataclasses import replace
from typing import Any

import streamlit as st

from advisor.candidate import Candidate
from advisor.case.file import case_from
from advisor.comparison import Comparison
from advisor.core.errors import AdvisorError
from advisor.core.tables import load
from advisor.house.gas import changes as gas_changes
from advisor.house.gas import piping
from advisor.house.gas.flow import meter_capacity_cfh
from advisor.house.gas.from_case import gas_system
from advisor.house.gas.pipe import gas_named
from advisor.house.gas.scope import GasDetail
from advisor.house.items import OtherWay
from advisor.web import charts, charts_house, session, state, widgets
from advisor.web.gas_tree import tree_of
from advisor.web.words import say, sentences, typed, verdict_word

_SHOWN = "gas_way"
_SIMPLE = {piping.TRUNK: "gas.trunk_size_in", piping.HEATER_BRANCH: "gas.branch_size_in"}
_NOT_PIPE = "This way is a choice of heater, not a change of pipe: pick a smaller one above."


def as_case(way: piping.WayOut, detail: GasDetail, comparison: Comparison) -> dict[str, Any] | None:
    """What to write into the case so that the house is as it would be after a way out.

    Returns
    -------
    dict or None
        Path to value; None where the case has no words for it.
    """
    if any(isinstance(change, gas_changes.SmallerInput) for change in way.changes):
        return None
    values: dict[str, Any] = {}
    needs_tree = bool(comparison.case.gas.segments)
    for change in way.changes:
        if isinstance(change, gas_changes.Delivery):
            # The table of the new pressure allows its own drop.
            values |= {"gas.supply_pressure_inwc": round(change.pressure_inwc, 2), "gas.allowed_drop_inwc": None}
            needs_tree |= bool(change.regulators)
        elif isinstance(change, gas_changes.LargerMeter):
            values["gas.meter_class"] = _meter_class(change.capacity_cfh, detail)
        elif isinstance(change, gas_changes.Resize) and change.segment in _SIMPLE:
            values[_SIMPLE[change.segment]] = change.size
        else:
            needs_tree = True
    if needs_tree:
        values = {path: value for path, value in values.items() if path not in _SIMPLE.values()}
        values |= tree_of(piping.apply(detail.system, way), comparison.circumstances.altitude_frac)
    return values


def _meter_class(capacity_cfh: float, detail: GasDetail) -> str:
    gravity = detail.system.gravity or gas_named(detail.system.gas).gravity
    rows = load("gas_meters").rows()
    return str(
        min(rows, key=lambda row: abs(float(meter_capacity_cfh(row["capacity_cfh"], gravity)) - capacity_cfh))[
            "class_name"
        ]
    )


def holds(values: dict[str, Any], chosen: Candidate, comparison: Comparison) -> bool:
    """Whether the case with these values passes the whole check again: what is written is what was shown."""
    changed = copy.deepcopy(session.current().given)
    for path, value in values.items():
        section, key = path.split(".")
        changed.setdefault(section, {}).pop(key, None)
        if value is not None:
            changed[section][key] = value
    try:
        facts = replace(comparison.facts, case=case_from(changed))
        system, _ = gas_system(chosen.heater, facts, comparison.circumstances)
        return piping.check(system, facts.gas.sizing_rule).passes
    except AdvisorError:
        return False


def draw(comparison: Comparison, chosen: Candidate, detail: GasDetail) -> None:
    """Every way out with its price and a button, then the one that was picked beside the house as it is."""
    if not detail.ways:
        return
    st.subheader("Ways out")
    st.caption("Each was worked through the whole check again. A button changes a copy; the house stays as it is.")
    for way in detail.ways:
        with st.container(border=True):
            left, right = st.columns([4, 1], vertical_alignment="center")
            left.markdown(f"**{say(way.title)}**  \n{_price(way)}")
            for note in way.notes:
                left.caption(say(note))
            right.button("Show it", key=f"way_{way.kind}", on_click=pick, args=(way.kind,), width="stretch")
    picked = next((way for way in detail.ways if way.kind == picked_kind()), None)
    if picked is not None:
        side_by_side(comparison, chosen, detail, picked)


def picked_kind() -> str:
    """The way that is being looked at; empty if none is."""
    return session.current().way


def pick(kind: str) -> None:
    """Look at one way, or at none."""
    session.current().way = kind


def _price(way: piping.WayOut) -> str:
    if not way.price.typical_usd:
        return "No gas work"
    price = way.price
    span = widgets.money_range(price.low_usd, price.high_usd, 10)
    return f"about {widgets.dollars(price.typical_usd)}, likely {span}"


def side_by_side(comparison: Comparison, chosen: Candidate, detail: GasDetail, way: piping.WayOut) -> None:
    """A way tried on a copy: both pictures, both prices, and the button that keeps it."""
    changed = piping.apply(detail.system, way)
    priced = next((one for one in chosen.house.trade("gas").ways_out if one.kind == way.kind), None)  # type: ignore[union-attr]
    st.subheader(f"Tried on a copy: {way.kind}")
    now, after = st.columns(2)
    with now:
        _picture("As it is", detail.system, detail.check, "way_now")
        st.markdown(whole_price(chosen, None))
    with after:
        _picture("After the change", changed, way.check, "way_after")
        st.markdown(whole_price(chosen, priced))
    values = as_case(way, detail, comparison)
    with st.container(horizontal=True, vertical_alignment="center"):
        st.button("Put the copy away", key="way_away", on_click=pick, args=("",))
        if values is not None and holds(values, chosen, comparison):
            st.button("Use this", key="way_use", type="primary", on_click=_use, args=(values,))
    if values is None:
        st.caption(_NOT_PIPE)
    else:
        st.caption(
            "“Use this” writes the house as it would be when the work is done. The comparison then no longer "
            f"prices that work ({_price(way)}), so keep the figure. “Undo” at the top takes it back."
        )
    if why := state.refusal(_SHOWN):
        st.error(typed(why))


def _picture(title: str, system: piping.GasSystem, check: piping.GasCheck, key: str) -> None:
    heater = check.pressure.outlet(piping.HEATER)
    finding = (
        f"{title}: {widgets.shown(heater.inlet_inwc, 'inwc', 2)} at the water heater, {verdict_word(check.verdict)}"
    )
    charts.draw(
        charts_house.pressure_figure(system, check),
        finding,
        key=key,
        alt=f"{title}: pressure along the gas pipe. {sentences(check.findings)}",
    )


def whole_price(chosen: Candidate, way: OtherWay | None) -> str:
    """The whole installed price, with a way out in place of the jobs that are priced."""
    if chosen.quote_usd is not None:
        return f"Quoted for everything: {widgets.dollars(chosen.quote_usd, 100)}"
    low, typical, high = chosen.installed_usd
    gas = chosen.house.trade("gas")
    of_gas = {job.job for job in gas.items} if gas else set()
    for job in chosen.house.work:
        # A way stands in for its jobs; the rest of the gas line's work is taken to be needed.
        if way and job.job in way.instead_of:
            full = (0.0, 0.0, 0.0)
        elif job.job in of_gas:
            full = (job.low_usd, job.typical_usd, job.high_usd)
        else:
            continue
        low, typical, high = (
            whole + new - old for whole, new, old in zip((low, typical, high), full, job.counted_usd, strict=True)
        )
    if way is not None:
        low, typical, high = low + way.low_usd, typical + way.typical_usd, high + way.high_usd
    whose = "with this way" if way else "with the way that is priced now"
    span = widgets.money_range(low, high)
    return f"Installed {whose}: about {widgets.dollars(typical, 100)}, likely {span}"


def _use(values: dict[str, Any]) -> None:
    if state.set_answers(values, shown_at=_SHOWN):
        session.current().way = ""
