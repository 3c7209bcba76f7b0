"""How much gas one straight pipe carries: the equations behind the fuel gas codes' capacity tables.

Gas flow is counted in cubic feet an hour at 60 °F and 30 in. of mercury. Pressure is above the atmosphere, in
inches of water column (in. w.c.) for low pressure and in psi from 1.5 psi up, where gas can no longer be
taken as incompressible. Every function takes floats or arrays.
"""

from __future__ import annotations

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.published import published
from advisor.core.units import INWC_PER_PSI

#: Added to gauge pressure in the high-pressure equation. 14.73 returns the printed tables; 14.7 or 14.696
#: misses the last digit in about a third of the cells.
ATMOSPHERE_PSI = 14.73
#: From this gauge pressure up the codes use the high-pressure equation.
HIGH_PRESSURE_FROM_PSI = 1.5
EXPONENT = 0.541
_LOW, _HIGH, _BORE_POWER = 2313.0, 2237.0, 2.623

_CODE = "International Fuel Gas Code 2018, section 402.4 and Appendix A.4; National Fuel Gas Code"


@published(
    _CODE, state="cross-checked", by_hand=True, gravity_dimensionless=0.60, viscosity_cp=0.012, temperature_f=60.0
)
def gas_factor_dimensionless(gravity_dimensionless: Numbers, viscosity_cp: Numbers, temperature_f: Numbers) -> Numbers:
    """The factor Cr that tells one gas from another in both sizing equations.

    Parameters
    ----------
    gravity_dimensionless : float or ndarray
        Specific gravity, air = 1. [-]
    viscosity_cp : float or ndarray
        Viscosity. [centipoise]
    temperature_f : float or ndarray
        Gas temperature. [°F]

    Returns
    -------
    float or ndarray
        0.6094 for natural gas of 0.60 gravity, 1.2462 for propane. [-]

    Sources
    -------
    Inputs: IFGC 2018 Appendix A.4. The formula is from memory and returns both printed values.
    """
    relative = viscosity_cp / gravity_dimensionless
    return 0.00354 * gravity_dimensionless * (temperature_f + 460.0) * relative**0.152


@published(_CODE, state="cross-checked", bore_in=0.824, length_ft=40.0, drop_inwc=0.5, cr_dimensionless=0.6094)
def low_pressure_flow_cfh(
    bore_in: Numbers, length_ft: Numbers, drop_inwc: Numbers, cr_dimensionless: Numbers
) -> Numbers:
    """Gas that a pipe carries at low pressure for a given pressure drop.

    Parameters
    ----------
    bore_in : float or ndarray
        Inside diameter. [in.]
    length_ft : float or ndarray
        Length with the allowance for fittings. [ft]
    drop_inwc : float or ndarray
        Pressure lost along it. [in. w.c.]
    cr_dimensionless : float or ndarray
        Gas factor, see ``gas_factor_dimensionless``. [-]

    Returns
    -------
    float or ndarray
        [ft³/h]

    Validity
    --------
    Below 1.5 psi. Checked on the printed tables from 0.3 to 6 in. w.c. drop, bores 0.3 to 4 in.

    Sources
    -------
    Constants from memory, proved on the cells of IFGC 2018 Tables 402.4(2), (3), (4), (20), (28) and (35).
    The code also prints the equation solved for the diameter, with rounded constants that are about 0.7 %
    off its own tables; it is not used.
    """
    return _LOW * bore_in**_BORE_POWER * (drop_inwc / (cr_dimensionless * length_ft)) ** EXPONENT


@published(
    _CODE, state="cross-checked", by_hand=True, bore_in=0.622, length_ft=40.0, flow_cfh=180.0, cr_dimensionless=0.6094
)
def low_pressure_drop_inwc(
    bore_in: Numbers, length_ft: Numbers, flow_cfh: Numbers, cr_dimensionless: Numbers
) -> Numbers:
    """Pressure that a flow loses along a pipe at low pressure: ``low_pressure_flow_cfh`` turned round.

    Parameters
    ----------
    bore_in : float or ndarray
        Inside diameter. [in.]
    length_ft : float or ndarray
        Length with the allowance for fittings. [ft]
    flow_cfh : float or ndarray
        Gas flow. [ft³/h]
    cr_dimensionless : float or ndarray
        Gas factor. [-]

    Returns
    -------
    float or ndarray
        [in. w.c.]

    Validity
    --------
    Below 1.5 psi.
    """
    return cr_dimensionless * length_ft * (flow_cfh / (_LOW * bore_in**_BORE_POWER)) ** (1 / EXPONENT)


