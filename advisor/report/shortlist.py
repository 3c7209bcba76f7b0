"""Which candidates to show when all would be too many: one of each kind, the like-for-like always among them."""

from __future__ import annotations

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.kinds import Fuel, Technology
from advisor.core.verdicts import DOES_NOT_FIT, FALLS_SHORT, KEEPS_UP


def shortlist(comparison: Comparison) -> list[Candidate]:
    """One candidate of each technology and fuel, in the catalogue's order.

    The one shown keeps up at the least cost over the years; where none keeps up, the one that comes closest. The
    four places of the advice, what stands for each kind there and whatever the user typed in or asked for two of are
    always shown.
    """
    advice = comparison.advice
    always = {
        id(one) for one in (advice.pick, advice.same_again, advice.cheapest_to_own, advice.soonest, *advice.kinds)
    }
    groups: dict[tuple[Technology, Fuel], list[Candidate]] = {}
    for candidate in comparison.candidates:
        groups.setdefault((candidate.heater.technology, candidate.heater.fuel), []).append(candidate)
    chosen = {id(_one_of(group)) for group in groups.values()}
    asked = {several.candidate_id for several in comparison.case.several}
    return [
        candidate
        for candidate in comparison.candidates
        if id(candidate) in chosen | always or candidate.heater.is_own or candidate.heater.id in asked
    ]


def _one_of(group: list[Candidate]) -> Candidate:
    sold = [candidate for candidate in group if not candidate.flags and not candidate.heater.sale_note] or group
    fitting = [candidate for candidate in sold if candidate.house.verdict != DOES_NOT_FIT] or sold
    ample = [candidate for candidate in fitting if candidate.capacity.verdict == KEEPS_UP]
    enough = ample or [candidate for candidate in fitting if candidate.capacity.verdict != FALLS_SHORT]
    if enough:
        return min(enough, key=lambda candidate: candidate.money.point_usd)
    return max(fitting, key=lambda candidate: candidate.capacity.margin_frac)
