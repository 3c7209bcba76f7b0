"""The canonical units, the suffixes that name them, and the edges where people type and read them.

Inside the advisor every number is a plain float or array in one US customary unit per dimension, because
the codes and test methods it is checked against print those; the name says which: ``input_btuh``,
``rise_df``. A ``_f`` is a temperature reading, a ``_df`` a temperature difference, and they are never mixed.

Pint stands only at the edge: it reads what people type and writes SI. It is imported on first use.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from advisor.core.errors import InputError

# Exact by definition: 1 Btu (International Table) = 1055.05585262 J, 1 gal = 231 in3, 1 ft3 = 1728 in3.
BTU_PER_KWH = 3412.141633
BTU_PER_THERM = 100_000.0
L_PER_GAL = 3.785411784
FLOZ_PER_GAL = 128.0
MIN_PER_H = 60.0
DAYS_BY_MONTH = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
DAYS_BY_MONTH.flags.writeable = False
# As the fuel gas codes round it; water at its densest gives 27.68.
INWC_PER_PSI = 27.7
# A grain is 64.79891 mg.
MGL_PER_GPG = 17.118


@dataclass(frozen=True)
class Unit:
    """A canonical unit: how pint spells it, how we print it, and what SI readers see instead."""

    pint: str
    label: str
    si_pint: str
    si_label: str


UNITS: dict[str, Unit] = {
    "f": Unit("degF", "°F", "degC", "°C"),
    "df": Unit("delta_degF", "°F", "delta_degC", "K"),
    "btuh": Unit("Btu/hour", "Btu/h", "kilowatt", "kW"),
    "btu": Unit("Btu", "Btu", "megajoule", "MJ"),
    "btu_per_yr": Unit("Btu/year", "Btu/yr", "megajoule/year", "MJ/yr"),
    "btu_per_day": Unit("Btu/day", "Btu/day", "megajoule/day", "MJ/day"),
    "gal": Unit("gallon", "gal", "liter", "L"),
    "gal_per_yr": Unit("gallon/year", "gal/yr", "liter/year", "L/yr"),
    "gpm": Unit("gallon/minute", "gpm", "liter/minute", "L/min"),
    "gph": Unit("gallon/hour", "gal/h", "liter/hour", "L/h"),
    "gpd": Unit("gallon/day", "gal/day", "liter/day", "L/day"),
    "kw": Unit("kilowatt", "kW", "kilowatt", "kW"),
    "w": Unit("watt", "W", "watt", "W"),
    "va": Unit("volt_ampere", "VA", "volt_ampere", "VA"),
    "kwh": Unit("kilowatt_hour", "kWh", "kilowatt_hour", "kWh"),
    "kwh_per_yr": Unit("kilowatt_hour/year", "kWh/yr", "kilowatt_hour/year", "kWh/yr"),
    "therm": Unit("therm_US", "therm", "megajoule", "MJ"),
    "therm_per_yr": Unit("therm_US/year", "therm/yr", "megajoule/year", "MJ/yr"),
    "usd": Unit("", "$", "", "$"),
    "usd_per_yr": Unit("1/year", "$/yr", "1/year", "$/yr"),
    "usd_per_kwh": Unit("1/kilowatt_hour", "$/kWh", "1/kilowatt_hour", "$/kWh"),
    "usd_per_therm": Unit("1/therm_US", "$/therm", "1/megajoule", "$/MJ"),
    "usd_per_gal": Unit("1/gallon", "$/gal", "1/liter", "$/L"),
    "usd_per_mo": Unit("1/month", "$/month", "1/month", "$/month"),
    "units_per_mo": Unit("", "units/month", "", "units/month"),
    "usd_per_ft": Unit("1/foot", "$/ft", "1/meter", "$/m"),
    "in": Unit("inch", "in.", "millimeter", "mm"),
    "in2": Unit("inch**2", "in²", "centimeter**2", "cm²"),
    "ft": Unit("foot", "ft", "meter", "m"),
    "ft2": Unit("foot**2", "ft²", "meter**2", "m²"),
    "ft3": Unit("foot**3", "ft³", "meter**3", "m³"),
    "mi": Unit("mile", "mi", "kilometer", "km"),
    "deg": Unit("degree", "°", "degree", "°"),
    "cfh": Unit("foot**3/hour", "ft³/h", "meter**3/hour", "m³/h"),
    "btu_per_ft3": Unit("Btu/foot**3", "Btu/ft³", "megajoule/meter**3", "MJ/m³"),
    "inwc": Unit("inH2O", "in. w.c.", "kilopascal", "kPa"),
    "psi": Unit("psi", "psi", "kilopascal", "kPa"),
    "a": Unit("ampere", "A", "ampere", "A"),
    "v": Unit("volt", "V", "volt", "V"),
    "frac": Unit("", "", "", ""),
    "cop": Unit("", "", "", ""),
    "uef": Unit("", "", "", ""),
    "code": Unit("", "", "", ""),
    "yr": Unit("year", "yr", "year", "yr"),
    "mo": Unit("month", "months", "month", "months"),
    "day": Unit("day", "days", "day", "days"),
    "h": Unit("hour", "h", "hour", "h"),
    "min": Unit("minute", "min", "minute", "min"),
    "s": Unit("second", "s", "second", "s"),
    "lb": Unit("pound", "lb", "kilogram", "kg"),
    "lb_per_gal": Unit("pound/gallon", "lb/gal", "kilogram/liter", "kg/L"),
    "lb_per_ft3": Unit("pound/foot**3", "lb/ft³", "kilogram/meter**3", "kg/m³"),
    "btu_per_lb_df": Unit("Btu/pound/delta_degF", "Btu/(lb °F)", "kilojoule/kilogram/kelvin", "kJ/(kg K)"),
    "btu_per_gal_df": Unit("Btu/gallon/delta_degF", "Btu/(gal °F)", "kilojoule/liter/kelvin", "kJ/(L K)"),
    "btu_per_df": Unit("Btu/delta_degF", "Btu/°F", "kilojoule/kelvin", "kJ/K"),
    "btuh_per_df": Unit("Btu/hour/delta_degF", "Btu/(h °F)", "watt/kelvin", "W/K"),
    "btuh_per_ft_df": Unit("Btu/hour/foot/delta_degF", "Btu/(h ft °F)", "watt/meter/kelvin", "W/(m K)"),
    "btu_per_gal": Unit("Btu/gallon", "Btu/gal", "megajoule/liter", "MJ/L"),
    "btu_per_unit": Unit("", "Btu/unit", "", "Btu/unit"),
    "floz_per_ft": Unit("fluid_ounce/foot", "fl oz/ft", "milliliter/meter", "mL/m"),
    "lb_per_therm": Unit("pound/therm_US", "lb/therm", "gram/megajoule", "g/MJ"),
    "lb_per_mmbtu": Unit("pound/megaBtu", "lb/MMBtu", "gram/megajoule", "g/MJ"),
    "lb_per_mwh": Unit("pound/megawatt_hour", "lb/MWh", "kilogram/megawatt_hour", "kg/MWh"),
    "lb_per_kwh": Unit("pound/kilowatt_hour", "lb/kWh", "kilogram/kilowatt_hour", "kg/kWh"),
    "lb_per_yr": Unit("pound/year", "lb/yr", "kilogram/year", "kg/yr"),
    "gpg": Unit("1", "gpg", "17.118*milligram/liter", "mg/L"),
    "mgl": Unit("milligram/liter", "mg/L", "milligram/liter", "mg/L"),
    "ach": Unit("1/hour", "air changes/h", "1/hour", "air changes/h"),
    "dba": Unit("", "dBA", "", "dBA"),
    "ph": Unit("", "pH", "", "pH"),
    "rh": Unit("", "relative humidity", "", "relative humidity"),
    "per_yr": Unit("1/year", "per year", "1/year", "per year"),
    "per_day": Unit("1/day", "per day", "1/day", "per day"),
    "usd_per_unit": Unit("", "$/unit", "", "$/unit"),
    "dimensionless": Unit("", "", "", ""),
    "cp": Unit("centipoise", "cP", "millipascal*second", "mPa s"),
    "people": Unit("", "people", "", "people"),
    "bedrooms": Unit("", "bedrooms", "", "bedrooms"),
    "count": Unit("", "", "", ""),
    "gal_per_therm": Unit("gallon/therm_US", "gal/therm", "liter/megajoule", "L/MJ"),
    "btu_per_lb": Unit("Btu/pound", "Btu/lb", "megajoule/kilogram", "MJ/kg"),
    "va_per_ft2": Unit("volt_ampere/foot**2", "VA/ft²", "volt_ampere/meter**2", "VA/m²"),
    "btuh_per_in2": Unit("Btu/hour/inch**2", "Btu/h per in²", "watt/centimeter**2", "W/cm²"),
    "usd_per_mmbtu": Unit("1/megaBtu", "$/MMBtu", "1/megajoule", "$/MJ"),
}

_LONGEST_FIRST = sorted(UNITS, key=len, reverse=True)
# A comma only parts thousands: "2,1" is refused, not read as 21.
_NUMBER = re.compile(r"[+-]?((?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d*)?|\.\d+)([eE][+-]?\d+)?")
_LONGEST_TEXT = 60
_UNIT_START = re.compile(r"\s*[^\W\d_]|\s*[°\"'/]")
_GRAINS = re.compile(r"gpg|gr(ains?)?\.?\s*(/|per)\s*gal(lons?)?", re.I)
# What people write, said in pint's words. Order matters: longer before shorter.
_SPELLINGS = (
    (re.compile(r"in\.?\s*w\.?\s*c\.?|inwc|in\.?\s*of\s*water|\"\s*w\.?c\.?", re.I), " inH2O"),
    (re.compile(r"kbtu\s*/?\s*hr?\b|kbtuh|mbh\b", re.I), " kiloBtu/hour"),
    (re.compile(r"btu\s*/\s*hr?\b|btuh\b", re.I), " Btu/hour"),
    (re.compile(r"cu\.?\s*ft\.?\s*/\s*h(our|r)?\b|cfh\b", re.I), " foot**3/hour"),
    (re.compile(r"cu\.?\s*ft\.?|ft3\b|ft\^3|cubic feet|cubic foot", re.I), " foot**3"),
    (re.compile(r"\bm3\b", re.I), " meter**3"),
    (re.compile(r"\bppm\b", re.I), " milligram/liter"),
    (re.compile(r"sq\.?\s*ft\.?|ft2\b|ft\^2|square feet|square foot", re.I), " foot**2"),
    (re.compile(r"gal(lons?)?\s*(/|per)\s*min\b|\bgpm\b", re.I), " gallon/minute"),
    (re.compile(r"gal(lons?)?\s*(/|per)\s*day\b|\bgpd\b", re.I), " gallon/day"),
    (re.compile(r"l\s*/\s*min\b", re.I), " liter/minute"),
    (re.compile(r"\bgal(lons?)?\b\.?", re.I), " gallon"),
    (re.compile(r"\btherms?\b", re.I), " therm_US"),
    (re.compile(r"\bpsig?\b", re.I), " psi"),
    (re.compile(r"°\s*f\b|\bdeg\s*f\b|^f$", re.I), " degF"),
    (re.compile(r"°\s*c\b|\bdeg\s*c\b|^c$", re.I), " degC"),
    (re.compile(r"\bkw\s*h\b", re.I), " kilowatt_hour"),
    (re.compile(r"\bkw\b", re.I), " kilowatt"),
    (re.compile(r"\bkva\b", re.I), " kilovolt_ampere"),
    (re.compile(r"\bbtus?\b", re.I), " Btu"),
    (re.compile(r"\bamps?\b", re.I), " ampere"),
    (re.compile(r"\b(years?|yrs?)\b", re.I), " year"),
)
_FEET_INCHES = re.compile(
    r"""^\s*(\d+(?:\.\d+)?)\s*(?:'|ft\.?|feet)\s*(?:(\d+(?:\.\d+)?)\s*(?:"|in\.?|inch(?:es)?))?\s*$""", re.I
)
_FRACTION = re.compile(r"^\s*(?:(\d+)[\s-]+)?(\d+)\s*/\s*(\d+)\s*(?:\"|in\.?|inch(?:es)?)?\s*$", re.I)


