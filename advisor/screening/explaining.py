"""A rule set and a run, said in plain words."""

from __future__ import annotations

import textwrap
from typing import Any

from advisor.report.words import say
from advisor.screening.amounts import Step
from advisor.screening.rules import RuleSet
from advisor.screening.tiers import in_order
from advisor.screening.wording import title_of

_WIDTH = 100


def explained(rules: RuleSet, language: str = "en") -> str:
    """A rule set in words: who it is for, what each rule asks, what is paid and what is deemed saved."""
    lines = [f"{rules.program}: {rules.title} ({rules.id}, {rules.version})", ""]
    lines += _wrapped(
        say("screening.explain.days", language=language, first=str(rules.valid_from), last=str(rules.valid_to))
    )
    lines += ["", say("screening.explain.rules", language=language)]
    for rule in rules.rules:
        told = rule.test.told(language)
        effect = say(f"screening.explain.{rule.effect}", language=language)
        lines += _item(rule.id, f"{rule.message}. {effect} ({rule.source}). {told}.")
    lines += ["", say("screening.explain.measures", language=language)]
    for measure in rules.measures:
        lines += _item(measure.id, f"{measure.title}. {measure.whole.told(language)}.")
    lines += ["", say("screening.explain.amount", language=language)]
    seen: set[str] = set()
    for step in rules.steps:
        lines += _item(step.id, _step(step, rules, step.id in seen, language))
        seen.add(step.id)
    lines += _wrapped(say(f"screening.explain.rounding.{rules.rounding}", language=language))
    if rules.deemed is not None:
        lines += ["", say("screening.explain.savings", language=language)]
        deemed = rules.deemed
        lines += _wrapped(
            say(
                "screening.explain.deemed",
                language=language,
                version=deemed.version,
                source=deemed.source,
                use_gpd=deemed.use_gpd,
                people=deemed.people,
                out_f=deemed.out_f,
                cold_f=deemed.cold_f,
                water=deemed.water_btu_per_gal_df,
                year_day=deemed.year_day,
            )
        )
    return "\n".join(lines)


def _step(step: Step, rules: RuleSet, is_other_way: bool, language: str) -> str:
    money = " + ".join(title_of(field, language) for field in step.of)
    less = "".join(f" - {title_of(field, language)}" for field in step.less)
    minus = "".join(f" - {title_of(field, language)}" for field in step.minus)
    pays = ", ".join(f"{measure.id} ${measure.usd:,.0f}" for measure in rules.measures)
    what = {
        "measure": pays,
        "add": f"{step.value:g} x ({money}{less}){minus}" if step.of else f"${step.value:,.0f}",
        "multiply": f"x {step.value:g}",
        "cap": f"{step.value:g} x ({money}{less}){minus}",
        "balance": f"${step.value:,.0f} - {money}",
    }[step.how]
    if step.at_most_usd is not None:
        what += f", {say('screening.explain.at_most', language=language, usd=step.at_most_usd)}"
    way = say(f"screening.explain.step.{step.how}", language=language, what=what)
    who = say("screening.explain.when", language=language, told=step.when.told(language)) if step.when else ""
    other = say("screening.explain.else", language=language) if is_other_way else ""
    return " ".join(part for part in (f"{step.title}:", other, way, who) if part)


def _item(name: str, text: str) -> list[str]:
    return _wrapped(text, f"  {name:<6} ", " " * 9)


def _wrapped(text: str, first: str = "", rest: str = "") -> list[str]:
    return textwrap.wrap(text, _WIDTH, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)


def summary_text(record: dict[str, Any], language: str = "en") -> str:
    """What a director reads of a run: how many, how much, why not, what it saves, and the budget."""
    totals, rows = record["totals"], record["rows_in"]
    decisions, rules = totals["decisions"], record["rule_set"]
    lines = [f"{rules['program']}: {rules['title']} ({rules['id']}, {rules['version']})", ""]
    lines += _wrapped(say("screening.summary.rows", language=language, n=rows, rows=rows, unread=totals["unread"]))
    for word, count in decisions.items():
        lines.append(f"  {word:<16} {count:>10,}  {count / rows if rows else 0:>6.1%}")
    lines += ["", *_wrapped(_money(totals, language))]
    for effect in ("deny", "hold"):
        ranked = sorted(totals["rules"][effect].items(), key=lambda item: (-item[1], item[0]))[:8]
        if ranked:
            told = ", ".join(f"{rule} {count:,}" for rule, count in ranked)
            lines += _wrapped(say(f"screening.summary.{effect}", language=language, told=told))
    tiers = totals.get("income_tiers")  # a record of before has none
    if tiers:
        told = "; ".join(
            f"{name or say('screening.summary.no_income', language=language)}:"
            f" {tiers[name]['count']:,}, ${tiers[name]['usd']:,.0f}"
            for name in in_order(tiers)
        )
        lines += _wrapped(say("screening.summary.tiers", language=language, told=told))
    saved = totals["saved"]
    if saved:
        lines += _wrapped(
            say(
                "screening.summary.saved",
                language=language,
                therm=saved.get("saved_therm_per_yr", 0.0),
                kwh=saved.get("saved_kwh_per_yr", 0.0),
                beside=saved.get("household_saved_mmbtu_per_yr", 0.0),
                mmbtu=saved.get("saved_mmbtu_per_yr", 0.0),
                co2_lb=saved.get("saved_co2_lb_per_yr", 0.0),
            )
        )
    if record["absent_columns"]:
        lines += _wrapped(
            say("screening.summary.absent", language=language, columns=", ".join(record["absent_columns"]))
        )
    return "\n".join(lines)


def what_if_text(found: dict[str, Any], language: str = "en") -> str:
    """What moving some numbers of a rule set does to a whole file."""
    lines = [say("screening.what_if.moves", language=language, moves=", ".join(found["moves"])), ""]
    was, becomes = found["was"], found["becomes"]
    rows = {word: (was["decisions"][word], becomes["decisions"][word]) for word in was["decisions"]}
    rows[say("screening.what_if.paid", language=language)] = (was["paid_usd"], becomes["paid_usd"])
    for name in ("saved_therm_per_yr", "saved_kwh_per_yr", "saved_mmbtu_per_yr"):
        if name in was["saved"] or name in becomes["saved"]:
            rows[say(f"screening.{name}", language=language)] = (
                was["saved"].get(name, 0),
                becomes["saved"].get(name, 0),
            )
    for title, (before, after) in rows.items():
        lines.append(f"  {title:<28}{before:>14,.0f}{after:>14,.0f}{after - before:>+14,.0f}")
    for one in found["turned"]:
        lines.append(f"  {one['from']} -> {one['to']:<16} {one['count']:>10,}")
    return "\n".join([*lines, "", *_wrapped(_money(becomes, language))])


def _money(totals: dict[str, Any], language: str) -> str:
    budget = totals["budget"]
    told = say(
        "screening.summary.paid", language=language, usd=totals["paid_usd"], once_mended_usd=totals["once_mended_usd"]
    )
    if budget["budget_usd"] is None:
        return told
    code = "screening.summary.runs_out" if budget["runs_out_on"] else "screening.summary.lasts"
    return f"{told} {say(code, language=language, usd=budget['budget_usd'], day=budget['runs_out_on'] or '')}"
