"""What to measure when the heater first runs, what each reading should be, and what to write down.

A new heater is proved by a few readings: gas pressure, the meter's test dial, flow times temperature rise,
the amperes of an element, the drip of condensate, the pull of the flue. Each row says why it matters.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from advisor.core.arrays import Numbers
from advisor.core.findings import Finding, care, note
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.units import MIN_PER_H
from advisor.core.validation import between, positive
from advisor.physics.water import TEST_BTU_PER_GAL_DF, heated_flow_gpm

DIALS_FT3 = (0.5, 1.0, 2.0)
#: Allowance on a timed dial and on amperes (common practice, no published source).
INPUT_TOLERANCE_FRAC = CURRENT_TOLERANCE_FRAC = 0.05
#: Allowance on flow times rise with household gauges (common practice, no published source).
BALANCE_TOLERANCE_FRAC = 0.10
#: Allowance on the condensate, which is itself an estimate (assumed).
CONDENSATE_TOLERANCE_FRAC = 0.30
#: Allowance on the supply voltage (common practice, no published source).
VOLTAGE_TOLERANCE_FRAC = 0.05
LARGEST_WATER_PSI, HOTTEST_BATH_F = 80.0, 120.0
#: Room carbon monoxide below which an inspection goes on (IFGC Appendix D). [ppm]
MOST_ROOM_CO_PPM = 30.0
#: A hand on a dial is read to half a second: this long a time makes that 1 %. [s]
CLOCKED_S = 50.0
#: Allowance on the least flow that lights a burner (common practice, no published source).
LEAST_FLOW_TOLERANCE_FRAC = 0.15
_S_PER_H = 3600.0
# Expected value, lowest and highest allowed; None where it is written down or an end is open.
_Range = tuple[float | None, float | None, float | None]
_WRITTEN: _Range = (None, None, None)


@published(
    "Definition of heat input",
    state="computed",
    dial_ft3=2.0,
    input_btuh=180_000.0,
    heating_value_btu_per_ft3=1036.0,
)
def dial_turn_s(dial_ft3: Numbers, input_btuh: Numbers, heating_value_btu_per_ft3: Numbers) -> Numbers:
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
    "Definition of heat input",
    state="computed",
    by_hand=True,
    dial_ft3=2.0,
    turn_s=41.4,
    heating_value_btu_per_ft3=1036.0,
)
def clocked_input_btuh(dial_ft3: Numbers, turn_s: Numbers, heating_value_btu_per_ft3: Numbers) -> Numbers:
    """Heat input from a timed turn of the test dial.

    Parameters
    ----------
    dial_ft3 : float or ndarray
        Gas in one turn. [ft³]
    turn_s : float or ndarray
        Time of one turn. [s]
    heating_value_btu_per_ft3 : float or ndarray
        As the gas passes the meter. [Btu/ft³]

    Returns
    -------
    float or ndarray
        [Btu/h]
    """
    return _S_PER_H * dial_ft3 * heating_value_btu_per_ft3 / turn_s


@published("Steady heat balance", state="computed", by_hand=True, flow_gpm=5.2, rise_df=67.0)
def measured_output_btuh(flow_gpm: Numbers, rise_df: Numbers) -> Numbers:
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
def tank_rise_in_10_min_df(output_btuh: Numbers, volume_gal: Numbers) -> Numbers:
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
    cold_f, set_point_f : float
        Supply and set point. [°F]
    volume_gal : float
        Tank volume, 0 for tankless. [gal]
    element_kw, rated_v, supply_v : float or None
        One element or heating group at its rated voltage; voltage at the heater. [kW], [V], [V]
    condensate_gph : float or None
        Expected at full fire. [gal/h]
    supply_psi : float or None
        Water pressure. [psi]
    activation_gpm : float or None
        Least flow that starts a tankless heater, by its label. [gpm]
    has_power : bool
        It is wired or plugged in.
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
    set_point_f: float = 120.0
    volume_gal: float = 0.0
    element_kw: float | None = None
    rated_v: float = 240.0
    supply_v: float = 240.0
    condensate_gph: float | None = None
    supply_psi: float | None = None
    activation_gpm: float | None = None
    has_power: bool = False


@dataclass(frozen=True)
class Reading:
    """One row of the commissioning sheet.

    Parameters
    ----------
    id : str
        Its name in the table of readings, for what somebody types.
    what, how, why : Finding
        The reading, how it is taken, and why it matters, in words.
    expected, low, high : float or None
        Value and allowed range, in the unit of ``suffix``; None where the answer is written, not a number.
    suffix : str
        Key of ``quantities.UNITS``.
    """

    id: str
    what: Finding
    how: Finding
    expected: float | None
    low: float | None
    high: float | None
    suffix: str
    why: Finding

    def holds(self, measured: float) -> bool:
        """Whether a measured value lies in the allowed range; an open end does not bind."""
        above = self.low is None or measured >= self.low
        return above and (self.high is None or measured <= self.high)

    def means(self, measured: float) -> Finding | None:
        """What a value outside the range usually comes from; None for one inside it."""
        if self.holds(measured):
            return None
        name = "dial" if self.id.startswith("dial_") else self.id
        is_low = self.low is not None and measured < self.low
        return care(f"reading.{name}.{'low' if is_low else 'high'}")


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

    Sources
    -------
    IPC 604.8 (80 psi); IPC 2021 (120 °F at a bath); draft test IFGC Appendix D.
    ``data/commissioning_readings`` and ``data/draft_test_steps``.
    """
    between("household.set_point_f", setup.set_point_f, setup.cold_f + 1, 190, "f")
    ranges = _water_ranges(setup)
    if setup.has_power:
        ranges["polarity"] = _WRITTEN
    if setup.burns_gas:
        ranges |= _gas_ranges(setup)
    if setup.element_kw is not None:
        ranges |= _electric_ranges(setup, positive("heaters.input_kw", setup.element_kw, "kw"))
    if setup.condensing and setup.condensate_gph is not None:
        expected = positive("condensate_gph", setup.condensate_gph, "gph")
        ranges |= {
            "condensate_gph": _around(expected, CONDENSATE_TOLERANCE_FRAC),
            "condensate_ph": (None, 5.0, None),
        }
    if setup.heat_pump:
        ranges["heat_pump_df"] = (None, 0.0, None)
    ranges["write_down"] = _WRITTEN
    readings: list[Reading] = []
    for row in load("commissioning_readings").rows():
        if row["id"] == "draft":
            readings += _draft_readings() if setup.natural_draft else ()
        elif row["id"] in ranges:
            readings.append(_reading(row["id"], ranges[row["id"]], row["unit"]))
    return tuple(readings)


