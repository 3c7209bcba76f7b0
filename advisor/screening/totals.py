"""Counts and sums of decisions: whole numbers, so that they are the same whatever the order in which they are added."""

from __future__ import annotations

from collections import Counter
from typing import Any

import numpy as np

from advisor.screening.decide import APPROVE, DECISIONS, REDUCED, UNREAD

#: Sums are kept in thousandths.
SCALE = 1000
SAVINGS = (
    "saved_therm_per_yr",
    "saved_kwh_per_yr",
    "saved_mmbtu_per_yr",
    "saved_mmbtu_over_life",
    "saved_summer_kw",
    "saved_winter_kw",
    "saved_co2_lb_per_yr",
    "household_saved_mmbtu_per_yr",
)


def totals_of(decisions: Any) -> Counter[tuple[str, ...]]:
    """Counts and sums of a frame of decisions, by what they are of."""
    import pyarrow as pa
    import pyarrow.compute as pc

    found: Counter[tuple[str, ...]] = Counter()
    paid = pc.is_in(decisions["decision"], pa.array([APPROVE, REDUCED]))
    found["rows",] = decisions.num_rows
    found["unread",] = int(pc.sum(pc.equal(decisions["status"], UNREAD)).as_py() or 0)
    _count(found, "decision", decisions["decision"])
    for effect in ("deny", "hold", "reduce"):
        words = pc.split_pattern(decisions[f"{effect}_rules"], " ").combine_chunks()
        words = (
            words.flatten()
            if isinstance(words, pa.ListArray)
            else pa.concat_arrays([c.flatten() for c in words.chunks])
        )
        _count(found, f"{effect}_rule", words.filter(pc.not_equal(words, "")))
    mended = np.round(np.asarray(decisions["amount_once_mended_usd"], dtype=float) * SCALE).astype(np.int64)
    found["once_mended_usd",] = int(mended.sum())
    of_paid = decisions.filter(paid)
    usd = np.round(np.asarray(of_paid["amount_usd"], dtype=float) * SCALE).astype(np.int64)
    found["paid_usd",] = int(usd.sum())
    _sum(found, "measure", of_paid["measure"], usd)
    _sum(found, "county", of_paid["county"], usd)
    if "income_tier" in decisions.column_names:
        _sum(found, "tier", of_paid["income_tier"], usd)
    _sum(found, "day", of_paid["received_date"].cast(pa.string()), usd)
    for name in SAVINGS:
        if name in decisions.column_names:
            values = np.nan_to_num(np.asarray(of_paid[name].to_numpy(), dtype=float))
            found["saved", name] = int(np.round(values * SCALE).astype(np.int64).sum())
    return found


def _count(found: Counter[tuple[str, ...]], what: str, words: Any) -> None:
    for one in words.value_counts().to_pylist():
        found[what, one["values"]] += one["counts"]


def _sum(found: Counter[tuple[str, ...]], what: str, words: Any, values: np.ndarray) -> None:
    """How many of each word, and their sum."""
    import pyarrow as pa

    if not len(values):
        return
    grouped = (
        pa.table({"word": words, "value": values}).group_by("word").aggregate([("value", "sum"), ("value", "count")])
    )
    for one in grouped.to_pylist():
        found[f"{what}_usd", one["word"] or ""] += one["value_sum"]
        found[f"{what}_count", one["word"] or ""] += one["value_count"]


def summary(totals: Counter[tuple[str, ...]], budget_usd: float | None) -> dict[str, Any]:
    """The totals as they stand in the record."""

    def of(what: str, scale: float = 1) -> dict[str, float]:
        return {
            key[1]: value / scale if scale != 1 else value for key, value in sorted(totals.items()) if key[0] == what
        }

    return {
        "rows": totals["rows",],
        "unread": totals["unread",],
        "decisions": {word: totals["decision", word] for word in DECISIONS},
        "paid_usd": totals["paid_usd",] / SCALE,
        "once_mended_usd": totals["once_mended_usd",] / SCALE,
        "rules": {effect: of(f"{effect}_rule") for effect in ("deny", "hold", "reduce")},
        "measures": _pairs(totals, "measure"),
        "counties": _pairs(totals, "county"),
        "income_tiers": _pairs(totals, "tier"),
        "saved": of("saved", SCALE),
        "budget": budget(of("day_usd", SCALE), budget_usd),
    }


def _pairs(totals: Counter[tuple[str, ...]], what: str) -> dict[str, dict[str, float]]:
    names = [key[1] for key in sorted(totals) if key[0] == f"{what}_count"]
    return {
        name: {"count": totals[f"{what}_count", name], "usd": totals[f"{what}_usd", name] / SCALE} for name in names
    }


def budget(by_day_usd: dict[str, float], budget_usd: float | None) -> dict[str, Any]:
    """Money by the day on which the applications were received, and the day on which it is used up."""
    spent, runs_out, curve = 0.0, None, []
    for day, usd in sorted(by_day_usd.items()):
        spent += usd
        curve.append({"day": day, "spent_usd": spent})
        if runs_out is None and budget_usd is not None and spent > budget_usd:
            runs_out = day
    return {"budget_usd": budget_usd, "runs_out_on": runs_out, "by_day": curve}
