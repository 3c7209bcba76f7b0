"""How fuel prices may move over the study: the federal outlook, no change, and a steady rise.

All are real, that is, with general inflation left out. The household's own rate sets the level; an index only
gives the shape. No outlook has been right for long, so the three are meant to be shown side by side.
"""

from __future__ import annotations

import numpy as np

from advisor.core import tables
from advisor.core.arrays import Floats
from advisor.core.errors import InputError, OutOfRangeError
from advisor.core.kinds import Fuel

#: Courses of prices: the federal outlook, level with inflation, rising faster than that.
SCENARIOS = ("outlook", "flat", "rise")
_RISE_FRAC = 0.02


def outlook_index_frac(fuel: Fuel, division: str, base_year: int, study_yr: int) -> Floats:
    """Price at the end of each year of the study over the price of the base year, as published.

    Parameters
    ----------
    fuel : Fuel
        Whose price.
    division : str
        Census division, for example ``Pacific``, or ``United States``.
    base_year : int
        Year of today's price.
    study_yr : int
        Number of years. [yr]

    Returns
    -------
    ndarray, (study_yr,)
        [-]

    Raises
    ------
    InputError
        A fuel or a division without a row.
    OutOfRangeError
        The study starts or ends outside the published years.

    Sources
    -------
    NIST Annual Supplement to Handbook 135, 2025 edition, from EIA Annual Energy Outlook 2025.
    """
    table = tables.load("energy_price_indices")
    rows = (table["division"] == division) & (table["fuel"] == fuel.id)
    if not rows.any():
        divisions, fuels = dict.fromkeys(table["division"]), dict.fromkeys(table["fuel"])
        fix, known = (
            "write one of {divisions}, and {fuels}",
            {"divisions": ", ".join(divisions), "fuels": ", ".join(fuels)},
        )
        raise InputError("division, fuel", f"{division}, {fuel.id}", "there is no price outlook for it", fix, **known)
    years, index = table["year"][rows], table["index_frac"][rows]
    first, last = int(years.min()), int(years.max())
    if not (first <= base_year and base_year + study_yr <= last):
        raise OutOfRangeError(
            "economics.study_yr",
            study_yr,
            "the price outlook runs from {first} to {last}, and the study from {year}",
            "shorten the study or choose flat prices",
            first=first,
            last=last,
            year=base_year,
        )
    by_year = dict(zip(years.tolist(), index.tolist(), strict=True))
    ahead = np.array([by_year[base_year + after] for after in range(1, study_yr + 1)])
    return ahead / by_year[base_year]


def newer_outlook_index_frac(fuel: Fuel, division: str, base_year: int, study_yr: int) -> Floats:
    """The course of a division's prices, moved by what the newer outlook says of the whole country. [-]

    The newer outlook was seen for the country only. A division keeps its own shape against the country's, which the
    older outlook gives year by year.

    Sources
    -------
    Tables ``energy_price_indices`` (AEO2025) and ``newer_price_outlook`` (AEO2026).
    """
    older = outlook_index_frac(fuel, division, base_year, study_yr)
    country = outlook_index_frac(fuel, "United States", base_year, study_yr)
    return older * _newer_of_the_country(fuel, base_year, study_yr) / country


def _newer_of_the_country(fuel: Fuel, base_year: int, study_yr: int) -> Floats:
    table = tables.load("newer_price_outlook")
    of_fuel = table["fuel"] == fuel.id
    by_year = dict(zip(table["year"][of_fuel].tolist(), table["index_frac"][of_fuel].tolist(), strict=True))
    ahead = np.array([by_year[base_year + after] for after in range(1, study_yr + 1)])
    return ahead / by_year[base_year]


def division_of(us_state: str) -> str:
    """Census division of a state; a territory takes the whole country's outlook."""
    table = tables.load("census_divisions")
    found = np.flatnonzero(table["us_state"] == us_state.strip().upper())
    return str(table["division"][int(found[0])]) if len(found) else "United States"


def outlook_ends(base_year: int) -> int | None:
    """Last year of the published outlook; None where it says nothing of the years after the one given."""
    years = tables.load("energy_price_indices")["year"]
    return int(years.max()) if years.min() <= base_year < years.max() else None


def steady_index_frac(escalation_frac: float, study_yr: int) -> Floats:
    """An index that rises at one rate; the first year already carries one year's rise. [-]"""
    return np.power(1.0 + escalation_frac, np.arange(1, study_yr + 1))


def index_frac(scenario: str, division: str, base_year: int, study_yr: int) -> Floats:
    """Indices of all fuels under a scenario; beyond the outlook's last year prices stay at that year's.

    Parameters
    ----------
    scenario : str
        Key of ``SCENARIOS``.
    division, base_year, study_yr
        As for ``newer_outlook_index_frac``; only the outlook needs the first two.

    Returns
    -------
    ndarray, (4, study_yr)
        In the order of the fuels. [-]
    """
    if scenario == "outlook":
        published_yr = min(study_yr, (outlook_ends(base_year) or base_year) - base_year) or study_yr
        ahead = np.array([newer_outlook_index_frac(fuel, division, base_year, published_yr) for fuel in Fuel.all()])
        return np.pad(ahead, ((0, 0), (0, study_yr - published_yr)), mode="edge")
    if scenario not in SCENARIOS:
        reason, known = "this course of prices is not known", ", ".join(SCENARIOS)
        raise InputError("economics.price_course", scenario, reason, "write one of {known}", known=known)
    rate = _RISE_FRAC if scenario == "rise" else 0.0
    return np.tile(steady_index_frac(rate, study_yr), (len(Fuel.all()), 1))
