"""From a ZIP code or a city to its county, its climate zone and the air temperature of each month.

A name comes before a distance: the positions of some rural post offices are tens of miles off, while a city that
has its own weather record is certain. Nothing is guessed in silence: what is not found is an error that offers
what lies near, and every step that is less than certain leaves a note.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache
from typing import Any, NamedTuple

import numpy as np

from advisor.core import tables
from advisor.core.errors import InputError, UnsupportedCaseError

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
EARTH_RADIUS_MI = 3958.8
#: A post office also answers to the names of larger neighbours; beyond this the nearest city tells more.
_OTHER_NAME_LIMIT_MI = 15.0
#: Notes start here: 99 of 100 people live within 21 miles of a city with a record.
_FAR_STATION_MI = 25.0
_FAR_ELEVATION_FT = 1000.0
_LOWEST_FT, _HIGHEST_FT = -300.0, 15_000.0

#: Where an independent city may share its name with a county.
_STATES_WITH_CITIES = frozenset({"VA", "MD", "MO", "NV"})
_SHORT_WORDS = {"saint": "st", "sainte": "ste", "fort": "ft", "mount": "mt"}
_MARKS = str.maketrans({"'": None, "`": None, ".": None, "-": " "})
_COUNTY_WORDS = re.compile(r" (county|parish|borough|census area|city)$")
#: Alaska divided Valdez-Cordova in 2019; the zone map keeps it whole.
_RENAMED_COUNTIES = {("AK", "chugach", False): "02261", ("AK", "copperriver", False): "02261"}


@dataclass(frozen=True)
class Location:
    """Where the house is, and what is known of its climate: normal air of 1991-2020, twelve months."""

    zip_code: str | None
    city: str
    state: str
    county: str
    #: Five digits; None where the county could not be joined to the zone map.
    county_fips: str | None
    latitude_deg: float
    #: West is negative.
    longitude_deg: float
    #: Of the house where given, else of the weather station; the source says which.
    elevation_ft: float
    elevation_source: str
    #: Zone of the IECC on the map of 2021, and on the one before, which many adopted codes still use.
    climate_zone: str
    climate_zone_2015: str
    station_name: str
    #: From the house to the station, at most about.
    station_distance_mi: float
    air_by_month_f: np.ndarray = field(compare=False)
    #: One sentence: how the place was found.
    matched_by: str
    #: What a careful reader should know.
    notes: tuple[str, ...] = ()


class _PostOffice(NamedTuple):
    """A town's name, its county and where it is; no position where the list of post offices writes zeros."""

    town: str
    state: str
    county_fips: str | None
    where: tuple[float, float] | None


class _Spot(NamedTuple):
    """A found place before the climate is looked up; ``row`` is its line in the table of cities."""

    zip_code: str | None
    city: str
    state: str
    county_fips: str | None
    latitude_deg: float
    longitude_deg: float
    row: int
    away_mi: float
    matched_by: str


def locate(
    *,
    zip_code: str | int | None = None,
    city: str | None = None,
    state: str | None = None,
    elevation_ft: float | None = None,
) -> Location:
    """Find the house by its ZIP code, or by its city and state.

    Parameters
    ----------
    zip_code : str or int, optional
        Five digits or ZIP+4; a number that lost its leading zeros is mended with a note.
    city : str, optional
        ``"Duluth"`` with a state, or ``"Duluth, MN"``. With a ZIP it only serves as a check.
    state : str, optional
        Two-letter postal code.
    elevation_ft : float, optional
        Of the house, if known; otherwise that of the weather station is assumed. [ft]

    Raises
    ------
    InputError
        Nothing to go by, a ZIP or city that is not found (near ones are offered), or answers that disagree.
    UnsupportedCaseError
        A territory or a military address: no weather records are held.

    Validity
    --------
    The fifty states and the District of Columbia.

    Sources
    -------
    Tables ``places``, ``county_zones`` and ``zip_codes``.
    """
    notes: list[str] = []
    wanted_city, wanted_state = _read_city(city, state)
    if zip_code is not None and str(zip_code).strip():
        spot = _spot_of_zip(zip_code, wanted_city, wanted_state, notes)
    elif wanted_city:
        spot = _spot_of_city(wanted_city, wanted_state, notes)
    else:
        raise InputError(
            "place",
            wanted_state or None,
            "a state alone does not tell how cold its water is" if wanted_state else "no place is given",
            "give place.zip_code, or place.city with place.state",
        )
    return _with_climate(spot, elevation_ft, notes)


