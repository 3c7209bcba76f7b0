"""Panel and drain: the service by each way of counting, circuits, a power cut; then drain, water and readings."""

from __future__ import annotations

import streamlit as st

from advisor.candidate import Candidate
from advisor.case.usual import usual
from advisor.comparison import Comparison
from advisor.core.verdicts import FITS, NEEDS_WORK
from advisor.house.electrical.circuits import CircuitCheck
from advisor.house.electrical.scope import PowerDetail
from advisor.house.electrical.service_load import ServiceCheck
from advisor.web import charts, charts_house, contractor, fields, readings_sheet, state, water_page
from advisor.web.contractor import amount
from advisor.web.words import clause, heater_title, say, sentences, verdict_word


def headline(chosen: Candidate, detail: PowerDetail) -> str:
    """The electrical finding in one line."""
    service_short = detail.service is not None and detail.service.verdict != FITS
    if detail.panel.verdict != FITS and not service_short:
        return clause(detail.panel.finding)
    if detail.service is not None:
        return service_words(detail.service)
    finding = clause(detail.circuit.finding)
    return f"{heater_title(chosen.heater)}: {finding[:1].lower()}{finding[1:]}"


def service_words(check: ServiceCheck) -> str:
    """The finding of the check; where the routes disagree, with how far apart they are."""
    if check.verdict != NEEDS_WORK:
        return clause(check.finding)
    carries = sum(route.carries for route in check.routes)
    least, worst = min(route.after_a for route in check.routes), max(route.after_a for route in check.routes)
    return (
        f"The {check.service_a:.0f} A service carries it by {carries} of {len(check.routes)} counts,"
        f" {least:.0f} to {worst:.0f} A: an electrician must do the calculation"
    )


def draw() -> None:
    """The whole page."""
    comparison = state.comparison()
    chosen = contractor.head(comparison)
    trade = chosen.house.trade("power")
    assert trade is not None  # every candidate has an electrical finding
    if trade.detail is None:
        st.title(f"{heater_title(chosen.heater)}: its circuit goes beyond what is worked out here")
    else:
        st.title(headline(chosen, trade.detail))
    drain, water = chosen.house.trade("drain"), chosen.house.trade("water")
    contractor.cautions([*trade.cautions, "scald"], burns_fuel=chosen.heater.burns_fuel)
    panel, drains, waters, readings = st.tabs(["Panel", "Condensate drain", "Water", "Readings when it runs"])
    with panel:
        contractor.verdict_line(trade.verdict, sentences(trade.findings))
        if trade.detail is not None:
            _power(comparison, chosen, trade.detail)
    with drains:
        water_page.drain(chosen, drain)
    with waters:
        water_page.water(comparison, chosen, water)
    with readings:
        readings_sheet.draw(comparison, chosen)
    trades = [one for one in (trade, drain, water) if one is not None]
    contractor.assumed(*trades)
    fields.draw("panel_and_drain")


def _power(comparison: Comparison, chosen: Candidate, detail: PowerDetail) -> None:
    picture, answers = st.columns([3, 2], gap="large")
    with picture:
        if detail.service is not None:
            _service(detail.service)
        else:
            st.markdown("This heater adds next to nothing to the service, so no load calculation is shown.")
        _circuit(comparison, chosen, detail)
        st.markdown(f"**When the power is out.** {sentences(detail.cut.findings)}")
    with answers:
        _answers(comparison)


