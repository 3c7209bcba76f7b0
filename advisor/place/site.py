"""Everything that the place decides, gathered for one house."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from typing import Any

import numpy as np

from advisor.case.record import Assumption, Case
from advisor.core.findings import Finding, care, note
from advisor.core.kinds import Fuel
from advisor.physics.moist_air import station_pressure_psi, wet_bulb_f
from advisor.place import air, emissions, location, mains_water, prices
from advisor.place.emissions import GridRate
from advisor.place.location import Location
from advisor.place.mains_water import MainsWater
from advisor.place.prices import Price

#: Zones where houses usually have basements; elsewhere the heater usually stands in the garage. Assumed.
_BASEMENT_ZONES = frozenset("45678")
#: Assumed: a month this cold on average has nights that freeze.
FROST_BELOW_F = 40.0


@dataclass(frozen=True)
class Site:
    """One house's place: its water, its air, its prices and its grid."""

    location: Location
    supply: str
    mains: MainsWater
    heater_space: str
    indoor_f: float
    #: Air around the heater, twelve months, and its wet bulb at this height.
    heater_air_by_month_f: np.ndarray = field(compare=False)
    heater_wet_bulb_by_month_f: np.ndarray = field(compare=False)
    pressure_psi: float
    #: Share of its rated input that gas equipment burns up here, where its maker does not say otherwise.
    altitude_input_frac: float
    prices: dict[Fuel, Price]
    grid: GridRate
    #: What to take care over.
    cautions: tuple[Finding, ...]
    #: What nobody told of it, where it was looked up for a case.
    assumptions: tuple[Assumption, ...] = ()


def site_for(case: Case, today: date) -> Site:
    """The place of a case; where the heater stands is assumed from the climate if nobody said.

    Parameters
    ----------
    case : Case
        Its place, its water and where the heater stands.
    today : date
        Day from which the age of prices is counted.

    Raises
    ------
    InputError
        The place is not found.
    """
    site_with = partial(
        site_of,
        zip_code=case.place.zip_code,
        city=case.place.city,
        state=case.place.state,
        elevation_ft=case.place.elevation_ft,
        supply=case.water.supply,
        measured_mains_f=case.water.measured_cold_f,
        today=today,
    )
    if case.house.heater_space is not None:
        site = site_with(heater_space=case.house.heater_space)
    else:
        site = site_with(heater_space="basement")
        if site.location.climate_zone[:1] not in _BASEMENT_ZONES:
            site = site_with(heater_space="garage")
    return replace(site, assumptions=tuple(_assumptions(case, site)))


def _assumptions(case: Case, site: Site) -> Iterator[Assumption]:
    """What nobody told of the place, each with the key that changes it."""
    where, mains = site.location, site.mains
    if case.house.heater_space is None:
        reason = note("assumed.heater_space", zone=where.climate_zone)
        yield Assumption("house.heater_space", site.heater_space, reason)
    if case.water.measured_cold_f is None:
        reason = note("assumed.cold_water", origin=mains.origin)
        yield Assumption("water.measured_cold_f", round(mains.coldest_f, 1), reason)
    if case.place.elevation_ft is None:
        yield Assumption("place.elevation_ft", where.elevation_ft, where.elevation_source)


def site_of(
    *,
    zip_code: str | int | None = None,
    city: str | None = None,
    state: str | None = None,
    elevation_ft: float | None = None,
    supply: str = "mains",
    measured_mains_f: float | None = None,
    measured_month: int | None = None,
    measured_mains_by_month_f: Any = None,
    heater_space: str,
    indoor_f: float = air.INDOOR_F,
    grid_subregion: str | None = None,
    today: date,
) -> Site:
    """Look up a place and work out what it means for a water heater.

    Parameters
    ----------
    zip_code, city, state, elevation_ft
        See ``location.locate``.
    supply, measured_mains_f, measured_month, measured_mains_by_month_f
        See ``mains_water.mains_by_month_f``.
    heater_space : str
        One of ``air.heater_spaces()``.
    indoor_f : float
        The rooms. [°F]
    grid_subregion : str, optional
        The household's own, where a ZIP has several.
    today : date
        Day from which the age of prices is counted.

    Raises
    ------
    InputError
        From any of the parts, with the field named.
    """
    where = location.locate(zip_code=zip_code, city=city, state=state, elevation_ft=elevation_ft)
    mains = mains_water.mains_by_month_f(
        where.air_by_month_f,
        supply=supply,
        measured_f=measured_mains_f,
        measured_month=measured_month,
        measured_by_month_f=measured_mains_by_month_f,
    )
    heater_air = air.heater_air_by_month_f(heater_space, where.air_by_month_f, indoor_f=indoor_f)
    pressure_psi = float(station_pressure_psi(where.elevation_ft))
    wet_bulb = wet_bulb_f(heater_air, air.HUMIDITY_FRAC, pressure_psi)
    heater_air.flags.writeable = wet_bulb.flags.writeable = False
    site_prices = prices.state_prices(where.state, today=today)
    grid = emissions.grid_co2_lb_per_kwh(where.zip_code, where.state, subregion=grid_subregion)
    input_frac = float(air.altitude_input_frac(where.elevation_ft))
    return Site(
        location=where,
        supply=supply,
        mains=mains,
        heater_space=heater_space,
        indoor_f=indoor_f,
        heater_air_by_month_f=heater_air,
        heater_wet_bulb_by_month_f=wet_bulb,
        pressure_psi=pressure_psi,
        altitude_input_frac=input_frac,
        prices=site_prices,
        grid=grid,
        cautions=(
            *where.notes,
            *mains.notes,
            *_altitude_caution(where, input_frac),
            *_frost_caution(heater_air),
            *_price_cautions(site_prices),
            *_grid_caution(grid),
        ),
    )


def _altitude_caution(where: Location, input_frac: float) -> tuple[Finding, ...]:
    if input_frac == 1.0:
        return ()
    return (care("place.altitude", elevation_ft=where.elevation_ft, less_frac=1 - input_frac),)


def _frost_caution(heater_air_f: np.ndarray) -> tuple[Finding, ...]:
    coldest = float(heater_air_f.min())
    if coldest >= FROST_BELOW_F:
        return ()
    return (care("place.frost", coldest_f=coldest),)


def _price_cautions(site_prices: dict[Fuel, Price]) -> tuple[Finding, ...]:
    stale = [price for price in site_prices.values() if price.is_stale]
    return tuple(note("place.price.stale", fuel=price.fuel.word, period=price.period) for price in stale)


def _grid_caution(grid: GridRate) -> tuple[Finding, ...]:
    if len(grid.subregions) == 1:
        return ()
    low, high = grid.low_lb_per_kwh, grid.high_lb_per_kwh
    return (note("place.grid.range", low_lb_per_kwh=low, high_lb_per_kwh=high, subregions=grid.subregions),)
