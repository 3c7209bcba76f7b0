"""A hot water loop: what it loses, how its control changes that, and what it does to the heater.

Everything about loops stands here. The circumstances of a house carry ``Recirculation``; the yearly energy, the bench
and the trades read it from there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from advisor.case.house import Water
from advisor.case.usual import usual
from advisor.core.arrays import Numbers
from advisor.core.errors import InputError
from advisor.core.findings import Finding, Severity, finding, note
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.verdicts import HouseVerdict, verdict_of

HOURS_PER_YR = 8760.0
#: Reheating the cold core of a non-condensing tankless heater (4.40 Btu/°F over 57 °F).
CORE_REHEAT_BTU = 251.0
#: Pump calls a day with a button or a sensor (our assumption).
CALLS_PER_DAY = 12.0
#: Fall of a heat pump's coefficient of performance a degree at the condenser (from memory, unverified).
HEAT_PUMP_COP_PER_DF = 0.012
#: Power and flow of a usual pump; assumed.
USUAL_PUMP_W, USUAL_FLOW_GPM = 25.0, 1.5
#: The loop's mean water below the set point; assumed.
COOLER_THAN_SET_POINT_DF = 5.0
#: How much warmer the return makes the water at a heat pump's condenser; assumed.
RETURN_WARMER_DF = 10.0
#: Controls that keep the loop running for hours.
_RUN_LONG = frozenset({"always", "timer", "temperature"})
# Distribution water that the control factors are built on.
_FIXTURE_WATER, _REFERENCE_WATER = 128.0, 160.0


@published(
    "Steady loss; band of 0.34 to 0.66 for bare 3/4 in. copper",
    state="assumed",
    loss_btuh_per_ft_df=0.45,
    loop_ft=120.0,
    loop_f=115.0,
    air_f=70.0,
)
def loop_loss_btuh(loss_btuh_per_ft_df: Numbers, loop_ft: Numbers, loop_f: Numbers, air_f: Numbers) -> Numbers:
    """Heat that a warm loop gives to the house.

    Parameters
    ----------
    loss_btuh_per_ft_df : float or ndarray
        From ``data/pipe_heat_loss``. [Btu/(h ft °F)]
    loop_ft : float or ndarray
        Length out and back. [ft]
    loop_f, air_f : float or ndarray
        Mean water and air. [°F]

    Returns
    -------
    float or ndarray
        [Btu/h]
    """
    return loss_btuh_per_ft_df * loop_ft * np.maximum(np.asarray(loop_f, dtype=float) - air_f, 0.0)[()]


@published("Loss times warm hours", state="computed", loss_btuh=1370.0, warm_frac=1.0)
def loop_loss_btu_per_yr(loss_btuh: Numbers, warm_frac: Numbers) -> Numbers:
    """Heat lost in a year by a loop that is warm part of the time.

    Parameters
    ----------
    loss_btuh : float or ndarray
        Loss while warm. [Btu/h]
    warm_frac : float or ndarray
        Share of the year in which it is warm. [-]

    Returns
    -------
    float or ndarray
        [Btu/yr]
    """
    return loss_btuh * HOURS_PER_YR * warm_frac


@published(
    "ANSI/RESNET/ICC 301, hot water distribution",
    state="from memory, unverified",
    control_dimensionless=500.0,
    drain_recovery_frac=0.0,
    pipe_frac=1.0,
)
def heater_energy_multiplier_frac(
    control_dimensionless: Numbers, drain_recovery_frac: Numbers = 0.0, pipe_frac: Numbers = 1.0
) -> Numbers:
    """Heater energy against a house without recirculation and with bare pipe.

    Parameters
    ----------
    control_dimensionless : float or ndarray
        Factor of the control, from ``data/recirculation_controls``. [-]
    drain_recovery_frac : float or ndarray
        Share of operating-condition waste that is avoided. [-]
    pipe_frac : float or ndarray
        Pipe or loop length over the reference length. [-]

    Returns
    -------
    float or ndarray
        1.0 for bare pipe and no recirculation. [-]
    """
    waste = control_dimensionless * (0.25 * (1 - drain_recovery_frac) + 0.75 * pipe_frac)
    return (_FIXTURE_WATER + waste) / _REFERENCE_WATER


@published(
    "ANSI/RESNET/ICC 301, 2014 Addendum A and 2019, section 4.2.2, distribution system energy",
    state="from memory, unverified",
    by_hand=True,
)
def distribution_heat_frac(*, recirculation: str = "none", is_insulated: bool = False) -> float:
    """Heat that the heater must supply against the reference home, for what the pipes or the loop lose.

    Parameters
    ----------
    recirculation, is_insulated
        As for ``daily_volume.pipe_waste_frac``.

    Returns
    -------
    float
        1 for bare pipes without a loop; a loop that always runs, or runs by the clock, multiplies the heat. [-]

    Validity
    --------
    Pipe and loop lengths of the reference home.

    Sources
    -------
    ANSI/RESNET/ICC 301 section 4.2.2, (128 + EW)/160; from memory, unverified.
    """
    row = control_row(recirculation)
    return float(heater_energy_multiplier_frac(row["loss_insulated" if is_insulated else "loss_bare"]))


def pump_kwh_per_yr(pump_w: Numbers, *, recirculation: str) -> Numbers:
    """Electricity of a recirculation pump in a year: its power times the hours that the control lets it run.

    Sources
    -------
    ANSI/RESNET/ICC 301 section 4.2.2, kWh a year for each watt; from memory, unverified.
    """
    return control_row(recirculation)["pump_h_per_yr"] * pump_w / 1000


def control_row(recirculation: str) -> Mapping[str, Any]:
    """The row of a control in the table ``recirculation_controls``.

    Raises
    ------
    InputError
        There is no such control.
    """
    rows = {row["control"]: row for row in load("recirculation_controls").rows()}
    if recirculation not in rows:
        reason, known = "there is no such control", ", ".join(rows)
        raise InputError("water.recirculation", recirculation, reason, "write one of {known}", known=known)
    return rows[recirculation]


@published(
    "Energy over efficiency times price",
    state="computed",
    loss_btu_per_yr=12e6,
    heater_eff_frac=0.8,
    energy_usd_per_mmbtu=15.0,
)
def loop_cost_usd_per_yr(loss_btu_per_yr: Numbers, heater_eff_frac: Numbers, energy_usd_per_mmbtu: Numbers) -> Numbers:
    """What the loop's heat costs in a year. The pump comes on top.

    Parameters
    ----------
    loss_btu_per_yr : float or ndarray
        Heat that the loop loses. [Btu/yr]
    heater_eff_frac : float or ndarray
        Efficiency of the heater, above 1 for a heat pump. [-]
    energy_usd_per_mmbtu : float or ndarray
        Price of its energy. [$/MMBtu]

    Returns
    -------
    float or ndarray
        [$/yr]
    """
    return loss_btu_per_yr / 1e6 / heater_eff_frac * energy_usd_per_mmbtu


@published("Heat balance", state="computed", loss_btuh=1000.0, min_input_btuh=15_000.0, heater_eff_frac=0.95)
def firing_share_frac(loss_btuh: Numbers, min_input_btuh: Numbers, heater_eff_frac: Numbers) -> Numbers:
    """Share of the time that the lowest fire would have to burn to hold the loop.

    Parameters
    ----------
    loss_btuh : float or ndarray
        Loop loss. [Btu/h]
    min_input_btuh : float or ndarray
        Lowest steady fire. [Btu/h]
    heater_eff_frac : float or ndarray
        Efficiency of the heater. [-]

    Returns
    -------
    float or ndarray
        Below 1 the burner starts and stops. [-]
    """
    return loss_btuh / (min_input_btuh * heater_eff_frac)


def pipe_loss_btuh_per_ft_df(insulation: str, nominal_in: str) -> tuple[float, float, float]:
    """Low, used and high loss of a foot of pipe; ``bare``, ``half_inch`` or ``one_inch`` covering."""
    cells = {(row["insulation"], row["nominal_in"]): row for row in load("pipe_heat_loss").rows()}
    row = cells[insulation, nominal_in]
    return row["low_btuh_per_ft_df"], row["loss_btuh_per_ft_df"], row["high_btuh_per_ft_df"]


@dataclass(frozen=True)
class Loop:
    """A recirculation loop as found or planned.

    Parameters
    ----------
    length_ft : float
        Out and back. [ft]
    nominal_in, insulation : str
        Keys of ``data/pipe_heat_loss``.
    control : str
        Key of ``data/recirculation_controls``.
    pump_w, flow_gpm : float
        Power and flow of its pump. [W], [gpm]
    loop_f, air_f : float
        Mean water, and the air along the pipe. [°F]
    """

    length_ft: float
    nominal_in: str = "3/4"
    insulation: str = "bare"
    control: str = "always"
    pump_w: float = USUAL_PUMP_W
    flow_gpm: float = USUAL_FLOW_GPM
    loop_f: float = 115.0
    air_f: float = 70.0


@dataclass(frozen=True)
class Recirculation:
    """What a loop asks of any heater. Numbers may be arrays of houses.

    Parameters
    ----------
    control : str
        Key of ``data/recirculation_controls``; ``none`` without a loop.
    flow_gpm : float
        Flow of its pump. [gpm]
    loss_btuh, loss_btuh_per_df : float
        Heat that it loses while warm; the same for each degree above the air around the heater. [Btu/h],
        [Btu/(h °F)]
    warm_frac : float
        Share of every hour that it is warm. [-]
    heat_btu_per_yr : float
        Heat of a year. [Btu/yr]
    pump_kwh_per_yr : float
        Electricity of its pump. [kWh/yr]
    heat_pump_cop_frac : float
        Coefficient of performance that it leaves a heat pump: the return mixes the tank. [-]
    """

    control: str = "none"
    flow_gpm: Any = 0.0
    loss_btuh: Any = 0.0
    loss_btuh_per_df: Any = 0.0
    warm_frac: Any = 1.0
    heat_btu_per_yr: Any = 0.0
    pump_kwh_per_yr: Any = 0.0
    heat_pump_cop_frac: Any = 1.0

    @property
    def heat_btu_per_day(self) -> Numbers:
        """Heat of a mean day. [Btu/day]"""
        return self.heat_btu_per_yr / 365


NO_LOOP = Recirculation()


@dataclass(frozen=True)
class LoopWithHeater:
    """A loop with one heater, and its price."""

    finding: Finding
    heat_btu_per_yr: float
    cost_usd_per_yr: float
    firing_share_frac: float | None
    verdict: HouseVerdict
    cautions: tuple[str, ...]


def recirculation_of(water: Water, set_point_f: float, air_f: Numbers) -> Recirculation:
    """The loop of a house.

    Parameters
    ----------
    water : Water
        Control, length and insulation as the case gives them.
    set_point_f : float
        Set point of the heater. [°F]
    air_f : ndarray
        Air around the heater by month. [°F]
    """
    if water.recirculation == "none":
        return NO_LOOP
    loop = Loop(
        water.loop_ft or usual("water.loop_ft"),
        insulation="half_inch" if water.loop_is_insulated else "bare",
        control=water.recirculation,
        loop_f=set_point_f - COOLER_THAN_SET_POINT_DF,
    )
    return recirculation(loop, heater_air_f=float(np.mean(air_f)))


def recirculation(loop: Loop, heater_air_f: float | None = None) -> Recirculation:
    """Loss, energy and pump of a loop in a year.

    The share of the time that the loop is warm is taken from the control factors, as the factor over that of
    a loop that always runs (from memory, unverified).

    Parameters
    ----------
    loop : Loop
        The loop.
    heater_air_f : float, optional
        Mean air around the heater, above which the bench counts the loss; along the pipe if not given. [°F]
    """
    control, always = control_row(loop.control), control_row("always")
    column = "loss_bare" if loop.insulation == "bare" else "loss_insulated"
    warm = 0.0 if control["pump_h_per_yr"] == 0 else control[column] / always[column]
    _, per_ft, _ = pipe_loss_btuh_per_ft_df(loop.insulation, loop.nominal_in)
    loss = float(loop_loss_btuh(per_ft, loop.length_ft, loop.loop_f, loop.air_f))
    return Recirculation(
        control=loop.control,
        flow_gpm=loop.flow_gpm,
        loss_btuh=loss,
        loss_btuh_per_df=loss / max(loop.loop_f - (loop.air_f if heater_air_f is None else heater_air_f), 1.0),
        warm_frac=warm,
        heat_btu_per_yr=float(loop_loss_btu_per_yr(loss, warm)),
        pump_kwh_per_yr=pump_kwh_per_yr(loop.pump_w, recirculation=loop.control),
        heat_pump_cop_frac=1 - HEAT_PUMP_COP_PER_DF * RETURN_WARMER_DF if loop.control in _RUN_LONG else 1.0,
    )


def check_recirculation(
    loop: Recirculation,
    *,
    heater_eff_frac: float,
    energy_usd_per_mmbtu: float,
    electricity_usd_per_kwh: float,
    tankless_min_btuh: float | None = None,
    heat_pump: bool = False,
) -> LoopWithHeater:
    """What a loop costs with a heater, and what it does to a tankless or heat pump heater.

    Parameters
    ----------
    loop : Recirculation
        The loop.
    heater_eff_frac : float
        Efficiency of the heater. [-]
    energy_usd_per_mmbtu, electricity_usd_per_kwh : float
        Prices. [$/MMBtu], [$/kWh]
    tankless_min_btuh : float, optional
        Lowest fire of a gas tankless heater. [Btu/h]
    heat_pump : bool
        A heat pump tank, whose layers the return mixes.
    """
    reheat = CORE_REHEAT_BTU * CALLS_PER_DAY * 365 if tankless_min_btuh and loop.warm_frac > 0 else 0.0
    heat = loop.heat_btu_per_yr + reheat
    heat_usd = float(loop_cost_usd_per_yr(heat, heater_eff_frac, energy_usd_per_mmbtu))
    cost = heat_usd + loop.pump_kwh_per_yr * electricity_usd_per_kwh
    share = float(firing_share_frac(loop.loss_btuh, tankless_min_btuh, heater_eff_frac)) if tankless_min_btuh else None
    cycles = share is not None and share < 1 and loop.control in _RUN_LONG
    mixes = heat_pump and loop.heat_pump_cop_frac < 1
    found = finding(
        "water.loop.cycles" if cycles else "water.loop.costs",
        Severity.CARE if cycles or mixes else Severity.NOTE,
        control=note(f"water.loop.{loop.control}"),
        cost_usd=cost,
    )
    return LoopWithHeater(
        found,
        heat,
        cost,
        share,
        verdict_of(found),
        ("recirculation",) if loop.warm_frac else (),
    )
