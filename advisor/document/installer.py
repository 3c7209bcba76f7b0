"""The pages for the installer: sizing with its working, every trade, the offers line by line, the sheet of readings."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.core.findings import Finding
from advisor.core.published import state_word
from advisor.core.units import UNITS, suffix_of
from advisor.core.working import Working
from advisor.document.blocks import Blanks, Block, Bullets, Heading, Paragraph, Table
from advisor.document.customer import all_cautions
from advisor.document.told import Told
from advisor.house.gas import pipe as gas_pipe
from advisor.house.gas.tree import SOURCE, called
from advisor.house.items import TradeCheck
from advisor.house.readings import Judged, judged, readings_for
from advisor.report.offers_text import questions, who
from advisor.report.price_words import job_notes, price_words
from advisor.report.readings_text import amount_words, expected_words, verdict_words
from advisor.report.words import cents


def installer_blocks(told: Told) -> Iterator[Block]:
    """Everything from the second page on."""
    chosen = told.chosen
    yield Heading(told.say("document.installer", heater=told.title(chosen)), 1)
    yield from _sizing(told)
    for trade in chosen.house.trades:
        yield from _trade(told, trade)
    yield from _jobs(told)
    yield from _offer_lines(told)
    yield from _readings(told)
    yield Heading(told.say("document.care"))
    yield all_cautions(told)
    yield from _assumed(told)
    yield from _sources(told)


def _sizing(told: Told) -> Iterator[Block]:
    comparison, chosen = told.comparison, told.chosen
    demand, mains = comparison.circumstances.demand, comparison.site.mains
    yield Heading(told.say("document.sizing"))
    yield Paragraph(f"{told.verdict(chosen.capacity.verdict)}. {told.sentences(chosen.capacity.why)}")
    yield Paragraph(
        told.say(
            "document.demand",
            daily_gal=demand.annual_gal / 365,
            busy_gal=demand.busy_hour_gal,
            together_gpm=demand.simultaneous_gpm,
            winter_f=mains.coldest_f,
            summer_f=mains.warmest_f,
            set_point_f=comparison.circumstances.set_point_f,
        )
    )
    yield Table(
        tuple(told.say(f"document.col.{key}") for key in ("figure", "result", "working", "source")),
        tuple(_worked(told, one) for one in chosen.capacity.workings),
        (2.2, 1.2, 3.6, 2.6),
    )


def _worked(told: Told, one: Working) -> tuple[str, ...]:
    inputs = ", ".join(f"{name} = {_input(told, name, value)}" for name, value in one.inputs.items())
    source = f"{one.published.source} [{told.say(state_word(one.published.state))}]"
    return told.say(one.figure), told.amount(one.result, one.suffix), f"{one.formula}: {inputs}", source


def _input(told: Told, name: str, value: object) -> str:
    suffix = suffix_of(name) or "dimensionless"
    return told.amount(float(value), suffix) if isinstance(value, int | float) and suffix in UNITS else str(value)


def _trade(told: Told, trade: TradeCheck) -> Iterator[Block]:
    yield Heading(f"{told.say(f'trade.{trade.trade}')}: {told.verdict(trade.verdict)}", 3)
    cited = tuple(dict.fromkeys(one.citation for one in trade.findings if one.citation))
    where = f" [{'; '.join(cited)}]" if cited else ""
    if trade.findings:
        yield Paragraph(f"{told.sentences(trade.findings)}{where}")
    if trade.detail is None:
        return
    if trade.trade == "gas":
        yield from _gas(told, trade)
    elif trade.trade == "vent" and trade.detail.run is not None:
        run = trade.detail.run
        yield Paragraph(
            told.say(
                "document.vent",
                straight_ft=run.exhaust.straight_ft,
                n=run.exhaust.elbows_90,
                elbows_45=run.exhaust.elbows_45,
                counted_ft=run.exhaust_ft,
                limit_ft=run.limit_ft,
            )
        )
    elif trade.trade == "power" and trade.detail.service is not None:
        service = trade.detail.service
        yield Table(
            tuple(told.say(f"document.col.{key}") for key in ("counted_by", "today", "with", "service", "section")),
            tuple(
                (
                    told.say(route.name),
                    told.amount(route.before_a, "a", 0),
                    told.amount(route.after_a, "a", 0),
                    told.amount(service.service_a, "a", 0),
                    f"{route.section} {'✓' if route.carries else '✗'}",
                )
                for route in service.routes
            ),
            (3.0, 1.0, 1.0, 1.0, 2.0),
        )


def _gas(told: Told, trade: TradeCheck) -> Iterator[Block]:
    system, check = trade.detail.system, trade.detail.check
    sized = {one.segment.name: one for one in check.by_length.segments}
    yield Table(
        tuple(told.say(f"document.col.{key}") for key in ("pipe", "from", "size", "length", "by_table")),
        tuple(
            (
                _called(told, run.name),
                _called(told, run.upstream),
                told.say(gas_pipe.named(run.material, run.size)),
                told.amount(run.length_ft, "ft", 0),
                "✓" if sized[run.name].passes else "✗",
            )
            for run in system.segments
        ),
        (2.2, 2.2, 2.2, 1.0, 1.0),
    )
    yield Table(
        tuple(told.say(f"document.col.{key}") for key in ("appliance", "arrives", "needed", "enough")),
        tuple(
            (
                _called(told, served.outlet.name),
                told.amount(served.inlet_inwc, "inwc", 2),
                told.amount(served.min_inlet_inwc, "inwc", 2),
                "✓" if served.passes else "✗",
            )
            for served in check.pressure.outlets
        ),
        (3.0, 1.6, 1.6, 1.0),
    )


def _called(told: Told, name: str) -> str:
    """A pipe or an appliance in the paper's language where the name is one of ours, else as it was typed."""
    if name == SOURCE:
        return told.say("document.gas.source")
    known = called(name)
    return told.say(known) if isinstance(known, Finding) else name