def read_zip(value: str | int | float) -> str:
    """A ZIP code as five digits, from ``"02129-1234"`` or from a number that lost its leading zeros.

    Raises
    ------
    InputError
        Anything that is not three to five digits, or nine.
    """
    text = str(int(value)) if isinstance(value, float) and value.is_integer() else str(value).strip()
    match = re.fullmatch(r"(\d{3,5})|(\d{5})-?(\d{4})", text)
    if isinstance(value, bool) or match is None:
        raise InputError("place.zip_code", value, "this is not a ZIP code", "give its five digits, for example 80202")
    return match[2] or match[1].zfill(5)


def distance_mi(latitude_deg: Any, longitude_deg: Any, to_latitude_deg: Any, to_longitude_deg: Any) -> Any:
    """Great-circle distance on a sphere, by the haversine formula. [mi]"""
    lat, lon, to_lat, to_lon = (
        np.radians(angle) for angle in (latitude_deg, longitude_deg, to_latitude_deg, to_longitude_deg)
    )
    half = np.sin((to_lat - lat) / 2) ** 2 + np.cos(lat) * np.cos(to_lat) * np.sin((to_lon - lon) / 2) ** 2
    return 2 * EARTH_RADIUS_MI * np.arcsin(np.sqrt(half))


def county_key(state: str, county: str) -> tuple[str, str, bool]:
    """Key on which county names of different sources meet: state, bare name, and whether it is an independent city.

    "Baltimore city" and "Baltimore County" stay apart; "City and Borough of Juneau", "Juneau City and Borough" and
    "Juneau Borough" fall together.
    """
    text = _plain(county)
    text = re.sub(r"^(?:city and borough|municipality|borough) of (.+)", r"\1 borough", text)
    text = re.sub(r" (?:city and borough|municipality)$", " borough", text)
    is_city = state in _STATES_WITH_CITIES and text.endswith(" city")
    return state, _name_key(_COUNTY_WORDS.sub("", text)), is_city


def county_fips(state: str, county: str) -> str | None:
    """Census code of a county by its name; None where the zone map has no such county."""
    key = county_key(state, county)
    return _RENAMED_COUNTIES.get(key) or _counties().get(key)


def _read_city(city: str | None, state: str | None) -> tuple[str, str]:
    """City and state apart, also from "Duluth, MN"; a state must be one we know."""
    text, code = (city or "").strip(" ,"), _code(state or "")
    if code and code not in _states():
        raise InputError("place.state", state, "this is not a state", "give its two-letter code, for example CO")
    match = re.fullmatch(r"(.+),(.+)|(.+)\s+(\w\w)", text)
    if match is None or (match[4] and _code(match[4]) not in _states()):
        return text, code
    tail = _code(match[2] or match[4])
    if tail not in _states():
        raise InputError("place.city", city, f"{tail} is not a state's two-letter code", "write it as in Duluth, MN")
    if code and tail != code:
        raise InputError("place.state", state, f"place.city says {tail}", "make the two agree")
    return (match[1] or match[3]).strip(" ,"), tail


def _code(state: str) -> str:
    return state.replace(".", "").strip().upper()


def _plain(text: str) -> str:
    """Lower case without accents, apostrophes and full stops; Saint, Fort and Mount as their short forms."""
    if not text.isascii():
        text = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    words = text.lower().translate(_MARKS).split()
    return " ".join(_SHORT_WORDS.get(word, word) for word in words)


def _name_key(city: str) -> str:
    return "".join(filter(str.isalnum, _plain(city)))


def _spot_of_zip(zip_code: str | int, city: str, state: str, notes: list[str]) -> _Spot:
    code = read_zip(zip_code)
    if not str(zip_code).strip().startswith(code[0]):
        notes.append(f"ZIP {zip_code} was read as {code}: its leading zeros had been lost.")
    record = _zip_record(code)
    home, town = record["us_state"], record["city"]
    if home not in _states():
        raise UnsupportedCaseError(
            "place.zip_code",
            code,
            "no weather records are held for territories and military addresses",
            "give the city and state of a house in the fifty states or DC",
        )
    if state and state != home:
        raise InputError("place.state", state, f"ZIP {code} lies in {home}", "make the two agree")
    if not record["active"]:
        notes.append(f"ZIP {code} is no longer in use by the post office.")
    names = [town, *_other_cities(record)]
    if city and _name_key(city) not in map(_name_key, names):
        notes.append(f"ZIP {code} belongs to {town}, {home}; the ZIP was followed, not the city {city}.")
    office = _office(town, record)
    where = office.where or getattr(_post_offices().get((_name_key(town), home)), "where", None)
    if where is None:
        raise InputError("place.zip_code", code, "its position is not known", "give the city and state of the house")
    return _settle(code, town, home, office.county_fips, where, names, f"ZIP {code} is {town}, {home}")


