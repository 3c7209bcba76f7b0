"""A comparison as text for a terminal: the conclusion, a table, the work, what was assumed, the cautions."""

from __future__ import annotations

import textwrap

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.findings import Finding, Severity, note
from advisor.core.units import show
from advisor.core.verdicts import DOES_NOT_FIT, FALLS_SHORT, Verdict
from advisor.house.cautions import always
from advisor.house.lead_time import stopgaps
from advisor.recommendation.kinds import bar_of
from advisor.report.conclusion_text import conclusion_text, to_install
from advisor.report.money_text import money_section
from advisor.report.names import title
from advisor.report.offers_text import offers_text
from advisor.report.price_words import job_notes, price_words, two_prices
from advisor.report.prices_text import average_note
from advisor.report.repair_words import repair_findings
from advisor.report.shortlist import shortlist
from advisor.report.words import clause, say, sentences

WIDTH = 100


def comparison_text(comparison: Comparison, *, si: bool = False, show_all: bool = False) -> str:
    """The whole comparison, readable at 100 columns.

    Parameters
    ----------
    comparison : Comparison
        What was worked out.
    si : bool
        Amounts in SI units.
    show_all : bool
        Every candidate, not one of each kind.
    """
    shown = list(comparison.candidates) if show_all else shortlist(comparison)
    parts = [
        _heading(comparison),
        offers_text(comparison, si=si),
        _wrap(conclusion_text(comparison.advice)),
        _unread(comparison),
        _places(comparison),
        _household(comparison, si),
        _table(comparison, shown, show_all),
        _today(comparison, shown),
        _reasons(comparison, si),
        money_section(comparison),
        _work(comparison),
        _assumed(comparison),
        _cautions(comparison),
    ]
    return "\n\n".join(part for part in parts if part)


def _heading(comparison: Comparison) -> str:
    where = comparison.site.location
    name = comparison.case.name or "Your water heater"
    return f"{_wrap(name)}\n{where.city}, {where.state}"


def _places(comparison: Comparison) -> str:
    """The four named places, one a line, and a repair beside them."""
    lines = []
    for place in ("pick", "same_again", "cheapest_to_own", "soonest"):
        one = getattr(comparison.advice, place)
        if one is None:
            told = say("conclusion.place.nobody")
        else:
            bar = bar_of(one)
            told = say(
                "conclusion.place.told",
                heater=title(one.heater),
                install=to_install(one, one.installed_usd[1]),
                run_usd=one.running_cost.usd_per_yr,
                least_usd=one.money.running_usd_per_yr[0],
                most_usd=one.money.running_usd_per_yr[2],
                years_usd=one.money.point_usd,
                when=one.lead_time.when,
                bar=() if bar is None else note("conclusion.place.bar", bar=note(f"conclusion.bar.{bar}")),
            )
        lines.append(_wrap(f"{say(f'conclusion.place.{place}')}: {told}", "  "))
    if comparison.repair is not None:
        told = " ".join(map(say, repair_findings(comparison.repair)))
        lines.append(_wrap(f"{say('home.repair.title')}: {told}", "  "))
    return "\n".join(lines)


def _unread(comparison: Comparison) -> str:
    """Labels that could not be read, before anything is chosen."""
    return "\n".join(_wrap(say(one)) for one in comparison.cautions if one.code == "label.unread")


def _wrap(text: str, indent: str = "") -> str:
    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=" " * len(indent))


def _household(comparison: Comparison, si: bool) -> str:
    demand, mains = comparison.circumstances.demand, comparison.site.mains
    household = comparison.case.household
    people, bedrooms = household.people_counted, household.bedrooms
    by_bedrooms = f" (by {bedrooms} bedroom{'s' if bedrooms != 1 else ''})" if household.people is None else ""
    daily = show(demand.annual_gal / 365, "gpd", si=si, digits=0)
    factor = demand.bill_factor
    by_bill = "" if factor is None else f" by your bill, {factor:.2f} times what so many people usually draw"
    busy = show(demand.busy_hour_gal, "gal", si=si, digits=0)
    together = show(demand.simultaneous_gpm, "gpm", si=si, digits=1)
    winter, summer = (show(reading, "f", si=si, digits=0) for reading in (mains.coldest_f, mains.warmest_f))
    who = f"{people} {'person' if people == 1 else 'people'}{by_bedrooms}"
    return _wrap(
        f"{who}: about {daily} of hot water{by_bill}; the busiest hour takes about {busy}, and what runs together"
        f" {together}. Cold water comes in at {winter} in winter and {summer} in summer."
    )


