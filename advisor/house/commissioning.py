"""What to measure when the heater first runs, what each reading should be, and what to write down.

A new heater is proved by a few readings: gas pressure, the meter's test dial, flow times temperature rise, the
amperes of an element, the drip of condensate, the pull of the flue. Each row says why it matters.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from advisor.formula import published
from advisor.guard import between, positive
from advisor.quantities import MIN_PER_H
from advisor.tables import load
from advisor.water import TEST_BTU_PER_GAL_DF, heated_flow_gpm

DIALS_FT3 = (0.5, 1.0, 2.0)
#: Allowance on a timed dial and on amperes (common practice, no published source).
INPUT_TOLERANCE_FRAC = CURRENT_TOLERANCE_FRAC = 0.05
#: Allowance on flow times rise with household gauges (common practice, no published source).
BALANCE_TOLERANCE_FRAC = 0.10
_S_PER_H = 3600.0


@published(
    "Definition of heat input", state="computed",
    dial_ft3=2.0, input_btuh=180_000.0, heating_value_btu_per_ft3=1036.0,
)  # fmt: skip
def dial_turn_s(dial_ft3: Any, input_btuh: Any, heating_value_btu_per_ft3: Any) -> Any:
    """Time of one turn of the meter's test dial with nothing else burning.

    Parameters
    ----------
    dial_ft3 : float or ndarray
        Gas in one turn: 1/2, 1 or 2. [ft³]
    input_btuh : float or ndarray
        Heat input. [Btu/h]
    heating_value_btu_per_ft3 : float or ndarray
        As the gas passes the meter; the utility prints it on the bill. [Btu/ft³]

    Returns
    -------
    float or ndarray
        [s]
    """
    return _S_PER_H * dial_ft3 * heating_value_btu_per_ft3 / input_btuh


@published(
    "Definition of heat input", state="computed",
    dial_ft3=2.0, turn_s=41.4, heating_value_btu_per_ft3=1036.0,
)  # fmt: skip
def clocked_input_btuh(dial_ft3: Any, turn_s: Any, heating_value_btu_per_ft3: Any) -> Any:
    """Heat input from a timed turn of the test dial.

    Parameters
    ----------
    dial_ft3 : float or ndarray
        [ft³]
    turn_s : float or ndarray
        [s]
    heating_value_btu_per_ft3 : float or ndarray
        [Btu/ft³]

    Returns
    -------
    float or ndarray
        [Btu/h]
    """
    return _S_PER_H * dial_ft3 * heating_value_btu_per_ft3 / turn_s


@published("Steady heat balance", state="computed", flow_gpm=5.2, rise_df=67.0)
def measured_output_btuh(flow_gpm: Any, rise_df: Any) -> Any:
    """Heat that a measured flow carries off.

    Parameters
    ----------
    flow_gpm : float or ndarray
        Timed with a bucket or read on the display. [gpm]
    rise_df : float or ndarray
        Outlet minus inlet. [°F]

    Returns
    -------
    float or ndarray
        [Btu/h]
    """
    return MIN_PER_H * TEST_BTU_PER_GAL_DF * flow_gpm * rise_df


@published("Heat balance of a tank without draw", state="computed", output_btuh=30_400.0, volume_gal=38.0)
def tank_rise_in_10_min_df(output_btuh: Any, volume_gal: Any) -> Any:
    """Mean rise of a whole tank in ten minutes of firing, losses left out.

    Parameters
    ----------
    output_btuh : float or ndarray
        Heat into the water. [Btu/h]
    volume_gal : float or ndarray
        Measured volume. [gal]

    Returns
    -------
    float or ndarray
        [°F]
    """
    return output_btuh / 6 / (volume_gal * TEST_BTU_PER_GAL_DF)


@dataclass(frozen=True)
class Setup:
    """The heater as installed, in the numbers that the readings depend on.

    Parameters
    ----------
    burns_gas, natural_draft, condensing, heat_pump, tankless : bool
        What kind it is.
    input_btuh, heater_eff_frac : float or None
        Full input and efficiency of a gas heater. [Btu/h], [-]
    heating_value_btu_per_ft3 : float or None
        None where there is no meter, as with most propane. [Btu/ft³]
    static_inwc, least_inwc, most_inwc : float or None
        Gas pressure expected with nothing burning, and the least and most on the rating plate. [in. w.c.]
    cold_f, setpoint_f : float
        Supply and set point. [°F]
    volume_gal : float
        Tank volume, 0 for tankless. [gal]
    element_kw, rated_v, supply_v : float or None
        One element or heating group at its rated voltage; voltage at the heater. [kW], [V], [V]
    condensate_gph : float or None
        Expected at full fire. [gal/h]
    supply_psi : float or None
        Water pressure. [psi]
    """

    burns_gas: bool = False
    natural_draft: bool = False
    condensing: bool = False
    heat_pump: bool = False
    tankless: bool = False
    input_btuh: float | None = None
    heater_eff_frac: float | None = None
    heating_value_btu_per_ft3: float | None = None
    static_inwc: float | None = None
    least_inwc: float | None = None
    most_inwc: float | None = None
    cold_f: float = 58.0
    setpoint_f: float = 120.0
    volume_gal: float = 0.0
    element_kw: float | None = None
    rated_v: float = 240.0
    supply_v: float = 240.0
    condensate_gph: float | None = None
    supply_psi: float | None = None


@dataclass(frozen=True)
class Reading:
    """One row of the commissioning sheet.

    Parameters
    ----------
    what, how, why : str
        The reading, how it is taken, and why it matters.
    expected, low, high : float or None
        Value and allowed range, in the unit of ``suffix``; None where the answer is written, not a number.
    suffix : str
        Key of ``quantities.UNITS``.
    """

    what: str
    how: str
    expected: float | None
    low: float | None
    high: float | None
    suffix: str
    why: str

    def holds(self, measured: float) -> bool:
        """Whether a measured value lies in the allowed range; an open end does not bind."""
        above = self.low is None or measured >= self.low
        return above and (self.high is None or measured <= self.high)


def commissioning_sheet(setup: Setup) -> tuple[Reading, ...]:
    """Every reading for one heater, in the order in which they are taken.

    Parameters
    ----------
    setup : Setup
        The heater as installed.

    Raises
    ------
    InputError
        A gas heater without its input, or a value that cannot be.
    """
    between("water.setpoint_f", setup.setpoint_f, setup.cold_f + 1, 190, "f")
    rows = list(_water_rows(setup))
    if setup.burns_gas:
        rows += _gas_rows(setup)
    if setup.element_kw is not None:
        rows += _electric_rows(setup, positive("heater.element_kw", setup.element_kw, "kw"))
    if setup.condensing and setup.condensate_gph is not None:
        rows += _condensate_rows(setup.condensate_gph)
    if setup.heat_pump:
        rows.append(_written("air in and air out of the heat pump", "thermometer at both grilles after 20 minutes",
                             "the outgoing air must be cooler, or the compressor is not working", "f"))  # fmt: skip
    if setup.natural_draft:
        rows += _draft_rows()
    rows.append(_written("make, serial number, date, permit number, every reading above", "on the sheet that stays",
                         "the next person needs it, and so do warranty and rebate", "code"))  # fmt: skip
    return tuple(rows)


def _written(what: str, how: str, why: str, suffix: str) -> Reading:
    return Reading(what, how, None, None, None, suffix, why)


def _around(what: str, how: str, expected: float, tolerance_frac: float, suffix: str, why: str) -> Reading:
    spread = expected * tolerance_frac
    return Reading(what, how, expected, expected - spread, expected + spread, suffix, why)


def _water_rows(setup: Setup) -> Iterator[Reading]:
    pressure = setup.supply_psi
    yield Reading("water pressure, nothing running", "gauge on a hose tap", pressure, None, 80.0, "psi",
                  "above 80 psi a pressure regulator is due; the expansion tank is pumped to this value")  # fmt: skip
    yield Reading("hot water at the bath", "thermometer, two minutes of flow", None, None, 120.0, "f",
                  "hotter water burns a child in minutes or less")  # fmt: skip
    if not setup.tankless:
        yield _written("relief valve and its pipe", "look: full size, falling, ending in sight, not plugged",
                       "it is the last thing between a runaway heater and the house", "code")  # fmt: skip


def _gas_rows(setup: Setup) -> Iterator[Reading]:
    full = positive(
        "heater.input_btuh", float("nan") if setup.input_btuh is None else setup.input_btuh, "btuh"
    )
    yield Reading("gas pressure, nothing burning", "gauge at the heater's inlet tap", setup.static_inwc,
                  setup.least_inwc, setup.most_inwc, "inwc",
                  "too high harms the valve; it is where the drop is counted from")  # fmt: skip
    yield Reading("gas pressure, heater and every other appliance at full fire", "same tap, same gauge", None,
                  setup.least_inwc, setup.most_inwc, "inwc",
                  "a pipe or regulator that is too small shows only now")  # fmt: skip
    if setup.heating_value_btu_per_ft3 is not None:
        value = positive("gas.heating_value_btu_per_ft3", setup.heating_value_btu_per_ft3, "btu_per_ft3")
        for dial in DIALS_FT3:
            yield _around(f"one turn of the {dial:g} ft³ dial", "stopwatch, only this heater burning at full fire",
                          float(dial_turn_s(dial, full, value)), INPUT_TOLERANCE_FRAC, "s",
                          "slower means it burns less than its plate, faster means it burns too much")  # fmt: skip
    if setup.heater_eff_frac is None:
        return
    output = full * between("heater.efficiency", setup.heater_eff_frac, 0.3, 1.0, "frac")
    rise = setup.setpoint_f - setup.cold_f
    if setup.tankless:
        yield _around(f"flow at full fire with a rise of {rise:.0f} °F", "open taps until the outlet just holds",
                      float(heated_flow_gpm(output, rise)), BALANCE_TOLERANCE_FRAC, "gpm",
                      "flow times rise is the heat delivered: it proves gas, burner and exchanger at once")  # fmt: skip
    elif setup.volume_gal > 0:
        yield _around("rise of the tank in 10 minutes of firing, no draw", "well-mixed tank, mean of top and bottom",
                      float(tank_rise_in_10_min_df(output, setup.volume_gal)), BALANCE_TOLERANCE_FRAC, "df",
                      "it proves burner and flue passages")  # fmt: skip


def _electric_rows(setup: Setup, element_kw: float) -> Iterator[Reading]:
    supply = positive("circuit.supply_v", setup.supply_v, "v")
    amperes = element_kw * 1000 / setup.rated_v * supply / setup.rated_v
    yield Reading("voltage at the heater under load", "voltmeter, by an electrician", supply, 0.95 * supply,
                  1.05 * supply, "v", "low voltage means a weak connection or a small conductor")  # fmt: skip
    yield _around("current of one element or group", "clamp meter, one element on", amperes, CURRENT_TOLERANCE_FRAC,
                  "a", "none means a dead element, half means the wrong voltage or element")  # fmt: skip


def _condensate_rows(expected_gph: float) -> Iterator[Reading]:
    yield _around("condensate at full fire", "measuring cup, 10 minutes, cold inlet",
                  positive("heater.condensate_gph", expected_gph, "gph"), 0.3, "gph",
                  "none means it does not condense or the trap is blocked; the value is an estimate")  # fmt: skip
    yield Reading("acidity after the neutralizer", "test strip", None, 5.0, 9.0, "ph",
                  "below 5 attacks drains")  # fmt: skip


def _draft_rows() -> Iterator[Reading]:
    for row in load("draft_test_steps").rows():
        yield _written(row["action"], row["expect"], "flue gas that spills into a house can kill", "code")
