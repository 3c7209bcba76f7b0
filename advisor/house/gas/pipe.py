"""One pipe of the trade: its material and size looked up, and the law that ties flow to pressure drop."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np

from advisor.core import tables
from advisor.core.errors import InputError, OutOfRangeError
from advisor.core.findings import Finding, note
from advisor.core.units import INWC_PER_PSI
from advisor.house.gas import flow as gas_flow

CSST = "csst"
#: The printed copper tables use the type K bore for every semirigid copper of the same outside size.
TABLE_BORE = {"copper_l": "copper_k"}
#: A cubic foot of natural gas against propane's heat in the same tubing: 2,488 times sqrt(0.60 / 1.50).
_BTU_PROPANE_PER_FT3_NATURAL = 2488.0 * float(gas_flow.gravity_multiplier_frac(1.50, 0.60))
#: Within this much of 2 psi or 5 psi, steel with natural gas follows the printed tables and not the equation.
_STEEL_BAND_PSI = 0.5
# From memory, unverified: an extra bend of corrugated tubing beyond the four that its tables include.
CSST_BENDS_INCLUDED, CSST_FT_PER_BEND = 4, 1.3

# in. w.c. a foot: 0.5 over 300 ft in Table 402.4(32), 1 psi over 10 ft in 402.4(33).
_CSST_FALL_RANGE = (0.5 / 300, INWC_PER_PSI / 10)

CSST_NOTE = note("gas.note.csst", "IRC 2018 G2411.2")
STEEL_NOTE = note("gas.note.steel", "IFGC 2018 Tables 402.4(5) and (7)")
PROPANE_NOTE = note("gas.note.propane", "IFGC 2018 Table 402.4(28)")


@dataclass(frozen=True)
class Gas:
    """A fuel gas with its constants in the sizing equations."""

    name: str
    gravity: float
    cr: float
    y: float
    heating_value_btu_per_ft3: float


@cache
def gas_named(name: str) -> Gas:
    """Constants of natural gas or propane.

    Raises
    ------
    InputError
        Another name.
    """
    for row in tables.load("gas_properties").rows():
        if row["gas"] == name:
            return Gas(
                name,
                row["gravity_dimensionless"],
                row["cr_dimensionless"],
                row["y_dimensionless"],
                row["heating_value_btu_per_ft3"],
            )
    raise InputError("gas", name, "this gas is not known", "write 'natural' or 'propane'")


@cache
def _bores() -> dict[str, dict[str, float]]:
    bores: dict[str, dict[str, float]] = {}
    for row in tables.load("gas_pipe_bores").rows():
        bores.setdefault(row["material"], {})[row["nominal"]] = row["bore_in"]
    return bores


@cache
def _tubing() -> dict[str, tuple[float, float, str]]:
    return {
        row["ehd"]: (row["flow_at_1_inwc_per_ft_btuh"], row["exponent_dimensionless"], row["nominal_like"])
        for row in tables.load("gas_csst").rows()
    }


@cache
def materials() -> tuple[str, ...]:
    """Every material a segment may be made of."""
    return (*_bores(), CSST)


@cache
def sizes(material: str) -> tuple[str, ...]:
    """Sizes of a material from the smallest up: nominal inches, or EHD numbers for corrugated tubing.

    Raises
    ------
    InputError
        The material is not known.
    """
    if material == CSST:
        return tuple(_tubing())
    if material not in _bores():
        reason, known = "this pipe material is not known", ", ".join(materials())
        raise InputError("material", material, reason, "write one of {known}", known=known)
    return tuple(_bores()[material])


def bore_in(material: str, size: str) -> float:
    """Inside diameter of rigid pipe. [in.]"""
    return _bores()[material][size]


def nominal_like(material: str, size: str) -> str:
    """Nominal size under which a pipe is priced; for corrugated tubing the size it is sold beside."""
    return _tubing()[size][2] if material == CSST else size


@dataclass(frozen=True)
class PipeLaw:
    """Flow = ``flow_cfh`` times (pressure fall per foot) to the ``exponent``.

    The pressure fall is in in. w.c., or, where ``squared``, that of the squared absolute pressure in psi².
    Both code equations, the fit for corrugated tubing and the square root of 2 psi steel are such laws, so a
    house of mixed pipe needs no more than this.
    """

    flow_cfh: float
    exponent: float
    squared: bool
    note: Finding | None = None
    fall_range: tuple[float, float] = (0.0, np.inf)

    def capacity_cfh(self, length_ft: float, inlet_inwc: float, drop_inwc: float) -> float:
        """Flow that loses just this pressure over this length. [ft³/h]

        Raises
        ------
        OutOfRangeError
            A steeper or flatter fall than the tables behind a fitted law.
        """
        fall = drop_inwc
        if self.squared:
            fall = float(gas_flow.squares_drop(inlet_inwc / INWC_PER_PSI, drop_inwc / INWC_PER_PSI))
        least, most = self.fall_range
        if not least * (1 - 1e-9) <= fall / length_ft <= most * (1 + 1e-9):
            raise OutOfRangeError(
                "drop_inwc",
                round(drop_inwc, 3),
                "over {length_ft:g} ft it lies outside the tables for corrugated tubing",
                "use the maker's own table",
                length_ft=length_ft,
            )
        return float(self.flow_cfh * (fall / length_ft) ** self.exponent)

    def drop_inwc(self, load_cfh: float, length_ft: float, inlet_inwc: float) -> float:
        """Pressure that this flow loses; infinite where the pipe cannot carry it at all. [in. w.c.]"""
        fall = float(length_ft * (load_cfh / self.flow_cfh) ** (1 / self.exponent))
        if not self.squared:
            return fall
        drop_psi = float(gas_flow.drop_from_squares(inlet_inwc / INWC_PER_PSI, fall))
        return np.inf if np.isnan(drop_psi) else drop_psi * INWC_PER_PSI


def is_high_pressure(pressure_inwc: float) -> bool:
    """Whether the codes use the high-pressure equation."""
    return pressure_inwc >= gas_flow.HIGH_PRESSURE_FROM_PSI * INWC_PER_PSI - 1e-9


@lru_cache(maxsize=4096)
def pipe_law(gas: str, material: str, size: str, supply_inwc: float, gravity: float | None = None) -> PipeLaw:
    """The law of one pipe in a part of the house that is supplied at ``supply_inwc``.

    Parameters
    ----------
    gas : str
        ``natural`` or ``propane``.
    material, size : str
        As in the tables ``gas_pipe_bores`` and ``gas_csst``.
    supply_inwc : float
        Pressure at which this part of the house is fed: it decides between low and high pressure. [in. w.c.]
    gravity : float, optional
        Specific gravity where it differs from the tables' 0.60 or 1.50. [-]

    Returns
    -------
    PipeLaw

    Raises
    ------
    InputError
        Unknown gas, material or size.
    """
    kind = gas_named(gas)
    if size not in sizes(material):
        reason, known = "{material} is not listed in this size", ", ".join(sizes(material))
        raise InputError("size", size, reason, "write one of {known}", material=material, known=known)
    scale = float(gas_flow.gravity_multiplier_frac(gravity or kind.gravity, kind.gravity))
    if material == CSST:
        flow_btuh, exponent, _ = _tubing()[size]
        btu_per_ft3 = _BTU_PROPANE_PER_FT3_NATURAL if gas == "natural" else kind.heating_value_btu_per_ft3
        return PipeLaw(scale * flow_btuh / btu_per_ft3, exponent, False, CSST_NOTE, _CSST_FALL_RANGE)
    bore = bore_in(material, size)
    if not is_high_pressure(supply_inwc):
        told = PROPANE_NOTE if gas == "propane" and material == "steel" else None
        flow = gas_flow.low_pressure_flow_cfh(bore, 1.0, 1.0, kind.cr)
        return PipeLaw(scale * float(flow), gas_flow.EXPONENT, False, told)
    if gas == "natural" and material == "steel" and (law := _steel_law(size, supply_inwc / INWC_PER_PSI, scale)):
        return law
    flow = float(gas_flow.high_pressure_flow_cfh(bore, 1.0, 2.0, 1.0, kind.cr, kind.y))
    fall = float(gas_flow.squares_drop(2.0, 1.0))
    return PipeLaw(scale * flow / fall**gas_flow.EXPONENT, gas_flow.EXPONENT, True)


def _steel_law(size: str, supply_psi: float, scale: float) -> PipeLaw | None:
    """Square-root law through the printed 2 psi or 5 psi table; other drops follow the same square."""
    for row in tables.load("gas_steel_high_pressure").rows():
        if row["nominal"] == size and abs(row["inlet_psi"] - supply_psi) <= _STEEL_BAND_PSI:
            fall = float(gas_flow.squares_drop(row["inlet_psi"], row["drop_psi"]))
            flow = float(gas_flow.steel_high_pressure_flow_cfh(row["flow_at_1_ft_cfh"], 1.0))
            return PipeLaw(scale * flow / fall**0.5, 0.5, True, STEEL_NOTE)
    return None


def fittings_ft(material: str, size: str, elbows_90: int, elbows_45: int, tees: int) -> float:
    """Straight pipe equal to the fittings of a segment.

    The code lets an ordinary number of fittings go uncounted. Here every fitting that is given counts, which
    errs on the careful side. Corrugated tubing's tables already hold four bends and two end fittings.
    """
    if material == CSST:
        return CSST_FT_PER_BEND * max(0, elbows_90 + elbows_45 - CSST_BENDS_INCLUDED)
    bore = bore_in(material, size)
    counts = {"elbow_90": elbows_90, "elbow_45": elbows_45, "tee_side": tees}
    return float(
        sum(count * gas_flow.fitting_equivalent_ft(_fitting_diameters()[name], bore) for name, count in counts.items())
    )


@cache
def _fitting_diameters() -> dict[str, float]:
    return {row["fitting"]: row["diameters_dimensionless"] for row in tables.load("gas_fittings").rows()}


# Row lengths as the code tables print them, corrugated tubing by NFPA 54-2012 Tables 6.2(q) and (s). Those of rigid
# pipe that no checked cell bears out are from memory; they only decide how far a length is rounded up.
_RIGID_ROWS_FT = (
    *range(10, 101, 10),
    *range(125, 201, 25),
    *range(250, 1001, 50),
    *range(1100, 2001, 100),
)
_CSST_ROWS_FT = (5, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 90, 100, 150, 200, 250, 300)
_CSST_HIGH_ROWS_FT = (10, 25, 30, 40, 50, 75, 80, 100, 150, 200, 250, 300, 400, 500)


def table_row_ft(length_ft: float, material: str, high: bool = False) -> float:
    """The printed row to read: that of the length, or else the next longer one. [ft]

    Raises
    ------
    OutOfRangeError
        Longer than the material's table goes: 2,000 ft; corrugated tubing 300 ft, or 500 ft at high pressure.
    """
    rows = _RIGID_ROWS_FT
    if material == CSST:
        rows = _CSST_HIGH_ROWS_FT if high else _CSST_ROWS_FT
    for row in rows:
        if length_ft <= row + 1e-9:
            return float(row)
    raise OutOfRangeError(
        "length_ft",
        round(length_ft),
        "the sizing tables for {material} end at {most:,} ft",
        "have the piping designed",
        material=material,
        most=rows[-1],
    )


#: The printed natural gas tables of corrugated tubing, by whether the supply is high, with the drop of each. [in. w.c.]
_CSST_PRINTED = {False: ("6.2(q)", 6.0), True: ("6.2(s)", 3.5 * INWC_PER_PSI)}


def printed_csst_cfh(size: str, supply_inwc: float, drop_inwc: float, row_ft: float) -> float | None:
    """The printed cell of corrugated tubing with natural gas; None where no such table was read. [ft³/h]

    Below 2 psi with 6.0 in. w.c. drop, and 5 psi with 3.5 psi drop (NFPA 54-2012 Tables 6.2(q) and (s)).
    """
    high = is_high_pressure(supply_inwc)
    table, drop = _CSST_PRINTED[high]
    if abs(drop_inwc - drop) > 1e-6 or (high and abs(supply_inwc / INWC_PER_PSI - 5.0) > _STEEL_BAND_PSI):
        return None
    return _csst_cells().get((table, size, row_ft))


@cache
def _csst_cells() -> dict[tuple[str, str, float], float]:
    rows = tables.load("gas_csst_printed").rows()
    return {(row["table"], row["ehd"], row["length_ft"]): row["capacity_cfh"] for row in rows}


def usual_drop_inwc(gas: str, supply_inwc: float) -> float:
    """Pressure drop that the code tables allow for this supply. [in. w.c.]

    0.5 in. w.c. below 8; 3.0 from 8 and 6.0 from 11, natural gas only (headings of IFGC 2018 Tables 402.4(2)
    to (4)); 0.5 for propane; 1 psi from 1.5 psi up, which leaves most for the line regulator.
    """
    if is_high_pressure(supply_inwc):
        return INWC_PER_PSI
    if gas == "natural" and supply_inwc >= 8.0:
        return 6.0 if supply_inwc >= 11.0 else 3.0
    return 0.5


def named(material: str, size: str) -> Finding:
    """A pipe to be worded: ``1/2 in. steel``, ``corrugated tubing EHD 23``."""
    return note(f"pipe.{material}", size=size)