def _table(comparison: Comparison, shown: list[Candidate], show_all: bool) -> str:
    width, years = 29, f"{comparison.money.terms.study_yr} years"
    head = f"{'':2}{'':{width}}{'to install':>14}{'a year':>7} {'likely':11}{years:>7}{'CO2, lb':>8}  keeps up?   fits?"
    lines = [head, "-" * WIDTH]
    for candidate in shown:
        whole = candidate.money.point_usd
        mark = "> " if candidate.heater.id == comparison.recommended_id else "  "
        title = candidate.heater.title + (" *" if candidate.flags or candidate.heater.sale_note else "")
        first, *more = textwrap.wrap(title, width, subsequent_indent="  ", break_on_hyphens=False)
        low, _, high = candidate.installed_usd
        least, _, most = candidate.money.running_usd_per_yr
        likely = f"{_round(least, 10):,.0f}{' to ' if least < -5 else '-'}{_round(most, 10):,.0f}"
        installed = f"{_round(low, 100):,.0f}-{_round(high, 100):,.0f}" if low != high else f"{low:,.2f}"
        lines.append(
            f"{mark}{first:{width}}{installed:>14}"
            f"{_round(candidate.running_cost.usd_per_yr, 10):>7,.0f} {likely:11}{_round(whole, 100):>8,.0f}"
            f"{_round(candidate.running_cost.co2_lb_per_yr, 100):>8,.0f}"
            f"  {_short(candidate.capacity.verdict):12}{_short(candidate.house.verdict)}".rstrip()
        )
        lines += [f"  {line}" for line in more]
    notes = [
        "Dollars. To install: work on the house included; where nobody has quoted, our own estimate and",
        "range: get quotes. A year: energy as such heaters take it in homes; likely: what 8 homes in 10",
        "like this one pay.",
        f"{years.capitalize()}: later heaters and upkeep too, in today's worth.",
        *textwrap.wrap(say(_carbon(comparison)), WIDTH),
    ]
    if any(candidate.flags or candidate.heater.sale_note for candidate in shown):
        notes.append("* may no longer be made, or is not sold to everyone: see below.")
    if not show_all and len(shown) < len(comparison.candidates):
        notes.append(f"One of each kind is shown, of {len(comparison.candidates)}; --all shows them all.")
    return "\n".join([*lines, "", *notes])


def _carbon(comparison: Comparison) -> Finding:
    """What the carbon dioxide counts, and how well the grid's factor is known."""
    grid, own = comparison.site.grid, comparison.case.place.grid_co2_lb_per_kwh
    if own is not None:
        return note("carbon.counts_own", value=own)
    low, high = grid.low_lb_per_kwh, grid.high_lb_per_kwh
    reach = note("carbon.range", low=low, high=high) if high - low >= 0.01 else ()
    counts = comparison.case.place.grid_counts
    return note(f"carbon.counts.{counts}", value=grid.co2_lb_per_kwh, reach=reach)


def _short(verdict: Verdict) -> str:
    return f"{verdict.sign} {say(f'{verdict.key}.short')}"


def _round(amount: float, step: int) -> float:
    return round(amount / step) * step + 0.0  # a minus zero is a zero


def _reasons(comparison: Comparison, si: bool) -> str:
    lines = ["Why", _wrap(_bench_line(comparison), "  ")]
    for candidate in shortlist(comparison):
        why = sentences((*candidate.capacity.why, *candidate.house.why), si=si)
        lines.append(_wrap(f"{candidate.heater.title}: {why}", "  "))
        for flag in (*candidate.flags, *candidate.sale.told):
            lines.append(_wrap(say(flag, si=si), "    "))
        if candidate.heater.sale_note:
            lines.append(_wrap(f"Note: {say(f'sale.{candidate.heater.sale_note}')}.", "    "))
    return "\n".join(lines)


