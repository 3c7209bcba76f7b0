"""The household's demand in one record: what it draws in a year, in its busy hour, at once, and at its smallest tap."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from advisor.case.house import Water
from advisor.case.people import equivalent_bedrooms, usual_people
from advisor.case.record import Assumption, Household
from advisor.case.record import Use as BusyUse
from advisor.core.arrays import Floats, Numbers
from advisor.core.findings import Finding, care, note
from advisor.core.units import DAYS_BY_MONTH
from advisor.demand import busy_hour, daily_volume
from advisor.demand.busy_hour import Use, Worksheet
from advisor.demand.rating_home import reference_home_gpd
from advisor.physics.water import hot_share_frac

#: Full bathrooms where nobody told us, by bedrooms (1 to a single bedroom). Common practice, no published source.
_USUAL_BATHS = 2
#: People against those who usually live in so many bedrooms: beyond this factor we ask again. Our own choice.
_ODD_FACTOR = 2.0


@dataclass(frozen=True)
class SteadyFlow:
    """A single tap while it runs: what a tankless heater sees in the coldest and in the warmest month."""

    name: str
    mixed_gpm: float
    winter_hot_gpm: float
    summer_hot_gpm: float


@dataclass(frozen=True)
class Demand:
    """What the household asks of a heater.

    Parameters
    ----------
    daily_gal : ndarray, shape (12,)
        Hot gallons a day in each month. [gal/day]
    annual_gal : float
        Hot gallons of a year of 365 days. [gal]
    busy_hour_uses : tuple of Use
        What runs in the busiest hour.
    busy_hour_gal : float
        Hot gallons of that hour in the coldest month. [gal]
    simultaneous_gpm : float
        Hot flow while everything that runs at once does run, in the coldest month. [gpm]
    worksheet : Worksheet
        The same hour by the government worksheet: a cross-check, never the figure used.
    steady_flows : tuple of SteadyFlow
        One shower, one basin tap, and whatever else the busy hour names, each alone.
    smallest_winter_gpm, smallest_summer_gpm : float
        The smallest of them on the hot side: what must still start a tankless heater. [gpm]
    second_opinion_gpd : float
        Mean day of the standard for rating houses, by bedrooms. [gal/day]
    assumptions : tuple of Assumption
        What nobody told us.
    notes : tuple of Finding
        What to look at again.
    mixed_gpd, machines_gpd : ndarray, shape (12,), float
        The two parts of a month's day: mixed gallons at the fixtures, and hot gallons of the washing machines. With the
        mixing balance they make up ``daily_gal``. [gal/day]
    known_by : str
        What the gallons rest on: ``people_known``, ``people_unknown``, ``measured`` or ``billed``.
    bill_factor : float or None
        What a bill made of the gallons that the people would draw. [-]
    """

    daily_gal: np.ndarray
    annual_gal: float
    busy_hour_uses: tuple[Use, ...]
    busy_hour_gal: float
    simultaneous_gpm: float
    worksheet: Worksheet
    steady_flows: tuple[SteadyFlow, ...]
    smallest_winter_gpm: float
    smallest_summer_gpm: float
    second_opinion_gpd: float
    assumptions: tuple[Assumption, ...]
    notes: tuple[Finding, ...]
    mixed_gpd: np.ndarray
    machines_gpd: float
    known_by: str
    bill_factor: float | None = None

    def billed(self, factor: float) -> Demand:
        """The same household with so many times the gallons, because a bill says so; its busy hour stays."""
        daily_gal = self.daily_gal * factor
        reason = note("assumed.hot_water.billed", factor=factor)
        volume = Assumption("household.hot_water_gpd", round(_mean_gpd(daily_gal), 1), reason)
        return replace(
            self,
            daily_gal=daily_gal,
            annual_gal=self.annual_gal * factor,
            mixed_gpd=self.mixed_gpd * factor,
            machines_gpd=self.machines_gpd * factor,
            known_by="billed",
            bill_factor=factor,
            assumptions=(volume, *(item for item in self.assumptions if item.field != volume.field)),
        )

    @property
    def mean_daily_gal(self) -> float:
        """Hot gallons of the mean day. [gal/day]"""
        return self.annual_gal / 365

    @property
    def shower(self) -> SteadyFlow:
        """One shower alone."""
        return next(flow for flow in self.steady_flows if flow.name == "shower")


def demand_of(
    household: Household, water: Water, mains_f: Floats, annual_air_f: float, uses: Iterable[BusyUse] = ()
) -> Demand:
    """Gather what one household asks of a heater.

    Parameters
    ----------
    household : Household
        Its people, who set the volume; its bedrooms, which check their number, or tell it where nobody knows; its taps
        and its set point.
    water : Water
        Control of a hot water loop, and its insulation.
    mains_f : ndarray, shape (12,)
        Cold water by month. [°F]
    annual_air_f : float
        Mean outdoor air of the year. [°F]
    uses : iterable of case.record.Use
        The household's own busy hour. Empty for a default.

    Returns
    -------
    Demand
    """
    people, set_point_f, use_f = household.people_counted, household.set_point_f, household.use_temperature_f
    coldest_f, warmest_f = float(mains_f.min()), float(mains_f.max())
    control, is_insulated = water.recirculation, water.loop_is_insulated
    assumptions: list[Assumption] = []

    counted = float(daily_volume.counted_people(people, household.children, household.is_home_by_day))
    daily_gal = np.asarray(
        daily_volume.hot_gal_per_day_by_month(
            counted,
            mains_f,
            set_point_f,
            annual_air_f=annual_air_f,
            use_f=use_f,
            has_low_flow_fixtures=household.has_low_flow_fixtures,
            recirculation=control,
            is_insulated=is_insulated,
        )
    )
    machines_gpd = float(daily_volume.machines_gpd(counted, annual_air_f))
    if household.hot_water_gpd is None:
        assumptions.append(_volume_assumption(household, _mean_gpd(daily_gal)))
    else:
        measured_frac = household.hot_water_gpd / _mean_gpd(daily_gal)
        daily_gal, machines_gpd = daily_gal * measured_frac, machines_gpd * measured_frac

    busy = named = tuple(Use(u.name, u.mixed_gpm, u.duration_min, u.use_f, u.count, u.together) for u in uses)
    if not named:
        full_baths = household.full_baths
        if full_baths is None:
            full_baths = 1 if household.bedrooms is not None and household.bedrooms <= 1 else _USUAL_BATHS
            assumptions.append(Assumption("household.full_baths", full_baths, note("assumed.full_baths")))
        busy = busy_hour.default_busy_hour(
            people,
            full_baths,
            set_point_f=set_point_f,
            shower_flow_gpm=household.shower_flow_gpm,
            shower_min=household.shower_min,
            use_f=use_f,
            showers_together=household.showers_together,
            soaking_tub_gal=household.soaking_tub_gal or 0.0,
        )
        assumptions += busy_hour.default_assumptions(busy)
        # The default tap is an amount of hot water, not a tap somebody turns: the basin tap below stands for that.
        named = tuple(use for use in busy if use.name != busy_hour.FAUCET)

    shower = Use("shower", household.shower_flow_gpm, household.shower_min, use_f)
    tap = Use("basin tap", household.lavatory_flow_gpm, 1.0, use_f)
    alone = (shower, tap, *named)
    flows = _steady_flows(alone, set_point_f, coldest_f, warmest_f)
    daily_gal.flags.writeable = False
    # Where the cold water is as warm as a tap asks for, no tap draws hot water and the balance has nothing to say.
    share = hot_share_frac(use_f, set_point_f, mains_f)
    mixed_gpd = np.divide(daily_gal - machines_gpd, share, out=np.zeros_like(daily_gal), where=share > 0)
    return Demand(
        daily_gal=daily_gal,
        annual_gal=float(daily_gal @ DAYS_BY_MONTH),
        busy_hour_uses=busy,
        busy_hour_gal=float(busy_hour.busy_hour_gal(busy, set_point_f, coldest_f)),
        simultaneous_gpm=float(busy_hour.simultaneous_hot_gpm(busy, set_point_f, coldest_f)),
        worksheet=busy_hour.worksheet_gal(busy),
        steady_flows=flows,
        smallest_winter_gpm=min(flow.winter_hot_gpm for flow in flows),
        smallest_summer_gpm=min(flow.summer_hot_gpm for flow in flows),
        second_opinion_gpd=_mean_gpd(
            reference_home_gpd(household.bedrooms or equivalent_bedrooms(people), set_point_f, mains_f)
        ),
        assumptions=tuple(assumptions),
        notes=_notes(people, household.bedrooms, set_point_f, alone),
        mixed_gpd=mixed_gpd,
        machines_gpd=machines_gpd,
        known_by=_known_by(household),
    )


def _mean_gpd(daily_gal: Numbers) -> float:
    return float(np.asarray(daily_gal) @ DAYS_BY_MONTH / DAYS_BY_MONTH.sum())


def _known_by(household: Household) -> str:
    if household.hot_water_gpd is not None:
        return "measured"
    return "people_unknown" if household.people is None else "people_known"


def _volume_assumption(household: Household, mean_gpd: float) -> Assumption:
    reason = note("assumed.hot_water")
    if household.people_counted > daily_volume.FITTED_PEOPLE:
        reason = note("assumed.hot_water.stretched", reason=reason, fitted_people=daily_volume.FITTED_PEOPLE)
    if household.children is not None or household.is_home_by_day is not None:
        reason = note("assumed.hot_water.who", reason=reason)
    return Assumption("household.hot_water_gpd", round(mean_gpd, 1), reason)


def _steady_flows(
    uses: Iterable[Use], set_point_f: float, coldest_f: float, warmest_f: float
) -> tuple[SteadyFlow, ...]:
    flows = {}
    for use in uses:
        winter_gpm, summer_gpm = (
            float(busy_hour.hot_flow_gpm(use.mixed_gpm, use.use_f, set_point_f, cold_f))
            for cold_f in (coldest_f, warmest_f)
        )
        flows[use.name] = SteadyFlow(use.name, float(use.mixed_gpm), winter_gpm, summer_gpm)
    return tuple(flows.values())


def _notes(people: int, bedrooms: int | None, set_point_f: float, uses: Iterable[Use]) -> tuple[Finding, ...]:
    notes = []
    if bedrooms:
        usual = float(usual_people(bedrooms))
        if not usual / _ODD_FACTOR <= people <= usual * _ODD_FACTOR:
            notes.append(note("demand.unusual_number", usual_people=usual, n=bedrooms, people=people))
    short = dict.fromkeys(busy_hour.out_of_reach(tuple(uses), set_point_f))
    if short:
        notes.append(care("demand.too_cool", set_point_f=set_point_f, taps=tuple(map(busy_hour.tap, short))))
    return tuple(notes)
