"""The answers while they are being asked for: what was typed, which question comes next, and the case they make."""

from __future__ import annotations

import copy
from typing import Any, NamedTuple

from advisor.core.errors import InputError
from advisor.core.findings import Finding, note
from advisor.core.kinds import Fuel, electricity
from advisor.core.units import UNITS
from advisor.place.location import locate
from advisor.place.names import is_territory
from advisor.place.refusal import PlaceError
from advisor.web import link
from advisor.web.session import Given

#: In the order in which people know the answers; the size is asked of a tank alone.
STEPS = ("trouble", "where", "people", "heater", "fuels", "size", "ran_out", "space", "check")
TROUBLES = ("leaks", "nothing", "too_little", "noise")
RAN_OUT = ("never", "sometimes", "often")
SPACES = ("basement", "garage", "attic", "closet", "indoors", "outdoors", "crawl_space")
#: "I don't know".
UNKNOWN = "unknown"
_LEAST_PEOPLE, _MOST_PEOPLE = 1, 20
_MOST_BEDROOMS = 20
_LEAST_GAL, _MOST_GAL = 2.0, 120.0
_MOST_USD = 30.0
#: What of an unfinished round a link may carry, and as what.
_KINDS = {
    "trouble": str,
    "where": str,
    "people": str,
    "bedrooms": str,
    "heater": str,
    "fuels": list,
    "burns": str,
    "size": str,
    "ran_out": str,
    "space": str,
    "is_flat": bool,
    "prices": dict,
    "is_checked": bool,
}
#: Answers are kept as they were typed.
Draft = dict[str, Any]


class Shape(NamedTuple):
    """What a heater looks like, and what it is."""

    kind: str
    burns: bool


SHAPES = {
    "tank_flue": Shape("tank", True),
    "tank_cable": Shape("tank", False),
    "box_pipe": Shape("tankless", True),
    "box_cable": Shape("tankless", False),
    "tank_fan": Shape("heat_pump", False),
    "tank_boiler": Shape("boiler_tank", True),
}


def burned() -> list[Fuel]:
    """The fuels that burn."""
    return [fuel for fuel in Fuel.all() if fuel.is_burned]


def begun(own: Given) -> Draft:
    """The answers of the user's own house, to be changed; nothing for somebody who has given none."""
    if not own:
        return {}
    place, failed, house = own.get("place", {}), own.get("failed", {}), own.get("house", {})
    fuel = Fuel.named(failed.get("fuel", electricity().id))
    kind = failed.get("kind", "tank")
    shape = next((name for name, one in SHAPES.items() if one == Shape(kind, fuel.is_burned)), UNKNOWN)
    household = own.get("household", {})
    town = ", ".join(filter(None, (place.get("city"), place.get("state"))))
    return {
        "trouble": failed.get("trouble", UNKNOWN),
        "where": " ".join(filter(None, (town, place.get("zip_code")))),
        "people": str(household.get("people", UNKNOWN if "bedrooms" in household else "")),
        "bedrooms": str(household.get("bedrooms", "")),
        "heater": shape,
        "fuels": list(house.get("fuels", ())),
        "burns": fuel.id,
        "size": f"{failed['size_gal']:g}" if failed.get("size_gal") else UNKNOWN,
        "ran_out": failed.get("ran_out", UNKNOWN),
        "space": house.get("heater_space", UNKNOWN),
        "is_flat": bool(house.get("is_flat")),
        "is_checked": True,
    }


def steps_of(draft: Draft) -> list[str]:
    """The questions that this household is asked."""
    return [step for step in STEPS if step != "size" or shape_of(draft).kind != "tankless"]


def shape_of(draft: Draft) -> Shape:
    """What the old heater is; what most homes have where nobody knows."""
    if draft.get("heater") in SHAPES:
        return SHAPES[draft["heater"]]
    return Shape("tank", any(fuel.id in draft.get("fuels", ()) for fuel in burned()))


