"""Five whole houses of vent, air, electricity, water and drain: by the code's method, and by physics of another kind.

The first method is arithmetic from the printed sections. The second uses none of them: Darcy's law with the friction
factors of ``fluids`` for flue gas, Bernoulli for air, steam tables and Boyle's law for water, Ohm's law, burnt gas.
"""

import math

import fluids
import pytest
from iapws import IAPWS97

from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK
from tests.houses import ELECTRIC_HOUSE, check, said

IN_M, FT_M, INWC_PA = 0.0254, 0.3048, 249.089


def jobs_of(trade):
    return {job.job for job in trade.items if not job.is_usual}


def drawn_kg_s(height_ft, lateral_ft, diameter_in, gas_c=150.0, air_c=15.6):
    """Flue gas that buoyancy pulls through a vent with two turns, an entry and a cap: its head equals the losses."""
    density, bore = 1.2 * 288.7 / (273.15 + gas_c), diameter_in * IN_M
    head_pa = 9.81 * height_ft * FT_M * (1.2 * 288.7 / (273.15 + air_c) - density)
    flow = 0.02
    for _ in range(30):
        speed = flow / density / (math.pi / 4 * bore**2)
        reynolds = fluids.Reynolds(V=speed, D=bore, rho=density, mu=2.4e-5)
        friction = fluids.friction_factor(Re=reynolds, eD=0.15e-3 / bore)
        losses = friction * (height_ft + lateral_ft) * FT_M / bore + 0.5 + 2 * 0.75 + 1.5
        flow = (flow + density * math.pi / 4 * bore**2 * math.sqrt(2 * head_pa / density / losses)) / 2
    return flow


def test_a_large_tank_on_a_vent_between_two_printed_rows():
    """IFGC Appendix B example 3: 4 in., 12 ft, 5 ft lateral lies between 77,000 and 87,000: 81,000; 76,000 pass.

    By buoyancy against friction the draft of 15 ft over 10 ft and of 4 in. over 3 in. goes as the printed cells do
    (77 to 87, and 40 to 77 thousand); 12 % for the cooling on the way, which the simple balance leaves out.
    """
    place = {"vent__flue_height_ft": 12, "vent__flue_lateral_ft": 5, "vent__flue_diameter_in": 4}
    house = {"vent__flue": "type_b", "vent__is_shared": False, "failed__input_btuh": 76_000}
    vent = check("gas-tank-75", **house, **place).trade("vent")
    assert vent.verdict == FITS
    assert vent.detail.capacity.capacity_btuh == pytest.approx(77_000 + 2 / 5 * 10_000)
    taller, wider = drawn_kg_s(15, 5, 4) / drawn_kg_s(10, 5, 4), drawn_kg_s(10, 5, 4) / drawn_kg_s(10, 5, 3)
    assert taller == pytest.approx(87 / 77, rel=0.12)
    assert wider == pytest.approx(77 / 40, rel=0.12)


def test_a_furnace_and_a_tank_in_one_small_room():
    """12 x 20 x 8 ft: 1,920 ft³ where 120,000 and 40,000 Btu/h need 8,000 (IFGC 304.5.1).

    IFGC 304.5.3.1 two of 160 in² to the house; 304.6 outdoors one of 53.3, two of 40 or of 80 through ducts, less the
    1,920 / 8,000 that the room gives (304.7). By Bernoulli the air of the fires, 30 ft³ to a thousand Btu/h with the
    dilution at the hoods, loses less in the single opening than the 0.02 in. w.c. on which a draft hood lives (common
    practice, no published source).
    """
    house = {"house__heater_space": "basement", "house__room_volume_ft3": 1920, "house__joined_ft3": 9000}
    furnace = {"gas__furnace_btuh": 120_000, "house__furnace_breathes": "fan"}
    air = check("gas-tank-40", **house, **furnace).trade("air")
    ways = {way.arrangement: way for way in air.detail.ways_out}
    outdoors = 1 - 1920 / 8000
    assert air.detail.required_ft3 == 8000 and air.verdict == NEEDS_WORK
    assert jobs_of(air) == {"combustion-air-indoor"}
    assert (ways["indoor_same_storey"].openings, ways["indoor_same_storey"].free_area_in2) == (2, 160)
    assert ways["outdoor_one"].free_area_in2 == pytest.approx(160_000 / 3000 * outdoors)
    assert ways["outdoor_two_direct"].free_area_in2 == pytest.approx(40 * outdoors)
    assert ways["outdoor_two_horizontal_ducts"].free_area_in2 == pytest.approx(80 * outdoors)
    flow_m3_s = 30 * 160 * outdoors * FT_M**3 / 3600
    speed = flow_m3_s / (0.61 * ways["outdoor_one"].free_area_in2 * IN_M**2)
    assert 1.2 * speed**2 / 2 < 0.02 * INWC_PA


