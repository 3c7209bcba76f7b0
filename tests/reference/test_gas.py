"""Gas piping against printed capacity tables, worked examples, an independent library and the trade."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import fluids
import pytest
from fluids.compressible import Spitzglass_low

from advisor.core import tables
from advisor.core.units import INWC_PER_PSI
from advisor.house.gas import flow as gas_flow
from advisor.house.gas import pipe as gas_pipe
from advisor.house.gas.piping import (
    GasOutlet,
    GasSegment,
    GasSystem,
    LineRegulator,
    by_branch_length,
    by_hybrid,
    by_longest_length,
    by_pressure,
    check,
)
from tests.houses import said

CELLS = list(csv.DictReader((Path(__file__).parent / "gas_cells.csv").open(encoding="utf-8")))
MATCHED = [cell for cell in CELLS if cell["tolerance_pct"] != "n/a"]
MISPRINTED = [cell for cell in CELLS if cell["tolerance_pct"] == "n/a"]
MATERIALS = {
    "steel sch 40": "steel",
    "copper semirigid (type K bore)": "copper_k",
    "polyethylene": "polyethylene",
    "CSST": "csst",
}
# The four code examples use 1,000 Btu/ft3, so a cubic foot an hour is a thousand Btu/h.
KBTU = 1000.0


def _inwc(text: str) -> float:
    number, unit = text.split()[:2]
    return float(number) * (INWC_PER_PSI if unit == "psi" else 1.0)


def _capacity(cell: dict[str, str], length_ft: float) -> float:
    """The cell's capacity by the same route that sizes a house, in the cell's unit."""
    gas = cell["gas"].split()[0]
    size = cell["nominal_size"].removeprefix("EHD ").split()[0]
    supply = cell["inlet_pressure_class"]
    # '< 2 psi' names the table's class; any low pressure gives the same cell, except that Table 402.4(11),
    # 17 in. w.c. drop, is the high-pressure equation with 2 psi at the inlet.
    low = 7.0 if "inlet 2.0 psi" not in cell["method"] else 2 * INWC_PER_PSI
    supply_inwc = low if supply.startswith("<") else _inwc(supply)
    law = gas_pipe.pipe_law(gas, MATERIALS[cell["material"]], size, supply_inwc)
    cfh = law.capacity_cfh(length_ft, supply_inwc, _inwc(cell["pressure_drop"]))
    return cfh * (gas_pipe.gas_named("propane").heating_value_btu_per_ft3 / 1000 if "Btu" in cell["unit"] else 1)


@pytest.mark.parametrize("cell", MATCHED, ids=lambda c: f"{c['table'][:22]} {c['nominal_size']} {c['length_ft']} ft")
def test_every_printed_cell_by_its_stated_method(cell):
    """IFGC 2018 402.4(2) to (35), IRC 2018 G2413.4; the source of each cell stands in the CSV.

    Tolerance: as the CSV states for the method (0 = equal after the tables' own rounding). Whole-number
    cells may be off by 0.75 of a unit, because a fit cannot know which way the printed figure was rounded.
    """
    printed = float(cell["capacity"])
    ours = float(gas_flow.as_printed(_capacity(cell, float(cell["length_ft"]))))
    tolerance = float(cell["tolerance_pct"]) / 100 * printed
    if float(cell["tolerance_pct"]) and printed < 100:
        tolerance = max(tolerance, 0.75)
    assert ours == pytest.approx(printed, abs=tolerance + 1e-9)


def test_cells_cover_every_method():
    assert len(MATCHED) == 141
    assert {cell["method"] for cell in MATCHED} == {
        "low",
        "high",
        "high with inlet 2.0 psi",
        "low x 2.488",
        "high x 2.488",
        "sqrtL_402.4(5)",
        "sqrtL_402.4(7)",
        "csst_fit",
        "csst_fit / 1.5735",
    }


@pytest.mark.parametrize("cell", MISPRINTED, ids=lambda c: f"{c['nominal_size']} {c['length_ft']} ft")
def test_the_mislabelled_propane_rows(cell):
    """IFGC 2018 Table 402.4(28): the row printed 80 ft is the equation at 70, the row printed 100 at 80.

    So the table read literally overstates; the advisor must stay below it.
    """
    true_ft = {"80": 70.0, "100": 80.0}[cell["length_ft"]]
    printed = float(cell["capacity"])
    assert float(gas_flow.as_printed(_capacity(cell, true_ft))) == printed
    literal = _capacity(cell, float(cell["length_ft"]))
    assert 1.06 < printed / literal < 1.14  # the 7 % and 12 % of overstatement, within the cells' rounding


@pytest.mark.parametrize(
    ("table", "inlet_psi", "drop_psi", "reached", "off", "fit_frac"),
    [("402.4(5)", 2.0, 1.0, 0.10, 0.13, 0.004), ("402.4(7)", 5.0, 3.5, 0.07, 0.11, 0.021)],
)
def test_the_equation_alone_does_not_give_the_steel_tables_at_2_and_5_psi(
    table, inlet_psi, drop_psi, reached, off, fit_frac
):
    """Why steel there has its own law: the equation misses IFGC 2018 Tables 402.4(5) and (7) by up to 13 and 11 %.

    That is over the whole tables; the few cells carried here reach 10 and 7 %. The law k over the square root of
    length misses them by 0.4 and 2.1 % (plus half a unit of the third printed figure).
    """
    cells = [cell for cell in MATCHED if cell["method"] == f"sqrtL_{table}"]
    equation, law = [], []
    for cell in cells:
        bore = gas_pipe.bore_in("steel", cell["nominal_size"])
        feet, printed = float(cell["length_ft"]), float(cell["capacity"])
        flow = gas_flow.high_pressure_flow_cfh(bore, feet, inlet_psi, drop_psi, 0.6094, 0.9992)
        equation.append(flow / printed - 1)
        law.append(_capacity(cell, feet) / printed - 1)
    assert reached < max(map(abs, equation)) < off + 0.01
    assert max(map(abs, law)) < fit_frac + 0.005


def test_the_two_propane_tables_of_ehd_37_tubing_disagree():
    """IFGC 2018 Tables 402.4(32) and (33): one law through both misses a cell of EHD 37 by 5.8 %."""
    worst = {}
    for cell in MATCHED:
        if cell["method"] == "csst_fit":
            printed = float(cell["capacity"])
            # Below 100 a printed whole number is itself half a unit loose.
            miss = max(abs(_capacity(cell, float(cell["length_ft"])) - printed) - 0.5, 0) / printed
            worst[cell["nominal_size"]] = max(worst.get(cell["nominal_size"], 0), miss)
    assert worst["EHD 37"] < 0.058 + 0.001
    assert worst["EHD 37"] > 0.02


def test_propane_holds_what_the_printed_tables_imply():
    """The tables' heat over the equation's flow is 2,488 Btu/ft3; 40 CFR 98 Table C-1 gives 2,516, 1.1 % more."""
    implied = gas_pipe.gas_named("propane").heating_value_btu_per_ft3
    assert implied == 2488
    assert 2516 / implied - 1 == pytest.approx(0.011, abs=0.0005)


def test_gas_factors():
    """IFGC 2018 Appendix A.4: inputs and results, to the four printed digits."""
    for row in tables.load("gas_properties").rows():
        cr = gas_flow.gas_factor_dimensionless(row["gravity_dimensionless"], row["viscosity_cp"], 60.0)
        assert round(float(cr), 4) == row["cr_dimensionless"]


@pytest.mark.parametrize(
    ("gravity", "printed"),
    [(0.50, 1.10), (0.55, 1.04), (0.65, 0.96), (0.80, 0.87), (1.00, 0.78), (1.50, 0.63)],
)
def test_gravity_multipliers(gravity, printed):
    """IFGC 2018 Table A.2.4, two printed decimals; 1.00 gives 0.775, which is printed rounded up."""
    assert gas_flow.gravity_multiplier_frac(gravity, 0.60) == pytest.approx(printed, abs=0.0055)


@pytest.mark.parametrize(
    ("nominal", "printed"),
    [
        ("1/2", (0.73, 1.55, 3.10, 3.47)),
        ("3/4", (0.96, 2.06, 4.12, 4.60)),
        ("1", (1.22, 2.62, 5.24, 5.82)),
    ],
)
def test_fitting_lengths(nominal, printed):
    """IRC 2018 Table A.2.2; one unit of the last printed digit and a bit, since n is itself rounded."""
    bore = gas_pipe.bore_in("steel", nominal)
    diameters = {row["fitting"]: row["diameters_dimensionless"] for row in tables.load("gas_fittings").rows()}
    for name, expected in zip(("elbow_45", "elbow_90", "tee_side", "return_180"), printed, strict=True):
        ours = gas_flow.fitting_equivalent_ft(diameters[name], bore)
        assert ours == pytest.approx(expected, abs=0.04)


@pytest.mark.parametrize(("elevation", "printed"), [(0.0, 1.01), (2000.0, 0.95), (5280.0, 0.84), (7000.0, 0.79)])
def test_gas_in_a_cubic_foot_at_altitude(elevation, printed):
    """Standard atmosphere plus 7 in. w.c. over 14.73 psi, to two decimals (own arithmetic)."""
    assert gas_flow.actual_ft3_frac(elevation, 7.0) == pytest.approx(printed, abs=0.006)


def test_standard_atmosphere_against_fluids():
    """The pressure formula inside ``actual_ft3_frac`` against an independent 1976 atmosphere."""
    for elevation in (0.0, 2000.0, 5280.0, 10_000.0):
        expected_psi = fluids.ATMOSPHERE_1976(elevation * 0.3048).P / 6894.757
        ours_psi = gas_flow.actual_ft3_frac(elevation, 0.0) * gas_flow.ATMOSPHERE_PSI
        assert ours_psi == pytest.approx(expected_psi, rel=1e-3)  # 14.696 and the constants are rounded


def test_meter_class_in_ordinary_gas():
    """A 250-class meter carries about 260 kBtu/h: 1.03 for 0.60 gravity (class as in the 1966 paper)."""
    capacity = gas_flow.meter_capacity_cfh(250.0, 0.60)
    assert capacity / 250 == pytest.approx(1.03, abs=0.005)
    assert capacity == pytest.approx(260, abs=3)


# The code's worked examples, each from inputs to pipe sizes.


def _tree(gas, supply, segments, outlets, **more):
    return GasSystem(gas, supply, tuple(segments), tuple(outlets), heating_value_btu_per_ft3=1000.0, **more)


def _size(name, upstream, length, material="steel", size=None):
    """A segment whose present size does not matter, since the method is asked for the size it takes."""
    return GasSegment(name, upstream, material, size or gas_pipe.sizes(material)[0], length)


def test_example_a71_longest_length():
    """IFGC 2018 A.7.1: steel, 0.5 in. w.c., longest run 60 ft; A 35, B 75, C 35, D 100 ft3/h."""
    system = _tree(
        "natural",
        7.0,
        [
            _size("all", "source", 10.0),
            _size("A+B", "all", 20.0),
            _size("C+D", "all", 10.0),
            _size("A", "A+B", 30.0),
            _size("B", "A+B", 10.0),
            _size("C", "C+D", 10.0),
            _size("D", "C+D", 20.0),
        ],
        [GasOutlet(name, name, load * KBTU) for name, load in {"A": 35, "B": 75, "C": 35, "D": 100}.items()],
        allowed_drop_inwc=0.5,
    )
    result = by_longest_length(system)
    assert {item.row_ft for item in result.segments} == {60.0}
    loads = {item.segment.name: round(item.load_cfh) for item in result.segments}
    assert (loads["A+B"], loads["C+D"], loads["all"]) == (110, 135, 245)
    sizes = {item.segment.name: item.required_size for item in result.segments}
    answers = {"A": "1/2", "B": "3/4", "A+B": "3/4", "C+D": "3/4", "all": "1"}
    assert {name: sizes[name] for name in answers} == answers


def test_example_a72_hybrid():
    """IFGC 2018 A.7.2: tubing, 2 psi for 100 ft; then furnace 60 ft3/h 15 ft, heater 30 ft3/h 10 ft.

    The code states the 2 psi part: size 18, 189 ft3/h. Size 13 for furnace and heater follows from the fit.
    """
    system = _tree(
        "natural",
        2 * INWC_PER_PSI,
        [
            _size("2 psi run", "source", 100.0, "csst"),
            _size("furnace", "2 psi run", 15.0, "csst"),
            _size("heater", "2 psi run", 10.0, "csst"),
            _size("spare", "2 psi run", 5.0, "csst"),
        ],
        # 110 ft3/h go through the first part; the example's other 20 are served from the same manifold.
        [
            GasOutlet("furnace", "furnace", 60e3),
            GasOutlet("heater", "heater", 30e3),
            GasOutlet("dryer", "spare", 20e3),
        ],
        allowed_drop_inwc=INWC_PER_PSI,
        regulators=(LineRegulator("2 psi run", 8.0, 4.0, 3.0, 200.0),),
    )
    result = by_hybrid(system, sizes={"csst": ("13", "18", "23", "30")})
    sizes = {item.segment.name: item.required_size for item in result.segments}
    assert round(result.segment("2 psi run").load_cfh) == 110
    assert (sizes["2 psi run"], sizes["furnace"], sizes["heater"]) == ("18", "13", "13")
    assert all(item.passes for item in result.regulators)


def test_example_a72_regulator_that_loses_too_much():
    """The same house; above 3/4 psi of the regulator's own loss the 2 psi tables may not be used."""
    system = _tree(
        "natural",
        2 * INWC_PER_PSI,
        [_size("run", "source", 100.0, "csst", "18"), _size("heater", "run", 10.0, "csst", "18")],
        [GasOutlet("heater", "heater", 30e3)],
        regulators=(LineRegulator("run", 8.0, 22.0, 3.0, 200.0),),
    )
    result = by_hybrid(system)
    assert not result.passes
    assert "3/4 psi" in said(result.finding)


def test_example_a73_branch_length():
    """IFGC 2018 A.6.3 and A.7.3: semirigid copper, 1.0 in. w.c. drop; E's size is from memory, unverified."""
    system = _tree(
        "natural",
        7.0,
        [
            _size("A", "source", 10.0, "copper_k"),
            _size("B", "A", 20.0, "copper_k"),
            _size("C", "A", 40.0, "copper_k"),
            _size("D", "A", 20.0, "copper_k"),
            _size("E", "A", 20.0, "copper_k"),
        ],
        [GasOutlet(name, name, load * KBTU) for name, load in {"B": 75, "C": 30, "D": 35, "E": 80}.items()],
        allowed_drop_inwc=1.0,
    )
    result = by_branch_length(system)
    assert round(result.segment("A").load_cfh) == 220
    assert {item.segment.name: item.row_ft for item in result.segments} == {
        "A": 50.0,
        "B": 30.0,
        "C": 50.0,
        "D": 30.0,
        "E": 30.0,
    }
    sizes = {item.segment.name: item.required_size for item in result.segments}
    assert sizes == {"A": "1", "B": "1/2", "C": "3/8", "D": "3/8", "E": "1/2"}


def test_example_a74_added_branch():
    """IFGC 2018 A.6.4 and A.7.4: 40 ft3/h in corrugated tubing, 40 ft from the meter, 0.5 in. w.c."""
    system = _tree(
        "natural",
        7.0,
        [_size("branch", "source", 40.0, "csst")],
        [GasOutlet("new", "branch", 40e3)],
        allowed_drop_inwc=0.5,
    )
    on_hand = {"csst": ("13", "18", "23", "30")}
    item = by_longest_length(system, on_hand).segment("branch")
    assert item.required_size == "18"


def _swap(heater_btuh, supply=7.0, drop=0.5, trunk="3/4", branch="1/2"):
    return _tree(
        "natural",
        supply,
        [
            _size("trunk", "source", 20.0, size=trunk),
            _size("heater branch", "trunk", 20.0, size=branch),
            _size("furnace branch", "trunk", 15.0, size="3/4"),
            _size("range branch", "trunk", 15.0),
            _size("dryer branch", "trunk", 15.0),
        ],
        [
            GasOutlet("heater", "heater branch", heater_btuh),
            GasOutlet("furnace", "furnace branch", 80e3),
            GasOutlet("range", "range branch", 65e3),
            GasOutlet("dryer", "dryer branch", 35e3),
        ],
        allowed_drop_inwc=drop,
    )


def test_tank_to_tankless():
    """Own example, sized by hand from IFGC 2018 Tables 402.4(2) and (3); longest run 40 ft.

    With a 40,000 Btu/h tank: trunk 1 in. (320), branch 1/2 (81). With 180,000: 1-1/4 (657), 1 in. (320).
    """
    tank, tankless = by_longest_length(_swap(40e3)), by_longest_length(_swap(180e3))
    assert (tank.segment("trunk").required_size, tank.segment("heater branch").required_size) == ("1", "1/2")
    assert round(tank.segment("trunk").load_cfh) == 220
    assert tankless.segment("trunk").required_size == "1-1/4"
    assert tankless.segment("heater branch").required_size == "1"
    assert not tankless.passes


def test_tank_to_tankless_at_8_inches():
    """The rescue: at 8 in. w.c., 3.0 in. table, the old 3/4 in. trunk (448) and 1/2 in. branch (214) pass."""
    raised = _swap(180e3, supply=8.0, drop=3.0)
    result = by_longest_length(raised)
    assert result.passes
    assert result.segment("trunk").capacity_cfh == 448
    assert result.segment("heater branch").capacity_cfh == 214
    assert check(raised).verdict == "fits as it is"
    assert by_pressure(raised).worst.inlet_inwc > 5.0


# The trade's rules of thumb: common practice, no published source; confirmed by the tables.


@pytest.mark.parametrize(("gas", "supply", "drop", "feet"), [("natural", 8.0, 3.0, 40.0), ("propane", 11.0, 0.5, 20.0)])
def test_half_inch_branch_carries_199_000(gas, supply, drop, feet):
    """A half-inch branch carries a 199,000 Btu/h heater 40 ft at 8 in. w.c., 20 ft on propane at 11.

    Common practice, no published source. The natural gas rule leaves 7 % to spare at 1,000 Btu/ft3; the
    propane rule is the table to the last thousand: 199.
    """
    kind = gas_pipe.gas_named(gas)
    heat = 1000.0 if gas == "natural" else kind.heating_value_btu_per_ft3
    law = gas_pipe.pipe_law(gas, "steel", "1/2", supply)
    assert gas_flow.as_printed(law.capacity_cfh(feet, supply, drop)) * heat >= 199_000
    assert law.capacity_cfh(feet * 1.25, supply, drop) * heat < 199_000


def test_the_trade_counts_an_elbow_longer_than_the_code():
    """Common practice, no published source: an elbow counts 5 to 8 ft, the code's 2 to 3 in. pipe.

    For household sizes up to 1-1/2 in. the trade's figure is therefore the careful one.
    """
    for nominal in ("1/2", "3/4", "1", "1-1/4", "1-1/2"):
        assert gas_flow.fitting_equivalent_ft(30.0, gas_pipe.bore_in("steel", nominal)) < 5.0
    assert gas_flow.fitting_equivalent_ft(30.0, gas_pipe.bore_in("steel", "2")) == pytest.approx(5.0, abs=0.25)
    assert gas_flow.fitting_equivalent_ft(30.0, gas_pipe.bore_in("steel", "3")) == pytest.approx(8.0, abs=0.5)


# An independent library. SI constants: 1 ft = 0.3048 m, 1 in. w.c. = 249.089 Pa (4 °C water).


def _friction_flow_cfh(bore_in, length_ft, drop_inwc):
    """Flow by Darcy's law with the library's friction factor, and the Reynolds number.

    Steel roughness 0.0018 in.; gas of 0.60 gravity at 60 °F and 1 atm; viscosity 0.012 centipoise, as the
    code's.
    """
    bore, length, fall = bore_in * 0.0254, length_ft * 0.3048, drop_inwc * 249.089
    density, viscosity = 0.60 * 1.2238, 1.2e-5
    speed = 3.0
    for _ in range(40):
        reynolds = fluids.Reynolds(V=speed, D=bore, rho=density, mu=viscosity)
        friction = fluids.friction_factor(Re=reynolds, eD=0.0018 / bore_in)
        speed = math.sqrt(2 * fall * bore / (friction * length * density))
    return speed * math.pi / 4 * bore**2 * 3600 / 0.3048**3, reynolds


@pytest.mark.parametrize("nominal", ["1/2", "3/4", "1", "1-1/4", "2"])
@pytest.mark.parametrize("length", [10.0, 40.0, 100.0])
@pytest.mark.parametrize("drop", [0.5, 3.0])
def test_low_pressure_flow_against_friction_factors(nominal, length, drop):
    """The code's equation against pipe friction computed from first principles with ``fluids``.

    The code's exponents (0.541 and 2.623) stand for friction that falls as Re^-0.15, a straight line
    through the curve of smooth to commercial pipe. Over household flows in turbulence (Re 4,000 to 130,000)
    it gives from 6 % more flow (small bores, low Re) to 8 % less (2 in.) than the full friction factor;
    hence the band. Below Re 4,000 the flow is in transition, where no friction factor is sure: those three
    cases are left out.
    """
    bore = gas_pipe.bore_in("steel", nominal)
    independent, reynolds = _friction_flow_cfh(bore, length, drop)
    ratio = independent / float(gas_flow.low_pressure_flow_cfh(bore, length, drop, 0.6094))
    if (nominal, length, drop) in {("1/2", 40.0, 0.5), ("1/2", 100.0, 0.5), ("3/4", 100.0, 0.5)}:
        assert reynolds < 4000
    else:
        assert 0.94 < ratio < 1.08


@pytest.mark.parametrize(("nominal", "band"), [("1/2", (0.64, 0.78)), ("1", (0.74, 0.90)), ("2", (0.86, 1.04))])
def test_low_pressure_flow_against_spitzglass(nominal, band):
    """The older Spitzglass formula, as ``fluids`` has it, is far more careful in small pipe.

    Its friction term 1 + 3.6/D + 0.03 D ignores the Reynolds number and was drawn from larger pipe: it
    gives 22 to 36 % less in half-inch pipe and meets the code's equation at 2 in. The code's equation
    follows the friction factor above, so the band is wide and only says where the two agree and which way
    they part.
    """
    bore = gas_pipe.bore_in("steel", nominal)
    for length in (10.0, 40.0, 100.0):
        for drop in (0.5, 3.0):
            older = Spitzglass_low(
                SG=0.60,
                Tavg=288.706,
                L=length * 0.3048,
                D=bore * 0.0254,
                P1=drop * 249.089,
                P2=0.0,
                Ts=288.706,
                Ps=101_325.0,
            )
            ours = float(gas_flow.low_pressure_flow_cfh(bore, length, drop, 0.6094))
            assert band[0] < older * 3600 / 0.3048**3 / ours < band[1]


@pytest.mark.parametrize("nominal", ["1/2", "1", "2"])
def test_high_pressure_flow_against_isothermal_flow(nominal):
    """The high-pressure equation at 3 psi, 2 psi drop, 40 ft, against the library's isothermal gas flow.

    The same straight line through the friction curve as at low pressure, at higher Re: within -6 and +9 %.
    """
    bore_in = gas_pipe.bore_in("steel", nominal)
    bore, length = bore_in * 0.0254, 40 * 0.3048
    p1, p2 = (3 + 14.73) * 6894.757, (1 + 14.73) * 6894.757
    density = 0.60 * 1.2238 * (p1 + p2) / 2 / 101_325
    friction, mass = 0.02, 0.0
    for _ in range(30):
        mass = fluids.isothermal_gas(rho=density, fd=friction, P1=p1, P2=p2, L=length, D=bore)
        reynolds = 4 * mass / (math.pi * bore * 1.2e-5)
        friction = fluids.friction_factor(Re=reynolds, eD=0.0018 / bore_in)
    independent = mass / (0.60 * 1.2238) * 3600 / 0.3048**3
    ours = gas_flow.high_pressure_flow_cfh(bore_in, 40.0, 3.0, 2.0, 0.6094, 0.9992)
    assert 0.94 < independent / ours < 1.09
