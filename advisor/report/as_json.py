"""A comparison as plain dicts and lists, ready for JSON. The shape is a promise to scripts: add, never rename."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.findings import Finding
from advisor.core.kinds import Fuel
from advisor.core.tables import UNSURE, sources_used
from advisor.core.units import BTU_PER_THERM, UNITS
from advisor.core.working import Working
from advisor.heaters.catalogue import Heater
from advisor.heaters.hand_sizing import HouseholdRun
from advisor.heaters.in_homes import field_gap_dimensionless
from advisor.house.cautions import always
from advisor.house.items import TradeCheck, WorkItem
from advisor.money.results import Band, MoneyResults
from advisor.money.sensitivity import break_even_of, drivers
from advisor.recommendation.repair import Repair
from advisor.recommendation.rule import Advice
from advisor.report import winners
from advisor.report.conclusion_text import advice_sentences, conclusion_text
from advisor.report.money_words import driver_name
from advisor.report.offers_text import offers_list
from advisor.report.price_words import price_words
from advisor.report.prices_text import average_note
from advisor.report.repair_words import repair_findings
from advisor.report.words import clause, say, sentences


def comparison_dict(comparison: Comparison) -> dict[str, Any]:
    """The whole comparison. Money is rounded to the cent, other amounts to a digit below what anyone can use."""
    return {
        "case": comparison.case.model_dump(mode="json", exclude_unset=True, exclude_none=True, exclude={"contractor"}),
        "assumed": [
            {"field": item.field, "value": _plain(item.value), "reason": say(item.reason)}
            for item in comparison.assumed
        ],
        "place": _place(comparison),
        "demand": _demand(comparison),
        "install_date": comparison.install_date.isoformat(),
        "like_for_like": comparison.like_for_like_id,
        "recommended": comparison.recommended_id,
        "conclusion": conclusion_text(comparison.advice),
        "advice": _advice(comparison),
        "economics": _economics(comparison.money),
        "candidates": [
            {
                **_candidate(candidate),
                "money": _money(candidate, comparison.advice),
                "workings": [_working(one) for one in candidate.workings],
            }
            for candidate in comparison.candidates
        ],
        "offers": offers_list(comparison),
        "cautions": [say(one) for one in (*comparison.cautions, *always())],
        "sources": sources_used(),
    }


def _advice(comparison: Comparison) -> dict[str, Any]:
    """The four places, the chances of the kinds (what one would put in of each, one heater each), and the repair."""
    advice = comparison.advice
    places = {name: getattr(advice, name) for name in ("pick", "same_again", "cheapest_to_own", "soonest")}
    return {
        **{name: None if one is None else one.heater.id for name, one in places.items()},
        "sentences": advice_sentences(advice),
        "kinds": [
            {"candidate": heater_id, "chance_cheapest_frac": round(chance, 4)}
            for heater_id, chance in advice.chances_frac.items()
        ],
        "repair": None if comparison.repair is None else _repair(comparison.repair),
    }


def _repair(repair: Repair) -> dict[str, Any]:
    """Null where nothing is worth the wait, or nothing may be put in."""
    low, typical, high = repair.usd
    holds, lasts = repair.holds, repair.lasts
    return {
        "id": repair.id,
        "low_usd": round(low, 2),
        "typical_usd": round(typical, 2),
        "high_usd": round(high, 2),
        "state": repair.state,
        "age_yr": repair.age_yr,
        "age_is_assumed": repair.age_is_assumed,
        "mean_left_yr": round(repair.left.result, 1),
        "must_hold_yr": None if holds is None or lasts is None else round(holds.result, 2),
        "chance_it_holds_frac": None if lasts is None else round(lasts.result, 4),
        "is_likely_to_pay": repair.is_likely_to_pay,
        "sentences": [say(one) for one in repair_findings(repair)],
    }


def _plain(value: Any) -> Any:
    if isinstance(value, np.generic):
        value = value.item()
    return round(value, 6) if isinstance(value, float) else value


def _twelve(values: Any, digits: int) -> list[float]:
    return [round(float(value), digits) for value in values]


def _place(comparison: Comparison) -> dict[str, Any]:
    site, where = comparison.site, comparison.site.location
    return {
        "city": where.city,
        "state": where.state,
        "zip_code": where.zip_code,
        "county": where.county,
        "county_fips": where.county_fips,
        "latitude_deg": where.latitude_deg,
        "longitude_deg": where.longitude_deg,
        "climate_zone": where.climate_zone,
        "elevation_ft": round(where.elevation_ft),
        "elevation_origin": say(where.elevation_source),
        "matched_by": say(where.matched_by),
        "weather_origin": say(where.weather_source),
        "stations": [
            {
                "id": station.id,
                "name": station.name,
                "distance_mi": round(station.distance_mi, 1),
                "elevation_ft": round(station.elevation_ft),
                "weight": round(station.weight_frac, 4),
            }
            for station in where.stations
        ],
        "mains_f": _twelve(site.mains.mains_f, 1),
        "mains_origin": say(site.mains.origin),
        "outdoor_air_f": _twelve(where.outdoor_f, 1),
        "heater_space": site.heater_space,
        "heater_air_f": _twelve(site.air_f, 1),
        "altitude_frac": round(site.altitude_frac, 4),
        "prices": {fuel.id: round(price, 4) for fuel, price in comparison.prices.usd_per_unit.items()},
        "price_averages": [fuel.id for fuel in comparison.prices.averages],
        "price_note": average_note(comparison),
        "grid_co2_lb_per_kwh": {
            "value": round(site.grid.co2_lb_per_kwh, 4),
            "low": round(site.grid.low_lb_per_kwh, 4),
            "high": round(site.grid.high_lb_per_kwh, 4),
            "origin": say(site.grid.origin),
        },
    }


def _demand(comparison: Comparison) -> dict[str, Any]:
    demand = comparison.circumstances.demand
    return {
        "daily_gal_by_month": _twelve(demand.daily_gal, 1),
        "annual_gal": round(demand.annual_gal),
        "known_by": demand.known_by,
        "bill_factor": _rounded(demand.bill_factor, 3),
        "busy_hour_gal": round(demand.busy_hour_gal, 1),
        "busy_hour_uses": [
            {
                "name": use.name,
                "mixed_gpm": _plain(use.mixed_gpm),
                "duration_min": _plain(use.duration_min),
                "use_f": _plain(use.use_f),
                "count": _plain(use.count),
                "together": _plain(use.together),
            }
            for use in demand.busy_hour_uses
        ],
        "simultaneous_gpm": round(demand.simultaneous_gpm, 2),
        "smallest_winter_gpm": round(demand.smallest_winter_gpm, 2),
        "smallest_summer_gpm": round(demand.smallest_summer_gpm, 2),
        "worksheet": {
            "gal": _plain(demand.worksheet.gal),
            "generation": demand.worksheet.generation,
            "years": demand.worksheet.years,
            "state": demand.worksheet.state,
        },
        "second_opinion_gpd": round(demand.second_opinion_gpd, 1),
    }


def _candidate(candidate: Candidate) -> dict[str, Any]:
    heater, cost, capacity = candidate.heater, candidate.running_cost, candidate.capacity
    low, typical, high = candidate.installed_usd
    labelled = candidate.cost_as_labelled()
    return {
        "id": heater.id,
        "title": heater.title,
        "class": heater.technology.id,
        "fuel": heater.fuel.id,
        "label": _label(heater),
        "flags": [say(flag) for flag in _doubts(candidate)],
        "may_be_sold": candidate.sale.may_be_sold,
        "sale_findings": [
            _finding(one) | {"in_words": say(one)} for one in (*candidate.sale.barred_by, *candidate.sale.told)
        ],
        "sale_note": say(f"sale.{heater.sale_note}") if heater.sale_note else None,
        "energy": {
            **{fuel.use_key: 0.0 for fuel in Fuel.all()},
            **{key: round(value, 1) for key, value in cost.use_per_yr.items()},
            "label_therm_per_yr": round(candidate.label_energy.result / BTU_PER_THERM, 1),
            "in_place_therm_per_yr": None
            if candidate.in_place is None
            else round(candidate.in_place[0] / BTU_PER_THERM, 1),
            "in_place_source": None if candidate.in_place is None else say(candidate.in_place[1]),
            "room_usd_per_yr": round(cost.room_usd_per_yr, 2),
            "fixed_usd_per_yr": round(cost.fixed_usd_per_yr, 2),
        },
        "running_cost_usd_per_yr": round(cost.usd_per_yr, 2),
        "running_cost_range_usd_per_yr": {
            f"p{percent}": round(usd, 2)
            for percent, usd in zip((10, 50, 90), candidate.money.running_usd_per_yr, strict=True)
        },
        "running_cost_as_labelled_usd_per_yr": round(labelled.usd_per_yr, 2),
        "co2_as_labelled_lb_per_yr": round(labelled.co2_lb_per_yr, 1),
        "running_cost_by_month_usd": _twelve(cost.by_month_usd, 2),
        "co2_lb_per_yr": round(cost.co2_lb_per_yr, 1),
        "installed_usd": {
            "low": round(low, 2),
            "typical": round(typical, 2),
            "high": round(high, 2),
            **_pedigree(candidate),
        },
        "is_quoted": candidate.quote_usd is not None,
        "capacity": {
            "verdict": capacity.verdict,
            "why": sentences(capacity.why),
            "findings": [_finding(one) for one in capacity.why],
            "deliverable": round(capacity.deliverable, 2),
            "needed": round(capacity.needed, 2),
            "unit": capacity.unit,
            "margin_frac": _rounded(capacity.margin_frac, 3),
            "least_flow_winter_gpm": _rounded(capacity.least_flow_winter_gpm),
            "least_flow_summer_gpm": _rounded(capacity.least_flow_summer_gpm),
            "analytic_verdict": capacity.analytic_verdict,
            "short_mornings_per_yr": capacity.short_mornings_per_yr,
            "carries_frac": _rounded(capacity.carries_frac, 3),
            "bench": None if capacity.household_run is None else household_run_dict(capacity.household_run),
        },
        "lead_time": {
            "days": candidate.lead_time.days,
            "in_words": say(candidate.lead_time.when),
            "held_up_by": say(candidate.lead_time.held_up_by),
            "can_wait": [say(job) for job in candidate.lead_time.can_wait],
        },
        "house": {
            "verdict": candidate.house.verdict,
            "why": sentences(candidate.house.why),
            "base": _job(candidate.house.base),
            "work": [_job(job) for job in candidate.house.work],
            "trades": [_trade(trade) for trade in candidate.house.trades],
            "assumed": [say(one.reason) for one in candidate.house.assumed],
            "assumed_keys": [one.field for one in candidate.house.assumed],
        },
    }


def _pedigree(candidate: Candidate) -> dict[str, Any]:
    """Where the installed price comes from, and both prices where nobody has looked."""
    least, most = candidate.house.two_prices_usd
    return {
        "state": candidate.price_state,
        "is_assumed": candidate.price_state in UNSURE,
        "in_words": say(price_words(candidate)),
        "if_none_needed": round(least, 2),
        "if_all_needed": round(most, 2),
        "asks_first": [job.job for job in candidate.house.asks_first],
    }


def _doubts(candidate: Candidate) -> tuple[Finding, ...]:
    """What is wrong with a label, and what the bench makes of it where it cannot return it, which bars nothing."""
    run = candidate.capacity.household_run
    trouble = None if run is None else run.label_trouble
    return candidate.flags if trouble is None else (*candidate.flags, trouble)


def household_run_dict(run: HouseholdRun) -> dict[str, Any]:
    """What the bench saw of one candidate."""
    return {
        "why": sentences(run.why),
        "carries_frac": [round(share, 3) for share in run.carries_frac],
        "minutes_short": round(run.minutes_short, 2),
        "short_uses": list(run.short_uses),
        "noticed_by": list(run.noticed_by),
        "coldest_tap_f": _rounded(run.coldest_tap_f, 1),
        "outlet_low_f": _rounded(run.outlet_low_f, 1),
        "outlet_mean_f": _rounded(run.outlet_mean_f, 1),
        "outlet_high_f": _rounded(run.outlet_high_f, 1),
        "hot_gal": round(run.hot_gal, 1),
        "starts": run.starts,
        "never_lit": list(run.never_lit),
        "summer_never_lit": list(run.summer_never_lit),
        "summer_unsteady": list(run.summer_unsteady),
        "pause_coldest_f": _rounded(run.pause_coldest_f, 1),
        "pause_seconds_cold": _rounded(run.pause_seconds_cold, 1),
        "label_trouble": say(run.label_trouble) if run.label_trouble else None,
    }


def _economics(money: MoneyResults) -> dict[str, Any]:
    return {
        "study_yr": money.terms.study_yr,
        "discount_frac": money.terms.discount_frac,
        "price_course": money.course,
        "division": money.division,
        "base_year": money.base_year,
        "draws": money.draws,
        "baseline": money.baseline_id,
    }


def _money(candidate: Candidate, advice: Advice) -> dict[str, Any]:
    """One candidate's money; null for a payback that never comes, and for what has no meaning.

    Chances are of kinds: the one that stands for its kind bears it.
    """
    money = candidate.money
    measured = money.measured
    back = measured.payback
    return {
        "installed_usd": _band(money.installed_usd),
        "life_cycle_cost_usd": _band(money.life_cycle_cost_usd),
        "annualised_usd": _band(money.annualised_usd),
        "is_eligible": money.is_eligible,
        "chance_cheapest_frac": _rounded(advice.chances_frac.get(candidate.heater.id), 4),
        "chance_saves_frac": round(money.chance_saves_frac, 4),
        "net_saving_usd": round(measured.net_saving_usd, 2),
        "simple_payback_yr": _rounded(back.simple_yr),
        "discounted_payback_yr": _rounded(back.discounted_yr),
        "payback_state": back.state,
        "payback_holds": back.holds,
        "savings_ratio": _rounded(measured.savings_ratio, 3),
        "return_frac": _rounded(measured.return_frac, 4),
        "upkeep_usd_per_yr": round(money.upkeep_usd_per_yr, 2),
        "rebate_usd": round(money.rebate_usd, 2),
        "mean_life_yr": money.life_yr,
        "field_gap": round(field_gap_dimensionless(candidate.heater.technology), 3),
        "state": candidate.money_state,
        "upkeep_state": money.costs.upkeep.state,
        "life_state": money.costs.life.state,
    }


def _band(band: Band) -> dict[str, float]:
    return {name: round(getattr(band, name), 2) for name in ("p10", "p50", "p90", "point")}


def money_dict(comparison: Comparison) -> dict[str, Any]:
    """The whole account: every candidate's money, what would change the answer, and the map of prices."""
    advice = comparison.advice
    first, rival = advice.pick, advice.rival
    found: dict[str, Any] = {
        "economics": _economics(comparison.money),
        "recommended": comparison.recommended_id,
        "conclusion": conclusion_text(advice),
        "advice": _advice(comparison),
        "candidates": {candidate.heater.id: _money(candidate, advice) for candidate in comparison.candidates},
        "rival": rival.heater.id if rival is not None else None,
        "turns": None,
        "drivers": [],
        "map": None,
    }
    if first is not None and rival is not None:
        level = break_even_of(first.money, rival.money)
        found["turns"] = {
            "prices": [
                {
                    "fuel": price.fuel.id,
                    "now_usd_per_unit": round(price.now_usd_per_unit, 4),
                    "turn_usd_per_unit": round(price.level_usd_per_unit, 4),
                    "wins_above": price.wins_above,
                }
                for price in level.prices
            ],
            "quote_now_usd": round(level.quote_now_usd, 2),
            "quote_turn_usd": _rounded(level.quote_level_usd),
        }
        found["drivers"] = [
            {
                "name": say(driver_name(driver)),
                "saving_usd": [round(end, 2) for end in driver.saving_usd],
                "turns_the_answer": driver.turns_the_answer,
            }
            for driver in drivers(first.money, rival.money)
        ]
    gas_fuel = next((fuel for fuel in comparison.case.house.fuels if fuel.is_burned), None)
    drawn = None if gas_fuel is None else winners.map_of_prices(comparison, gas_fuel)
    if gas_fuel is not None and drawn is not None:
        found["map"] = {
            "gas_fuel": gas_fuel.id,
            "gas_usd_per_unit": [round(float(price), 4) for price in drawn.gas_usd_per_unit],
            "electricity_usd_per_kwh": [round(float(price), 4) for price in drawn.electricity_usd_per_kwh],
            "cheapest": [list(row) for row in drawn.cheapest_id],
            "here": list(drawn.here),
        }
    return found


