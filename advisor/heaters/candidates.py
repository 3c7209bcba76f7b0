"""Which heaters to compare: the catalogue that fits the house's fuels, the user's own labels, and pairs."""

from __future__ import annotations

import difflib
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

from advisor.case.record import Case, Label
from advisor.case.usual import usual
from advisor.core.errors import InputError
from advisor.core.findings import Finding, care
from advisor.core.kinds import Fuel, Technology, electricity
from advisor.core.verdicts import FALLS_SHORT, KEEPS_UP
from advisor.heaters.catalogue import Heater, catalogue
from advisor.heaters.hand_sizing import Capacity
from advisor.heaters.rating import draw_pattern_of, may_be_made

MOST_UNITS = 3
#: Room above a heater for its connections; assumed. [in.]
TALL_CLEARANCE_IN = 6.0
#: What a standing loss takes from the recovery efficiency at the least. [-]
_LEAST_ABOVE_UEF = 0.005


def heater_from_label(label: Label, number: int) -> Heater:
    """A heater that the user typed in, filled up from the nearest catalogue heater of its technology.

    Parameters
    ----------
    label : Label
        As read from the case.
    number : int
        Its place in the list, for error messages, from 1.

    Raises
    ------
    InputError
        A number without which it cannot be modelled is missing.
    """
    field = f"heaters.{number}"
    technology = label.technology
    if label.fuel not in technology.fuels:
        burns = [fuel.id for fuel in technology.fuels]
        reason, fix = "a {technology} does not burn it", "write {known}" if len(burns) == 1 else "write one of {known}"
        known = ", ".join(burns)
        raise InputError(f"{field}.fuel", label.fuel.id, reason, fix, technology=technology.word, known=known)
    is_storage = technology.is_storage
    for name in technology.label_numbers(label.fuel):
        if getattr(label, name) is None:
            raise InputError(f"{field}.{name}", None, "this is needed and is not given", "read it from the label")
    like = _nearest(label)
    max_gpm = None if label.max_gpm is None else label.max_gpm * label.max_gpm_rise_df / 67.0
    rating = label.fhr_gal if is_storage else max_gpm
    own: dict[str, Any] = {
        "title": label.title,
        "fuel": label.fuel,
        "uef": label.uef,
        "rated_volume_gal": label.rated_volume_gal or like.rated_volume_gal,
        "nominal_gal": label.nominal_gal if label.nominal_gal is not None else (label.rated_volume_gal or 0.0),
        "input_btuh": label.input_btuh,
        "input_kw": label.input_kw,
        "circuit_a": label.circuit_a,
        "n_circuits": label.n_circuits,
        "min_input_btuh": label.min_input_btuh or like.min_input_btuh,
        "fhr_gal": label.fhr_gal if is_storage else None,
        "max_gpm": None if is_storage else max_gpm,
        "draw_pattern": label.draw_pattern or str(draw_pattern_of(rating, is_storage=is_storage)),
        "recovery_frac": label.recovery_frac or _borrowed_recovery_frac(like, label.uef),
        "sale_note": None,
        "min_inlet_inwc": label.min_inlet_inwc,
        "activation_gpm": label.activation_gpm or like.activation_gpm,
        "state": "as typed in from the label",
        "source": "your own entry",
    }
    return replace(like, id=f"own-{number}", **own)


def _borrowed_recovery_frac(like: Heater, uef: float) -> float | None:
    """Recovery efficiency of a like heater, above the typed-in UEF: only what the user typed may contradict."""
    if like.is_heat_pump or like.recovery_frac is None or uef >= 1:
        return None
    return max(like.recovery_frac, min(uef + _LEAST_ABOVE_UEF, 1.0))


def _nearest(label: Label) -> Heater:
    """The catalogue heater of the same technology, of the same fuel if there is one, nearest in size."""
    same = [heater for heater in catalogue() if heater.technology == label.technology]
    same = [heater for heater in same if heater.fuel == label.fuel] or same
    size = label.rated_volume_gal or label.max_gpm or 0.0
    return min(same, key=lambda heater: abs((heater.max_gpm or heater.rated_volume_gal) - size))


def heaters_to_compare(case: Case) -> list[Heater]:
    """Every heater that this house's fuels allow, in the catalogue's order, then the user's own."""
    fuels = {*case.house.fuels, electricity()}
    own, _ = own_heaters(case)
    return [heater for heater in catalogue() if heater.fuel in fuels and _has_its_heat(heater, case)] + own


def _has_its_heat(heater: Heater, case: Case) -> bool:
    """Brings its own flame or element, or the boiler that it needs is there and burns its fuel."""
    house = case.house
    if not heater.technology.is_boiler_heated:
        return True
    if case.failed.kind == "boiler_tank":
        return heater.fuel == case.failed.fuel
    # Where one comes new, the usual size: a boiler makes up for gallons.
    if heater.variant is not None:
        return False
    return bool(house.has_boiler) and house.heating_fuel in (None, heater.fuel)


def own_heaters(case: Case) -> tuple[list[Heater], tuple[Finding, ...]]:
    """The heaters of the labels that can be read, and why the others cannot: one bad label leaves the rest standing."""
    own, unread = [], []
    for number, label in enumerate(case.heaters, start=1):
        try:
            own.append(heater_from_label(label, number))
        except InputError as error:
            unread.append(care("label.unread", title=label.title, why=error.finding))
    return own, tuple(unread)


