"""Gas flow in one pipe: forms of the equations, and the look-up of a pipe."""

from __future__ import annotations

import inspect
import math

import numpy as np
import pytest

from advisor.core.errors import InputError, OutOfRangeError
from advisor.core.units import INWC_PER_PSI, suffix_of
from advisor.house.gas import flow as gas_flow
from advisor.house.gas import pipe as gas_pipe
from tests.houses import said

FORMULAS = [f for _, f in inspect.getmembers(gas_flow, inspect.isfunction) if hasattr(f, "__published__")]


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda f: f.__name__)
def test_every_formula_names_its_units_and_runs_its_example(formula):
    assert suffix_of(formula.__name__)
    assert all(suffix_of(name) for name in inspect.signature(formula).parameters)
    assert math.isfinite(formula(**formula.__published__.example))


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda f: f.__name__)
def test_scalar_equals_array(formula):
    example = formula.__published__.example
    scale = np.array([0.8, 1.0, 1.2])
    together = formula(**{name: value * scale for name, value in example.items()})
    alone = [formula(**{name: value * factor for name, value in example.items()}) for factor in scale]
    np.testing.assert_allclose(together, alone, rtol=1e-13)


def test_drops_turn_the_flows_round():
    flow = gas_flow.low_pressure_flow_cfh(0.824, 40.0, 0.5, 0.6094)
    assert gas_flow.low_pressure_drop_inwc(0.824, 40.0, flow, 0.6094) == pytest.approx(0.5)
    flow = gas_flow.high_pressure_flow_cfh(0.824, 40.0, 2.0, 1.2, 0.6094, 0.9992)
    assert gas_flow.high_pressure_drop_psi(0.824, 40.0, 2.0, flow, 0.6094, 0.9992) == pytest.approx(1.2)


def test_a_flow_that_no_vacuum_could_draw_has_no_drop():
    assert math.isnan(gas_flow.high_pressure_drop_psi(0.622, 100.0, 2.0, 1e6, 0.6094, 0.9992))
    law = gas_pipe.pipe_law("natural", "copper_k", "1/4", 2 * INWC_PER_PSI)
    assert law.drop_inwc(1e6, 100.0, 2 * INWC_PER_PSI) == math.inf


@pytest.mark.parametrize(
    ("capacity", "printed"),
    [(81.3, 81), (99.6, 100), (171.6, 172), (1234.0, 1230), (10_050.1, 10_100), (0.0, 0)],
)
def test_rounding_as_printed(capacity, printed):
    assert gas_flow.as_printed(capacity) == printed


@pytest.mark.parametrize("material", gas_pipe.materials())
@pytest.mark.parametrize("gas", ["natural", "propane"])
@pytest.mark.parametrize("supply", [7.0, 2 * INWC_PER_PSI, 5 * INWC_PER_PSI])
def test_a_pipe_law_is_its_own_inverse_and_grows_with_size(material, gas, supply):
    capacities = []
    for size in gas_pipe.sizes(material):
        law = gas_pipe.pipe_law(gas, material, size, supply)
        capacities.append(law.capacity_cfh(30.0, supply, 1.0))
        assert law.drop_inwc(capacities[-1], 30.0, supply) == pytest.approx(1.0)
    assert capacities == sorted(capacities)


def test_a_pipe_law_is_the_published_equation():
    law = gas_pipe.pipe_law("natural", "steel", "1", 7.0)
    assert law.capacity_cfh(60.0, 7.0, 0.5) == pytest.approx(gas_flow.low_pressure_flow_cfh(1.049, 60.0, 0.5, 0.6094))
    law = gas_pipe.pipe_law("propane", "copper_l", "1", 3 * INWC_PER_PSI)
    assert law.capacity_cfh(60.0, 3 * INWC_PER_PSI, INWC_PER_PSI) == pytest.approx(
        gas_flow.high_pressure_flow_cfh(1.025, 60.0, 3.0, 1.0, 1.2462, 0.9910)
    )


def test_tubing_carries_natural_gas_by_its_gravity():
    """EHD 18 carries 562,500 Btu/h of propane, 2,488 Btu/ft³, at 1 in. w.c. a foot; gas of 0.60 gravity flows
    sqrt(1.50 / 0.60) = 1.58114 times as fast as propane: 562,500 / 2,488 x 1.58114 = 357.47 ft³/h."""
    assert gas_pipe.pipe_law("natural", "csst", "18", 7.0).flow_cfh == pytest.approx(357.47, abs=0.02)


@pytest.mark.parametrize(
    ("supply_psi", "follows_the_table"),
    [(1.5, True), (2.5, True), (2.6, False), (4.4, False), (4.5, True), (5.5, True), (5.6, False)],
)
def test_steel_follows_the_printed_tables_near_2_and_5_psi(supply_psi, follows_the_table):
    """IFGC 2018 Tables 402.4(5) and (7); how near is our own choice."""
    law = gas_pipe.pipe_law("natural", "steel", "1", supply_psi * INWC_PER_PSI)
    assert (law.exponent == 0.5) == follows_the_table


def test_tubing_has_printed_cells_at_6_inwc_drop():
    """NFPA 54-2012 Table 6.2(q), EHD 18, 10 ft: 277 ft³/h."""
    assert gas_pipe.printed_csst_cfh("18", 11.0, 6.0, 10.0) == 277
    assert gas_pipe.printed_csst_cfh("18", 11.0, 5.9, 10.0) is None


@pytest.mark.parametrize(
    ("supply_psi", "drop_psi", "has_cell"), [(5.5, 3.5, True), (5.6, 3.5, False), (5.0, 3.0, False)]
)
def test_tubing_has_printed_cells_at_5_psi_with_3_5_psi_drop(supply_psi, drop_psi, has_cell):
    cell = gas_pipe.printed_csst_cfh("18", supply_psi * INWC_PER_PSI, drop_psi * INWC_PER_PSI, 50.0)
    assert (cell is not None) == has_cell


