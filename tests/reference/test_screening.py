"""Two invented rule sets with twenty applicants whose decisions were worked by hand, and deemed savings worked by hand.

Decisions, rule ids and dollars are exact. The formula of the deemed savings is the one that state technical reference
manuals share; its constants are from memory, the arithmetic was worked here to the digits below.
"""

import numpy as np
import pytest

from advisor.screening.savings import deemed_heat_btu_per_yr, deemed_input_btu_per_yr
from tests.applicants import decided, one, rows, rules

#: Decision, dollars, rules that deny, rules that hold, rules that reduce.
WORKED = {
    "A1": ("approve", 600, "", "", ""),
    "A2": ("approve", 350, "", "", ""),
    "A3": ("deny", 0, "A-04", "", ""),
    "A4": ("approve reduced", 680, "", "", "A-13"),
    "A5": ("deny", 0, "A-06", "", ""),
    "A6": ("approve", 300, "", "", ""),
    "A7": ("deny", 0, "A-05", "", ""),
    "A8": ("deny", 0, "A-06", "", ""),
    "A9": ("hold", 0, "", "A-09", ""),
    "A10": ("deny", 0, "A-08 A-11", "", ""),
    "B1": ("approve", 600, "", "", ""),
    "B2": ("approve", 1900, "", "", ""),
    "B3": ("deny", 0, "B-04", "", ""),
    "B4": ("approve", 750, "", "", ""),
    "B5": ("approve", 1250, "", "", ""),
    "B6": ("hold", 0, "", "B-08", ""),
    "B7": ("deny", 0, "B-05", "", ""),
    "B8": ("approve reduced", 125, "", "", "B-13"),
    "B9": ("deny", 0, "B-05", "", ""),
    "B10": ("hold", 0, "", "B-09 B-10", ""),
}
PROGRAM = {"A": "quillmarsh", "B": "brindlewood"}


@pytest.mark.parametrize("application", WORKED)
def test_a_worked_applicant_gets_the_decision_rules_and_dollars_worked_by_hand(application):
    found = one(PROGRAM[application[0]], application)
    seen = tuple(found[name] for name in ("decision", "amount_usd", "deny_rules", "hold_rules", "reduce_rules"))
    assert seen == WORKED[application]


@pytest.mark.parametrize(("name", "paid_usd"), [("quillmarsh", 1930), ("brindlewood", 4625)])
def test_the_totals_are_those_worked_by_hand(name, paid_usd):
    found = decided(rules(name), *rows(name).values())
    assert sum(row["amount_usd"] for row in found) == paid_usd


def test_what_is_held_says_what_would_be_paid():
    assert one("quillmarsh", "A9")["amount_once_mended_usd"] == 600


@pytest.mark.parametrize(
    ("application", "says"),
    [
        ("A3", "day received is 91 days after day of installation, 90 are the limit (A-04)"),
        ("A5", "uniform energy factor 0.83 is below 0.86, the floor for a high draw pattern (A-06)"),
        ("A8", "rated input 200000 Btu/h is not below 200,000 Btu/h (A-06)"),
        ("B3", "first-hour rating 44 gal is below 45 gal (B-04)"),
        ("B6", "room volume 400 ft³ is below 700 ft³, ducted air: no, louvered door: no (B-08)"),
        ("B10", "electrician's license is not given (B-09); final inspection open is not passed (B-10)"),
    ],
)
def test_a_reason_names_the_number_that_failed_its_limit_and_the_rule(application, says):
    assert one(PROGRAM[application[0]], application)["reasons"] == says


def test_the_working_of_an_amount_is_told_step_by_step():
    steps = one("quillmarsh", "A4")["amount_steps"]
    assert steps.startswith("line of the program 600; income-qualified rate R2 x 1.5 = 900; at most 680")


HEAT = deemed_heat_btu_per_yr(17.6, 2.56, 365.25, 8.33, 125.0, 54.0)


