"""Money as text: a few lines for the comparison, and the whole account with its map for those who want it."""

from __future__ import annotations

import textwrap

from advisor.comparison import Comparison
from advisor.core.kinds import electricity, piped_gas
from advisor.money.bill import rate_words
from advisor.money.chance import chance_word
from advisor.money.escalation import SCENARIOS
from advisor.money.incentives import incentives_for, reported_open_on
from advisor.money.life_cycle import life_cycle
from advisor.money.results import Band
from advisor.money.sensitivity import PriceTurn, Turns, drivers, price_map, turns
from advisor.recommendation.rule import Standing, family_firsts, payback_words, rival_of, usd, worth_choosing

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
    first = _first(comparison)
    if first is None:
        return ""
    outlook = comparison.outlook
    lines = [f"Money over {outlook.terms.study_yr} years, in today's dollars (likely range: 8 chances in 10)"]
    for standing in _to_tell(comparison, first):
        lines.append(_wrap(_account_line(comparison, standing), "  "))
    lines += [_wrap(sentence, "  ") for sentence in what_would_change(comparison, first)]
    lines += [_wrap(sentence, "  ") for sentence in incentive_sentences(comparison)]
    lines.append("  'advisor money CASE' shows the whole account, the map of prices and the tariffs.")
    return "\n".join(lines)


def money_text(comparison: Comparison) -> str:
    """The whole account."""
    first = _first(comparison)
    parts = [_terms(comparison), _accounts(comparison)]
    if first is not None:
        parts += [
            "\n".join(
                [
                    "What would change the answer",
                    *(_wrap(sentence, "  ") for sentence in what_would_change(comparison, first, whole=True)),
                ]
            ),
            _map(comparison, first),
        ]
    public = [_wrap(line, "  ") for line in incentive_sentences(comparison)]
    parts += [_prices(comparison), "\n".join(["Public money: ask, nothing here is promised", *public])]
    return "\n\n".join([_wrap(comparison.conclusion), *parts])


def _first(comparison: Comparison) -> Standing | None:
    return next((item for item in comparison.standings if item.id == comparison.recommended_id), None)


def _to_tell(comparison: Comparison, first: Standing) -> list[Standing]:
    """The recommended one, what it is measured against, and the first of each other family."""
    outlook = comparison.outlook
    others = [
        item for item in family_firsts(worth_choosing(comparison.standings), outlook) if item.family != first.family
    ]
    baseline = comparison.standings[outlook.baseline]
    return list({item.id: item for item in (first, baseline, *others)}.values())


def _account_line(comparison: Comparison, standing: Standing) -> str:
    outlook = comparison.outlook
    money = outlook.money(standing.place)
    text = f"{standing.title}: {_range(money.life_cycle_cost_usd)}"
    if standing.place == outlook.baseline:
        return f"{text}; {_is_baseline(comparison)}."
    against = f"{chance_word(money.chance_saves_frac)} to cost less ({_percent(money.chance_saves_frac)})"
    back = money.measured.payback
    if back.state == "cheaper to buy, dearer to run":
        return f"{text}; {against}; cheaper to put in, dearer to run."
    extra = "it" if back.state == "saves from day one" else "its extra price"
    return f"{text}; {against}; {extra} {payback_words(back, outlook.terms.study_yr)}."


def _percent(chance_frac: float) -> str:
    """A chance that no draws can settle is not called nought or certain."""
    if chance_frac < 0.01:
        return "under 1%"
    return "over 99%" if chance_frac > 0.99 else f"{100 * chance_frac:.0f}%"


def _is_baseline(comparison: Comparison) -> str:
    if comparison.outlook.bids[comparison.outlook.baseline].id == comparison.like_for_like_id:
        return "the plain replacement, which the others are measured against"
    return "the others are measured against it, as the plain replacement cannot be put in here"


def _range(band: Band) -> str:
    return f"about {usd(band.point, 100)} ({usd(band.p10, 100)} to {usd(band.p90, 100)})"


