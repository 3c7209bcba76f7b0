"""A year in money: billing units, prices, the room's part, a gas account that starts or ends."""

import numpy as np
import pytest

from advisor.case.file import parse_case
from advisor.case.record import Prices
from advisor.comparison import compare
from advisor.core.kinds import Fuel
from advisor.core.units import BTU_PER_KWH, UNITS
from advisor.heaters.room_effect import COOLING_COP, extra_heating_btu, room_energy_btu, saved_cooling_btu
from advisor.money import running_cost as module
from advisor.money.energy_prices import EnergyPrices
from advisor.money.running_cost import billing_units
from advisor.report.words import say
from tests.circumstances import circumstances

GAS, POWER, PROPANE, OIL = Fuel.all()
PRICES = EnergyPrices(
    usd_per_unit={GAS: 1.2, PROPANE: 3.0, OIL: 4.0, POWER: 0.16},
    # Heat of a gallon as federal labels count it (16 CFR 305 appendix K); kilowatt-hour exact.
    btu_per_unit={GAS: 100_000, PROPANE: 91_333, OIL: 138_690, POWER: BTU_PER_KWH},
    co2_lb_per_unit={GAS: 11.7, PROPANE: 12.7, OIL: 22.6, POWER: 0.9},
    fixed_usd_per_mo={GAS: 12.5},
)
MONTHS = np.arange(1.0, 13.0)
NOTHING = np.zeros(12)
OUTDOOR_F = np.array([20.0, 25, 35, 48, 58, 68, 75, 73, 64, 52, 38, 26])


def running_cost(fuel, fuel_btu, electricity_kwh, prices, **more):
    usual = {"room_btu_by_fuel": {}, "account_fuel": None, "fixed_months": 0, "timer_frac": 0.0}
    return module.running_cost(fuel, fuel_btu, electricity_kwh, prices, **usual | more)


def test_a_million_btu_by_hand():
    # Ten therms at 1.20; 293.07 kWh at 0.16.
    assert PRICES.usd_per_mmbtu(GAS) == pytest.approx(12.0, rel=1e-9)
    assert PRICES.usd_per_mmbtu(POWER) == pytest.approx(46.89, abs=0.005)


def test_how_a_year_is_made_up_by_hand():
    """780 therms at 1.20, 312 kWh at 0.16, 156 therms for the room, an account of 12.50 a month."""
    more = {"room_btu_by_fuel": {GAS: 2e5 * MONTHS, POWER: NOTHING}, "account_fuel": GAS, "fixed_months": 12}
    cost = running_cost(GAS, 1e6 * MONTHS, 4.0 * MONTHS, PRICES, **more)
    assert cost.water_usd_by_fuel == pytest.approx({GAS: 936.0, POWER: 49.92})
    assert cost.room_usd_by_fuel == pytest.approx({GAS: 187.2, POWER: 0.0})
    assert cost.usd_per_yr == pytest.approx(936 + 49.92 + 187.2 + 150)
    told = {(one.figure.code, str(dict(one.figure.numbers).get("fuel"))): one for one in cost.workings}
    # Nothing of the room's is electric: no line for it.
    assert [code for code, _ in told] == ["working.energy", "working.energy", "working.room", "working.year"]
    assert [one.result for one in cost.workings] == pytest.approx([49.92, 936.0, 187.2, 1323.12])
    gas = cost.workings[1].inputs
    assert gas == pytest.approx({"bought_btu_per_yr": 78e6, "unit_btu": 100_000, "unit_usd": 1.2})
    whole = {"energy_usd_per_yr": 985.92, "room_usd_per_yr": 187.2, "account_usd_per_yr": 150.0}
    assert cost.workings[-1].inputs == pytest.approx(whole)


def test_a_year_of_gas_by_hand():
    cost = running_cost(GAS, 1_000_000 * MONTHS, 4.0 * MONTHS, PRICES)
    therms, kwh = 10 * 78, 4 * 78
    assert cost.use_per_yr == pytest.approx({"therm_per_yr": therms, "kwh_per_yr": kwh})
    assert cost.usd_per_yr == pytest.approx(therms * 1.2 + kwh * 0.16)
    np.testing.assert_allclose(cost.by_month_usd, MONTHS * (10 * 1.2 + 4 * 0.16))
    assert cost.co2_lb_per_yr == pytest.approx(therms * 11.7 + kwh * 0.9)
    assert cost.room_usd_per_yr == cost.fixed_usd_per_yr == 0


