"""Hot water as single draws: a household's busy morning as told, and a random year of draws.

Daily gallons say nothing about capacity; draws do. The busy morning is built from what the household says and has
nothing random in it: verdicts rest on it. The random year only serves to say how often something happens.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from advisor.core.arrays import Ints, Numbers
from advisor.core.errors import InputError
from advisor.core.tables import load
from advisor.core.units import DAYS_BY_MONTH

DAY_MIN = 1440.0
YEAR_MIN = 365 * DAY_MIN
#: Slowest draw that is made: less than this is a drip (our own choice).
LEAST_GPM = 0.2


@dataclass(frozen=True)
class Draws:
    """Draws in the order of their start.

    Parameters
    ----------
    start_min, minutes : ndarray
        Start on the clock of the run, and length. [min]
    flow_gpm : ndarray
        Flow at the fixture: mixed, or hot where ``use_f`` is infinite. [gpm]
    use_f : ndarray
        Temperature wanted at the fixture; infinite where hot water is taken as it comes. [°F]
    name : tuple of str
        What each draw is called.
    """

    start_min: np.ndarray
    minutes: np.ndarray
    flow_gpm: np.ndarray
    use_f: np.ndarray
    name: tuple[str, ...]

    def __len__(self) -> int:
        return len(self.start_min)

    @property
    def end_min(self) -> np.ndarray:
        """End of each draw. [min]"""
        return self.start_min + self.minutes

    @property
    def gallons(self) -> np.ndarray:
        """Volume of each draw at the fixture. [gal]"""
        return self.flow_gpm * self.minutes

    def segments(self, *, month_of_start: bool = False) -> np.ndarray:
        """Stretches of constant flow, as the bench's kernels read them.

        Parameters
        ----------
        month_of_start : bool
            Number the months by the clock, from 1 January; otherwise everything happens in row 0.

        Returns
        -------
        ndarray
            Rows of start, end [min], mixed gpm, its mean use temperature, gpm taken hot, month row. Draws that run
            together are one segment; their use temperature is the mean, weighted by flow.
        """
        if not month_of_start or not len(self):
            return self._segments.copy()
        rows = self._segments.copy()
        rows[:, 5] = month_of(rows[:, 0])
        return rows

    @cached_property
    def _segments(self) -> np.ndarray:
        """Segments without months, worked out once for all the heaters that run through them."""
        if not len(self):
            return np.zeros((0, 6))
        mixed = np.isfinite(self.use_f)
        cuts = np.unique(np.concatenate([self.start_min, self.end_min]))
        begins, ends = np.searchsorted(cuts, self.start_min), np.searchsorted(cuts, self.end_min)

        def running(amount: np.ndarray) -> np.ndarray:
            steps = np.bincount(begins, amount, len(cuts)) - np.bincount(ends, amount, len(cuts))
            return np.cumsum(steps)[:-1]

        active, fixtures = np.rint(running(np.ones(len(self)))), np.rint(running(mixed.astype(float)))
        flow, hot = running(np.where(mixed, self.flow_gpm, 0.0)), running(np.where(mixed, 0.0, self.flow_gpm))
        degrees = running(np.where(mixed, self.flow_gpm * np.where(mixed, self.use_f, 0.0), 0.0))
        flow, hot = np.where(fixtures > 0, flow, 0.0), np.where(active > fixtures, hot, 0.0)
        use = np.where(fixtures > 0, degrees / np.where(fixtures > 0, flow, 1.0), np.inf)
        rows = np.stack([cuts[:-1], cuts[1:], flow, use, hot, np.zeros(len(cuts) - 1)], axis=1)
        return np.ascontiguousarray(rows[active > 0])

    def first_and_last_segment(self, segments: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """For each draw, its first segment and the one after its last."""
        first = np.searchsorted(segments[:, 0], self.start_min, side="left")
        return first, np.searchsorted(segments[:, 0], self.end_min, side="left")


def month_of(minute: Any) -> Ints:
    """Month row, 0 to 11, of a minute of the year."""
    edges = np.cumsum(DAYS_BY_MONTH) * DAY_MIN
    return np.minimum(np.searchsorted(edges, np.asarray(minute) % YEAR_MIN, side="right"), 11)


def morning(uses: Iterable[Sequence[Any]]) -> Draws:
    """A busy morning from what the household says.

    Parameters
    ----------
    uses : iterable
        Rows of name, start [min from the beginning], length [min], flow at the fixture [gpm], use temperature [°F]
        (None or infinite for a machine that takes hot water as it comes).

    Raises
    ------
    InputError
        A start below zero, or a length or flow that is not above zero.
    """
    rows = sorted((tuple(row) for row in uses), key=lambda row: float(row[1]))
    for name, start, minutes, flow, use in rows:
        if not float(start) >= 0 or not float(minutes) > 0 or not 0 < float(flow) <= 50:
            raise InputError(
                f"use {name}",
                None,
                "it starts at {start} min, runs {minutes} min at {flow} gpm",
                "give a start from 0 and a length and flow above 0",
                start=start,
                minutes=minutes,
                flow=flow,
            )
        if use is not None and not float(use) > 60:
            raise InputError(f"use {name}", use, "this is not a temperature of hot water", "give about 105")
    columns = np.array(
        [(start, minutes, flow, np.inf if use is None else use) for _, start, minutes, flow, use in rows], dtype=float
    ).reshape(-1, 4)
    start, minutes, flow, use_f = columns.T
    return Draws(start, minutes, flow, use_f, tuple(str(row[0]) for row in rows))


def random_year(fixture_gpd: Numbers, appliance_gpd: Numbers, *, seed: int = 1) -> Draws:
    """A year of draws with the clusters, lengths and flows of real homes, from 1 January.

    Parameters
    ----------
    fixture_gpd : float or array of 12
        Mixed gallons a day at sinks, showers and baths; the mean day of each month is met exactly. [gal/day]
    appliance_gpd : float or array of 12
        Hot gallons a day at clothes washer and dishwasher, likewise. [gal/day]
    seed : int
        The same seed gives the same year.

    Sources
    -------
    Table ``draw_events`` (Hendron and Burch 2007, from memory, unverified) and table ``hourly_profiles``. The number of
    clusters follows the gallons; lengths are then stretched, by about a tenth, to meet each month.
    """
    wanted = {
        "fixtures": np.broadcast_to(np.asarray(fixture_gpd, dtype=float), (12,)),
        "appliances": np.broadcast_to(np.asarray(appliance_gpd, dtype=float), (12,)),
    }
    for group, gallons in wanted.items():
        if not np.all(np.isfinite(gallons)) or np.any(gallons < 0):
            raise InputError(f"gallons a day of {group}", gallons.tolist(), "this is not an amount", "give 0 or more")
    parts: list[tuple[np.ndarray, ...]] = []
    uses = load("draw_events")
    for index, use in enumerate(uses.rows()):
        gallons = wanted[use["group"]] * use["share_of_group_frac"]
        rng = np.random.default_rng([seed, index])
        parts.append(_end_use(rng, use, gallons, index))
    start, minutes, flow, use_f, which = (np.concatenate(column) for column in zip(*parts, strict=True))
    groups = uses["group"][which]
    minutes = _met_by_month(start, minutes, flow, groups, wanted)
    order = np.argsort(start, kind="stable")
    names = uses["end_use"][which[order]]
    return Draws(start[order], minutes[order], flow[order], use_f[order], tuple(names))


def _end_use(rng: np.random.Generator, use: Mapping[str, Any], gpd: np.ndarray, index: int) -> tuple[np.ndarray, ...]:
    """One end use through the year."""
    sample_gal = (_lengths(rng, use, 2000) * _flows(rng, use, 2000)).mean()
    clusters_per_day = gpd / (sample_gal * use["events_per_cluster"])
    day_month = np.repeat(np.arange(12), DAYS_BY_MONTH)
    # A whole number of clusters a month, spread over its days at random.
    counts = np.rint(clusters_per_day * DAYS_BY_MONTH).astype(int)
    counts = np.maximum(counts, (gpd > 0).astype(int))
    days = np.concatenate([rng.choice(np.flatnonzero(day_month == m), counts[m]) for m in range(12)])
    profile = load("hourly_profiles")[use["hours_column"]]
    hours = rng.choice(24, len(days), p=profile / profile.sum())
    cluster_start = days * DAY_MIN + hours * 60 + rng.uniform(0, 60, len(days))
    events = 1 + rng.poisson(use["events_per_cluster"] - 1, len(days))
    total = int(events.sum())
    minutes, flow = _lengths(rng, use, total), _flows(rng, use, total)
    gaps = np.minimum(rng.exponential(use["gap_mean_min"], total), use["gap_longest_min"])
    first = np.cumsum(events) - events  # row of each cluster's first event
    elapsed = np.cumsum(minutes + gaps) - (minutes + gaps)
    start = np.repeat(cluster_start, events) + elapsed - np.repeat(elapsed[first], events)
    start = start % YEAR_MIN
    use_f = np.full(total, np.inf if use["use_f"] is None else use["use_f"])
    return start, minutes, flow, use_f, np.full(total, index)


def _lengths(rng: np.random.Generator, use: Mapping[str, Any], count: int) -> np.ndarray:
    mean, sd = use["duration_mean_min"], use["duration_sd_min"]
    if use["duration_shape"] == "exponential":
        minutes = rng.exponential(mean, count)
    elif use["duration_shape"] == "lognormal":
        spread = np.log1p((sd / mean) ** 2)
        minutes = rng.lognormal(np.log(mean) - spread / 2, np.sqrt(spread), count)
    else:
        minutes = rng.normal(mean, sd, count)
    return np.clip(minutes, 0.05, 6 * mean)


def _flows(rng: np.random.Generator, use: Mapping[str, Any], count: int) -> np.ndarray:
    flow = rng.normal(use["flow_mean_gpm"], use["flow_sd_gpm"], count)
    return np.clip(flow, LEAST_GPM, use["flow_limit_gpm"])


def _met_by_month(
    start: np.ndarray,
    minutes: np.ndarray,
    flow: np.ndarray,
    groups: np.ndarray,
    wanted: dict[str, np.ndarray],
) -> np.ndarray:
    """Stretch lengths so that each month's mean day has the wanted gallons of each group."""
    month = month_of(start)
    stretched = minutes.copy()
    for group, gpd in wanted.items():
        mine = groups == group
        made = np.bincount(month[mine], (minutes * flow)[mine], 12)
        factor = np.divide(gpd * DAYS_BY_MONTH, made, out=np.zeros(12), where=made > 0)
        stretched[mine] *= factor[month[mine]]
    return np.maximum(stretched, 1e-3)