def fuel_of(draft: Draft) -> Fuel | None:
    """What the old heater runs on; None where it burns one of several and nobody said which."""
    if not shape_of(draft).burns:
        return electricity()
    there = [fuel for fuel in burned() if fuel.id in draft.get("fuels", ())]
    if len(there) == 1 or (there and draft.get("heater") not in SHAPES):
        return there[0]
    return next((fuel for fuel in there if fuel.id == draft.get("burns")), None)


def after(draft: Draft, step: str) -> str:
    """The next question; once all were answered, the first that a change leaves open, else the list of answers."""
    steps = steps_of(draft)
    if draft.get("is_checked"):
        return next((one for one in steps if trouble_with(draft, one)), "check")
    return steps[min(steps.index(step) + 1, len(steps) - 1)]


def before(draft: Draft, step: str) -> str:
    """The question before; nothing before the first."""
    steps = steps_of(draft)
    place = steps.index(step)
    return steps[place - 1] if place else ""


def trouble_with(draft: Draft, step: str) -> Finding | PlaceError | None:
    """Why the answer to a question cannot be taken; None where it can."""
    if step == "where":
        return _find(draft)
    if step == "people":
        if draft.get("people") == UNKNOWN:
            return _bedrooms_trouble(str(draft.get("bedrooms", "")))
        return _people_trouble(str(draft.get("people", "")))
    if step == "size":
        return _size_trouble(str(draft.get("size", "")))
    if step == "fuels":
        return _fuels_trouble(draft)
    return None


def _find(draft: Draft) -> PlaceError | None:
    """Find the place at once, so that nobody answers more questions in vain.

    A town that is not the ZIP's own is kept, to be told of.
    """
    where = draft.get("where", "")
    try:
        found = locate(city=where)
    except PlaceError as error:
        draft.pop("place", None)
        return error
    draft["home"] = found.state
    if found.zip_code is None:
        draft["place"] = {"city": f"{found.city}, {found.state}"}
    else:
        is_odd = any(told.code == "place.zip.other_city" for told in found.notes)
        draft["place"] = {"zip_code": found.zip_code} | ({"city": where} if is_odd else {})
    draft["town"] = f"{found.city}, {found.state}"
    return None


def number_in(typed: str) -> float | None:
    """The number that somebody typed; None where it is none."""
    try:
        number = float(typed.strip().replace(",", "."))
    except ValueError:
        return None
    return number if abs(number) < 1e9 else None


def short(typed: str) -> str:
    """What was typed, in a length that a sentence can bear."""
    return typed if len(typed) <= 40 else f"{typed[:37]}..."


def _people_trouble(typed: str) -> Finding | None:
    if not typed.strip():
        return note("q.people.empty")
    number = number_in(typed)
    if number is None or number != int(number) or not _LEAST_PEOPLE <= number <= _MOST_PEOPLE:
        return note("q.people.bad", typed=short(typed))
    return None


def _bedrooms_trouble(typed: str) -> Finding | None:
    if not typed.strip():
        return note("q.bedrooms.empty")
    number = number_in(typed)
    if number is None or number != int(number) or not 0 <= number <= _MOST_BEDROOMS:
        return note("q.bedrooms.bad", typed=short(typed))
    return None


def _size_trouble(typed: str) -> Finding | None:
    if typed == UNKNOWN:
        return None
    if not typed.strip():
        return note("q.size.empty")
    number = number_in(typed)
    if number is None or not _LEAST_GAL <= number <= _MOST_GAL:
        return note("q.size.bad", typed=short(typed))
    return None


def _fuels_trouble(draft: Draft) -> Finding | None:
    if shape_of(draft).burns and not any(fuel.id in draft.get("fuels", ()) for fuel in burned()):
        return note("q.fuels.none_burned")
    if fuel_of(draft) is None:
        return note("q.fuels.which.empty")
    for fuel, typed in draft.get("prices", {}).items():
        number = number_in(typed)
        if typed.strip() and Fuel.named(fuel) in priced(draft) and (number is None or not 0 < number <= _MOST_USD):
            return note("q.price.bad", typed=short(typed))
    return None


