"""The circuit a heater needs, and whether the one that is there will do.

A storage heater counts as a continuous load; an electric tankless one does not, but is split into groups.
Every result is a first look for a talk with an electrician: the rating plate and the local code govern.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.circumstances import RATED_V, element_frac
from advisor.core.arrays import Numbers
from advisor.core.findings import Finding, care, note
from advisor.core.kinds import Technology
from advisor.core.published import published
from advisor.core.tables import load
from advisor.core.validation import in_table
from advisor.core.verdicts import FITS, NEEDS_WORK, HouseVerdict

CONTINUOUS_FACTOR = 1.25
LARGEST_BREAKER_FACTOR = 1.5
#: General rule for resistance heating: each part at most this much, behind a device of at most 60 A.
LARGEST_GROUP_A, LARGEST_GROUP_BREAKER_A = 48.0, 60.0


@published("Ohm's law, single phase, unity power factor", state="computed", power_kw=4.5, supply_v=240.0)
def current_a(power_kw: Numbers, supply_v: Numbers) -> Numbers:
    """Current of a resistance load.

    Parameters
    ----------
    power_kw : float or ndarray
        Power of the load. [kW]
    supply_v : float or ndarray
        Voltage across it. [V]

    Returns
    -------
    float or ndarray
        [A]
    """
    return power_kw * 1000.0 / supply_v


@published("Ohm's law at constant resistance", state="computed", rated_kw=4.5, rated_v=240.0, supply_v=208.0)
def power_at_voltage_kw(rated_kw: Numbers, rated_v: Numbers, supply_v: Numbers) -> Numbers:
    """Power of an element on another voltage than its own.

    Parameters
    ----------
    rated_kw : float or ndarray
        Power on its own voltage. [kW]
    rated_v, supply_v : float or ndarray
        Its own voltage, and the one that is there. [V]

    Returns
    -------
    float or ndarray
        [kW]
    """
    return rated_kw * element_frac(supply_v, rated_v)


@published("NEC 422.13, storage heaters to 120 gal", state="cross-checked", load_a=18.75)
def continuous_rating_a(load_a: Numbers) -> Numbers:
    """Least rating of the branch circuit of a storage heater.

    Parameters
    ----------
    load_a : float or ndarray
        Rated current. [A]

    Returns
    -------
    float or ndarray
        [A]
    """
    return CONTINUOUS_FACTOR * load_a


@published("NEC 240.6(A)", state="from memory, unverified", least_a=23.4)
def next_breaker_a(least_a: Numbers) -> Numbers:
    """Next standard breaker that is not smaller.

    Parameters
    ----------
    least_a : float or ndarray
        Least rating that will do. [A]

    Returns
    -------
    float or ndarray
        NaN above 200 A. [A]
    """
    return _next_of(load("breaker_sizes")["rating_a"], least_a)


def usual_breaker_a(least_a: Numbers) -> Numbers:
    """Next breaker commonly on the shelf (common practice, no published source). NaN above 200 A. [A]"""
    table = load("breaker_sizes")
    return _next_of(table["rating_a"][table["stocked"]], least_a)


def _next_of(ratings_a: np.ndarray, least_a: Numbers) -> Numbers:
    ladder = np.append(ratings_a.astype(float), np.nan)
    least = np.asarray(least_a, dtype=float) - 1e-9
    return ladder[np.searchsorted(ratings_a, least, side="left")][()]


@published("NEC 422.11(F)(1), resistance heating over 48 A", state="verified", load_a=112.5)
def heating_groups_count(load_a: Numbers) -> Numbers:
    """Least number of circuits when each carries at most 48 A.

    Parameters
    ----------
    load_a : float or ndarray
        Total current. [A]

    Returns
    -------
    float or ndarray
        [-]
    """
    return np.ceil(np.asarray(load_a, dtype=float) / LARGEST_GROUP_A - 1e-9)[()]


@dataclass(frozen=True)
class Conductor:
    """A conductor size and what it may carry."""

    size_awg: str
    material: str
    column: str
    ampacity_a: float


def smallest_conductor(
    rating_a: float,
    breaker_a: float,
    *,
    material: str = "copper",
    column: str = "60 C",
    ambient_frac: float = 1.0,
) -> Conductor:
    """Smallest conductor that carries the circuit and that the breaker protects.

    Parameters
    ----------
    rating_a : float
        Least circuit rating. [A]
    breaker_a : float
        Breaker to be used. [A]
    material, column : str
        ``copper`` or ``aluminum``; ``60 C`` (nonmetallic cable, NEC 334.80) or ``75 C``.
    ambient_frac : float
        Correction for a hot place: 0.82 at 60 C or 0.88 at 75 C between 96 and 104 °F. [-]

    Raises
    ------
    OutOfRangeError
        The circuit needs more than 1/0.

    Sources
    -------
    NEC 310.16, 240.4(B) and (D). ``data/conductor_ampacity``.
    """
    for row in load("conductor_ampacity").rows():
        if row["material"] != material or row["column"] != column:
            continue
        ampacity = row["ampacity_a"] * ambient_frac
        protected_a = row["small_limit_a"] or float(next_breaker_a(ampacity))
        if ampacity >= rating_a and breaker_a <= protected_a:
            return Conductor(row["size_awg"], material, column, ampacity)
    in_table("heaters.input_kw", None, float("nan"), "stay within what a 1/0 conductor carries")
    raise AssertionError("unreachable")


@dataclass(frozen=True)
class Circuit:
    """The circuit or circuits of one heater.

    Parameters
    ----------
    circuits, spaces : int
        How many; breaker spaces in the panel for all of them.
    power_kw, total_a, each_a : float
        Power at this supply; current of all and of each circuit. [kW], [A], [A]
    rating_a, least_breaker_a, usual_breaker_a, largest_breaker_a : float
        Least circuit rating, next standard breaker, next one on the shelf, and the largest one allowed. [A]
    conductor : Conductor
        Smallest size for the usual breaker.
    notes : tuple of Finding
        How the circuits were counted, where another count may hold.
    """

    circuits: int
    spaces: int
    power_kw: float
    total_a: float
    each_a: float
    rating_a: float
    least_breaker_a: float
    usual_breaker_a: float
    largest_breaker_a: float
    conductor: Conductor
    notes: tuple[Finding, ...] = ()


def storage_circuit(
    power_kw: float,
    *,
    supply_v: float = 240.0,
    material: str = "copper",
    ambient_frac: float = 1.0,
) -> Circuit:
    """Branch circuit of an electric tank, or of a heat pump tank by its element.

    Sources
    -------
    NEC 422.13 (1.25 times), 422.11(E) (at most 150 %, next standard size up).
    """
    power, load_a = _at_supply(power_kw, supply_v)
    rating = float(continuous_rating_a(load_a))
    least = in_table("heaters.input_kw", power_kw, float(next_breaker_a(rating)), "stay within a 200 A circuit")
    largest = float(next_breaker_a(max(LARGEST_BREAKER_FACTOR * load_a, 15.0)))
    usual = float(usual_breaker_a(rating))
    usual = usual if usual <= largest else least
    conductor = smallest_conductor(rating, usual, material=material, ambient_frac=ambient_frac)
    spaces = 2 if supply_v > 150 else 1
    return Circuit(1, spaces, power, load_a, load_a, rating, least, usual, largest, conductor)


def tankless_circuits(
    power_kw: float,
    *,
    supply_v: float = 240.0,
    material: str = "copper",
    ambient_frac: float = 1.0,
    plate_count: float | None = None,
    plate_breaker_a: float | None = None,
) -> Circuit:
    """Circuits of an electric tankless heater: as its plate has them, else split by the general 48 A rule.

    Without a plate each circuit is given 1.25 times its share, the cautious reading.

    Parameters
    ----------
    plate_count, plate_breaker_a : float, optional
        Circuits and breaker of each that the rating plate asks for; they govern. [-], [A]

    Sources
    -------
    NEC 422.11(F)(1); (F)(3) lets listed instantaneous heaters off; 110.3(B) holds to the plate.
    """
    power, total_a = _at_supply(power_kw, supply_v)
    count = int(plate_count or heating_groups_count(total_a))
    each_a = total_a / count
    if plate_breaker_a is None:
        rating = min(float(continuous_rating_a(each_a)), LARGEST_GROUP_BREAKER_A)
        least, usual = float(next_breaker_a(rating)), float(usual_breaker_a(rating))
    else:
        rating, least, usual = each_a, plate_breaker_a, plate_breaker_a
    conductor = smallest_conductor(rating, usual, material=material, ambient_frac=ambient_frac)
    spaces = count * (2 if supply_v > 150 else 1)
    said = note("electrical.circuit.listed", "NEC 422.11(F)")
    largest = max(LARGEST_GROUP_BREAKER_A, usual)
    return Circuit(count, spaces, power, total_a, each_a, rating, least, usual, largest, conductor, (said,))


def _at_supply(power_kw: float, supply_v: float) -> tuple[float, float]:
    power = float(power_at_voltage_kw(power_kw, RATED_V, supply_v))
    return power, float(current_a(power, supply_v))


@dataclass(frozen=True)
class CircuitCheck:
    """What there is against what the heater needs."""

    finding: Finding
    circuit: Circuit | None
    spaces_needed: int
    verdict: HouseVerdict
    cautions: tuple[str, ...]
    #: The wire that is there is large enough and only its breaker is not the right one.
    keeps_wire: bool = False


def circuit_kind(technology: Technology) -> str:
    """Circuit that a kind of heater needs, a word of ``data/heater_power``."""
    return str(load("heater_power").find(technology.id)["circuit"])


def check_circuit(
    technology: Technology,
    power_kw: float | None = None,
    *,
    supply_v: float = 240.0,
    existing_breaker_a: float | None = None,
    existing_size_awg: str | None = None,
    receptacle_near: bool = False,
    material: str = "copper",
    plate_count: float | None = None,
    plate_breaker_a: float | None = None,
) -> CircuitCheck:
    """The heater's circuit, and whether the one that is there will do.

    Parameters
    ----------
    technology : Technology
        Kind of heater.
    power_kw : float, optional
        Rated electric input at 240 V; needed for electric heaters. [kW]
    supply_v : float
        208 in some apartment buildings, else 240. [V]
    existing_breaker_a, existing_size_awg : float, str, optional
        Two-pole circuit that is there now. [A], [AWG]
    receptacle_near : bool
        A 120 V outlet within the cord's reach.
    material : str
        Metal of the conductors.
    plate_count, plate_breaker_a : float, optional
        Circuits of a tankless heater and the breaker of each, by its plate. [-], [A]
    """
    kind = circuit_kind(technology)
    if kind == "none":
        return CircuitCheck(note("electrical.circuit.none"), None, 0, FITS, ())
    if kind == "burner_120":
        return CircuitCheck(note("electrical.circuit.burner"), None, 0, FITS, ("power_cut",))
    if kind in {"receptacle_120", "plug_in_120"}:
        return _outlet_check(kind, receptacle_near)
    assert power_kw is not None, technology.id
    if kind == "storage_240":
        circuit = storage_circuit(power_kw, supply_v=supply_v, material=material)
    else:
        circuit = tankless_circuits(
            power_kw, supply_v=supply_v, material=material, plate_count=plate_count, plate_breaker_a=plate_breaker_a
        )
    cautions: tuple[str, ...] = ("panel_load", "power_cut", "licensed_work")
    if kind == "tankless_240":
        cautions = (*cautions, "electric_tankless_load")
    if circuit.circuits == 1 and _serves(circuit, existing_breaker_a, existing_size_awg, material):
        finding = note("electrical.circuit.existing_serves", breaker_a=existing_breaker_a or 0.0)
        return CircuitCheck(finding, circuit, 0, FITS, cautions)
    if (
        existing_breaker_a
        and circuit.circuits == 1
        and _serves(circuit, circuit.usual_breaker_a, existing_size_awg, material)
    ):
        finding = care(
            "electrical.circuit.other_breaker",
            "NEC 422.11(E), 422.13",
            breaker_a=existing_breaker_a,
            usual_a=circuit.usual_breaker_a,
            size_awg=existing_size_awg or "",
        )
        return CircuitCheck(finding, circuit, 0, NEEDS_WORK, cautions, keeps_wire=True)
    finding = care(
        "electrical.circuit.needs",
        "NEC 422.13" if kind == "storage_240" else "NEC 422.11(F)(1)",
        total_a=circuit.total_a,
        n=circuit.circuits,
        breaker_a=circuit.usual_breaker_a,
        size_awg=circuit.conductor.size_awg,
        metal=note(f"electrical.metal.{material}"),
    )
    return CircuitCheck(finding, circuit, circuit.spaces, NEEDS_WORK, cautions)


def _outlet_check(kind: str, receptacle_near: bool) -> CircuitCheck:
    use = note(f"electrical.use.{kind}")
    cautions = ("power_cut",) + (("plug_in_slow",) if kind == "plug_in_120" else ())
    if receptacle_near:
        return CircuitCheck(note("electrical.circuit.outlet_there", use=use), None, 0, FITS, cautions)
    return CircuitCheck(care("electrical.circuit.outlet_missing", use=use), None, 1, NEEDS_WORK, cautions)


def _serves(circuit: Circuit, breaker_a: float | None, existing_size_awg: str | None, material: str) -> bool:
    """Whether breaker and conductor that are there lie between the least and the largest allowed."""
    if breaker_a is None or existing_size_awg is None:
        return False
    rows = {
        row["size_awg"]: row
        for row in load("conductor_ampacity").rows()
        if row["material"] == material and row["column"] == "60 C"
    }
    row = rows[existing_size_awg]
    protected_a = row["small_limit_a"] or float(next_breaker_a(row["ampacity_a"]))
    return (
        circuit.rating_a <= breaker_a <= circuit.largest_breaker_a
        and row["ampacity_a"] >= circuit.rating_a
        and breaker_a <= protected_a
    )
