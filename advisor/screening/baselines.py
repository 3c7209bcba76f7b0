"""What would be there without the program: the federal minimum of the day, or the heater as found."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from advisor.core.tables import load
from advisor.screening.applicants import NO_DAY, PATTERNS, Applicants
from advisor.screening.savings import Deemed

#: Kind of heater to the federal product class of its minimum.
PRODUCT_CLASSES = {
    "gas_storage": "gas_storage",
    "gas_tankless": "gas_instantaneous",
    "electric_storage": "electric_storage",
    "heat_pump_storage": "electric_storage",
    "electric_tankless": "electric_instantaneous",
    "oil_storage": "oil_storage",
}
STORAGE = ("gas_storage", "electric_storage", "heat_pump_storage", "oil_storage")
ON_FAILURE, EARLY, FUEL_SWITCH = "replace on failure", "early replacement", "fuel switch"


class Baseline(NamedTuple):
    """The baseline of every row.

    Parameters
    ----------
    case : ndarray of str
        Which baseline it is; empty where it cannot be told.
    minimum_uef : ndarray
        Federal minimum on the day on which the new heater was made, of the kind that was replaced. [-]
    found_uef : ndarray
        Rating of a working heater as found; NaN unless it is replaced early. [-]
    """

    case: np.ndarray
    minimum_uef: np.ndarray
    found_uef: np.ndarray


def baseline_of(applicants: Applicants, deemed: Deemed) -> Baseline:
    """The baseline: a failed heater would have been replaced by the least that may be sold.

    A failed heater is never an early replacement. An energy factor by the former test is no uniform energy factor:
    a working heater that has no other rating is taken at the minimum. The minimum is that of the kind and volume
    that was replaced; the draw pattern is the new heater's where it is a tank, else the program's.
    """
    is_tank = applicants.among("new_technology", STORAGE)
    codes = applicants.word("draw_pattern").codes
    pattern = np.where(is_tank & (codes >= 0), codes, PATTERNS.index(deemed.baseline_draw_pattern))
    volume_gal = np.nan_to_num(applicants.number("existing_volume_gal"), nan=deemed.baseline_volume_gal)
    installed, made = applicants.date("install_date"), applicants.date("made_date")
    made = np.where(np.isnat(made), installed, made)
    minimum = minimum_uef(applicants, pattern, volume_gal, made)
    same_fuel = np.zeros(applicants.n_rows, dtype=bool)
    for fuel in ("natural_gas", "propane", "heating_oil", "electricity"):
        same_fuel |= applicants.among("existing_fuel", (fuel,)) & applicants.among("new_fuel", (fuel,))
    works = applicants.among("existing_status", ("working",))
    found = np.where(works, applicants.number("existing_uef"), np.nan)
    case = np.where(same_fuel, np.where(np.isnan(found), ON_FAILURE, EARLY), FUEL_SWITCH)
    known = applicants.given("existing_fuel") & applicants.given("new_fuel") & ~np.isnan(minimum)
    return Baseline(np.where(known, case, ""), minimum, found)


def minimum_uef(applicants: Applicants, pattern: np.ndarray, volume_gal: np.ndarray, made_on: np.ndarray) -> np.ndarray:
    """Federal minimum of the kind that was replaced.

    Parameters
    ----------
    pattern : ndarray of int
        Number of the draw pattern.
    volume_gal : ndarray
        Rated volume; a heater without a tank has none. [gal]
    made_on : ndarray of datetime64
        Day of manufacture.

    Returns
    -------
    ndarray
        NaN where no minimum is held: another kind, volume or day. [-]
    """
    found = np.full(applicants.n_rows, np.nan)
    day = np.where(np.isnat(made_on), NO_DAY, made_on)
    is_tank = applicants.among("existing_technology", STORAGE)
    volume_gal = np.where(is_tank, volume_gal, 0.0)
    for row in load("minimum_ratings").rows():
        kinds = tuple(kind for kind, product in PRODUCT_CLASSES.items() if product == row["heater_class"])
        if row["metric"] != "UEF" or not kinds or row["draw_pattern"] not in PATTERNS:
            continue
        fits = applicants.among("existing_technology", kinds) & (pattern == PATTERNS.index(row["draw_pattern"]))
        if not fits.any():
            continue
        low, high = row["volume_lower_gal"], row["volume_upper_gal"]
        fits &= volume_gal > low if row["volume_lower_excluded"] else volume_gal >= low
        if high is not None:
            fits &= volume_gal < high if row["volume_upper_excluded"] else volume_gal <= high
        fits &= day >= np.datetime64(row["effective_from"], "D")
        if row["effective_to"] is not None:
            fits &= day <= np.datetime64(row["effective_to"], "D")
        # The first row that fits stands, as for one house.
        fits &= np.isnan(found)
        found = np.where(fits, row["a"] - row["b_per_gal"] * volume_gal, found)
    return found