def test_an_electric_tankless_heater_on_208_v():
    """27 kW at 240 V, 1,800 ft², range 12, dryer 5, dishwasher 1.2, air conditioning 5 kVA, 150 A.

    Ohm's law: 27 x (208 / 240)² = 20.28 kW, 97.5 A. NEC 220.82: 9,900 of lighting and small appliances, 18,200 of the
    rest, 20,280: 10,000 + 0.4 x 38,380 + 5,000 = 30,352 VA, 145.9 A. 220.83: 8,000 + 0.4 x 40,380 + 5,000, 140.2 A.
    Was: 112.5 A, 154 A and a $9,000 service. Three circuits of 32.5 A each take 40 A (NEC 422.13).
    """
    panel = {"range_kw": 12, "dryer_kw": 5, "dishwasher_kw": 1.2, "cooling_kw": 5, "electric_heat_kw": 0}
    house = {f"electrical__{key}": value for key, value in panel.items()}
    house |= {"electrical__supply_v": 208, "electrical__service_a": 150, "house__floor_area_ft2": 1800}
    power = check("electric-tankless-27", **house, **{**ELECTRIC_HOUSE, "house__heating_fuel": "natural_gas"}).trade(
        "power"
    )
    resistance_ohm = 240.0**2 / 27_000
    assert power.detail.circuit.circuit.total_a == pytest.approx(208 / resistance_ohm)
    optional, existing = power.detail.service.routes[:2]
    assert optional.after_a == pytest.approx(
        (10_000 + 0.4 * (9_900 + 18_200 + 208**2 / resistance_ohm - 10_000) + 5_000) / 208
    )
    assert (optional.after_a, existing.after_a) == (pytest.approx(145.9, abs=0.05), pytest.approx(140.2, abs=0.05))
    assert power.detail.service.verdict == FITS
    assert not {"panel-200", "service-upgrade"} & jobs_of(power)
    assert "circuits-240-40-x3" in jobs_of(power)
    assert (
        check("electric-tankless-27", **{**house, "electrical__service_a": 125}).trade("power").detail.service.verdict
        == DOES_NOT_FIT
    )


def test_a_closed_system_at_65_psi():
    """50 gal, 42 to 120 °F, 65 psi, a check valve: what expands must fit between 65 and 80 psi (IPC 607.3, 604.8).

    By the steam tables the water grows by so much, and a bladder of air in Boyle's law must take it. The tank that is
    named keeps 80 psi, one a tenth smaller does not.
    """
    found = check("gas-tank-50", water__static_pressure_psi=65, water__has_closed_system=True).trade("water")
    assert (
        found.verdict == NEEDS_WORK
        and "expansion-tank" in jobs_of(found)
        and "pressure-regulator" not in jobs_of(found)
    )
    tank_gal = found.detail.expansion.for_code_gal

    def density(water_f):
        return IAPWS97(T=(water_f + 459.67) / 1.8, P=0.55).rho

    grown_gal = 48 * (density(42.0) / density(120.0) - 1)

    def ends_at_psi(bladder_gal):
        return (65 + 14.7) * bladder_gal / (bladder_gal - grown_gal) - 14.7

    assert ends_at_psi(tank_gal) == pytest.approx(80, abs=1.0)
    assert ends_at_psi(0.9 * tank_gal) > 80.5


def test_the_water_that_a_condensing_heater_drips():
    """180,000 Btu/h of natural gas: a molecule of methane makes two of water, 4.99 lb or 1.13 gal to a therm at most.

    Nobody condenses all: the drip named for a full fire lies below 1.8 therms of it, and above half of it at 95 %.
    Without a drain below the heater it takes a pump, which stops the heater when it fails (common
    practice, no published source).
    """
    molecules_per_therm = 1e5 / 1012 / 379.5  # lb-mol of methane, 1,012 Btu a cubic foot, 379.5 ft3 a lb-mol
    most_gal_h = 1.8 * 2 * 18.015 * molecules_per_therm / 8.34
    lifted = check("gas-tankless-condensing-180", drain__has_gravity_drain=False).trade("drain")
    assert "condensate-pump" in jobs_of(lifted) and "condensate_pump" in lifted.cautions
    assert 0.5 * most_gal_h < lifted.detail.full_fire_gph < most_gal_h
    assert "condensate-pump" not in jobs_of(
        check("gas-tankless-condensing-180", drain__has_gravity_drain=True).trade("drain")
    )
    assert said(lifted.findings)