def what_would_change(comparison: Comparison, first: Standing, *, whole: bool = False) -> list[str]:
    """Sentences: where the closest rival draws level, what moves the difference, other courses of prices."""
    outlook = comparison.outlook
    rival = rival_of(first, comparison.standings, outlook)
    told = []
    if rival is not None:
        found = turns(outlook.candidates, outlook.market, first.place, rival.place)
        told.append(_turn_sentence(first, rival, found))
        moving = drivers(outlook.candidates, outlook.market, first.place, rival.place)
        told.append(
            "What moves the difference between those two most, each alone: "
            + "; ".join(
                f"{driver.name.replace('rival', _name(rival))} (by {usd(driver.reach_usd, 100)}"
                f"{', enough to turn the answer' if driver.turns_the_answer else ''})"
                for driver in moving
            )
            + "."
        )
    told.append(_courses(comparison, first, whole=whole))
    return told


def _name(standing: Standing) -> str:
    return "tank" if standing.is_storage else "tankless heater"


def _turn_sentence(first: Standing, rival: Standing, found: Turns) -> str:
    name = _name(rival)
    near = [turn for turn in found.prices if 1 / _FAR <= turn.turn_usd_per_unit / turn.now_usd_per_unit <= _FAR]
    if found.quote_turn_usd is not None and found.quote_turn_usd > found.quote_now_usd:
        return (
            f"The {name} that comes closest ({rival.title}) already comes out a little lower, by too little or too"
            f" unsure to change kind for it; it would stop doing so at an installed price of about"
            f" {usd(found.quote_turn_usd, 100)}, from {usd(found.quote_now_usd, 100)}."
        )
    ways = [_price_words(turn) for turn in near[:2]]
    if found.quote_turn_usd is not None:
        level, now = usd(found.quote_turn_usd, 100), usd(found.quote_now_usd, 100)
        ways.append(f"its installed price falls below about {level}, from {now}")
    if not ways:
        return f"The {name} that comes closest would not win at any energy price near today's, nor as a gift."
    prices = "" if near else " No energy price near today's would do it."
    return f"The {name} that comes closest ({rival.title}) wins over the years if {', or if '.join(ways)}.{prices}"


def _price_words(turn: PriceTurn) -> str:
    digits = 3 if turn.fuel.is_electric else 2
    way = "is above" if turn.wins_above else "is below"
    then, now = f"{turn.turn_usd_per_unit:,.{digits}f}", f"{turn.now_usd_per_unit:,.{digits}f}"
    return f"{turn.fuel.title} {way} ${then} a {turn.fuel.spoken_unit} (today ${now})"


def _courses(comparison: Comparison, first: Standing, *, whole: bool) -> str:
    """The cheapest under each course of prices: no outlook has been right for long."""
    outlook = comparison.outlook
    worth = worth_choosing(comparison.standings)
    told, all_same = [], True
    for course, words in SCENARIOS.items():
        there = outlook.with_course(course)
        cheapest = min(worth, key=lambda item: there.point_usd[item.place])
        same = cheapest.family == first.family
        all_same = all_same and same
        told.append(f"{words}: {cheapest.title}, about {usd(float(there.point_usd[cheapest.place]), 100)}")
    if all_same and not whole:
        return "Whether energy prices go as the federal outlook has it, stay level or rise, the same kind costs least."
    return f"Cheapest over the years if prices go {'; '.join(told)}."


def incentive_sentences(comparison: Comparison) -> list[str]:
    """Dated facts on public money, and which rebates were counted."""
    case = comparison.case
    counted = sum(bid.rebate_usd > 0 for bid in comparison.outlook.bids)
    told = [f"Rebates that you entered are taken off the price of {counted} of the candidates."] if counted else []
    kinds = dict.fromkeys(bid.technology for bid in comparison.outlook.bids)
    lines = {line.id: line for kind in kinds for line in incentives_for(kind, comparison.install_date)}
    for line in lines.values():
        cap = f", at most {usd(line.cap_usd, 1)}" if line.cap_usd and line.standing == "ask" else ""
        standing = {"ended": "ended", "not begun": "not begun", "ask": "ask whether it is open to you"}[line.standing]
        told.append(f"{line.title}: {standing}{cap}; as known on {line.as_of}.")
    opened = reported_open_on(comparison.site.location.state)
    if opened is not None and any(line.kind == "state rebate" for line in lines.values()):
        told.append(f"{comparison.site.location.state} was reported on {opened} to have opened its rebate; ask again.")
    if not case.rebates:
        told.append("No such money is counted above: enter under 'rebates' what somebody promised you in writing.")
    return told


