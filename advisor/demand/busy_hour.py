"""What runs in the busiest hour of a winter day: hot gallons for a tank, hot flow for a tankless heater.

Flow at the tap is hot and cold mixed. Only its hot share comes from the heater, and that share is heated all the way
from the mains to the set point. A mixed flow is never paired with that full rise: it would count the same heat twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from advisor.case.record import Assumption
from advisor.core.arrays import Floats, Numbers
from advisor.core.errors import InputError
from advisor.core.findings import Value, note
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.units import MIN_PER_H
from advisor.physics.water import hot_share_frac

#: Showers a person takes in a day (Residential End Uses of Water, version 2, 2016; seen second-hand).
SHOWERS_PER_PERSON_DAY = 0.69
#: Showers that one bathroom can pass in an hour, about 20 minutes each with undressing and drying. Assumed.
SHOWERS_PER_BATH_H = 3
#: Name of the default tap.
FAUCET = "faucet"
#: Uses that have a name in every language; a household may name others.
USUAL_NAMES = frozenset({"shower", "tub fill", FAUCET, "basin tap"})
#: The faucet of the US government's tankless example, hot water only (seen second-hand).
FAUCET_HOT_GPM = 0.75
#: Minutes a tap runs for each person in the busy hour. Assumed; 4 people come to the 6 gal that the worksheet counts
#: for a shave and the dishes.
FAUCET_MIN_PER_PERSON = 2.0
#: Filling flow of a large tub, mixed. From memory, unverified.
TUB_FILL_GPM = 6.0


@dataclass(frozen=True)
class Use:
    """One kind of use in the busy hour. Numbers may be arrays, one element a house.

    Parameters
    ----------
    name : str
        What it is: 'shower', 'tub fill'.
    mixed_gpm : float
        Flow at the tap, hot and cold together. [gpm]
    duration_min : float
        How long each one runs. [min]
    use_f : float
        Temperature at the tap; the set point where only hot water is drawn. [°F]
    count : float
        How many in the hour. [-]
    together : float
        How many of them run at once. [-]
    """

    name: str
    mixed_gpm: Any
    duration_min: Any
    use_f: Any = 105.0
    count: Any = 1
    together: Any = 1


@dataclass(frozen=True)
class Worksheet:
    """The busy hour by the government worksheet, in one of its printings."""

    gal: Any
    generation: str
    years: str
    state: str
    left_out: tuple[str, ...]


@published("Mixing balance at the tap", state="computed", mixed_gpm=2.5, use_f=105.0, set_point_f=120.0, mains_f=50.0)
def hot_flow_gpm(mixed_gpm: Numbers, use_f: Numbers, set_point_f: Numbers, mains_f: Numbers) -> Numbers:
    """Flow that leaves the heater while a mixed flow leaves the tap.

    Parameters
    ----------
    mixed_gpm : float or ndarray
        Flow at the tap. [gpm]
    use_f, set_point_f, mains_f : float or ndarray
        Temperatures at the tap, at the heater and of the cold water. [°F]

    Returns
    -------
    float or ndarray
        Never more than the mixed flow; all of it where the set point does not exceed the use temperature. [gpm]

    Validity
    --------
    Heat lost between heater and tap is left out.
    """
    return mixed_gpm * hot_share_frac(use_f, set_point_f, mains_f)


@published(
    "Mixing balance at the tap",
    state="computed",
    mixed_gpm=2.0,
    duration_min=10.0,
    use_f=105.0,
    set_point_f=120.0,
    mains_f=50.0,
)
def hot_use_gal(
    mixed_gpm: Numbers, duration_min: Numbers, use_f: Numbers, set_point_f: Numbers, mains_f: Numbers
) -> Numbers:
    """Hot gallons of one use.

    Parameters
    ----------
    mixed_gpm : float or ndarray
        Flow at the tap. [gpm]
    duration_min : float or ndarray
        How long; no more than an hour is counted. [min]
    use_f, set_point_f, mains_f : float or ndarray
        Temperatures at the tap, at the heater and of the cold water. [°F]

    Returns
    -------
    float or ndarray
        [gal]

    Validity
    --------
    As ``hot_flow_gpm``.
    """
    return hot_flow_gpm(mixed_gpm, use_f, set_point_f, mains_f) * np.minimum(duration_min, MIN_PER_H)


def busy_hour_gal(uses: Sequence[Use], set_point_f: Numbers, mains_f: Numbers) -> Numbers:
    """Hot gallons of the busy hour, all uses together.

    Parameters
    ----------
    uses : sequence of Use
        What runs.
    set_point_f, mains_f : float or ndarray
        Set point, and cold water in the coldest month. [°F]

    Returns
    -------
    float or ndarray
        [gal]
    """
    return sum(
        use.count * hot_use_gal(use.mixed_gpm, use.duration_min, use.use_f, set_point_f, mains_f) for use in uses
    )


def simultaneous_hot_gpm(uses: Sequence[Use], set_point_f: Numbers, mains_f: Numbers) -> Numbers:
    """Hot flow while everything that runs at once does run.

    Parameters
    ----------
    uses : sequence of Use
        What runs; ``together`` says how many of each at once.
    set_point_f, mains_f : float or ndarray
        Set point, and cold water in the coldest month. [°F]

    Returns
    -------
    float or ndarray
        Hot flow, to be heated from the mains to the set point. [gpm]
    """
    return sum(use.together * hot_flow_gpm(use.mixed_gpm, use.use_f, set_point_f, mains_f) for use in uses)


def out_of_reach(uses: Sequence[Use], set_point_f: float) -> tuple[str, ...]:
    """Uses that want warmer water than the set point: no heater, however large, meets them at the tap."""
    return tuple(use.name for use in uses if use.use_f > set_point_f)


def showers_in_busy_hour(people: Numbers, full_baths: Numbers) -> Numbers:
    """Showers that we plan for: all of a day's showers fall into one hour, as far as the bathrooms can pass them.

    Assumed. A day's showers are the measured mean by head, rounded up.

    Parameters
    ----------
    people, full_baths : float or ndarray
        People, and bathrooms with a tub or shower. [-]

    Returns
    -------
    float or ndarray
        Whole showers. [-]
    """
    return np.minimum(np.ceil(SHOWERS_PER_PERSON_DAY * np.asarray(people)), SHOWERS_PER_BATH_H * full_baths)


def showers_at_once(people: Numbers, full_baths: Numbers) -> Numbers:
    """Showers that we plan to run together: one a bathroom, no more than one for two people. Our own proposal.

    Parameters
    ----------
    people, full_baths : float or ndarray
        People, and bathrooms with a tub or shower. [-]

    Returns
    -------
    float or ndarray
        Whole showers. [-]
    """
    return np.minimum(full_baths, np.ceil(np.asarray(people) / 2))


def default_busy_hour(
    people: Numbers,
    full_baths: Numbers,
    *,
    set_point_f: Numbers,
    shower_flow_gpm: Numbers = 2.1,
    shower_min: Numbers = 7.8,
    use_f: Numbers = 105.0,
    showers_together: Numbers | None = None,
    soaking_tub_gal: Numbers = 0.0,
) -> tuple[Use, ...]:
    """The busy hour of a household that has not described its own: showers, a tap, and a tub if it is a large one.

    Our own proposal, not a standard; ``default_assumptions`` says so to the user. Dishwasher and clothes washer are not
    in it: people who run them in that hour describe their own.

    Parameters
    ----------
    people, full_baths : float or ndarray
        People, and bathrooms with a tub or shower. [-]
    set_point_f, use_f : float or ndarray
        Temperatures at the heater and at the skin. [°F]
    shower_flow_gpm : float or ndarray
        Flow of one shower, mixed. [gpm]
    shower_min : float or ndarray
        Length of one shower. [min]
    showers_together : float or ndarray, optional
        Showers known to run at once; from ``showers_at_once`` if not given. [-]
    soaking_tub_gal : float or ndarray
        Fill of a large tub, mixed, in place of one shower; 0 for none, and left out where a shower takes more. [gal]

    Returns
    -------
    tuple of Use
    """
    at_once = showers_at_once(people, full_baths) if showers_together is None else np.asarray(showers_together)
    showers = np.maximum(showers_in_busy_hour(people, full_baths), at_once)
    tubs = np.where(np.asarray(soaking_tub_gal) > shower_flow_gpm * shower_min, 1, 0)
    shower_count, shower_together = (_whole(np.maximum(number - tubs, 0)) for number in (showers, at_once))
    uses = (
        Use("shower", shower_flow_gpm, shower_min, use_f, shower_count, shower_together),
        Use("tub fill", TUB_FILL_GPM, soaking_tub_gal / TUB_FILL_GPM, use_f, _whole(tubs), _whole(tubs)),
        Use(FAUCET, FAUCET_HOT_GPM, FAUCET_MIN_PER_PERSON, set_point_f, people, 1),
    )
    return tuple(use for use in uses if np.any(use.count))


def _whole(numbers: np.ndarray) -> Floats:
    whole = numbers.astype(int)
    return whole.item() if whole.ndim == 0 else whole


def default_assumptions(uses: Sequence[Use]) -> tuple[Assumption, ...]:
    """What ``default_busy_hour`` took for granted, a use each, with the source and how far it was verified."""
    return tuple(
        Assumption("uses", f"{use.count:g} x {use.name}", note(f"assumed.uses.{use.name.replace(' ', '_')}"))
        for use in uses
    )


def tap(name: str) -> Value:
    """What a use is called: ours in the reader's language, one that a household named itself as it is."""
    return note(f"tap.{name.replace(' ', '_')}") if name in USUAL_NAMES else name