def _jobs(told: Told) -> Iterator[Block]:
    house = told.chosen.house
    yield Heading(told.say("document.jobs"))
    rows = []
    for job in (house.base, *house.work):
        what = told.title(told.chosen) if job is house.base else told.say(job.what)
        price = "–" if job.asks_first else told.say("document.range_10", low_usd=job.low_usd, high_usd=job.high_usd)
        why = f"{told.say(job.why).removesuffix('.')} ({'; '.join(map(told.say, job_notes(job)))})"
        rows.append((what, price, why, told.say(job.who)))
    yield Table(
        tuple(told.say(f"document.col.{key}") for key in ("job", "our_price", "why", "who")),
        tuple(rows),
        (2.6, 1.3, 4.0, 1.6),
    )
    is_offered = told.chosen.quote_usd is not None
    whose = told.say("document.prices_beside") if is_offered else told.say(price_words(told.chosen))
    yield Paragraph(told.say("document.prices", whose=whose), is_small=True)


def _offer_lines(told: Told) -> Iterator[Block]:
    for number, checked in enumerate(told.comparison.offers, start=1):
        offer = checked.offer
        yield Heading(
            f"{who(number, told.comparison.offers, told.language)}: {cents(offer.price_usd, told.language)}", 3
        )
        if offer.lines:
            rows = tuple(
                (line.what, told.say(f"offer.kind.{line.kind}"), cents(line.usd, told.language)) for line in offer.lines
            )
            sums = (told.say("document.sum"), "", cents(offer.sum_usd, told.language))
            heads = tuple(told.say(f"document.col.{key}") for key in ("line", "sort", "usd"))
            yield Table(heads, (*rows, sums), (5.0, 1.4, 1.4))
        yield Bullets(tuple(questions(checked, language=told.language, si=told.si)))


def _readings(told: Told) -> Iterator[Block]:
    comparison, chosen = told.comparison, told.chosen
    readings = readings_for(chosen.heater, comparison.facts, comparison.circumstances, chosen.use)
    taken = judged(readings, comparison.case.readings, chosen.heater.id)
    yield Heading(told.say("reading.title", heater=told.title(chosen)))
    yield Paragraph(told.say("reading.care"), is_small=True)
    yield Table(
        tuple(told.say(f"document.col.{key}") for key in ("reading", "expected", "how", "found")),
        tuple(
            (
                f"{number}. {told.say(one.what)}",
                expected_words(one, si=told.si, language=told.language),
                told.say(one.how),
                _found(told, [each for each in taken if each.reading is one]),
            )
            for number, one in enumerate(readings, start=1)
        ),
        (2.2, 2.0, 3.2, 2.6) if taken else (2.2, 2.2, 4.2, 1.4),
    )
    signed = dict.fromkeys((one.taken.by or "–", one.taken.read_on) for one in taken)
    for by, on in signed:
        yield Paragraph(told.say("reading.signed", by=by, day=on.isoformat() if on else "–"), is_small=True)
    yield Blanks(
        (told.say("document.sign.installer"), told.say("document.sign.licence"), told.say("document.sign.date"))
    )


def _found(told: Told, taken: list[Judged]) -> str:
    """What was read at one or several heaters and what that says, or a line to write on."""
    parts = []
    for one in taken:
        shown, verdict = (
            amount_words(one, si=told.si, language=told.language),
            verdict_words(one, language=told.language),
        )
        parts.append(f"{shown} {verdict}".strip())
    return "; ".join(parts) or "____________"


def _assumed(told: Told) -> Iterator[Block]:
    found = dict.fromkeys((*told.comparison.assumed, *told.chosen.house.assumed))
    yield Heading(told.say("document.assumed"))
    yield Bullets(
        tuple(f"{one.field} = {_as_in_a_file(one.value)}: {told.say(one.reason)}" for one in found),
        is_small=True,
    )


def _as_in_a_file(value: object) -> str:
    """A value as a case file writes it; a dash where there is none to write."""
    if isinstance(value, tuple):
        return ", ".join(map(_as_in_a_file, value))
    if value is None or isinstance(value, bool):
        return "–" if value is None else str(value).lower()
    return f"{value:g}" if isinstance(value, float) else str(value)


def _sources(told: Told) -> Iterator[Block]:
    worked = (f"{one.published.source} [{told.say(state_word(one.published.state))}]" for one in told.chosen.workings)
    cited = (one.citation for trade in told.chosen.house.trades for one in trade.findings if one.citation)
    yield Heading(told.say("document.sources"))
    yield Bullets(tuple(dict.fromkeys((*worked, *cited))), is_small=True)
