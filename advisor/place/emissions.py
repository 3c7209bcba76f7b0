"""Carbon dioxide: from a flame in the house, and from the plants behind the socket."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from advisor.core import tables
from advisor.core.arrays import Numbers
from advisor.core.errors import InputError
from advisor.core.findings import Finding, note
from advisor.core.kinds import Fuel
from advisor.core.long_tables import long_table
from advisor.core.published import published
from advisor.core.units import BTU_PER_KWH
from advisor.place.names import is_territory, state_names

#: Assumed: a subregion with fewer of a state's people is left out of the state's range.
_SMALL_SHARE_FRAC = 0.05

#: Columns of the table of rates: all plants, and those that follow the load.
AVERAGE, MARGINAL = "generated_lb_per_mwh", "marginal_lb_per_mwh"


@dataclass(frozen=True)
class Factor:
    """A figure with its unit (a suffix of ``quantities.UNITS``) and its standing."""

    value: float
    unit: str
    source: str
    state: str


@dataclass(frozen=True)
class GridRate:
    """Carbon dioxide for a kilowatt-hour at the meter, with its range where the subregion is not certain."""

    co2_lb_per_kwh: float
    low_lb_per_kwh: float
    high_lb_per_kwh: float
    subregions: tuple[str, ...]
    #: How the subregion was chosen and what the rate rests on.
    origin: Finding


@published("40 CFR Part 98 Subpart C, Table C-1", state="verified", fuel_btu=100_000.0, factor_lb_per_mmbtu=116.98)
def burned_co2_lb(fuel_btu: Numbers, factor_lb_per_mmbtu: Numbers) -> Numbers:
    """Carbon dioxide from burning fuel.

    Parameters
    ----------
    fuel_btu : float or ndarray
        Heat in the fuel, higher heating value. [Btu]
    factor_lb_per_mmbtu : float or ndarray
        Emission factor. [lb/MMBtu]

    Returns
    -------
    float or ndarray
        [lb]

    Sources
    -------
    40 CFR Part 98 Subpart C. Combustion alone: no leaks on the way.
    """
    return fuel_btu / 1e6 * factor_lb_per_mmbtu


@published(
    "Balance at the meter; losses of the grid from US EPA eGRID2023",
    state="computed",
    generated_lb_per_mwh=764.0,
    loss_frac=0.042,
)
def at_meter_lb_per_kwh(generated_lb_per_mwh: Numbers, loss_frac: Numbers) -> Numbers:
    """Carbon dioxide for a kilowatt-hour used, from that for a megawatt-hour generated.

    Parameters
    ----------
    generated_lb_per_mwh : float or ndarray
        Rate as power leaves the plants. [lb/MWh]
    loss_frac : float or ndarray
        Share of it lost before the meter. [-]

    Returns
    -------
    float or ndarray
        [lb/kWh]

    Sources
    -------
    Balance: what is used is what is generated less the loss.
    """
    return generated_lb_per_mwh / 1000.0 / (1.0 - loss_frac)


def fuel_co2(fuel: Fuel) -> Factor:
    """Carbon dioxide for one therm of natural gas, or one gallon of propane or heating oil.

    Raises
    ------
    InputError
        A fuel that is not burned in the house.

    Sources
    -------
    Table ``fuel_emissions``: factor times the heat content of the same rule.
    """
    table = tables.load("fuel_emissions")
    for row in table.rows():
        if row["fuel"] == fuel.id:
            value = float(burned_co2_lb(row["content_btu_per_unit"], row["co2_lb_per_mmbtu"]))
            return Factor(value, f"lb_per_{row['unit']}", table.citation, table.state)
    reason, known = "no emission factor is held for this", ", ".join(table["fuel"])
    raise InputError("fuel", fuel.id, reason, "write one of {known}", known=known)


def heat_content_btu(fuel: Fuel, unit: str | None = None) -> float:
    """Heat in one unit of a fuel as it is sold, higher heating value. [Btu]

    Parameters
    ----------
    fuel : Fuel
        Electricity by the kWh is exact.
    unit : str, optional
        The unit on the bill where not given; else one of the table, such as ``ccf`` of gas or ``ft3`` of propane vapor.

    Raises
    ------
    InputError
        A pair that is not in the table ``fuel_heat_contents``.
    """
    unit = unit or fuel.unit
    if fuel.is_electric and unit == fuel.unit:
        return BTU_PER_KWH
    rows = tables.load("fuel_heat_contents").rows()
    contents = {(row["fuel"], row["unit"]): float(row["content_btu_per_unit"]) for row in rows}
    if (fuel.id, unit) not in contents:
        reason, known = "no heat content is held for this", ", ".join(f"{name}: {by}" for name, by in contents)
        raise InputError("fuel", f"{fuel.id}: {unit}", reason, "write one of {known}", known=known)
    return contents[fuel.id, unit]


def grid_co2_lb_per_kwh(zip_code: str | None, state: str, *, is_marginal: bool = False) -> GridRate:
    """Carbon dioxide for a kilowatt-hour at the meter.

    Parameters
    ----------
    zip_code : str or None
        Five digits. Where several utilities serve the ZIP its subregions' middle is taken, with their range.
    state : str
        Two-letter code: used without a ZIP, or where the ZIP is not listed. The subregion with most people is taken;
        for a territory, of which none is held, the middle of all of them.
    is_marginal : bool
        Of the plants that follow the load, in place of the year's average of all generation.

    Raises
    ------
    InputError
        A state that is not in the tables.

    Sources
    -------
    Tables ``grid_emissions``, ``grid_subregions`` and ``state_subregions`` (EPA eGRID2023). Not the year of the house;
    the average is not what one more kilowatt-hour causes, the marginal rate comes nearer to that.
    """
    column = MARGINAL if is_marginal else AVERAGE
    if zip_code and (by_zip := _of_zip(zip_code)):
        if len(by_zip) == 1:
            return _grid_rate(by_zip, 0, column, note("place.grid.zip", zip_code=zip_code, subregion=by_zip[0]))
        return _grid_rate(by_zip, None, column, note("place.grid.several", zip_code=zip_code, subregions=by_zip))
    if is_territory(state):
        return _grid_rate(tuple(_rates(column)), None, column, note("place.grid.territory", home=state_names()[state]))
    shares = _of_state().get(state)
    if shares is None:
        raise InputError("place.state", state, "no grid is held for this", "give a state's two-letter code")
    main, people = next(iter(shares.items()))
    shown = tuple(code for code, share in shares.items() if share >= _SMALL_SHARE_FRAC)
    return _grid_rate(shown, 0, column, note("place.grid.state", subregion=main, people_frac=people, home=state))


def own_rate(co2_lb_per_kwh: float) -> GridRate:
    """A factor of the household's own in place of the table's.

    Parameters
    ----------
    co2_lb_per_kwh : float
        At the meter. [lb/kWh]
    """
    return GridRate(co2_lb_per_kwh, co2_lb_per_kwh, co2_lb_per_kwh, (), note("place.grid.own"))


def _grid_rate(subregions: tuple[str, ...], chosen: int | None, column: str, why: Finding) -> GridRate:
    rates = [_rates(column)[code] for code in subregions]
    low, high = min(rates), max(rates)
    value = (low + high) / 2 if chosen is None else rates[chosen]
    return GridRate(
        value, low, high, subregions, note("place.grid.marginal" if column == MARGINAL else "place.grid", why=why)
    )


def _of_zip(zip_code: str) -> tuple[str, ...]:
    """Subregions of the range that holds the ZIP; none where the list has a gap."""
    row = long_table("grid_subregions").at_or_before(zip_code)
    if row is None or zip_code > row["zip_to"]:
        return ()
    return tuple(code for column in ("subregion_1", "subregion_2", "subregion_3") if (code := row[column]))


@cache
def _of_state() -> dict[str, dict[str, float]]:
    """Shares of people by subregion for every state, the largest first."""
    states: dict[str, dict[str, float]] = {}
    for row in sorted(tables.load("state_subregions").rows(), key=lambda row: -row["people_frac"]):
        states.setdefault(row["us_state"], {})[row["subregion"]] = row["people_frac"]
    return states


@cache
def _rates(column: str) -> dict[str, float]:
    return {
        row["subregion"]: float(at_meter_lb_per_kwh(row[column], row["grid_loss_frac"]))
        for row in tables.load("grid_emissions").rows()
    }