def _bench_line(comparison: Comparison) -> str:
    """What the verdicts rest on."""
    if comparison.is_by_hand:
        return say("bench.by_hand", n=len(comparison.candidates))
    differ = sum(item.capacity.verdict != item.capacity.analytic_verdict for item in comparison.candidates)
    return (
        f"Each of the {len(comparison.candidates)} was run through the same morning on the bench,"
        f" {len(comparison.bench.draws)} uses with {comparison.site.mains.coldest_f:.0f} °F water; the hand method"
        f" differs on {differ}. 'advisor bench' shows more."
    )


def _today(comparison: Comparison, shown: list[Candidate]) -> str:
    """How soon each could run, and what helps meanwhile."""
    able = [item for item in shown if item.capacity.verdict != FALLS_SHORT and item.house.verdict != DOES_NOT_FIT]
    lines = ["No hot water today: how soon it could run (an estimate; ask who will do the work)"]
    for candidate in sorted(able, key=lambda item: item.lead_time.days):
        lead_time = candidate.lead_time
        held = f", held up by: {say(lead_time.held_up_by)}" if lead_time.days >= 1 else ""
        lines.append(_wrap(f"{say(lead_time.when)}: {candidate.heater.title}{held}.", "  "))
    failed = comparison.case.failed
    lines += [_wrap(f"- {say(hint)}", "  ") for hint in stopgaps(failed.fuel, failed.kind)]
    return "\n".join(lines)


def _work(comparison: Comparison) -> str:
    """The work for the pick, and for the tankless heater or else the kind that comes closest."""
    lines = []
    for candidate in _two_to_explain(comparison):
        lines.append(f"The work for: {candidate.heater.title}")
        for job in (candidate.house.base, *candidate.house.work):
            money = f"{_round(job.low_usd, 10):,.0f}-{_round(job.high_usd, 10):,.0f}"
            what = say(job.what) if job.quantity == 1 else f"{say(job.what)} ({job.quantity:g} {job.unit})"
            known, who = "; ".join(map(say, job_notes(job))), say(job.who)
            money = "ask" if job.asks_first else money
            lines.append(_wrap(f"{money:>13}  {what}: {clause(job.why)} [{known}]. {who[:1].upper()}{who[1:]}.", "  "))
        lines.append(_wrap(f"These prices: {say(price_words(candidate))}.", "  "))
        if both := two_prices(candidate):
            lines.append(_wrap(say(both), "  "))
        for trade in candidate.house.trades:
            for way in trade.ways_out:
                money = f"{_round(way.low_usd, 10):,.0f}-{_round(way.high_usd, 10):,.0f}"
                lines.append(_wrap(f"or, {money}: {say(way.title)}. {sentences(way.notes)}".rstrip(), "    "))
        lines += [_wrap(f"Assumed: {say(one.reason)}", "    ") for one in candidate.house.assumed]
        lines.append("")
    return "\n".join(lines).rstrip()


def _two_to_explain(comparison: Comparison) -> list[Candidate]:
    advice = comparison.advice
    return [one for one in (advice.pick, advice.tankless or advice.rival) if one is not None]


def _assumed(comparison: Comparison) -> str:
    lines = ["We assumed (set the key in the case file to change it)"]
    for assumption in comparison.assumed:
        value = f"{assumption.value:g}" if isinstance(assumption.value, float) else str(assumption.value)
        lines.append(_wrap(f"{assumption.field} = {value}: {say(assumption.reason)}.", "  "))
    if said := average_note(comparison):
        lines.append(_wrap(said, "  "))
    return "\n".join(lines)


def _cautions(comparison: Comparison) -> str:
    """This house's own in full; of those that always apply, what can hurt someone, and how many more there are."""
    common = [one for one in always() if one.severity is Severity.CARE]
    lines = ["Take care", *(_wrap(f"- {say(one)}", "  ") for one in (*comparison.cautions, *common))]
    return "\n".join([*lines, f"  and {len(always()) - len(common)} more that always apply: --json prints them all."])
