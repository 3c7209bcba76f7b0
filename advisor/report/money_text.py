"""Money as text: a few lines for the comparison, and the whole account with its map for those who want it."""

from __future__ import annotations

import itertools
import string
import textwrap

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.kinds import electricity, piped_gas
from advisor.money.bill import rate_words
from advisor.money.chance import chance_word
from advisor.money.escalation import SCENARIOS
from advisor.money.incentives import incentives_for, reported_open_on
from advisor.money.life_cycle import life_cycle
from advisor.money.results import Band
from advisor.money.sensitivity import BreakEven, BreakEvenPrice, break_even_of, drivers, price_map
from advisor.recommendation.rule import family_firsts, family_of, rival_of, worth_choosing
from advisor.report.conclusion_text import conclusion_text, payback_finding
from advisor.report.words import say, usd

_WIDTH = 100
#: A price farther off than this many times today's is no news for the household.
_FAR = 4.0
_KINDS = {
    "purchase": "to put in",
    "incentive": "rebates",
    "replacement": "later heaters",
    "residual": "value left",
    "energy": "energy",
    "upkeep": "upkeep",
    "account": "accounts",
    "other": "other",
}


def _wrap(text: str, indent: str = "") -> str:
    return textwrap.fill(text, _WIDTH, initial_indent=indent, subsequent_indent=" " * len(indent))


def money_section(comparison: Comparison) -> str:
    """A few lines: the years added up, what would change the answer, and public money. Empty if nothing is advised."""
    first = comparison.recommended
    if first is None:
        return ""
    years = comparison.money.terms.study_yr
    lines = [f"Money over {years} years, in today's dollars (likely range: 8 chances in 10)"]
    lines += [_wrap(_account_line(comparison, candidate), "  ") for candidate in _to_show(comparison, first)]
    lines += [_wrap(sentence, "  ") for sentence in what_would_change(comparison, first)]
    lines += [_wrap(sentence, "  ") for sentence in incentive_sentences(comparison)]
    lines.append("  'advisor money CASE' shows the whole account, the map of prices and the tariffs.")
    return "\n".join(lines)


def money_text(comparison: Comparison) -> str:
    """The whole account."""
    first = comparison.recommended
    parts = [_terms(comparison), _accounts(comparison)]
    if first is not None:
        parts += [
            "\n".join(
                [
                    "What would change the answer",
                    *(_wrap(sentence, "  ") for sentence in what_would_change(comparison, first, whole=True)),
                ]
            ),
            _map(comparison),
        ]
    public = [_wrap(line, "  ") for line in incentive_sentences(comparison)]
    parts += [_prices(comparison), "\n".join(["Public money: ask, nothing here is promised", *public])]
    return "\n\n".join([_wrap(conclusion_text(comparison.conclusion)), *parts])


def _to_show(comparison: Comparison, first: Candidate) -> list[Candidate]:
    """The recommended one, what it is measured against, and the first of each other family."""
    firsts = family_firsts(worth_choosing(comparison.candidates))
    others = [candidate for candidate in firsts if family_of(candidate) != family_of(first)]
    baseline = comparison.candidate(comparison.money.baseline_id)
    return list({candidate.heater.id: candidate for candidate in (first, baseline, *others)}.values())


def _account_line(comparison: Comparison, candidate: Candidate) -> str:
    money = candidate.money
    text = f"{candidate.heater.title}: {_range(money.life_cycle_cost_usd)}"
    if money.is_baseline:
        return f"{text}; {_is_baseline(comparison)}."
    against = f"{chance_word(money.chance_saves_frac)} to cost less ({_percent(money.chance_saves_frac)})"
    back = money.measured.payback
    if back.state == "cheaper to buy, dearer to run":
        return f"{text}; {against}; cheaper to put in, dearer to run."
    extra = "it" if back.state == "saves from day one" else "its extra price"
    return f"{text}; {against}; {extra} {say(payback_finding(back, comparison.money.terms.study_yr))}."


def _percent(chance_frac: float) -> str:
    """A chance that no draws can settle is not called nought or certain."""
    if chance_frac < 0.01:
        return "under 1%"
    return "over 99%" if chance_frac > 0.99 else f"{100 * chance_frac:.0f}%"


def _is_baseline(comparison: Comparison) -> str:
    if comparison.money.baseline_id == comparison.like_for_like_id:
        return "the plain replacement, which the others are measured against"
    return "the others are measured against it, as the plain replacement cannot be put in here"


