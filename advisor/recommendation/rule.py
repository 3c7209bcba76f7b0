"""The one rule: what to put in. Every output tells its four places and nothing of its own.

A kind that is in the house stays unless another wins clearly; among those that keep up equally the cheaper; where all
need care, the one that keeps up best. Who falls short, does not fit or may not be made is never the pick.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from advisor.candidate import Candidate
from advisor.core.verdicts import DOES_NOT_FIT
from advisor.recommendation.kinds import (
    Family,
    bar_of,
    cheapest_of,
    family_of,
    first_choice,
    is_eligible,
    is_smaller,
    one_of_each,
    passed_over,
    wins_clearly,
)

#: Why the pick is what it is: what failed once more; another of its kind, or another kind, because that wins clearly;
#: or because what failed cannot be put in again.
Why = Literal["same", "wins", "instead"]


@dataclass(frozen=True, eq=False)
class Advice:
    """Four named places, each a candidate or nobody, and the kinds that they were chosen from.

    Parameters
    ----------
    pick : Candidate or None
        What to put in.
    same_again : Candidate or None
        The plain replacement of what failed, whether it may be put in or not.
    cheapest_to_own : Candidate or None
        The lowest cost over the years of all that may be put in; the pick where another costs the same.
    soonest : Candidate or None
        The first to give hot water of all that may be put in; of several the pick, else the plain replacement, else
        the fewest side by side, of the kind in the house, what stands for its kind, the cheapest over the years.
    kinds : tuple of Candidate
        What one would put in of each kind, the cheapest over the years first. Chances are theirs: one heater each.
    plug_in : Candidate or None
        The plug-in heat pump that would cost less than the heat pump of ``kinds`` and keep up as well, but not clearly.
    closest : Candidate or None
        Where nothing may be put in, what comes closest to keeping up of all that could stand here and may be made.
    """

    pick: Candidate | None
    same_again: Candidate | None
    cheapest_to_own: Candidate | None
    soonest: Candidate | None
    kinds: tuple[Candidate, ...]
    plug_in: Candidate | None = None
    closest: Candidate | None = None

    @property
    def why(self) -> Why:
        """Why the pick is what it is."""
        if self.pick is self.same_again:
            return "same"
        return "wins" if self.same_again is not None and is_eligible(self.same_again) else "instead"

    @property
    def is_smaller(self) -> bool:
        """The pick is a smaller tank than the one that failed."""
        return self.pick is not None and self.same_again is not None and is_smaller(self.pick, self.same_again)

    @cached_property
    def chances_frac(self) -> dict[str, float]:
        """Share of versions of the household in which each kind costs least, by the id of its heater. [-]"""
        results = next((one.money.results for one in self.kinds), None)
        if results is None:
            return {}
        shares = results.chances_cheapest_frac([one.money.row for one in self.kinds])
        return {one.heater.id: float(share) for one, share in zip(self.kinds, shares, strict=True)}

    @property
    def rival(self) -> Candidate | None:
        """The cheapest of the kinds that the pick is not of, a plug-in that was passed over among them."""
        known = self.kinds if self.plug_in is None else (*self.kinds, self.plug_in)
        own = None if self.pick is None else family_of(self.pick)
        return cheapest_of(one for one in known if family_of(one) != own)

    @property
    def tankless(self) -> Candidate | None:
        """The cheapest tankless heater that may be put in, where the pick is a tank."""
        if self.pick is None or not self.pick.heater.is_storage:
            return None
        return cheapest_of(one for one in self.kinds if one.heater.is_tankless)


def advise(
    candidates: Sequence[Candidate],
    like_for_like_id: str | None,
    *,
    has_240_v_circuit: bool,
    usual_gal: float,
) -> Advice:
    """The four places.

    Parameters
    ----------
    candidates : sequence of Candidate
        Every candidate.
    like_for_like_id : str or None
        The plain replacement of what failed.
    has_240_v_circuit : bool
        A circuit of 240 V ends at the heater: then no plug-in heat pump is the pick.
    usual_gal : float
        The tank that so many people usually have: no smaller one of another kind, where one as large serves. [gal]
    """
    same = next((one for one in candidates if one.heater.id == like_for_like_id), None)
    eligible = [one for one in candidates if is_eligible(one)]
    kinds = one_of_each(eligible, same, has_240_v_circuit=has_240_v_circuit, usual_gal=usual_gal)
    short = [one for one in candidates if bar_of(one) == "falls_short" and one.house.verdict != DOES_NOT_FIT]
    home = None if same is None else family_of(same)
    pick = _pick(kinds, home)
    stand_for = list(kinds.values())

    def soon(one: Candidate) -> tuple[float, ...]:
        fewest = one is not pick, one is not same, one.heater.n_units, family_of(one) != home, one not in stand_for
        return (one.lead_time.days, *fewest, one.money.point_usd)

    return Advice(
        pick=pick,
        same_again=same,
        cheapest_to_own=min(eligible, key=lambda one: (one.money.point_usd, one is not pick), default=None),
        soonest=min(eligible, key=soon, default=None),
        kinds=tuple(sorted(kinds.values(), key=lambda one: one.money.point_usd)),
        plug_in=passed_over(eligible, kinds),
        closest=max(short, key=lambda one: one.capacity.margin_frac, default=None) if pick is None else None,
    )


def _pick(kinds: dict[Family, Candidate], home: Family | None) -> Candidate | None:
    """The kind that is in the house, unless another wins clearly; where it may not be put in, the first choice."""
    if not kinds:
        return None
    staying = kinds.get(home) if home else None
    if staying is None:
        return first_choice(list(kinds.values()))
    winners = [one for one in kinds.values() if one is not staying and wins_clearly(one, staying)]
    return first_choice(winners) if winners else staying
