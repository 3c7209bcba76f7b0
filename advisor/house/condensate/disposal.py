"""The water that a heater drips, and where it can go."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.findings import Finding, Severity, care, finding, note, stop
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.units import BTU_PER_THERM, L_PER_GAL
from advisor.core.verdicts import HouseVerdict, verdict_of

#: Least fall of a drain line (IFGC 307.2).
FALL_IN_PER_FT = 1 / 8
#: Lift of a small condensate pump (common practice, no published source).
PUMP_LIFT_FT = 15.0
#: A drain line that can see this runs the risk of ice.
FREEZING_F = 32.0
DRAIN_MATERIALS = ("plastic", "cast_iron", "galvanized", "copper", "unknown")
_LB_PER_GAL = 8.34
_CALCIUM_CARBONATE_G_PER_MOL, _G_PER_LB = 100.09, 453.592


@published("Molar arithmetic", state="computed", input_btuh=180_000.0, water_gal_per_therm=1.128, condensed_frac=0.70)
def condensate_gph(input_btuh: Numbers, water_gal_per_therm: Numbers, condensed_frac: Numbers) -> Numbers:
    """Condensate at a firing rate.

    Parameters
    ----------
    input_btuh : float or ndarray
        Firing rate. [Btu/h]
    water_gal_per_therm : float or ndarray
        Water made by a therm: about 1.128 for natural gas, 0.90 for propane. [gal/therm]
    condensed_frac : float or ndarray
        Share that condenses. [-]

    Returns
    -------
    float or ndarray
        [gal/h]
    """
    return input_btuh / BTU_PER_THERM * water_gal_per_therm * condensed_frac


@published(
    "Molar arithmetic",
    state="computed",
    fuel_therm_per_yr=119.0,
    water_gal_per_therm=1.128,
    condensed_frac=0.70,
)
def condensate_gal_per_yr(fuel_therm_per_yr: Numbers, water_gal_per_therm: Numbers, condensed_frac: Numbers) -> Numbers:
    """Condensate in a year.

    Parameters
    ----------
    fuel_therm_per_yr : float or ndarray
        Fuel burned. [therm/yr]
    water_gal_per_therm, condensed_frac : float or ndarray
        As for ``condensate_gph``.

    Returns
    -------
    float or ndarray
        [gal/yr]
    """
    return fuel_therm_per_yr * water_gal_per_therm * condensed_frac


@published(
    "Acid balance: 2 H+ for each CaCO3; strong acid only",
    state="computed",
    by_hand=True,
    condensate_gal=94.0,
    condensate_ph=3.5,
)
def neutralizer_used_lb(condensate_gal: Numbers, condensate_ph: Numbers) -> Numbers:
    """Calcium carbonate that the strong acid in the condensate dissolves. Carbonic acid uses more.

    Parameters
    ----------
    condensate_gal : float or ndarray
        Condensate that is neutralized. [gal]
    condensate_ph : float or ndarray
        2.9 to 5 is reported. [pH]

    Returns
    -------
    float or ndarray
        [lb]
    """
    acid_mol = condensate_gal * L_PER_GAL * 10.0 ** (-np.asarray(condensate_ph, dtype=float))
    return (acid_mol / 2 * _CALCIUM_CARBONATE_G_PER_MOL / _G_PER_LB)[()]


@published(
    "Latent heat of room moisture at about 1,060 Btu/lb; the moisture share is assumed",
    state="assumed",
    room_heat_btu_per_day=23_000.0,
    latent_frac=0.3,
)
def heat_pump_condensate_gpd(room_heat_btu_per_day: Numbers, latent_frac: Numbers) -> Numbers:
    """Clean water that a heat pump heater wrings from the room air.

    Parameters
    ----------
    room_heat_btu_per_day : float or ndarray
        Heat taken from the room. [Btu/day]
    latent_frac : float or ndarray
        Share of it that is moisture condensing: about 0 in dry air, 0.2 usual, 0.4 in a humid basement. [-]

    Returns
    -------
    float or ndarray
        [gal/day]
    """
    return room_heat_btu_per_day * latent_frac / 1060.0 / _LB_PER_GAL


@published("IFGC 307.2, fall of 1/8 in. a foot", state="verified", run_ft=16.0)
def drain_fall_in(run_ft: Numbers) -> Numbers:
    """Least fall of a drain line over its length.

    Parameters
    ----------
    run_ft : float or ndarray
        Length of the line. [ft]

    Returns
    -------
    float or ndarray
        [in.]
    """
    return FALL_IN_PER_FT * run_ft


@dataclass(frozen=True)
class DrainRule:
    """One rule for the drain line."""

    id: str
    rule: Finding
    source: str
    state: str


@dataclass(frozen=True)
class Drain:
    """How the water leaves.

    Parameters
    ----------
    way : str
        ``gravity``, ``pump`` or ``neither``.
    neutralizer, can_freeze : bool
        Whether the water must be neutralized on its way; whether part of the line can freeze.
    """

    finding: Finding
    way: str
    fall_needed_in: float
    fall_available_in: float | None
    neutralizer: bool
    can_freeze: bool
    rules: tuple[DrainRule, ...]
    verdict: HouseVerdict
    cautions: tuple[str, ...]


def check_drain(
    *,
    acidic: bool,
    outlet_height_in: float,
    receptor_height_in: float | None,
    run_ft: float,
    receptacle_near: bool,
    drain_material: str = "unknown",
    septic: bool = False,
    coldest_f: float | None = None,
    above_rooms: bool = False,
) -> Drain:
    """Choose between gravity, a pump and neither, and say what else the line needs.

    Parameters
    ----------
    acidic : bool
        True for a condensing heater, False for a heat pump, whose water is clean.
    outlet_height_in : float
        Height of the heater's drain outlet above the floor. [in.]
    receptor_height_in : float or None
        Height of the drain's rim, negative below the floor; None where no drain is within reach. [in.]
    run_ft : float
        Length of the line. [ft]
    receptacle_near : bool
        A 120 V outlet within reach, for a pump.
    drain_material : str
        One of ``DRAIN_MATERIALS``: what the water runs into.
    septic : bool
        The house drains to a septic tank.
    coldest_f : float, optional
        Coldest temperature along the line. [°F]
    above_rooms : bool
        Finished rooms lie below.

    Sources
    -------
    IFGC 307.2; IRC 2018 M1411; UPC 803 and 807. ``data/condensate_drain_rules``.
    """
    needed = float(drain_fall_in(run_ft))
    available = None if receptor_height_in is None else outlet_height_in - receptor_height_in
    way = _way(needed, available)
    neutralizer = acidic and (septic or drain_material != "plastic")
    can_freeze = coldest_f is not None and coldest_f <= FREEZING_F
    extras = [
        also
        for applies, also in (
            (way == "pump" and not receptacle_near, note("condensate.also.outlet")),
            (neutralizer, note("condensate.also.neutralizer")),
            (can_freeze, note("condensate.also.frost")),
            (above_rooms, note("condensate.also.pan")),
        )
        if applies
    ]
    found = _way_found(way, needed, tuple(extras))
    kinds = {"all", "condensing" if acidic else "heat_pump"}
    kinds |= {"pump"} if way == "pump" else set()
    kinds |= {"upstairs"} if above_rooms else set()
    rules = tuple(
        DrainRule(row["id"], note(f"condensate.rule.{row['id']}"), row["source"], row["state"])
        for row in load("condensate_drain_rules").rows()
        if row["applies"] in kinds
    )
    cautions = ["condensate_acidic" if acidic else "heat_pump_drain"]
    if way == "pump":
        cautions.append("condensate_pump")
    return Drain(found, way, needed, available, neutralizer, can_freeze, rules, verdict_of(found), tuple(cautions))


def _way_found(way: str, fall_in: float, extras: tuple[Finding, ...]) -> Finding:
    section = "IFGC 307.2"
    found = {
        "gravity": note("condensate.gravity", section, fall_in=fall_in),
        "pump": care("condensate.pump", section),
        "neither": stop("condensate.neither", section),
    }[way]
    if not extras:
        return found
    return finding("condensate.also", max(found.severity, Severity.CARE), section, way=found, extras=extras)


def _way(needed_in: float, available_in: float | None) -> str:
    if available_in is None or needed_in - available_in > PUMP_LIFT_FT * 12:
        return "neither"
    return "gravity" if available_in >= needed_in else "pump"
