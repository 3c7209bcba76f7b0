"""A hot water loop: what it loses, how its control changes that, and what it does to the heater."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.validation import between, not_negative, one_of, positive
from advisor.core.verdicts import FITS, NEEDS_WORK, HouseVerdict

HOURS_PER_YR = 8760.0
#: Reheating the cold core of a non-condensing tankless heater (4.40 Btu/°F over 57 °F).
CORE_REHEAT_BTU = 251.0
#: Pump calls a day with a button or a sensor (our assumption).
CALLS_PER_DAY = 12.0
#: Fall of a heat pump's coefficient of performance a degree at the condenser (from memory, unverified).
HEAT_PUMP_COP_PER_DF = 0.012
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
def loop_loss_btuh(loss_btuh_per_ft_df: Any, loop_ft: Any, loop_f: Any, air_f: Any) -> Any:
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
def loop_loss_btu_per_yr(loss_btuh: Any, warm_frac: Any) -> Any:
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
    control_dimensionless: Any, drain_recovery_frac: Any = 0.0, pipe_frac: Any = 1.0
) -> Any:
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
    "Energy over efficiency times price",
    state="computed",
    loss_btu_per_yr=12e6,
    heater_eff_frac=0.8,
    energy_usd_per_mmbtu=15.0,
)
def loop_cost_usd_per_yr(loss_btu_per_yr: Any, heater_eff_frac: Any, energy_usd_per_mmbtu: Any) -> Any:
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
def firing_share_frac(loss_btuh: Any, min_input_btuh: Any, heater_eff_frac: Any) -> Any:
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
    one_of("loop.insulation", insulation, {key[0] for key in cells})
    one_of("loop.nominal_in", nominal_in, {key[1] for key in cells if key[0] == insulation})
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
    pump_w : float
        Pump power. [W]
    loop_f, air_f : float
        Mean water and air. [°F]
    """

    length_ft: float
    nominal_in: str = "3/4"
    insulation: str = "bare"
    control: str = "always"
    pump_w: float = 25.0
    loop_f: float = 115.0
    air_f: float = 70.0


@dataclass(frozen=True)
class Recirculation:
    """A loop with its price."""

    finding: str
    loss_btuh: float
    low_btu_per_yr: float
    heat_btu_per_yr: float
    high_btu_per_yr: float
    pump_kwh_per_yr: float
    cost_usd_per_yr: float
    multiplier_frac: float
    firing_share_frac: float | None
    heat_pump_cop_frac: float | None
    verdict: HouseVerdict
    cautions: tuple[str, ...]


def check_recirculation(
    loop: Loop,
    *,
    heater_eff_frac: float,
    energy_usd_per_mmbtu: float,
    electricity_usd_per_kwh: float,
    tankless_min_btuh: float | None = None,
    heat_pump: bool = False,
    return_warmer_df: float = 10.0,
) -> Recirculation:
    """Loss, energy and cost of a loop in a year, and what it does to a tankless or heat pump heater.

    The share of the time that the loop is warm is taken from the control factors, as the factor over that of
    a loop that always runs (from memory, unverified).

    Parameters
    ----------
    loop : Loop
        The loop.
    heater_eff_frac : float
        Efficiency of the heater. [-]
    energy_usd_per_mmbtu, electricity_usd_per_kwh : float
        Prices. [$/MMBtu], [$/kWh]
    tankless_min_btuh : float, optional
        Lowest fire of a gas tankless heater. [Btu/h]
    heat_pump : bool
        A heat pump tank, whose layers the return mixes.
    return_warmer_df : float
        How much warmer the return makes the water at the condenser (assumed). [°F]
    """
    rows = {row["control"]: row for row in load("recirculation_controls").rows()}
    control = rows[one_of("loop.control", loop.control, rows)]
    not_negative("loop.length_ft", loop.length_ft, "ft")
    not_negative("loop.pump_w", loop.pump_w, "w")
    positive("heater.efficiency", heater_eff_frac, "frac")
    between("loop.loop_f", loop.loop_f, 60, 200, "f")
    column = "loss_bare" if loop.insulation == "bare" else "loss_insulated"
    warm = 0.0 if control["pump_h_per_yr"] == 0 else control[column] / rows["always"][column]
    losses = [
        float(loop_loss_btuh(value, loop.length_ft, loop.loop_f, loop.air_f))
        for value in pipe_loss_btuh_per_ft_df(loop.insulation, loop.nominal_in)
    ]
    reheat = CORE_REHEAT_BTU * CALLS_PER_DAY * 365 if tankless_min_btuh and warm > 0 else 0.0
    low, heat, high = (float(loop_loss_btu_per_yr(loss, warm)) + reheat for loss in losses)
    pump = loop.pump_w * control["pump_h_per_yr"] / 1000
    cost = float(loop_cost_usd_per_yr(heat, heater_eff_frac, energy_usd_per_mmbtu)) + pump * electricity_usd_per_kwh
    share = float(firing_share_frac(losses[1], tankless_min_btuh, heater_eff_frac)) if tankless_min_btuh else None
    runs_long = loop.control in {"always", "timer", "temperature"}
    cycles = share is not None and share < 1 and runs_long
    finding = f"The loop ({control['meaning'].lower()}) costs about ${cost:,.0f} a year"
    if cycles:
        finding += "; its loss is far below the tankless heater's lowest fire, so the burner would start and stop"
    cop = 1 - HEAT_PUMP_COP_PER_DF * return_warmer_df if heat_pump and runs_long else None
    multiplier = float(heater_energy_multiplier_frac(control[column]))
    return Recirculation(
        finding + ".",
        losses[1],
        low,
        heat,
        high,
        pump,
        cost,
        multiplier,
        share,
        cop,
        NEEDS_WORK if cycles or cop is not None else FITS,
        ("recirculation",) if warm else (),
    )