@published(
    _CODE,
    state="cross-checked",
    bore_in=1.049,
    length_ft=40.0,
    inlet_psi=3.0,
    drop_psi=2.0,
    cr_dimensionless=0.6094,
    y_dimensionless=0.9992,
)
def high_pressure_flow_cfh(
    bore_in: Numbers,
    length_ft: Numbers,
    inlet_psi: Numbers,
    drop_psi: Numbers,
    cr_dimensionless: Numbers,
    y_dimensionless: Numbers,
) -> Numbers:
    """Gas that a pipe carries at 1.5 psi and above for a given pressure drop.

    Parameters
    ----------
    bore_in : float or ndarray
        Inside diameter. [in.]
    length_ft : float or ndarray
        Length with the allowance for fittings. [ft]
    inlet_psi, drop_psi : float or ndarray
        Gauge pressure at the inlet and the pressure lost. [psi]
    cr_dimensionless, y_dimensionless : float or ndarray
        Gas factor and superexpansibility factor. [-]

    Returns
    -------
    float or ndarray
        [ft³/h]

    Validity
    --------
    1.5 to 10 psi at the inlet. Not for steel pipe with natural gas at 2 psi and 5 psi, where the printed
    tables follow ``steel_high_pressure_flow_cfh`` and this equation overstates by up to 13 %.

    Sources
    -------
    Constants from memory, proved on IFGC 2018 Tables 402.4(6), (12) to (14), (25) to (27) and (31).
    """
    squares = squares_drop(inlet_psi, drop_psi)
    return _HIGH * bore_in**_BORE_POWER * (squares * y_dimensionless / (cr_dimensionless * length_ft)) ** EXPONENT


@published(
    _CODE,
    state="cross-checked",
    by_hand=True,
    bore_in=0.622,
    length_ft=60.0,
    inlet_psi=2.0,
    flow_cfh=360.0,
    cr_dimensionless=0.6094,
    y_dimensionless=0.9992,
)
def high_pressure_drop_psi(
    bore_in: Numbers,
    length_ft: Numbers,
    inlet_psi: Numbers,
    flow_cfh: Numbers,
    cr_dimensionless: Numbers,
    y_dimensionless: Numbers,
) -> Numbers:
    """Pressure that a flow loses along a pipe at 1.5 psi and above.

    Parameters
    ----------
    bore_in : float or ndarray
        Inside diameter. [in.]
    length_ft : float or ndarray
        Length with the allowance for fittings. [ft]
    inlet_psi : float or ndarray
        Gauge pressure at the inlet. [psi]
    flow_cfh : float or ndarray
        Gas flow. [ft³/h]
    cr_dimensionless, y_dimensionless : float or ndarray
        Gas factor and superexpansibility factor. [-]

    Returns
    -------
    float or ndarray
        NaN where the pipe cannot carry the flow even into a vacuum. [psi]

    Validity
    --------
    As ``high_pressure_flow_cfh``.
    """
    carried = flow_cfh / (_HIGH * bore_in**_BORE_POWER)
    return drop_from_squares(inlet_psi, cr_dimensionless * length_ft / y_dimensionless * carried ** (1 / EXPONENT))


def squares_drop(inlet_psi: Numbers, drop_psi: Numbers) -> Numbers:
    """Fall of the squared absolute pressure: what drives a gas that expands as it goes. [psi²]"""
    inlet = inlet_psi + ATMOSPHERE_PSI
    return inlet**2 - (inlet - drop_psi) ** 2


def drop_from_squares(inlet_psi: Numbers, squares: Numbers) -> Numbers:
    """Pressure drop for a fall of the squared absolute pressure; NaN where nothing is left. [psi]"""
    inlet = np.asarray(inlet_psi, dtype=float) + ATMOSPHERE_PSI
    left = inlet**2 - squares
    return np.where(left >= 0, inlet - np.sqrt(np.maximum(left, 0)), np.nan)[()]


@published(
    "International Fuel Gas Code 2018, Tables 402.4(5) and 402.4(7), fitted to the printed cells",
    state="computed",
    flow_at_1_ft_cfh=9618.0,
    length_ft=40.0,
)
def steel_high_pressure_flow_cfh(flow_at_1_ft_cfh: Numbers, length_ft: Numbers) -> Numbers:
    """Natural gas that steel pipe carries at 2 psi (1 psi drop) or 5 psi (3.5 psi drop).

    Parameters
    ----------
    flow_at_1_ft_cfh : float or ndarray
        The size's constant in the table ``gas_steel_high_pressure``. [ft³/h]
    length_ft : float or ndarray
        Length. [ft]

    Returns
    -------
    float or ndarray
        [ft³/h]

    Validity
    --------
    10 to 2,000 ft; within 0.4 % (2 psi) and 2.1 % (5 psi) of the printed cells.
    """
    return flow_at_1_ft_cfh / length_ft**0.5


