"""Vent and air: the flue that is there, the new run against the maker's limit, what is left behind, the air."""

from __future__ import annotations

from typing import Any

import streamlit as st

from advisor.candidate import Candidate
from advisor.case.usual import usual
from advisor.comparison import Comparison
from advisor.core.tables import load
from advisor.core.verdicts import DOES_NOT_FIT, FITS
from advisor.house.air.combustion_air import CombustionAir
from advisor.house.items import TradeCheck, price
from advisor.house.vent.flue import SharedFlue
from advisor.house.vent.scope import VentDetail
from advisor.house.vent.terminal import TerminalCheck, check_terminal
from advisor.house.vent.vent_run import VentRun
from advisor.web import charts, charts_house, contractor, fields, state, widgets
from advisor.web.contractor import amount
from advisor.web.words import heater_title, say, sentences, verdict_word

_FLUES = {
    "type_b": "metal gas vent, Type B",
    "masonry": "brick chimney",
    "plastic": "plastic pipe",
    "stainless": "sealed stainless pipe",
    "none": "none",
}
_FITTINGS = {
    "elbow_90": "elbow",
    "elbow_45": "45° elbow",
    "tee": "tee",
    "screen": "bird screen",
    "concentric": "concentric end",
}
_BREATHES = {
    "draft_hood": "takes the room's air, draft hood or none",
    "fan": "takes the room's air, with a fan",
    "sealed": "brings its own air",
    "elsewhere": "none stands there",
}
_SPACES = ("basement", "garage", "attic", "closet", "indoors", "outdoors", "crawl_space")
_ARRANGEMENTS = {
    "indoor_same_storey": "to the next rooms, same storey",
    "outdoor_two_direct": "straight to outdoors, or by vertical ducts",
    "outdoor_two_vertical_ducts": "to outdoors by vertical ducts",
    "outdoor_two_horizontal_ducts": "to outdoors by horizontal ducts",
    "outdoor_one": "straight to outdoors",
}


def headline(detail: VentDetail, run_words: str) -> str:
    """The gravest finding in one line."""
    run, left, capacity = detail.run, detail.left_behind, detail.capacity
    if run is not None and run.verdict == DOES_NOT_FIT:
        return f"The new vent is too long: {run_words}"
    if left is not None and left.verdict != FITS:
        return say("vent.headline.left", appliances=left.staying)
    if capacity is not None and capacity.verdict != FITS:
        return say(capacity.finding).rstrip(".")
    if run is not None:
        return (
            f"The new vent fits its limit: {run_words}" if run.verdict == FITS else f"The new vent is long: {run_words}"
        )
    return say(detail.change.finding).rstrip(".")


def run_words(run: VentRun) -> str:
    """Used, allowed and left, in the session's units."""
    used, limit = amount(run.governing_ft, "ft", 0), amount(run.limit_ft, "ft", 0)
    if run.margin_ft < 0:
        return f"it counts as {used} and the limit is {limit}"
    return f"it counts as {used} of {limit}, {amount(run.margin_ft, 'ft', 0)} left"


def draw() -> None:
    """The whole page."""
    comparison = state.comparison()
    chosen = contractor.head(comparison)
    vent, air = chosen.house.trade("vent"), chosen.house.trade("air")
    if vent is None:
        st.title(f"{heater_title(chosen.heater)}: no vent is needed")
        st.markdown("It burns nothing here, and no old flue is left behind as far as the answers tell.")
    else:
        detail: VentDetail = vent.detail
        st.title(headline(detail, run_words(detail.run) if detail.run else ""))
        contractor.verdict_line(vent.verdict, sentences(vent.findings))
    raised = [*(vent.cautions if vent else ()), *(air.cautions if air else ())]
    _vent(comparison, chosen, vent)
    contractor.cautions(raised, burns_fuel=chosen.heater.burns_fuel or comparison.facts.had_flue)
    if vent is not None:
        if vent.detail.left_behind is not None:
            _left_behind(vent.detail.left_behind)
        if vent.detail.terminal is not None:
            _terminal(chosen, vent.detail.terminal)
    _air(chosen, air)
    contractor.assumed(vent, air)
    fields.draw("vent_and_air")


