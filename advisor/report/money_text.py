"""Money as text: a few lines for the comparison, and the whole account with its map for those who want it."""

from __future__ import annotations

import itertools
import string
import textwrap

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.kinds import electricity, piped_gas
from advisor.money.life_cycle import life_cycle
from advisor.report import winners
from advisor.report.conclusion_text import conclusion_text
from advisor.report.money_words import account, later_heaters, public_money, rate, what_would_change
from advisor.report.prices_text import average_note
from advisor.report.words import say, usd

_WIDTH = 100


def _wrap(text: str, indent: str = "") -> str:
    return textwrap.fill(text, _WIDTH, initial_indent=indent, subsequent_indent=" " * len(indent))


def money_section(comparison: Comparison) -> str:
    """A few lines: the years added up, what would change the answer, and public money. Empty if nothing is advised."""
    first = comparison.recommended
    if first is None:
        return ""
    years = comparison.money.terms.study_yr
    lines = [f"Money over {years} years, in today's dollars (likely range: 8 chances in 10)"]
    lines += [_wrap(say(account(comparison, candidate)), "  ") for candidate in _to_show(comparison, first)]
    lines += [_wrap(sentence, "  ") for sentence in map(say, what_would_change(comparison))]
    lines += [_wrap(sentence, "  ") for sentence in map(say, later_heaters(comparison))]
    lines += [_wrap(sentence, "  ") for sentence in map(say, public_money(comparison))]
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
                    *(_wrap(sentence, "  ") for sentence in map(say, what_would_change(comparison, whole=True))),
                    *(_wrap(sentence, "  ") for sentence in map(say, later_heaters(comparison))),
                ]
            ),
            _map(comparison),
        ]
    public = [_wrap(line, "  ") for line in map(say, public_money(comparison))]
    parts += [_prices(comparison), "\n".join(["Public money: ask, nothing here is promised", *public])]
    return "\n\n".join([_wrap(conclusion_text(comparison.advice)), *parts])


def _to_show(comparison: Comparison, first: Candidate) -> list[Candidate]:
    """The pick, what it is measured against, the cheapest to own, and what one would put in of each other kind."""
    baseline = comparison.candidate(comparison.money.baseline_id)
    shown = (first, baseline, comparison.advice.cheapest_to_own, *comparison.advice.kinds)
    return list({candidate.heater.id: candidate for candidate in shown if candidate is not None}.values())


def _terms(comparison: Comparison) -> str:
    money = comparison.money
    return _wrap(
        f"{money.terms.study_yr} years from {money.base_year}, later money discounted at"
        f" {money.terms.discount_frac:.1%} a year above inflation; energy prices go {say(f'course.{money.course}')}"
        f"{f' ({money.division})' if money.course == 'outlook' else ''}. A heater that fails is bought again; what"
        f" is left of the last counts, the work around it does not. Ranges come from {money.draws:,} versions of the"
        " household, the same for every candidate. Energy is what such heaters take in homes, here as in every figure."
    )


def _accounts(comparison: Comparison) -> str:
    """Today's worth by kind of flow for the first of each family."""
    first = comparison.recommended
    shown = _to_show(comparison, first) if first is not None else comparison.candidates[:6]
    lines = ["Today's worth of it all"]
    for candidate in shown:
        money = candidate.money
        whole = life_cycle(money.option, comparison.money.terms)
        parts = [
            f"{say(f'flow.{kind}')} {usd(worth, 100)}" for kind, worth in whole.present_usd.items() if abs(worth) >= 50
        ]
        lines.append(_wrap(say(account(comparison, candidate)), "  "))
        running, labelled = candidate.running_cost.usd_per_yr, candidate.cost_as_labelled().usd_per_yr
        more = [
            f"{usd(money.annualised_usd.point, 10)} a year",
            f"{usd(running, 10)} of it to run ({usd(labelled, 10)} as the label alone has it)",
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
    drawn = winners.map_of_prices(comparison, gas_fuel or piped_gas(), columns=9 if gas_fuel else 1)
    if drawn is None:
        return ""
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
            f"{name}: {say(rate(bill.tariff.rate))}, before {bill.tariff.tax_frac:.1%} tax; a unit that a usual water"
            f" heater adds costs ${prices.usd_per_unit[fuel]:.4g} a {unit}."
        )
        lines.append(_wrap(text, "  "))
    lines += [
        _wrap(f"{fuel.title} account: ${charge:.2f} a month, counted where it begins or ends.", "  ")
        for fuel, charge in prices.fixed_usd_per_mo.items()
        if charge
    ]
    if said := average_note(comparison):
        lines.append(_wrap(said, "  "))
    return "\n".join(lines)