def _range(band: Band) -> str:
    return f"about {usd(band.point, 100)} ({usd(band.p10, 100)} to {usd(band.p90, 100)})"


def what_would_change(comparison: Comparison, first: Candidate, *, whole: bool = False) -> list[str]:
    """Sentences: where the closest rival draws level, what moves the difference, other courses of prices."""
    rival = rival_of(first, comparison.candidates)
    sentences = []
    if rival is not None:
        sentences.append(_break_even_sentence(rival, break_even_of(first.money, rival.money)))
        sentences.append(
            "What moves the difference between those two most, each alone: "
            + "; ".join(
                f"{driver.name.replace('rival', _name(rival))} (by {usd(driver.reach_usd, 100)}"
                f"{', enough to turn the answer' if driver.turns_the_answer else ''})"
                for driver in drivers(first.money, rival.money)
            )
            + "."
        )
    sentences.append(_courses(comparison, first, whole=whole))
    return sentences


def _name(candidate: Candidate) -> str:
    return "tank" if candidate.heater.is_storage else "tankless heater"


def _break_even_sentence(rival: Candidate, found: BreakEven) -> str:
    name, title = _name(rival), rival.heater.title
    near = [price for price in found.prices if 1 / _FAR <= price.level_usd_per_unit / price.now_usd_per_unit <= _FAR]
    if found.quote_level_usd is not None and found.quote_level_usd > found.quote_now_usd:
        return (
            f"The {name} that comes closest ({title}) already comes out a little lower, by too little or too"
            f" unsure to change kind for it; it would stop doing so at an installed price of about"
            f" {usd(found.quote_level_usd, 100)}, from {usd(found.quote_now_usd, 100)}."
        )
    ways = [_price_words(price) for price in near[:2]]
    if found.quote_level_usd is not None:
        level, now = usd(found.quote_level_usd, 100), usd(found.quote_now_usd, 100)
        ways.append(f"its installed price falls below about {level}, from {now}")
    if not ways:
        return f"The {name} that comes closest would not win at any energy price near today's, nor as a gift."
    prices = "" if near else " No energy price near today's would do it."
    return f"The {name} that comes closest ({title}) wins over the years if {', or if '.join(ways)}.{prices}"


def _price_words(price: BreakEvenPrice) -> str:
    digits = 3 if price.fuel.is_electric else 2
    way = "is above" if price.wins_above else "is below"
    then, now = f"{price.level_usd_per_unit:,.{digits}f}", f"{price.now_usd_per_unit:,.{digits}f}"
    return f"{price.fuel.title} {way} ${then} a {price.fuel.spoken_unit} (today ${now})"


def _courses(comparison: Comparison, first: Candidate, *, whole: bool) -> str:
    """The cheapest under each course of prices: no outlook has been right for long."""
    worth = worth_choosing(comparison.candidates)
    cheapest, costs = [], []
    for course, words in SCENARIOS.items():
        there = comparison.money.with_course(course)
        least = min(worth, key=lambda candidate: there.of(candidate.heater.id).point_usd)
        cheapest.append(least)
        costs.append(f"{words}: {least.heater.title}, about {usd(there.of(least.heater.id).point_usd, 100)}")
    if not whole and all(family_of(candidate) == family_of(first) for candidate in cheapest):
        return "Whether energy prices go as the federal outlook has it, stay level or rise, the same kind costs least."
    return f"Cheapest over the years if prices go {'; '.join(costs)}."


def incentive_sentences(comparison: Comparison) -> list[str]:
    """Dated facts on public money, and which rebates were counted."""
    case = comparison.case
    counted = sum(candidate.money.rebate_usd > 0 for candidate in comparison.candidates)
    found = [f"Rebates that you entered are taken off the price of {counted} of the candidates."] if counted else []
    kinds = dict.fromkeys(candidate.heater.technology for candidate in comparison.candidates)
    lines = {line.id: line for kind in kinds for line in incentives_for(kind, comparison.install_date)}
    for line in lines.values():
        cap = f", at most {usd(line.cap_usd)}" if line.cap_usd and line.status == "ask" else ""
        status = {"ended": "ended", "not begun": "not begun", "ask": "ask whether it is open to you"}[line.status]
        found.append(f"{line.title}: {status}{cap}; as known on {line.as_of}.")
    opened = reported_open_on(comparison.site.location.state)
    if opened is not None and any(line.kind == "state rebate" for line in lines.values()):
        found.append(f"{comparison.site.location.state} was reported on {opened} to have opened its rebate; ask again.")
    if not case.rebates:
        found.append("No such money is counted above: enter under 'rebates' what somebody promised you in writing.")
    return found