def _reading(name: str, span: _Range, suffix: str) -> Reading:
    what, how, why = (note(f"reading.{name}.{part}") for part in ("what", "how", "why"))
    if name.startswith("dial_") and span[0] is not None:
        how = note(f"reading.{name}.how", n=max(math.ceil(CLOCKED_S / span[0]), 1))
    return Reading(name, what, how, *span, suffix, why)


@dataclass(frozen=True)
class Symptom:
    """What a heater may do wrong, and where to look first."""

    what: Finding
    look: Finding


def symptoms(*, burns_gas: bool, electric: bool, tankless: bool, heat_pump: bool) -> tuple[Symptom, ...]:
    """The symptoms that a kind of heater may show, from what heats, flows, burns and leaks. ``data/symptoms``."""
    kinds = {"all", "tankless" if tankless else "tank"}
    of_kind = {
        "gas": burns_gas,
        "tankless_gas": burns_gas and tankless,
        "electric": electric,
        "heat_pump": heat_pump,
    }
    kinds |= {kind for kind, applies in of_kind.items() if applies}
    return tuple(
        Symptom(note(f"symptom.{row['id']}.what"), note(f"symptom.{row['id']}.look"))
        for row in load("symptoms").rows()
        if row["applies"] in kinds
    )


def _around(expected: float, tolerance_frac: float) -> _Range:
    return expected, expected * (1 - tolerance_frac), expected * (1 + tolerance_frac)


def _water_ranges(setup: Setup) -> dict[str, _Range]:
    ranges: dict[str, _Range] = {
        "water_psi": (setup.supply_psi, None, LARGEST_WATER_PSI),
        "bath_f": (None, None, HOTTEST_BATH_F),
        "relief": _WRITTEN,
    }
    return ranges


def _gas_ranges(setup: Setup) -> dict[str, _Range]:
    given = float("nan") if setup.input_btuh is None else setup.input_btuh
    full_btuh = positive("heaters.input_btuh", given, "btuh")
    ranges: dict[str, _Range] = {
        **dict.fromkeys(("sniff", "leak_test", "settings", "manifold", "fire_high", "co_alarm"), _WRITTEN),
        "co_before_ppm": (None, None, MOST_ROOM_CO_PPM),
        "co_after_ppm": (None, None, MOST_ROOM_CO_PPM),
        "static_inwc": (setup.static_inwc, setup.least_inwc, setup.most_inwc),
        "dynamic_inwc": (None, setup.least_inwc, setup.most_inwc),
    }
    if setup.heating_value_btu_per_ft3 is not None:
        value = positive("heating_value_btu_per_ft3", setup.heating_value_btu_per_ft3, "btu_per_ft3")
        for dial in DIALS_FT3:
            turn = float(dial_turn_s(dial, full_btuh, value))
            ranges[f"dial_{dial:g}"] = _around(turn, INPUT_TOLERANCE_FRAC)
    if setup.heater_eff_frac is None:
        return ranges
    output = full_btuh * between("heaters.recovery_frac", setup.heater_eff_frac, 0.3, 1.0, "frac")
    if setup.tankless:
        ranges["fire_low"] = _WRITTEN
        if setup.activation_gpm is not None:
            most = setup.activation_gpm * (1 + LEAST_FLOW_TOLERANCE_FRAC)
            ranges["smallest_gpm"] = (setup.activation_gpm, None, most)
        flow = float(heated_flow_gpm(output, setup.set_point_f - setup.cold_f))
        ranges["full_fire_gpm"] = _around(flow, BALANCE_TOLERANCE_FRAC)
    elif setup.volume_gal > 0:
        rise = float(tank_rise_in_10_min_df(output, setup.volume_gal))
        ranges["tank_df"] = _around(rise, BALANCE_TOLERANCE_FRAC)
    return ranges


def _electric_ranges(setup: Setup, element_kw: float) -> dict[str, _Range]:
    supply = positive("electrical.supply_v", setup.supply_v, "v")
    rated = positive("rated_v", setup.rated_v, "v")
    # An element keeps its resistance: on a lower voltage it draws less.
    amperes = element_kw * 1000 / rated * supply / rated
    return {
        "heater_v": _around(supply, VOLTAGE_TOLERANCE_FRAC),
        "element_a": _around(amperes, CURRENT_TOLERANCE_FRAC),
    }


def _draft_readings() -> tuple[Reading, ...]:
    why = note("reading.draft.why")
    steps = load("draft_test_steps")["step"]
    return tuple(
        Reading(
            f"draft_{step}",
            note(f"reading.draft.{step}.what"),
            note(f"reading.draft.{step}.how"),
            *_WRITTEN,
            "dimensionless",
            why,
        )
        for step in steps
    )
