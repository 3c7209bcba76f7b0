"""Costs made up for tests: what is not given is nothing, and a later heater costs as the first."""

from dataclasses import replace

import numpy as np

from advisor.case.money import Economics
from advisor.core.kinds import Fuel, Technology
from advisor.money.candidate_costs import CandidateCosts
from advisor.money.cost_arrays import CostArrays, Market
from advisor.money.escalation import index_frac
from advisor.money.life_cycle import Terms, heater_flows
from advisor.money.results import money_over_the_years
from advisor.money.upkeep import Lifetime, Upkeep

TERMS = Terms(15, 0.03)
PRICES = np.array([1.50, 0.18, 3.0, 4.0])
INDEX = index_frac("outlook", "United States", 2026, 15)
MARKET = Market(PRICES, INDEX, TERMS, 0.30, np.array([0.05, 0.05, 0.0, 0.0]))
STILL_MARKET = replace(MARKET, use_sigma=0.0, level_sigma=np.zeros(4))


def flows_of(terms, *, heater_usd, **given):
    """A heater's flows; a later one costs what the first did, whatever the year."""
    usual = {"replacement_usd": heater_usd, "later_from_yr": np.inf, "work_usd": 0.0, "rebate_usd": 0.0} | given
    return heater_flows(terms, heater_usd=heater_usd, **{"later_usd": usual["replacement_usd"]} | usual)


def cost_arrays(*, heater_usd, **given):
    """Arrays of costs."""
    n = len(heater_usd)
    usual = {"work_usd": np.zeros((n, 3)), "again_usd": heater_usd, "upkeep_usd_per_yr": np.zeros((n, 3))}
    usual |= {name: np.zeros(n) for name in ("rebate_usd", "account_usd_per_yr", "standby_frac")}
    again = given.get("again_usd", heater_usd)
    usual |= {"law_yr": np.full(n, np.inf), "later_usd": again, "later_use_frac": np.ones(n)}
    usual |= {"life_mean_yr": np.full(n, 15.0), "life_shape": np.full(n, np.inf)}
    return CostArrays(heater_usd=heater_usd, **(usual | given))


def four_heaters(spread=True):
    """A like-for-like tank, a tankless heater, a heat pump, a resistance tank."""
    low, high = (0.65, 1.6) if spread else (1.0, 1.0)
    typical = np.array([2000.0, 5200.0, 4300.0, 1700.0])
    upkeep = np.array([30.0, 130.0, 35.0, 20.0])
    return cost_arrays(
        ids=("tank", "tankless", "pump", "resistance"),
        technologies=(
            Technology.named("gas_storage_atmospheric"),
            Technology.named("gas_tankless_condensing"),
            Technology.named("heat_pump_storage_240v"),
            Technology.named("electric_storage_resistance"),
        ),
        fuel_per_yr=np.array([[160, 0, 0, 0], [110, 40, 0, 0], [0, 1050, 0, 0], [0, 3200, 0, 0.0]]),
        heater_usd=typical[:, None] * np.array([low, 1.0, high]),
        upkeep_usd_per_yr=upkeep[:, None] * np.array([low, 1.0, high]),
        life_mean_yr=np.array([13.0, 20.0, 14.0, 15.0]),
        life_shape=np.full(4, 2.5 if spread else np.inf),
        work_usd=np.array([[0, 0, 0], [low * 900, 900, high * 900], [0, 0, 0], [0, 0, 0.0]]),
        account_usd_per_yr=np.array([0, 0, -180.0, -180.0]),
        rebate_usd=np.array([0, 0, 500.0, 0]),
    )


def costs_of(heater_id="gas", technology="gas_storage_atmospheric", fuel="natural_gas", **given):
    """A candidate's costs made up by hand: $2,000 and $500 of work, 30 years, $100 of fuel a year at $1."""
    burned = Fuel.named(fuel)
    usual = {
        "id": heater_id,
        "title": heater_id,
        "technology": Technology.named(technology),
        "fuel": burned,
        "fuel_per_yr": tuple(100.0 if one is burned else 0.0 for one in Fuel.all()),
        "heater_usd": (1000.0, 2000.0, 3000.0),
        "again_usd": (1500.0, 2500.0, 3500.0),
        "work_usd": (200.0, 500.0, 900.0),
        "upkeep": Upkeep(10.0, 20.0, 30.0, None, "", "assumed"),
        "life": Lifetime(30.0, 2.5, "", "assumed"),
        "rebate_usd": 0.0,
        "account_usd_per_yr": 0.0,
        "standby_frac": 0.25,
    }
    return CandidateCosts(**usual | given)


def money_of(*costs, eligible=None, economics=None, averages=(), base_year=2026):
    """The money of such candidates over 15 years without discount, every unit of fuel at $1."""
    return money_over_the_years(
        costs,
        eligible=[True] * len(costs) if eligible is None else eligible,
        like_for_like_id=costs[0].id,
        economics=economics or Economics(study_yr=15, discount_frac=0.0, price_course="flat"),
        usd_per_unit=dict.fromkeys(Fuel.all(), 1.0),
        averages=averages,
        us_state="MN",
        base_year=base_year,
        use_known_by="people_known",
    )
