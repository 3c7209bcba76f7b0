"""A comparison as plain dicts and lists, ready for JSON. The shape is a promise to scripts: add, never rename."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from advisor.comparison import Candidate, Comparison, sources_used
from advisor.heaters.capacity import Evidence
from advisor.heaters.catalogue import Heater
from advisor.house.items import TradeCheck, WorkItem
from advisor.quantities import BTU_PER_THERM


def comparison_dict(comparison: Comparison) -> dict[str, Any]:
    """The whole comparison. Money is rounded to the cent, other amounts to a digit below what anyone can use."""
    return {
        "case": comparison.case.model_dump(mode="json", exclude_unset=True, exclude_none=True),
        "assumed": [
            {"field": item.field, "value": _plain(item.value), "reason": item.reason} for item in comparison.assumed
        ],
        "place": _place(comparison),
        "demand": _demand(comparison),
        "install_date": comparison.install_date.isoformat(),
        "like_for_like": comparison.like_for_like_id,
        "recommended": comparison.recommended_id,
        "conclusion": comparison.conclusion,
        "candidates": [_candidate(candidate) for candidate in comparison.candidates],
        "cautions": list(comparison.cautions),
        "sources": sources_used(),
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
        "climate_zone": where.climate_zone,
        "elevation_ft": round(where.elevation_ft),
        "matched_by": where.matched_by,
        "mains_f": _twelve(site.mains.by_month_f, 1),
        "mains_origin": site.mains.origin,
        "outdoor_air_f": _twelve(where.air_by_month_f, 1),
        "heater_space": site.heater_space,
        "heater_air_f": _twelve(site.heater_air_by_month_f, 1),
        "altitude_input_frac": round(site.altitude_input_frac, 4),
        "prices": {fuel: round(price, 4) for fuel, price in comparison.prices.usd_per_unit.items()},
        "grid_co2_lb_per_kwh": {
            "value": round(site.grid.co2_lb_per_kwh, 4),
            "low": round(site.grid.low_lb_per_kwh, 4),
            "high": round(site.grid.high_lb_per_kwh, 4),
            "origin": site.grid.origin,
        },
    }


def _demand(comparison: Comparison) -> dict[str, Any]:
    demand = comparison.demand
    return {
        "daily_gal_by_month": _twelve(demand.daily_gal_by_month, 1),
        "annual_gal": round(demand.annual_gal),
        "busy_hour_gal": round(demand.busy_hour_gal, 1),
        "busy_hour_uses": [
            {"name": use.name, "mixed_gpm": _plain(use.mixed_gpm), "duration_min": _plain(use.duration_min),
             "use_f": _plain(use.use_f), "count": _plain(use.count), "together": _plain(use.together)}
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
    }  # fmt: skip


def _candidate(candidate: Candidate) -> dict[str, Any]:
    heater, cost, capacity = candidate.heater, candidate.cost, candidate.capacity
    low, typical, high = candidate.installed_usd
    return {
        "id": heater.id,
        "title": heater.title,
        "class": heater.technology,
        "fuel": heater.fuel,
        "label": _label(heater),
        "flags": list(candidate.flags),
        "sale_note": heater.sale_note,
        "energy": {
            **dict.fromkeys(("therm_per_yr", "kwh_per_yr", "propane_gal_per_yr", "oil_gal_per_yr"), 0.0),
            **{key: round(value, 1) for key, value in cost.use_per_yr.items()},
            "label_therm_per_yr": round(candidate.label_btu_per_yr / BTU_PER_THERM, 1),
            "in_place_therm_per_yr": None if candidate.in_place is None
            else round(candidate.in_place[0] / BTU_PER_THERM, 1),
            "in_place_source": None if candidate.in_place is None else candidate.in_place[1],
            "room_usd_per_yr": round(cost.room_usd_per_yr, 2),
            "fixed_usd_per_yr": round(cost.fixed_usd_per_yr, 2),
        },
        "running_cost_usd_per_yr": round(cost.usd_per_yr, 2),
        "running_cost_by_month_usd": _twelve(cost.by_month_usd, 2),
        "co2_lb_per_yr": round(cost.co2_lb_per_yr, 1),
        "installed_usd": {"low": round(low, 2), "typical": round(typical, 2), "high": round(high, 2)},
        "is_quoted": candidate.quote_usd is not None,
        "capacity": {
            "verdict": capacity.verdict,
            "why": capacity.why,
            "deliverable": round(capacity.deliverable, 2),
            "needed": round(capacity.needed, 2),
            "unit": capacity.unit,
            "margin_frac": _rounded(capacity.margin_frac, 3),
            "least_flow_winter_gpm": _rounded(capacity.least_flow_winter_gpm),
            "least_flow_summer_gpm": _rounded(capacity.least_flow_summer_gpm),
            "analytic_verdict": capacity.analytic_verdict,
            "bench": None if capacity.evidence is None else evidence_dict(capacity.evidence),
        },
        "soon": {
            "days": candidate.soon.days,
            "in_words": candidate.soon.in_words,
            "held_up_by": candidate.soon.held_up_by,
            "can_wait": list(candidate.soon.can_wait),
        },
        "house": {
            "verdict": candidate.house.verdict,
            "why": candidate.house.why,
            "base": _job(candidate.house.base),
            "work": [_job(job) for job in candidate.house.work],
            "trades": [_trade(trade) for trade in candidate.house.trades],
            "assumed": list(candidate.house.assumed),
        },
    }  # fmt: skip


def evidence_dict(evidence: Evidence) -> dict[str, Any]:
    """What the bench saw of one candidate."""
    return {
        "verdict": evidence.verdict,
        "why": evidence.why,
        "minutes_short": round(evidence.minutes_short, 2),
        "minutes_short_with_more": _rounded(evidence.minutes_short_with_more),
        "short_uses": list(evidence.short_uses),
        "noticed_by": list(evidence.noticed_by),
        "coldest_tap_f": _rounded(evidence.coldest_tap_f, 1),
        "outlet_low_f": _rounded(evidence.outlet_low_f, 1),
        "outlet_mean_f": _rounded(evidence.outlet_mean_f, 1),
        "outlet_high_f": _rounded(evidence.outlet_high_f, 1),
        "hot_gal": round(evidence.hot_gal, 1),
        "starts": evidence.starts,
        "never_lit": list(evidence.never_lit),
        "summer_never_lit": list(evidence.summer_never_lit),
        "summer_unsteady": list(evidence.summer_unsteady),
        "pause_coldest_f": _rounded(evidence.pause_coldest_f, 1),
        "pause_seconds_cold": _rounded(evidence.pause_seconds_cold, 1),
        "label_trouble": evidence.label_trouble,
    }


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
        "finding": trade.finding,
        "ways_out": [
            {"title": way.title, "kind": way.kind, "low_usd": round(way.low_usd, 2),
             "typical_usd": round(way.typical_usd, 2), "high_usd": round(way.high_usd, 2), "notes": list(way.notes)}
            for way in trade.ways_out
        ],
    }  # fmt: skip


def _job(job: WorkItem) -> dict[str, Any]:
    return {
        "job": job.job,
        "what": job.what,
        "quantity": job.quantity,
        "unit": job.unit,
        "low_usd": round(job.low_usd, 2),
        "typical_usd": round(job.typical_usd, 2),
        "high_usd": round(job.high_usd, 2),
        "why": job.why,
        "who": job.who,
        "needs_permit": job.needs_permit,
        "is_assumed": job.is_assumed,
    }