def _vent(comparison: Comparison, chosen: Candidate, vent: TradeCheck | None) -> None:
    """The picture beside what was measured."""
    picture, answers = st.columns([3, 2], gap="large")
    with picture:
        if vent is not None and vent.detail.run is not None:
            _run(vent.detail)
        elif vent is not None:
            _kept(vent.detail)
    with answers:
        if comparison.facts.had_flue or comparison.case.vent.flue is not None:
            _flue_facts(comparison)
        if vent is not None and vent.detail.terminal is not None:
            diameter_in = chosen.heater.vent_diameter_in or usual("vent.diameter_in")
            _new_run(vent.detail, diameter_in, sealed=chosen.heater.technology.is_sealed_combustion)


def _run(detail: VentDetail) -> None:
    run = detail.run
    assert run is not None
    pieces = _pieces(run)
    left = f", room for {run.elbows_left} more elbows" if run.margin_ft >= 0 else ""
    charts.draw(
        charts_house.vent_figure(pieces, run.limit_ft, limit_assumed=run.limit_assumed),
        f"{verdict_word(run.verdict)}: {run_words(run)}{left}",
        key="vent_bar",
        alt=f"The vent's length in blocks against its limit. {say(run.finding)}",
    )
    named = list(enumerate(pieces, start=1))
    with st.expander("The numbers"):
        contractor.table(
            [
                *({"Part": f"{number}. {name}", "Counts as": amount(feet, "ft", 1)} for number, (name, feet) in named),
                {"Part": "in all", "Counts as": amount(run.governing_ft, "ft", 1)},
                {
                    "Part": "limit" + (" (generic, assumed)" if run.limit_assumed else " (given)"),
                    "Counts as": amount(run.limit_ft, "ft", 1),
                },
                {"Part": "left", "Counts as": amount(run.margin_ft, "ft", 1)},
            ],
            "Parts of the vent and what each counts in equivalent length",
        )
    if detail.larger is not None:
        _two_sizes(run, detail.larger)
    _kept(detail)


def _pieces(run: VentRun) -> list[tuple[str, float]]:
    """The parts that the limit is held against, the exhaust's or the intake's or both."""
    exhaust = [("straight", run.exhaust.straight_ft), *((_FITTINGS[kind], feet) for kind, feet in run.pieces)]
    if run.intake_ft is None or run.governing_ft == run.exhaust_ft:
        return exhaust
    if run.governing_ft == run.intake_ft:
        return [("intake pipe, the longer one", run.intake_ft)]
    return [*exhaust, ("intake pipe", run.intake_ft)]


def _two_sizes(run: VentRun, larger: VentRun) -> None:
    """The same way in two pipes side by side; a larger one often allows four to five times the length."""
    st.markdown("**The same way in two pipes**")
    contractor.table(
        [
            {
                "Pipe": f"{one.diameter_in:g} in.",
                "It counts as": amount(one.governing_ft, "ft", 0),
                "Limit": amount(one.limit_ft, "ft", 0) + (" (generic, assumed)" if one.limit_assumed else ""),
                "Left": amount(one.margin_ft, "ft", 0),
                "Verdict": verdict_word(one.verdict),
            }
            for one in (run, larger)
        ],
        "The vent in its own pipe and in the next larger one",
    )
    st.caption("What a fitting counts differs from size to size: read both columns of the instructions.")


def _kept(detail: VentDetail) -> None:
    need = detail.change.requirement
    st.markdown(f"**{'The old flue' if not detail.change.reusable else 'The flue'}.** {say(detail.change.finding)}")
    if need.advice is not None:
        water = "water condenses in it" if need.condenses else "no water is expected in it"
        st.caption(
            f"Vent category {need.category}: {say(f'vent.pressure.{need.pressure}')} pressure against the room, "
            f"{water}; usually {say(need.material)}. {say(need.advice)} [{need.state}]"
        )
    if detail.capacity is not None:
        rows = [
            {"Flue": "it carries about", "Input": amount(detail.capacity.capacity_btuh, "btuh")},
            {"Flue": "left", "Input": amount(detail.capacity.margin_btuh, "btuh")},
        ]
        contractor.verdict_line(detail.capacity.verdict, say(detail.capacity.finding))
        contractor.table(rows, "Capacity of the flue by the Type B table")