@pytest.mark.parametrize(
    ("fuel", "key", "btu"), [(PROPANE, "propane_gal_per_yr", 91_333), (OIL, "oil_gal_per_yr", 138_690)]
)
def test_a_gallon_of_fuel(fuel, key, btu):
    cost = running_cost(fuel, np.full(12, 10.0 * btu), NOTHING, PRICES)
    assert cost.use_per_yr[key] == pytest.approx(120)
    assert cost.usd_per_yr == pytest.approx(120 * PRICES.usd_per_unit[fuel])


def test_electricity_is_bought_by_the_kilowatt_hour_whatever_else_is_said():
    cost = running_cost(POWER, NOTHING, np.full(12, 100.0), PRICES)
    assert cost.use_per_yr == {"kwh_per_yr": pytest.approx(1200)}
    assert cost.usd_per_yr == pytest.approx(192)


def test_units_of_the_bill():
    assert billing_units(GAS, 250_000, PRICES) == 2.5
    assert billing_units(POWER, BTU_PER_KWH * 7, PRICES) == pytest.approx(7)
    np.testing.assert_allclose(billing_units(PROPANE, np.array([91_333.0, 182_666.0]), PRICES), [1, 2])


@pytest.mark.parametrize("fuel", Fuel.all(), ids=str)
def test_every_fuel_has_a_price_with_a_unit_and_a_key_in_the_case(fuel):
    assert UNITS[fuel.price_unit].label.rpartition("/")[2] == fuel.unit
    assert fuel.price_key in Prices.model_fields
    assert fuel.account_key is None or fuel.account_key in Prices.model_fields


@pytest.mark.parametrize(("months", "yearly"), [(12, 150.0), (0, 0.0)])
def test_a_fixed_charge_is_spread_over_the_year(months, yearly):
    plain = running_cost(GAS, 1e6 * MONTHS, NOTHING, PRICES)
    cost = running_cost(GAS, 1e6 * MONTHS, NOTHING, PRICES, account_fuel=GAS, fixed_months=months)
    assert cost.fixed_usd_per_yr == yearly
    np.testing.assert_allclose(cost.by_month_usd - plain.by_month_usd, yearly / 12)
    assert cost.co2_lb_per_yr == plain.co2_lb_per_yr


def test_the_room_s_part_is_in_the_cost_but_not_in_the_heater_s_use():
    plain = running_cost(POWER, NOTHING, 100 * MONTHS, PRICES)
    room = {GAS: 2e5 * MONTHS, POWER: -10 * BTU_PER_KWH * MONTHS}
    cost = running_cost(POWER, NOTHING, 100 * MONTHS, PRICES, room_btu_by_fuel=room)
    room_usd = 78 * (2 * 1.2 - 10 * 0.16)
    assert cost.room_usd_per_yr == pytest.approx(room_usd)
    assert cost.usd_per_yr == pytest.approx(plain.usd_per_yr + room_usd)
    assert cost.co2_lb_per_yr == pytest.approx(plain.co2_lb_per_yr + 78 * (2 * 11.7 - 10 * 0.9))
    assert cost.use_per_yr == plain.use_per_yr


def _place(space, outdoor_f=OUTDOOR_F):
    return circumstances(heater_space=space, outdoor_f=outdoor_f)


def test_heating_months_pay_and_cooling_months_save():
    """Below 55 °F the heating makes up for what the heat pump takes, above 72 °F the cooling has less to do."""
    taken = np.full(12, 600_000.0)
    energy = room_energy_btu(taken, _place("indoors"), heating_fuel=GAS, heating_efficiency_frac=0.8)
    np.testing.assert_allclose(energy[GAS], np.where(OUTDOOR_F < 55, 600_000 / 0.8, 0))
    # No more than eight occupied homes spared: 1.1 kWh a day (Florida Solar Energy Center 2016); the months above 72 °F
    # are July and August.
    most = 1.1 * BTU_PER_KWH * 31
    np.testing.assert_allclose(energy[POWER], np.where(OUTDOOR_F > 72, -min(600_000 / COOLING_COP, most), 0))


def test_what_a_tank_loses_is_credited_as_what_a_heat_pump_takes_is_charged():
    """The same heat the other way round: spared in winter, one more load in summer."""
    place = _place("indoors")
    takes = room_energy_btu(np.full(12, 2e5), place, heating_fuel=GAS, heating_efficiency_frac=0.8)
    gives = room_energy_btu(np.full(12, -2e5), place, heating_fuel=GAS, heating_efficiency_frac=0.8)
    for fuel in (GAS, POWER):
        np.testing.assert_allclose(gives[fuel], -takes[fuel])


