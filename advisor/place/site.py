"""Everything that the place decides, gathered for one house."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np

from advisor.case.record import Assumption, Case
from advisor.core.findings import Finding, care, note
from advisor.core.kinds import Fuel
from advisor.physics.moist_air import station_pressure_psi, wet_bulb_f
from advisor.place import air, emissions, location, mains_water, prices
from advisor.place.emissions import GridRate
from advisor.place.location import Location
from advisor.place.mains_water import MainsWater
from advisor.place.names import is_territory
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
    #: Air around the heater, twelve months, and its wet bulb at this height.
    air_f: np.ndarray = field(compare=False)
    wet_bulb_f: np.ndarray = field(compare=False)
    pressure_psi: float
    #: Share of its rated input that gas equipment burns up here, where its maker does not say otherwise.
    altitude_frac: float
    #: The state's averages; in a territory, for which none are held, the country's.
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
    site = site_of(
        zip_code=case.place.zip_code,
        city=case.place.city,
        state=case.place.state,
        elevation_ft=case.place.elevation_ft,
        supply=case.water.supply,
        measured_mains_f=case.water.measured_cold_f,
        heater_space=case.house.heater_space,
        grid_co2_lb_per_kwh=case.place.grid_co2_lb_per_kwh,
        is_marginal=case.place.grid_counts == "marginal",
        today=today,
    )
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
        yield Assumption("place.elevation_ft", round(where.elevation_ft), where.elevation_source)


def site_of(
    *,
    zip_code: str | int | None = None,
    city: str | None = None,
    state: str | None = None,
    elevation_ft: float | None = None,
    supply: str = "mains",
    measured_mains_f: float | None = None,
    heater_space: str | None = None,
    grid_co2_lb_per_kwh: float | None = None,
    is_marginal: bool = False,
    today: date,
) -> Site:
    """Look up a place and work out what it means for a water heater.

    Parameters
    ----------
    zip_code, city, state, elevation_ft
        See ``location.locate``.
    supply, measured_mains_f
        See ``mains_water.mains_of``.
    heater_space : str, optional
        One of ``air.heater_spaces()``; assumed from the climate where not given.
    grid_co2_lb_per_kwh : float, optional
        A factor of the household's own in place of the table's. [lb/kWh]
    is_marginal : bool
        See ``emissions.grid_co2_lb_per_kwh``.
    today : date
        Day from which the age of prices is counted.

    Raises
    ------
    InputError
        From any of the parts, with the field named.
    """
    where = location.locate(zip_code=zip_code, city=city, state=state, elevation_ft=elevation_ft)
    mains = mains_water.mains_of(where.outdoor_f, supply=supply, measured_f=measured_mains_f)
    space = heater_space or ("basement" if where.climate_zone[:1] in _BASEMENT_ZONES else "garage")
    air_f = air.heater_air_f(space, where.outdoor_f)
    pressure_psi = float(station_pressure_psi(where.elevation_ft))
    bulb_f = np.asarray(wet_bulb_f(air_f, air.HUMIDITY_FRAC, pressure_psi))
    air_f.flags.writeable = bulb_f.flags.writeable = False
    in_a_state = not is_territory(where.state)
    site_prices = prices.state_prices(where.state if in_a_state else "US", today=today)
    grid = emissions.grid_co2_lb_per_kwh(where.zip_code, where.state, is_marginal=is_marginal)
    if grid_co2_lb_per_kwh is not None:
        grid = emissions.own_rate(grid_co2_lb_per_kwh)
    altitude_frac = float(air.altitude_frac(where.elevation_ft))
    return Site(
        location=where,
        supply=supply,
        mains=mains,
        heater_space=space,
        air_f=air_f,
        wet_bulb_f=bulb_f,
        pressure_psi=pressure_psi,
        altitude_frac=altitude_frac,
        prices=site_prices,
        grid=grid,
        cautions=(
            *where.notes,
            *mains.notes,
            *_altitude_caution(where, altitude_frac),
            *_frost_caution(air_f),
            *(_price_cautions(site_prices) if in_a_state else ()),
            *_grid_caution(grid),
        ),
    )


def _altitude_caution(where: Location, altitude_frac: float) -> tuple[Finding, ...]:
    if altitude_frac == 1.0:
        return ()
    return (care("place.altitude", elevation_ft=where.elevation_ft, less_frac=1 - altitude_frac),)


def _frost_caution(air_f: np.ndarray) -> tuple[Finding, ...]:
    coldest = float(air_f.min())
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
