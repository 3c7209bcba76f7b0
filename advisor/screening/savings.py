"""Deemed savings, by the formula that state manuals share: water drawn, its rise, and the two ratings."""

from __future__ import annotations

from dataclasses import dataclass
from dataclasses import fields as fields_of
from typing import Any, Self

import numpy as np

from advisor.core.errors import InputError
from advisor.core.published import published
from advisor.core.tables import load

_MANUALS = "Formula common to state technical reference manuals"
_STRUCTURE = "from memory, unverified"
#: As those manuals print it.
MANUAL_BTU_PER_KWH = 3412.0


@published(
    f"{_MANUALS}: heat of the hot water of a year",
    state=_STRUCTURE,
    use_gpd=17.6,
    people=2.56,
    year_day=365.25,
    water_btu_per_gal_df=8.33,
    out_f=125.0,
    cold_f=54.0,
)
def deemed_heat_btu_per_yr(
    use_gpd: Any, people: Any, year_day: Any, water_btu_per_gal_df: Any, out_f: Any, cold_f: Any
) -> Any:
    """Heat in a household's hot water over a year, as a program deems it.

    Parameters
    ----------
    use_gpd : float or ndarray
        Hot water of one person. [gal/day]
    people : float or ndarray
        People. [-]
    year_day : float
        Days of a year. [days]
    water_btu_per_gal_df : float
        Heat that warms a gallon by a degree. The manuals take 8.33; the federal test, and our own model, 8.24.
        [Btu/(gal °F)]
    out_f, cold_f : float or ndarray
        Temperature at the heater and of the cold water. [°F]

    Returns
    -------
    float or ndarray
        [Btu/yr]
    """
    return use_gpd * people * year_day * water_btu_per_gal_df * (np.asarray(out_f) - cold_f)


@published(
    f"{_MANUALS}: heat over rating",
    state=_STRUCTURE,
    heat_btu_per_yr=9_732_988.0,
    rating_uef=0.5803,
)
def deemed_input_btu_per_yr(heat_btu_per_yr: Any, rating_uef: Any) -> Any:
    """Energy that a heater is deemed to take for that heat.

    Parameters
    ----------
    heat_btu_per_yr : float or ndarray
        Heat in the hot water. [Btu/yr]
    rating_uef : float or ndarray
        Uniform energy factor. [-]

    Returns
    -------
    float or ndarray
        [Btu/yr]
    """
    return heat_btu_per_yr / rating_uef


@published(
    f"{_MANUALS}: energy over the hours of a window times its share",
    state=_STRUCTURE,
    saved_kwh_per_yr=2233.85,
    window_frac=0.18,
    window_h=4.0,
    year_day=365.25,
)
def window_kw(saved_kwh_per_yr: Any, window_frac: Any, window_h: Any, year_day: Any) -> Any:
    """Mean power saved in a window of hours of an average day.

    Parameters
    ----------
    saved_kwh_per_yr : float or ndarray
        Electricity saved. [kWh/yr]
    window_frac : float
        Share of a day's hot water drawn in the window. [-]
    window_h : float
        Hours of the window. [h]
    year_day : float
        Days of a year. [days]

    Returns
    -------
    float or ndarray
        [kW]
    """
    return saved_kwh_per_yr / year_day * window_frac / window_h


@dataclass(frozen=True)
class Deemed:
    """A program's constants for deemed savings.

    Parameters
    ----------
    version, source : str
        Which manual, and where it says so.
    use_gpd, people, out_f, cold_f, year_day, water_btu_per_gal_df : float
        As in ``deemed_heat_btu_per_yr``.
    in_service_frac, net_to_gross_frac : float
        What of the savings is claimed. [-]
    life_yr : float
        Measure life where a line gives none. [yr]
    remaining_frac : float
        Share of that life which a working heater had left, where it is replaced early. [-]
    baseline_volume_gal : float
        Rated volume of the replaced tank where the applicant gives none. [gal]
    baseline_draw_pattern : str
        Draw pattern of the baseline where the new heater is no tank.
    summer_h, winter_h : tuple of int
        First and last hour of the windows; 15 is 2 to 3 in the afternoon.
    digits : int
        Decimals to which savings are rounded.
    """

    version: str
    source: str
    use_gpd: float
    people: float
    out_f: float
    cold_f: float
    life_yr: float
    year_day: float = 365.25
    water_btu_per_gal_df: float = 8.33
    in_service_frac: float = 1.0
    net_to_gross_frac: float = 1.0
    remaining_frac: float = 1 / 3
    baseline_volume_gal: float = 40.0
    baseline_draw_pattern: str = "medium"
    summer_h: tuple[int, int] = (15, 18)
    winter_h: tuple[int, int] = (7, 9)
    digits: int = 2

    @classmethod
    def read(cls, data: dict[str, Any]) -> Self:
        """From the table ``[savings]`` of a rule set.

        Raises
        ------
        InputError
            A key that is missing, not known, or not of its kind.
        """
        known = {field.name: field for field in fields_of(cls)}
        for key in data:
            if key not in known:
                raise InputError(f"savings.{key}", None, "this key is not known", f"write some of {', '.join(known)}")
        read: dict[str, Any] = {}
        for name, field in known.items():
            if name not in data:
                if name in ("version", "source", "use_gpd", "people", "out_f", "cold_f", "life_yr"):
                    raise InputError(f"savings.{name}", None, "this is missing", f"write {name} = ...")
                continue
            read[name] = _value(name, str(field.type), data[name])
        found = cls(**read)
        if found.out_f <= found.cold_f:
            raise InputError("savings.out_f", found.out_f, "it is no warmer than the cold water", "raise it")
        return found

    def heat_btu_per_yr(self) -> float:
        """Heat of the deemed household."""
        return float(
            deemed_heat_btu_per_yr(
                self.use_gpd, self.people, self.year_day, self.water_btu_per_gal_df, self.out_f, self.cold_f
            )
        )

    def window(self, hours: tuple[int, int]) -> tuple[float, int]:
        """Share of a weekday's hot water in a window, and its hours."""
        profile, hour = load("hourly_profiles")["weekday_frac"], load("hourly_profiles")["hour_ending"]
        inside = (hour >= hours[0]) & (hour <= hours[1])
        return float(profile[inside].sum() / profile.sum()), int(inside.sum())


def _value(name: str, kind: str, value: Any) -> Any:
    where, fix = f"savings.{name}", "mend it in the rule set"
    if kind == "str":
        patterns = ("very_small", "low", "medium", "high")
        if not isinstance(value, str) or not value or (name.endswith("pattern") and value not in patterns):
            raise InputError(where, value, "this is not a word that can stand here", fix)
        return value
    if kind.startswith("tuple"):
        whole = isinstance(value, list) and len(value) == 2 and all(type(one) is int for one in value)
        if not whole or not 1 <= value[0] <= value[1] <= 24:
            raise InputError(where, value, "this is no window of hours", "write for example [15, 18]")
        return tuple(value)
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < 1e6:
        raise InputError(where, value, "this is not a number of 0 or more", fix)
    if kind == "int":
        return min(int(value), 6)
    if value == 0 and not name.endswith("frac"):
        raise InputError(where, value, "this cannot be 0", fix)
    return float(value)
