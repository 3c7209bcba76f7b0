"""Every check of the house speaks plainly, gives a known verdict and points at known cautions."""

import dataclasses
import itertools
import re

import pytest

from advisor.core.kinds import Technology
from advisor.core.tables import load
from advisor.core.verdicts import FITS, HouseVerdict
from advisor.demand import recirculation
from advisor.house.air import combustion_air
from advisor.house.condensate import disposal
from advisor.house.electrical import circuits, power_cut, service_load
from advisor.house.space import room
from advisor.house.vent import flue, terminal, vent_capacity, vent_run
from advisor.house.water import distribution, water_side
from tests.houses import said

TECHNOLOGIES = Technology.all()
CAUTIONS = {row["id"] for row in load("cautions").rows()}
FORBIDDEN = re.compile(r"\b(un)?safe(ty|ly)?\b|\bapprov|\bguarant|\bbest\b", re.I)


def _loop(**kwargs):
    return recirculation.check_recirculation(
        recirculation.recirculation(recirculation.Loop(120, **kwargs)),
        heater_eff_frac=0.9,
        energy_usd_per_mmbtu=15,
        electricity_usd_per_kwh=0.15,
        tankless_min_btuh=15_000,
    )


def _results():
    tank = flue.FlueAppliance("water heater", False, 40_000, 3)
    furnace = flue.FlueAppliance("furnace", True, 80_000, 5)
    for technology, vent in itertools.product(TECHNOLOGIES, vent_run.EXISTING_VENTS):
        yield vent_run.vent_change(technology, vent)
    for feet, limit in itertools.product((10, 40, 200), (None, 60)):
        yield vent_run.check_vent_run(vent_run.Run(feet, 2), diameter_in=2, limit_ft=limit)
    for kind, measured in itertools.product(terminal.KINDS, ({}, {"grade": 6})):
        yield terminal.check_terminal(kind, 180_000, condenses=True, measured_in=measured)
    for btuh, height in itertools.product((30_000, 90_000), (10, 90)):
        yield vent_capacity.check_type_b(btuh, height_ft=height, lateral_ft=2, diameter_in=4)
    for fan, height in itertools.product((0, 60_000, 200_000), (10, 90)):
        yield vent_capacity.check_common_vent(fan, 40_000, height_ft=height, diameter_in=5)
    for kind, area, others, new in itertools.product(
        flue.FLUE_KINDS, (None, 5, 42.7, 90), ((), (furnace,)), (None, tank)
    ):
        yield flue.check_shared_flue(flue.Flue(kind, area, exterior=True), others, new, was_shared=True)
    for btuh, volume, ach in itertools.product((0, 40_000, 140_000), (300, 9000), (None, 0.2)):
        yield combustion_air.check_combustion_air(
            draft_hood_btuh=btuh, room_ft3=volume, joined_ft3=6000, infiltration_ach=ach
        )
    for acidic, rim, septic, cold in itertools.product((True, False), (None, 0, 30, 400), (True, False), (None, 20)):
        yield disposal.check_drain(
            acidic=acidic,
            outlet_height_in=12,
            receptor_height_in=rim,
            run_ft=10,
            receptacle_near=False,
            septic=septic,
            coldest_f=cold,
            above_rooms=septic,
        )
    for technology, there in itertools.product(TECHNOLOGIES, (None, 30)):
        yield circuits.check_circuit(technology, 4.5, existing_breaker_a=there, existing_size_awg="10")
        yield power_cut.power_cut(technology, volume_gal=45, loss_btuh_per_df=3, tank_f=125, room_f=67.5)
    loads = service_load.ServiceLoads(1800, appliances_va=18_200, cooling_va=5000)
    for watts, peak in itertools.product((0, 1000, 4500, 27_000), (None, 40)):
        yield service_load.check_service(loads, service_a=100, new_heater_va=watts, measured_peak_a=peak)
    for needed, free, damaged in itertools.product((0, 2), (None, 1, 4), (True, False)):
        yield service_load.check_panel(spaces_needed=needed, spaces_free=free, panel_a=100, load_a=90, damaged=damaged)
    yield service_load.check_panel(spaces_needed=2, spaces_free=4, panel_a=100, load_a=110)
    for supply, closed, tank_gal in itertools.product((50, 78, 95), (True, False, None), (0, 2, 9)):
        yield water_side.check_expansion(
            volume_gal=50, cold_f=50, hot_f=120, supply_psi=supply, closed=closed, tank_gal=tank_gal
        )
    for stored, valve in itertools.product((110, 120, 130, 160), (True, False)):
        yield water_side.check_setpoint(stored, mixing_valve=valve)
    for grains, tankless in itertools.product((0, 5, 9, 20), (True, False)):
        yield water_side.check_hardness(grains, tankless=tankless)
    yield distribution.check_wait([distribution.Pipe("pex_sdr9", "1/2", 40)], flow_gpm=1.5, start_delay_s=5)
    for row in load("recirculation_controls").rows():
        yield _loop(control=row["control"])
        yield _loop(control=row["control"], insulation="half_inch")
    for place, fuel, direct in itertools.product(room.PLACES, (True, False), (True, False)):
        yield room.check_location(place, burns_fuel=fuel, direct_vent=direct)
    for volume, use, cold in itertools.product((300, 500, 2000), (40, 90), (30, 55)):
        yield room.check_heat_pump_room(
            room_ft3=volume,
            daily_use_gpd=use,
            delivered_btu_per_day=30_000,
            working_cop=3,
            coldest_f=cold,
            hottest_f=80,
            beside_flame=volume == 2000,
        )


@pytest.fixture(scope="module")
def results():
    return list(_results())


def test_findings_are_one_plain_sentence_or_two(results):
    for result in results:
        text = said(result.findings if hasattr(result, "findings") else result.finding)
        assert text[0].isupper() or text[0].isdigit(), result
        assert text.endswith("."), result
        assert len(text) < 240, result
        assert not FORBIDDEN.search(text), result
        assert "nan" not in text.lower().split(), result


def test_verdicts_and_cautions_are_known(results):
    for result in results:
        assert getattr(result, "verdict", FITS) in HouseVerdict
        assert set(getattr(result, "cautions", ())) <= CAUTIONS, result


def test_every_verdict_is_reached_by_some_house(results):
    assert {result.verdict for result in results if hasattr(result, "verdict")} == set(HouseVerdict)


def test_results_are_frozen(results):
    with pytest.raises(dataclasses.FrozenInstanceError):
        results[0].finding = "changed"


def test_tables_use_no_forbidden_word():
    for name in ("water_side_rules", "heater_power"):
        for row in load(name).rows():
            assert not any(isinstance(cell, str) and FORBIDDEN.search(cell) for cell in row.values()), row
