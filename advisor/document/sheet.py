"""A sheet to keep: one page for the homeowner, with the pick and the choices beside it, the jobs and what to ask."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from advisor import __version__
from advisor.comparison import Comparison
from advisor.document.blocks import Block, Bullets, Document, Heading, Link, Paragraph, Table
from advisor.document.told import Told, about, fingerprint
from advisor.house.items import WorkItem
from advisor.report import plain_words
from advisor.report.assumed_text import in_words
from advisor.report.decision_text import called, choices, lines, shown, to_ask

#: What has room on one sheet of either size: jobs with a line each, things taken for granted, letters of a link.
_JOBS, _TAKEN, _LINK_LETTERS = 9, 8, 900
#: What moves the answer most of all that is taken for granted, the first ones first.
_FIRST = ("household.set_point_f", "household.hot_water_gpd", "prices.", "house.", "water.", "household.")


def sheet(
    comparison: Comparison, *, link: str = "", language: str = "en", si: bool = False, day: date | None = None
) -> Document:
    """The sheet of a comparison.

    Parameters
    ----------
    comparison : Comparison
        What was worked out.
    link : str, optional
        The address that opens this house again; left out where it is too long to print.
    language, si : str, bool
        ``en`` or ``es``; amounts in SI.
    day : date, optional
        Its date; that of the comparison if not given.
    """
    told = Told(comparison, comparison.recommended or about(comparison), language, si, day or comparison.today)
    foot = told.say("document.foot", version=__version__, fingerprint=fingerprint(comparison), day=told.day.isoformat())
    return Document(told.say("sheet.title"), language, foot, tuple(_blocks(told, link)), scale=1.2)


def _blocks(told: Told, link: str) -> Iterator[Block]:
    comparison, pick = told.comparison, told.comparison.recommended
    where, people = comparison.site.location, comparison.case.household.people
    if pick is None:
        yield Heading(told.say("home.none"), 1)
    else:
        name = called(comparison, pick, language=told.language, si=told.si)
        yield Heading(told.say(plain_words.headline(comparison.advice, pick, name, told.language)), 1)
    counted = told.say("frame.one_person") if people == 1 else told.say("frame.people", n=people)
    day = told.day.isoformat()
    yield Paragraph(told.say("sheet.where", city=where.city, state=where.state, people=counted, day=day), is_small=True)
    if pick is None:
        yield Paragraph(told.say("home.none.what"))
    else:
        yield Bullets(tuple(told.say(one).replace("**", "") for one in lines(pick)))
    yield from _choices(told)
    if (repair := told.repair()) is not None:
        yield Paragraph(repair, is_small=True)
    if pick is not None:
        yield from _jobs(told)
        yield Heading(told.say("sheet.ask"))
        yield Bullets(tuple(map(told.say, to_ask(comparison, pick))))
    yield from _taken(told)
    yield Paragraph(f"{told.say('work.licensed')} {told.say('start.estimate')}", is_small=True)
    # An address, and nothing that runs.
    if link.startswith(("http://", "https://")) and len(link) <= _LINK_LETTERS:
        yield Link(told.say("sheet.link"), link)


def _choices(told: Told) -> Iterator[Block]:
    rows = choices(told.comparison, language=told.language, si=told.si)
    if not rows:
        return
    n = told.comparison.money.terms.study_yr
    yield Heading(told.say("home.table.title"))
    yield Table(
        (*(told.say(f"home.col.{key}") for key in ("which", "soon", "now", "month")), told.say("home.col.years", n=n)),
        tuple(
            (f"{', '.join(map(told.say, one.labels))}: {one.name}", one.lead_time, one.now, one.month, one.years)
            for one in rows
        ),
        (4.0, 2.0, 1.0, 1.0, 1.3),
    )
    meant = plain_words.meanings([one.heater for one in shown(told.comparison)])
    if meant:
        yield Paragraph(" ".join(map(told.say, meant)), is_small=True)


def _jobs(told: Told) -> Iterator[Block]:
    house = told.chosen.house
    by_price = sorted(house.work, key=lambda job: -job.typical_usd)
    yield Heading(told.say("sheet.jobs"))
    yield Table(
        (told.say("col.job"), told.say("col.price"), told.say("col.who"), told.say("col.permit")),
        tuple(_job(told, job) for job in (house.base, *by_price[:_JOBS])),
        (4.0, 1.6, 2.2, 0.8),
    )
    whose = told.say("sheet.jobs.prices")
    rest = tuple(told.say(job.what) for job in by_price[_JOBS:])
    yield Paragraph(f"{told.say('sheet.jobs.more', jobs=rest)} {whose}" if rest else whose, is_small=True)


def _job(told: Told, job: WorkItem) -> tuple[str, ...]:
    what = told.title(told.chosen) if job is told.chosen.house.base else told.say(job.what)
    price = "" if job.asks_first else told.say("document.range_10", low_usd=job.low_usd, high_usd=job.high_usd)
    return what, price, told.say(job.who), told.say("web.yes") if job.needs_permit else ""


def _taken(told: Told) -> Iterator[Block]:
    """The first few in sentences; how many there are beside them."""
    found = sorted(told.comparison.assumed, key=lambda one: [not one.field.startswith(part) for part in _FIRST])
    said = list(dict.fromkeys(filter(None, (in_words(one, told.language) for one in found))))
    more = len(told.comparison.assumed) - len(said[:_TAKEN])
    if not said:
        return
    yield Heading(told.say("taken.title"))
    rest = f" {told.say('sheet.taken.more', n=more)}" if more > 0 else ""
    yield Paragraph(" ".join(said[:_TAKEN]) + rest, is_small=True)
