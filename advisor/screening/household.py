"""The household model beside the deemed savings: this place, these people, the two labels.

The two-parameter model of one house, with an axis of applicants in front: heat from the people and the cold water
of the ZIP, a tank's loss and efficiency solved from its label. What no applicant is asked is taken as usual: water
at 120 °F, air of 67.5 °F around the heater as in the federal test, a burner of the usual recovery efficiency and
input.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from advisor.core.units import DAYS_BY_MONTH
from advisor.demand.daily_volume import counted_people, hot_gal_per_day_by_month
from advisor.heaters import rating
from advisor.heaters.annual_energy import drawn_efficiency_frac
from advisor.physics.water import TEST_BTU_PER_GAL_DF
from advisor.screening.applicants import PATTERNS, Applicants
from advisor.screening.places import Places

SET_POINT_F, AIR_F = 120.0, 67.5
_USUAL_RECOVERY_FRAC, _OIL_RECOVERY_FRAC, _USUAL_INPUT_BTUH = 0.78, 0.80, 40_000.0
_LEAST_PEOPLE, _MOST_PEOPLE = 1.0, 12.0


class Household(NamedTuple):
    """Heat and gallons of every row's household.

    Parameters
    ----------
    heat_btu_per_yr : ndarray
        In its hot water; NaN where place or people are not known.
    people : ndarray
        People counted. [-]
    rise_df : ndarray
        Rise over the cold water, the mean of the year's days. [°F]
    """

    heat_btu_per_yr: np.ndarray
    people: np.ndarray
    rise_df: np.ndarray


def household_of(applicants: Applicants, places: Places) -> Household:
    """Heat that every row's household takes in a year.

    Each pair of a place and a number of people is worked out once.
    """
    people = np.clip(applicants.number("people"), _LEAST_PEOPLE, _MOST_PEOPLE)
    people = np.where(applicants.number("people") < _LEAST_PEOPLE, np.nan, people)
    distinct, index = np.unique(people, return_inverse=True)
    pairs, row = np.unique(places.at * len(distinct) + index, return_inverse=True)
    who, at = distinct[pairs % len(distinct)], pairs // len(distinct)
    mains, air = places.mains_f[at], places.air_f[at]
    gallons = hot_gal_per_day_by_month(counted_people(who), mains, SET_POINT_F, annual_air_f=air)
    heat = np.sum(gallons * DAYS_BY_MONTH * TEST_BTU_PER_GAL_DF * (SET_POINT_F - mains), axis=-1)
    rise = SET_POINT_F - np.sum(mains * DAYS_BY_MONTH, axis=-1) / DAYS_BY_MONTH.sum()
    return Household(heat[row], people, rise[row])


def input_btu_per_yr(
    heat_btu_per_yr: np.ndarray, kind: np.ndarray, rating_uef: np.ndarray, pattern: np.ndarray, power_btuh: np.ndarray
) -> np.ndarray:
    """Energy that heaters take for a household's heat, by their kinds and labels.

    Parameters
    ----------
    heat_btu_per_yr : ndarray
        Heat in the hot water. [Btu/yr]
    kind : ndarray of str
        ``gas_storage``, ``electric_tankless`` and so on.
    rating_uef : ndarray
        Uniform energy factors. [-]
    pattern : ndarray of int
        Number of the draw pattern of each rating; -1 where not known.
    power_btuh : ndarray
        Rated input of burners; NaN takes a usual one. [Btu/h]

    Returns
    -------
    ndarray
        NaN where the kind, label or household is not known. [Btu/yr]
    """
    daily_gal = np.array([rating.pattern_daily_gal(name) for name in PATTERNS] + [np.nan])[pattern]
    standing_df_h = 24 * 365.0 * (SET_POINT_F - AIR_F)
    power = np.where(power_btuh > 0, power_btuh, _USUAL_INPUT_BTUH)
    usual = np.where(kind == "oil_storage", _OIL_RECOVERY_FRAC, _USUAL_RECOVERY_FRAC)
    recovery = np.fmax(usual, rating_uef)
    with np.errstate(invalid="ignore", divide="ignore"):
        loss = rating.loss_coefficient_btuh_per_df(rating_uef, recovery, power, daily_gal)
        burner = rating.conversion_efficiency_frac(recovery, loss, power)
        burned = (heat_btu_per_yr + loss * standing_df_h) / burner
        element_loss = np.maximum(rating.resistance_loss_btuh_per_df(rating_uef, daily_gal), 0.0)
        element = heat_btu_per_yr + element_loss * standing_df_h
        # Its tank is taken to lose what a resistance tank at the federal minimum of 0.92 loses.
        tank_loss = rating.resistance_loss_btuh_per_df(0.92, rating.pattern_daily_gal("medium"))
        cop = rating.rated_cop(rating_uef, tank_loss, daily_gal)
        pumped = (heat_btu_per_yr + tank_loss * standing_df_h) / cop
        drawn = heat_btu_per_yr / drawn_efficiency_frac(rating_uef)
    is_tankless = (kind == "gas_tankless") | (kind == "electric_tankless")
    return np.select(
        [
            is_tankless,
            (kind == "gas_storage") | (kind == "oil_storage"),
            kind == "heat_pump_storage",
            kind == "electric_storage",
        ],
        [drawn, burned, pumped, element],
        np.nan,
    )
