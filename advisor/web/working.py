"""The working behind a candidate's numbers: each formula with its inputs, its result and its source."""

from __future__ import annotations

import streamlit as st

from advisor import formulas
from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.kinds import Fuel
from advisor.core.units import BTU_PER_THERM
from advisor.heaters import rating
from advisor.heaters.annual_energy import parameters_of
from advisor.heaters.hand_sizing import rated_recovery_gph
from advisor.web import widgets
from advisor.web.words import say, sentences


def draw(comparison: Comparison, item: Candidate) -> None:
    """Label, model, capacity and money of one candidate, each with its working."""
    heater = item.heater
    st.markdown(f"**Label**: {heater.rating_text}. *{heater.state}*: {heater.source}.")
    if item.flags:
        st.warning(sentences(item.flags))
    rows = [
        {"figure": "label, at the test's gallons", "energy": _therm(item.label_btu_per_yr)},
        {"figure": "this household, two-parameter model (quoted)", "energy": _therm(_bought_btu(item))},
    ]
    if item.in_place:
        in_place_btu, measured = item.in_place
        rows.append({"figure": f"if it misses its rating as in homes: {say(measured)}", "energy": _therm(in_place_btu)})
    st.table(rows)
    for name, given in _formulas(comparison, item):
        with st.expander(name.replace("_", " ")):
            st.code("\n".join(formulas.run(name, given).lines(si=widgets.is_si())), language=None, wrap_lines=True)
    prices = comparison.prices.usd_per_unit
    bill = " + ".join(
        f"{amount:,.0f} × {prices[fuel]:.3f}"
        for fuel in Fuel.all()
        if (amount := item.running_cost.use_per_yr.get(fuel.use_key, 0.0)) >= 0.5
    )
    room = f" + room {item.running_cost.room_usd_per_yr:,.0f}" if abs(item.running_cost.room_usd_per_yr) >= 0.5 else ""
    st.markdown(f"**A year**: {bill}{room} = {widgets.dollars(item.running_cost.usd_per_yr, 1)}")


def _therm(btu: float) -> str:
    return f"{btu / BTU_PER_THERM:,.0f} therm = {btu / 3412.14:,.0f} kWh of fuel and electricity"


def _bought_btu(item: Candidate) -> float:
    return float(item.energy.fuel_btu.sum() + item.energy.electricity_kwh.sum() * 3412.14)


def _formulas(comparison: Comparison, item: Candidate) -> list[tuple[str, dict[str, object]]]:
    """The published formulas this candidate went through, with its own numbers."""
    heater = item.heater
    daily = rating.pattern_daily_gal(heater.draw_pattern)
    rise = comparison.case.household.set_point_f - comparison.site.mains.coldest_f
    found: list[tuple[str, dict[str, object]]] = [
        ("label_energy_btu_per_yr", {"rating_uef": heater.uef, "daily_gal": daily})
    ]
    if heater.is_tankless:
        found.append(("local_max_flow_gpm", {"max_gpm": heater.max_gpm, "rise_df": rise}))
        if heater.min_input_btuh:
            summer = comparison.case.household.set_point_f - comparison.site.mains.warmest_f
            reaches = heater.recovery_frac or heater.uef
            found.append(
                (
                    "least_steady_flow_gpm",
                    {
                        "min_input_btuh": heater.min_input_btuh,
                        "thermal_efficiency_frac": reaches,
                        "rise_df": max(summer, 1.0),
                    },
                )
            )
        return found
    solved = parameters_of(heater)
    if heater.is_heat_pump:
        found.append(
            ("rated_cop", {"rating_uef": heater.uef, "loss_btuh_per_df": solved.loss_btuh_per_df, "daily_gal": daily})
        )
    elif not heater.burns_fuel:
        found.append(("resistance_loss_btuh_per_df", {"rating_uef": heater.uef, "daily_gal": daily}))
    else:
        recovery = heater.usual_recovery_frac
        found.append(
            (
                "loss_coefficient_btuh_per_df",
                {
                    "rating_uef": heater.uef,
                    "recovery_frac": recovery,
                    "power_btuh": heater.power_btuh,
                    "daily_gal": daily,
                },
            )
        )
        found.append(
            (
                "conversion_efficiency_frac",
                {
                    "recovery_frac": recovery,
                    "loss_btuh_per_df": solved.loss_btuh_per_df,
                    "power_btuh": heater.power_btuh,
                },
            )
        )
    found.append(
        (
            "local_first_hour_gal",
            {
                "fhr_gal": heater.fhr_gal,
                "recovery_gph": min(rated_recovery_gph(heater), heater.fhr_gal or 0.0),
                "volume_gal": heater.rated_volume_gal,
                "rise_df": rise,
            },
        )
    )
    return found
