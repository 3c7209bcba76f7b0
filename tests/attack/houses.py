"""Houses made up at random under rules that need no right answer: one thing is changed, and the answer may not improve.

A rule says how a house is made harder, dearer or the same, and what may not happen then.
"""

from __future__ import annotations

import copy
import random
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from advisor.candidate import Candidate
from advisor.case.file import case_from, parse_case, write_case
from advisor.comparison import Comparison, compare
from advisor.core.errors import AdvisorError, InputError
from advisor.house.items import TradeCheck
from tests.attack.generators import house

#: Money and energy are worked out in another order: less than a cent or a thousandth is no difference.
_CENT = 0.01
Given = dict[str, Any]


@dataclass(frozen=True)
class Rule:
    """How a house is changed, and what has become better that may not."""

    name: str
    change: Callable[[random.Random, Given], Given | None]
    broken: Callable[[Comparison, Comparison], str]


@dataclass
class Kept:
    """What came of many houses."""

    houses: int = 0
    tried: int = 0
    broken: list[str] = field(default_factory=list)


def _with(given: Given, path: str, value: Any) -> Given:
    section, key = path.split(".")
    return {**given, section: {**given.get(section, {}), key: value}}


def _trade(name: str, same: Callable[[TradeCheck], object] = lambda check: None) -> Callable[..., str]:
    """No candidate's verdict in a trade may improve, as long as something of its check stays the same."""

    def broken(before: Comparison, after: Comparison) -> str:
        known = {one.heater.id: one.house.trade(name) for one in after.candidates}
        for one in before.candidates:
            was, now = one.house.trade(name), known.get(one.heater.id)
            if was is None or now is None or same(was) != same(now):
                continue
            if now.verdict.severity < was.verdict.severity:
                return f"{one.heater.id}: {was.verdict.key} became {now.verdict.key}"
        return ""

    return broken


def _pipes(check: TradeCheck) -> object:
    """What pipe stands there. Of a longer run that nobody measured a larger one is taken, as the code asks for it."""
    return {run.name: run.size for run in check.detail.system.segments} if check.detail else None


def _less(before: Comparison, after: Comparison, usd_per_yr: Callable[[Candidate], float]) -> str:
    known = {one.heater.id: usd_per_yr(one) for one in after.candidates}
    for one in before.candidates:
        was, now = usd_per_yr(one), known.get(one.heater.id)
        if now is not None and now < was - _CENT - 1e-6 * abs(was):
            return f"{one.heater.id}: {was:.2f} a year became {now:.2f}"
    return ""


def _dearer(before: Comparison, after: Comparison) -> str:
    """No candidate may cost less to run."""
    return _less(before, after, lambda one: one.running_cost.usd_per_yr)


def _water_dearer(before: Comparison, after: Comparison) -> str:
    """No candidate may heat its water for less; what its idle loss spares of the heating rises with the price."""

    def water_usd(candidate: Candidate) -> float:
        return candidate.running_cost.usd_per_yr - candidate.running_cost.room_usd_per_yr

    return _less(before, after, water_usd)


def _harder(before: Comparison, after: Comparison) -> str:
    """No candidate may keep up better."""
    known = {one.heater.id: one.capacity.verdict for one in after.candidates}
    for one in before.candidates:
        was, now = one.capacity.verdict, known.get(one.heater.id)
        if now is not None and now.severity < was.severity:
            return f"{one.heater.id}: {was.key} became {now.key}"
    return ""


def _same(before: Comparison, after: Comparison) -> str:
    """Nothing may change."""
    if before.recommended_id != after.recommended_id:
        return f"{before.recommended_id} became {after.recommended_id}"
    pairs = zip(before.candidates, after.candidates, strict=True)
    moved = [one.heater.id for one, two in pairs if abs(one.money.point_usd - two.money.point_usd) > _CENT]
    return f"money of {moved[0]}" if moved else ""


