"""A bill beats a model: the heater that stands for the failed one comes to it, and what cannot be read is said."""

from datetime import date

import numpy as np
import pytest

from advisor.case.file import case_from
from advisor.comparison import compare
from advisor.core.errors import InputError
from tests.houses import said

TODAY = date(2026, 11, 28)


def compared(fuel="natural_gas", bill=None, **changes):
    given = {
        "place": {"city": "Duluth, MN"},
        "household": {"people": 4},
        "failed": {"fuel": fuel, "size_gal": 50},
        "house": {"fuels": [fuel]},
        **changes,
    }
    return compare(case_from(given | ({} if bill is None else {"bill": bill})), today=TODAY, by_hand=True)


def test_the_plain_replacement_comes_to_the_bill_of_a_year():
    found = compared(bill={"used_therm": 250.0, "period": "year", "others_frac": 0.2})
    same = found.candidate(found.like_for_like_id)
    assert same.running_cost.use_per_yr["therm_per_yr"] == pytest.approx(200.0, rel=1e-9)


def test_the_plain_replacement_comes_to_the_bill_of_a_summer_month():
    found = compared(bill={"used_therm": 18.0, "also_burns": ["cooking", "dryer"]})
    same = found.candidate(found.like_for_like_id)
    # 18 less 2.5 and 2.0 of the table, for 30 of the 92 days from June to August.
    assert np.sum(same.in_homes.fuel_btu[5:8]) / 1e5 / 92 * 30 == pytest.approx(13.5, rel=1e-9)


@pytest.mark.parametrize(
    ("fuel", "bill", "key", "used"),
    [
        ("electricity", {"used_kwh": 4000.0, "period": "year", "others_frac": 0.0}, "kwh_per_yr", 4000.0),
        ("propane", {"used_gal": 300.0, "period": "year", "others_frac": 0.0}, "propane_gal_per_yr", 300.0),
        ("heating_oil", {"used_gal": 160.0, "period": "year", "others_frac": 0.0}, "oil_gal_per_yr", 160.0),
    ],
)
def test_every_fuel_counts_in_its_own_unit(fuel, bill, key, used):
    found = compared(fuel, bill)
    same = found.candidate(found.like_for_like_id)
    assert same.running_cost.use_per_yr[key] == pytest.approx(used, rel=1e-9)


def test_the_factor_is_shown_and_the_busy_hour_stays():
    plain = compared()
    found = compared(bill={"used_therm": 18.0})
    before, after = plain.circumstances.demand, found.circumstances.demand
    assert after.annual_gal / before.annual_gal == pytest.approx(after.bill_factor) and after.bill_factor > 1
    assert after.busy_hour_gal == before.busy_hour_gal
    (volume,) = [item for item in found.assumed if item.field == "household.hot_water_gpd"]
    assert f"{after.bill_factor:.2f} times" in said(volume.reason)
    # A bill of the house itself narrows the range of a year.
    least, _, most = found.candidate("gas-tank-50").money.running_usd_per_yr
    was_least, _, was_most = plain.candidate("gas-tank-50").money.running_usd_per_yr
    assert most / least < was_most / was_least


def test_a_bill_that_cannot_be_the_heaters_is_not_gone_by():
    for used in (1.0, 300.0):
        found = compared(bill={"used_therm": used})
        assert found.circumstances.demand.annual_gal == compared().circumstances.demand.annual_gal
        assert found.circumstances.demand.bill_factor is None
        assert any("too far off to go by" in said(one) for one in found.cautions)


@pytest.mark.parametrize(
    ("fuel", "bill", "words"),
    [
        ("natural_gas", {"used_kwh": 300.0}, "bill.used_therm: a bill for natural gas counts by the therm"),
        ("electricity", {"used_kwh": 300.0}, "bill.others_frac: an electricity bill carries the rest"),
        (
            "natural_gas",
            {"used_therm": 900.0, "period": "year"},
            "bill.others_frac: a year's bill may carry the heating",
        ),
        ("natural_gas", {"used_therm": 2.0, "also_burns": ["cooking"]}, "bill.used_therm = 2.0: cooking alone"),
    ],
)
def test_what_cannot_be_read_is_said(fuel, bill, words):
    with pytest.raises(InputError) as caught:
        compared(fuel, bill)
    assert words in str(caught.value)


def test_a_bill_beside_measured_gallons_is_one_too_many():
    with pytest.raises(InputError, match="household.hot_water_gpd says already"):
        compared(bill={"used_therm": 18.0}, household={"people": 4, "hot_water_gpd": 40.0})