def _terms(comparison: Comparison) -> str:
    outlook = comparison.outlook
    return _wrap(
        f"{outlook.terms.study_yr} years from {outlook.base_year}, later money discounted at"
        f" {outlook.terms.discount_frac:.1%} a year above inflation; energy prices go {SCENARIOS[outlook.course]}"
        f"{f' ({outlook.division})' if outlook.course == 'outlook' else ''}. A heater that fails is bought again; what"
        f" is left of the last counts, the work around it does not. Ranges come from {outlook.draws:,} versions of the"
        " household, the same for every candidate. Energy is what such heaters take in homes, a little more than the"
        " yearly running cost shown elsewhere, which is the label's model."
    )


def _accounts(comparison: Comparison) -> str:
    """Today's worth by kind of flow for the first of each family."""
    outlook = comparison.outlook
    first = _first(comparison)
    shown = _to_tell(comparison, first) if first is not None else list(comparison.standings)[:6]
    lines = ["Today's worth of it all"]
    for standing in shown:
        whole = life_cycle(outlook.option(standing.place), outlook.terms)
        money = outlook.money(standing.place)
        parts = [f"{_KINDS[kind]} {usd(worth, 100)}" for kind, worth in whole.present_usd.items() if abs(worth) >= 50]
        lines.append(_wrap(_account_line(comparison, standing), "  "))
        more = [
            f"{usd(money.annualised_usd.point, 10)} a year",
            f"energy in homes {outlook.bids[standing.place].field_gap_dimensionless:.2f} times the quoted figure",
            f"mean life {money.life_yr:g} years",
        ]
        measured = money.measured
        if measured.savings_ratio is not None and measured.savings_ratio > 0:
            more.append(f"savings to investment {measured.savings_ratio:.2f}")
        if measured.return_frac is not None:
            more.append(f"a return of {measured.return_frac:.1%} a year above inflation")
        lines.append(_wrap(f"{', '.join(parts)}. That is {', '.join(more)}.", "      "))
    return "\n".join(lines)


def _map(comparison: Comparison, first: Standing) -> str:
    """A grid of letters: which family's candidate costs least at each pair of prices."""
    outlook, fuels = comparison.outlook, comparison.case.house.fuels
    gas_fuel = next((fuel for fuel in fuels if fuel.is_burned), None)
    places = [standing.place for standing in worth_choosing(comparison.standings)]
    columns = 9 if gas_fuel else 1
    drawn = price_map(outlook.candidates, outlook.market, places, gas_fuel or piped_gas(), columns=columns)
    seen = list(dict.fromkeys(drawn.cheapest.ravel().tolist()))
    letters = {place: "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[number % 26] for number, place in enumerate(seen)}
    title = "What costs least as prices change, [ ] is today"
    across = f"; $ a {gas_fuel.spoken_unit} of {gas_fuel.title}, across" if gas_fuel else ""
    lines = [title, f"  $ a kWh, down{across}"]
    if gas_fuel:
        lines.append(f"{'':10}" + "".join(f"{price:>7.2f}" for price in drawn.gas_usd_per_unit))
    for row in reversed(range(len(drawn.electricity_usd_per_kwh))):
        cells = ""
        for column in range(drawn.cheapest.shape[1]):
            letter = letters[int(drawn.cheapest[row, column])]
            cells += f"{f'[{letter}]' if (row, column) == drawn.here else f'{letter} ':>7}"
        lines.append(f"{drawn.electricity_usd_per_kwh[row]:>10.3f}{cells}".rstrip())
    lines += [f"  {letter}  {outlook.bids[place].title}" for place, letter in letters.items()]
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