def _spot_of_city(city: str, state: str, notes: list[str]) -> _Spot:
    key = _name_key(city)
    if not state:
        homes = sorted({home for name, home in _post_offices() if name == key})
        if len(homes) > 1:
            raise InputError(
                "place.state",
                None,
                f"there is a {city} in {_listed(homes)}",
                f"add the state, as in {city}, {homes[0]}",
            )
        if not homes:
            raise _unknown_city(city, state)
        state = homes[0]
        notes.append(f"{city} was found in {state} only; the state had not been given.")
    row = _places().get((key, state))
    if row is not None:
        place = tables.load("places").row(row)
        where = (place["latitude_deg"], place["longitude_deg"])
        return _settle(None, place["city"], state, place["county_fips"], where, [city], f"{place['city']}, {state}")
    office = _post_offices().get((key, state))
    if office is None or office.where is None:
        raise _unknown_city(city, state)
    found = f"{office.town}, {state}, has a post office"
    return _settle(None, office.town, state, office.county_fips, office.where, [office.town], found)


def _settle(
    zip_code: str | None,
    city: str,
    state: str,
    fips: str | None,
    where: tuple[float, float],
    names: list[str],
    found: str,
) -> _Spot:
    """Choose the city whose weather record serves: by its own name, by another name near by, else the nearest."""
    table = tables.load("places")
    away = distance_mi(*where, table["latitude_deg"], table["longitude_deg"])
    row = _places().get((_name_key(names[0]), state))
    if row is not None:
        how = f"{found}, which has a weather record."
        return _Spot(zip_code, city, state, fips, *where, row, float(away[row]), how)
    known = [_places().get((_name_key(name), state)) for name in names[1:]]
    near = [other for other in known if other is not None and away[other] <= _OTHER_NAME_LIMIT_MI]
    row = near[0] if near else int(np.argmin(away))
    other = f"{table['city'][row]}, {table['us_state'][row]}"
    how = f"{found}; the weather record is that of {other}, about {away[row]:.0f} mi away."
    return _Spot(zip_code, city, state, fips, *where, row, float(away[row]), how)


def _with_climate(spot: _Spot, elevation_ft: float | None, notes: list[str]) -> Location:
    place = tables.load("places").row(spot.row)
    county, zone, zone_2015 = _zone(spot, notes)
    station_mi = spot.away_mi + place["station_distance_mi"]
    if station_mi > _FAR_STATION_MI:
        notes.append(
            f"The weather station {place['station_name']} is up to {station_mi:.0f} mi away: measure your water's "
            "temperature if you can."
        )
    elevation, source = _elevation(elevation_ft, place, notes)
    return Location(
        zip_code=spot.zip_code,
        city=spot.city,
        state=spot.state,
        county=county,
        county_fips=spot.county_fips,
        latitude_deg=spot.latitude_deg,
        longitude_deg=spot.longitude_deg,
        elevation_ft=elevation,
        elevation_source=source,
        climate_zone=zone,
        climate_zone_2015=zone_2015,
        station_name=place["station_name"],
        station_distance_mi=station_mi,
        air_by_month_f=_air()[spot.row],
        matched_by=spot.matched_by,
        notes=tuple(notes),
    )


def _zone(spot: _Spot, notes: list[str]) -> tuple[str, str, str]:
    """County and its two zones; where the map is silent, those of the nearest city of the same state."""
    county = tables.find("county_zones", spot.county_fips or "")
    if county is not None and county["climate_zone"]:
        return county["county"], county["climate_zone"], county["climate_zone_2015"]
    places = tables.load("places")
    away = distance_mi(spot.latitude_deg, spot.longitude_deg, places["latitude_deg"], places["longitude_deg"])
    nearest = int(np.argmin(np.where(places["us_state"] == spot.state, away, np.inf)))
    lender = tables.find("county_zones", places["county_fips"][nearest])
    assert lender is not None, places["county_fips"][nearest]
    name = county["county"] if county else lender["county"]
    lacking = f"the map has none for {name}" if county else "the county of this ZIP is not on the map"
    notes.append(f"The climate zone is that of {places['city'][nearest]}, {spot.state}: {lacking}.")
    return name, lender["climate_zone"], lender["climate_zone_2015"]


