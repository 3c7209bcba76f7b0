"""A ZIP code's county and its climate zone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.core.findings import Finding, note
from advisor.core.long_tables import long_table
from advisor.place.names import state_kinds
from advisor.place.weather import distance_mi

#: How many ZIP codes before and after one are looked through for the nearest of its state.
_AROUND = 300
#: Zone of the territories, all in the tropics; from memory, unverified.
_TROPICS = "1A"


def position_of(record: Mapping[str, Any]) -> tuple[float, float] | None:
    """Where a ZIP code is, its latitude and longitude [deg]; None where nobody knows."""
    where = record["latitude_deg"], record["longitude_deg"]
    return None if None in where else where


def zone_of(record: Mapping[str, Any], notes: list[Finding]) -> tuple[str, str, str]:
    """County and its two zones; where the map is silent, those of the next ZIP of the state that has one."""
    if state_kinds()[record["us_state"]] != "state":
        notes.append(note("place.zone.tropics", zone=_TROPICS))
        return "", _TROPICS, _TROPICS
    county = _county(record)
    if county is not None and county["climate_zone"]:
        return county["county"], county["climate_zone"], county["climate_zone_2015"]
    lender, lent = _next_with_zone(record)
    name = county["county"] if county else lent["county"]
    lacking = note("place.zone.none", county=name) if county else note("place.zone.no_county")
    notes.append(note("place.zone.lent", town=lender["city"], home=record["us_state"], lacking=lacking))
    return name, lent["climate_zone"], lent["climate_zone_2015"]


def _county(record: Mapping[str, Any]) -> Mapping[str, Any] | None:
    return long_table("county_zones").find(record["county_fips"] or "")


def _next_with_zone(record: Mapping[str, Any]) -> tuple[Mapping[str, Any], Mapping[str, Any]]:
    """The nearest ZIP of the same state whose county has a zone, among those whose numbers are near."""
    table, where = long_table("zip_codes"), position_of(record) or (0.0, 0.0)
    start = table.beginning_with(record["zip_code"]).start
    found: list[tuple[float, Mapping[str, Any], Mapping[str, Any]]] = []
    for index in range(max(start - _AROUND, 0), min(start + _AROUND, len(table))):
        other = table.row(index)
        there, county = position_of(other), _county(other)
        if other["us_state"] == record["us_state"] and there and county and county["climate_zone"]:
            found.append((float(distance_mi(*where, *there)), other, county))
    _, lender, lent = min(found, key=lambda one: one[0])
    return lender, lent
