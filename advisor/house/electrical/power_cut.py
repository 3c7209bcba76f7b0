"""What a household has when the power is out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.findings import Finding, note
from advisor.core.kinds import Technology
from advisor.core.published import published
from advisor.core.tables import load
from advisor.physics.water import TEST_BTU_PER_GAL_DF

#: Warm enough for a shower.
USABLE_F = 105.0


@published(
    "Newton cooling of a mixed tank",
    state="computed",
    volume_gal=45.0,
    loss_btuh_per_df=3.0,
    tank_f=125.0,
    room_f=67.5,
    usable_f=105.0,
)
def warm_water_h(
    volume_gal: Numbers, loss_btuh_per_df: Numbers, tank_f: Numbers, room_f: Numbers, usable_f: Numbers
) -> Numbers:
    """How long an idle tank stays usefully warm without power.

    Parameters
    ----------
    volume_gal : float or ndarray
        Measured volume. [gal]
    loss_btuh_per_df : float or ndarray
        Loss coefficient from the label. [Btu/(h °F)]
    tank_f, room_f, usable_f : float or ndarray
        Tank at the start, the room, and the coolest water still of use. [°F]

    Returns
    -------
    float or ndarray
        Zero where the tank is already too cool, infinite where the room keeps it warm enough. [h]
    """
    tank, room, usable = (np.asarray(value, dtype=float) for value in (tank_f, room_f, usable_f))
    with np.errstate(divide="ignore", invalid="ignore"):
        hours = volume_gal * TEST_BTU_PER_GAL_DF / loss_btuh_per_df * np.log((tank - room) / (usable - room))
    hours = np.where(usable <= room, np.inf, hours)
    return np.where(tank < usable, 0.0, hours)[()]


@dataclass(frozen=True)
class PowerCut:
    """What a household has when the power is out."""

    findings: tuple[Finding, ...]
    warm_h: float


def power_cut(
    technology: Technology,
    *,
    volume_gal: float,
    loss_btuh_per_df: float,
    tank_f: float,
    room_f: float,
) -> PowerCut:
    """Behavior in a power cut, with hours of warm water for a tank whose label tells of a loss."""
    row = load("heater_power").find(technology.id)
    behavior = note(f"electrical.cut.{row['behavior']}")
    if not technology.is_storage or loss_btuh_per_df <= 0:
        return PowerCut((behavior,), 0.0)
    hours = float(warm_water_h(volume_gal, loss_btuh_per_df, tank_f, room_f, USABLE_F))
    if np.isinf(hours):
        warm = note("electrical.cut.stays_warm", usable_f=USABLE_F)
    else:
        warm = note("electrical.cut.warm_for", usable_f=USABLE_F, n=round(hours))
    return PowerCut((behavior, warm), hours)