def _elevation(given_ft: float | None, place: Mapping[str, Any], notes: list[str]) -> tuple[float, str]:
    station_ft = place["station_elevation_ft"]
    if given_ft is None:
        return station_ft, f"assumed: the elevation of the weather station {place['station_name']}"
    if not _LOWEST_FT <= given_ft <= _HIGHEST_FT:
        raise InputError(
            "place.elevation_ft",
            given_ft,
            "no house in the United States stands so high or low",
            f"give feet above sea level, {_LOWEST_FT:.0f} to {_HIGHEST_FT:,.0f}",
        )
    higher_ft = given_ft - station_ft
    if abs(higher_ft) > _FAR_ELEVATION_FT:
        side, feel = ("above", "colder") if higher_ft > 0 else ("below", "warmer")
        notes.append(
            f"The house stands {abs(higher_ft):,.0f} ft {side} its weather station: its air and water are {feel} than "
            "reckoned here, by about 3.6 °F for each 1,000 ft."
        )
    return float(given_ft), "given"


def _unknown_city(city: str, state: str) -> InputError:
    import difflib

    known = {key: office for (key, home), office in _post_offices().items() if home == (state or home)}
    close = difflib.get_close_matches(_name_key(city), known, n=3, cutoff=0.7)
    reason = f"this city is not found in {state}" if state else "this city is not found"
    if elsewhere := sorted({home for key, home in _post_offices() if key == _name_key(city)}):
        reason += f", though {_listed(elsewhere)} {'has' if len(elsewhere) == 1 else 'have'} one"
    names = _listed([f"{known[key].town}, {known[key].state}" for key in close], "or")
    offer = f"did you mean {names}? Or give place.zip_code" if close else "give place.zip_code instead"
    return InputError("place.city", city, reason, offer)


def _unknown_zip(code: str) -> InputError:
    real = [(abs(int(r["zip_code"]) - int(code)), r) for r in tables.load("zip_codes").rows() if _is_house(r)]
    near = sorted(real, key=lambda pair: pair[0])[:3]
    found = [record for _, record in sorted(near, key=lambda pair: pair[1]["zip_code"])]
    names = [f"{record['zip_code']} {record['city']} {record['us_state']}" for record in found]
    return InputError("place.zip_code", code, "this ZIP code is not found", f"check it; near it are {_listed(names)}")


def _listed(names: list[str], last: str = "and") -> str:
    shown = names if len(names) <= 6 else [*names[:5], f"{len(names) - 5} more"]
    return f" {last} ".join(filter(None, (", ".join(shown[:-1]), *shown[-1:])))


@lru_cache(maxsize=256)
def _zip_record(code: str) -> Mapping[str, Any]:
    found = tables.find("zip_codes", code)
    if found is None:
        raise _unknown_zip(code)
    return found


def _is_house(record: Mapping[str, Any]) -> bool:
    return bool(record["active"]) and record["kind"] == "standard" and record["us_state"] in _states()


def _other_cities(record: Mapping[str, Any]) -> list[str]:
    return record["other_cities"].split(";") if record["other_cities"] else []


@cache
def _post_offices() -> dict[tuple[str, str], _PostOffice]:
    """First post office of every town; ordinary delivery first, a town's own name before borrowed ones."""
    here = (record for record in tables.load("zip_codes").rows() if record["us_state"] in _states())
    records = sorted(here, key=lambda record: not _is_house(record))
    named = [_office(r["city"], r) for r in records]
    named += [_office(name, r) for r in records for name in _other_cities(r)]
    index: dict[tuple[str, str], _PostOffice] = {}
    for office in named:
        if office.where is not None:
            index.setdefault((_name_key(office.town), office.state), office)
    return index


def _office(town: str, record: Mapping[str, Any]) -> _PostOffice:
    where = record["latitude_deg"], record["longitude_deg"]
    return _PostOffice(town, record["us_state"], record["county_fips"], None if None in where else where)


@cache
def _places() -> dict[tuple[str, str], int]:
    table = tables.load("places")
    pairs = zip(table["city"], table["us_state"], strict=True)
    return {(_name_key(city), state): row for row, (city, state) in enumerate(pairs)}


@cache
def _air() -> np.ndarray:
    table = tables.load("places")
    air = np.column_stack([table[f"{month}_f"] for month in MONTHS])
    air.flags.writeable = False
    return air


@cache
def _counties() -> dict[tuple[str, str, bool], str]:
    table = tables.load("county_zones")
    rows = zip(table["us_state"], table["county"], table["county_fips"], strict=True)
    return {county_key(state, county): fips for state, county, fips in rows}


@cache
def _states() -> frozenset[str]:
    return frozenset(tables.load("census_divisions")["us_state"])
