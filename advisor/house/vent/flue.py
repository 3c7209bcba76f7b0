"""The flue that stays, and the appliance that is left alone on it.

When one of two appliances leaves a shared flue, the flue may be too big for the other: gases cool, draft
weakens, water condenses and flue gas can spill into the house. It works in both directions: the water heater
may leave a furnace behind, or may have been left behind itself when the furnace was replaced.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.findings import Finding, care, finding, note, stop
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.validation import one_of
from advisor.core.verdicts import FITS, NEEDS_WORK, HouseVerdict, verdict_of

#: Largest flue area for one draft-hood appliance, in outlet areas (foot of IFGC Table 504.2(3)).
LARGEST_AREA_RATIO = 7.0
#: A flue of the same nominal size as the outlet passes; printed areas are rounded.
SMALLEST_AREA_RATIO = 0.99
#: Exterior tile chimney: longest connector for each inch of its diameter; coldest design day (IFGC 504.2.9).
EXTERIOR_CONNECTOR_FT_PER_IN = 1.5
EXTERIOR_DESIGN_F = 5.0

#: Where a single appliance's limits stand, by what it stands on.
_TABLES_OF = {
    "type_b": note("vent.table.metal"),
    "metal_liner": note("vent.table.metal"),
    "tile_liner": note("vent.table.chimney"),
}

FLUE_KINDS = ("type_b", "tile_liner", "metal_liner", "unlined", "unknown")


@published("IFGC 2018 foot of Table 504.2(3)", state="computed", flue_area_in2=63.6, outlet_diameter_in=3.0)
def flue_to_outlet_area_frac(flue_area_in2: Numbers, outlet_diameter_in: Numbers) -> Numbers:
    """Flue area as a multiple of the appliance outlet; one draft-hood appliance wants 1 to 7.

    Parameters
    ----------
    flue_area_in2 : float or ndarray
        Inside area of the flue. [in²]
    outlet_diameter_in : float or ndarray
        Draft-hood or flue-collar diameter. [in.]

    Returns
    -------
    float or ndarray
        [-]
    """
    return flue_area_in2 / (np.pi / 4 * np.asarray(outlet_diameter_in, dtype=float) ** 2)[()]


def is_listed_liner(nominal: str) -> bool:
    """Whether the table of clay tile liners has this nominal size."""
    return nominal in load("tile_liners")["nominal"]


def tile_liner_area_in2(nominal: str) -> float:
    """Equivalent area of a clay tile liner by its nominal size, such as ``8x12``.

    Sources
    -------
    IFGC 2018 Appendix B, Table B-1.
    """
    areas = {row["nominal"]: row["area_in2"] for row in load("tile_liners").rows()}
    return float(areas[one_of("vent.tile_liner", nominal, areas)])


@dataclass(frozen=True)
class FlueAppliance:
    """An appliance that vents into the flue.

    Parameters
    ----------
    name : str or Finding
        What the household calls it, or its kind.
    fan_assisted : bool
        True for a furnace with an induced-draft fan and no draft hood.
    input_btuh, outlet_diameter_in : float
        From the rating plate; measured at the collar. [Btu/h], [in.]
    """

    name: str | Finding
    fan_assisted: bool
    input_btuh: float
    outlet_diameter_in: float


@dataclass(frozen=True)
class Flue:
    """A chimney or vent as found.

    Parameters
    ----------
    kind : str
        One of ``FLUE_KINDS``.
    area_in2 : float or None
        Inside area. [in²]
    exterior : bool
        One or more sides outdoors below the roof.
    connector_type_b, connector_ft, connector_diameter_in
        The piece between appliance and flue. [-], [ft], [in.]
    design_f : float or None
        Outdoor temperature of the coldest design day. [°F]
    table_capacity_btuh, table_least_btuh : float or None
        Largest input that the table gives for this flue, and least of a fan-assisted appliance. [Btu/h]
    unlisted_liner : str
        Nominal size of a tile liner that no table here has.
    """

    kind: str
    area_in2: float | None = None
    exterior: bool = False
    connector_type_b: bool = False
    connector_ft: float | None = None
    connector_diameter_in: float | None = None
    design_f: float | None = None
    table_capacity_btuh: float | None = None
    table_least_btuh: float = 0.0
    unlisted_liner: str = ""


@dataclass(frozen=True)
class SharedFlue:
    """What becomes of a flue after the change; the reasons are what is wrong with it, gravest first."""

    finding: Finding
    staying: tuple[str | Finding, ...]
    area_ratio_frac: float | None
    reasons: tuple[Finding, ...]
    verdict: HouseVerdict
    cautions: tuple[str, ...]


def check_shared_flue(
    flue: Flue, others: Sequence[FlueAppliance], new_heater: FlueAppliance | None, *, was_shared: bool
) -> SharedFlue:
    """What stays on the flue after the change, and whether the flue still suits it.

    Parameters
    ----------
    flue : Flue
        The chimney or vent.
    others : sequence of FlueAppliance
        Everything else that uses it after the change.
    new_heater : FlueAppliance or None
        The new water heater where it will use this flue, else None.
    was_shared : bool
        True where the flue once served more appliances than it will.

    Sources
    -------
    IFGC 2018 501.5, 504.2.9, foot of Table 504.2(3); resizing on disconnection IFGC 501.15 (from memory,
    unverified).
    """
    staying = (*others, *(() if new_heater is None else (new_heater,)))
    names = tuple(item.name for item in staying)
    if not staying:
        return SharedFlue(note("vent.flue.empty"), names, None, (), FITS, ("shared_flue",))
    cautions = ("shared_flue", "draft_test", "carbon_monoxide_alarm")
    if len(staying) > 1:
        shared = care("vent.flue.shared", appliances=names)
        return SharedFlue(shared, names, None, (care("vent.flue.common_table"),), NEEDS_WORK, cautions)
    alone = staying[0]
    ratio = None
    if flue.area_in2 is not None:
        ratio = float(flue_to_outlet_area_frac(flue.area_in2, alone.outlet_diameter_in))
    reasons = _wrong_for_one(flue, alone, ratio)
    worst = reasons[0] if reasons else note("vent.flue.passes")
    said = finding(
        "vent.flue.left_alone" if was_shared else "vent.flue.alone",
        worst.severity,
        worst.citation,
        appliance=alone.name,
        reason=worst,
    )
    return SharedFlue(said, names, ratio, reasons, verdict_of(said), cautions)


def _wrong_for_one(flue: Flue, alone: FlueAppliance, ratio: float | None) -> tuple[Finding, ...]:
    """What is wrong with a flue for the one appliance on it, gravest first."""
    wrong: list[Finding] = []
    if flue.kind == "tile_liner" and alone.fan_assisted:
        wrong.append(stop("vent.flue.fan_on_tile"))
    if flue.kind == "unlined":
        wrong.append(stop("vent.flue.unlined"))
    if ratio is not None and ratio > LARGEST_AREA_RATIO:
        section = "IFGC Table 504.2(3)"
        code = "vent.flue.too_large_vent" if flue.kind == "type_b" else "vent.flue.too_large"
        wrong.append(stop(code, section, ratio_frac=ratio, most_frac=LARGEST_AREA_RATIO))
    if ratio is not None and ratio < SMALLEST_AREA_RATIO:
        wrong.append(stop("vent.flue.too_small"))
    if flue.kind == "tile_liner" and flue.exterior and not alone.fan_assisted:
        wrong.extend(_wrong_outdoors(flue, alone))
    if flue.table_capacity_btuh is not None and alone.input_btuh > flue.table_capacity_btuh:
        wrong.append(stop("vent.flue.over_table"))
    if alone.input_btuh < flue.table_least_btuh:
        wrong.append(stop("vent.flue.under_table", "IFGC Table 504.2(1)", least_btuh=flue.table_least_btuh))
    if flue.unlisted_liner:
        wrong.append(care("vent.flue.liner", liner=flue.unlisted_liner))
    if flue.table_capacity_btuh is None:
        wrong.append(care("vent.flue.read_table", tables=_TABLES_OF.get(flue.kind, note("vent.table.unknown"))))
    if flue.kind == "unknown" or flue.area_in2 is None:
        wrong.append(care("vent.flue.unknown"))
    return tuple(sorted(wrong, key=lambda one: -one.severity))


def _wrong_outdoors(flue: Flue, alone: FlueAppliance) -> list[Finding]:
    """Conditions of IFGC 504.2.9 for clay tile with a side outdoors that are not met or not known."""
    section = "IFGC 504.2.9"
    connector_in = flue.connector_diameter_in or alone.outlet_diameter_in
    longest_ft = EXTERIOR_CONNECTOR_FT_PER_IN * connector_in
    wrong = []
    if flue.design_f is not None and flue.design_f < EXTERIOR_DESIGN_F:
        cold = {"design_f": flue.design_f, "least_f": EXTERIOR_DESIGN_F}
        wrong.append(care("vent.flue.outdoors.too_cold", section, **cold))
    elif flue.design_f is None:
        wrong.append(care("vent.flue.outdoors.cold", section, least_f=EXTERIOR_DESIGN_F))
    if not flue.connector_type_b:
        wrong.append(care("vent.flue.outdoors.connector", section))
    if flue.connector_ft is None or flue.connector_ft > longest_ft:
        wrong.append(care("vent.flue.outdoors.length", section, most_ft=longest_ft))
    return wrong
