"""What every row saves: deemed, by the household model beside it, at peak, over its life, and in carbon dioxide."""

from __future__ import annotations

from typing import Any

import numpy as np

from advisor.core.kinds import Fuel
from advisor.core.units import BTU_PER_THERM
from advisor.place.emissions import burned_co2_lb
from advisor.screening import household
from advisor.screening.applicants import PATTERNS, Applicants
from advisor.screening.baselines import EARLY, Baseline, baseline_of
from advisor.screening.of_program import Measure
from advisor.screening.places import Places
from advisor.screening.savings import MANUAL_BTU_PER_KWH, Deemed, deemed_input_btu_per_yr, window_kw


def saved_columns(
    applicants: Applicants, deemed: Deemed, measures: tuple[Measure, ...], chosen: np.ndarray, places: Places
) -> dict[str, Any]:
    """Savings of the rows that fit a line, by the name of the column; NaN elsewhere.

    Parameters
    ----------
    chosen : ndarray of int
        Number of the line that fits; -1 for none.
    """
    baseline = baseline_of(applicants, deemed)
    counts = (chosen >= 0) & (baseline.case != "") & applicants.given("uef")
    is_early = counts & (baseline.case == EARLY)
    claimed = deemed.in_service_frac * deemed.net_to_gross_frac
    life = np.array([one.life_yr or deemed.life_yr for one in measures] + [np.nan])[chosen]
    years_as_found = np.where(is_early, life * deemed.remaining_frac, 0.0)

    heat = deemed.heat_btu_per_yr()
    new = deemed_input_btu_per_yr(heat, applicants.number("uef"))
    then = deemed_input_btu_per_yr(heat, baseline.minimum_uef)
    first = np.where(is_early, deemed_input_btu_per_yr(heat, baseline.found_uef), then)
    burned_before, burned_after = _is_burned(applicants, "existing_fuel"), _is_burned(applicants, "new_fuel")

    therm = claimed * (first * burned_before - new * burned_after) / BTU_PER_THERM
    kwh = claimed * (first * ~burned_before - new * ~burned_after) / MANUAL_BTU_PER_KWH
    saved_btu = claimed * (first - new)
    over_life = claimed * ((first - new) * years_as_found + (then - new) * (life - years_as_found))
    beside, heat_here = _beside(applicants, baseline, first, places)
    carbon = _carbon(applicants, claimed * first, claimed * new, places)
    columns = {
        "baseline_uef": (np.where(is_early, baseline.found_uef, baseline.minimum_uef), 4),
        "saved_therm_per_yr": (therm, deemed.digits),
        "saved_kwh_per_yr": (kwh, deemed.digits),
        "saved_mmbtu_per_yr": (saved_btu / 1e6, deemed.digits),
        "saved_summer_kw": (_at_peak(deemed, kwh, deemed.summer_h), 3),
        "saved_winter_kw": (_at_peak(deemed, kwh, deemed.winter_h), 3),
        "life_yr": (life, 1),
        "saved_mmbtu_over_life": (over_life / 1e6, deemed.digits),
        "saved_co2_lb_per_yr": (carbon, 0),
        "household_saved_mmbtu_per_yr": (beside / 1e6, deemed.digits),
        "household_people_frac": (heat_here.people / deemed.people, 2),
        "household_rise_frac": (heat_here.rise_df / (deemed.out_f - deemed.cold_f), 2),
        "household_heat_frac": (heat_here.heat_btu_per_yr / heat, 2),
    }
    found: dict[str, Any] = {"baseline": np.where(counts, baseline.case, "")}
    for name, (values, digits) in columns.items():
        # Adding nothing turns a minus zero into a zero.
        found[name] = np.where(counts, np.round(values, digits) + 0.0, np.nan)
    return found


def _is_burned(applicants: Applicants, field: str) -> np.ndarray:
    return applicants.among(field, tuple(fuel.id for fuel in Fuel.all() if fuel.is_burned))


def _at_peak(deemed: Deemed, kwh: np.ndarray, hours: tuple[int, int]) -> np.ndarray:
    share, n_hours = deemed.window(hours)
    return np.asarray(window_kw(kwh, share, float(n_hours), deemed.year_day))


def _carbon(applicants: Applicants, before_btu: np.ndarray, after_btu: np.ndarray, places: Places) -> np.ndarray:
    """Carbon dioxide of the energy of both heaters, the first less the second. [lb/yr]"""
    return _lb(applicants, "existing_fuel", before_btu, places) - _lb(applicants, "new_fuel", after_btu, places)


def _lb(applicants: Applicants, field: str, btu: np.ndarray, places: Places) -> np.ndarray:
    found = np.full(applicants.n_rows, np.nan)
    for fuel, lb_per_mmbtu in _burning().items():
        found = np.where(applicants.among(field, (fuel,)), burned_co2_lb(btu, lb_per_mmbtu), found)
    by_wire = btu / MANUAL_BTU_PER_KWH * places.grid_lb_per_kwh[places.at]
    return np.where(applicants.among(field, ("electricity",)), by_wire, found)


def _burning() -> dict[str, float]:
    from advisor.core.tables import load

    return {row["fuel"]: row["co2_lb_per_mmbtu"] for row in load("fuel_emissions").rows()}


def _beside(
    applicants: Applicants, baseline: Baseline, first_btu: np.ndarray, places: Places
) -> tuple[np.ndarray, household.Household]:
    """Savings by the household model against the same baseline, and the household. [Btu/yr]"""
    here = household.household_of(applicants, places)
    pattern = applicants.word("draw_pattern").codes
    before_uef = np.where(np.isnan(baseline.found_uef), baseline.minimum_uef, baseline.found_uef)
    usual = np.full(applicants.n_rows, np.nan)
    medium = np.full(applicants.n_rows, PATTERNS.index("medium"))
    before_pattern = np.where(pattern >= 0, pattern, medium)
    was, becomes = _kinds(applicants, "existing_technology"), _kinds(applicants, "new_technology")
    before = household.input_btu_per_yr(here.heat_btu_per_yr, was, before_uef, before_pattern, usual)
    after = household.input_btu_per_yr(
        here.heat_btu_per_yr, becomes, applicants.number("uef"), pattern, applicants.number("input_btuh")
    )
    return before - after, here


def _kinds(applicants: Applicants, field: str) -> np.ndarray:
    codes, words = applicants.word(field)
    return np.append(words, "").astype(str)[codes]
