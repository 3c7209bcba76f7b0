"""The first page, for the customer: the decision, the offers, cost over the years, the work, what to take care of."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeGuard

from advisor.core.findings import Finding, Severity
from advisor.document.blocks import Blanks, Block, Bullets, Heading, Paragraph, Picture, Table
from advisor.document.drawing import Bar, cost_bars
from advisor.document.told import Told
from advisor.house.cautions import always, gravest_first
from advisor.money.offer_check import CheckedOffer
from advisor.report import winners
from advisor.report.conclusion_text import conclusion_text
from advisor.report.offers_text import who
from advisor.report.words import cents

#: Offers that have room side by side, jobs and cautions that have room on the page; the rest stands on the next ones.
SIDE_BY_SIDE, _JOBS, _CAUTIONS = 4, 6, 5
#: The same beside three offers or more, which take the room.
_CROWDED_OFFERS, _CROWDED_JOBS, _CROWDED_CAUTIONS = 3, 4, 3
#: Faults of an offer that are told here, jobs that one of them names, letters of a line that it quotes.
_FAULTS, _NAMED, _QUOTED = 2, 3, 60


def customer_blocks(told: Told) -> Iterator[Block]:
    """The page, from the title to the signatures."""
    comparison, chosen = told.comparison, told.chosen
    where = comparison.site.location
    yield Heading(told.say("document.title"), 1)
    named = f"{comparison.case.name}. " if comparison.case.name else ""
    yield Paragraph(f"{named}{where.city}, {where.state}. {told.day.isoformat()}.", is_small=True)
    yield Heading(told.say("document.decision"))
    yield Paragraph(conclusion_text(comparison.advice, told.language))
    if chosen is not comparison.recommended:
        about = "document.about.chosen" if chosen.quote_usd is None else "document.about.offered"
        yield Paragraph(told.say(about, heater=told.title(chosen)))
    if (repair := told.repair()) is not None:
        yield Paragraph(repair)
    if any(one.code == "offer.missing" for offer in _counting(told) for one in offer.findings):
        yield Paragraph(told.say("document.as_offered"))
    yield from _offers(told)
    yield from _chart(told)
    yield Heading(told.say("document.work", heater=told.title(chosen)))
    yield Bullets(_jobs(told))
    yield Heading(told.say("document.questions"))
    yield _questions(told)
    yield Heading(told.say("document.care"))
    yield Bullets(_cautions(told)[: _CROWDED_CAUTIONS if _is_crowded(told) else _CAUTIONS])
    yield Paragraph(told.say("document.more_care"), is_small=True)
    labels = [told.say(f"document.sign.{what}") for what in ("customer", "date", "contractor", "date")]
    yield Blanks((*labels, told.say("document.sign.until", day=_last_day(told))))


def _is_crowded(told: Told) -> bool:
    return len(told.comparison.offers) >= _CROWDED_OFFERS


def _counting(told: Told) -> list[CheckedOffer]:
    """The offers whose price counts for the heater."""
    chosen = told.chosen
    return [
        one
        for one in told.comparison.offers
        if one.offer.candidate == chosen.heater.id and one.offer.price_usd == chosen.quote_usd
    ]


def _last_day(told: Told) -> str:
    """Until when the price holds that counts for the heater; a blank to fill in where none holds or says so."""
    days = [one.offer.valid_until for one in _counting(told) if one.offer.valid_until]
    return max(days).isoformat() if days and max(days) >= told.day else ""


def _offers(told: Told) -> Iterator[Block]:
    comparison = told.comparison
    years = comparison.money.terms.study_yr
    shown = comparison.offers[:SIDE_BY_SIDE]
    if not shown:
        yield Heading(told.say("document.choices"))
        yield Table(
            tuple(told.say(key) for key in ("offer.col.heater", "document.col.install", "document.col.year"))
            + (told.say("offer.col.years", n=years), told.say("offer.col.enough"), told.say("offer.col.fits")),
            tuple(
                (
                    told.title(one),
                    told.price(one),
                    told.usd(one.running_cost.usd_per_yr, 10),
                    told.say("document.about_usd", total_usd=one.money.point_usd),
                    told.verdict(one.capacity.verdict),
                    told.verdict(one.house.verdict),
                )
                for one in winners.over_the_years(comparison)[:SIDE_BY_SIDE]
            ),
            (3.4, 2.0, 1.0, 1.2, 2.0, 1.8),
        )
        yield Paragraph(told.say("document.estimate"), is_small=True)
        return
    yield Heading(told.say("offer.heading"))
    columns = [_column(told, checked) for checked in shown]
    keys = ("offer.col.heater", "offer.col.total", "offer.col.rebate", "offer.col.until")
    labels = [told.say(key) for key in keys]
    labels += [told.say("offer.col.years", n=years), told.say("offer.col.enough"), told.say("offer.col.fits")]
    rows = tuple((label, *cells) for label, *cells in zip(labels, *columns, strict=True))
    heads = tuple(who(number, comparison.offers, told.language) for number in range(1, len(shown) + 1))
    yield Table(("", *heads), rows, (1.3, *(2.0 for _ in shown)))
    asked = tuple(
        f"{head}: {text}" for head, checked in zip(heads, shown, strict=True) for text in _asked(told, checked)
    )
    if asked:
        yield Bullets(asked)
    if len(comparison.offers) > len(shown):
        yield Paragraph(told.say("document.more_offers", n=len(comparison.offers) - len(shown)), is_small=True)


def _asked(told: Told, checked: CheckedOffer) -> Iterator[str]:
    """An offer's faults in few words; the rest, and why a line is missing, stands on the installer's pages."""
    grave = [one for one in checked.findings if one.severity > Severity.NOTE]
    faults = [told.say(_short(one)) for one in grave if one.code != "offer.missing"]
    missing = tuple(one.number("job") for one in grave if one.code == "offer.missing")
    if missing:
        more = len(missing) - _NAMED
        # First, as it is what the customer would pay for later.
        faults.insert(
            0,
            told.say("document.missing", jobs=missing)
            if more <= 0
            else told.say("document.missing.more", jobs=missing[:_NAMED], n=more),
        )
    yield from faults[:_FAULTS]
    if len(faults) > _FAULTS:
        yield told.say("document.more_faults", n=len(faults) - _FAULTS)


def _short(one: Finding) -> Finding:
    """A fault that quotes a long line quotes its beginning."""
    numbers = ((name, f"{value[:_QUOTED]}…" if _is_long(value) else value) for name, value in one.numbers)
    return one._replace(numbers=tuple(numbers))


def _is_long(value: object) -> TypeGuard[str]:
    return isinstance(value, str) and len(value) > _QUOTED


def _column(told: Told, checked: CheckedOffer) -> tuple[str, ...]:
    offer, candidate = checked.offer, told.comparison.candidate(checked.offer.candidate)
    return (
        told.title(candidate),
        cents(offer.price_usd, told.language),
        cents(offer.rebate_usd, told.language) if offer.rebate_usd else "–",
        offer.valid_until.isoformat() if offer.valid_until else told.say("offer.not_said"),
        told.say("document.about_usd", total_usd=checked.life_cycle_usd),
        told.verdict(candidate.capacity.verdict),
        told.verdict(candidate.house.verdict),
    )


def _chart(told: Told) -> Iterator[Block]:
    """One bar a heater: what is offered, else one of each kind; the numbers are those of the comparison."""
    comparison = told.comparison
    offered = list(
        {one.offer.candidate: comparison.candidate(one.offer.candidate) for one in comparison.offers}.values()
    )
    same = comparison.advice.same_again
    shown = [*offered, *winners.over_the_years(comparison), *([] if same is None else [same])]
    shown = list({one.heater.id: one for one in shown}.values())[:SIDE_BY_SIDE]
    if told.chosen not in shown:
        shown = [told.chosen, *shown[: SIDE_BY_SIDE - 1]]
    bars = []
    for one in shown:
        band = one.money.life_cycle_cost_usd
        about = told.say("document.about_usd", total_usd=band.point)
        bars.append(Bar(told.title(one), one.money.installed_usd.point, band.point, band.p10, band.p90, about))
    years = comparison.money.terms.study_yr
    yield Heading(told.say("document.years", n=years))
    parts = {key: told.say(f"document.chart.{key}") for key in ("price", "later", "likely")}
    yield Picture(cost_bars(bars, **parts), "; ".join(f"{bar.name}: {bar.told}" for bar in bars))
    yield Paragraph(told.say("document.chart.note", n=years), is_small=True)


def _jobs(told: Told) -> tuple[str, ...]:
    house = told.chosen.house
    by_weight = sorted(house.work, key=lambda job: -job.typical_usd)
    most = _CROWDED_JOBS if _is_crowded(told) else _JOBS
    shown = [f"{told.say(job.what)}: {told.say(job.why).removesuffix('.')}." for job in by_weight[:most]]
    rest = by_weight[most:]
    if rest:
        shown.append(told.say("document.more_jobs", jobs=tuple(told.say(job.what) for job in rest)))
    return tuple(shown)


def _questions(told: Told) -> Table:
    chosen = told.chosen
    least, _, most = chosen.money.running_usd_per_yr
    lead_time = chosen.lead_time
    held_up = told.say("document.answer.held_up", job=lead_time.held_up_by) if lead_time.days >= 1 else ""
    price = [] if chosen.quote_usd is not None or not told.comparison.offers else [("price", told.price(chosen))]
    answers = (
        *price,
        ("enough", f"{told.verdict(chosen.capacity.verdict)}. {told.sentences(chosen.capacity.why)}"),
        ("fits", f"{told.verdict(chosen.house.verdict)}. {told.sentences(chosen.house.why)}"),
        ("soon", told.say("document.answer.soon", when=lead_time.when, why=held_up)),
        (
            "run",
            told.say(
                "document.answer.run",
                run_usd=chosen.running_cost.usd_per_yr,
                least_usd=least,
                most_usd=most,
                upkeep_usd=chosen.money.upkeep_usd_per_yr,
            ),
        ),
        ("lasts", told.say("document.answer.lasts", life_yr=chosen.money.life_yr)),
    )
    rows = tuple((told.say(f"document.question.{key}"), answer) for key, answer in answers)
    return Table(("", ""), rows, (1.4, 5.0))


def _cautions(told: Told) -> tuple[str, ...]:
    """This heater's own, then what always holds; what can hurt someone first."""
    found = (*gravest_first(told.chosen.house.cautions), *told.comparison.site.cautions, *always())
    ordered = sorted(dict.fromkeys(found), key=lambda one: -one.severity)
    return tuple(map(told.say, ordered))


def all_cautions(told: Told) -> Bullets:
    """Every caution that applies."""
    return Bullets(_cautions(told))
