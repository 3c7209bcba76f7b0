"""What the next heater must be by the rule of 10 CFR 430.32(d)(2) for heaters made from 6 May 2029 (89 FR 37778)."""

from datetime import date

import numpy as np
import pytest

from advisor.case.file import case_from
from advisor.comparison import compare
from advisor.core.kinds import Fuel, Technology
from advisor.money.cost_arrays import Market, point, straight_lines
from advisor.money.life_cycle import Terms
from advisor.recommendation.successor import barred_from, later_of
from advisor.report.money_words import later_heaters
from tests.costs import cost_arrays, flows_of
from tests.houses import said
from tests.stand_ins import stand_in

TODAY, RULE = date(2026, 11, 28), date(2029, 5, 6)


def compared(fuel, size_gal, **more):
    house = {
        "place": {"city": "Columbus, OH"},
        "household": {"people": 3},
        "failed": {"fuel": fuel, "size_gal": size_gal},
        "house": {"fuels": [fuel]},
    }
    return compare(case_from(house | more), today=TODAY, by_hand=True)


@pytest.mark.parametrize(
    ("fuel", "size_gal", "next_id"),
    [("natural_gas", 50, "gas-tank-damper-50"), ("electricity", 50, "heat-pump-50")],
)
def test_what_comes_after_a_plain_tank(fuel, size_gal, next_id):
    comparison = compared(fuel, size_gal)
    same = comparison.advice.same_again
    assert barred_from(same, TODAY) == RULE
    later, after = same.costs.later, comparison.candidate(next_id)
    assert (later.id, later.from_day, later.again_usd) == (next_id, RULE, after.costs.again_usd)
    assert later.from_yr == pytest.approx(2.44, abs=0.01) and 0 < later.use_frac < 1
    told = said(later_heaters(comparison))
    assert "2029-05-06" in told and after.heater.title in told and "was not verified" in told


def _fuel(electricity=0.0, natural_gas=0.0):
    used = {"electricity": electricity, "natural_gas": natural_gas}
    return tuple(used.get(fuel.id, 0.0) for fuel in Fuel.all())


@pytest.mark.parametrize(
    ("other", "comes_next"),
    [
        ({}, True),
        ({"heater_id": "gas-tank-damper-50"}, False),  # another fuel
        ({"heater_id": "electric-tankless-24"}, False),  # no tank
        ({"heater_id": "heat-pump-40"}, False),  # smaller
        ({"heater_id": "heat-pump-65"}, True),
        ({"heater_id": "heat-pump-plug-in-50"}, False),  # another circuit
        ({"heater_id": "electric-tank-55"}, False),  # the same law
        ({"n_units": 2}, False),
        ({"fits": False}, False),
    ],
)
def test_what_may_come_after_an_electric_tank(other, comes_next):
    failed = stand_in("electric-tank-50", again_usd=(900, 1_000, 1_100), fuel_per_yr=_fuel(3_000.0))
    given = {"heater_id": "heat-pump-50", "again_usd": (2_000, 2_500, 3_000), "fuel_per_yr": _fuel(1_000.0)}
    later = later_of(failed, [failed, stand_in(**given | other)], TODAY)
    assert (later is not None) == comes_next
    if comes_next:
        # 3 days of November, 31 of December, 2027, 2028 (a leap year), 120 days to April and 5 of May: 890 days.
        assert later.from_day == RULE and later.from_yr == pytest.approx(890 / 365.25, abs=1e-4)
        assert later.again_usd == (2_000, 2_500, 3_000) and later.use_frac == pytest.approx(1 / 3)


