"""What the place asks of a heater whatever its trade: frost, cars, a manufactured home, rules of the air district."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

from advisor.case.base import Assumption
from advisor.case.usual import assumption
from advisor.circumstances import Circumstances
from advisor.core.findings import Finding, care, note
from advisor.core.tables import load
from advisor.heaters.catalogue import Heater
from advisor.house.facts import HouseFacts
from advisor.house.items import TradeCheck, WorkItem, item

#: How far the coldest night lies under the mean of the coldest month: outdoors, and in a place without heating that
#: follows the weather halfway; assumed.
_NIGHT_BELOW_MEAN_DF = {"outdoors": 25.0, "garage": 12.5, "attic": 12.5, "crawl_space": 12.5}
_FREEZING_F = 32.0


class _Found:
    """What one rule after another adds."""

    def __init__(self) -> None:
        self.findings: list[Finding] = []
        self.items: list[WorkItem] = []
        self.cautions: list[str] = []
        self.assumed: list[Assumption] = []

    def add(self, found: Finding, job: str, caution: str, *, quantity: float = 1.0) -> None:
        """A rule that asks for a job."""
        self.findings.append(found)
        self.items.append(item(job, found, quantity=quantity))
        self.cautions.append(caution)


def check_rules(heater: Heater, facts: HouseFacts, circumstances: Circumstances) -> TradeCheck | None:
    """Frost, cars, a manufactured home and rules on new gas heaters; None where nothing is to be said.

    Parameters
    ----------
    heater : Heater
        The candidate.
    facts : HouseFacts
        The house.
    circumstances : Circumstances
        What any heater meets in it.
    """
    found = _Found()
    _frost(heater, facts, circumstances, found)
    house = facts.case.house
    if circumstances.heater_space == "garage":
        if house.is_guarded_from_cars is None:
            found.assumed.append(assumption("house.is_guarded_from_cars"))
        elif not house.is_guarded_from_cars:
            found.add(care("rules.cars", "IRC M1307.3"), "garage-post", "garage")
    if house.is_manufactured_home:
        code = "rules.manufactured.flame" if heater.has_flame else "rules.manufactured"
        found.add(care(code), "manufactured-listing", "manufactured_home", quantity=heater.n_units)
    if heater.technology.is_boiler_heated:
        told = note("rules.boiler", input_btuh=heater.power_btuh)
        found.findings.append(told)
        if facts.case.failed.kind != "boiler_tank":
            found.items.append(item("boiler-zone", told, quantity=heater.n_units))
    for rule in _gas_rules(heater, facts):
        _gas_rule(rule, heater, facts, found)
    if not (found.findings or found.assumed):
        return None
    findings = tuple(found.findings) or (note("rules.none"),)
    return TradeCheck("rules", findings, tuple(found.items), tuple(found.cautions), tuple(found.assumed))


def _frost(heater: Heater, facts: HouseFacts, circumstances: Circumstances, found: _Found) -> None:
    """A month's mean above freezing says nothing of its coldest night."""
    space = circumstances.heater_space
    if space not in _NIGHT_BELOW_MEAN_DF:
        return
    outdoors = space == "outdoors"
    mean_f = circumstances.coldest_outdoor_f if outdoors else float(circumstances.air_f.min())
    night_f = float(mean_f) - _NIGHT_BELOW_MEAN_DF[space]
    if night_f > _FREEZING_F:
        return
    where = note(f"space.{space}")
    as_before = heater.is_storage and facts.case.failed.kind != "tankless" and not heater.is_heat_pump
    if as_before and not heater.is_condensing:
        # The pipes of the tank that stood there lived through such nights.
        found.findings.append(note("rules.frost.as_before", where=where, night_f=night_f))
        found.cautions.append("frost")
        return
    code = "rules.frost.tankless" if heater.is_tankless else "rules.frost.drain"
    found.add(care(code, where=where, night_f=night_f), "frost-protection", "frost", quantity=heater.n_units)


def _gas_rules(heater: Heater, facts: HouseFacts) -> Iterator[Mapping[str, Any]]:
    """Rules of the place on a new gas heater of this input."""
    if not (heater.fuel.is_fuel_gas and heater.has_flame) or heater.fuel.is_delivered:
        return
    for row in load("regional_heater_rules").rows():
        counties = row["county_fips"] or ()
        here = row["us_state"] == facts.state and (not counties or facts.county_fips in counties)
        up_to = math.inf if row["up_to_btuh"] is None else row["up_to_btuh"]
        if here and row["above_btuh"] < heater.power_btuh <= up_to:
            yield row


def _gas_rule(rule: Mapping[str, Any], heater: Heater, facts: HouseFacts, found: _Found) -> None:
    area = note(f"rules.nox.area.{rule['id']}")
    if rule["effect"] == "proposed":
        found.findings.append(note("rules.nox.proposed", rule["source"], area=area))
        return
    begins = str(rule["from_date"])
    if facts.installed_on is not None and facts.installed_on.isoformat() < begins:
        found.findings.append(note("rules.nox.coming", rule["source"], area=area, begins=begins))
        found.cautions.append("nox_rule")
    elif rule["effect"] == "low_nox":
        said = care("rules.nox.low", rule["source"], area=area)
        found.add(said, "low-nox-model", "nox_rule", quantity=heater.n_units)
    else:
        found.add(care("rules.nox.zero", rule["source"], area=area, begins=begins), "district-check", "nox_rule")
