"""What is inside a heater, and the simulation built from it.

A label says what a heater did in a test, not what is inside. ``Internals`` is what is inside; ``tank_of``,
``sources_of`` and ``unit_of`` build the simulation from it. ``federal_tests`` runs the tests on that; ``calibration``
finds the internals for which the tests return the label.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from advisor.bench import storage
from advisor.bench.instantaneous import Unit
from advisor.bench.storage import Tank
from advisor.core.units import BTU_PER_KWH
from advisor.demand.recirculation import NO_LOOP, Recirculation
from advisor.heaters import heat_pump
from advisor.heaters.catalogue import Heater
from advisor.heaters.rating import pattern_daily_gal, pattern_heat_btu_per_day
from advisor.physics.moist_air import wet_bulb_f

TEST_SET_F, TEST_INLET_F, TEST_AIR_F, TEST_RH = 125.0, 58.0, 67.5, 0.5
#: Fan and controls: about 60 W running and 6 W idle (one laboratory test of one gas tankless unit, 2008; verified
#: as quoted). Only the ratio is used; the label's own electricity sets the level.
RUNNING_TO_IDLE_POWER = 10.0
#: A loop is warm for its share of every hour. [min]
_LOOP_CYCLE_MIN = 60.0


@dataclass(frozen=True)
class Internals:
    """What a label does not say and the bench has to find or assume.

    Parameters
    ----------
    eff_frac : float
        Share of the input that reaches the water; for a heat pump its coefficient of performance at 57 °F wet bulb
        and 120 °F water. [-]
    loss_btuh_per_df : float
        Standby loss of the tank, or of the exchanger of a tankless heater. [Btu/(h °F)]
    mix_frac : float
        How high the jet of the dip tube stirs, as a share of the height. [-]
    dead_band_df : float
        How far the thermostat lets the water cool. [°F]
    sensor_frac : float
        Height of the thermostat of a burner or compressor. [-]
    element_frac : float
        Height of a resistance tank's lower element; the water under it stays cold. [-]
    upper_frac : float
        Height of the upper element. [-]
    backup_drop_df : float
        How far the upper thermostat of a backup element lets the water cool. [°F]
    boost_df : float
        How much hotter than it delivers a tank with a built-in mixing valve stores. [°F]
    capacity_btuh : float
        Heat of a heat pump at the same point as its coefficient of performance. [Btu/h]
    core_btu_per_df : float
        Heat capacity of a tankless heater's exchanger, metal and water. [Btu/°F]
    """

    eff_frac: float
    loss_btuh_per_df: float
    mix_frac: float = 0.15
    dead_band_df: float = 10.0
    sensor_frac: float = 0.30
    element_frac: float = 0.12
    upper_frac: float = 0.70
    backup_drop_df: float = 25.0
    boost_df: float = 0.0
    capacity_btuh: float = 0.0
    core_btu_per_df: float = 4.40


@dataclass(frozen=True)
class Tankless:
    """How a tankless heater is set up; common values, from memory, unverified unless said.

    Parameters
    ----------
    limits_flow : bool
        A valve holds the set point by cutting the flow; otherwise the outlet sags.
    overshoot_df : float
        A burner that cannot go low enough cuts out this far above the set point. [°F]
    delay_s : float or None
        Flow sensed, purged, lit: 2 to 6 s for gas; None takes 4 s for gas and 0.5 s for electric. [s]
    join_frac, leave_frac : float
        Load at which the next unit in parallel joins, and below which one leaves; assumed. [-]
    buffer_gal : float
        Small tank kept warm at its outlet; 0 for none. [gal]
    """

    limits_flow: bool = False
    overshoot_df: float = 15.0
    delay_s: float | None = None
    join_frac: float = 0.9
    leave_frac: float = 0.7
    buffer_gal: float = 0.0


PLAIN = Tankless()


def auxiliary_btuh(heater: Heater) -> tuple[float, float]:
    """Electricity of fan and controls, standing idle and what running adds, from the label's test day. [Btu/h]"""
    heat = float(pattern_heat_btu_per_day(pattern_daily_gal(heater.draw_pattern)))
    running_h = min(24.0, heat / heater.uef / heater.power_btuh)
    idle = heater.aux_kwh_per_yr / 365 * BTU_PER_KWH / (24 + (RUNNING_TO_IDLE_POWER - 1) * running_h)
    return idle, (RUNNING_TO_IDLE_POWER - 1) * idle


