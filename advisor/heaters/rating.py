"""The federal rating: draw patterns, label energy, minimum ratings, and a label turned into model parameters.

One convention for the loss coefficient is kept throughout: the *thermal* one, heat lost by the stored water per
hour and degree. The older literature also uses an *input-side* coefficient, fuel per hour and degree; the two
differ by the conversion efficiency and are never mixed here (``input_side_loss_btuh_per_df`` converts).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cache, lru_cache
from typing import Any

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.errors import InputError
from advisor.core.findings import Finding, Severity, finding, note
from advisor.core.published import published, state_word
from advisor.core.tables import Table, load
from advisor.heaters.catalogue import Heater
from advisor.physics.water import TEST_BTU_PER_GAL_DF

TEST_RISE_DF = 67.0
TEST_TANK_MINUS_AIR_DF = 57.5
DAYS_PER_YR = 365.0
#: Above these inputs some classes give way to a commercial one for homes, as the table of minimum ratings has it.
_LARGE_BTUH, _LARGE_KW = 75_000.0, 12.0
_APP_E = "10 CFR 430 subpart B appendix E"


@cache
def _bins(heater_kind: str) -> tuple[np.ndarray, tuple[str, ...], np.ndarray]:
    """Lower edges, names and daily gallons of the draw patterns, in rising order."""
    table = load("draw_pattern_bins")
    chosen = table["heater_kind"] == heater_kind
    lower = table["lower_gal" if heater_kind == "storage" else "lower_gpm"][chosen]
    return lower, tuple(table["pattern"][chosen]), table["daily_volume_gal"][chosen].astype(float)


def draw_pattern_of(rating: Numbers | None, *, is_storage: bool) -> Any:
    """Draw pattern that a first-hour rating (gal) or a maximum flow (gpm) selects.

    Parameters
    ----------
    rating : float or ndarray
        First-hour rating of a tank, or maximum gpm of a flow-activated heater.
    is_storage : bool
        Which of the two it is.

    Returns
    -------
    str or ndarray of str
        ``very_small``, ``low``, ``medium`` or ``high``; the lower edge belongs to the bin.

    Sources
    -------
    10 CFR 430 subpart B app. E secs. 5.3.1 and 5.4.1; lower bounds verified, sides of the edges cross-checked.
    """
    lower, names, _ = _bins("storage" if is_storage else "flow_activated")
    if np.any(np.isnan(np.asarray(rating, dtype=float))):
        raise InputError("rating", None, "there is no rating", "read it from the label")
    index = np.searchsorted(lower, np.asarray(rating, dtype=float), side="right") - 1
    return np.array(names, dtype=object)[np.clip(index, 0, len(names) - 1)]


def pattern_daily_gal(pattern: str) -> float:
    """Gallons a day of a draw pattern: 10, 38, 55 or 84."""
    _, names, gallons = _bins("storage")
    if pattern not in names:
        reason = "there is no such draw pattern"
        raise InputError("draw_pattern", pattern, reason, "write one of {known}", known=", ".join(names))
    return float(gallons[names.index(pattern)])


@published(f"{_APP_E} sec. 6: heat of the test day", state="cross-checked", daily_gal=55.0)
def pattern_heat_btu_per_day(daily_gal: Numbers) -> Numbers:
    """Heat that the 24-hour test draws: gallons times 8.24 times 67.

    Parameters
    ----------
    daily_gal : float or ndarray
        Daily volume of the draw pattern. [gal]

    Returns
    -------
    float or ndarray
        [Btu/day]
    """
    return daily_gal * TEST_BTU_PER_GAL_DF * TEST_RISE_DF


@published(
    f"{_APP_E} sec. 6.3 and 6.4, annual energy; returns the therms of published labels",
    state="cross-checked",
    rating_uef=0.93,
    daily_gal=84.0,
)
def label_energy_btu_per_yr(rating_uef: Numbers, daily_gal: Numbers) -> Numbers:
    """Annual energy as the label counts it: 365 test days.

    Parameters
    ----------
    rating_uef : float or ndarray
        Uniform energy factor. [-]
    daily_gal : float or ndarray
        Daily volume of its draw pattern. [gal]

    Returns
    -------
    float or ndarray
        [Btu/yr]
    """
    return DAYS_PER_YR * pattern_heat_btu_per_day(daily_gal) / rating_uef


@published(
    "Two-parameter storage model, thermal form (Burch and Erickson 2004; Maguire and Roberts 2020 for UEF)",
    state="computed",
    rating_uef=0.62,
    recovery_frac=0.78,
    power_btuh=40_000.0,
    daily_gal=84.0,
)
def loss_coefficient_btuh_per_df(
    rating_uef: Numbers, recovery_frac: Numbers, power_btuh: Numbers, daily_gal: Numbers
) -> Numbers:
    """Standby loss of a tank, solved from its label on its own test day (thermal convention).

    Parameters
    ----------
    rating_uef, recovery_frac : float or ndarray
        Uniform energy factor and recovery efficiency. [-]
    power_btuh : float or ndarray
        Rated input. [Btu/h]
    daily_gal : float or ndarray
        Daily volume of its draw pattern. [gal]

    Returns
    -------
    float or ndarray
        NaN where the label contradicts itself (recovery efficiency below the energy factor). [Btu/(h °F)]

    Sources
    -------
    The attribution is from memory; the algebra closes on the test day and is tested.
    """
    heat = pattern_heat_btu_per_day(daily_gal)
    numerator = np.asarray(recovery_frac, dtype=float) / rating_uef - 1
    loss = numerator / (TEST_TANK_MINUS_AIR_DF * (24 / heat - 1 / (power_btuh * np.asarray(rating_uef))))
    return np.where(numerator >= 0, loss, np.nan)[()]


@published(
    "Two-parameter storage model, thermal form",
    state="computed",
    recovery_frac=0.78,
    loss_btuh_per_df=9.41,
    power_btuh=40_000.0,
)
def conversion_efficiency_frac(recovery_frac: Numbers, loss_btuh_per_df: Numbers, power_btuh: Numbers) -> Numbers:
    """Share of the input that reaches the water while the burner runs.

    The recovery test counts the loss during recovery against the burner; this adds it back.

    Parameters
    ----------
    recovery_frac : float or ndarray
        Recovery efficiency. [-]
    loss_btuh_per_df : float or ndarray
        Thermal loss coefficient. [Btu/(h °F)]
    power_btuh : float or ndarray
        Rated input. [Btu/h]

    Returns
    -------
    float or ndarray
        [-]
    """
    return recovery_frac + loss_btuh_per_df * TEST_TANK_MINUS_AIR_DF / power_btuh


@published(
    "WHAM (Lutz, Whitehead, Lekov, Rosenquist, Winiarski; ACEEE Summer Study 1998), input-side convention",
    state="verified",
    by_hand=True,
    rating_uef=0.62,
    recovery_frac=0.78,
    power_btuh=40_000.0,
    daily_gal=84.0,
)
def input_side_loss_btuh_per_df(
    rating_uef: Numbers, recovery_frac: Numbers, power_btuh: Numbers, daily_gal: Numbers
) -> Numbers:
    """The same loss counted as fuel per hour and degree: the other convention, for checking only.

    Parameters
    ----------
    rating_uef, recovery_frac : float or ndarray
        Uniform energy factor and recovery efficiency. [-]
    power_btuh : float or ndarray
        Rated input. [Btu/h]
    daily_gal : float or ndarray
        Daily volume of the draw pattern. [gal]

    Returns
    -------
    float or ndarray
        Fuel, not heat. [Btu/(h °F)]
    """
    heat = pattern_heat_btu_per_day(daily_gal)
    inverse = 1 / np.asarray(rating_uef, dtype=float) - 1 / np.asarray(recovery_frac, dtype=float)
    return inverse / (TEST_TANK_MINUS_AIR_DF * (24 / heat - 1 / (recovery_frac * np.asarray(power_btuh))))


@published(
    "Energy balance of an immersed element: all its heat enters the water",
    state="computed",
    rating_uef=0.92,
    daily_gal=55.0,
)
def resistance_loss_btuh_per_df(rating_uef: Numbers, daily_gal: Numbers) -> Numbers:
    """Standby loss of an electric resistance tank from its label, with a conversion efficiency of 1.

    The test method assigns a recovery efficiency of 0.98 instead; with it the same label gives a lower loss.
    One convention is kept here: 1.

    Parameters
    ----------
    rating_uef : float or ndarray
        Uniform energy factor. [-]
    daily_gal : float or ndarray
        Daily volume of its draw pattern. [gal]

    Returns
    -------
    float or ndarray
        [Btu/(h °F)]
    """
    return pattern_heat_btu_per_day(daily_gal) * (1 / np.asarray(rating_uef) - 1) / (24 * TEST_TANK_MINUS_AIR_DF)


@published(
    "Energy balance of a heat pump tank on its test day",
    state="computed",
    rating_uef=3.5,
    loss_btuh_per_df=1.9,
    daily_gal=55.0,
)
def rated_cop(rating_uef: Numbers, loss_btuh_per_df: Numbers, daily_gal: Numbers) -> Numbers:
    """Mean coefficient of performance on the test day (67.5 °F air, 50 % humidity), standby loss taken out.

    Parameters
    ----------
    rating_uef : float or ndarray
        Uniform energy factor. [-]
    loss_btuh_per_df : float or ndarray
        Thermal loss coefficient of the tank, taken from a resistance tank of like volume. [Btu/(h °F)]
    daily_gal : float or ndarray
        Daily volume of its draw pattern. [gal]

    Returns
    -------
    float or ndarray
        [-]
    """
    heat = pattern_heat_btu_per_day(daily_gal)
    return rating_uef * (1 + 24 * loss_btuh_per_df * TEST_TANK_MINUS_AIR_DF / heat)


@published(
    "10 CFR 430 subpart B appendix E sec. 6.1, last draw of the first hour",
    state="from memory, unverified",
    drawn_gal=6.0,
    mean_f=113.0,
    mean_before_f=119.0,
    cut_off_f=109.0,
)
def credited_gal(drawn_gal: Numbers, mean_f: Numbers, mean_before_f: Numbers, cut_off_f: Numbers) -> Numbers:
    """What the draw forced at the end of the first hour adds to the rating.

    Parameters
    ----------
    drawn_gal : float or ndarray
        Its volume. [gal]
    mean_f, mean_before_f : float or ndarray
        Mean delivered temperature of it and of the draw before. [°F]
    cut_off_f : float or ndarray
        Where the draw before was stopped. [°F]

    Returns
    -------
    float or ndarray
        [gal]
    """
    return drawn_gal * np.maximum(mean_f - cut_off_f, 0.0) / (mean_before_f - cut_off_f)


@dataclass(frozen=True)
class MinimumRating:
    """The federal floor that a heater has to reach.

    Parameters
    ----------
    metric, state, source : str
        ``UEF`` or ``EF``, how far verified, and where it is printed.
    minimum : float
        The floor for this volume. [-]
    """

    metric: str
    minimum: float
    state: str
    source: str


def heater_class_of(heater: Heater) -> str | None:
    """The federal product class of a heater, as the table of minimum ratings names it; None where it has none."""
    kind = heater.technology
    if heater.sale_note and heater.is_storage and not heater.burns_fuel:
        return "grid_enabled_storage"
    is_large = (heater.input_btuh or 0) > _LARGE_BTUH or (heater.input_kw or 0) > _LARGE_KW
    return kind.large_product_class if is_large and kind.large_product_class else kind.product_class


def minimum_rating(
    heater_class: str,
    pattern: str,
    volume_gal: float,
    made_on: date,
    *,
    metric: str = "UEF",
    input_btuh: float | None = None,
    input_kw: float | None = None,
) -> MinimumRating | None:
    """Federal minimum for a class, draw pattern and volume on a date of manufacture; None where there is none.

    From 6 May 2029 an electric tank of 20 to 35 gal that is not a heat pump is looked up in its own small class.
    """
    table = load("minimum_ratings")
    lower, upper = table["volume_lower_gal"], table["volume_upper_gal"]
    in_volume = np.where(table["volume_lower_excluded"], volume_gal > lower, volume_gal >= lower)
    below = np.where(table["volume_upper_excluded"], volume_gal < upper, volume_gal <= upper)
    in_volume = (np.isnan(lower) | in_volume) & (np.isnan(upper) | below)
    dated = np.array(
        [
            (start is None or start <= made_on) and (end is None or made_on <= end)
            for start, end in zip(table["effective_from"], table["effective_to"], strict=True)
        ]
    )
    pattern_fits = (table["draw_pattern"] == pattern) | (table["draw_pattern"] == "any")
    fits_input = _within(table, "btuh", input_btuh) & _within(table, "kw", input_kw)
    fits = (
        fits_input
        & (table["heater_class"] == heater_class)
        & (table["metric"] == metric)
        & pattern_fits
        & in_volume
        & dated
    )
    index = np.flatnonzero(fits)
    if not len(index):
        return None
    row = table.row(int(index[0]))
    return MinimumRating(
        row["metric"],
        row["a"] - row["b_per_gal"] * volume_gal,
        row["state"],
        row["source"],
    )


def _within(table: Table, unit: str, rated_input: float | None) -> np.ndarray:
    """Rows whose limits on input hold; every row where the input is not given."""
    if rated_input is None:
        return np.ones(len(table), dtype=bool)
    lower, upper = table[f"input_lower_{unit}"], table[f"input_upper_{unit}"]
    above = np.where(table["input_lower_excluded"], rated_input > lower, rated_input >= lower)
    below = np.where(table["input_upper_excluded"], rated_input < upper, rated_input <= upper)
    return (np.isnan(lower) | above) & (np.isnan(upper) | below)


# Asked of every heater for every day on which a rule begins, and again by the next comparison.
@lru_cache(maxsize=2048)
def may_be_made(heater: Heater, made_on: date) -> tuple[bool, Finding]:
    """Whether a heater may still be made on a date, and the floor that says so."""
    heater_class = heater_class_of(heater)
    if heater_class is None:
        return True, note("label.no_minimum")
    # A heat pump's kilowatts are its element's; the law limits it by its current instead.
    kilowatts = None if heater.is_heat_pump else heater.input_kw
    floor = minimum_rating(
        heater_class,
        heater.draw_pattern,
        heater.rated_volume_gal,
        made_on,
        input_btuh=heater.input_btuh,
        input_kw=kilowatts,
    )
    small = minimum_rating("small_electric_storage", heater.draw_pattern, heater.rated_volume_gal, made_on)
    if heater_class == "electric_storage" and small is not None:
        floor = small
    if floor is None:
        return True, note("label.no_minimum")
    # Labels are printed to 0.01, so a floor of 0.6296 is met by 0.63.
    meets = round(heater.uef, 2) >= round(floor.minimum, 2)
    code = "label.meets_minimum" if meets else "label.below_minimum"
    return meets, finding(
        code if floor.state == "verified" else f"{code}_unsure",
        Severity.NOTE if meets else Severity.STOP,
        floor.source,
        rating_uef=heater.uef,
        minimum_uef=floor.minimum,
        made_on=made_on.isoformat(),
        source=floor.source,
        state=state_word(floor.state),
    )