@published(
    "International Fuel Gas Code 2018, Tables 402.4(32) and 402.4(33), power law fitted to the printed cells",
    state="computed",
    by_hand=True,
    flow_at_1_inwc_per_ft_btuh=562_500.0,
    exponent_dimensionless=0.4938,
    length_ft=40.0,
    drop_inwc=0.5,
)
def csst_propane_flow_btuh(
    flow_at_1_inwc_per_ft_btuh: Numbers, exponent_dimensionless: Numbers, length_ft: Numbers, drop_inwc: Numbers
) -> Numbers:
    """Propane that corrugated stainless steel tubing carries, as heat.

    Parameters
    ----------
    flow_at_1_inwc_per_ft_btuh, exponent_dimensionless : float or ndarray
        The size's constants in the table ``gas_csst``. [Btu/h, -]
    length_ft : float or ndarray
        Length; four bends and two end fittings are already in it. [ft]
    drop_inwc : float or ndarray
        Pressure lost along it. [in. w.c.]

    Returns
    -------
    float or ndarray
        [Btu/h]

    Validity
    --------
    0.5 in. w.c. over 5 to 300 ft and 1 psi over 10 to 500 ft; each size's worst error is in the table, at
    most 5.8 %. The maker's own table governs.
    """
    return flow_at_1_inwc_per_ft_btuh * (drop_inwc / length_ft) ** exponent_dimensionless


@published(
    "International Fuel Gas Code 2018, Table A.2.4: the printed multipliers are sqrt(0.60 / gravity)",
    state="cross-checked",
    gravity_dimensionless=0.65,
    table_gravity_dimensionless=0.60,
)
def gravity_multiplier_frac(gravity_dimensionless: Numbers, table_gravity_dimensionless: Numbers) -> Numbers:
    """What to multiply a table's capacity by when the gas is lighter or heavier than the table's.

    Parameters
    ----------
    gravity_dimensionless, table_gravity_dimensionless : float or ndarray
        Specific gravity of the gas and of the table, air = 1. [-]

    Returns
    -------
    float or ndarray
        [-]
    """
    return (table_gravity_dimensionless / gravity_dimensionless) ** 0.5


@published(
    "International Residential Code 2018, Table A.2.2",
    state="verified",
    diameters_dimensionless=30.0,
    bore_in=0.824,
)
def fitting_equivalent_ft(diameters_dimensionless: Numbers, bore_in: Numbers) -> Numbers:
    """Straight pipe that loses as much pressure as a fitting.

    Parameters
    ----------
    diameters_dimensionless : float or ndarray
        The fitting's length in inside diameters, from the table ``gas_fittings``. [-]
    bore_in : float or ndarray
        Inside diameter of the pipe. [in.]

    Returns
    -------
    float or ndarray
        [ft]
    """
    return diameters_dimensionless * bore_in / 12.0


@published(
    "Standard atmosphere over the base conditions of a cubic foot, 14.73 psi",
    state="computed",
    elevation_ft=5280.0,
    gauge_inwc=7.0,
)
def actual_ft3_frac(elevation_ft: Numbers, gauge_inwc: Numbers) -> Numbers:
    """Gas in a cubic foot as the meter counts it, against a cubic foot at base conditions.

    Parameters
    ----------
    elevation_ft : float or ndarray
        Height above sea level. [ft]
    gauge_inwc : float or ndarray
        Pressure in the meter. [in. w.c.]

    Returns
    -------
    float or ndarray
        [-]

    Validity
    --------
    Up to 36,000 ft, where the formula of the atmosphere changes.
    """
    local_psi = 14.696 * (1 - 6.8756e-6 * elevation_ft) ** 5.2559
    return (local_psi + gauge_inwc / INWC_PER_PSI) / ATMOSPHERE_PSI


@published(
    "Gas measurement short course paper, 1966: class = flow of 0.64 gravity gas at about 0.5 in. w.c. loss",
    state="verified",
    class_cfh=250.0,
    gravity_dimensionless=0.60,
)
def meter_capacity_cfh(class_cfh: Numbers, gravity_dimensionless: Numbers) -> Numbers:
    """Flow of this gas through a diaphragm meter at its rated loss.

    Parameters
    ----------
    class_cfh : float or ndarray
        Class number on the meter. [ft³/h]
    gravity_dimensionless : float or ndarray
        Specific gravity of the gas, air = 1. [-]

    Returns
    -------
    float or ndarray
        [ft³/h]
    """
    return class_cfh * gravity_multiplier_frac(gravity_dimensionless, 0.64)


def as_printed(capacity: Numbers) -> Numbers:
    """Round a capacity as the code tables do: three figures from 100 up, whole numbers below."""
    capacity = np.asarray(capacity, dtype=float)
    step = 10.0 ** np.maximum(np.floor(np.log10(np.maximum(capacity, 1.0))) - 2, 0)
    return (np.round(capacity / step) * step)[()]
