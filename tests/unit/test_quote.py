"""Where a quote lies in our range, and a loan's payment beside a library's."""

import numpy_financial
import pytest

from advisor.report.words import say
from advisor.web.quote import by_the_month, monthly_usd, place_of


@pytest.mark.parametrize(
    ("price_usd", "key"),
    [(999, "under"), (1000, "lower"), (1500, "lower"), (1501, "upper"), (2500, "upper"), (2501, "over")],
)
def test_a_price_lies_in_one_part_of_the_range(price_usd, key):
    assert place_of(price_usd, 1000, 1500, 2500) == f"quote.{key}"


@pytest.mark.parametrize(("n_yr", "rate_frac"), [(5, 0.09), (1, 0.0), (30, 0.4), (2.5, 0.0699)])
def test_a_payment_is_the_library_s(n_yr, rate_frac):
    assert monthly_usd(2600, n_yr, rate_frac) == pytest.approx(-numpy_financial.pmt(rate_frac / 12, 12 * n_yr, 2600))


@pytest.mark.parametrize(
    ("years", "rate"), [("0", "9"), ("31", "9"), ("5", "-1"), ("5", "41"), ("", "9"), ("nan", "x")]
)
def test_a_loan_that_cannot_be_is_explained(years, rate):
    assert by_the_month(2600, years, rate, 20).code == "quote.month.bad"


def test_the_sum_is_that_of_its_parts():
    # 2600 over five years at 9 %: numpy-financial's pmt gives 53.97 a month.
    told = say(by_the_month(2600, "5", "9 %", 20))
    assert "about $54 a month" in told and "Together about $74." in told
