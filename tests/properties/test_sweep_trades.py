"""Random houses through every trade: what adds up, what is priced, and whether each way out is one.

``python tests/properties/test_sweep_trades.py 2000`` walks as many houses and prints what is wrong with them; the
suite walks a few, always the same.
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from collections.abc import Iterator
from typing import Any, Literal, get_args, get_origin

from advisor.case.file import case_from
from advisor.case.record import Case
from advisor.case.usual import usual
from advisor.core.errors import InputError
from advisor.core.findings import Severity
from advisor.core.published import STATES
from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK
from advisor.heaters.catalogue import Heater, by_id, catalogue
from advisor.house.gas.piping import apply, check
from advisor.house.gas.propane_tank import least_level_frac
from advisor.house.items import OtherWay, TradeCheck
from advisor.house.work import check_house
from tests.houses import USE, house_of
from tests.unit.test_adding_up import checks_in

SECTIONS = ("household", "house", "gas", "vent", "electrical", "water", "drain")
TEXTS = {
    "size_in": ("1/2", "3/4", "1", "1-1/4"),
    "tile_liner": ("8x8", "8x12", "9x9"),
    "meter_class": ("175", "250", "425"),
}
HEATERS_A_HOUSE = 6


def _bare(annotation: Any) -> Any:
    options = [one for one in get_args(annotation) if one is not type(None)]
    return options[0] if type(None) in get_args(annotation) and len(options) == 1 else annotation


def _value(draw: random.Random, name: str, field: Any) -> Any:
    kind = _bare(field.annotation)
    if kind is bool:
        return draw.random() < 0.5
    if get_origin(kind) is Literal:
        return draw.choice(get_args(kind))
    if kind in {int, float}:
        bounds = {
            key: getattr(one, key) for one in field.metadata for key in ("ge", "gt", "le", "lt") if hasattr(one, key)
        }
        low, high = bounds.get("ge", bounds.get("gt", 0) + 0.01), bounds.get("le", bounds.get("lt", 10_000))
        # Houses lie near the low end of what is allowed.
        return type(kind(0))(low + (high - low) * draw.random() ** 3)
    return next((draw.choice(texts) for key, texts in TEXTS.items() if name.endswith(key)), None)


def values_of(draw: random.Random) -> dict[str, Any]:
    """A record with a third of its keys given."""
    values: dict[str, Any] = {}
    for name in SECTIONS:
        fields = _bare(Case.model_fields[name].annotation).model_fields
        given = {key: _value(draw, key, field) for key, field in fields.items() if draw.random() < 0.33}
        values[name] = {key: value for key, value in given.items() if value is not None}
    values["place"] = {"zip_code": "55811"}
    values["household"] |= {"people": draw.randint(1, 6)}
    values["household"].pop("children", None)
    values["failed"] = {"fuel": draw.choice(["natural_gas", "propane", "heating_oil", "electricity"])}
    values["failed"]["kind"] = draw.choice(["tank", "tank", "tank", "tankless"])
    values["house"] |= {"fuels": ["natural_gas", "propane", "heating_oil"]}
    return values


def wrong_with(trade: TradeCheck) -> Iterator[str]:
    """What does not add up in a trade."""
    for name, verdict in checks_in(trade.detail):
        if verdict != FITS and trade.verdict == FITS:
            yield f"{trade.trade} fits over {name}"
    work = [job for job in trade.items if not job.is_usual]
    if trade.verdict == NEEDS_WORK and not work:
        yield f"{trade.trade} needs work and has no job: {[one.code for one in trade.findings]}"
    if trade.verdict == FITS and any(one.severity is not Severity.NOTE for one in trade.findings):
        yield f"{trade.trade} fits over a finding"
    for job in trade.items:
        if job.state not in STATES or not 0 <= job.low_usd <= job.typical_usd <= job.high_usd:
            yield f"{trade.trade}: the price of {job.job} has no state"


def tank_of(trade: TradeCheck) -> tuple[float, float, float]:
    """Size of a propane tank, what is asked of it and how cold it gets, as the finding tells them."""
    short = next(one for one in trade.findings if one.code == "gas.propane.tank_short")
    tank_gal, burns_btuh, outdoor_f = (float(short.number(name)) for name in ("tank_gal", "burns_btuh", "outdoor_f"))
    return tank_gal, burns_btuh, outdoor_f


def applied(values: dict[str, Any], heater: Heater, trade: TradeCheck, way: OtherWay) -> bool | None:
    """Whether a way out holds when it is taken; None for ways that no key of the case describes."""
    if way.kind == "fuller tank":
        fuller = {**values, "gas": {**values["gas"], "propane_level_frac": least_level_frac(*tank_of(trade))}}
        again = check_house(heater, *house_of(case_from(fuller)), USE).trade("gas")
        return again is not None and "gas.propane.tank_enough" in {one.code for one in again.findings}
    if trade.trade == "gas":
        real = next(one for one in trade.detail.ways if one.kind == way.kind)
        # What decides is a choice of the case.
        return bool(check(apply(trade.detail.system, real), values.get("gas", {}).get("sizing_rule", "tables")).passes)
    changed = {name: dict(section) for name, section in values.items()}
    if trade.trade == "room":
        shorter = check_house(by_id(way.kind.removeprefix("short model ")), *house_of(case_from(values)), USE)
        return "room.too_tall" not in {one.code for found in shorter.trades for one in found.findings}
    if trade.trade == "air":
        opening = next(one for one in trade.detail.ways_out if way.kind == f"air {one.arrangement.replace('_', ' ')}")
        # The codes size vertical ducts as openings through the wall; one is made as large as asked or a little larger.
        arrangement = opening.arrangement.replace("outdoor_two_vertical_ducts", "outdoor_two_direct")
        made = {"air_openings": arrangement, "air_opening_in2": opening.free_area_in2 + 1e-6}
        changed["house"] |= made
    elif way.kind == "load sharing":
        # One of them pauses while the heater runs: of the two the smaller is left out (NEC 220.60).
        service, given = trade.detail.service, changed.setdefault("electrical", {})
        new_kw = service.heater_a * given.get("supply_v", 240.0) / 1000
        for key in ("dryer_kw", "car_charger_kw", "spa_kw"):
            usually = usual("electrical.dryer_kw") if key == "dryer_kw" else 0.0
            paused = {**changed, "electrical": {**given, key: max(given.get(key, usually) - new_kw, 0.0)}}
            again = check_house(heater, *house_of(case_from(paused)), USE).trade("power")
            if again is not None and again.detail.service.verdict != DOES_NOT_FIT:
                return True
        return False
    elif way.kind == "larger vent pipe":
        changed["vent"] |= {"diameter_in": trade.detail.larger.diameter_in}
        changed["vent"].pop("limit_ft", None)
    else:
        return None
    again = check_house(heater, *house_of(case_from(changed)), USE).trade(trade.trade)
    assert again is not None
    return again.detail.verdict == FITS if trade.trade == "air" else again.detail.run.verdict == FITS


def walk(houses: int, seed: int = 1) -> tuple[Counter[str], list[str]]:
    """How often each trade gave each verdict and each way held, and what was wrong."""
    draw, seen, wrong = random.Random(seed), Counter(), []
    for number in range(houses):
        values = values_of(draw)
        try:
            house = house_of(case_from(values))
        except InputError:
            seen["refused at the door"] += 1
            continue
        for heater in draw.sample(catalogue(), HEATERS_A_HOUSE):
            found = check_house(heater, *house, USE)
            for trade in found.trades:
                seen[f"{trade.trade}: {trade.verdict}"] += 1
                wrong += [f"house {number}, {heater.id}: {what}" for what in wrong_with(trade)]
                for way in trade.ways_out:
                    holds = applied(values, heater, trade, way)
                    seen[f"way out, {way.kind}: {'not tried' if holds is None else 'holds' if holds else 'fails'}"] += 1
                    if holds is False:
                        wrong.append(f"house {number}, {heater.id}: {trade.trade}, {way.kind} fails when it is taken")
            if found.verdict == FITS and any(trade.verdict != FITS for trade in found.trades):
                wrong.append(f"house {number}, {heater.id}: the house fits over a trade")
            if any(trade.verdict == DOES_NOT_FIT for trade in found.trades) != (found.verdict == DOES_NOT_FIT):
                wrong.append(f"house {number}, {heater.id}: a trade that does not fit is lost")
    return seen, wrong


def test_a_few_random_houses():
    # A tank heated by the boiler has fewer trades, and there are five sizes of it: more houses for as many findings.
    seen, wrong = walk(29)
    assert not wrong
    assert sum(seen.values()) > 800


if __name__ == "__main__":
    counts, faults = walk(int(sys.argv[1]) if len(sys.argv) > 1 else 2_000)
    for what, count in sorted(counts.items()):
        print(f"{count:>7}  {what}")
    print(f"{len(faults)} faults", *faults[:40], sep="\n")
