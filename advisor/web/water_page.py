"""The lower half of panel and drain: where condensate goes, and the water side."""

from __future__ import annotations

import streamlit as st

from advisor.candidate import Candidate
from advisor.case.usual import usual
from advisor.comparison import Comparison
from advisor.core.tables import load
from advisor.house.condensate.scope import DrainDetail
from advisor.house.items import TradeCheck
from advisor.house.water.scope import WaterDetail
from advisor.house.water.water_side import check_hardness
from advisor.web import contractor, widgets
from advisor.web.contractor import amount
from advisor.web.words import say, sentences, verdict_word

_DRAINS = ("plastic", "cast_iron", "copper", "galvanized", "unknown")
_SUPPLIES = {"mains": "city water", "surface": "from a lake or river", "well": "a private well"}


def drain(chosen: Candidate, trade: TradeCheck | None) -> None:
    """Condensate: how much, which way, and the rules for the line."""
    left, right = st.columns([3, 2], gap="large")
    with left:
        if trade is None:
            st.markdown("This heater makes no condensate: no drain is needed for it.")
        else:
            contractor.verdict_line(trade.verdict, sentences(trade.findings))
            _drain_numbers(trade.detail)
        contractor.also_cautions(trade.cautions if trade else ())
    with right:
        widgets.yes_no("drain.has_gravity_drain", "A drain lies lower, within reach")
        widgets.quantity("drain.run_ft", "Length of the drain line", assumed=usual("drain.run_ft"))
        widgets.choice("drain.material", "The drain is made of", _DRAINS, lambda one: one.replace("_", " "))
        widgets.yes_no("drain.is_septic", "It leads to a septic tank")
    if trade is not None:
        with st.expander("Rules for the line"):
            rules = trade.detail.drain.rules
            contractor.table(
                [{"Rule": say(rule.rule), "Source": rule.source, "How sure": rule.state} for rule in rules],
                "Rules for the condensate line",
            )


def _drain_numbers(detail: DrainDetail) -> None:
    way = {"gravity": "by its own fall", "pump": "by a pump", "neither": "no way that works"}[detail.drain.way]
    contractor.table(
        [
            {"Condensate": "at full fire", "Value": amount(detail.full_fire_gph, "gph")},
            {"Condensate": "in a year", "Value": amount(detail.gal_per_yr, "gal_per_yr", 0)},
            {"Condensate": "it leaves", "Value": way},
            {"Condensate": "fall the line needs", "Value": amount(detail.drain.fall_needed_in, "in")},
            {"Condensate": "fall there is", "Value": amount(detail.drain.fall_available_in, "in")},
            {"Condensate": "neutralizer", "Value": "needed" if detail.drain.neutralizer else "not needed"},
            {"Condensate": "can freeze", "Value": "yes, part of the line" if detail.drain.can_freeze else "no"},
        ],
        "Condensate in numbers",
    )


def water(comparison: Comparison, chosen: Candidate, trade: TradeCheck | None) -> None:
    """Expansion, scald, hardness and the wait at the farthest tap."""
    assert trade is not None  # every candidate has a water-side finding
    left, right = st.columns([3, 2], gap="large")
    with left:
        contractor.verdict_line(trade.verdict, sentences(trade.findings))
        _scald(comparison, trade.detail)
        _expansion(trade.detail)
        _hardness(comparison, chosen)
        _wait(comparison, trade.detail)
        contractor.also_cautions([*(name for name in trade.cautions if name != "scald"), "relief_valve"])
    with right:
        _water_answers(comparison)
    with st.expander("The relief valve’s discharge pipe"):
        contractor.table(
            [
                {"Rule": say(rule.rule), "Source": rule.source, "How sure": rule.state}
                for rule in trade.detail.relief_rules
            ],
            "Rules for the discharge pipe",
        )


