"""From what people type to the house's town, county, climate zone, height and the air of each month.

Nothing is guessed in silence: what is not found is an error that offers what lies near, and every step that is less
than certain leaves a note.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from advisor.core.arrays import Floats
from advisor.core.errors import InputError
from advisor.core.findings import Finding, care, note
from advisor.core.long_tables import long_table
from advisor.place.names import name_key, state_kinds, state_names
from advisor.place.refusal import PlaceError, PlaceOutsideError, listed
from advisor.place.towns import Town, largest_towns, town_in, towns_named, towns_near
from advisor.place.typed import Reading, Typed, read_state, read_typed, read_zip
from advisor.place.weather import Station, distance_mi, weather_at
from advisor.place.zone import position_of, zone_of

#: Cautions start here: how far the nearest weather station may be, and how much higher or lower.
FAR_STATION_MI = 30.0
FAR_STATION_FT = 1500.0
#: No station that counts may be further above or below without a word.
FAR_ANY_STATION_FT = 3000.0
#: Beyond this no station tells of a house; the farthest of a state's is some 400 miles off, in the Aleutians.
_NO_STATION_MI = 500.0
_LOWEST_FT, _HIGHEST_FT = -300.0, 15_000.0
#: A town whose name somebody gave beside a ZIP is taken for a neighbour up to here.
_NEIGHBOUR_MI = 12.0
#: The name of a state alone means its namesake town where that has so many ZIP codes: New York, Washington.
_LARGE_ZIP_CODES = 10
_MOST_CHOICES = 6


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
    #: Of the house where given, else of its post office; the source says which.
    elevation_ft: float
    elevation_source: Finding
    #: Zone of the IECC on the map of 2021, and on the one before, which many adopted codes still use.
    climate_zone: str
    climate_zone_2015: str
    #: Where the weather comes from, the nearest first.
    stations: tuple[Station, ...]
    outdoor_f: Floats = field(compare=False)
    #: How the place was found, and how its weather.
    matched_by: Finding
    weather_source: Finding
    #: What a careful reader should know.
    notes: tuple[Finding, ...] = ()


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
        ``"Duluth"`` with a state, or all in one: ``"Duluth, MN"``, ``"duluth minnesota 55811"``. With a ZIP it only
        serves as a check.
    state : str, optional
        Two letters or the name.
    elevation_ft : float, optional
        Of the house, if known; otherwise that of its post office is assumed. [ft]

    Raises
    ------
    InputError
        Nothing to go by, a ZIP or city that is not found (near ones are offered), or answers that disagree.
    UnsupportedCaseError
        A military address, Canada, or an island for which no weather records are held.

    Validity
    --------
    The fifty states, the District of Columbia, Puerto Rico and the Virgin Islands.

    Sources
    -------
    Tables ``zip_codes``, ``towns``, ``stations`` and ``county_zones``.
    """
    notes: list[Finding] = []
    typed = _typed(city, read_state(state or ""))
    given = str(zip_code).strip() if zip_code is not None else ""
    if given or typed.zip_code:
        code = read_zip(zip_code) if zip_code is not None and given else typed.zip_code
        if given and not given.startswith(code[0]):
            notes.append(note("place.zip.read_as", given=given, zip_code=code))
        record = _record_of_zip(code)
        _check_zip(record, typed, notes)
        found = note("place.found.zip", zip_code=code, town=record["city"], home=record["us_state"])
        return _with_climate(record, code, record["city"], found, elevation_ft, notes)
    if not any(typed.readings):
        raise PlaceError(
            "place",
            None,
            "no place is given",
            "give place.zip_code, or place.city with place.state",
            finding=note("place.refused.nothing"),
        )
    town = _town_of(typed, notes)
    record = _record_of_zip(town.zip_code)
    found = note("place.found.town", town=town.name, home=town.state)
    return _with_climate(record, None, town.name, found, elevation_ft, notes)


def _typed(city: str | None, state: str) -> Typed:
    """What was typed, with the state that stands beside it in every reading that leaves room for one."""
    typed = read_typed(city or "")
    if not state:
        return typed
    if not typed.readings:
        return typed._replace(readings=(Reading("", state),))
    agreeing = tuple(Reading(town, state) for town, home in typed.readings if home in {"", state})
    stated = next((home for town, home in typed.readings if home and town), "")
    if stated and stated != state and not any(town_in(*reading) for reading in agreeing):
        raise PlaceError(
            "place.state",
            state,
            f"place.city says {stated}",
            "make the two agree",
            finding=note("place.refused.two_states", one=state_names()[state], other=state_names()[stated]),
        )
    return typed._replace(readings=agreeing)