def suffix_of(name: str) -> str | None:
    """The unit suffix that a name ends in: ``min_input_btuh`` gives ``btuh``; None where there is none."""
    for suffix in _LONGEST_FIRST:
        if name == suffix or name.endswith("_" + suffix):
            return suffix
    return None


@cache
def _registry() -> Any:
    import pint

    registry: Any = pint.UnitRegistry(cache_folder=None)
    registry.define("therm_US = 100000 * Btu")
    return registry


def read_quantity(field: str, value: object, suffix: str) -> float:
    """Read a bare number in the canonical unit, or a string with a unit, as a canonical float.

    Parameters
    ----------
    field : str
        Key named in the error message.
    value : object
        ``18``, ``"18 kW"``, ``"189 L"``, ``"6' 4\\""``, ``"3/4"`` (inches only).
    suffix : str
        Key of ``UNITS``.

    Returns
    -------
    float
        Value in the canonical unit of the suffix.

    Raises
    ------
    InputError
        Not a number, not finite, or a unit of another kind.
    """
    unit = UNITS[suffix]
    wanted = "give a number in {unit}" if unit.pint else "give a plain number"
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise InputError(field, value, "this is not a number", wanted, unit=unit.label)
    if isinstance(value, str) and len(value) > _LONGEST_TEXT:
        raise InputError(field, value, "this is too long for a number with a unit", wanted, unit=unit.label)
    if isinstance(value, str):
        number = _read_text(field, value, suffix)
    else:
        try:
            number = float(value)
        except OverflowError:
            number = math.inf
    if not math.isfinite(number):
        raise InputError(field, value, "this is not a finite number", wanted, unit=unit.label)
    return number


