"""Which gas heaters a state or an air district still lets anyone sell, on the day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from advisor.core.findings import Finding, Severity, finding
from advisor.core.published import state_word
from advisor.core.tables import load
from advisor.heaters.catalogue import Heater

#: A rule that begins this soon is told beforehand. Our own choice. [day]
_SOON_DAY = 1096


@dataclass(frozen=True)
class Sale:
    """What the rules of the place say of a heater.

    Parameters
    ----------
    barred_by, told : tuple of Finding
        The rules that bar it, and those that only must be asked about or begin later; with their day and how far each
        was read.
    """

    barred_by: tuple[Finding, ...] = ()
    told: tuple[Finding, ...] = ()

    @property
    def may_be_sold(self) -> bool:
        """No rule bars it on the day."""
        return not self.barred_by


def sale_of(heater: Heater, us_state: str, county_fips: str | None, made_on: date) -> Sale:
    """Whether a heater may be sold for a house.

    Parameters
    ----------
    heater : Heater
        Its fuel and its burner decide.
    us_state, county_fips : str, str or None
        Where the house stands; a county that is not known is in no district.
    made_on : date
        Day on which it was made; the day on which it is put in where nobody knows.

    Sources
    -------
    Table ``regional_rules``.
    """
    if not heater.has_flame:
        return Sale()
    rules = [rule for rule in _rules_of(us_state, county_fips) if _touches(rule, heater)]
    barred, told = [], []
    for rule in rules:
        if rule["from_date"] > made_on:
            if (rule["from_date"] - made_on).days <= _SOON_DAY:
                told.append(_said(rule, Severity.CARE))
        elif rule["effect"] == "barred":
            barred.append(_said(rule, Severity.STOP))
        else:
            told.append(_said(rule, Severity.CARE))
    return Sale(tuple(barred), tuple(told))


def _rules_of(us_state: str, county_fips: str | None) -> Iterator[Mapping[str, Any]]:
    for rule in load("regional_rules").rows():
        if rule["us_state"] == us_state and (not rule["counties"] or county_fips in rule["counties"]):
            yield rule


def _touches(rule: Mapping[str, Any], heater: Heater) -> bool:
    fits = heater.fuel.id in rule["fuels"] and rule["from_input_btuh"] <= heater.power_btuh <= rule["to_input_btuh"]
    return fits and not (rule["spares_condensing"] and heater.is_condensing)


def _said(rule: Mapping[str, Any], severity: Severity) -> Finding:
    return finding(
        f"rule.{rule['id']}",
        severity,
        rule["source"],
        from_date=rule["from_date"].isoformat(),
        state=state_word(rule["state"]),
    )
