"""The water that burning makes, and how much of it stays behind when the flue gas leaves cool.

A saturated flue gas: it leaves the heater at one temperature holding all the vapor it can; the rest of the
combustion water has condensed and given its heat to the house's water.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from advisor.core.arrays import Floats, Numbers
from advisor.core.kinds import Fuel
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.units import BTU_PER_THERM

STANDARD_PRESSURE_PSI = 14.696
#: The room that the published fractions assume.
ROOM_F, ROOM_RH = 70.0, 0.30
_LB_PER_GAL = 8.34
_ATOM_LB = {"carbon": 12.011, "hydrogen": 1.008, "water": 18.015}
_PA_PER_PSI = 6894.757
_N2_PER_O2, _AIR_PER_O2 = 3.762, 4.762
# Molar heats of dry flue gas and vapor between 70 and 140 °F, and the heat of evaporation at 70 °F.
_DRY_BTU_PER_LBMOL_DF, _VAPOR_BTU_PER_LBMOL_DF, _EVAPORATION_BTU_PER_LB = 7.1, 8.0, 1054.0


@dataclass(frozen=True)
class Molecule:
    """A fuel gas as one pure compound."""

    carbon_count: float
    hydrogen_count: float
    higher_heating_value_btu_per_lb: float


def fuel_gas(fuel: Fuel) -> Molecule:
    """Methane for natural gas, propane for propane."""
    row = load("fuel_combustion").find(fuel.id)
    return Molecule(row["carbon_count"], row["hydrogen_count"], row["higher_heating_value_btu_per_lb"])


@published(
    "ASHRAE Handbook Fundamentals, psychrometrics, equation of Hyland and Wexler 1983 over liquid water",
    state="cross-checked",
    temperature_f=100.0,
)
def saturation_pressure_psi(temperature_f: Numbers) -> Numbers:
    """Pressure of water vapor in balance with liquid water.

    Parameters
    ----------
    temperature_f : float or ndarray
        Of the water vapor. [°F]

    Returns
    -------
    float or ndarray
        Absolute; NaN outside the range. [psi]

    Validity
    --------
    32 to 392 °F.

    Sources
    -------
    Constants from memory; within 0.1 % of the IAPWS formulation.
    """
    reading = np.asarray(temperature_f, dtype=float)
    kelvin = (reading + 459.67) / 1.8
    log_pa = (
        -5.8002206e3 / kelvin
        + 1.3914993
        + kelvin * (-4.8640239e-2 + kelvin * (4.1764768e-5 - 1.4452093e-8 * kelvin))
        + 6.5459673 * np.log(kelvin)
    )
    inside = (reading >= 32.0) & (reading <= 392.0)
    return np.where(inside, np.exp(log_pa) / _PA_PER_PSI, np.nan)[()]


@published(
    "Molar arithmetic",
    state="computed",
    carbon_count=1.0,
    hydrogen_count=4.0,
    higher_heating_value_btu_per_lb=23_875.0,
)
def water_made_lb_per_therm(
    carbon_count: Numbers, hydrogen_count: Numbers, higher_heating_value_btu_per_lb: Numbers
) -> Numbers:
    """Water made by burning a therm of a hydrocarbon.

    Parameters
    ----------
    carbon_count, hydrogen_count : float or ndarray
        Atoms in a molecule: 1 and 4 for methane, 3 and 8 for propane. [-]
    higher_heating_value_btu_per_lb : float or ndarray
        Heat in the fuel, its water condensed. [Btu/lb]

    Returns
    -------
    float or ndarray
        Half a molecule of water for every hydrogen atom. [lb/therm]
    """
    fuel_lb = carbon_count * _ATOM_LB["carbon"] + hydrogen_count * _ATOM_LB["hydrogen"]
    water_lb = hydrogen_count / 2 * _ATOM_LB["water"]
    return water_lb / fuel_lb * BTU_PER_THERM / higher_heating_value_btu_per_lb


@dataclass(frozen=True)
class _FlueGas:
    """Pound-moles for each pound-mole of fuel."""

    dry: Any
    made: Any
    from_air: Any

    def vapor_at(self, flue_f: Numbers, pressure_psi: Numbers) -> Any:
        """What has not condensed where the gas leaves."""
        saturation_psi = saturation_pressure_psi(flue_f)
        with np.errstate(divide="ignore", invalid="ignore"):
            held = self.dry * saturation_psi / (pressure_psi - saturation_psi)
        # At and above the boiling point the gas can hold everything.
        held = np.where(saturation_psi < pressure_psi, held, np.inf)
        return np.minimum(held, self.made + self.from_air)


def _flue_gas(
    excess_air_frac: Numbers,
    carbon: Numbers,
    hydrogen: Numbers,
    room_f: Numbers,
    room_rh: Numbers,
    pressure_psi: Numbers,
) -> _FlueGas:
    oxygen = carbon + hydrogen / 4
    dry = carbon + _N2_PER_O2 * oxygen * (1 + excess_air_frac) + oxygen * excess_air_frac
    room_vapor_psi = room_rh * saturation_pressure_psi(room_f)
    air = _AIR_PER_O2 * oxygen * (1 + excess_air_frac)
    from_air = air * room_vapor_psi / (pressure_psi - room_vapor_psi)
    return _FlueGas(dry, hydrogen / 2, from_air)


@published(
    "Saturated flue gas, molar balance",
    state="computed",
    flue_f=100.0,
    excess_air_frac=0.3,
    carbon_count=1.0,
    hydrogen_count=4.0,
)
def condensed_frac(
    flue_f: Numbers,
    excess_air_frac: Numbers,
    carbon_count: Numbers,
    hydrogen_count: Numbers,
    room_f: Numbers = ROOM_F,
    room_rh: Numbers = ROOM_RH,
    pressure_psi: Numbers = STANDARD_PRESSURE_PSI,
) -> Numbers:
    """Share of the combustion water that has condensed when the flue gas leaves saturated.

    Parameters
    ----------
    flue_f : float or ndarray
        Temperature of the flue gas at the outlet. [°F]
    excess_air_frac : float or ndarray
        Air beyond what burning needs: 0.3 is typical. [-]
    carbon_count, hydrogen_count : float or ndarray
        Atoms in a molecule of fuel. [-]
    room_f, room_rh : float or ndarray
        Temperature and relative humidity of the combustion air. [°F], [-]
    pressure_psi : float or ndarray
        Air pressure. [psi]

    Returns
    -------
    float or ndarray
        0 to 1. [-]
    """
    gas = _flue_gas(excess_air_frac, carbon_count, hydrogen_count, room_f, room_rh, pressure_psi)
    # A flue cooler than the room's own dew point condenses more than the fire makes.
    return np.minimum((gas.made + gas.from_air - gas.vapor_at(flue_f, pressure_psi)) / gas.made, 1.0)[()]


@published(
    "Saturated flue gas, heat balance of the flue only",
    state="computed",
    flue_f=100.0,
    excess_air_frac=0.3,
    carbon_count=1.0,
    hydrogen_count=4.0,
    higher_heating_value_btu_per_lb=23_875.0,
)
def combustion_eff_frac(
    flue_f: Numbers,
    excess_air_frac: Numbers,
    carbon_count: Numbers,
    hydrogen_count: Numbers,
    higher_heating_value_btu_per_lb: Numbers,
    room_f: Numbers = ROOM_F,
    room_rh: Numbers = ROOM_RH,
    pressure_psi: Numbers = STANDARD_PRESSURE_PSI,
) -> Numbers:
    """Share of the higher heating value that does not leave with the flue gas. Case losses are not counted.

    Parameters
    ----------
    flue_f, excess_air_frac, carbon_count, hydrogen_count, room_f, room_rh, pressure_psi : float or ndarray
        As for ``condensed_frac``.
    higher_heating_value_btu_per_lb : float or ndarray
        Heat in the fuel, its water condensed. [Btu/lb]

    Returns
    -------
    float or ndarray
        [-]
    """
    gas = _flue_gas(excess_air_frac, carbon_count, hydrogen_count, room_f, room_rh, pressure_psi)
    left = gas.vapor_at(flue_f, pressure_psi)
    warmer = np.asarray(flue_f, dtype=float) - room_f
    sensible = (gas.dry * _DRY_BTU_PER_LBMOL_DF + left * _VAPOR_BTU_PER_LBMOL_DF) * warmer
    latent = (left - gas.from_air) * _ATOM_LB["water"] * _EVAPORATION_BTU_PER_LB
    fuel_lb = carbon_count * _ATOM_LB["carbon"] + hydrogen_count * _ATOM_LB["hydrogen"]
    return (1 - (sensible + latent) / (fuel_lb * higher_heating_value_btu_per_lb))[()]


@published(
    "Saturated flue gas, dew point",
    state="computed",
    by_hand=True,
    excess_air_frac=0.3,
    carbon_count=1.0,
    hydrogen_count=4.0,
)
def flue_dew_point_f(
    excess_air_frac: Numbers,
    carbon_count: Numbers,
    hydrogen_count: Numbers,
    room_f: Numbers = ROOM_F,
    room_rh: Numbers = ROOM_RH,
    pressure_psi: Numbers = STANDARD_PRESSURE_PSI,
) -> Numbers:
    """Temperature below which the flue gas begins to condense.

    Parameters
    ----------
    excess_air_frac, carbon_count, hydrogen_count, room_f, room_rh, pressure_psi : float or ndarray
        As for ``condensed_frac``.

    Returns
    -------
    float or ndarray
        [°F]
    """
    gas = _flue_gas(excess_air_frac, carbon_count, hydrogen_count, room_f, room_rh, pressure_psi)
    vapor = gas.made + gas.from_air
    vapor_psi = pressure_psi * vapor / (gas.dry + vapor)
    return _where_crosses(lambda t: vapor_psi - saturation_pressure_psi(t), np.shape(vapor_psi), 33.0, 211.0)


@published(
    "Saturated flue gas, inverted",
    state="computed",
    combustion_eff_frac=0.96,
    excess_air_frac=0.3,
    carbon_count=1.0,
    hydrogen_count=4.0,
    higher_heating_value_btu_per_lb=23_875.0,
)
def flue_temperature_f(
    combustion_eff_frac: Numbers,
    excess_air_frac: Numbers,
    carbon_count: Numbers,
    hydrogen_count: Numbers,
    higher_heating_value_btu_per_lb: Numbers,
) -> Numbers:
    """Flue temperature at which a condensing heater can have a quoted efficiency.

    Parameters
    ----------
    combustion_eff_frac : float or ndarray
        Quoted efficiency, flue losses only. [-]
    excess_air_frac, carbon_count, hydrogen_count, higher_heating_value_btu_per_lb : float or ndarray
        As for ``condensed_frac`` and ``combustion_eff_frac``.

    Returns
    -------
    float or ndarray
        NaN where no flue between 60 and 350 °F gives it. [°F]
    """
    shape = np.broadcast_shapes(np.shape(combustion_eff_frac), np.shape(excess_air_frac))

    def surplus(flue_f: Numbers) -> Numbers:
        return (
            _efficiency(flue_f, excess_air_frac, carbon_count, hydrogen_count, higher_heating_value_btu_per_lb)
            - combustion_eff_frac
        )

    return _where_crosses(surplus, shape, 60.0, 350.0)


_efficiency = combustion_eff_frac


def _where_crosses(falling: Callable[[Floats], Numbers], shape: tuple[int, ...], low_f: float, high_f: float) -> Floats:
    """Bisect a function that falls as temperature rises; NaN where it does not cross zero."""
    low, high = np.full(shape, low_f), np.full(shape, high_f)
    crosses = (falling(low) >= 0) & (falling(high) <= 0)
    for _ in range(50):
        middle = (low + high) / 2
        above = falling(middle) > 0
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    return np.where(crosses, (low + high) / 2, np.nan)[()]


def water_made_gal_per_therm(fuel: Fuel) -> float:
    """Water made by a therm of a fuel gas. [gal/therm]"""
    gas = fuel_gas(fuel)
    made = water_made_lb_per_therm(gas.carbon_count, gas.hydrogen_count, gas.higher_heating_value_btu_per_lb)
    return float(made) / _LB_PER_GAL