def worksheet_gal(uses: Sequence[Use], generation: str = "C") -> Worksheet:
    """The same hour by the government worksheet: a cross-check, to be shown with the printing it comes from.

    Parameters
    ----------
    uses : sequence of Use
        What runs; the name decides the line.
    generation : str
        ``A`` (about 2005 to 2011), ``B`` (about 2012 to 2015) or ``C`` (current). They disagree almost by a factor of
        two for a shower.

    Returns
    -------
    Worksheet
        Gallons, the printing with its state, and the uses that it has no line for.

    Raises
    ------
    InputError
        No such printing.
    """
    table = load("busy_hour_worksheet")
    lines = {row["use"]: row for row in table.rows() if row["generation"] == generation}
    if not lines:
        raise InputError("generation", generation, "there is no such printing of the worksheet", "write A, B or C")
    counted = [(use, lines.get(_worksheet_line(use.name))) for use in uses]
    return Worksheet(
        gal=sum(use.count * line["volume_gal"] for use, line in counted if line),
        generation=generation,
        years=next(iter(lines.values()))["years"],
        state=next(iter(lines.values()))["state"],
        left_out=tuple(use.name for use, line in counted if not line),
    )


# What people call a use, and the worksheet's line for it. Order matters: 'dishwasher' before 'wash'.
_LINES = (
    ("shower", "shower"),
    ("dishwasher", "dishwasher"),
    ("dish", "hand dishwashing"),
    ("kitchen", "food preparation"),
    ("food", "food preparation"),
    ("clothes", "clothes washer"),
    ("laundry", "clothes washer"),
    ("washing machine", "clothes washer"),
    ("shampoo", "hair shampoo"),
    ("hair", "hair shampoo"),
    ("hand", "hands and face"),
    ("face", "hands and face"),
    ("shav", "shaving"),
    ("faucet", "shaving"),
    ("basin", "shaving"),
    ("lavatory", "shaving"),
    ("tub", "bath"),
    ("bath", "bath"),
)


def _worksheet_line(name: str) -> str:
    spoken = name.lower()
    return next((line for word, line in _LINES if word in spoken), "")
