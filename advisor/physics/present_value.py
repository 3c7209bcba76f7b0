"""Factors that weigh money over time, as NIST Handbook 135 and 10 CFR 436 subpart A define them.

Rates are fractions a year, real with real or nominal with nominal; yearly amounts fall at the year's end.
"""

from __future__ import annotations

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.published import published

_HB135 = "NIST Handbook 135, Life-Cycle Costing Manual"


@published(f"{_HB135}, single present value factor", state="verified", discount_frac=0.03, after_yr=15.0)
def single_present_value_frac(discount_frac: Numbers, after_yr: Numbers) -> Numbers:
    """What a dollar due later is worth today.

    Parameters
    ----------
    discount_frac : float or ndarray
        Discount rate a year. [-]
    after_yr : float or ndarray
        Years until it is due. [yr]

    Returns
    -------
    float or ndarray
        [-]

    Validity
    --------
    Discount rate above -1.
    """
    return (1.0 + np.asarray(discount_frac, dtype=float)) ** -np.asarray(after_yr, dtype=float)


@published(f"{_HB135}, uniform present value factor", state="verified", discount_frac=0.03, study_yr=15.0)
def uniform_present_value_yr(discount_frac: Numbers, study_yr: Numbers) -> Numbers:
    """Today's worth of a dollar at the end of each year.

    Parameters
    ----------
    discount_frac : float or ndarray
        Discount rate a year. [-]
    study_yr : float or ndarray
        Number of years. [yr]

    Returns
    -------
    float or ndarray
        Present dollars for a dollar a year; the number of years where the rate is nought. [yr]
    """
    return escalated_present_value_yr(discount_frac, 0.0, study_yr)


@published(
    f"{_HB135}, uniform present value factor modified for escalation",
    state="verified",
    discount_frac=0.03,
    escalation_frac=0.02,
    study_yr=15.0,
)
def escalated_present_value_yr(discount_frac: Numbers, escalation_frac: Numbers, study_yr: Numbers) -> Numbers:
    """Today's worth of a yearly cost that is a dollar at today's prices and rises at a steady rate.

    Parameters
    ----------
    discount_frac, escalation_frac : float or ndarray
        Both real or both nominal, a year. The first year's cost already carries one year's rise. [-]
    study_yr : float or ndarray
        Number of years. [yr]

    Returns
    -------
    float or ndarray
        The number of years where the two rates are equal. [yr]
    """
    step = np.log1p(np.asarray(escalation_frac, dtype=float)) - np.log1p(np.asarray(discount_frac, dtype=float))
    years = np.asarray(study_yr, dtype=float)
    # A geometric sum written so that rates that nearly cancel lose no digits.
    with np.errstate(divide="ignore", invalid="ignore"):
        worth = np.exp(step) * np.expm1(years * step) / np.expm1(step)
    return np.where(np.abs(step) < 1e-14, years, worth)[()]


@published(
    f"{_HB135} and 10 CFR 436.17, uniform present value factor for a series of price indices",
    state="verified",
    discount_frac=0.03,
    index_frac=0.98,
)
def indexed_present_value_yr(discount_frac: Numbers, index_frac: Numbers) -> Numbers:
    """Today's worth of a yearly cost that is a dollar at today's prices and follows a price index.

    Parameters
    ----------
    discount_frac : float or ndarray, (...)
        Real where the index is real. [-]
    index_frac : float or ndarray, (..., years)
        Price at the end of each year over today's price; a single number is a study of one year. [-]

    Returns
    -------
    float or ndarray
        [yr]
    """
    index = np.atleast_1d(np.asarray(index_frac, dtype=float))
    after = np.arange(1, index.shape[-1] + 1)
    discount = np.asarray(discount_frac, dtype=float)[..., np.newaxis]
    return np.sum(index * single_present_value_frac(discount, after), axis=-1)[()]


