"""Everything that the place decides, gathered for one house."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

import numpy as np

from advisor.core.kinds import Fuel
from advisor.physics.moist_air import station_pressure_psi, wet_bulb_f
from advisor.place import air, emissions, location, mains_water, prices
from advisor.place.emissions import GridRate
from advisor.place.location import Location
from advisor.place.mains_water import MainsWater
from advisor.place.prices import Price

#: Assumed: a month this cold on average has nights that freeze.
_FROST_CAUTION_F = 40.0


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
    #: What to take care over, a sentence each.
    cautions: tuple[str, ...]
    #: What was assumed and could be measured or told instead, a sentence each.
    assumed: tuple[str, ...]


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
        assumed=_assumed(where, mains, heater_space, indoor_f),
    )


def _altitude_caution(where: Location, input_frac: float) -> tuple[str, ...]:
    if input_frac == 1.0:
        return ()
    return (
        f"At {where.elevation_ft:,.0f} ft gas equipment burns about {1 - input_frac:.0%} less than its rated input, "
        "and heats that much less water, unless its maker states otherwise. The maker's high-altitude instructions, "
        "local code and a licensed installer decide.",
    )


def _frost_caution(heater_air_f: np.ndarray) -> tuple[str, ...]:
    coldest = float(heater_air_f.min())
    if coldest >= _FROST_CAUTION_F:
        return ()
    return (
        f"The air at the heater averages about {coldest:.0f} °F in its coldest month, and nights are colder: pipes, "
        "drains and heaters can freeze there. Ask a licensed installer about frost protection.",
    )


def _price_cautions(site_prices: dict[Fuel, Price]) -> tuple[str, ...]:
    stale = [price for price in site_prices.values() if price.is_stale]
    return tuple(
        f"The {price.fuel.title} price is that of {price.period}: take the one on your bill if you can."
        for price in stale
    )


def _grid_caution(grid: GridRate) -> tuple[str, ...]:
    if len(grid.subregions) == 1:
        return ()
    return (
        f"The carbon dioxide of a kilowatt-hour here is {grid.low_lb_per_kwh:.2f} to {grid.high_lb_per_kwh:.2f} lb, "
        f"depending on your utility: {', '.join(grid.subregions)}.",
    )


def _assumed(where: Location, mains: MainsWater, heater_space: str, indoor_f: float) -> tuple[str, ...]:
    elevation = f"Elevation {where.elevation_ft:,.0f} ft, {where.elevation_source}."
    return (
        f"Incoming water {mains.coldest_f:.0f} to {mains.warmest_f:.0f} °F. {mains.origin}",
        f"Air at the heater ({heater_space.replace('_', ' ')}): our own simple mixture of outdoor air, ground and "
        f"rooms at {indoor_f:g} °F; relative humidity {air.HUMIDITY_FRAC:.0%}.",
        *(() if where.elevation_source == "given" else (elevation,)),
        f"Prices are state averages. {prices.AVERAGE_NOT_MARGINAL}",
    )
