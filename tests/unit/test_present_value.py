"""Limits of the factors, and one answer for a number and for an array."""

import numpy as np
import pytest

from advisor.core.units import suffix_of
from advisor.physics import present_value as pv

FORMULAS = [value for value in vars(pv).values() if hasattr(value, "__published__")]


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda formula: formula.__name__)
def test_a_number_and_an_array_agree(formula):
    example = formula.__published__.example
    alone = float(np.asarray(formula(**example)))
    assert np.isfinite(alone)
    if formula is pv.indexed_present_value_yr:
        together = [formula(example["discount_frac"], [[row]])[0] for row in (0.98, 0.98)]
    else:
        together = formula(**{name: np.full(3, value) for name, value in example.items()})
    assert together == pytest.approx(np.full(len(together), alone), rel=1e-14)


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda formula: formula.__name__)
def test_names_carry_units(formula):
    assert suffix_of(formula.__name__)
    assert all(suffix_of(name) for name in formula.__published__.example)


def test_no_discount_is_a_plain_sum():
    assert pv.uniform_present_value_yr(0.0, 15) == 15
    assert pv.single_present_value_frac(0.0, 40) == 1
    assert pv.escalated_present_value_yr(0.05, 0.05, 12) == 12


def test_nearly_equal_rates_lose_no_digits():
    # To first order in a small difference g: n + n (n + 1) / 2 x g.
    difference = 1e-9
    value = pv.escalated_present_value_yr(0.03, 0.03 + 1.03 * difference, 15)
    assert value - 15 == pytest.approx(120 * difference, rel=1e-5)


def test_an_index_that_rises_steadily_is_the_closed_form():
    index = 1.02 ** np.arange(1, 21)
    closed = pv.escalated_present_value_yr(0.03, 0.02, 20)
    assert pv.indexed_present_value_yr(0.03, index) == pytest.approx(closed, rel=1e-13)


def test_real_and_nominal_rates_undo_each_other():
    rates = np.linspace(-0.02, 0.2, 9)
    assert pv.real_rate_frac(pv.nominal_rate_frac(rates, 0.025), 0.025) == pytest.approx(rates, abs=1e-15)


def test_where_a_ratio_has_no_meaning():
    assert np.isnan(pv.savings_to_investment_dimensionless([500.0, 0.0, -500.0], 0.0)).all()
    assert np.isnan(pv.savings_to_investment_dimensionless(500.0, -200.0))
    assert pv.savings_to_investment_dimensionless(-500.0, 1000.0) == -0.5
    assert pv.savings_to_investment_dimensionless(5.0, 0.5) == 10
    assert np.isnan(pv.adjusted_return_frac([-0.5, 0.0], 0.03, 15)).all()
    assert pv.adjusted_return_frac(1.0, 0.03, 15) == pytest.approx(0.03)
    # Half comes back in 20 years: 1.03 x 0.5^(1/20) = 1.03 x 0.965936.
    assert pv.adjusted_return_frac(0.5, 0.03, 20) == pytest.approx(-0.005086, abs=1e-6)


def test_simple_payback_limits():
    assert pv.simple_payback_yr(0.0, 100.0) == 0
    assert pv.simple_payback_yr(0.0, 0.0) == np.inf
    assert pv.simple_payback_yr(100.0, 0.5) == 200
    assert pv.simple_payback_yr(-300.0, 100.0) == 0
    assert pv.simple_payback_yr(100.0, 0.0) == np.inf
    assert pv.simple_payback_yr(100.0, -5.0) == np.inf


def test_residual_limits():
    # What is bought only next year is worth no more than its price.
    assert pv.residual_usd(2000.0, 13.0, 0.0) == pv.residual_usd(2000.0, 13.0, -1.0) == 2000
    assert pv.residual_usd(2000.0, 13.0, 13.0) == 0
    assert pv.residual_usd(2000.0, 13.0, 20.0) == 0