@pytest.mark.parametrize(("space", "share"), [("indoors", 1.0), ("closet", 1.0), ("basement", 0.5)])
def test_a_basement_is_felt_half(space, share):
    energy = room_energy_btu(np.full(12, 1e5), _place(space, 30.0), heating_fuel=PROPANE, heating_efficiency_frac=1)
    np.testing.assert_allclose(energy[PROPANE], 1e5 * share)


@pytest.mark.parametrize("space", ["garage", "attic", "outdoors", "crawl_space"])
def test_outside_the_heated_rooms_nothing_is_felt(space):
    assert room_energy_btu(np.full(12, 1e5), _place(space), heating_fuel=PROPANE, heating_efficiency_frac=1) == {}


def test_a_heater_that_takes_nothing_changes_nothing():
    assert room_energy_btu(NOTHING, _place("indoors"), heating_fuel=PROPANE, heating_efficiency_frac=1) == {}


def test_electric_heating_and_cooling_are_one_bill():
    energy = room_energy_btu(np.full(12, 3e5), _place("indoors"), heating_fuel=POWER, heating_efficiency_frac=3)
    assert set(energy) == {POWER}
    wanted = extra_heating_btu(3e5, 1.0, OUTDOOR_F, 3) - saved_cooling_btu(3e5, 1.0, OUTDOOR_F)
    np.testing.assert_allclose(energy[POWER], wanted)


def _compared(**keys):
    text = (
        '[place]\nzip_code = "55811"\n[household]\npeople = 4\n[failed]\nfuel = "{fuel}"\n[house]\n'
        'fuels = ["natural_gas"]\nheater_space = "{space}"\nuses_gas_otherwise = {otherwise}\n'
        "[prices]\ngas_fixed_usd_per_mo = 20\n"
    )
    return compare(parse_case(text.format(**{"fuel": "natural_gas", "space": "basement", "otherwise": "true"} | keys)))


@pytest.mark.parametrize(
    ("failed", "otherwise", "gas", "electric"),
    [
        ("natural_gas", "true", 0, 0),
        ("natural_gas", "false", 240, 0),  # the account ends with another fuel
        ("electricity", "false", 240, 0),  # the account starts
        ("electricity", "true", 0, 0),
    ],
)
def test_a_gas_account_starts_or_ends_only_with_its_only_appliance(failed, otherwise, gas, electric):
    found = _compared(fuel=failed, otherwise=otherwise)
    for candidate in found.candidates:
        wanted = gas if candidate.heater.burns_fuel else electric
        assert candidate.running_cost.fixed_usd_per_yr == pytest.approx(wanted), candidate.heater.id


def test_a_year_below_nothing_is_told_in_words():
    """A tank warms a heated basement: with power that burns nothing, its carbon dioxide is the furnace's, spared."""
    text = (
        '[place]\nzip_code = "55811"\ngrid_co2_lb_per_kwh = {grid}\n[household]\npeople = 4\n[failed]\n'
        'fuel = "electricity"\n[house]\nfuels = ["natural_gas"]\nheater_space = "basement"\n'
    )
    found = compare(parse_case(text.format(grid=0.0)))
    below = [one for one in found.candidates if one.running_cost.co2_lb_per_yr < 0]
    assert below and all(one.heater.fuel == POWER for one in below)
    told = next(one for one in found.cautions if one.code == "year.below_nothing")
    assert f"{len(below)} heaters" in say(told) and "spare" in say(told)
    usual = compare(parse_case(text.format(grid=1.0)))
    assert "year.below_nothing" not in {one.code for one in usual.cautions}


def test_what_a_heater_does_to_its_room_is_counted_only_in_the_rooms():
    """A heat pump takes heat, a tank gives some, a tankless heater does neither."""
    basement, garage = _compared(), _compared(space="garage")
    for candidate in basement.candidates:
        room_usd, heater = candidate.running_cost.room_usd_per_yr, candidate.heater
        assert room_usd > 0 if heater.is_heat_pump else room_usd < 0 if heater.is_storage else room_usd == 0
    assert all(candidate.running_cost.room_usd_per_yr == 0 for candidate in garage.candidates)
    heat_pump = basement.candidate("heat-pump-50").running_cost
    assert 0 < heat_pump.room_usd_per_yr < heat_pump.usd_per_yr