def _read_text(field: str, text: str, suffix: str) -> float:
    unit = UNITS[suffix].label
    with_unit = "give a number in {unit}, or write the unit, for example '12 {unit}'"
    example = with_unit if UNITS[suffix].pint else "give a plain number"
    stripped = text.strip()
    if _NUMBER.fullmatch(stripped):
        return float(stripped.replace(",", ""))
    if suffix in {"in", "ft"}:
        length_in = _read_feet_inches(stripped, suffix)
        if length_in is not None:
            return length_in if suffix == "in" else length_in / 12
    if suffix == "frac" and stripped.endswith("%"):
        percent = stripped[:-1].strip()
        if _NUMBER.fullmatch(percent):
            return float(percent.replace(",", "")) / 100
    scale = 1.0
    if suffix.startswith("usd"):
        stripped, scale = _plain_money(stripped)
        if _NUMBER.fullmatch(stripped):
            return float(stripped.replace(",", "")) * scale
    number = _NUMBER.match(stripped)
    if number is None or not _UNIT_START.match(stripped, number.end()) or not UNITS[suffix].pint:
        raise InputError(field, text, "this is not a number with a unit", example, unit=unit)
    spelled_unit = stripped[number.end() :].strip()
    if suffix == "gpg" and _GRAINS.fullmatch(spelled_unit):
        return float(number.group().replace(",", ""))
    if "*" in spelled_unit or sum(letter.isdigit() for letter in spelled_unit) > 1:
        # "ft3" is a unit; "ft**9**9**9" is a sum that pint would work out for hours.
        raise InputError(field, text, "this is not a number with a unit", example, unit=unit)
    for pattern, replacement in _SPELLINGS:
        if pattern.search(spelled_unit):
            spelled_unit = pattern.sub(replacement, spelled_unit, count=1).strip()
            break
    if spelled_unit.startswith("/"):
        spelled_unit = "1" + spelled_unit
    registry = _registry()
    try:
        magnitude = float(number.group().replace(",", "")) * scale
        if suffix == "df" and spelled_unit in {"degF", "degC"}:
            spelled_unit = "delta_" + spelled_unit
        quantity = registry.Quantity(magnitude, registry.parse_units(spelled_unit))
        if suffix == "gpg":
            return float(quantity.to("milligram/liter").magnitude) / MGL_PER_GPG
        return float(quantity.to(UNITS[suffix].pint).magnitude)
    except Exception as error:  # pint raises many kinds; every one means the text cannot be read as this unit
        reason = "the unit cannot be read as {unit}" if unit else "the unit cannot be read as a plain number"
        raise InputError(field, text, reason, example, unit=unit) from error