def with_parallel_units(
    heaters: list[Heater], judge: Callable[[Heater], Capacity], made_on: date
) -> list[tuple[Heater, Capacity]]:
    """Judge every heater; where none of a technology that may be made keeps up alone, add several.

    Of tanks the two of the smallest burner and volume that keep up, as they ask least of gas line and vent, else two or
    three of the largest; of tankless heaters two or three of the largest.

    Parameters
    ----------
    heaters : list of Heater
        Single heaters.
    judge : callable
        Heater to Capacity.
    made_on : date
        Only heaters that may be made on that day are put in parallel.
    """
    judged = [(heater, judge(heater)) for heater in heaters]
    by_kind: dict[tuple[Technology, Fuel], list[tuple[Heater, Capacity]]] = {}
    for heater, capacity in judged:
        if not heater.is_own and not heater.sale_note and may_be_made(heater, made_on)[0]:
            by_kind.setdefault((heater.technology, heater.fuel), []).append((heater, capacity))
    for group in by_kind.values():
        if all(capacity.verdict == FALLS_SHORT for _, capacity in group):
            largest = max(group, key=lambda pair: pair[1].deliverable)[0]
            judged += _least_pair([heater for heater, _ in group], judge) or _enough_units(largest, judge)
    return judged


def with_asked_units(
    judged: list[tuple[Heater, Capacity]], case: Case, judge: Callable[[Heater], Capacity]
) -> list[tuple[Heater, Capacity]]:
    """Add what the household wants two or three of.

    Raises
    ------
    InputError
        There is no such heater among those compared here.
    """
    single = {heater.id: heater for heater, _ in judged if heater.n_units == 1}
    there, found = {heater.id for heater, _ in judged}, list(judged)
    for number, asked in enumerate(case.several, start=1):
        if asked.candidate not in single:
            near = difflib.get_close_matches(asked.candidate, single, n=1)
            reason = "there is no such heater here"
            fix = "write '{near}' if that is meant" if near else "'advisor compare --all' lists their ids"
            raise InputError(f"several.{number}.candidate", asked.candidate, reason, fix, near="".join(near))
        if asked.candidate_id not in there:
            there.add(asked.candidate_id)
            several = _in_parallel(single[asked.candidate], asked.n_units)
            found.append((several, judge(several)))
    return found


def _least_pair(heaters: list[Heater], judge: Callable[[Heater], Capacity]) -> list[tuple[Heater, Capacity]]:
    """Two tanks that keep up together, of the smallest burner, then the smallest volume."""
    tanks = [heater for heater in heaters if heater.is_storage and heater.variant != "short"]
    for heater in sorted(tanks, key=lambda one: (one.power_btuh, one.nominal_gal)):
        pair = _in_parallel(heater, 2)
        capacity = judge(pair)
        if capacity.verdict == KEEPS_UP:
            return [(pair, capacity)]
    return []


def _enough_units(heater: Heater, judge: Callable[[Heater], Capacity]) -> list[tuple[Heater, Capacity]]:
    for n_units in range(2, MOST_UNITS + 1):
        several = _in_parallel(heater, n_units)
        capacity = judge(several)
        if capacity.verdict != FALLS_SHORT:
            return [(several, capacity)]
    return []


def _in_parallel(heater: Heater, n_units: int) -> Heater:
    return replace(
        heater, id=f"{heater.id}-x{n_units}", title=f"{n_units} in parallel: {heater.title}", n_units=n_units
    )


def is_like_the_failed(heater: Heater, case: Case) -> bool:
    """Of the fuel and kind of what failed: a plain tank, a tankless heater or a heat pump."""
    same_kind = {
        "tank": heater.is_storage
        and not (heater.is_heat_pump or heater.is_condensing or heater.technology.is_boiler_heated),
        "tankless": heater.is_tankless,
        "heat_pump": heater.is_heat_pump,
        "boiler_tank": heater.technology.is_boiler_heated,
    }[case.failed.kind]
    return same_kind and heater.fuel == case.failed.fuel and not heater.sale_note


def failed_size(case: Case) -> float:
    """Size of what failed: gallons of a tank, as given or as so many people usually have; a tankless heater's input."""
    failed = case.failed
    if failed.kind == "tankless":
        return failed.input_btuh or float(usual("failed.input_btuh", "tankless"))
    return failed.size_gal or usual_tank_gal(case.household.people_counted)


def usual_tank_gal(people: int) -> float:
    """The tank that so many people usually have; common practice, no published source. [gal]"""
    return 40.0 if people <= 3 else 50.0


def like_for_like(case: Case, heaters: list[Heater]) -> Heater | None:
    """The plain replacement of what failed: same fuel and kind, nearest size, then room and burner.

    Among those of a size one that the room takes, then the burner nearest to the old one; where that is not known,
    the usual one of the size stands first in the catalogue.
    """
    choices = [h for h in heaters if is_like_the_failed(h, case) and h.n_units == 1 and not h.is_own]
    if not choices:
        return None
    plain, size = choices[0].technology, failed_size(case)
    choices = [heater for heater in choices if heater.technology == plain]
    if case.failed.kind == "tankless":
        return min(choices, key=lambda h: abs(h.power_btuh - size))
    room_in, burner = case.house.room_height_in, case.failed.input_btuh

    def unlike(heater: Heater) -> tuple[float, bool, float]:
        is_too_tall = room_in is not None and heater.height_in + TALL_CLEARANCE_IN > room_in
        return abs(heater.nominal_gal - size), is_too_tall, abs(heater.power_btuh - burner) if burner else 0.0

    return min(choices, key=unlike)
