"""Houses for the tests of the trades: a plain one, changed by key, and what the model would say of a heater there."""

import copy
from dataclasses import replace

import numpy as np

from advisor.case.base import Assumption
from advisor.case.file import case_from
from advisor.comparison import compare
from advisor.core.findings import Finding
from advisor.demand.recirculation import recirculation_of
from advisor.heaters.catalogue import by_id
from advisor.house.facts import HeaterUse, HouseFacts
from advisor.house.work import check_house
from advisor.report.words import say
from tests.circumstances import asking, circumstances

PLAIN = {
    "place": {"zip_code": "55811"},
    "household": {"people": 4},
    "failed": {"fuel": "natural_gas"},
    "house": {"fuels": ["natural_gas", "propane", "heating_oil"], "heater_space": "basement"},
}
USE = HeaterUse(
    fuel_therm_per_yr=170.0, working_cop=3.0, loss_btuh_per_df=4.0, efficiency_frac=0.9, energy_usd_per_mmbtu=12.0
)
#: The gas line of IFGC 2018 example A.7.2: 100 ft of 2 psi tubing to a line regulator, furnace and heater behind it.
HYBRID = {
    "supply_pressure_inwc": "2 psi",
    "segments": [
        {"name": "high run", "upstream": "source", "material": "csst", "size_in": "18", "length_ft": 100},
        {"name": "to heater", "upstream": "high run", "material": "csst", "size_in": "13", "length_ft": 10},
        {"name": "to furnace", "upstream": "high run", "material": "csst", "size_in": "13", "length_ft": 15},
    ],
    "outlets": [
        {"name": "water heater", "segment": "to heater", "input_btuh": 30_000},
        {"name": "furnace", "segment": "to furnace", "input_btuh": 60_000},
    ],
    "regulators": [{"segment": "high run", "outlet_inwc": 8}],
}
#: 42 °F in winter; 60 gal a day of it are 35,000 Btu.
MAINS_F = np.linspace(42.0, 56.4, 12)
ELECTRIC_HOUSE = {"failed__fuel": "electricity"}


def case_of(changes=None, **keys):
    """The plain case with whole sections replaced, then single keys: ``gas__branch_ft=20``."""
    values = copy.deepcopy(PLAIN)
    for name, section in (changes or {}).items():
        values[name] = {**values.get(name, {}), **section} if isinstance(section, dict) else section
    for key, value in keys.items():
        section, _, name = key.partition("__")
        values.setdefault(section, {})[name] = value
    return case_from(values)


def compared_in(city, people, **sections):
    """What a house with a failed gas tank in its basement is told, by the bench."""
    given = {
        "place": {"city": city},
        "household": {"people": people},
        "failed": {"fuel": "natural_gas"},
        "house": {"fuels": ["natural_gas"], "heater_space": "basement"},
    }
    return compare(case_from(given | sections))


def house_of(case, **place):
    """The house, and what a heater meets in a place like Duluth at sea level: two arguments of every trade."""
    cold = {"mains_f": MAINS_F, "air_f": np.linspace(55.0, 70.0, 12), "outdoor_f": np.linspace(10.0, 65.0, 12)}
    given = {"set_point_f": case.household.set_point_f, "heater_space": case.house.heater_space or "basement"}
    where = {key: place.pop(key) for key in ("state", "county_fips", "installed_on") if key in place}
    met = circumstances(**(cold | given | place))
    loop = recirculation_of(case.water, met.set_point_f, met.air_f)
    met = asking(replace(met, loop=loop), daily_gal=np.full(12, 60.0), annual_gal=60.0 * 365)
    return HouseFacts(case, electricity_usd_per_kwh=0.16, **where), met


def heater_of(heater_id, n_units=1):
    """A catalogue heater, or several in parallel."""
    heater = by_id(heater_id)
    return heater if n_units == 1 else replace(heater, id=f"{heater_id}-x{n_units}", n_units=n_units)


def check(heater_id, n_units=1, *, place=None, changes=None, **keys):
    """The whole house check."""
    return check_house(heater_of(heater_id, n_units), *house_of(case_of(changes, **keys), **dict(place or {})), USE)


def jobs(*arguments, **keys):
    """Its jobs by name."""
    return {job.job: job for job in check(*arguments, **keys).work}


def said(found):
    """A finding, or several, in English as a reader gets it; text stays what it is."""
    if isinstance(found, str):
        return found
    if isinstance(found, Assumption):
        return say(found.reason)
    return say(found) if isinstance(found, Finding) else " ".join(map(said, found))