def _scald(comparison: Comparison, detail: WaterDetail) -> None:
    set_point = comparison.case.household.set_point_f
    st.markdown(f"**Scald at the set point of {amount(set_point, 'f', 0)}.** {say(detail.setpoint.finding)}")
    with st.expander("Burn times of adult skin"):
        contractor.table(
            [
                {
                    "Water": amount(row["water_f"], "f", 0),
                    "Blisters after": _time(row["second_degree_s"]),
                    "Full depth after": _time(row["third_degree_s"]),
                }
                for row in load("scald_times").rows()
            ],
            "Time until water burns adult skin",
        )
        st.caption(f"Children and older people burn faster. {load('scald_times').citation}")


def _time(seconds: float | None) -> str:
    if seconds is None:
        return "–"
    return (
        f"{seconds:.0f} s"
        if seconds < 90
        else f"{seconds / 60:.0f} min"
        if seconds < 5400
        else f"{seconds / 3600:.0f} h"
    )


def _expansion(detail: WaterDetail) -> None:
    check = detail.expansion
    if check is None:
        st.markdown("**Expansion.** No tank, so no expansion tank is sized; some codes ask for one on a closed system.")
        return
    st.markdown(f"**Expansion.** {verdict_word(check.verdict)}: {say(check.finding)}")
    contractor.table(
        [
            {"Expansion": "the water grows by", "Value": amount(check.extra_gal, "gal")},
            {"Expansion": "tank to stay under the relief valve", "Value": amount(check.for_relief_gal, "gal")},
            {"Expansion": "tank to stay under 80 psi", "Value": amount(check.for_code_gal, "gal")},
        ],
        "Expansion tank",
    )


def _hardness(comparison: Comparison, chosen: Candidate) -> None:
    grains = comparison.case.water.hardness_gpg
    if grains is None:
        st.markdown("**Hardness.** Not known. A strip test or the water company’s yearly report tells it.")
        return
    daily_gal = comparison.circumstances.demand.mean_daily_gal
    found = check_hardness(grains, tankless=chosen.heater.is_tankless, daily_use_gpd=daily_gal)
    st.markdown(f"**Hardness {amount(grains, 'gpg')}.** {say(found.finding)} {say(found.plan)}")


def _wait(comparison: Comparison, detail: WaterDetail) -> None:
    wait = detail.wait
    if wait is None and comparison.case.water.farthest_tap_ft is not None:
        # It stands with the findings: a loop keeps the pipe warm, or no table prints this pipe.
        return
    if wait is None:
        st.markdown("**Wait at the farthest tap.** Give the length of pipe to it, and the wait is worked out.")
        return
    st.markdown(f"**Wait at the farthest tap.** {say(wait.finding)}")
    waste = amount(wait.wasted_gal_per_yr, "gal_per_yr", 0)
    st.caption(f"The pipe holds {amount(wait.pipe_gal, 'gal')}; about {waste} run off unused.")


def _water_answers(comparison: Comparison) -> None:
    site = comparison.site
    widgets.quantity("household.set_point_f", "Set point", assumed=120)
    widgets.yes_no("water.has_mixing_valve", "A mixing valve at the heater")
    widgets.quantity(
        "water.static_pressure_psi",
        "Water pressure, nothing running",
        assumed=usual("water.static_pressure_psi"),
    )
    widgets.quantity("water.dynamic_pressure_psi", "Water pressure, a bath tap wide open")
    widgets.yes_no("water.has_closed_system", "Check valve or pressure regulator on the cold pipe")
    widgets.yes_no("water.has_expansion_tank", "An expansion tank is there")
    if comparison.case.water.has_expansion_tank or comparison.case.water.expansion_tank_gal is not None:
        widgets.quantity(
            "water.expansion_tank_gal",
            "Its size",
            assumed=usual("water.expansion_tank_gal"),
        )
    widgets.quantity("water.hardness_gpg", "Hardness")
    widgets.quantity("water.farthest_tap_ft", "Pipe to the farthest tap")
    widgets.choice("water.supply", "The water", tuple(_SUPPLIES), _SUPPLIES.__getitem__)
    widgets.quantity("water.measured_cold_f", "Coldest reading", assumed=round(site.mains.coldest_f))
