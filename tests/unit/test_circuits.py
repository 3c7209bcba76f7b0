"""Circuits for storage, heat pump and tankless heaters."""

from dataclasses import replace

import numpy as np
import pytest

from advisor.core.errors import OutOfRangeError
from advisor.core.kinds import Technology
from advisor.core.verdicts import FITS, NEEDS_WORK
from advisor.heaters.catalogue import by_id
from advisor.house.electrical.circuits import (
    check_circuit,
    heating_groups_count,
    next_breaker_a,
    smallest_conductor,
    storage_circuit,
    tankless_circuits,
    usual_breaker_a,
)
from advisor.house.electrical.scope import check_power
from tests.houses import USE, case_of, check, house_of, said

RESISTANCE = Technology.named("electric_storage_resistance")


@pytest.mark.parametrize(("supply_v", "poles"), [(120.0, 1), (208.0, 2), (240.0, 2)])
def test_a_circuit_takes_a_space_for_each_hot_wire(supply_v, poles):
    assert storage_circuit(1.5, supply_v=supply_v).spaces == poles
    assert tankless_circuits(3.0, supply_v=supply_v, plate_count=1).spaces == poles


def test_next_breaker_is_the_next_and_stops_at_the_end():
    assert next_breaker_a(25.0) == 25
    assert next_breaker_a(25.01) == 30
    assert usual_breaker_a(25.0) == 30
    assert np.isnan(next_breaker_a(201.0))


def test_groups_of_48_a():
    """NEC 422.11(F)(1): resistance heating over 48 A is split; 48 A and 96 A are full groups."""
    loads_a = [47.9, 48.0, 48.1, 96.0, 96.1]
    assert heating_groups_count(loads_a).tolist() == [1, 1, 2, 2, 3]
    # Amperes worked out from kilowatts may lie a rounding above.
    assert heating_groups_count(48.0 * (1 + 1e-15)) == 1


def test_standard_tank():
    circuit = storage_circuit(4.5)
    assert circuit.total_a == 18.75
    assert (circuit.least_breaker_a, circuit.usual_breaker_a, circuit.largest_breaker_a) == (25, 30, 30)
    assert circuit.spaces == 2


def test_lower_voltage_draws_less():
    circuit = storage_circuit(4.5, supply_v=208)
    assert circuit.power_kw == pytest.approx(4.5 * 0.751, abs=0.001)
    assert circuit.total_a == pytest.approx(16.25)


def test_a_hot_attic_takes_a_larger_conductor():
    assert storage_circuit(3.5, ambient_frac=0.82).conductor.size_awg == "10"
    assert storage_circuit(3.5).conductor.size_awg == "12"


def test_small_conductors_keep_their_small_breakers():
    # 10 copper at 75 C carries 35 A but may not stand behind more than 30 A.
    assert smallest_conductor(31, 35, column="75 C").size_awg == "8"
    assert smallest_conductor(30, 30, column="75 C").size_awg == "10"


def test_a_circuit_beyond_the_table_is_an_error():
    with pytest.raises(OutOfRangeError, match="heaters.input_kw"):
        smallest_conductor(500, 500)


@pytest.mark.parametrize(("power_kw", "groups"), [(11.5, 1), (11.6, 2), (23, 2), (27, 3)])
def test_tankless_groups_stay_under_48_a(power_kw, groups):
    circuit = tankless_circuits(power_kw)
    assert circuit.circuits == groups
    assert circuit.each_a <= 48 + 1e-9
    assert circuit.usual_breaker_a <= 60
    assert circuit.spaces == 2 * groups
    assert "listed as instantaneous" in said(circuit.notes)


def test_existing_circuit_serves_or_not():
    assert check_circuit(RESISTANCE, 4.5, existing_breaker_a=30, existing_size_awg="10").verdict == FITS
    assert check_circuit(RESISTANCE, 4.5, existing_breaker_a=25, existing_size_awg="10").verdict == FITS
    assert check_circuit(RESISTANCE, 4.5, existing_breaker_a=20, existing_size_awg="12").verdict == NEEDS_WORK
    # A breaker too large for its conductor, or for the heater, does not serve.
    assert check_circuit(RESISTANCE, 4.5, existing_breaker_a=30, existing_size_awg="12").verdict == NEEDS_WORK
    assert check_circuit(RESISTANCE, 4.5, existing_breaker_a=50, existing_size_awg="6").verdict == NEEDS_WORK
    assert check_circuit(RESISTANCE, 4.5).spaces_needed == 2


def test_gas_heaters_need_an_outlet_or_nothing():
    assert check_circuit(Technology.named("gas_storage_atmospheric")).verdict == FITS
    assert check_circuit(Technology.named("gas_tankless_condensing")).verdict == NEEDS_WORK
    assert check_circuit(Technology.named("gas_tankless_condensing"), receptacle_near=True).verdict == FITS
    assert "plug_in_slow" in check_circuit(Technology.named("heat_pump_storage_120v")).cautions


def test_tankless_never_fits_an_old_tank_circuit_when_it_needs_two():
    check = check_circuit(Technology.named("electric_tankless"), 18, existing_breaker_a=30, existing_size_awg="10")
    assert check.verdict == NEEDS_WORK
    assert "electric_tankless_load" in check.cautions


def test_on_208_v_a_smaller_breaker_goes_into_the_same_spaces():
    """4.5 kW at 240 V takes 16.25 A at 208 V: at least 20.3 A (422.13), at most 25 A (422.11(E)); 30 A is there."""
    check = check_circuit(RESISTANCE, 4.5, supply_v=208, existing_breaker_a=30, existing_size_awg="10")
    assert check.keeps_wire and check.spaces_needed == 0
    assert check.verdict == NEEDS_WORK
    assert check.circuit.usual_breaker_a == 25
    assert "25 A" in said(check.finding)


def test_the_plate_of_a_tankless_heater_governs():
    """36 kW on four circuits: 37.5 A each; the plate asks for 40 A, a quarter more would be 50 A (NEC 110.3(B))."""
    plain, plate = (
        check_circuit(Technology.named("electric_tankless"), 36, plate_count=4, plate_breaker_a=breaker_a).circuit
        for breaker_a in (None, 40)
    )
    assert (plain.usual_breaker_a, plate.usual_breaker_a) == (50, 40)
    assert (plate.circuits, plate.conductor.size_awg) == (4, "8")


@pytest.mark.parametrize(("heater", "is_assumed"), [("heat-pump-50", True), ("heat-pump-plug-in-50", False)])
def test_an_element_that_no_label_tells_is_assumed_on_240_v_and_said(heater, is_assumed):
    label = replace(by_id(heater), input_kw=None)
    found = check_power(label, *house_of(case_of()), USE)
    assert ("heaters.input_kw" in {one.field for one in found.assumed}) == is_assumed
    assert check_power(by_id(heater), *house_of(case_of()), USE).assumed == tuple(
        one for one in found.assumed if one.field != "heaters.input_kw"
    )


@pytest.mark.parametrize(
    ("heater", "is_there", "is_told"),
    [
        ("gas-tank-50", False, False),
        ("gas-tankless-condensing-199", False, True),  # one space more
        ("gas-tankless-condensing-199", True, False),  # plugged in where something was plugged in before
        ("electric-tank-50", False, True),
    ],
)
def test_a_damaged_panel_is_looked_at_before_anything_is_added_to_it(heater, is_there, is_told):
    keys = {"electrical__is_damaged_panel": True, "electrical__has_receptacle": is_there}
    codes = {one.code for one in check(heater, **keys).trade("power").findings}
    assert ("electrical.panel.look_first" in codes) == is_told
