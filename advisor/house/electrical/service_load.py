"""Can the electric service carry one more heater? The routes of the code, side by side.

The optional calculation for a dwelling, the one for an existing dwelling, and the measured one rarely agree; the
standard calculation stands beside them. Which one counts is for the electrician and the local office to say.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.core.arrays import Numbers
from advisor.core.findings import Finding, care, note, stop
from advisor.core.published import published
from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK, HouseVerdict

SMALL_APPLIANCE_VA = LAUNDRY_VA = 1500.0
#: The 2026 edition is said to count 2 VA/ft2 (one secondary source); a setting, not a constant.
GENERAL_VA_PER_FT2 = 3.0
_REST = 0.40
#: Standard calculation: general load above 3,000 VA, four or more fixed appliances, a dryer at least, one range.
_GENERAL_FULL_VA, _GENERAL_REST = 3000.0, 0.35
_FIXED_MANY, _FIXED_FRAC = 4, 0.75
_DRYER_LEAST_VA = 5000.0
_RANGE_VA, _RANGE_UP_TO_VA, _RANGE_MORE_PER_KVA = 8000.0, 12_000.0, 0.05


@published("NEC 220.82(B) and Annex D2(a)", state="cross-checked", connected_va=29_700.0, heating_cooling_va=3600.0)
def optional_load_va(connected_va: Numbers, heating_cooling_va: Numbers) -> Numbers:
    """Demand by the optional calculation: first 10 kVA in full, the rest at 40 %, plus heating or cooling.

    Parameters
    ----------
    connected_va : float or ndarray
        General load and nameplates. [VA]
    heating_cooling_va : float or ndarray
        The larger of heating and cooling, with its own factor applied. [VA]

    Returns
    -------
    float or ndarray
        [VA]

    Validity
    --------
    One dwelling on a 120/240 V service of 100 A or more.
    """
    return _in_part_va(connected_va, 10_000.0, _REST) + heating_cooling_va


@published("NEC 220.83(A) and (B)", state="verified", connected_va=28_100.0, heating_cooling_va=5000.0)
def existing_dwelling_load_va(connected_va: Numbers, heating_cooling_va: Numbers) -> Numbers:
    """Demand of an existing dwelling: first 8 kVA in full, the rest at 40 %, plus heating or cooling.

    Parameters
    ----------
    connected_va, heating_cooling_va : float or ndarray
        As for ``optional_load_va``. The text of (A) does not list existing heating and cooling; they are
        added in full here, the cautious reading. [VA]

    Returns
    -------
    float or ndarray
        [VA]
    """
    return _in_part_va(connected_va, 8_000.0, _REST) + heating_cooling_va


def _in_part_va(connected_va: Numbers, full_va: float, rest_frac: float) -> Numbers:
    """The first of a load in full, and a share of the rest. [VA]"""
    connected = np.asarray(connected_va, dtype=float)
    return (np.minimum(connected, full_va) + rest_frac * np.maximum(connected - full_va, 0.0))[()]


@published("NEC 220 Part III, Table 220.42", state="from memory, unverified", general_va=9000.0)
def standard_general_va(general_va: Numbers) -> Numbers:
    """Lighting and small appliances of a dwelling: the first 3,000 VA in full, the rest at 35 %.

    Parameters
    ----------
    general_va : float or ndarray
        3 VA/ft² and 1,500 VA for each small-appliance and laundry circuit. [VA]

    Returns
    -------
    float or ndarray
        [VA]

    Validity
    --------
    To 120,000 VA.
    """
    return _in_part_va(general_va, _GENERAL_FULL_VA, _GENERAL_REST)


@published("NEC Table 220.55, column C, one range", state="from memory, unverified", range_va=12_000.0)
def one_range_va(range_va: Numbers) -> Numbers:
    """Demand of one household range: 8 kW to 12 kW of nameplate, 5 % more for each further kW; never over its plate.

    Parameters
    ----------
    range_va : float or ndarray
        Nameplate. [VA]

    Returns
    -------
    float or ndarray
        [VA]

    Validity
    --------
    To 27 kW.
    """
    plate = np.asarray(range_va, dtype=float)
    more = np.maximum(np.ceil((plate - _RANGE_UP_TO_VA) / 1000.0), 0.0)
    return np.minimum(plate, _RANGE_VA * (1 + _RANGE_MORE_PER_KVA * more))[()]


@published("NEC 220.87", state="cross-checked", measured_peak_a=40.0, added_a=18.75)
def measured_load_a(measured_peak_a: Numbers, added_a: Numbers) -> Numbers:
    """A year's measured maximum demand times 1.25, plus the new load.

    Parameters
    ----------
    measured_peak_a : float or ndarray
        Highest demand in a year, or highest 15-minute average in 30 recorded days. [A]
    added_a : float or ndarray
        New load at its nameplate. [A]

    Returns
    -------
    float or ndarray
        [A]

    Validity
    --------
    Not with solar power or peak shaving on the service.
    """
    return 1.25 * measured_peak_a + added_a


@dataclass(frozen=True)
class ServiceLoads:
    """What is connected to the service, as the code counts it.

    Parameters
    ----------
    floor_area_ft2 : float
        Heated floor area. [ft²]
    appliances_va : float
        Nameplates of everything fastened in place: dishwasher, disposer, spa, car charger; not range, dryer, heating,
        cooling or the water heater. [VA]
    range_va, dryer_va : float
        Nameplates. [VA]
    water_heater_va : float
        The electric water heater that is there today; zero for gas. [VA]
    cooling_va, heat_pump_va, heat_pump_backup_va, central_heat_va, room_heat_va : float
        Nameplates of heating and cooling. [VA]
    n_appliances : int
        How many make up ``appliances_va``; four fixed ones with the water heater count at 75 % in the standard
        calculation.
    room_heaters : int
        Separately controlled room heaters.
    small_appliance_circuits, laundry_circuits : int
        1,500 VA each.
    general_va_per_ft2 : float
        Lighting and outlets. [VA/ft²]
    """

    floor_area_ft2: float
    appliances_va: float = 0.0
    range_va: float = 0.0
    dryer_va: float = 0.0
    n_appliances: int = 1
    water_heater_va: float = 0.0
    cooling_va: float = 0.0
    heat_pump_va: float = 0.0
    heat_pump_backup_va: float = 0.0
    central_heat_va: float = 0.0
    room_heat_va: float = 0.0
    room_heaters: int = 0
    small_appliance_circuits: int = 2
    laundry_circuits: int = 1
    general_va_per_ft2: float = GENERAL_VA_PER_FT2

    @property
    def general_va(self) -> float:
        """Lighting, small appliances and laundry. [VA]"""
        circuits = self.small_appliance_circuits * SMALL_APPLIANCE_VA + self.laundry_circuits * LAUNDRY_VA
        return self.floor_area_ft2 * self.general_va_per_ft2 + circuits

    @property
    def connected_va(self) -> float:
        """General load and nameplates without heating and cooling. [VA]"""
        return self.general_va + self.appliances_va + self.range_va + self.dryer_va + self.water_heater_va

    @property
    def optional_heating_cooling_va(self) -> float:
        """Largest of the heating and cooling choices with the factors of 220.82(C). [VA]

        65 % of central heat and of under four separately controlled room heaters, 40 % of four or more.
        """
        room_factor = 0.40 if self.room_heaters >= 4 else 0.65
        return max(
            self.cooling_va,
            self.heat_pump_va + 0.65 * self.heat_pump_backup_va,
            0.65 * self.central_heat_va,
            room_factor * self.room_heat_va,
        )

    @property
    def full_heating_cooling_va(self) -> float:
        """Largest of the heating and cooling choices in full, as 220.83(B) and 220.60 take it. [VA]"""
        heat_pump_va = self.heat_pump_va + self.heat_pump_backup_va
        return max(self.cooling_va, heat_pump_va, self.central_heat_va, self.room_heat_va)

    def standard_va(self, water_heater_va: float) -> float:
        """Demand by the standard calculation with a water heater of so much. [VA]"""
        fixed_va = self.appliances_va + water_heater_va
        n_fixed = self.n_appliances * (self.appliances_va > 0) + (water_heater_va > 0)
        dryer_va = max(self.dryer_va, _DRYER_LEAST_VA) if self.dryer_va else 0.0
        return (
            float(standard_general_va(self.general_va))
            + fixed_va * (_FIXED_FRAC if n_fixed >= _FIXED_MANY else 1.0)
            + float(one_range_va(self.range_va))
            + dryer_va
            + self.full_heating_cooling_va
        )


@dataclass(frozen=True)
class Route:
    """One way of counting: its name, its section of the code, before and after."""

    name: Finding
    section: str
    before_a: float
    after_a: float
    carries: bool


@dataclass(frozen=True)
class ServiceCheck:
    """All routes against the service, and the amperes that the new heater draws by itself."""

    finding: Finding
    routes: tuple[Route, ...]
    #: The standard calculation, to compare; it decides nothing.
    beside: Route
    service_a: float
    heater_a: float
    #: What the milder of the two routes asks where an appliance pauses while water is heated.
    sharing_a: float
    verdict: HouseVerdict
    cautions: tuple[str, ...]

    @property
    def can_share(self) -> bool:
        """Whether the service carries the heater where an appliance pauses for it."""
        return self.sharing_a <= self.service_a

    @property
    def least_a(self) -> float:
        """The smallest service that the mildest route and the heater by itself allow. [A]"""
        return max(self.heater_a, min(route.after_a for route in self.routes))


def check_service(
    loads: ServiceLoads,
    *,
    service_a: float,
    new_heater_va: float,
    measured_peak_a: float | None = None,
    solar: bool = False,
    supply_v: float = 240.0,
    pausable_va: float = 0.0,
) -> ServiceCheck:
    """Add the new heater by each route and compare with the service.

    Parameters
    ----------
    loads : ServiceLoads
        What is there today, with today's water heater.
    service_a : float
        Service rating. [A]
    new_heater_va : float
        Nameplate of the new heater, which takes the place of today's. [VA]
    measured_peak_a : float, optional
        Measured maximum demand, today's heater included. [A]
    solar : bool
        Solar power or peak shaving on the service: the measured route is then closed.
    pausable_va : float
        Largest appliance that may pause while water is heated: of the two the smaller is left out (NEC 220.60). [VA]
    """
    change_va = new_heater_va - loads.water_heater_va
    routes, sharing_a = [], []
    for name, section, demand, heating_cooling_va in (
        (note("electrical.route.optional"), "220.82", optional_load_va, loads.optional_heating_cooling_va),
        (note("electrical.route.existing"), "220.83", existing_dwelling_load_va, loads.full_heating_cooling_va),
    ):
        before = float(demand(loads.connected_va, heating_cooling_va)) / supply_v
        after = float(demand(loads.connected_va + change_va, heating_cooling_va)) / supply_v
        routes.append(Route(name, section, before, after, after <= service_a))
        shared_va = loads.connected_va + change_va - min(pausable_va, new_heater_va)
        sharing_a.append(float(demand(shared_va, heating_cooling_va)) / supply_v)
    if measured_peak_a is not None and not solar:
        # The peak was measured with the old heater on; taking it off is not credited.
        before = float(measured_load_a(measured_peak_a, 0.0))
        after = float(measured_load_a(measured_peak_a, new_heater_va / supply_v))
        routes.append(Route(note("electrical.route.measured"), "220.87", before, after, after <= service_a))
    before, after = (loads.standard_va(va) / supply_v for va in (loads.water_heater_va, new_heater_va))
    beside = Route(note("electrical.route.standard"), "220 Part III", before, after, after <= service_a)
    carries = [route for route in routes if route.carries]
    heater_a = new_heater_va / supply_v
    if new_heater_va <= loads.water_heater_va:
        verdict, finding = FITS, note("electrical.service.no_more")
    elif heater_a > service_a:
        # The routes count most of a large load at 40 %, but one heater at full draw is no average.
        verdict = DOES_NOT_FIT
        finding = care("electrical.service.heater_alone", heater_a=heater_a, service_a=service_a)
    elif len(carries) == len(routes):
        worst = max(route.after_a for route in routes)
        verdict, finding = FITS, note("electrical.service.carries", service_a=service_a, worst_a=worst)
    elif carries:
        verdict = NEEDS_WORK
        finding = care("electrical.service.some_routes", sections=tuple(route.section for route in carries))
    else:
        verdict = DOES_NOT_FIT
        least = min(route.after_a for route in routes)
        finding = care("electrical.service.too_small", "NEC 220", least_a=least, service_a=service_a)
    shared_a = max(heater_a, min(sharing_a))
    cautions = ("panel_load", "licensed_work")
    return ServiceCheck(finding, tuple(routes), beside, service_a, heater_a, shared_a, verdict, cautions)


@dataclass(frozen=True)
class PanelCheck:
    """Room and condition of the panel."""

    finding: Finding
    spaces_short: int
    verdict: HouseVerdict
    cautions: tuple[str, ...]


def check_panel(
    *,
    spaces_needed: int,
    spaces_free: int | None,
    panel_a: float | None = None,
    load_a: float = 0.0,
    tandem_listed: bool = False,
    damaged: bool = False,
    aluminum_branches: bool = False,
) -> PanelCheck:
    """Breaker spaces, rating and condition of the panelboard.

    Parameters
    ----------
    spaces_needed, spaces_free : int
        Two adjacent ones for each 240 V circuit, one for 120 V; None where nobody has counted.
    panel_a, load_a : float
        Panel rating and the load calculated for it. [A]
    tandem_listed : bool
        The panel is listed for tandem breakers, which make room.
    damaged, aluminum_branches : bool
        Recalled, rusty or scorched panel; aluminum branch wiring.

    Sources
    -------
    NEC 408.30 and 408.36; spaces and tandem breakers are common practice, no published source.
    """
    cautions = ("panel_load", "licensed_work")
    if spaces_needed == 0 and not damaged:
        return PanelCheck(note("electrical.panel.no_breaker"), 0, FITS, ())
    if damaged or aluminum_branches or (panel_a is not None and panel_a <= 60):
        return PanelCheck(care("electrical.panel.look_first"), 0, NEEDS_WORK, (*cautions, "old_panel"))
    if panel_a is not None and load_a > panel_a:
        finding = stop("electrical.panel.overloaded", "NEC 408.30", load_a=load_a, panel_a=panel_a)
        return PanelCheck(finding, 0, DOES_NOT_FIT, cautions)
    if spaces_free is None:
        return PanelCheck(care("electrical.panel.not_counted", n=spaces_needed), 0, NEEDS_WORK, cautions)
    short = max(spaces_needed - spaces_free, 0)
    if short == 0:
        found = note("electrical.panel.enough", n=spaces_free, needed_count=spaces_needed)
        return PanelCheck(found, 0, FITS, cautions)
    code = "electrical.panel.short_tandem" if tandem_listed else "electrical.panel.short"
    return PanelCheck(care(code, n=short), short, NEEDS_WORK, cautions)