def _check_zip(record: Mapping[str, Any], typed: Typed, notes: list[Finding]) -> None:
    """Hold the words beside a ZIP against it: another state is refused, another town told."""
    code, home, town = record["zip_code"], record["us_state"], record["city"]
    if not record["active"]:
        notes.append(note("place.zip.retired", zip_code=code))
    stated = [reading for reading in typed.readings if reading.state]
    spoken = [reading.town for reading in typed.readings if reading.state in {"", home}]
    if any(reading == Reading("", home) for reading in stated) or any(_is_here(name, record) for name in spoken):
        return
    if stated and all(reading.state != home for reading in stated):
        other = stated[0]
        found = town_in(*other) if other.town else None
        raise PlaceError(
            "place.state",
            other.state,
            f"ZIP {code} lies in {home}",
            "make the two agree",
            finding=note("place.refused.zip_elsewhere", zip_code=code, town=town, home=home, other=other.state),
            choices=(code, str(found)) if found else (code,),
        )
    if spoken:
        notes.append(care("place.zip.other_city", zip_code=code, town=town, home=home, city=spoken[0].title()))


def _is_here(name: str, record: Mapping[str, Any]) -> bool:
    """Whether a name, or the end of an address, is that of the ZIP's own town or of one near by."""
    if name_key(name).endswith(name_key(record["city"])):
        return True
    other = town_in(name, record["us_state"])
    where, there = position_of(record), other and position_of(_record_of_zip(other.zip_code))
    return bool(where and there and distance_mi(*where, *there) <= _NEIGHBOUR_MI)


def _town_of(typed: Typed, notes: list[Finding]) -> Town:
    """The first reading that is a town."""
    whole = next((town for town, state in typed.readings if not state), "")
    for town, state in typed.readings:
        if not town and state == "DC":
            town = "Washington"
        elif not town:
            # New York is a town as well; Virginia, too, but hardly anybody means that one. Ontario is in California.
            large = 1 if state_kinds()[state] == "canada" else _LARGE_ZIP_CODES
            if not any(one.zip_codes >= large for one in towns_named(whole)):
                raise _state_alone(state)
            continue
        if state:
            if found := town_in(town, state):
                return found
        elif found := _only_one(town, notes):
            return found
    raise _no_town(typed.readings[0])


def _only_one(name: str, notes: list[Finding]) -> Town | None:
    """The town of a name without a state, where there is but one."""
    towns = towns_named(name)
    if len(towns) > 1:
        spoken = towns[0].name
        homes = [town.state for town in towns]
        raise PlaceError(
            "place.state",
            None,
            f"there is a {spoken} in {_some(homes)}",
            f"add the state, as in {towns[0]}",
            finding=note("place.refused.several", town=spoken, n=len(towns)),
            choices=tuple(map(str, towns[:_MOST_CHOICES])),
        )
    if towns:
        notes.append(note("place.city.one_state", city=towns[0].name, home=towns[0].state))
    return towns[0] if towns else None


def _state_alone(state: str) -> PlaceError:
    if state_kinds()[state] in {"canada", "military"}:
        return _outside(state)
    return PlaceError(
        "place",
        state,
        "a state alone does not tell how cold its water is",
        "give place.zip_code, or place.city with place.state",
        finding=note("place.refused.state_alone", state=state_names()[state]),
        choices=tuple(map(str, largest_towns(state))),
    )


def _no_town(reading: Reading) -> PlaceError:
    name, state = reading
    if state and state_kinds()[state] in {"canada", "military"}:
        return _outside(state)
    spoken = name.title()
    elsewhere = towns_named(name)
    near = towns_near(name, state)[:3] or ([] if elsewhere else towns_near(name)[:3])
    choices = tuple(map(str, [*near, *elsewhere]))[:_MOST_CHOICES]
    reason = f"this city is not found in {state}" if state else "this city is not found"
    if elsewhere:
        have = "has" if len(elsewhere) == 1 else "have"
        reason += f", though {_some(sorted(town.state for town in elsewhere))} {have} one"
    offer = f"did you mean {listed([str(town) for town in near], 'or')}? Or give place.zip_code"
    finding = (
        note("place.refused.not_in_state", town=spoken, state=state_names()[state])
        if state
        else note("place.refused.no_town", town=spoken)
    )
    fix = offer if near else "give place.zip_code instead"
    return PlaceError(
        "place.city", f"{spoken}, {state}" if state else spoken, reason, fix, finding=finding, choices=choices
    )


def _outside(state: str) -> PlaceOutsideError:
    kind, name = state_kinds()[state], state_names()[state]
    finding = note("place.refused.canada", typed=name) if kind == "canada" else note("place.refused.military")
    reason = (
        "this is in Canada, and only places in the United States are known"
        if kind == "canada"
        else "no weather records are held for military addresses"
    )
    return PlaceOutsideError(
        "place.state", state, reason, "give the ZIP code of a house in the United States", finding=finding
    )


def _record_of_zip(code: str) -> Mapping[str, Any]:
    record = long_table("zip_codes").find(code)
    if record is None:
        raise _no_zip(code)
    if record["kind"] == "military":
        finding = note("place.refused.military")
        reason, fix = "no weather records are held for military addresses", "give the city and state of the house"
        raise PlaceOutsideError("place.zip_code", code, reason, fix, finding=finding)
    return record


