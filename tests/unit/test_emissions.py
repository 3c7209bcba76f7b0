"""Carbon dioxide of fuels and of the grid, and heat contents."""

import numpy as np
import pytest

from advisor.case.file import case_from
from advisor.comparison import compare
from advisor.core import tables
from advisor.core.errors import InputError
from advisor.core.kinds import Fuel, electricity
from advisor.core.units import UNITS
from advisor.place.emissions import (
    at_meter_lb_per_kwh,
    burned_co2_lb,
    fuel_co2,
    grid_co2_lb_per_kwh,
    heat_content_btu,
)
from advisor.report.text import comparison_text
from tests.houses import said

ALL_STATES = sorted(set(tables.load("county_zones")["us_state"]))


def test_every_fuel_is_counted_in_the_unit_it_is_sold_by():
    units = {fuel.id: fuel_co2(fuel).unit for fuel in Fuel.all() if fuel.is_burned}
    assert units == {"natural_gas": "lb_per_therm", "propane": "lb_per_gal", "heating_oil": "lb_per_gal"}
    assert set(units.values()) <= set(UNITS)


@pytest.mark.parametrize(
    "ask", [lambda: fuel_co2(electricity()), lambda: heat_content_btu(Fuel.named("propane"), "therm")]
)
def test_an_unknown_fuel_or_unit_is_refused(ask):
    with pytest.raises(InputError) as caught:
        ask()
    assert caught.value.field == "fuel"
    assert "natural_gas" in str(caught.value)


def _rate(subregion):
    row = tables.load("grid_emissions").find(subregion)
    return at_meter_lb_per_kwh(row["generated_lb_per_mwh"], row["grid_loss_frac"])


def test_a_zip_with_one_subregion_has_no_range():
    rate = grid_co2_lb_per_kwh("80202", "CO")
    assert rate.subregions == ("RMPA",)
    assert rate.low_lb_per_kwh == rate.co2_lb_per_kwh == rate.high_lb_per_kwh


def test_a_zip_with_three_subregions_shows_their_range():
    """38621 is listed with SRMV, SRSO and SRTV (EPA table of ZIP codes and eGRID subregions)."""
    rate = grid_co2_lb_per_kwh("38621", "MS")
    single = [_rate(code) for code in ("SRMV", "SRSO", "SRTV")]
    assert rate.subregions == ("SRMV", "SRSO", "SRTV")
    assert rate.low_lb_per_kwh == min(single)
    assert rate.high_lb_per_kwh == max(single)
    assert rate.co2_lb_per_kwh == pytest.approx((min(single) + max(single)) / 2)
    assert "38621" in said(rate.origin)


def test_a_zip_that_is_not_listed_falls_back_to_its_state_and_says_so():
    rate = grid_co2_lb_per_kwh("99999", "WI")
    assert rate.subregions == ("RFCW", "MROE", "MROW")
    assert "43% of the people of WI" in said(rate.origin)
    assert rate.co2_lb_per_kwh == _rate("RFCW")
    assert rate.low_lb_per_kwh < rate.high_lb_per_kwh


def test_a_zip_before_the_first_row_is_not_listed_either():
    assert "people of NY" in said(grid_co2_lb_per_kwh("00000", "NY").origin)


@pytest.mark.parametrize("state", ALL_STATES)
def test_every_state_has_a_grid(state):
    rate = grid_co2_lb_per_kwh(None, state)
    assert 0.1 < rate.low_lb_per_kwh <= rate.co2_lb_per_kwh <= rate.high_lb_per_kwh < 2.0


def test_a_territory_of_which_no_figure_is_held_says_so_and_takes_the_middle_of_all():
    rate = grid_co2_lb_per_kwh("00901", "PR")
    assert rate.co2_lb_per_kwh == pytest.approx((rate.low_lb_per_kwh + rate.high_lb_per_kwh) / 2)
    assert set(rate.subregions) == set(tables.load("grid_emissions")["subregion"])
    assert "No figure is held for Puerto Rico" in said(rate.origin)


def test_an_unknown_state_is_refused():
    with pytest.raises(InputError) as caught:
        grid_co2_lb_per_kwh(None, "XX")
    assert caught.value.field == "place.state"