def test_the_fitted_formulas_return_printed_cells():
    """IFGC 2018 Table 402.4(5), 3/4 in., 40 ft: 1,520 ft³/h; Table 402.4(32), EHD 31, 5 ft: 863,000 Btu/h."""
    assert gas_flow.steel_high_pressure_flow_cfh(9618.0, 40.0) == pytest.approx(1520, abs=5)
    assert gas_flow.csst_propane_flow_btuh(2_803_800.0, 0.5120, 5.0, 0.5) == pytest.approx(863_000, rel=0.002)


def test_heavier_gas_flows_less():
    plain = gas_pipe.pipe_law("natural", "steel", "1", 7.0)
    heavy = gas_pipe.pipe_law("natural", "steel", "1", 7.0, 0.65)
    assert heavy.flow_cfh / plain.flow_cfh == pytest.approx(0.96, abs=0.005)


@pytest.mark.parametrize(
    ("gas", "material", "size", "word"),
    [
        ("coal gas", "steel", "1", "gas"),
        ("natural", "lead", "1", "material"),
        ("natural", "steel", "9", "size"),
    ],
)
def test_unknown_pipe_is_refused(gas, material, size, word):
    with pytest.raises(InputError, match=word):
        gas_pipe.pipe_law(gas, material, size, 7.0)


@pytest.mark.parametrize(
    ("length", "material", "high", "row"),
    [
        (10, "steel", False, 10),
        (41, "steel", False, 50),
        (110, "copper_k", False, 125),
        (12, "csst", False, 15),
        (320, "csst", True, 400),
        # Above 2 psi tubing has no rows of 15, 20, 60, 70 and 90 ft, and one of 75 (NFPA 54-2012 Table 6.2(s)).
        (12, "csst", True, 25),
        (60, "csst", True, 75),
        (85, "csst", True, 100),
    ],
)
def test_next_longer_row(length, material, high, row):
    assert gas_pipe.table_row_ft(length, material, high) == row


@pytest.mark.parametrize(
    ("material", "high", "rows"),
    [
        # IFGC 2018 Table 402.4(2); those of 1,100 ft and more from memory.
        (
            "steel",
            False,
            "10 20 30 40 50 60 70 80 90 100 125 150 175 200 250 300 350 400 450 500 550 600 650 700 750 800 850 900 950"
            " 1000 1100 1200 1300 1400 1500 1600 1700 1800 1900 2000",
        ),
        # NFPA 54-2012 Tables 6.2(q) and (s).
        ("csst", False, "5 10 15 20 25 30 40 50 60 70 80 90 100 150 200 250 300"),
        ("csst", True, "10 25 30 40 50 75 80 100 150 200 250 300 400 500"),
    ],
)
def test_every_printed_row_is_read_to_its_length_and_no_further(material, high, rows):
    printed = [float(row) for row in rows.split()]
    assert [gas_pipe.table_row_ft(row, material, high) for row in printed] == printed
    assert [gas_pipe.table_row_ft(row + 0.1, material, high) for row in printed[:-1]] == printed[1:]
    with pytest.raises(OutOfRangeError, match="end at"):
        gas_pipe.table_row_ft(printed[-1] + 0.1, material, high)


@pytest.mark.parametrize(
    ("gas", "supply", "drop"),
    [
        ("natural", 7.99, 0.5),
        ("natural", 8.0, 3.0),
        ("natural", 10.99, 3.0),
        ("natural", 11.0, 6.0),
        ("natural", 1.49 * INWC_PER_PSI, 6.0),
        ("natural", 1.5 * INWC_PER_PSI, INWC_PER_PSI),
        ("propane", 1.5 * INWC_PER_PSI, INWC_PER_PSI),
        ("propane", 11.0, 0.5),
        ("natural", 2 * INWC_PER_PSI, INWC_PER_PSI),
    ],
)
def test_usual_drop(gas, supply, drop):
    assert gas_pipe.usual_drop_inwc(gas, supply) == drop


def test_fittings():
    """IRC 2018 Table A.2.2, 1/2 in.: two elbows and a tee, 2 x 1.55 + 3.10. Tubing: bends beyond four."""
    assert gas_pipe.fittings_ft("steel", "1/2", 2, 0, 1) == pytest.approx(6.20, abs=0.03)
    assert gas_pipe.fittings_ft("csst", "18", 4, 0, 1) == 0.0
    assert gas_pipe.fittings_ft("csst", "18", 5, 1, 0) == pytest.approx(2.6)


def test_a_fit_is_not_stretched_beyond_its_tables():
    law = gas_pipe.pipe_law("natural", "csst", "18", 2 * INWC_PER_PSI)
    # IFGC 2018 Tables 402.4(32) and (33): 0.5 in. w.c. over up to 300 ft, 1 psi over 10 ft and more.
    for length, drop in ((10.0, INWC_PER_PSI), (300.0, 0.5)):
        assert law.capacity_cfh(length, 2 * INWC_PER_PSI, drop) > 0
    for length, drop in ((9.9, INWC_PER_PSI), (300.5, 0.5)):
        with pytest.raises(OutOfRangeError, match="outside the tables for corrugated tubing"):
            law.capacity_cfh(length, 2 * INWC_PER_PSI, drop)


def test_pipe_in_words():
    assert said(gas_pipe.named("steel", "1/2")) == "1/2 in. steel"
    assert said(gas_pipe.named("csst", "23")) == "corrugated tubing EHD 23"