def _flue_facts(comparison: Comparison) -> None:
    vent = comparison.case.vent
    st.markdown("**The flue that is there**")
    widgets.choice("vent.flue", "It is a", tuple(_FLUES), _FLUES.__getitem__)
    widgets.yes_no("vent.is_shared", "A furnace or boiler uses it too")
    with st.expander("Its size, and what stays on it"):
        widgets.quantity("vent.flue_height_ft", "Height above the heater’s outlet")
        widgets.quantity("vent.flue_lateral_ft", "Horizontal run of the connector")
        if vent.flue == "masonry":
            liners = [row["nominal"] for row in load("tile_liners").rows()]
            given = [vent.tile_liner] if vent.tile_liner and vent.tile_liner not in liners else []
            widgets.choice("vent.tile_liner", "Clay liner, nominal", [*liners, *given], str)
            widgets.yes_no("vent.is_exterior_chimney", "It stands outside a wall")
        else:
            widgets.quantity("vent.flue_diameter_in", "Diameter of the flue")
        widgets.quantity(
            "vent.other_outlet_in",
            "Flue outlet of what stays",
            assumed=usual("vent.other_outlet_in"),
        )
        widgets.yes_no("vent.other_is_fan_assisted", "What stays has a fan")
        widgets.yes_no("vent.has_type_b_connector", "The connector is double-wall Type B")
        widgets.quantity("vent.n_flue_turns", "90° turns on the way up", assumed=2)
        if vent.flue == "masonry":
            widgets.quantity("vent.design_f", "Coldest design day outdoors")


def _new_run(detail: VentDetail, diameter_in: float, *, sealed: bool) -> None:
    run = detail.run
    st.markdown("**The new run, and the maker’s limit**")
    number = contractor.number
    with contractor.fields():
        number("vent.run_ft", "Straight length", assumed=usual("vent.run_ft"))
        number("vent.n_elbows", "90° elbows", assumed=int(usual("vent.n_elbows")))
        number("vent.n_elbows_45", "45° elbows", assumed=0)
        number(
            "vent.limit_ft",
            "Longest the maker allows",
            assumed=run.limit_ft if run else None,
            help="Equivalent feet, from the heater’s instructions.",
        )
        number("vent.diameter_in", "Diameter", assumed=diameter_in)
        number("vent.larger_limit_ft", "Longest in the next larger pipe")
    with st.expander("What fittings count, the intake, the end"), contractor.fields():
        counts_ft = usual("vent.elbow_90_ft")
        number("vent.elbow_90_ft", "One 90° elbow counts as", assumed=counts_ft)
        half_ft = (state.comparison().case.vent.elbow_90_ft or counts_ft) / 2
        number("vent.elbow_45_ft", "One 45° elbow counts as", assumed=half_ft)
        number("vent.n_tees", "Tees", assumed=0)
        number("vent.tee_ft", "One tee counts as", assumed=usual("vent.tee_ft"))
        contractor.yes_no("vent.has_bird_screen", "Bird screen")
        number("vent.screen_ft", "A screen counts as", assumed=usual("vent.screen_ft"))
        contractor.yes_no("vent.has_concentric_end", "Concentric terminal")
        ends_ft = usual("vent.concentric_ft")
        number("vent.concentric_ft", "Such an end counts as", assumed=ends_ft)
        if sealed:
            number("vent.intake_ft", "Straight length of the intake")
            number("vent.n_intake_elbows", "90° elbows of the intake", assumed=0)
            number("vent.n_intake_elbows_45", "45° elbows of the intake", assumed=0)
            contractor.yes_no("vent.limit_is_for_both", "Limit for both together")


def _left_behind(left: SharedFlue) -> None:
    st.subheader("What stays on the old flue")
    contractor.verdict_line(left.verdict, say(left.finding))
    if left.area_ratio_frac is not None:
        st.markdown(f"The flue has {left.area_ratio_frac:.1f} times the area of its outlet; the codes ask for 1 to 7.")
    if left.reasons:
        reasons = map(say, left.reasons)
        st.markdown("\n".join(f"- {reason[:1].upper() + reason[1:]}." for reason in reasons))


def _terminal(chosen: Candidate, end: TerminalCheck) -> None:
    st.subheader(f"Where the vent may end, for {amount(chosen.heater.power_btuh, 'btuh')}")
    st.markdown(
        "Write what you measured in inches; the list says at once what is kept. It stays on this screen only. "
        "The maker’s instructions and local code may ask for more."
    )
    measured = _measured(end)
    checked = check_terminal(
        end.kind, chosen.heater.power_btuh, condenses=chosen.heater.is_condensing, measured_in=measured
    )
    contractor.verdict_line(checked.verdict, say(checked.finding))
    words = {True: "✓ kept", False: "✗ too near", None: "to be measured"}
    contractor.table(
        [
            {
                "Distance": say(item.rule),
                "At least": amount(item.required_in, "in", 0),
                "Measured": amount(item.measured_in, "in", 0),
                "Verdict": words[item.kept] if item.required_in is not None else "read the instructions",
                "How sure": item.state,
            }
            for item in checked.clearances
        ],
        "Distances that the vent end must keep",
    )


