"""The bench's own report: the federal tests run again on every label, this household's morning, and its year."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from advisor.bench.calibration import Retest, run_again
from advisor.bench.morning import MorningResult, YearResult
from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.units import BTU_PER_KWH, BTU_PER_THERM, show
from advisor.heaters.catalogue import catalogue
from advisor.report.as_json import household_run_dict
from advisor.report.words import say, sentences

_WIDTH = 100


@dataclass(frozen=True)
class OnBench:
    """One candidate's runs.

    Parameters
    ----------
    candidate : Candidate
        With the household run that its verdict rests on.
    morning : MorningResult
        The busy winter morning, with its trace.
    year : YearResult
        A year of random draws, beside the figure that is quoted.
    quoted_btu_per_yr : float
        That figure: all energy bought for heating water, a loop's pump left out. [Btu/yr]
    """

    candidate: Candidate
    morning: MorningResult
    year: YearResult
    quoted_btu_per_yr: float

    @property
    def short_mornings(self) -> int:
        """Mornings a year that run short: what the verdict rests on."""
        return self.candidate.capacity.short_mornings_per_yr or 0


@dataclass(frozen=True)
class BenchReport:
    """Everything the bench has to say about a case: the labels, and the candidates asked for."""

    comparison: Comparison
    retests: tuple[Retest, ...]
    runs: tuple[OnBench, ...]


def bench_report(comparison: Comparison, chosen: Sequence[Candidate]) -> BenchReport:
    """Run the federal tests on every label again, and the chosen candidates through their morning and year."""
    own = [item.heater for item in comparison.candidates if item.heater.is_own]
    retests = tuple(run_again(heater) for heater in (*catalogue(), *own))
    return BenchReport(comparison, retests, tuple(_on_bench(comparison, candidate) for candidate in chosen))


def _on_bench(comparison: Comparison, candidate: Candidate) -> OnBench:
    bench, energy = comparison.bench, candidate.energy
    bought = float(np.sum(energy.fuel_btu) + np.sum(energy.electricity_kwh) * BTU_PER_KWH)
    quoted = bought - comparison.circumstances.loop.pump_kwh_per_yr * BTU_PER_KWH
    year = bench.year(candidate.heater, quoted_btu_per_yr=quoted)
    return OnBench(candidate, bench.run(candidate.heater), year, quoted)


def label_misses(retests: Sequence[Retest]) -> tuple[tuple[str, float], tuple[str, float]]:
    """The worst first-hour rating or flow, as a share, and the worst UEF: heater and bench less label."""
    capacity = {item.heater_id: _capacity_miss(item) for item in retests}
    factor = {item.heater_id: item.uef_bench - item.uef_label for item in retests}
    worst, worst_factor = max(capacity, key=lambda k: abs(capacity[k])), max(factor, key=lambda k: abs(factor[k]))
    return (worst, capacity[worst]), (worst_factor, factor[worst_factor])


def _capacity_miss(item: Retest) -> float:
    pairs = ((item.fhr_bench_gal, item.fhr_label_gal), (item.max_gpm_bench, item.max_gpm_label))
    return next((bench / label - 1 for bench, label in pairs if bench is not None and label is not None), 0.0)


# Findings: a sentence each, in text, in the chart's title and in JSON ---------------------------------------------


def labels_finding(retests: Sequence[Retest]) -> str:
    """How well the federal tests on the bench return the labels."""
    (worst, off), (worst_uef, uef_off) = label_misses(retests)
    failed = sum(item.cannot_meet is not None for item in retests)
    rest = f" {failed} of the labels cannot be met, for the reason given." if failed else ""
    return (
        f"The federal tests run on the bench return {len(retests)} labels: worst first-hour rating or flow"
        f" {off:+.1%} ({worst}), worst UEF {uef_off:+.3f} ({worst_uef}).{rest}"
    )


def years_finding(runs: Sequence[OnBench]) -> str:
    """Who runs short on how many mornings of a year."""
    most, least = (pick(runs, key=lambda run: run.short_mornings) for pick in (max, min))
    if most.short_mornings == least.short_mornings:
        return f"Mornings a year that run short: {most.short_mornings} with {_title(most)}."
    return (
        f"Mornings a year that run short: from {least.short_mornings} with {_title(least)} to"
        f" {most.short_mornings} with {_title(most)}."
    )


def energy_finding(runs: Sequence[OnBench]) -> str:
    """How far the year on the bench lies from the figure that is quoted."""
    off = [(run.year.over_quoted_frac or 0.0, run) for run in runs]
    low, high = min(off, key=lambda pair: pair[0]), max(off, key=lambda pair: pair[0])
    if low[1] is high[1]:
        return f"The year on the bench takes {low[0]:+.0%} against the figure quoted for {_title(low[1])}."
    return (
        f"The year on the bench takes {low[0]:+.0%} ({_title(low[1])}) to {high[0]:+.0%} ({_title(high[1])}) against"
        " the figures quoted."
    )


def _title(run: OnBench) -> str:
    title = run.candidate.heater.title
    return title[:1].lower() + title[1:]


# Plain data ---------------------------------------------------------------------------------------------------


def bench_dict(report: BenchReport) -> dict[str, Any]:
    """The report as plain dicts and lists. The shape is a promise to scripts: add, never rename."""
    (worst, off), (worst_uef, uef_off) = label_misses(report.retests)
    return {
        "retest": [retest_dict(item) for item in report.retests],
        "worst": {
            "capacity_id": worst,
            "capacity_over_label_frac": round(off, 4),
            "uef_id": worst_uef,
            "uef_over_label": round(uef_off, 4),
        },
        "busy_morning": busy_morning_rows(report.comparison),
        "morning": [
            {
                "id": run.candidate.heater.id,
                "verdict": run.candidate.capacity.verdict,
                "analytic_verdict": run.candidate.capacity.analytic_verdict,
                "deliverable": round(run.candidate.capacity.deliverable, 2),
                "needed": round(run.candidate.capacity.needed, 2),
                "unit": run.candidate.capacity.unit,
                "bench": None
                if run.candidate.capacity.household_run is None
                else household_run_dict(run.candidate.capacity.household_run),
                "uses": [
                    {
                        "name": use.name,
                        "minutes_short": round(use.minutes_short, 2),
                        "lowest_f": None if np.isnan(use.lowest_f) else round(use.lowest_f, 1),
                        "noticed": use.noticed,
                        "lit": use.lit,
                    }
                    for use in run.morning.uses
                ],
            }
            for run in report.runs
        ],
        "year": [{"id": run.candidate.heater.id, **_year_dict(run)} for run in report.runs],
    }


def retest_dict(item: Retest) -> dict[str, Any]:
    """One label and what the bench made of it."""
    return {
        "id": item.heater_id,
        "fhr_label_gal": item.fhr_label_gal,
        "fhr_bench_gal": item.fhr_bench_gal,
        "max_gpm_label": item.max_gpm_label,
        "max_gpm_bench": item.max_gpm_bench,
        "uef_label": item.uef_label,
        "uef_bench": item.uef_bench,
        "cannot_meet": say(item.cannot_meet) if item.cannot_meet else None,
    }


def busy_morning_rows(comparison: Comparison) -> list[dict[str, Any]]:
    """Who starts when."""
    draws = comparison.bench.draws
    return [
        {
            "name": draws.name[i],
            "start_min": round(float(draws.start_min[i]), 2),
            "duration_min": round(float(draws.minutes[i]), 2),
            "mixed_gpm": round(float(draws.flow_gpm[i]), 3),
            "use_f": round(float(draws.use_f[i]), 1),
        }
        for i in range(len(draws))
    ]


def _year_dict(run: OnBench) -> dict[str, Any]:
    year = run.year
    return {
        "short_mornings": run.short_mornings,
        "minutes_short": round(year.minutes_short, 1),
        "events": year.events,
        "unlit_events": year.unlit_events,
        "starts_per_day": round(year.starts_per_day, 1),
        "backup_share_frac": round(year.backup_share_frac, 4),
        "energy_btu_per_yr": round(year.energy_btu),
        "quoted_btu_per_yr": round(run.quoted_btu_per_yr),
        "over_quoted_frac": None if year.over_quoted_frac is None else round(year.over_quoted_frac, 4),
        "fuel_btu_per_yr": round(year.fuel_btu),
        "electricity_kwh_per_yr": round(year.electricity_kwh, 1),
        "heat_btu_per_yr": round(year.heat_btu),
    }


# Text -----------------------------------------------------------------------------------------------------------


def bench_text(report: BenchReport, *, si: bool = False) -> str:
    """The report for a terminal of 100 columns."""
    parts = [_labels(report, si), _who(report, si), *(_one(run, si) for run in report.runs)]
    if report.runs:
        parts.append("\n".join(_wrap(text) for text in (years_finding(report.runs), energy_finding(report.runs))))
    return "\n\n".join(parts)


def _wrap(text: str, indent: str = "") -> str:
    return textwrap.fill(text, _WIDTH, initial_indent=indent, subsequent_indent=" " * len(indent))


def _labels(report: BenchReport, si: bool) -> str:
    lines = ["The federal tests, run again on the bench", f"{'':34}{'first hour or flow':>28}{'UEF':>18}"]
    lines.append(f"{'':34}{'label':>14}{'bench':>14}{'label':>9}{'bench':>9}")
    for item in report.retests:
        if item.fhr_label_gal is not None and item.fhr_bench_gal is not None:
            pair = [show(value, "gal", si=si, digits=0) for value in (item.fhr_label_gal, item.fhr_bench_gal)]
        else:
            flows = (item.max_gpm_label or 0.0, item.max_gpm_bench or 0.0)
            pair = [show(value, "gpm", si=si, digits=2) for value in flows]
        lines.append(f"{item.heater_id:34}{pair[0]:>14}{pair[1]:>14}{item.uef_label:>9.2f}{item.uef_bench:>9.3f}")
        if item.cannot_meet:
            lines.append(_wrap(say(item.cannot_meet, si=si), "    "))
    return "\n".join([*lines, _wrap(labels_finding(report.retests))])


def _who(report: BenchReport, si: bool) -> str:
    comparison = report.comparison
    cold = show(comparison.site.mains.coldest_f, "f", si=si, digits=0)
    lines = [_wrap(f"The busy winter morning (cold water {cold}): who starts when. Nothing in it is random.")]
    for row in busy_morning_rows(comparison):
        flow, use = show(row["mixed_gpm"], "gpm", si=si, digits=2), show(row["use_f"], "f", si=si, digits=0)
        lines.append(f"  minute {row['start_min']:>5.1f}  {row['name']}: {row['duration_min']:g} min, {flow} at {use}")
    return "\n".join(lines)


def _one(run: OnBench, si: bool) -> str:
    heater, capacity, year, found = (
        run.candidate.heater,
        run.candidate.capacity,
        run.year,
        run.candidate.capacity.household_run,
    )
    lines = [f"{heater.title} ({heater.id}): {capacity.verdict}", _wrap(sentences(capacity.why, si=si), "  ")]
    if found is not None:
        low, high = (show(value, "f", si=si, digits=0) for value in (found.outlet_low_f, found.outlet_high_f))
        lines.append(
            _wrap(
                f"Its outlet ran from {low} to {high}; it came on"
                f" {found.starts} {'time' if found.starts == 1 else 'times'}.",
                "  ",
            )
        )
        if found.pause_coldest_f is not None and found.pause_seconds_cold is not None:
            cold = show(found.pause_coldest_f, "f", si=si, digits=0)
            for_long = (
                f"clearly cold for about {found.pause_seconds_cold:.0f} s" if found.pause_seconds_cold else "not cold"
            )
            lines.append(_wrap(f"After a pause of three minutes the next shower dips to {cold}: {for_long}.", "  "))
    mornings = f"{run.short_mornings} morning{'s' * (run.short_mornings != 1)}"
    lines.append(
        _wrap(
            f"In a year {mornings} run short; in a year of random draws it comes on {year.starts_per_day:.0f} times a"
            f" day.{_unlit(year)}{_backup(run)}",
            "  ",
        )
    )
    per, suffix = (BTU_PER_THERM, "therm") if heater.burns_fuel else (BTU_PER_KWH, "kwh")
    both = (year.energy_btu, run.quoted_btu_per_yr)
    bench, quoted = (show(value / per, suffix, si=si, digits=0) for value in both)
    lines.append(_wrap(f"Energy: {bench} on the bench, {quoted} quoted ({year.over_quoted_frac or 0.0:+.0%}).", "  "))
    return "\n".join(lines)


def _unlit(year: YearResult) -> str:
    return f" Of {year.events:,} draws {year.unlit_events:,} never start it." if year.unlit_events else ""


def _backup(run: OnBench) -> str:
    if not run.candidate.heater.is_heat_pump:
        return ""
    return f" Elements give {run.year.backup_share_frac:.0%} of the heat."
