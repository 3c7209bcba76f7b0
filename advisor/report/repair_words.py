"""The repair of what failed, in a few short sentences."""

from __future__ import annotations

from advisor.core.findings import Finding, Value, note
from advisor.recommendation.repair import SURE_FRAC, Repair

#: Above this share nearly all of ten are said; below the other hardly any.
_NEARLY_ALL_FRAC, _HARDLY_ANY_FRAC = 0.95, 0.05
#: A shorter time is told in months. [yr]
_IN_MONTHS_YR = 1.75


def repair_findings(repair: Repair) -> list[Finding]:
    """What it mostly is and costs, how old the heater is, whether it is worth it, and its risk."""
    low, typical, high = repair.usd
    price = "listed" if repair.is_listed else "ours"
    age = "assumed" if repair.age_is_assumed else "known"
    years = {"age": f"{repair.age_yr:.0f}", "left": f"{repair.left.result:.0f}" if repair.left.result >= 1 else "1"}
    found = [
        note(
            "home.repair.what",
            part=note(f"home.repair.part.{repair.id}"),
            price=note(f"home.repair.price.{price}", low_usd=low, typical_usd=typical, high_usd=high),
        ),
        note(f"home.repair.age.{age}", **years),
    ]
    if repair.holds is not None:
        found.append(_worth(repair))
    return [*found, note("home.repair.risk.tank" if repair.is_tank else "home.repair.risk.box")]


def _worth(repair: Repair) -> Finding:
    if repair.holds is None or repair.lasts is None:
        return note("home.repair.worth.never")
    verdict = "pays" if repair.is_likely_to_pay else "risky"
    return note(f"home.repair.worth.{verdict}", hold=_time(repair.holds.result), share=_share(repair.lasts.result))


def _time(years: float) -> Value:
    if years < _IN_MONTHS_YR:
        return note("home.repair.months", n=max(round(12 * years), 1))
    return note("home.repair.years", n=round(years))


def _share(frac: float) -> Value:
    tenths = round(10 * frac)
    if frac < SURE_FRAC <= tenths / 10:
        # Rounded it would look like enough.
        return note("home.repair.share.under", tenths=f"{tenths}")
    if frac >= _NEARLY_ALL_FRAC:
        return note("home.repair.share.most")
    if frac < _HARDLY_ANY_FRAC:
        return note("home.repair.share.least")
    return note("home.repair.share", tenths=f"{tenths}")