def _terms(comparison: Comparison) -> str:
    money = comparison.money
    return _wrap(
        f"{money.terms.study_yr} years from {money.base_year}, later money discounted at"
        f" {money.terms.discount_frac:.1%} a year above inflation; energy prices go {SCENARIOS[money.course]}"
        f"{f' ({money.division})' if money.course == 'outlook' else ''}. A heater that fails is bought again; what"
        f" is left of the last counts, the work around it does not. Ranges come from {money.draws:,} versions of the"
        " household, the same for every candidate. Energy is what such heaters take in homes, a little more than the"
        " yearly running cost shown elsewhere, which is the label's model."
    )


def _accounts(comparison: Comparison) -> str:
    """Today's worth by kind of flow for the first of each family."""
    first = comparison.recommended
    shown = _to_show(comparison, first) if first is not None else comparison.candidates[:6]
    lines = ["Today's worth of it all"]
    for candidate in shown:
        money = candidate.money
        whole = life_cycle(money.option, comparison.money.terms)
        parts = [f"{_KINDS[kind]} {usd(worth, 100)}" for kind, worth in whole.present_usd.items() if abs(worth) >= 50]
        lines.append(_wrap(_account_line(comparison, candidate), "  "))
        more = [
            f"{usd(money.annualised_usd.point, 10)} a year",
            f"energy in homes {money.costs.field_gap_dimensionless:.2f} times the quoted figure",
            f"mean life {money.life_yr:g} years",
        ]
        measured = money.measured
        if measured.savings_ratio is not None and measured.savings_ratio > 0:
            more.append(f"savings to investment {measured.savings_ratio:.2f}")
        if measured.return_frac is not None:
            more.append(f"a return of {measured.return_frac:.1%} a year above inflation")
        lines.append(_wrap(f"{', '.join(parts)}. That is {', '.join(more)}.", "      "))
    return "\n".join(lines)


def _map(comparison: Comparison) -> str:
    """A grid of letters: which candidate costs least at each pair of prices."""
    gas_fuel = next((fuel for fuel in comparison.case.house.fuels if fuel.is_burned), None)
    worth = [candidate.money for candidate in worth_choosing(comparison.candidates)]
    drawn = price_map(worth, gas_fuel or piped_gas(), columns=9 if gas_fuel else 1)
    seen = dict.fromkeys(heater_id for row in drawn.cheapest_id for heater_id in row)
    letters = dict(zip(seen, itertools.cycle(string.ascii_uppercase), strict=False))
    title = "What costs least as prices change, [ ] is today"
    across = f"; $ a {gas_fuel.spoken_unit} of {gas_fuel.title}, across" if gas_fuel else ""
    lines = [title, f"  $ a kWh, down{across}"]
    if gas_fuel:
        lines.append(f"{'':10}" + "".join(f"{price:>7.2f}" for price in drawn.gas_usd_per_unit))
    for row in reversed(range(len(drawn.electricity_usd_per_kwh))):
        cells = ""
        for column, heater_id in enumerate(drawn.cheapest_id[row]):
            letter = letters[heater_id]
            cells += f"{f'[{letter}]' if (row, column) == drawn.here else f'{letter} ':>7}"
        lines.append(f"{drawn.electricity_usd_per_kwh[row]:>10.3f}{cells}".rstrip())
    lines += [f"  {letter}  {comparison.candidate(heater_id).heater.title}" for heater_id, letter in letters.items()]
    return "\n".join(lines)


def _prices(comparison: Comparison) -> str:
    lines = ["Prices and tariffs used"]
    prices = comparison.prices
    for fuel in dict.fromkeys((*comparison.case.house.fuels, electricity())):
        name, unit = fuel.title, fuel.spoken_unit
        bill = prices.bills.get(fuel)
        if bill is None:
            lines.append(_wrap(f"{name}: ${prices.usd_per_unit[fuel]:.4g} a {unit}.", "  "))
            continue
        text = (
            f"{name}: {rate_words(bill.tariff.rate)}, before {bill.tariff.tax_frac:.1%} tax; a unit that a usual water"
            f" heater adds costs ${prices.usd_per_unit[fuel]:.4g} a {unit}."
        )
        lines.append(_wrap(text, "  "))
    lines += [
        _wrap(f"{fuel.title} account: ${charge:.2f} a month, counted where it begins or ends.", "  ")
        for fuel, charge in prices.fixed_usd_per_mo.items()
        if charge
    ]
    return "\n".join(lines)