def _appliance(chance: random.Random, given: Given) -> Given | None:
    """One more gas appliance, in a house that says nothing of its pipes."""
    name = chance.choice(["range", "dryer", "fireplace"])
    key, fuels = f"{name}_btuh", given["house"]["fuels"]
    if "natural_gas" not in fuels or given.get("gas", {}).get(key) or given.get("gas", {}).get("segments"):
        return None
    return _with(given, f"gas.{key}", {"range": 65_000, "dryer": 35_000, "fireplace": 40_000}[name])


def _raised(path: str, times: float, highest: float) -> Callable[[random.Random, Given], Given | None]:
    def change(chance: random.Random, given: Given) -> Given | None:
        section, key = path.split(".")
        held = given.get(section, {}).get(key)
        return None if held is None or held * times > highest else _with(given, path, type(held)(held * times))

    return change


def _one_more(chance: random.Random, given: Given) -> Given | None:
    told = given["household"].keys()
    house_known = {"hot_water_gpd", "showers_together"} & told or given.get("uses") or "people" not in told
    return None if house_known else _with(given, "household.people", given["household"]["people"] + 1)


def _smaller_service(chance: random.Random, given: Given) -> Given | None:
    held = given.get("electrical", {}).get("service_a")
    return None if held is None or held * 0.6 < 30 else _with(given, "electrical.service_a", held * 0.6)


def _named(chance: random.Random, given: Given) -> Given:
    return {**given, "name": "Another name"}


def _written_and_read(chance: random.Random, given: Given) -> Given:
    again = parse_case(write_case(case_from(given)))
    return again.model_dump(mode="python", exclude_unset=True, exclude_none=True)


def _offers_turned(chance: random.Random, given: Given) -> Given | None:
    return {**given, "offers": given["offers"][::-1]} if given.get("offers") else None


RULES = (
    Rule("another gas appliance never helps the gas line", _appliance, _trade("gas")),
    Rule("a longer heater branch never helps the gas line", _raised("gas.branch_ft", 1.5, 300), _trade("gas", _pipes)),
    Rule("a longer trunk never helps the gas line", _raised("gas.trunk_ft", 1.5, 300), _trade("gas", _pipes)),
    Rule("a longer vent never helps the vent", _raised("vent.run_ft", 1.5, 200), _trade("vent")),
    Rule("a smaller service never helps the panel", _smaller_service, _trade("power")),
    Rule("one more person never makes it cheaper to run", _one_more, _dearer),
    Rule("one more person never makes a heater keep up better", _one_more, _harder),
    Rule("dearer gas never heats water for less", _raised("prices.natural_gas_usd_per_therm", 1.3, 20), _water_dearer),
    Rule("dearer power never heats water for less", _raised("prices.electricity_usd_per_kwh", 1.3, 3), _water_dearer),
    Rule("a longer shower never makes a heater keep up better", _raised("household.shower_min", 1.3, 60), _harder),
    Rule("a name changes nothing", _named, _same),
    Rule("a case written and read again is the same", _written_and_read, _same),
    Rule("the order of offers changes nothing", _offers_turned, _same),
)


def houses(count: int, first_seed: int = 0, *, seconds: float = float("inf")) -> Kept:
    """Many houses, each under every rule that says something of it."""
    kept = Kept()
    seed, late = first_seed, time.monotonic() + seconds
    while kept.houses < count and time.monotonic() < late:
        seed += 1
        chance = random.Random(f"house {seed}")
        given = house(chance)
        try:
            before = compare(case_from(given), by_hand=True)
        except InputError:
            continue  # refused with a sentence, which the fuzzer looks at
        kept.houses += 1
        for rule in RULES:
            changed = rule.change(chance, copy.deepcopy(given))
            if changed is None:
                continue
            try:
                after = compare(case_from(changed), by_hand=True)
            except AdvisorError:
                continue  # made so hard that it is refused
            kept.tried += 1
            if what := rule.broken(before, after):
                kept.broken.append(f"house {seed}: {rule.name}: {what}")
    return kept
