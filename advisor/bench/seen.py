"""What a run through the busy morning showed, as findings: who runs short, for how long, how cold."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.bench.morning import SHORT_MORNING_MIN, MorningResult, UseResult
from advisor.core.findings import Finding, Value, care, note
from advisor.demand.busy_hour import USUAL_NAMES, tap

#: Kinds of use that a sentence names before it counts the rest.
_MOST_KINDS = 4


def runs_short(uses: Sequence[UseResult]) -> bool:
    """Someone's water is below their temperature for over a minute."""
    return any(use.lit and use.minutes_short > SHORT_MORNING_MIN for use in uses)


def minutes_short(uses: Sequence[UseResult]) -> float:
    """Lukewarm minutes of several uses together. [min]"""
    return sum(use.minutes_short for use in uses)


def findings(told: MorningResult, *, wanted_f: float) -> tuple[Finding, ...]:
    """Who runs short on the busy morning for over a minute or a dip that anyone would notice, and what it never lit.

    Parameters
    ----------
    told : MorningResult
        The busy morning.
    wanted_f : float
        Temperature at a tap below which a use runs short. [°F]
    """
    never_lit = [use.name for use in told.uses if not use.lit]
    small = (care("bench.never_lit", uses=spoken(never_lit)),) if never_lit else ()
    short = _short(told)
    if not runs_short(short) and not any(use.noticed for use in short):
        return small
    code = "bench.cold" if any(use.noticed for use in short) else "bench.lukewarm"
    return (care(code, uses=_names(short), short=_how_short(short, wanted_f), n=len(short)), *small)


def _short(ran: MorningResult) -> list[UseResult]:
    return [use for use in ran.uses if use.lit and (use.minutes_short > 0 or use.noticed)]


def _how_short(uses: Sequence[UseResult], wanted_f: float) -> Finding:
    minutes, coldest_f = minutes_short(uses), min(use.lowest_f for use in uses)
    if minutes < 0.75:
        return note("bench.under_a_minute", wanted_f=wanted_f, coldest_f=coldest_f)
    return note("bench.minutes", n=round(max(minutes, 1.0)), wanted_f=wanted_f, coldest_f=coldest_f)


def _names(uses: Sequence[UseResult]) -> Value:
    return spoken([use.name for use in uses])


def spoken(names: Sequence[str]) -> Value:
    """Names of uses as they are told: numbered ones of a kind share it, and many are counted."""
    kinds: dict[str, list[int]] = {}
    for name in names:
        kind, _, number = name.rpartition(" ")
        if kind and number.isdigit():
            kinds.setdefault(kind, []).append(int(number))
        else:
            kinds.setdefault(name, [])
    told = [_kind(kind, numbers) for kind, numbers in kinds.items()]
    if len(told) > _MOST_KINDS:
        told[_MOST_KINDS - 1 :] = [note("bench.use.more", n=len(told) - _MOST_KINDS + 1)]
    return tuple(told)


def _kind(kind: str, numbers: Sequence[int]) -> Finding:
    """The shower; shower 2; shower 1 to 3. What a household calls a use itself stays as it is."""
    name = tap(kind)
    if not numbers:
        return note(f"tap.{kind.replace(' ', '_')}.the") if kind in USUAL_NAMES else note("bench.use.the", name=kind)
    if len(numbers) > 2 and numbers[-1] - numbers[0] == len(numbers) - 1:
        return note("bench.use.span", name=name, first=numbers[0], last=numbers[-1])
    return note("bench.use.numbered", name=name, numbers=", ".join(map(str, numbers)))
