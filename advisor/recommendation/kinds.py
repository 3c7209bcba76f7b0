"""Who may be put in, what a neighbour calls a kind, and the one of each kind that stands for it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Literal

from advisor.candidate import Candidate, CheckedHeater
from advisor.core.findings import Severity
from advisor.core.verdicts import DOES_NOT_FIT, FALLS_SHORT, KEEPS_UP

#: Unless something beats another in this share of versions of the household, it does not win: below it the figures
#: cannot tell the two apart (``likely`` begins here). Our own choice.
CLEARLY_FRAC = 0.6
#: And unless it costs this much less over the years: a smaller difference is no reason to change. Our own choice.
WORTH_FRAC = 0.10
#: To keep up without care is worth this much more over the years, no more: the house has lived with what failed. Our
#: own choice.
EASE_FRAC = 0.15
#: A kind: heat pumps, else the fuel; and whether it is a tank.
Family = tuple[str, bool]
#: What keeps a candidate from being put in.
Bar = Literal["not_sold_here", "label", "made", "sale", "falls_short", "does_not_fit", "asks_first"]


def bar_of(candidate: CheckedHeater) -> Bar | None:
    """What keeps a candidate from being put in; None where nothing does."""
    if not candidate.sale.may_be_sold:
        return "not_sold_here"
    stops = [flag for flag in candidate.flags if flag.severity is Severity.STOP]
    if stops:
        return "made" if all(flag.code.startswith("label.below") for flag in stops) else "label"
    if candidate.heater.sale_note:
        return "sale"
    if candidate.capacity.verdict == FALLS_SHORT:
        return "falls_short"
    if candidate.house.verdict == DOES_NOT_FIT:
        return "does_not_fit"
    # What hangs on the utility's answer has no price yet.
    return "asks_first" if candidate.house.asks_first else None


def is_eligible(candidate: CheckedHeater) -> bool:
    """May be put in: it keeps up, fits or can be made to, and its label and the law allow it on the day."""
    return bar_of(candidate) is None


def family_of(candidate: CheckedHeater) -> Family:
    """What a neighbour calls a kind: heat pumps, else tanks or tankless heaters of one fuel."""
    heater = candidate.heater
    return ("heat_pump" if heater.is_heat_pump else heater.fuel.id), heater.is_storage


def cheapest_of(candidates: Iterable[Candidate]) -> Candidate | None:
    """The lowest life-cycle cost with every input typical, the first where two are equal."""
    return min(candidates, key=lambda candidate: candidate.money.point_usd, default=None)


def first_choice(candidates: Sequence[Candidate]) -> Candidate:
    """Among those that keep up the cheapest over the years; where all need care, the one that keeps up best."""
    ample = [candidate for candidate in candidates if candidate.capacity.verdict == KEEPS_UP]
    if ample:
        return min(ample, key=lambda one: one.money.point_usd)
    return max(candidates, key=_keeping_up)


def _keeping_up(candidate: Candidate) -> tuple[float, float, float]:
    """The more the better: few short mornings, much to spare, a low cost over the years."""
    capacity = candidate.capacity
    return -(capacity.short_mornings_per_yr or 0), capacity.margin_frac, -candidate.money.point_usd


def wins_clearly(one: Candidate, other: Candidate) -> bool:
    """Whether it keeps up at least as well and costs less over the years by more than figures like these can err.

    It costs a tenth less, in six versions of the household out of ten; any less at all where it keeps up and the other
    needs care.
    """
    better = other.capacity.verdict.severity - one.capacity.verdict.severity
    worth_frac = 0.0 if better > 0 else WORTH_FRAC
    if better < 0 or one.money.point_usd >= (1 - worth_frac) * other.money.point_usd:
        return False
    return one.money.chance_cheaper_frac(other.money) >= CLEARLY_FRAC


def one_of_each(
    candidates: Sequence[Candidate], same_again: Candidate | None, *, has_240_v_circuit: bool, usual_gal: float
) -> dict[Family, Candidate]:
    """What one would put in of each kind, among the eligible; a single heater where one serves.

    No tank smaller than what failed where one as large serves, nor, of another kind, than is usual for the people. Of
    the kind that is in the house what failed itself, unless another wins clearly. A plug-in heat pump only where no
    circuit of 240 V ends, and there only where it wins clearly over one with an element.

    Parameters
    ----------
    candidates : sequence of Candidate
        Those that may be put in.
    same_again : Candidate or None
        The plain replacement of what failed.
    has_240_v_circuit : bool
        A circuit of 240 V ends at the heater.
    usual_gal : float
        The tank that so many people usually have. [gal]
    """
    groups: dict[Family, list[Candidate]] = {}
    for candidate in filter(is_eligible, candidates):
        groups.setdefault(family_of(candidate), []).append(candidate)
    home = None if same_again is None else family_of(same_again)
    least_gal = usual_gal if same_again is None else max(usual_gal, same_again.heater.nominal_gal)
    found = {}
    for family, group in groups.items():
        pool = _preferred(group, lambda one: one.heater.n_units == 1)
        if family == home and same_again is not None:
            large = _as_large_as(pool, same_again.heater.nominal_gal)
            found[family] = _of_the_kind_in_the_house(_with_element(large, has_240_v_circuit), pool, same_again)
        else:
            large = _as_large_as(pool, least_gal)
            found[family] = first_choice(_with_element(large, has_240_v_circuit))
    return found


def is_plug_in(one: CheckedHeater) -> bool:
    """A heat pump without an element, on a plug."""
    return one.heater.is_heat_pump and not one.heater.technology.has_backup_element


def _with_element(pool: Sequence[Candidate], has_240_v_circuit: bool) -> list[Candidate]:
    """No plug-in beside a heat pump with an element, unless no circuit is there and it wins clearly.

    Few shops carry one, it heats slowly, and most of what is known of it is from memory.
    """
    plug_ins = [one for one in pool if is_plug_in(one)]
    others = [one for one in pool if not is_plug_in(one)]
    if not plug_ins or not others:
        return list(pool)
    wins = not has_240_v_circuit and wins_clearly(first_choice(plug_ins), first_choice(others))
    return plug_ins if wins else others


def passed_over(candidates: Iterable[Candidate], kinds: dict[Family, Candidate]) -> Candidate | None:
    """The plug-in that would cost less than the heat pump of ``kinds`` with an element, and serve as well."""
    stands = kinds.get(("heat_pump", True))
    if stands is None or is_plug_in(stands):
        return None
    return cheapest_of(
        one
        for one in candidates
        if is_plug_in(one)
        and one.heater.n_units <= stands.heater.n_units
        and not is_smaller(one, stands)
        and one.capacity.verdict.severity <= stands.capacity.verdict.severity
        and one.money.point_usd < stands.money.point_usd
    )


def _of_the_kind_in_the_house(
    large: Sequence[Candidate], pool: Sequence[Candidate], same_again: Candidate
) -> Candidate:
    """What failed, unless another of its kind wins clearly, or keeps up where it needs care and costs little more.

    Where what failed may not be put in again, one as large, unless a smaller one keeps up for much less.
    """
    chosen = first_choice(large)
    if all(one is not same_again for one in pool):
        return _for_much_less(chosen, pool)
    if wins_clearly(chosen, same_again):
        return chosen
    is_better = chosen.capacity.verdict.severity < same_again.capacity.verdict.severity
    is_near = chosen.money.point_usd <= (1 + EASE_FRAC) * same_again.money.point_usd
    return chosen if is_better and is_near else same_again


def _for_much_less(chosen: Candidate, pool: Sequence[Candidate]) -> Candidate:
    """A smaller one that keeps up for much less: of the largest of them the one that keeps up best for little more."""
    able = [
        one
        for one in pool
        if one.capacity.verdict == KEEPS_UP and (1 + EASE_FRAC) * one.money.point_usd < chosen.money.point_usd
    ]
    if not able:
        return chosen
    most_gal = max(one.heater.nominal_gal for one in able)
    largest = [one for one in able if one.heater.nominal_gal == most_gal]
    near_usd = (1 + EASE_FRAC) * min(one.money.point_usd for one in largest)
    return max((one for one in largest if one.money.point_usd <= near_usd), key=_keeping_up)


def _as_large_as(pool: Sequence[Candidate], least_gal: float) -> list[Candidate]:
    """Those of so many gallons and more, else the largest."""
    most_gal = max(one.heater.nominal_gal for one in pool)
    large = [one for one in pool if not _holds_less(one, least_gal)]
    return large or [one for one in pool if one.heater.nominal_gal == most_gal]


def is_smaller(one: CheckedHeater, other: CheckedHeater) -> bool:
    """A tank of fewer gallons; a boiler gives so much heat that gallons do not matter."""
    return _holds_less(one, other.heater.nominal_gal)


def _holds_less(one: CheckedHeater, gallons: float) -> bool:
    return one.heater.is_storage and one.heater.nominal_gal < gallons and not one.heater.technology.is_boiler_heated


def _preferred(group: Sequence[Candidate], is_preferred: Callable[[Candidate], bool]) -> list[Candidate]:
    """Those that are preferred, where there are any."""
    return [one for one in group if is_preferred(one)] or list(group)