@published(
    f"{_HB135}, relation of real and nominal rates",
    state="verified",
    by_hand=True,
    real_frac=0.03,
    inflation_frac=0.012,
)
def nominal_rate_frac(real_frac: Numbers, inflation_frac: Numbers) -> Numbers:
    """A rate that includes inflation, from one that does not.

    Parameters
    ----------
    real_frac, inflation_frac : float or ndarray
        Yearly rate above inflation, and inflation. [-]

    Returns
    -------
    float or ndarray
        [-]
    """
    return (1.0 + real_frac) * (1.0 + inflation_frac) - 1.0


@published(
    f"{_HB135}, relation of real and nominal rates",
    state="verified",
    by_hand=True,
    nominal_frac=0.042,
    inflation_frac=0.012,
)
def real_rate_frac(nominal_frac: Numbers, inflation_frac: Numbers) -> Numbers:
    """A rate above inflation, from one that a bank or a card quotes.

    Parameters
    ----------
    nominal_frac, inflation_frac : float or ndarray
        Yearly rate as quoted, and inflation. [-]

    Returns
    -------
    float or ndarray
        [-]
    """
    return (1.0 + nominal_frac) / (1.0 + inflation_frac) - 1.0


@published(f"{_HB135}, savings-to-investment ratio", state="verified", saving_usd=3600.48, extra_usd=2000.0)
def savings_to_investment_dimensionless(saving_usd: Numbers, extra_usd: Numbers) -> Numbers:
    """Present value of what is saved in running, for each extra dollar invested.

    Parameters
    ----------
    saving_usd : float or ndarray
        Present value of what is saved. [$]
    extra_usd : float or ndarray
        What is invested beyond the plain choice. [$]

    Returns
    -------
    float or ndarray
        NaN where nothing extra is invested: the ratio has no meaning there. [-]
    """
    extra = np.asarray(extra_usd, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(extra > 0, saving_usd / extra, np.nan)[()]


@published(
    f"{_HB135}, adjusted internal rate of return",
    state="verified",
    ratio_dimensionless=1.8,
    reinvest_frac=0.03,
    study_yr=20.0,
)
def adjusted_return_frac(ratio_dimensionless: Numbers, reinvest_frac: Numbers, study_yr: Numbers) -> Numbers:
    """Yearly return on the extra investment, savings being reinvested at a given rate.

    Parameters
    ----------
    ratio_dimensionless : float or ndarray
        Savings-to-investment ratio. [-]
    reinvest_frac : float or ndarray
        Rate at which savings are put by; the discount rate as a rule. [-]
    study_yr : float or ndarray
        Study period. [yr]

    Returns
    -------
    float or ndarray
        NaN where the ratio is not positive. [-]
    """
    ratio = np.asarray(ratio_dimensionless, dtype=float)
    with np.errstate(invalid="ignore"):
        return np.where(ratio > 0, (1 + reinvest_frac) * ratio ** (1 / study_yr) - 1, np.nan)[()]


@published(f"{_HB135}, simple payback", state="verified", extra_usd=1800.0, saving_usd_per_yr=140.0)
def simple_payback_yr(extra_usd: Numbers, saving_usd_per_yr: Numbers) -> Numbers:
    """Extra outlay over the first year's saving.

    Parameters
    ----------
    extra_usd : float or ndarray
        What is paid beyond the plain choice. [$]
    saving_usd_per_yr : float or ndarray
        Saved in the first year. [$/yr]

    Returns
    -------
    float or ndarray
        0 where nothing extra is paid and something is saved; infinite where nothing is saved. [yr]
    """
    extra, saving = np.maximum(extra_usd, 0.0), np.asarray(saving_usd_per_yr, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(saving > 0, extra / saving, np.inf)[()]


@published("Straight-line depreciation", state="assumed", price_usd=2000.0, life_yr=13.0, age_yr=2.0)
def residual_usd(price_usd: Numbers, life_yr: Numbers, age_yr: Numbers) -> Numbers:
    """What a piece is still worth at an age: its price times the share of its life that is left.

    Parameters
    ----------
    price_usd : float or ndarray
        Price when new. [$]
    life_yr, age_yr : float or ndarray
        How long such a piece lasts, and how old it is. [yr]

    Returns
    -------
    float or ndarray
        0 once its life is over. [$]
    """
    return price_usd * np.clip(1.0 - np.asarray(age_yr, dtype=float) / life_yr, 0.0, 1.0)
