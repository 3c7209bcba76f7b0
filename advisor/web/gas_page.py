"""The gas line: the finding as heading, the pressure along the pipe, every segment by the tables, the ways out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import streamlit as st

from advisor.case.usual import usual
from advisor.comparison import Comparison
from advisor.core.tables import load
from advisor.house.gas import pipe as gas_pipe
from advisor.house.gas.piping import HEATER, HEATER_BRANCH, TRUNK, GasCheck, GasSystem
from advisor.house.gas.scope import GasDetail
from advisor.house.gas.tree import LOW_METER_INWC
from advisor.web import charts, charts_house, contractor, fields, gas_tree, gas_ways, state, widgets
from advisor.web.contractor import amount
from advisor.web.words import heater_title, say, sentences, typed

_SIZES = {
    "3/8": "three-eighths-inch",
    "1/2": "half-inch",
    "3/4": "three-quarter-inch",
    "1": "one-inch",
    "1-1/4": "1-1/4-inch",
    "1-1/2": "1-1/2-inch",
    "2": "two-inch",
}

_PLACES = {
    "trunk_end": "at the end of the pipe from the meter",
    "appliances": "at each appliance",
    "none": "nowhere: there is none",
}
_RULES = {
    "tables": "the code’s tables and the pressure",
    "pressure": "the pressure alone, if the code official agrees",
}

_STAGES = {"single": "a single one at the tank", "two": "two stages, together or apart"}

#: Appliances of the simple answers, with the most that the case takes. [Btu/h]
_APPLIANCES = ("furnace", "range", "dryer", "fireplace")


def headline(system: GasSystem, check: GasCheck) -> str:
    """The finding in one line, with the numbers that prove it."""
    heater = check.pressure.outlet(HEATER)
    short = [item for item in check.by_length.segments if not item.passes]
    worst = max(short, key=lambda item: item.load_frac, default=None)
    starved = check.pressure.worst
    if starved.margin_inwc < 0:
        arrives = f"{_inwc(starved.inlet_inwc)} at full fire where {_inwc(starved.min_inlet_inwc).split()[0]} is needed"
        if worst is None:
            return f"Too little pressure at the {typed(starved.outlet.name)}: about {arrives}"
        steepest = max(
            (s for s in check.pressure.segments if s.segment.name in system.path(starved.outlet.segment)),
            key=lambda step: step.drop_inwc,
        )
        return f"The {_run(steepest.segment)} starves the {typed(starved.outlet.name)}: about {arrives}"
    high = next((item for item in check.pressure.outlets if item.too_high), None)
    if high is not None:
        return f"Too much pressure at the {typed(high.outlet.name)}: {_inwc(high.static_inwc)} with everything off"
    if worst is not None:
        asked = f"{_flow(system, worst.capacity_cfh)} where {_flow(system, worst.load_cfh).split()[0]} are asked"
        return f"By the code’s table the {_run(worst.segment)} is too small: {asked}"
    if not check.passes:
        return sentences(check.findings)
    return (
        f"The gas line carries it: about {_inwc(heater.inlet_inwc)} reaches the water heater"
        f" where {_inwc(heater.min_inlet_inwc).split()[0]} is needed"
    )


def _inwc(value: float) -> str:
    return widgets.shown(value, "inwc", 2 if widgets.is_si() else 1)


def _flow(system: GasSystem, value_cfh: float) -> str:
    """Natural gas in cubic feet, propane in the heat that flows here: what its tables and plates speak of."""
    if system.gas == "propane":
        return widgets.shown(value_cfh * system.btu_per_actual_ft3, "btuh", 0)
    return widgets.shown(value_cfh, "cfh", 1 if widgets.is_si() else 0)


def _run(segment: Any) -> str:
    size = (
        f"EHD {segment.size}" if segment.material == gas_pipe.CSST else _SIZES.get(segment.size, f"{segment.size}-inch")
    )
    return typed(f"{size} {segment.name}")


def draw() -> None:
    """The whole page."""
    gas_tree.take()
    _page()
    fields.draw("gas_line")


def _page() -> None:
    comparison = state.comparison()
    chosen = contractor.head(comparison)
    trade = chosen.house.trade("gas")
    if trade is None:
        st.title(f"{heater_title(chosen.heater)}: no gas line is needed")
        st.markdown("This heater burns no gas. Choose a gas heater above to check the pipe.")
        contractor.cautions((), burns_fuel=True)
        return
    detail: GasDetail | None = trade.detail
    if detail is None:
        st.title(f"{heater_title(chosen.heater)}: the gas line goes beyond what is worked out here")
        contractor.verdict_line(trade.verdict, sentences(trade.findings))
        gas_tree.draw(comparison, chosen)
        contractor.cautions(trade.cautions, burns_fuel=True)
        return
    st.title(headline(detail.system, detail.check))
    contractor.verdict_line(trade.verdict, sentences(trade.findings))
    picture, answers = st.columns([3, 2], gap="large")
    with picture:
        _profile(detail)
    with answers:
        _simple(comparison, detail)
    gas_tree.draw(comparison, chosen)
    contractor.cautions(trade.cautions, burns_fuel=True)
    _segments(detail)
    gas_ways.draw(comparison, chosen, detail)
    contractor.assumed(trade)
    _notes(detail, comparison)


def _profile(detail: GasDetail) -> None:
    pressure = detail.check.pressure
    served = [item for item in pressure.outlets if item.passes]
    finding = f"Everything firing: {len(served)} of {len(pressure.outlets)} appliances get the pressure they need"
    charts.draw(
        charts_house.pressure_figure(detail.system, detail.check),
        finding,
        key="gas_profile",
        alt=f"Pressure falling along the gas pipe to each appliance. {say(pressure.finding)}",
    )
    st.caption(
        "The short bar at each end is the least pressure that appliance needs. A filled dot: enough. An open one: "
        "not. Fittings count as pipe."
    )
    with st.expander("The numbers"):
        contractor.table(
            [
                {
                    "Appliance": typed(item.outlet.name),
                    "Load": _flow(detail.system, item.load_cfh),
                    "Arrives": _inwc(item.inlet_inwc),
                    "Needs": _inwc(item.min_inlet_inwc),
                    "With everything off": _inwc(item.static_inwc),
                    "At most": "–" if item.outlet.max_inlet_inwc is None else _inwc(item.outlet.max_inlet_inwc),
                    "Verdict": _passes(item.passes, "enough", "too high" if item.too_high else "too little"),
                }
                for item in pressure.outlets
            ],
            "Pressure at each appliance with everything firing",
        )


def _passes(good: bool, yes: str, no: str) -> str:
    return f"✓ {yes}" if good else f"✗ {no}"


def _segments(detail: GasDetail) -> None:
    short = [item for item in detail.check.by_length.segments if not item.passes]
    count = len(detail.check.by_length.segments)
    st.subheader(
        f"By the code’s tables {len(short)} of {count} pipes {'is' if len(short) == 1 else 'are'} too small"
        if short
        else f"By the code’s tables all {count} pipes carry their load"
    )
    ends = {step.segment.name: step.outlet_inwc for step in detail.check.pressure.segments}
    contractor.table(
        [
            {
                "Pipe": typed(item.segment.name),
                "Verdict": _passes(item.passes, "carries it", "too small"),
                "Present size": say(gas_pipe.named(item.segment.material, item.segment.size)),
                "Size asked for": _asked(item),
                "Load": _flow(detail.system, item.load_cfh),
                "It carries": _flow(detail.system, item.capacity_cfh),
                "Length used": amount(item.row_ft, "ft", 0),
                "Pressure at its end": _inwc(ends[item.segment.name]),
            }
            for item in detail.check.by_length.segments
        ],
        "Every pipe by the branch-length table: load, length, present and required size",
    )
    meter = detail.check.pressure.meter
    asked = _flow(detail.system, meter.load_cfh)
    if meter.capacity_cfh is not None:
        passed = _flow(detail.system, meter.capacity_cfh)
        st.markdown(
            f"**{_passes(meter.passes, 'Meter', 'Meter')}**: it passes about {passed}; "
            f"{asked} are asked with everything firing."
        )
    elif detail.system.gas == "natural":
        st.markdown(f"**Meter:** not known. With everything firing {asked} are asked of it.")
    else:
        st.markdown(
            f"**Second-stage regulator and tank:** not known. With everything firing {asked} are asked of them."
        )


def _asked(item: Any) -> str:
    if item.required_size is None:
        return "none listed is enough"
    return say(gas_pipe.named(item.segment.material, item.required_size))


def _simple(comparison: Comparison, detail: GasDetail) -> None:
    gas, system = comparison.case.gas, detail.system
    st.markdown("**What is there**")
    is_natural = system.gas == "natural"
    place = "Pressure at the meter" if is_natural else "Pressure after the regulator"
    widgets.quantity(
        "gas.supply_pressure_inwc",
        place,
        assumed=usual("gas.supply_pressure_inwc", system.gas),
        help="With nothing burning. 2 psi is 55.4 in. w.c.",
    )
    if gas.segments:
        st.caption("The tree below is used; sizes, lengths and appliances are edited there.")
    else:
        if system.supply_pressure_inwc > LOW_METER_INWC or gas.regulator_at is not None:
            _regulator(system)
        _pipes(gas, system)
        _appliances(system)
    if not is_natural:
        _propane_tank()
    if is_natural or gas.meter_class is not None:
        meters = [row["class_name"] for row in load("gas_meters").rows()]
        widgets.choice("gas.meter_class", "Class number on the meter", _with(meters, gas.meter_class), str)
    widgets.choice("gas.sizing_rule", "What decides", tuple(_RULES), _RULES.__getitem__)
    widgets.quantity(
        "gas.heating_value_btu_per_ft3",
        "Heat in a cubic foot",
        assumed=system.heating_value_btu_per_ft3,
        help="Btu per cubic foot, as on the gas bill." if is_natural else "Btu per cubic foot of gas, by the supplier.",
    )


def _propane_tank() -> None:
    """What the supplier has set: a tank that is too small in the cold starves every pipe."""
    with contractor.fields():
        level = usual("gas.propane_level_frac")
        contractor.number("gas.propane_tank_gal", "Propane tank above ground, holds")
        contractor.number("gas.propane_level_frac", "Kept at least this full (share)", assumed=level)
    widgets.choice("gas.propane_stages", "Its regulators", tuple(_STAGES), _STAGES.__getitem__)


def _regulator(system: GasSystem) -> None:
    """Where a pressure that no appliance takes ends."""
    widgets.choice("gas.regulator_at", "The line regulator stands", tuple(_PLACES), _PLACES.__getitem__)
    with contractor.fields():
        held = usual("gas.regulator_outlet_inwc", system.gas)
        needs = usual("gas.regulator_own_loss_inwc")
        contractor.number("gas.regulator_outlet_inwc", "It holds", assumed=held)
        contractor.number("gas.regulator_own_loss_inwc", "It needs itself", assumed=needs)
        contractor.number("gas.regulator_capacity_cfh", "It passes")


def _pipes(gas: Any, system: GasSystem) -> None:
    sizes = gas_pipe.sizes(gas.material)
    lengths = {run.name: run.length_ft for run in system.segments}
    begins = "the meter" if system.gas == "natural" else "the regulator"
    st.selectbox(
        "Pipes made of",
        gas_pipe.materials(),
        format_func=lambda one: one.replace("_", " "),
        key=widgets.bind("in.gas.material", gas.material),
        on_change=_change_material,
    )
    if why := state.refusal("gas.material"):
        st.error(typed(why))
    with contractor.fields():
        for kind, name, run in (("branch", "Heater’s branch", HEATER_BRANCH), ("trunk", f"Pipe from {begins}", TRUNK)):
            size = f"gas.{kind}_size_in"
            contractor.choice(
                size,
                f"{name}, size",
                _with(sizes, state.answer(size)),
                str,
                help="Nominal inches; the EHD number of corrugated tubing.",
            )
            contractor.number(f"gas.{kind}_ft", f"{name}, length", assumed=lengths.get(run))


def _change_material() -> None:
    """Another material has other sizes: those that it lacks are forgotten with the change."""
    chosen = st.session_state["in.gas.material"]
    paths = ("gas.branch_size_in", "gas.trunk_size_in")
    lost = {path: None for path in paths if state.answer(path) not in gas_pipe.sizes(chosen)}
    state.set_answers({"gas.material": chosen, **lost}, shown_at="gas.material")


def _appliances(system: GasSystem) -> None:
    there = {outlet.name for outlet in system.outlets}
    with contractor.fields():
        for name in _APPLIANCES:
            contractor.number(
                f"gas.{name}_btuh",
                name.capitalize(),
                assumed=usual(f"gas.{name}_btuh") if name == "furnace" and name in there else None,
                help="Input on its plate. Empty: there is none, but for a furnace where this gas heats the house.",
            )


def _with(known: Sequence[str], given: str | None) -> list[str]:
    return [*known, *([given] if given and given not in known else [])]


def _notes(detail: GasDetail, comparison: Comparison) -> None:
    told = dict.fromkeys((*detail.check.by_length.notes, *detail.check.pressure.notes))
    method = (
        "Two methods side by side: the branch-length tables that an inspector is likely to read, and the pressure "
        "followed from where it begins to every appliance with all of them at full fire "
        "(International Fuel Gas Code 2018, section 402.4 and Appendix A)."
    )
    with st.expander("How this was worked out"):
        lines = [method, *map(say, told), say(comparison.site.location.elevation_source)]
        st.markdown("\n".join(f"- {line}" for line in lines if line))
