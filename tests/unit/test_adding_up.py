"""What a trade's checks find adds up to its verdict: no doubt is dropped, and every doubt has its job."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass

import pytest

from advisor.core.findings import Severity, care, note, stop
from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK, HouseVerdict
from advisor.heaters.catalogue import catalogue
from advisor.house.items import TradeCheck, item
from tests.houses import ELECTRIC_HOUSE, check, said

#: Houses in which every check of every trade finds something at least once.
HOUSES = [
    {},
    ELECTRIC_HOUSE,
    {"failed__fuel": "electricity", "failed__kind": "tankless"},
    {"failed__fuel": "heating_oil"},
    {"vent__flue": "masonry", "vent__is_exterior_chimney": True, "vent__tile_liner": "8x8"},
    {"vent__flue": "masonry", "vent__is_shared": True, "vent__other_is_fan_assisted": True},
    {"vent__flue": "type_b", "vent__is_shared": True, "vent__flue_height_ft": 25, "vent__flue_diameter_in": 5},
    {"vent__flue": "type_b", "vent__flue_height_ft": 8, "vent__flue_lateral_ft": 6, "vent__flue_diameter_in": 4},
    {"vent__flue": "type_b", "vent__flue_diameter_in": 12},
    {"vent__flue": "plastic"},
    {"vent__flue": "stainless", "vent__run_ft": 200},
    {"house__heater_space": "closet", "house__room_volume_ft3": 200, "household__set_point_f": 140},
    {"house__heater_space": "garage", "house__room_volume_ft3": 300},
    {"house__heater_space": "attic"},
    {"house__heater_space": "outdoors"},
    {"water__recirculation": "always", "water__has_closed_system": True, "water__hardness_gpg": 30},
    {"water__static_pressure_psi": 95, "electrical__service_a": 60, "electrical__n_free_spaces": 0},
    {"gas__branch_size_in": "1/2", "gas__branch_ft": 150, "gas__trunk_size_in": "1", "failed__input_btuh": 40_000},
    {"vent__is_shared": True, "house__room_volume_ft3": 500, "electrical__is_damaged_panel": True},
    {"house__room_volume_ft3": 2_000},
    {"drain__has_gravity_drain": True, "drain__material": "plastic", "house__is_over_living_space": True},
]


def checks_in(detail: object, name: str = "") -> Iterator[tuple[str, HouseVerdict]]:
    """Every check behind a trade that gives a verdict of its own, however deep it lies."""
    if not is_dataclass(detail):
        return
    verdict = getattr(detail, "verdict", None)
    if isinstance(verdict, HouseVerdict):
        yield name or type(detail).__name__, verdict
    for field in fields(detail):
        yield from checks_in(getattr(detail, field.name), field.name)


@pytest.mark.parametrize("house", HOUSES, ids=range(len(HOUSES)))
@pytest.mark.parametrize("heater", catalogue(), ids=lambda heater: heater.id)
def test_no_trade_fits_over_a_check_that_does_not(heater, house):
    found = check(heater.id, place={"altitude_frac": 0.9, "elevation_ft": 3_000.0}, **house)
    for trade in found.trades:
        for name, verdict in checks_in(trade.detail):
            assert verdict == FITS or trade.verdict != FITS, f"{trade.trade}: {name} is {verdict}"
        work = [job for job in trade.items if not job.is_usual]
        if trade.verdict == NEEDS_WORK:
            assert work and all(said(job.why) for job in work), f"{trade.trade} needs work and has no job"
        if trade.verdict == FITS:
            assert not work
            text = said(trade.findings)
            assert "professional" not in text and "must be" not in text, text
    assert found.verdict.severity == max(trade.verdict.severity for trade in found.trades)


def test_every_check_is_looked_at():
    """The houses above bring each check of each trade to more than one verdict."""
    seen: dict[str, set[HouseVerdict]] = {}
    for heater in catalogue():
        for house in HOUSES:
            for trade in check(heater.id, **house).trades:
                for name, verdict in checks_in(trade.detail, trade.trade):
                    seen.setdefault(name, set()).add(verdict)
    always_alike = {name for name, verdicts in seen.items() if len(verdicts) == 1}
    assert {"change", "run", "capacity", "left_behind", "terminal", "circuit", "service", "panel"} <= set(seen)
    # The end of a vent is measured by nobody before it is there.
    assert always_alike <= {"terminal", "left_behind"}


@pytest.mark.parametrize(
    ("findings", "jobs", "verdict"),
    [
        ((note("air.enough"),), (), FITS),
        ((note("air.enough"), care("air.enough")), (), NEEDS_WORK),
        ((care("air.enough"), stop("air.enough")), (), DOES_NOT_FIT),
        ((note("air.enough"),), ("vent-connector",), FITS),
        ((note("air.enough"),), ("flue-cap",), NEEDS_WORK),
        ((), (), FITS),
    ],
)
def test_a_trade_is_as_grave_as_its_gravest_finding_and_never_lighter_than_its_jobs(findings, jobs, verdict):
    trade = TradeCheck("vent", findings, tuple(item(job, note("vent.why.opening")) for job in jobs))
    assert trade.verdict == verdict
    assert verdict.severity in Severity
