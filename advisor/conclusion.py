"""Two sentences that a neighbour would say: what to put in and why, and what the other kind would do instead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

#: Years over which installed and running cost are added up, without interest. Our own choice: about a tank's life.
YEARS = 10
#: Candidates this close in ten-year cost cannot be told apart by figures as loose as these; assumed.
_CLOSE_FRAC = 0.10


@dataclass(frozen=True)
class Standing:
    """What the conclusion needs to know of one candidate.

    Parameters
    ----------
    id, title : str
        Who it is.
    kind : str
        Technology, fuel and number of units: candidates of one kind differ only in size.
    is_storage, is_like_for_like : bool
        A tank; the plain replacement of what failed.
    keeps_up, with_care, fits, may_be_made : bool
        It does not fall short, but only just; it fits or can be made to, and it may be made on the day.
    installed_usd, work_usd, running_usd : float
        Typical installed price, the part of it that is work on the house, and a year's running. [$], [$], [$/yr]
    """

    id: str
    title: str
    kind: str
    is_storage: bool
    is_like_for_like: bool
    keeps_up: bool
    with_care: bool
    fits: bool
    may_be_made: bool
    installed_usd: float
    work_usd: float
    running_usd: float

    @property
    def is_eligible(self) -> bool:
        """Can be recommended at all."""
        return self.keeps_up and self.fits and self.may_be_made

    @property
    def total_usd(self) -> float:
        """Installed price and ten years of running. [$]"""
        return self.installed_usd + YEARS * self.running_usd


def conclude(standings: Sequence[Standing]) -> tuple[str | None, str]:
    """The recommended candidate's id, and two sentences.

    Parameters
    ----------
    standings : sequence of Standing
        Every candidate.

    Returns
    -------
    tuple
        Id, or None where nothing can be recommended; the sentences.
    """
    eligible = _without_needless_care([standing for standing in standings if standing.is_eligible])
    if not eligible:
        return None, (
            "None of these heaters both keeps up with your busiest hour and can stand in this house as described."
            " Look at the reasons below, and have a licensed contractor see the house."
        )
    cheapest = min(eligible, key=lambda standing: standing.total_usd)
    first = next((standing for standing in eligible if standing.is_like_for_like), cheapest)
    if first.total_usd > (1 + _CLOSE_FRAC) * cheapest.total_usd:
        first = cheapest
    plain = " (the plain replacement)" if first.is_like_for_like else ""
    least = "costs least" if first is cheapest else "costs as little as any"
    opening = (
        f"{_with_article(first.title)}{plain} {least} over {YEARS} years here:"
        f" about {_usd(first.installed_usd, 100)} to install and about {_usd(first.running_usd, 10)} a year to run."
    )
    others = [standing for standing in eligible if standing.is_storage != first.is_storage]
    return first.id, f"{opening} {_other_kind(first, others)}"


def _without_needless_care(standings: Sequence[Standing]) -> list[Standing]:
    """Drop what only just keeps up where another size of the same kind does so with ease."""
    ample = {standing.kind for standing in standings if not standing.with_care}
    return [standing for standing in standings if not standing.with_care or standing.kind not in ample]


def _other_kind(first: Standing, others: Sequence[Standing]) -> str:
    other_kind = "tankless heater" if first.is_storage else "tank"
    if not others:
        return f"No {other_kind} on the list both keeps up and fits here."
    other = min(others, key=lambda standing: standing.total_usd)
    saving = first.running_usd - other.running_usd
    extra = other.installed_usd - first.installed_usd
    runs = (
        f"would save about {_usd(saving, 10)} a year" if saving >= 5
        else f"would cost about {_usd(-saving, 10)} a year more to run" if saving <= -5
        else "would cost about the same to run"
    )  # fmt: skip
    installs = f"about {_usd(abs(extra), 100)} {'more' if extra >= 0 else 'less'} to install"
    work = f", {_usd(other.work_usd, 100)} of its price being work on the house" if other.work_usd >= 50 else ""
    joined = "but costs" if (saving > 0) == (extra > 0) else "and costs"
    return f"The {other_kind} that comes closest ({_lower_first(other.title)}) {runs} {joined} {installs}{work}."


def _usd(amount: float, step: int) -> str:
    return f"${round(amount / step) * step:,.0f}"


def _with_article(title: str) -> str:
    if "in parallel" in title:
        return title
    sounds_like_vowel = title[:1].lower() in "aeio" or title.startswith(("8", "11", "18"))
    return f"{'An' if sounds_like_vowel else 'A'} {_lower_first(title)}"


def _lower_first(title: str) -> str:
    return title[:1].lower() + title[1:]