def _plain_money(text: str) -> tuple[str, float]:
    """``$0.15/kWh``, ``0.15 $/kWh`` and ``15 cents/kWh`` as ``0.15 /kWh``, with the scale to dollars."""
    cents = re.compile(r"(¢|\bcents?\b|\bc(?=\s*/))", re.I)
    scale = 0.01 if cents.search(text) else 1.0
    plain = re.sub(r"\bper\b", "/", cents.sub("", text).replace("$", "").replace("USD", ""))
    return plain.strip(), scale


def _read_feet_inches(text: str, suffix: str) -> float | None:
    """Length in inches from ``6' 4"``, ``12 ft``, and, where inches are wanted, ``3/4`` or ``1-1/4``."""
    if match := _FEET_INCHES.match(text):
        return float(match[1]) * 12 + float(match[2] or 0)
    if suffix == "in" and (match := _FRACTION.match(text)) and int(match[3]):
        return float(match[1] or 0) + int(match[2]) / int(match[3])
    return None


def to_si(value: Any, suffix: str) -> tuple[Any, str]:
    """The same amount in SI, and the label of its unit. Takes a float or an array."""
    unit = UNITS[suffix]
    if unit.pint == unit.si_pint or not unit.pint:
        return value, unit.si_label
    if suffix == "gpg":
        return value * MGL_PER_GPG, unit.si_label
    return _registry().Quantity(value, unit.pint).to(unit.si_pint).magnitude, unit.si_label


def show(value: float, suffix: str, *, si: bool = False, digits: int | None = None) -> str:
    """A number with its unit, for a reader: three significant digits unless told otherwise."""
    shown, label = to_si(value, suffix) if si else (value, UNITS[suffix].label)
    if digits is None:
        digits = 0 if shown == 0 or abs(shown) >= 100 else max(0, 2 - math.floor(math.log10(abs(shown))))
        digits = min(digits, 4)
    text = f"{shown:,.{digits}f}"
    if label.startswith("$"):
        return f"${text}{label[1:]}"
    return f"{text} {label}".strip()