def _rounded(value: float | None, digits: int = 2) -> float | None:
    """None where there is no such number; a margin over nothing is none."""
    return None if value is None or not math.isfinite(value) else round(value, digits)


def _label(heater: Heater) -> dict[str, Any]:
    return {
        "uef": heater.uef,
        "draw_pattern": heater.draw_pattern,
        "fhr_gal": heater.fhr_gal,
        "max_gpm": heater.max_gpm,
        "rated_volume_gal": heater.rated_volume_gal,
        "input_btuh": heater.input_btuh,
        "min_input_btuh": heater.min_input_btuh,
        "input_kw": heater.input_kw,
        "recovery_frac": heater.recovery_frac,
        "n_units": heater.n_units,
        "state": heater.state,
        "source": heater.source,
    }


def _trade(trade: TradeCheck) -> dict[str, Any]:
    return {
        "trade": trade.trade,
        "verdict": trade.verdict,
        "finding": sentences(trade.findings),
        "findings": [_finding(one) for one in trade.findings],
        "ways_out": [
            {
                "title": say(way.title),
                "kind": way.kind,
                "low_usd": round(way.low_usd, 2),
                "typical_usd": round(way.typical_usd, 2),
                "high_usd": round(way.high_usd, 2),
                "notes": [say(one) for one in way.notes],
                "instead_of": list(way.instead_of),
            }
            for way in trade.ways_out
        ],
    }


