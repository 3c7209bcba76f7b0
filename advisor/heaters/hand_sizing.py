"""Will it keep up? The published hand methods, corrected for this house's cold water and set point.

A tank is judged by the gallons it gives in the busiest hour, a tankless heater by the flow it holds at the coldest
water, and by the two flows below which it does not serve: the one that starts it and, in summer, the one that its
lowest fire overheats.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.circumstances import RATED_V, Circumstances
from advisor.core.arrays import Numbers
from advisor.core.findings import Finding, care, finding, note
from advisor.core.published import published
from advisor.core.verdicts import FALLS_SHORT, KEEPS_UP, WITH_CARE, CapacityVerdict
from advisor.core.working import Working, worked
from advisor.heaters import label_limits
from advisor.heaters.catalogue import Heater
from advisor.heaters.rating import TEST_RISE_DF
from advisor.physics.water import TEST_BTU_PER_GAL_DF, heated_flow_gpm

#: Margins between the verdicts. The busy hour itself is not known better than about a tenth; assumed.
AMPLE_RATIO, LEAST_RATIO = 1.10, 0.95
#: Short mornings a year with which a heater keeps up, one a month, and keeps up with care, two; our own choice.
KEEPS_UP_MOST_PER_YR, WITH_CARE_MOST_PER_YR = 12, 24
#: Flow that a tankless heater can pass, over its labelled flow at a 67 °F rise; from memory, unverified.
FLOW_LIMIT_RATIO = 1.7


@dataclass(frozen=True)
class HouseholdRun:
    """What runs through the household's winter mornings on the bench showed.

    Parameters
    ----------
    why : tuple of Finding
        Who runs short on the busy morning, for how long, how cold; and what is too small to start it.
    carries_frac : tuple of float
        Share of the busy morning up to which nobody's water is below their temperature for over a minute, for each of
        the insides that return the label; no lower and no higher than would move the hand method's verdict by more
        than a step. [-]
    minutes_short : float
        Minutes below 105 °F at the taps on the busy morning, summed over the uses that the heater lit for. [min]
    short_uses, noticed_by : tuple of str
        Uses that ran below 105 °F, and those whose dip anyone would notice.
    coldest_tap_f : float or None
        Coldest at any tap, the first half minute of flow forgiven; None where nothing ran longer. [°F]
    outlet_low_f, outlet_mean_f, outlet_high_f : float
        The heater's outlet while water flowed; the mean is weighted by flow. [°F]
    hot_gal : float
        Hot water drawn. [gal]
    starts : int
        Times a burner, an element or a compressor came on.
    never_lit, summer_never_lit : tuple of str
        Uses too small to start it, in the morning and in the warmest month.
    summer_unsteady : tuple of str
        Uses whose temperature swings noticeably in the warmest month.
    pause_coldest_f, pause_seconds_cold : float or None
        A shower, three minutes' pause, and a shower again: the second one's coldest, and how long it is noticeably
        cold. Tankless heaters only. [°F], [s]
    label_trouble : Finding or None
        What the bench comes to where it cannot reproduce the label.
    """

    why: tuple[Finding, ...]
    carries_frac: tuple[float, ...]
    minutes_short: float
    short_uses: tuple[str, ...]
    noticed_by: tuple[str, ...]
    coldest_tap_f: float | None
    outlet_low_f: float
    outlet_mean_f: float
    outlet_high_f: float
    hot_gal: float
    starts: int
    never_lit: tuple[str, ...]
    summer_never_lit: tuple[str, ...]
    summer_unsteady: tuple[str, ...]
    pause_coldest_f: float | None
    pause_seconds_cold: float | None
    label_trouble: Finding | None


@dataclass(frozen=True)
class Capacity:
    """What a candidate can give against what this household asks.

    Parameters
    ----------
    verdict : CapacityVerdict
        By the hand method, moved by the bench's mornings, and by experience where there is any.
    gives : Finding
        What it gives by the hand method, against what is asked.
    limits : tuple of Finding
        What else it cannot do: small flows, quick reheating.
    needs_care : bool
        One of them keeps it from simply keeping up.
    deliverable, needed : float
        Gallons in the busy hour for a tank, gallons a minute for a tankless heater.
    unit : str
        ``gal`` or ``gpm``.
    margin_frac : float
        Deliverable over needed, less 1.
    least_flow_winter_gpm, least_flow_summer_gpm : float or None
        Least steady flow of a tankless heater. [gpm]
    analytic_verdict : CapacityVerdict or None
        What the hand method alone says; None while ``verdict`` is that.
    carries_frac : float or None
        Share of the busy morning that it carries; None by the hand method alone. [-]
    short_mornings_per_yr : int or None
        Mornings a year on which someone's water runs below their temperature for over a minute. [1/yr]
    because : tuple of Finding
        What moved the verdict besides: a lower rating that keeps up, or what the old heater showed.
    household_run : HouseholdRun or None
        What the bench showed.
    workings : tuple of Working
        Of ``deliverable``, then of a burner's least steady flow in winter and in summer.
    """

    verdict: CapacityVerdict
    gives: Finding
    limits: tuple[Finding, ...]
    needs_care: bool
    deliverable: float
    needed: float
    unit: str
    margin_frac: float
    least_flow_winter_gpm: float | None = None
    least_flow_summer_gpm: float | None = None
    analytic_verdict: CapacityVerdict | None = None
    carries_frac: float | None = None
    short_mornings_per_yr: int | None = None
    because: tuple[Finding, ...] = ()
    household_run: HouseholdRun | None = None
    workings: tuple[Working, ...] = ()

    @property
    def why(self) -> tuple[Finding, ...]:
        """Why, with the numbers; what it gives comes first."""
        mornings = self.short_mornings_per_yr
        if mornings is None or self.household_run is None:
            return (self.gives, *self.because, *self.limits)
        said = (note("capacity.mornings.none"),)
        if mornings:
            limits = {"most": KEEPS_UP_MOST_PER_YR, "most_with_care": WITH_CARE_MOST_PER_YR}
            said = (finding("capacity.mornings", self.verdict.severity, "", n=mornings, **limits),)
        trouble = tuple(filter(None, (self.household_run.label_trouble,)))
        return (self.gives, *said, *self.because, *self.household_run.why, *trouble, *self.limits)


@published(
    "First-hour rating split into stored and reheated gallons; 10 CFR 430 subpart B app. E sec. 5.3.3 conditions",
    state="computed",
    fhr_gal=82.0,
    recovery_gph=56.5,
    volume_gal=48.0,
    rise_df=75.0,
)
def local_first_hour_gal(
    fhr_gal: Numbers,
    recovery_gph: Numbers,
    volume_gal: Numbers,
    rise_df: Numbers,
    altitude_frac: Numbers = 1.0,
    heaters_dimensionless: Numbers = 1.0,
) -> Numbers:
    """First-hour gallons at this house's temperature rise and height.

    The rated hour is stored water plus water reheated during the hour. The stored part stays; the reheated part
    shrinks as the rise grows and as thin air takes from the burner.

    Parameters
    ----------
    fhr_gal : float or ndarray
        First-hour rating, at a 67 °F rise. [gal]
    recovery_gph : float or ndarray
        Recovery at a 67 °F rise. [gal/h]
    volume_gal : float or ndarray
        Rated volume; between a third and all of it is taken to be usable. [gal]
    rise_df : float or ndarray
        Set point less coldest inlet. [°F]
    altitude_frac : float or ndarray
        Share of its input that a burner keeps at this height, or an element at this voltage. [-]
    heaters_dimensionless : float or ndarray
        Equal tanks in parallel. [-]

    Returns
    -------
    float or ndarray
        The rating itself at a 67 °F rise and sea level. [gal]
    """
    # A strong burner reheats more than the test can draw: no more than the rating itself can be lost to height.
    at_sea_level = np.minimum(recovery_gph, fhr_gal)
    recovery_gph = at_sea_level * altitude_frac
    fhr_gal = fhr_gal - (at_sea_level - recovery_gph)
    stored = np.clip(np.asarray(fhr_gal) - recovery_gph, np.minimum(np.asarray(volume_gal) / 3, fhr_gal), volume_gal)
    rise = np.asarray(rise_df, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        reheated = (fhr_gal - stored) * (TEST_RISE_DF / rise)
    return (np.where(rise > 0, stored + reheated, np.inf) * heaters_dimensionless)[()]


@published(
    "Heat balance on the labelled flow at a 67 °F rise; 10 CFR 430 subpart B app. E sec. 6.2",
    state="computed",
    max_gpm=5.0,
    rise_df=75.0,
)
def local_max_flow_gpm(
    max_gpm: Numbers,
    rise_df: Numbers,
    altitude_frac: Numbers = 1.0,
    heaters_dimensionless: Numbers = 1.0,
    flow_limit_frac: Numbers = FLOW_LIMIT_RATIO,
) -> Numbers:
    """Flow that a tankless heater holds at this house's temperature rise and height.

    Parameters
    ----------
    max_gpm : float or ndarray
        Flow that its input heats by 67 °F: the labelled one, unless that is limited by what can pass. [gpm]
    rise_df : float or ndarray
        Set point less coldest inlet. [°F]
    altitude_frac : float or ndarray
        Share of its input that a burner keeps at this height, or an element at this voltage. [-]
    heaters_dimensionless : float or ndarray
        Equal heaters in parallel. [-]
    flow_limit_frac : float or ndarray
        What can pass, over that flow: 1.7 where the label does not show a limit (from memory). [-]

    Returns
    -------
    float or ndarray
        Never above what pipes and valve inside let pass. [gpm]
    """
    rise, rated = np.asarray(rise_df, dtype=float), np.asarray(max_gpm) * altitude_frac
    with np.errstate(divide="ignore", invalid="ignore"):
        heated = rated * TEST_RISE_DF / rise
    return (np.where(flow_limit_frac * rise > TEST_RISE_DF, heated, flow_limit_frac * rated) * heaters_dimensionless)[
        ()
    ]


@published(
    "Heat balance at the lowest fire; the field's 0.95 to 0.48 gpm for a 10:1 199,000 Btu/h burner",
    state="common practice, no published source",
    min_input_btuh=19_900.0,
    thermal_efficiency_frac=0.95,
    rise_df=40.0,
)
def least_steady_flow_gpm(min_input_btuh: Numbers, thermal_efficiency_frac: Numbers, rise_df: Numbers) -> Numbers:
    """Least flow at which the lowest fire does not overshoot the set point.

    Parameters
    ----------
    min_input_btuh : float or ndarray
        Lowest fire. [Btu/h]
    thermal_efficiency_frac : float or ndarray
        Share of it that reaches the water. [-]
    rise_df : float or ndarray
        Set point less inlet. [°F]

    Returns
    -------
    float or ndarray
        [gpm]
    """
    return heated_flow_gpm(np.asarray(min_input_btuh) * thermal_efficiency_frac, rise_df)


def rated_recovery_gph(heater: Heater) -> float:
    """Recovery of one tank at a 67 °F rise. A heat pump recovers with its elements, if it has them. [gal/h]"""
    if heater.is_heat_pump and not heater.technology.has_backup_element:
        return (heater.recovery_gph or 8.0) * 90 / TEST_RISE_DF
    efficiency = heater.usual_recovery_frac if heater.burns_fuel else 1.0
    return heater.power_btuh * efficiency / (TEST_BTU_PER_GAL_DF * TEST_RISE_DF)


def hand_method(heater: Heater, circumstances: Circumstances) -> Capacity:
    """Judge a heater by the published hand method of its kind."""
    return (storage_capacity if heater.is_storage else tankless_capacity)(heater, circumstances)


def storage_capacity(heater: Heater, circumstances: Circumstances) -> Capacity:
    """Judge a tank by its first hour.

    Parameters
    ----------
    heater : Heater
        With a first-hour rating; ``n_units`` tanks in parallel add up.
    circumstances : Circumstances
        Temperatures, height, and the busiest hour, counted at the set point and the coldest water.
    """
    assert heater.fhr_gal is not None, heater.id
    coldest_f, busy_hour_gal = float(circumstances.coldest_mains_f), circumstances.demand.busy_hour_gal
    hour = worked(
        note("working.hour"),
        local_first_hour_gal,
        fhr_gal=heater.fhr_gal,
        recovery_gph=rated_recovery_gph(heater),
        volume_gal=heater.rated_volume_gal,
        rise_df=circumstances.set_point_f - coldest_f,
        altitude_frac=input_frac(heater, circumstances),
        heaters_dimensionless=float(heater.n_units),
    )
    deliverable = hour.result
    verdict, margin = _verdict(deliverable, busy_hour_gal)
    gives = finding(
        "capacity.hour",
        verdict.severity,
        n=heater.n_units,
        gives_gal=deliverable,
        coldest_f=coldest_f,
        needed_gal=busy_hour_gal,
    )
    is_slow = heater.is_heat_pump and not heater.technology.has_backup_element and verdict != FALLS_SHORT
    limits = (note("capacity.slow"),) if is_slow else ()
    return Capacity(verdict, gives, limits, False, deliverable, busy_hour_gal, "gal", margin, workings=(hour,))


def tankless_capacity(heater: Heater, circumstances: Circumstances) -> Capacity:
    """Judge a tankless heater by its flow at the coldest water and by its least flow in summer.

    Parameters
    ----------
    heater : Heater
        With a labelled flow; ``n_units`` heaters in parallel add up, and the first alone serves small draws.
    circumstances : Circumstances
        Temperatures, height, what runs together in winter, and in summer one shower and the smallest tap.
    """
    assert heater.max_gpm is not None, heater.id
    set_point_f, coldest_f = circumstances.set_point_f, float(circumstances.coldest_mains_f)
    demand = circumstances.demand
    flow = worked(
        note("working.flow"),
        local_max_flow_gpm,
        rise_df=set_point_f - coldest_f,
        **flow_inputs(heater, circumstances),
    )
    deliverable = flow.result
    verdict, margin = _verdict(deliverable, demand.simultaneous_gpm)
    least = (
        _least_flow(note("working.least_winter"), heater, set_point_f - coldest_f),
        _least_flow(note("working.least_summer"), heater, set_point_f - float(circumstances.warmest_mains_f)),
    )
    winter, summer = (_or_starts(heater, one) for one in least)
    gives = finding(
        "capacity.flow",
        verdict.severity,
        n=heater.n_units,
        gives_gpm=deliverable,
        coldest_f=coldest_f,
        set_point_f=set_point_f,
        needed_gpm=demand.simultaneous_gpm,
    )
    needs_care, limits = summer > demand.shower.summer_hot_gpm, []
    if needs_care:
        verdict = WITH_CARE if verdict == KEEPS_UP else verdict
        limits.append(care("capacity.unsteady_shower", least_gpm=summer))
    elif summer > demand.smallest_summer_gpm:
        limits.append(care("capacity.unsteady_tap", least_gpm=summer))
    return Capacity(
        verdict,
        gives,
        tuple(limits),
        needs_care,
        deliverable,
        demand.simultaneous_gpm,
        "gpm",
        margin,
        winter,
        summer,
        workings=(flow, *filter(None, least)),
    )


def flow_inputs(heater: Heater, circumstances: Circumstances) -> dict[str, float]:
    """What ``local_max_flow_gpm`` asks of a tankless heater in a house, but for the rise."""
    assert heater.max_gpm is not None, heater.id
    heats_gpm, limit_ratio = heater.max_gpm, FLOW_LIMIT_RATIO
    if label_limits.is_flow_limited(heater):
        heats_gpm = label_limits.balance_gpm(heater)
        limit_ratio = heater.max_gpm / heats_gpm
    return {
        "max_gpm": heats_gpm,
        "altitude_frac": input_frac(heater, circumstances),
        "heaters_dimensionless": float(heater.n_units),
        "flow_limit_frac": limit_ratio,
    }


def least_flow_gpm(heater: Heater, rise_df: float) -> float:
    """Least flow that one tankless heater lights at and holds steady at a rise. [gpm]"""
    return _or_starts(heater, _least_flow(note("working.least_winter"), heater, rise_df))


def _or_starts(heater: Heater, least: Working | None) -> float:
    starts = heater.activation_gpm or 0.0
    return starts if least is None else max(starts, least.result)


def input_frac(heater: Heater, circumstances: Circumstances) -> float:
    """Share of the rated input that this heater has here: height takes from burners, a low voltage from elements."""
    if heater.burns_fuel:
        return circumstances.altitude_frac
    return 1.0 if heater.circuit_v is None or heater.circuit_v < RATED_V else circumstances.element_frac


def _least_flow(figure: Finding, heater: Heater, rise_df: float) -> Working | None:
    """The flow that its lowest fire needs; None where that is as low as one likes."""
    if heater.min_input_btuh is None:
        return None
    return worked(
        figure,
        least_steady_flow_gpm,
        min_input_btuh=heater.min_input_btuh,
        thermal_efficiency_frac=heater.recovery_frac or heater.uef,
        rise_df=max(rise_df, 1.0),
    )


def _verdict(deliverable: float, needed: float) -> tuple[CapacityVerdict, float]:
    ratio = deliverable / needed if needed > 0 else float("inf")
    verdict = KEEPS_UP if ratio >= AMPLE_RATIO else WITH_CARE if ratio >= LEAST_RATIO else FALLS_SHORT
    return verdict, ratio - 1
