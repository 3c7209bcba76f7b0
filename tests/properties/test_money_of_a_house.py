"""What must hold of a house's money whatever its prices, rates and rebates."""

from datetime import date

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.case.file import case_from
from advisor.comparison import compare
from advisor.core.kinds import Fuel

TODAY = date(2026, 11, 25)
quick = settings(max_examples=15, deadline=None)
places = st.sampled_from(["55811", "33101", "94601", "04401"])
people = st.integers(1, 6)
gas = st.floats(0.4, 5.0)
power = st.floats(0.06, 0.6)
more = st.floats(0.05, 1.5)
courses = st.sampled_from(["outlook", "flat", "rise"])


def money_of(zip_code, count, **sections):
    return compare(
        case_from(
            {
                "place": {"zip_code": zip_code},
                "household": {"people": count},
                "failed": {"fuel": "natural_gas"},
                "house": {"fuels": ["natural_gas"], "heater_space": "garage"},
                **sections,
            }
        ),
        today=TODAY,
    ).money


@quick
@given(places, people, gas, power, more, courses)
def test_dearer_gas_never_lowers_a_gas_heaters_cost(zip_code, count, usd_per_therm, usd_per_kwh, rise, course):
    """And leaves the rest alone: in a garage no heater changes what the rooms use."""
    one, other = (
        money_of(
            zip_code,
            count,
            economics={"price_course": course},
            prices={"natural_gas_usd_per_therm": price, "electricity_usd_per_kwh": usd_per_kwh},
        )
        for price in (usd_per_therm, usd_per_therm * (1 + rise))
    )
    for costs, dearer, before in zip(one.costs, other.point_usd, one.point_usd, strict=True):
        if costs.fuel.id == "natural_gas":
            assert dearer > before
        else:
            assert dearer == before


@quick
@given(places, people, st.floats(0.0, 0.10), st.floats(0.005, 0.10))
def test_a_higher_discount_rate_makes_running_matter_less(zip_code, count, rate, rise):
    """Today's worth of a dollar a year falls; a heater that lives as long as the study then costs less over it."""
    one, other = (money_of(zip_code, count, economics={"discount_frac": d}) for d in (rate, rate + rise))
    units = [each.market.terms.present_value_yr(each.market.index_frac) for each in (one, other)]
    assert (units[1] < units[0]).all()
    for costs, after, before in zip(one.costs, other.point_usd, one.point_usd, strict=True):
        # No later heater and nothing left: what stays is outlay now and running later.
        if costs.life.mean_yr == 15:
            assert after < before


@quick
@given(places, people, st.floats(1, 3000))
def test_a_rebate_comes_off_in_full(zip_code, count, rebate_usd):
    plain = money_of(zip_code, count)
    helped = money_of(zip_code, count, rebates=[{"candidate": "gas_tankless_condensing", "rebate_usd": rebate_usd}])
    for costs, off in zip(plain.costs, plain.point_usd - helped.point_usd, strict=True):
        is_meant = costs.technology.id == "gas_tankless_condensing"
        assert abs(off - (min(rebate_usd, costs.installed_usd[1]) if is_meant else 0.0)) < 1e-6


@quick
@given(places, people, st.floats(500, 20_000), more)
def test_a_dearer_quote_is_never_cheaper_and_touches_nobody_else(zip_code, count, usd, rise):
    one, other = (
        money_of(zip_code, count, offers=[{"candidate": "gas-tankless-condensing-199", "total_usd": price}])
        for price in (round(usd, 2), round(usd * (1 + rise), 2) + 0.01)
    )
    changed = other.point_usd != one.point_usd
    quoted = "gas-tankless-condensing-199"
    assert [costs.id for costs, is_changed in zip(one.costs, changed, strict=True) if is_changed] == [quoted]
    assert other.of(quoted).point_usd > one.of(quoted).point_usd


@quick
@given(places, people, gas, power)
def test_the_cost_is_a_straight_line_in_every_price(zip_code, count, usd_per_therm, usd_per_kwh):
    """Through the whole product: twice the price adds twice as much, whatever the tariff's unit price."""
    at = [
        money_of(
            zip_code,
            count,
            prices={"natural_gas_usd_per_therm": usd_per_therm * k, "electricity_usd_per_kwh": usd_per_kwh},
        ).point_usd
        for k in (1.0, 2.0, 3.0)
    ]
    np.testing.assert_allclose(at[2] - at[1], at[1] - at[0], rtol=1e-6, atol=0.01)


@settings(max_examples=6, deadline=None)
@given(places, people, gas)
def test_a_band_holds_its_middle_and_chances_are_chances(zip_code, count, usd_per_therm):
    found = money_of(zip_code, count, prices={"natural_gas_usd_per_therm": usd_per_therm})
    for money in filter(lambda money: money.is_eligible, map(found.of, found.arrays.ids)):
        assert money.life_cycle_cost_usd.p10 < money.life_cycle_cost_usd.p50 < money.life_cycle_cost_usd.p90
        assert 0 <= money.chance_saves_frac <= 1
        # The least that nine in ten pay lies below what everything typical gives.
        assert money.life_cycle_cost_usd.p10 < money.life_cycle_cost_usd.point < money.life_cycle_cost_usd.p90
    assert len(found.market.price_usd_per_unit) == len(Fuel.all())