def _service(check: ServiceCheck) -> None:
    charts.draw(
        charts_house.service_figure(check),
        service_words(check),
        key="service_bars",
        alt=f"Amperes before and after by each way of counting, against the service. {say(check.finding)}",
    )
    with st.expander("The numbers"):
        contractor.table(
            [
                *(
                    {
                        "Way of counting": f"{say(route.name)} (NEC {route.section})",
                        "Before": f"{route.before_a:.0f} A",
                        "After": f"{route.after_a:.0f} A",
                        "Service": f"{check.service_a:.0f} A",
                        "Verdict": _carries(route.carries),
                    }
                    for route in check.routes
                ),
                {
                    "Way of counting": f"{say(check.beside.name)} (NEC {check.beside.section})",
                    "Before": f"{check.beside.before_a:.0f} A",
                    "After": f"{check.beside.after_a:.0f} A",
                    "Service": f"{check.service_a:.0f} A",
                    "Verdict": "to compare only",
                },
                {
                    "Way of counting": "the heater by itself",
                    "Before": "",
                    "After": f"{check.heater_a:.0f} A",
                    "Service": f"{check.service_a:.0f} A",
                    "Verdict": _carries(check.heater_a <= check.service_a),
                },
            ],
            "Service load before and after by each way of counting",
        )
    st.caption("The ways seldom agree. Which one counts is for the electrician and the local office to say.")


def _carries(good: bool) -> str:
    return "✓ carries it" if good else "✗ too much"


def _circuit(comparison: Comparison, chosen: Candidate, detail: PowerDetail) -> None:
    check: CircuitCheck = detail.circuit
    st.markdown(f"**Circuit.** {verdict_word(check.verdict)}: {say(check.finding)}")
    units = chosen.heater.n_units
    each = " of each heater" if units > 1 else ""
    rows = []
    if check.circuit is not None:
        one = check.circuit
        rows = [
            {"Circuit": f"circuits{each}", "Value": str(one.circuits)},
            {"Circuit": f"power{each}", "Value": amount(one.power_kw, "kw")},
            {"Circuit": f"current{each}", "Value": amount(one.total_a, "a")},
            {"Circuit": "current of one circuit", "Value": amount(one.each_a, "a")},
            {"Circuit": "least breaker", "Value": amount(one.least_breaker_a, "a", 0)},
            {"Circuit": "usual breaker", "Value": amount(one.usual_breaker_a, "a", 0)},
            {
                "Circuit": "smallest wire for the usual breaker",
                "Value": f"{one.conductor.size_awg} AWG {one.conductor.material}",
            },
        ]
    free = comparison.case.electrical.n_free_spaces
    rows += [
        {"Circuit": "breaker spaces needed", "Value": str(check.spaces_needed * units)},
        {"Circuit": "breaker spaces free", "Value": "not counted" if free is None else str(free)},
    ]
    contractor.table(rows, "The circuit and the breaker spaces")
    if check.circuit is not None and check.circuit.notes:
        st.caption(sentences(check.circuit.notes))
    st.markdown(f"**Breaker spaces.** {verdict_word(detail.panel.verdict)}: {say(detail.panel.finding)}")


def _answers(comparison: Comparison) -> None:
    gas = comparison.case.gas
    st.markdown("**What is there**")
    number, yes_no = contractor.number, contractor.yes_no

    def usually(key: str, label: str, *, spared: float | None = None) -> None:
        """A field that shows the usual value where nothing is given; none where gas does the work."""
        number(key, label, assumed=0 if spared else usual(key))

    with contractor.fields():
        usually("electrical.service_a", "Main breaker")
        number("electrical.n_free_spaces", "Free breaker spaces")
        yes_no("electrical.has_240_v_circuit", "240 V circuit at the heater")
        usually("electrical.circuit_a", "Breaker of that circuit")
        yes_no("electrical.has_receptacle", "120 V outlet within reach")
        yes_no("electrical.is_damaged_panel", "Panel old, recalled or damaged")
        usually("house.floor_area_ft2", "Floor area")
        usually("electrical.range_kw", "Electric range", spared=gas.range_btuh)
        usually("electrical.dryer_kw", "Electric dryer", spared=gas.dryer_btuh)
        usually("electrical.cooling_kw", "Air conditioning")
        number("electrical.electric_heat_kw", "Electric heating", assumed=0)
        number(
            "electrical.measured_peak_a",
            "Highest demand in a year",
            help="Measured at the service; it opens a third way of counting.",
        )
