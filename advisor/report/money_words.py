"""Money as findings for text and pages: accounts, what would change the answer, public money, rates."""

from __future__ import annotations

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.findings import Finding, Value, note
from advisor.money.candidate_costs import Later
from advisor.money.chance import chance_word
from advisor.money.electrification import parts_of, rebate_usd, share_of_income_frac
from advisor.money.escalation import SCENARIOS, outlook_ends
from advisor.money.incentives import Incentive, incentives_for, reported_open_on
from advisor.money.rates import BlockRate, Rate, SeasonalRate, TimeOfUseRate
from advisor.money.sensitivity import Driver, drivers
from advisor.recommendation.kinds import family_of, is_eligible
from advisor.report import names
from advisor.report.conclusion_text import chain, draws_level, payback_finding


def account(comparison: Comparison, candidate: Candidate, language: str = "en") -> Finding:
    """A candidate's cost over the years with its range, and how it compares with the plain replacement."""
    money, whole = candidate.money, candidate.money.life_cycle_cost_usd
    told: dict[str, Value] = {
        "heater": names.title(candidate.heater, language),
        "point_usd": whole.point,
        "low_usd": whole.p10,
        "high_usd": whole.p90,
    }
    if money.is_baseline:
        is_plain = comparison.money.baseline_id == comparison.like_for_like_id
        return note("money.account.plain" if is_plain else "money.account.instead", "", **told)
    back = money.measured.payback
    code = {
        "cheaper to buy, dearer to run": "money.account.dearer_to_run",
        "saves from day one": "money.account.saves",
    }.get(back.state, "money.account")
    return note(
        code,
        "",
        **told,
        chance=note(f"chance.{chance_word(money.chance_saves_frac)}"),
        share=_share(money.chance_saves_frac),
        payback=payback_finding(back, comparison.money.terms.study_yr),
    )


def _share(chance_frac: float) -> Finding:
    """A chance that no draws can settle is not called nought or certain."""
    if chance_frac < 0.01:
        return note("share.under")
    return note("share.over") if chance_frac > 0.99 else note("share.of", chance_frac=chance_frac)


def what_would_change(comparison: Comparison, language: str = "en", *, whole: bool = False) -> list[Finding]:
    """Where the closest rival draws level, what moves the difference, other courses of prices."""
    advice = comparison.advice
    first, rival = advice.pick, advice.rival
    if first is None:
        return []
    found = []
    if rival is not None:
        if rival is not advice.tankless:
            found.append(draws_level(first, rival, language))
        moving = drivers(first.money, rival.money)
        told = [_moves(driver, {"rival": names.spoken(rival.heater, language)}) for driver in moving]
        if told:
            found.append(note("money.drivers", drivers=chain("list.semicolon", told)))
    found.append(_courses(comparison, first, language, whole=whole))
    return found


def _moves(driver: Driver, named: dict[str, str]) -> Finding:
    turns = driver.turns_the_answer
    return note(
        "money.driver_turns" if turns else "money.driver", driver=driver_name(driver, named), reach_usd=driver.reach_usd
    )


def driver_name(driver: Driver, named: dict[str, str] | None = None) -> Finding:
    """An input's name, the heaters named where their names are given."""
    if driver.whose is None:
        return driver.what
    whose = (named or {}).get(driver.whose) or note(f"driver.whose.{driver.whose}")
    return note("driver.of", what=driver.what, whose=whose)


def _courses(comparison: Comparison, first: Candidate, language: str, *, whole: bool) -> Finding:
    """The cheapest under each course of prices: no outlook has been right for long."""
    eligible = [candidate for candidate in comparison.candidates if is_eligible(candidate)]
    cheapest, told = [], []
    for course in SCENARIOS:
        if course == "outlook" and outlook_ends(comparison.money.base_year) is None:
            continue
        there = comparison.money.with_course(course)
        least = min(eligible, key=lambda candidate: there.of(candidate.heater.id).point_usd)
        cheapest.append(least)
        heater, cost = names.title(least.heater, language), there.of(least.heater.id).point_usd
        told.append(note("money.course", course=note(f"course.{course}"), heater=heater, cost_usd=cost))
    if not whole and all(family_of(candidate) == family_of(first) for candidate in cheapest):
        return note("money.courses_same")
    return note("money.courses", courses=chain("list.semicolon", told))


