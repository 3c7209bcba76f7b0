"""Where a price comes from, in words: ours or the household's own, and what hangs on a look at the house."""

from __future__ import annotations

from advisor.candidate import QUOTED, Candidate
from advisor.core.findings import Finding, note
from advisor.core.published import state_word
from advisor.house.items import WorkItem
from advisor.house.local_prices import LISTED


def price_words(candidate: Candidate) -> Finding:
    """Whose price it is; ours say that they are estimates."""
    states = {job.state for job in (candidate.house.base, *candidate.house.work)}
    if candidate.price_state == QUOTED:
        return note("price.quoted")
    if LISTED not in states:
        return note("price.estimate")
    return note("price.listed" if states == {LISTED} else "price.partly_listed")


def job_notes(job: WorkItem) -> tuple[Finding, ...]:
    """What a reader of a job's price must know: how it was checked, its chance, whom to ask first."""
    if job.asks_first:
        return (note("price.asks_first"),)
    state = note("price.own") if job.state == LISTED else state_word(job.state)
    return (state,) if job.chance_frac == 1 else (state, note("price.chance", tenths=round(10 * job.chance_frac)))


def two_prices(candidate: Candidate) -> Finding | None:
    """Both prices where nobody has looked; None where that changes nothing."""
    if candidate.price_state == QUOTED or not candidate.house.unseen:
        return None
    least_usd, most_usd = candidate.house.two_prices_usd
    jobs = tuple(job.what for job in candidate.house.unseen)
    return note("price.two", jobs=jobs, least_usd=least_usd, most_usd=most_usd)
