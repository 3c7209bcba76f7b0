"""Tiers of income: between the limits that a program's own rules and amounts set, and nowhere else."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from advisor.screening.applicants import Applicants
from advisor.screening.conditions import Compare, Condition
from advisor.screening.rules import RuleSet, leaves

INCOME = "ami_percent"


class Cut(NamedTuple):
    """A limit between two tiers, and whether an income at the limit itself stands above it."""

    limit: float
    at_limit_is_above: bool


def cuts_of(rules: RuleSet) -> list[Cut]:
    """Where a rule set cuts incomes, the lowest first."""
    conditions: list[Condition] = [rule.test for rule in rules.rules]
    conditions += [measure.whole for measure in rules.measures]
    conditions += [step.when for step in rules.steps if step.when is not None]
    return sorted(
        {
            Cut(float(leaf.limit), leaf.how in {"at_least", "less_than"})
            for condition in conditions
            for leaf in leaves(condition)
            if isinstance(leaf, Compare) and leaf.field == INCOME
        },
        # At one limit, whoever stands exactly there lies between the two.
        key=lambda cut: (cut.limit, not cut.at_limit_is_above),
    )


def tier_names(rules: RuleSet) -> list[str]:
    """The tiers as they stand in a file: ``<= 80``, ``> 80 <= 120``, ``> 120``; none where no rule asks for income."""
    cuts = cuts_of(rules)
    if not cuts:
        return []
    over = ["", *(f"{'>=' if cut.at_limit_is_above else '>'} {cut.limit:g}" for cut in cuts)]
    under = [*(f"{'<' if cut.at_limit_is_above else '<='} {cut.limit:g}" for cut in cuts), ""]
    return [" ".join(filter(None, ends)) for ends in zip(over, under, strict=True)]


def in_order(names: Iterable[str]) -> list[str]:
    """Names of tiers, the lowest first and those without an income last."""
    return sorted(names, key=lambda name: (float(name.split()[1]), name.startswith(">")) if name else (np.inf, True))


def tier_codes(applicants: Applicants, rules: RuleSet) -> np.ndarray:
    """Number of each applicant's tier; -1 where no income is given."""
    income = applicants.number(INCOME)
    with np.errstate(invalid="ignore"):
        passed = [income >= cut.limit if cut.at_limit_is_above else income > cut.limit for cut in cuts_of(rules)]
    above = np.sum(passed, axis=0, dtype=np.int64)
    return np.where(applicants.given(INCOME), above, -1)