def _measured(end: TerminalCheck) -> dict[str, float]:
    """Inches that somebody typed, by the ids of the table."""
    asked = [item for item in end.clearances if item.required_in is not None]
    found = {}
    with st.container(horizontal=True):
        for item in asked:
            typed = st.number_input(
                f"{say(item.rule)} (in.)",
                min_value=0.0,
                max_value=1200.0,
                value=None,
                width=220,
                key=f"terminal.{item.id}",
                persist_state="session",
                placeholder=f"at least {item.required_in:g}",
            )
            if typed is not None:
                found[item.id] = typed
    return found


def _air(chosen: Candidate, air: TradeCheck | None) -> None:
    st.subheader("Air for the flame, and where it stands")
    left, right = st.columns([3, 2], gap="large")
    with left:
        if air is None:
            st.markdown("It burns nothing here: it takes no air from the room for a flame.")
        else:
            contractor.verdict_line(air.verdict, sentences(air.findings))
            _air_numbers(chosen, air.detail)
    with right:
        widgets.choice("house.heater_space", "Where it stands", _SPACES, lambda space: space.replace("_", " "))
        widgets.quantity("house.room_volume_ft3", "Volume of that room")
        if air is not None and not chosen.heater.technology.is_sealed_combustion:
            _what_else_burns()
    if air is not None and isinstance(air.detail, CombustionAir) and air.detail.ways_out:
        st.markdown("**Openings that would make up for it, the cheapest first**")
        contractor.table([_opening(way) for way in air.detail.ways_out], "Openings for combustion air")


def _what_else_burns() -> None:
    """What takes its air from the same room, and what the room could open to."""
    with st.expander("What else burns there, and what it could open to"):
        widgets.choice("house.furnace_breathes", "The furnace in that room", tuple(_BREATHES), _BREATHES.__getitem__)
        widgets.quantity("house.others_hood_btuh", "Other burners without a fan")
        widgets.quantity("house.others_fan_btuh", "Other burners with a fan")
        widgets.quantity("house.joined_ft3", "Next rooms on that storey")
        widgets.quantity("house.infiltration_ach", "Measured air changes an hour")
        there = tuple(name for name in _ARRANGEMENTS if name != "outdoor_two_vertical_ducts")
        widgets.choice("house.air_openings", "Openings that are there", there, _ARRANGEMENTS.__getitem__)
        widgets.quantity("house.air_opening_in2", "Free area of each")


def _air_numbers(chosen: Candidate, detail: Any) -> None:
    if isinstance(detail, CombustionAir):
        contractor.table(
            [
                {"Air": "burners that take air from the room", "Value": amount(detail.counted_btuh, "btuh")},
                {"Air": "volume asked for", "Value": amount(detail.required_ft3, "ft3")},
                {"Air": "volume that is there", "Value": amount(detail.available_ft3, "ft3")},
                {"Air": "method", "Value": say(detail.method)},
            ],
            "Combustion air: asked for and there",
        )
        return
    if chosen.heater.is_tankless or chosen.heater.is_condensing:
        st.markdown("It is taken as a sealed heater that brings its own air through a pipe from outdoors.")
    else:
        st.markdown("The room feeds the flame. Give its volume, and the air is worked out.")
    rules = getattr(detail, "rules", ())
    if rules:
        contractor.table(
            [{"Rule": say(rule.rule), "Source": rule.source, "How sure": rule.state} for rule in rules],
            "Rules for this place",
        )


def _opening(way: Any) -> dict[str, str]:
    return {
        "Openings": f"{way.openings} × {_ARRANGEMENTS.get(way.arrangement, way.arrangement.replace('_', ' '))}",
        "Free area, each": amount(way.free_area_in2, "in2"),
        "Face of a metal louver, each": amount(way.face_area_in2, "in2"),
        "About": widgets.dollars(price(way.job)[1], 10),
        "Rule": say(way.rule),
    }
