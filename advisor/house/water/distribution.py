"""From the heater to the tap: water lying in the pipe, the wait, and the waste."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.findings import Finding, note
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.units import FLOZ_PER_GAL, MIN_PER_H
from advisor.core.validation import one_of

#: Water run before hot arrives, over the pipe's content: measured 1.1 to 1.5 (range from memory, unverified).
PURGE_FACTOR = 1.25
#: Plumbing engineers' society classes: acceptable, marginal, unacceptable.
ACCEPTABLE_S, MARGINAL_S = 10.0, 30.0
#: Assumed: how often the pipe is found cold in a day.
COLD_STARTS_PER_DAY = 6.0


@dataclass(frozen=True)
class Pipe:
    """A length of hot water pipe.

    Parameters
    ----------
    material, nominal_in : str
        Keys of ``data/pipe_volume``, such as ``copper_l`` and ``3/4``.
    length_ft : float
        [ft]
    """

    material: str
    nominal_in: str
    length_ft: float


def _cells() -> dict[tuple[str, str], float]:
    return {(row["material"], row["nominal_in"]): row["content_floz_per_ft"] for row in load("pipe_volume").rows()}


def is_listed(pipe: Pipe) -> bool:
    """Whether the table prints the content of a pipe of this material and size."""
    return (pipe.material, pipe.nominal_in) in _cells()


def pipe_content_floz_per_ft(material: str, nominal_in: str) -> float:
    """Water in a foot of pipe, as printed.

    Raises
    ------
    InputError
        Material or size that the table does not print.

    Sources
    -------
    IPC 2009 Table E202.1. ``data/pipe_volume``.
    """
    cells = _cells()
    one_of("water.pipe_material", material, {key[0] for key in cells})
    one_of("water.pipe_size_in", nominal_in, {key[1] for key in cells if key[0] == material})
    return float(cells[material, nominal_in])


@published("IPC 2009 Table E202.1", state="verified", length_ft=60.0, content_floz_per_ft=3.22)
def pipe_volume_gal(length_ft: Numbers, content_floz_per_ft: Numbers) -> Numbers:
    """Water in a pipe.

    Parameters
    ----------
    length_ft : float or ndarray
        Length of the pipe. [ft]
    content_floz_per_ft : float or ndarray
        Water in a foot of it. [fl oz/ft]

    Returns
    -------
    float or ndarray
        [gal]
    """
    return length_ft * content_floz_per_ft / FLOZ_PER_GAL


@published(
    "Plug flow times a purge factor",
    state="computed",
    pipe_gal=1.51,
    flow_gpm=1.5,
    purge_frac=1.25,
    start_delay_s=5.0,
)
def hot_water_wait_s(
    pipe_gal: Numbers, flow_gpm: Numbers, purge_frac: Numbers = PURGE_FACTOR, start_delay_s: Numbers = 0.0
) -> Numbers:
    """Wait for hot water at a tap whose pipe has gone cold.

    Parameters
    ----------
    pipe_gal : float or ndarray
        Water between heater and tap. [gal]
    flow_gpm : float or ndarray
        Flow at the tap. [gpm]
    purge_frac : float or ndarray
        1 for plug flow; 1.1 to 1.5 measured. [-]
    start_delay_s : float or ndarray
        Start of a tankless heater. [s]

    Returns
    -------
    float or ndarray
        Infinite where nothing flows. [s]
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        seconds = 60.0 * purge_frac * np.asarray(pipe_gal, dtype=float) / flow_gpm
    return (np.where(np.asarray(flow_gpm) > 0, seconds, np.inf) + start_delay_s)[()]


@published("Flow times time", state="computed", wait_s=75.0, flow_gpm=1.5)
def wasted_gal(wait_s: Numbers, flow_gpm: Numbers) -> Numbers:
    """Water that runs off during one wait.

    Parameters
    ----------
    wait_s : float or ndarray
        Time until it runs hot. [s]
    flow_gpm : float or ndarray
        Flow at the tap. [gpm]

    Returns
    -------
    float or ndarray
        [gal]
    """
    return wait_s * flow_gpm / MIN_PER_H


@dataclass(frozen=True)
class Wait:
    """The wait at one tap."""

    finding: Finding
    pipe_gal: float
    wait_s: float
    wasted_gal: float
    wasted_gal_per_yr: float
    cautions: tuple[str, ...]


def check_wait(
    pipes: Sequence[Pipe],
    *,
    flow_gpm: float,
    purge_frac: float = PURGE_FACTOR,
    start_delay_s: float = 0.0,
) -> Wait:
    """Volume, wait and waste from the heater to one tap.

    Parameters
    ----------
    pipes : sequence of Pipe
        Every length on the way.
    flow_gpm : float
        Flow at the tap. [gpm]
    purge_frac, start_delay_s : float
        As for ``hot_water_wait_s``. [-], [s]
    """
    volume = 0.0
    for pipe in pipes:
        length = pipe.length_ft
        volume += float(pipe_volume_gal(length, pipe_content_floz_per_ft(pipe.material, pipe.nominal_in)))
    seconds = float(hot_water_wait_s(volume, flow_gpm, purge_frac, start_delay_s))
    waste = float(wasted_gal(seconds, flow_gpm))
    rating = "acceptable" if seconds <= ACCEPTABLE_S else "marginal" if seconds <= MARGINAL_S else "unacceptable"
    found = note("water.wait", n=round(seconds), wasted_gal=waste, rating=note(f"water.wait.{rating}"))
    cautions = ("tankless_flow",) if start_delay_s > 0 else ()
    return Wait(found, volume, seconds, waste, waste * COLD_STARTS_PER_DAY * 365, cautions)