def _no_zip(code: str) -> PlaceError:
    """Real ZIP codes around one that is none."""
    table = long_table("zip_codes")
    start = table.beginning_with(code).start
    around = [table.row(index) for index in range(max(start - 40, 0), min(start + 40, len(table)))]
    real = [row for row in around if row["active"] and row["kind"] == "standard"]
    near = sorted(sorted(real, key=lambda row: abs(int(row["zip_code"]) - int(code)))[:3], key=lambda r: r["zip_code"])
    names = [f"{row['zip_code']} {row['city']} {row['us_state']}" for row in near]
    fix = f"check it; near it are {listed(names)}"
    finding = note("place.refused.unknown_zip", zip_code=code)
    return PlaceError("place.zip_code", code, "this ZIP code is not found", fix, finding=finding, choices=tuple(names))


def _with_climate(
    record: Mapping[str, Any],
    zip_code: str | None,
    city: str,
    found: Finding,
    elevation_ft: float | None,
    notes: list[Finding],
) -> Location:
    home = record["us_state"]
    lender = record
    if position_of(record) is None and (town := town_in(record["city"], home)):
        # Some of the boxes and large customers of a town have no position of their own.
        lender = _record_of_zip(town.zip_code)
    where = position_of(lender)
    if where is None and state_kinds()[home] != "state":
        raise _no_weather(home, record["zip_code"])
    if where is None:
        finding = note("place.refused.no_position", zip_code=record["zip_code"])
        reason, fix = "its position is not known", "give the city and state of the house"
        raise PlaceError("place.zip_code", record["zip_code"], reason, fix, finding=finding)
    wanted_ft, source = _elevation(elevation_ft, lender)
    outdoor_f, stations, height_ft = weather_at(*where, wanted_ft)
    if stations[0].distance_mi > _NO_STATION_MI:
        raise _no_weather(home, record["zip_code"])
    county, zone, zone_2015 = zone_of(lender, notes)
    notes.extend(_far_stations(stations, height_ft))
    return Location(
        zip_code=zip_code,
        city=city,
        state=home,
        county=county,
        county_fips=lender["county_fips"],
        latitude_deg=where[0],
        longitude_deg=where[1],
        elevation_ft=height_ft,
        elevation_source=source,
        climate_zone=zone,
        climate_zone_2015=zone_2015,
        stations=stations,
        outdoor_f=outdoor_f,
        matched_by=found,
        weather_source=_weather_source(stations, height_ft),
        notes=tuple(notes),
    )


def _no_weather(home: str, zip_code: str) -> PlaceOutsideError:
    finding = note("place.refused.no_weather", home=state_names()[home])
    reason = "no weather records are held near it"
    fix = "give a place in the fifty states, DC, Puerto Rico or the Virgin Islands"
    return PlaceOutsideError("place.zip_code", zip_code, reason, fix, finding=finding)


def _weather_source(stations: tuple[Station, ...], height_ft: float) -> Finding:
    nearest = stations[0]
    return note(
        "place.weather",
        n=len(stations),
        station=nearest.name,
        away_mi=nearest.distance_mi,
        station_ft=nearest.elevation_ft,
        farthest_mi=stations[-1].distance_mi,
        house_ft=height_ft,
    )


def _far_stations(stations: tuple[Station, ...], height_ft: float) -> list[Finding]:
    """A nearest station that is far off, or far above or below; and any that is very far above or below."""
    nearest, found = stations[0], []
    if nearest.distance_mi > FAR_STATION_MI:
        found.append(care("place.station.far", station=nearest.name, away_mi=nearest.distance_mi))
    higher_ft = height_ft - nearest.elevation_ft
    apart_ft = max(abs(height_ft - station.elevation_ft) for station in stations)
    if abs(higher_ft) > FAR_STATION_FT:
        name, apart_ft = nearest.name, abs(higher_ft)
        found.append(
            care("place.station.below" if higher_ft > 0 else "place.station.above", station=name, apart_ft=apart_ft)
        )
    elif apart_ft > FAR_ANY_STATION_FT:
        found.append(note("place.station.some_far", apart_ft=apart_ft))
    return found


def _elevation(given_ft: float | None, record: Mapping[str, Any]) -> tuple[float | None, Finding]:
    if given_ft is None:
        how, town = record["elevation_how"], record["city"]
        return record["elevation_ft"], note(f"place.elevation.{how}", town=town)
    if not _LOWEST_FT <= given_ft <= _HIGHEST_FT:
        raise InputError(
            "place.elevation_ft",
            given_ft,
            "no house in the United States stands so high or low",
            "give feet above sea level, {low:.0f} to {high:,.0f}",
            low=_LOWEST_FT,
            high=_HIGHEST_FT,
        )
    return float(given_ft), note("place.elevation.given")


def _some(names: list[str]) -> str:
    return listed(names if len(names) <= 6 else [*names[:5], f"{len(names) - 5} more"])