def later_heaters(comparison: Comparison) -> list[Finding]:
    """What the law will ask of the next heater, for what is advised and for the same again; the sums count it."""
    places = {one.heater.id: one for one in (comparison.advice.pick, comparison.advice.same_again) if one is not None}
    return [_later(one, one.costs.later, comparison) for one in places.values() if one.costs.later is not None]


def _later(one: Candidate, later: Later, comparison: Comparison) -> Finding:
    after = comparison.candidate(later.id)
    extra_usd = later.again_usd[1] - one.costs.again_usd[1]
    saving_usd = one.running_cost.usd_per_yr - after.running_cost.usd_per_yr
    return note(
        "money.later_law",
        heater=one.heater.title,
        next_one=after.heater.title,
        from_day=later.from_day.isoformat(),
        extra=note(f"money.later_law.{'more' if extra_usd > 0 else 'less'}", usd=abs(extra_usd)),
        saves=note(f"money.later_law.{'saves' if saving_usd > 0 else 'costs'}", usd=abs(saving_usd)),
    )


def public_money(comparison: Comparison) -> list[Finding]:
    """Dated facts on public money, and which rebates were counted."""
    counted = sum(candidate.money.rebate_usd > 0 for candidate in comparison.candidates)
    found = [note("incentive.counted", counted=counted)] if counted else []
    kinds = dict.fromkeys(candidate.heater.technology for candidate in comparison.candidates)
    lines = {line.id: line for kind in kinds for line in incentives_for(kind, comparison.install_date)}
    found += map(_incentive, lines.values())
    if "state_run_electrification" in lines:
        again = comparison.case.failed.kind == "heat_pump"
        found.append(note("incentive.law.heat_pump" if again else "incentive.law"))
        found += [] if again else _by_income(comparison)
    opened = reported_open_on(comparison.site.location.state)
    if opened is not None and any(line.kind == "state rebate" for line in lines.values()):
        found.append(note("incentive.opened", state=comparison.site.location.state, opened_on=opened.isoformat()))
    if not comparison.case.rebates:
        found.append(note("incentive.none_counted"))
    return found


def _by_income(comparison: Comparison) -> list[Finding]:
    """What the law would pay of the heat pump that one would put in, at the household's income."""
    income_frac = comparison.case.household.income_of_median_frac
    pumps = [one for one in comparison.advice.kinds if one.heater.is_heat_pump]
    if income_frac is None or not pumps:
        return []
    share_frac = share_of_income_frac(income_frac)
    if not share_frac:
        return [note("incentive.by_income.none", income_frac=income_frac)]
    parts = parts_of(pumps[0].house.base, pumps[0].house.work)
    most_usd = float(rebate_usd(parts.heater_usd, parts.panel_usd, parts.wiring_usd, share_frac))
    return [
        note(
            "incentive.by_income",
            income_frac=income_frac,
            share_frac=share_frac,
            heater=pumps[0].heater.title,
            most_usd=most_usd,
        )
    ]


def _incentive(line: Incentive) -> Finding:
    told: dict[str, Value] = {"name": note(f"incentive.name.{line.id}", title=line.title), "as_of": str(line.as_of)}
    if line.status == "ask" and line.cap_usd:
        return note("incentive.ask_at_most", "", **told, cap_usd=line.cap_usd)
    return note(f"incentive.{line.status.replace(' ', '_')}", "", **told)


def rate(one: Rate) -> Finding:
    """A rate in a few words, for a list of what was used."""
    if isinstance(one, SeasonalRate):
        seasons = [
            note("rate.season", months=", ".join(map(str, sorted(season.months))), rate=rate(season.rate))
            for season in one.seasons
        ]
        return chain("list.semicolon", seasons)
    if isinstance(one, BlockRate):
        every = "day" if one.per_day else "month"
        return chain(
            "list.comma",
            [
                note(f"rate.up_to_a_{every}", price=f"{tier.price_usd_per_unit:g}", up_to=f"{tier.up_to_units:g}")
                if tier.up_to_units
                else note("rate.beyond", price=f"{tier.price_usd_per_unit:g}")
                for tier in one.tiers
            ],
        )
    if isinstance(one, TimeOfUseRate):
        windows = [
            note(
                f"rate.window.{window.days}",
                price=f"{window.price_usd_per_unit:g}",
                start_h=window.start_h,
                end_h=window.end_h,
            )
            for window in one.windows
        ]
        return chain("list.comma", [*windows, note("rate.otherwise", price=f"{one.base_usd_per_unit:g}")])
    return note("rate.flat", price=f"{one.price_usd_per_unit:g}")