def test_every_named_subregion_has_a_rate():
    rates = set(tables.load("grid_emissions")["subregion"])
    ranges = tables.load("grid_subregions")
    named = {code for column in ("subregion_1", "subregion_2", "subregion_3") for code in ranges[column] if code}
    assert named == rates
    assert set(tables.load("state_subregions")["subregion"]) <= rates


def test_zip_ranges_are_in_order_and_do_not_overlap():
    table = tables.load("grid_subregions")
    starts, ends = list(table["zip_from"]), list(table["zip_to"])
    assert all(len(code) == 5 and code.isdigit() for code in starts + ends)
    assert all(start <= end for start, end in zip(starts, ends, strict=True))
    assert all(end < start for end, start in zip(ends[:-1], starts[1:], strict=True))


def test_shares_of_people_make_a_whole():
    table = tables.load("state_subregions")
    for state in ALL_STATES:
        assert table["people_frac"][table["us_state"] == state].sum() == pytest.approx(1.0, abs=0.011)


def test_a_number_and_an_array_give_the_same():
    heat = np.array([1e5, 2e5])
    assert np.array_equal(burned_co2_lb(heat, 116.98), [burned_co2_lb(value, 116.98) for value in heat])
    rates = np.array([500.0, 1500.0])
    assert np.array_equal(at_meter_lb_per_kwh(rates, 0.042), [at_meter_lb_per_kwh(rate, 0.042) for rate in rates])


def test_a_factor_of_ones_own_takes_the_place_of_the_average():
    """The marginal factor of the same file, say: carbon dioxide of electricity follows it, of gas it does not."""
    case = {
        "place": {"zip_code": "55811"},
        "household": {"people": 3},
        "failed": {"fuel": "natural_gas"},
        "house": {"fuels": ["natural_gas"]},
    }
    once = compare(case_from(case))
    twice = case | {"place": {"zip_code": "55811", "grid_co2_lb_per_kwh": 2 * once.site.grid.co2_lb_per_kwh}}
    other = compare(case_from(twice))
    for before, after in zip(once.candidates, other.candidates, strict=True):
        kwh = before.running_cost.use_per_yr["kwh_per_yr"]
        if before.heater.fuel.is_electric and not before.heater.is_heat_pump and before.heater.is_tankless:
            assert after.running_cost.co2_lb_per_yr == pytest.approx(2 * before.running_cost.co2_lb_per_yr)
        if not kwh and before.heater.is_tankless:
            assert after.running_cost.co2_lb_per_yr == before.running_cost.co2_lb_per_yr
    assert "at the factor that you gave" in comparison_text(other)
    assert "at the grid's yearly average" in comparison_text(once)
    assert (other.site.grid.low_lb_per_kwh, other.site.grid.high_lb_per_kwh) == (other.site.grid.co2_lb_per_kwh,) * 2


def test_the_marginal_rate_is_of_the_plants_that_follow_the_load():
    """Those are fired: each subregion's rate lies above its average, as in the agency's own table, and so a heat pump
    emits more than it is told at the average."""
    table = tables.load("grid_emissions")
    assert (table["marginal_lb_per_mwh"] > table["generated_lb_per_mwh"]).all()
    case = {
        "place": {"zip_code": "55811"},
        "household": {"people": 3},
        "failed": {"fuel": "natural_gas"},
        "house": {"fuels": ["natural_gas"]},
    }
    marginal = {**case, "place": {"zip_code": "55811", "grid_counts": "marginal"}}
    once, other = (compare(case_from(one), by_hand=True) for one in (case, marginal))
    row = table.find("MROW")
    assert other.site.grid.subregions == ("MROW",)
    # 1,776.6 lb/MWh generated, less the Eastern grid's loss.
    assert other.site.grid.co2_lb_per_kwh == pytest.approx(1.7766 / (1 - row["grid_loss_frac"]))
    heater = "heat-pump-50"
    assert other.candidate(heater).running_cost.co2_lb_per_yr > once.candidate(heater).running_cost.co2_lb_per_yr
    assert other.candidate(heater).running_cost.usd_per_yr == once.candidate(heater).running_cost.usd_per_yr
    assert "plants that follow the load" in comparison_text(other)
    assert "place.grid_counts" in {one.field for one in once.assumed}