def test_the_deemed_heat_is_that_of_the_manuals_with_8_33():
    """17.6 gal x 2.56 people x 365.25 days x 8.33 Btu/(gal °F) x 71 °F, worked by hand; 8.24 would give 1.1 % less."""
    assert round(float(HEAT)) == 9_732_988
    assert round(float(HEAT) / 3412, 2) == 2852.58
    assert deemed_heat_btu_per_yr(17.6, 2.56, 365.25, 8.24, 125.0, 54.0) / HEAT == pytest.approx(8.24 / 8.33)


@pytest.mark.parametrize(
    ("base_uef", "new_uef", "unit_btu", "saved"),
    [
        (0.5803, 0.82, 100_000, 49.03),
        (0.5803, 0.95, 100_000, 65.27),
        (0.5803, 0.81, 100_000, 47.56),
        (0.9207, 3.30, 3412, 2233.85),
        (0.9207, 3.75, 3412, 2337.58),
        (0.50, 0.95, 100_000, 92.21),
    ],
)
def test_a_deemed_saving_is_the_one_worked_by_hand_to_the_printed_digit(base_uef, new_uef, unit_btu, saved):
    btu = deemed_input_btu_per_yr(HEAT, base_uef) - deemed_input_btu_per_yr(HEAT, new_uef)
    assert round(float(btu) / unit_btu, 2) == saved


def test_a_run_saves_those_therms_against_the_federal_minimum_of_a_40_gallon_tank():
    """0.6483 - 0.0017 x 40 gal = 0.5803, 10 CFR 430.32(d) for gas storage in the medium pattern."""
    found = one("quillmarsh", "A1")
    assert (found["baseline"], found["baseline_uef"]) == ("replace on failure", 0.5803)
    assert (found["saved_therm_per_yr"], found["saved_kwh_per_yr"]) == (65.27, 0)
    assert found["saved_mmbtu_over_life"] == pytest.approx(1305.42 / 10, abs=0.01)


def test_a_heat_pump_in_place_of_gas_saves_therms_and_adds_kilowatt_hours():
    """167.72 therm saved, 864.42 kWh added, 13.82 MMBtu at the site, worked by hand."""
    found = one("brindlewood", "B2", ("baseline_volume_gal = 50", "baseline_volume_gal = 40"))
    assert found["baseline"] == "fuel switch"
    assert (found["saved_therm_per_yr"], found["saved_kwh_per_yr"]) == (167.72, -864.42)
    assert found["saved_mmbtu_per_yr"] == 13.82


def test_a_working_heater_of_known_rating_is_the_baseline_for_what_it_had_left():
    """0.50 for a fifth of 20 years, then 0.5803: 4 x 92.21 + 16 x 65.27 = 1,413.16 therm, worked by hand."""
    early = ("[savings]", "[savings]\nremaining_frac = 0.2")
    found = one("quillmarsh", "A1", early, existing_status="working", existing_uef="0.50")
    assert (found["baseline"], found["baseline_uef"], found["saved_therm_per_yr"]) == ("early replacement", 0.5, 92.21)
    assert found["saved_mmbtu_over_life"] == pytest.approx(141.316, abs=0.006)


def test_a_failed_heater_is_never_an_early_replacement_and_an_old_rating_never_a_baseline():
    assert one("quillmarsh", "A1", existing_status="failed", existing_uef="0.50")["baseline"] == "replace on failure"
    assert one("quillmarsh", "A1", existing_status="working", existing_ef="0.50")["baseline"] == "replace on failure"


def test_the_household_model_stands_beside_and_its_difference_is_told():
    found = one("quillmarsh", "A1")
    assert found["household_saved_mmbtu_per_yr"] != found["saved_mmbtu_per_yr"]
    assert found["household_people_frac"] == round(3 / 2.56, 2)
    assert np.isfinite([found["household_rise_frac"], found["household_heat_frac"]]).all()