def tank_of(
    heater: Heater,
    internals: Internals,
    *,
    set_point_f: float = TEST_SET_F,
    mode: str = "hybrid",
    loop: Recirculation = NO_LOOP,
) -> Tank:
    """The simulation of a storage heater.

    Heights are common practice, no published source: burner in the bottom tenth with an eighth of its heat given up
    along the flue, lower element at about a seventh, upper at seven tenths, condenser around the lower half.
    """
    element = heater.technology.is_resistance
    low, high, sensor = 0.0, 0.1, internals.sensor_frac
    if element:
        low, high, sensor = internals.element_frac, internals.element_frac + 0.05, internals.element_frac + 0.05
    elif heater.is_heat_pump:
        high = 0.55
    idle, running = auxiliary_btuh(heater)
    has_backup = element or (heater.technology.has_backup_element and mode == "hybrid")
    footprint_ft2 = heater.rated_volume_gal / 7.48 / 4  # a tank about 4 ft high
    return Tank(
        volume_gal=float(heater.rated_volume_gal),
        set_point_f=float(set_point_f + internals.boost_df),
        dead_band_df=float(internals.dead_band_df),
        mix_frac=float(internals.mix_frac),
        loss_btuh_per_df=float(internals.loss_btuh_per_df),
        conduct_btuh_per_df=2 * 0.36 * footprint_ft2 / (4 / storage.LAYERS),
        source_low_frac=float(low),
        source_high_frac=float(high),
        flue_frac=0.125 if heater.burns_fuel else 0.0,
        sensor_frac=float(sensor),
        pilot_btuh=heater.technology.pilot_btuh,
        idle_btuh=float(idle),
        running_btuh=float(running),
        backup_btuh=float(heater.power_btuh) if has_backup else 0.0,
        backup_frac=float(internals.upper_frac),
        backup_sensor_frac=float(internals.upper_frac) + 0.04,
        backup_drop_df=float(internals.dead_band_df if element else internals.backup_drop_df),
        backup_off_df=0.0,
        interlocked=1.0 if element else 0.0,
        valve_f=float(set_point_f) if internals.boost_df > 0 else math.inf,
        loop_gpm=float(loop.flow_gpm) / heater.n_units,  # equal tanks in parallel share the loop
        loop_loss_btuh_per_df=float(loop.loss_btuh_per_df) / heater.n_units,
        loop_on_min=_LOOP_CYCLE_MIN * float(loop.warm_frac),
        loop_every_min=_LOOP_CYCLE_MIN,
    )


def sources_of(
    heater: Heater, internals: Internals, air_f: np.ndarray, *, wet_f: np.ndarray | None = None, mode: str = "hybrid"
) -> np.ndarray:
    """The main source of a storage heater for each month's air, as moist as the test room's if no wet bulb is given."""
    if heater.is_heat_pump:
        element = heater.power_btuh if heater.technology.has_backup_element else 0.0
        wet_f = np.asarray(wet_bulb_f(air_f, TEST_RH)) if wet_f is None else wet_f
        return heat_pump.sources(internals.capacity_btuh, internals.eff_frac, air_f, wet_f, element, mode)
    rows = np.zeros((len(air_f), storage.SOURCE_SIZE))
    rows[:] = (heater.power_btuh * internals.eff_frac, 0, 0, internals.eff_frac, 0, 0, 0, -np.inf, np.inf)
    return rows


def unit_of(
    heater: Heater,
    internals: Internals,
    *,
    set_point_f: float = TEST_SET_F,
    how: Tankless = PLAIN,
    loop: Recirculation = NO_LOOP,
) -> Unit:
    """The simulation of a tankless heater, all its units.

    A flow switch lets go at seven tenths of the flow at which it starts (from memory, unverified). An electric unit
    has no lowest power.
    """
    idle, running = auxiliary_btuh(heater)
    delay_s = how.delay_s if how.delay_s is not None else (4.0 if heater.burns_fuel else 0.5)
    start = heater.activation_gpm if heater.activation_gpm is not None else 0.5
    return Unit(
        set_point_f=float(set_point_f),
        max_btuh=float(heater.power_btuh),
        min_btuh=float(heater.min_input_btuh or 0.0),
        eff_frac=float(internals.eff_frac),
        core_btu_per_df=float(internals.core_btu_per_df),
        loss_btuh_per_df=float(internals.loss_btuh_per_df),
        activation_gpm=float(start),
        deactivation_gpm=0.7 * float(start),
        delay_s=float(delay_s),
        overshoot_df=float(how.overshoot_df),
        limits_flow=1.0 if how.limits_flow else 0.0,
        idle_btuh=float(idle),
        running_btuh=float(running),
        n_units=float(heater.n_units),
        join_frac=float(how.join_frac),
        leave_frac=float(how.leave_frac),
        buffer_gal=float(how.buffer_gal),
        buffer_loss_btuh_per_df=0.6 * float(how.buffer_gal) ** (2 / 3),
        buffer_band_df=10.0,
        pump_gpm=2.0,
        loop_gpm=float(loop.flow_gpm),
        loop_loss_btuh_per_df=float(loop.loss_btuh_per_df),
        loop_on_min=_LOOP_CYCLE_MIN * float(loop.warm_frac),
        loop_every_min=_LOOP_CYCLE_MIN,
    )
