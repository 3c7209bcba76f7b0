"""The verdict on capacity: the hand method leads, the bench's mornings move it by a step, experience outranks both.

What a heater carries of the busy morning is turned into mornings a year on which someone's water runs below their
temperature for over a minute; the verdict is read off them. Two rules hold among the candidates of one household. A
tank that is rated higher than another of its kind, or a tenth higher than one of another kind, and holds no less
carries no less: the bench knows too little of a tank's inside to turn the order of the ratings around. And what the old
heater showed in years of use counts for its like.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from advisor.case.record import Case
from advisor.core.findings import Finding, care, note
from advisor.core.verdicts import FALLS_SHORT, KEEPS_UP, WITH_CARE, CapacityVerdict
from advisor.demand.morning_sizes import Mornings
from advisor.heaters.candidates import failed_size, is_like_the_failed
from advisor.heaters.catalogue import Heater
from advisor.heaters.hand_sizing import (
    AMPLE_RATIO,
    KEEPS_UP_MOST_PER_YR,
    LEAST_RATIO,
    WITH_CARE_MOST_PER_YR,
    Capacity,
    HouseholdRun,
)

Judged = tuple[Heater, Capacity]
#: Rated so much more, a tank is never judged worse than one of another kind that holds no more; the busy hour is known
#: no better. Of its own kind any difference counts: what its inside has more of stands in the rating already.
_RATED_HIGHER = 1.10
#: Sizes this near are one size. [gal]
_SAME_SIZE_GAL = 2.5
#: Beyond this nobody ever runs short, and a household that asks for nothing has no ratio at all.
_AMPLE = 10.0
#: "Never" is once in a while that nobody remembers. Our own choice. [1/yr]
_NEVER_PER_YR = 1.0


@dataclass(frozen=True)
class Scale:
    """A number that says how much a heater carries, and where its verdicts part.

    Parameters
    ----------
    mornings : Mornings or None
        None by the hand method alone: then the number is what the heater gives over what is asked.
    """

    mornings: Mornings | None

    @property
    def keeps_up_from(self) -> float:
        """From here it keeps up."""
        return AMPLE_RATIO if self.mornings is None else self.mornings.carries_frac(KEEPS_UP_MOST_PER_YR + 0.5)

    @property
    def falls_short_below(self) -> float:
        """Below this it falls short."""
        return LEAST_RATIO if self.mornings is None else self.mornings.carries_frac(WITH_CARE_MOST_PER_YR + 0.5)

    @property
    def never_short_from(self) -> float:
        """From here nobody remembers a short morning."""
        return AMPLE_RATIO if self.mornings is None else self.mornings.carries_frac(_NEVER_PER_YR)

    def of(self, capacity: Capacity) -> float:
        """The number of a candidate."""
        return 1 + capacity.margin_frac if capacity.carries_frac is None else capacity.carries_frac

    def restated(self, capacity: Capacity, carries: float, because: Finding) -> Capacity:
        """A candidate that carries more or less than was found, and why."""
        told = (*capacity.because, because)
        if self.mornings is None:
            parts = (KEEPS_UP, AMPLE_RATIO), (WITH_CARE, LEAST_RATIO)
            verdict = next((one for one, least in parts if carries >= least), FALLS_SHORT)
            return replace(capacity, verdict=_with_limits(verdict, capacity.needs_care), because=told)
        return replace(_by_mornings(capacity, self.mornings, carries), because=told)


def span(ratio: float, mornings: Mornings) -> tuple[float, float]:
    """Least and most of the busy morning that the bench may find carried: a step of the verdict up or down.

    Parameters
    ----------
    ratio : float
        What the hand method gives over what is asked. [-]
    mornings : Mornings
        The household's.
    """
    scale, ratio = Scale(mornings), min(ratio, _AMPLE)
    return ratio * scale.falls_short_below / AMPLE_RATIO, ratio * scale.keeps_up_from / LEAST_RATIO


def judged_by_mornings(
    by_hand: Capacity, household_run: HouseholdRun, mornings: Mornings, *, needs_care: bool
) -> Capacity:
    """The hand method's answer, moved by what the bench saw.

    A label that the bench cannot return may be wrong: then the worse of the two verdicts counts.
    """
    carries = sum(household_run.carries_frac) / len(household_run.carries_frac)
    held = replace(
        by_hand,
        analytic_verdict=by_hand.verdict,
        household_run=household_run,
        needs_care=by_hand.needs_care or needs_care,
    )
    found = _by_mornings(held, mornings, carries)
    if household_run.label_trouble and found.verdict.severity < by_hand.verdict.severity:
        return replace(found, verdict=by_hand.verdict)
    return found


def _by_mornings(capacity: Capacity, mornings: Mornings, carries_frac: float) -> Capacity:
    short = round(mornings.beyond_per_yr(carries_frac))
    verdict = FALLS_SHORT
    if short <= WITH_CARE_MOST_PER_YR:
        verdict = KEEPS_UP if short <= KEEPS_UP_MOST_PER_YR else WITH_CARE
    return replace(
        capacity,
        verdict=_with_limits(verdict, capacity.needs_care),
        carries_frac=carries_frac,
        short_mornings_per_yr=short,
    )


def _with_limits(verdict: CapacityVerdict, needs_care: bool) -> CapacityVerdict:
    return WITH_CARE if needs_care and verdict == KEEPS_UP else verdict


def settled(judged: Sequence[Judged], case: Case, mornings: Mornings | None) -> list[Judged]:
    """The candidates of one household with the order of their ratings kept, and with what the old heater showed.

    Parameters
    ----------
    judged : sequence of (Heater, Capacity)
        Each by itself.
    case : Case
        What failed, and whether it ran out.
    mornings : Mornings or None
        The household's; None where the hand method speaks alone.
    """
    scale = Scale(mornings)
    found = _experienced(_in_order(judged, scale), case, scale)
    return [(heater, _beside_the_failed(heater, capacity, case)) for heater, capacity in _in_order(found, scale)]


def _in_order(judged: Sequence[Judged], scale: Scale) -> list[Judged]:
    """Raise a tank to what a lesser one carries."""
    found = list(judged)
    tanks = [place for place, (heater, capacity) in enumerate(found) if _is_ranked(heater, capacity)]
    # Of equal ratings the one that carries most first: it lifts the others.
    tanks.sort(key=lambda place: (_rating_gal(found[place][0]), -scale.of(found[place][1])))
    for rank, place in enumerate(tanks):
        heater, capacity = found[place]
        below = [found[other] for other in tanks[:rank] if _outranks(heater, found[other][0])]
        best = max(below, key=lambda one: scale.of(one[1]), default=None)
        if best is not None and scale.of(best[1]) > scale.of(capacity):
            why = note("capacity.outranks", rated_gal=_rating_gal(heater), other_gal=_rating_gal(best[0]))
            found[place] = heater, scale.restated(capacity, scale.of(best[1]), why)
    return found


def _is_ranked(heater: Heater, capacity: Capacity) -> bool:
    """A tank whose label the bench returns, as far as it was asked."""
    doubted = capacity.household_run is not None and capacity.household_run.label_trouble is not None
    return heater.fhr_gal is not None and not doubted


def _rating_gal(heater: Heater) -> float:
    return (heater.fhr_gal or 0.0) * heater.n_units


def _outranks(one: Heater, other: Heater) -> bool:
    """Rated a tenth higher, of one kind no lower, and by measure or by name no smaller."""
    is_one_kind = one.technology == other.technology and one.fuel == other.fuel
    holds_more = any(
        a * one.n_units >= b * other.n_units - 1e-9
        for a, b in ((one.rated_volume_gal, other.rated_volume_gal), (one.nominal_gal, other.nominal_gal))
    )
    ratio = 1.0 if is_one_kind else _RATED_HIGHER
    return holds_more and _rating_gal(one) >= ratio * _rating_gal(other) - 1e-9


def _experienced(judged: list[Judged], case: Case, scale: Scale) -> list[Judged]:
    """What the old heater showed holds for its like: the same kind and size, and larger or smaller as it went."""
    ran_out = case.failed.ran_out
    if ran_out is None:
        return judged
    size = failed_size(case)
    most = {"sometimes": scale.keeps_up_from - 1e-6, "often": scale.falls_short_below - 1e-6}.get(ran_out)
    least = {"never": scale.never_short_from, "sometimes": scale.falls_short_below}.get(ran_out)
    found = []
    likes = {heater.id for heater, _ in judged if is_like_the_failed(heater, case) and heater.n_units == 1}
    same = [heater for heater, _ in judged if heater.id in likes and abs(_size(heater) - size) <= _near(heater, size)]
    for heater, capacity in judged:
        no_smaller = heater.id in likes and _size(heater) >= size - _near(heater, size)
        no_larger = heater.id in likes and _size(heater) <= size + _near(heater, size)
        lesser = any(_outranks(one, heater) for one in same if one.fhr_gal and heater.fhr_gal)
        carries = scale.of(capacity)
        if least is not None and no_smaller:
            carries = max(carries, least)
        if most is not None and (no_larger or lesser):
            carries = min(carries, most)
        if carries != scale.of(capacity) or (no_smaller and no_larger):
            code = f"capacity.experience.{ran_out}"
            capacity = scale.restated(capacity, carries, care(code) if most is not None else note(code))
        found.append((heater, capacity))
    return found


def _size(heater: Heater) -> float:
    """Gallons that a tank is sold by, or the input of a tankless heater."""
    return heater.nominal_gal if heater.is_storage else heater.power_btuh


def _near(heater: Heater, size: float) -> float:
    return _SAME_SIZE_GAL if heater.is_storage else 0.05 * size


def _beside_the_failed(heater: Heater, capacity: Capacity, case: Case) -> Capacity:
    """Say of a tank that it is smaller than the one that failed."""
    size_gal = case.failed.size_gal
    holds_gal = heater.nominal_gal * heater.n_units
    if size_gal is None or not heater.is_storage or holds_gal >= size_gal - _SAME_SIZE_GAL:
        return capacity
    smaller = care("capacity.smaller", nominal_gal=holds_gal, failed_gal=size_gal)
    return replace(capacity, because=(*capacity.because, smaller))