def priced(draft: Draft) -> list[Fuel]:
    """The fuels whose price is asked for, since no averages are held."""
    if not is_territory(draft.get("home", "")):
        return []
    return [fuel for fuel in Fuel.all() if fuel.is_electric or fuel.id in draft.get("fuels", ())]


def unit_of(fuel: Fuel) -> str:
    """The unit that a fuel is priced in."""
    return UNITS[fuel.price_unit].label


def given_of(draft: Draft, own: Given) -> Given:
    """The case that the answers make; whatever else was told of the user's own house stays."""
    shape, fuel = shape_of(draft), fuel_of(draft) or electricity()
    given = copy.deepcopy(own)
    household = given.get("household", {})
    if draft["people"] == UNKNOWN:
        household = {key: value for key, value in household.items() if key not in ("people", "children")}
        household["bedrooms"] = int(number_in(draft["bedrooms"]) or 0)
    else:
        household = {**household, "people": int(number_in(draft["people"]) or 0)}
        if household.get("children", 0) >= household["people"]:
            household.pop("children", None)
    failed: dict[str, Any] = {"fuel": fuel.id}
    if draft.get("heater") in SHAPES:
        failed["kind"] = shape.kind
    size = draft.get("size", UNKNOWN)
    if shape.kind != "tankless" and size not in (UNKNOWN, ""):
        failed["size_gal"] = number_in(size)
    for key in ("trouble", "ran_out"):
        if draft.get(key, UNKNOWN) != UNKNOWN:
            failed[key] = draft[key]
    # The old heater's age and plate stay where it is the same one.
    if {key: given.get("failed", {}).get(key) for key in ("fuel", "kind")} == {
        key: failed.get(key) for key in ("fuel", "kind")
    }:
        failed = {
            **{key: value for key, value in given["failed"].items() if key in ("age_yr", "input_btuh")},
            **failed,
        }
    house = {**given.get("house", {}), "fuels": tuple(draft.get("fuels", ())) or (electricity().id,)}
    house.pop("heater_space", None)
    house.pop("is_flat", None)
    if draft.get("space", UNKNOWN) != UNKNOWN:
        house["heater_space"] = draft["space"]
    if draft.get("is_flat"):
        house["is_flat"] = True
    prices = dict(given.get("prices", {}))
    for one in priced(draft):
        if price := number_in(draft.get("prices", {}).get(one.id, "")):
            prices[one.price_key] = price
    return {
        **given,
        "place": draft["place"],
        "household": household,
        "failed": failed,
        "house": house,
        "prices": prices,
    }


def in_link(draft: Draft) -> str:
    """The answers so far, as letters that an address may hold."""
    return link.packed({key: draft[key] for key in _KINDS if key in draft})


def from_link(text: str) -> Draft:
    """Back again; what nobody could have answered is left out.

    Raises
    ------
    InputError
        The text is damaged.
    """
    found = link.unpacked(text)
    draft = {key: found[key] for key, kind in _KINDS.items() if isinstance(found.get(key), kind)}
    fuels = {fuel.id for fuel in Fuel.all()}
    draft["fuels"] = [fuel for fuel in draft.get("fuels", []) if fuel in fuels]
    draft["prices"] = {
        fuel: price for fuel, price in draft.get("prices", {}).items() if fuel in fuels and isinstance(price, str)
    }
    for key, known in (("trouble", TROUBLES), ("ran_out", RAN_OUT), ("space", SPACES), ("heater", tuple(SHAPES))):
        if draft.get(key, UNKNOWN) not in known:
            draft.pop(key, None)
    _find(draft)
    return draft


def first_open(draft: Draft, wanted: str) -> str:
    """The question that was asked for, or the first before it that has no answer yet."""
    steps = steps_of(draft)
    if wanted not in steps:
        raise InputError("ask", wanted, "there is no such question", "start with the first")
    return next((step for step in steps[: steps.index(wanted)] if trouble_with(draft, step)), wanted)