def _working(one: Working) -> dict[str, Any]:
    """How a number was made, so that a script can check it."""
    return {
        "figure": say(one.figure),
        "formula": one.formula,
        "inputs": {name: _plain(value) for name, value in one.inputs.items()},
        "result": one.result if math.isfinite(one.result) else None,
        "unit": UNITS[one.suffix].label,
        "source": one.published.source,
        "state": one.published.state,
    }


def _finding(one: Finding) -> dict[str, Any]:
    """What was found, for a script: the code, its numbers, its weight, the section it rests on."""
    return {
        "code": one.code,
        "numbers": {name: _as_data(value) for name, value in one.numbers},
        "severity": one.severity.name.lower(),
        "citation": one.citation,
    }


def _as_data(value: Any) -> Any:
    if isinstance(value, Finding):
        return _finding(value)
    return [_as_data(item) for item in value] if isinstance(value, tuple) else _plain(value)


def _job(job: WorkItem) -> dict[str, Any]:
    return {
        "job": job.job,
        "what": say(job.what),
        "quantity": job.quantity,
        "unit": job.unit,
        "low_usd": round(job.low_usd, 2),
        "typical_usd": round(job.typical_usd, 2),
        "high_usd": round(job.high_usd, 2),
        "why": clause(job.why),
        "who": say(job.who),
        "needs_permit": job.needs_permit,
        "is_assumed": job.is_assumed or job.state in UNSURE,
        "state": job.state,
        "chance_frac": job.chance_frac,
        "asks_first": job.asks_first,
    }
