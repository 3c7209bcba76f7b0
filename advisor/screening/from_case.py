"""A household's case through the same door: what a program would pay for each heater, and what it asks to be sent."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from advisor.case.record import Case
from advisor.heaters.candidates import heaters_to_compare
from advisor.heaters.catalogue import Heater
from advisor.report.words import say
from advisor.screening.applicants import Applicants
from advisor.screening.decide import DENY, decide
from advisor.screening.rules import RuleSet, read_rules
from advisor.screening.wording import title_of

_WIDTH = 100


def case_text(case: Case, rules_file: Path, language: str = "en") -> str:
    """What a rule set says of every heater that a house might take."""
    rules = read_rules(rules_file)
    heaters = heaters_to_compare(case)
    table = applicants_of(case, heaters)
    decisions = decide(table, rules, language=language).to_pylist()
    lines = [f"{rules.program}: {rules.title} ({rules.id}, {rules.version})", ""]
    paid = False
    for heater, decision in zip(heaters, decisions, strict=True):
        if decision["decision"] == DENY:
            continue
        paid = True
        usd = decision["amount_usd"] or decision["amount_once_mended_usd"]
        lines += _wrapped(say("screening.case.may", language=language, heater=heater.title, usd=usd))
    if not paid:
        lines.append(say("screening.case.none", language=language))
        for heater, decision in zip(heaters, decisions, strict=True):
            lines += _wrapped(f"{heater.title}: {decision['reasons']}", "  ", "    ")
        return "\n".join(lines)
    lines += ["", say("screening.case.send", language=language)]
    missing = _missing(rules, table)
    lines += [f"  {title_of(field, language)}  [{', '.join(rules.needed()[field])}]" for field in missing]
    return "\n".join(lines)


def _missing(rules: RuleSet, table: Any) -> list[str]:
    """Columns that the rules read and the case does not tell of."""
    frame = Applicants(table)
    return [field for field in rules.needed() if not frame.given(field).any() and not _never_sent(field)]


def _never_sent(field: str) -> bool:
    """A rating by the former test is not asked for, nor an earlier rebate that there was not."""
    return field in {"existing_ef", "ef", "prior_rebate_date"}


def applicants_of(case: Case, heaters: Iterable[Heater]) -> Any:
    """A frame of applicants, one for each heater that the household might apply with."""
    import pyarrow as pa

    rows = [_household(case) | _label(heater) for heater in heaters]
    names = dict.fromkeys(name for row in rows for name in row)
    return pa.table({name: pa.array([row.get(name, "") for row in rows], pa.string()) for name in names})


def _household(case: Case) -> dict[str, str]:
    failed = case.failed
    found = {
        "people": case.household.people,
        "zip_code": case.place.zip_code,
        "install_date": case.install_date,
        "existing_fuel": failed.fuel.id,
        "existing_technology": _kind(
            failed.fuel.is_burned, failed.kind in ("tank", "boiler_tank"), failed.kind == "heat_pump", failed.fuel.id
        ),
        "existing_status": "failed",
        "existing_age_yr": failed.age_yr,
        "existing_volume_gal": failed.size_gal,
        "room_volume_ft3": case.house.room_volume_ft3,
        "is_new_construction": "no",
    }
    return {name: str(value) for name, value in found.items() if value is not None}


def _label(heater: Heater) -> dict[str, str]:
    kind = heater.technology
    found = {
        "new_fuel": heater.fuel.id,
        "new_technology": _kind(heater.fuel.is_burned, kind.is_storage, kind.is_heat_pump, heater.fuel.id),
        "uef": heater.uef,
        "draw_pattern": heater.draw_pattern,
        "rated_volume_gal": heater.rated_volume_gal,
        "nominal_volume_gal": heater.nominal_gal,
        "first_hour_gal": heater.fhr_gal,
        "max_gpm": heater.max_gpm,
        "input_btuh": heater.input_btuh,
        "input_kw": heater.input_kw,
    }
    if kind.is_heat_pump:
        found |= {"new_form": "integrated", "voltage_v": 240 if kind.has_backup_element else 120}
    return {name: str(value) for name, value in found.items() if value is not None}


def _kind(is_burned: bool, is_storage: bool, is_heat_pump: bool, fuel: str) -> str:
    if is_heat_pump:
        return "heat_pump_storage"
    if is_burned:
        burner = "oil" if fuel == "heating_oil" else "gas"
        return f"{burner}_storage" if is_storage or burner == "oil" else "gas_tankless"
    return "electric_storage" if is_storage else "electric_tankless"


def _wrapped(text: str, first: str = "", rest: str = "") -> list[str]:
    return textwrap.wrap(text, _WIDTH, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