def test_what_comes_after_is_the_like_heater_else_the_cheapest_and_no_boilers_tank():
    failed = stand_in("gas-tank-50", again_usd=(1, 2, 3), fuel_per_yr=_fuel(0, 0.5))
    like = stand_in("gas-tank-damper-50", again_usd=(1_800, 2_000, 2_200), fuel_per_yr=_fuel(0, 0.4))
    condensing, cheaper, boiler = (
        # Held to be without a circuit, as the tank that failed is.
        stand_in(name, circuit_v=failed.heater.circuit_v, again_usd=(low, usd, 9_000), fuel_per_yr=_fuel(0, 0.3))
        for name, low, usd in (
            ("gas-tank-condensing-50", 1_000, 1_900),
            ("gas-tank-condensing-75", 1_100, 1_850),
            ("gas-boiler-tank-50", 500, 600),
        )
    )
    found = [later_of(failed, others, TODAY) for others in ([boiler, condensing, like], [boiler, condensing, cheaper])]
    assert [one.id for one in found] == ["gas-tank-damper-50", "gas-tank-condensing-75"]
    assert [one.use_frac for one in found] == pytest.approx([0.8, 0.6])
    assert later_of(failed, [failed, boiler], TODAY) is None
    # Fuel that costs nothing counts as none: then no more is burned than before.
    free = stand_in("gas-tank-50", again_usd=(1, 2, 3), fuel_per_yr=_fuel())
    assert later_of(free, [like], TODAY).use_frac == 1.0


def test_the_day_of_the_rule_is_no_day_to_come():
    tank = stand_in("gas-tank-50")
    assert barred_from(tank, date(2029, 5, 5)) == RULE and barred_from(tank, RULE) is None


def test_small_electric_tanks_heat_pumps_and_damper_tanks_go_on():
    """The rule leaves electric tanks of 20 to 35 gal as they are; a heat pump meets it."""
    comparison = compared("electricity", 30)
    for heater_id in ("electric-tank-30", "heat-pump-50"):
        assert barred_from(comparison.candidate(heater_id), TODAY) is None
    gas = compared("natural_gas", 40)
    assert barred_from(gas.candidate("gas-tank-damper-40"), TODAY) is None


def test_after_the_rule_nothing_is_told():
    comparison = compared("natural_gas", 50, install_date="2029-06-01")
    assert comparison.advice.pick.heater.variant == "damper"
    assert later_heaters(comparison) == []


@pytest.mark.parametrize(
    ("law_yr", "heaters_usd", "energy_usd"),
    [
        # By hand: $1,000 at once; at 10 years another for $1,600, half of it left at 15; $100 a year, then half.
        (5.0, 1000 + 1600 - 800, 10 * 100 + 5 * 50),
        # Bought on the day of the law: as the law asks.
        (10.0, 1000 + 1600 - 800, 10 * 100 + 5 * 50),
        # The law begins after it was bought again: the same, half of it left.
        (12.0, 1000 + 1000 - 500, 15 * 100),
        (np.inf, 1000 + 1000 - 500, 15 * 100),
    ],
)
def test_what_is_bought_again_and_burned_from_then_on_by_hand(law_yr, heaters_usd, energy_usd):
    terms = Terms(15, 0.0)
    arrays = cost_arrays(
        ids=("one",),
        technologies=(Technology.named("gas_storage_atmospheric"),),
        fuel_per_yr=np.array([[100.0, 0.0, 0.0, 0.0]]),
        heater_usd=np.full((1, 3), 1000.0),
        life_mean_yr=np.array([10.0]),
        law_yr=np.array([law_yr]),
        later_usd=np.full((1, 3), 1600.0),
        later_use_frac=np.array([0.5]),
    )
    market = Market(np.array([1.0, 0.0, 0.0, 0.0]), np.ones((4, 15)), terms, 0.0)
    assert point(arrays, market)[0][0] == pytest.approx(heaters_usd + energy_usd)
    fixed, units = straight_lines(arrays, market)
    assert fixed[0] == pytest.approx(heaters_usd) and units[0, 0] == pytest.approx(energy_usd)
    flows = flows_of(terms, heater_usd=1000, life_yr=10, later_usd=1600, later_from_yr=law_yr)
    assert sum(flow.present_usd(terms) for flow in flows) == pytest.approx(heaters_usd)
