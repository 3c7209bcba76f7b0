"""Propane: what a tank gives in the cold against printed figures, and what the supplier is asked to do."""

import pytest

from advisor.core.verdicts import FITS, NEEDS_WORK
from advisor.house.gas.propane_tank import least_level_frac, propane_vapor_btuh, tank_vapor_btuh
from tests.app.test_contractor_pages import open_page, tables, words
from tests.houses import check, said

TANKLESS, TANK = "propane-tankless-199", "propane-tank-40"
HOUSE = {"failed__fuel": "propane", "gas__furnace_btuh": 80_000, "failed__input_btuh": 38_000}
#: Enough pipe, so that the tank is all that is short.
WIDE = {"gas__branch_size_in": "1-1/4", "gas__trunk_size_in": "1-1/4", "gas__branch_ft": 10, "gas__trunk_ft": 10}


def gas(heater, **keys):
    return check(heater, **{**HOUSE, **WIDE, **keys}).trade("gas")


def jobs_of(trade):
    return {job.job for job in trade.items if not job.is_usual}


def test_a_thousand_gallons_at_ten_below():
    """Installation manual of a farm heater, table of tanks: 1,000 gal, 30 % full, -10 °F give 276,500 Btu/h."""
    assert tank_vapor_btuh(1000, 0.3, -10) == pytest.approx(276_500, rel=0.005)


# A generator maker's chart of tanks kept half full, in ft3/h of 2,500 Btu: the largest rate that a tank is listed for,
# and the next, for which it is too small.
CHART = [
    (250, 32, 100, 150),
    (250, 10, 100, 150),
    (250, 0, 50, 100),
    (500, 10, 150, 200),
    (500, 0, 150, 200),
    (1000, 10, 200, 300),
    (1000, 0, 200, 300),
]


@pytest.mark.parametrize(("water_gal", "outdoor_f", "carries_cfh", "too_much_cfh"), CHART)
def test_the_chart_of_tanks_kept_half_full(water_gal, outdoor_f, carries_cfh, too_much_cfh):
    """2 % for the dimensions, which makers round differently."""
    gives = tank_vapor_btuh(water_gal, 0.5, outdoor_f)
    assert 0.98 * carries_cfh * 2500 <= gives <= 1.02 * too_much_cfh * 2500


@pytest.mark.parametrize(("water_gal", "carries_cfh"), [(250, 50), (500, 100), (1000, 150)])
def test_below_zero_the_rule_is_on_the_careful_side_of_the_chart(water_gal, carries_cfh):
    assert 0.8 * carries_cfh * 2500 < tank_vapor_btuh(water_gal, 0.5, -10) <= 1.02 * carries_cfh * 2500


def test_colder_emptier_and_smaller_give_less():
    # 30 x 94 in. and a factor of 70 at 30 %: 197,400 Btu/h from 0 °F up, half at -10 °F, nothing from -20 °F down.
    found = propane_vapor_btuh(30, 94, 0.3, [-25, -20, -10, 0, 40])
    assert found == pytest.approx([0, 0, 98_700, 197_400, 197_400])
    for less, more in (
        ((250, 0.2, 0), (250, 0.4, 0)),
        ((250, 0.3, -15), (250, 0.3, 5)),
        ((120, 0.3, 0), (250, 0.3, 0)),
    ):
        assert tank_vapor_btuh(*less) < tank_vapor_btuh(*more)
    assert tank_vapor_btuh(250, 0.3, 40) == tank_vapor_btuh(250, 0.3, 0)
    assert least_level_frac(120, 900_000, 0) is None


def test_a_tankless_heater_on_a_small_tank_in_the_cold():
    """199,000 + 80,000 on 250 gal at 30 % and -10 °F: 30 x 94 x 70 x 1/2 = 98,700 Btu/h."""
    found = gas(TANKLESS, gas__propane_tank_gal=250, vent__design_f=-10)
    assert found.verdict == NEEDS_WORK and jobs_of(found) == {"propane-tank"}
    assert "98,700 Btu/h" in said(found.findings)
    job = next(job for job in found.items if job.job == "propane-tank")
    assert job.typical_usd > 0 and "unverified" in job.state
    enough = gas(TANKLESS, gas__propane_tank_gal=1000, gas__propane_level_frac=0.4, vent__design_f=-10)
    assert "propane-tank" not in jobs_of(enough) and enough.verdict == FITS
    assert "gas.propane_level_frac" not in {one.field for one in enough.assumed}
    # A like tank serves as before.
    assert "serves as before" in said(gas(TANK, gas__propane_tank_gal=120, vent__design_f=-15).findings)
    # Of a tank that nobody knows only the question stands.
    assert jobs_of(gas(TANKLESS)) == {"propane-supply"} and jobs_of(gas(TANK)) == set()


def test_a_fuller_tank_is_a_way_out_that_holds():
    keys = {"gas__propane_tank_gal": 500, "vent__design_f": -2}
    short = gas(TANKLESS, gas__propane_level_frac=0.2, **keys)
    way = next(way for way in short.ways_out if way.kind == "fuller tank")
    assert "30%" in said(way.title) or "40%" in said(way.title)
    assert (way.low_usd, way.typical_usd, way.high_usd) == (0, 0, 0)  # no work; what it holds is bought anyway
    assert gas(TANKLESS, gas__propane_level_frac=0.4, **keys).verdict == FITS


def test_a_single_stage_and_a_conversion_are_jobs_with_a_price():
    """Two stages: NFPA 58, from memory, unverified. Conversion by the maker's kit: common practice."""
    for key, job in (("propane_stages", "propane-regulators"), ("heater_is_converted", "propane-conversion")):
        given = {f"gas__{key}": "single" if key == "propane_stages" else True}
        found = gas(TANK, **given)
        assert jobs_of(found) == {job} and found.verdict == NEEDS_WORK
        one = next(one for one in found.items if one.job == job)
        assert 0 < one.low_usd < one.typical_usd < one.high_usd and one.state
    assert jobs_of(gas(TANK, gas__propane_stages="two", gas__heater_is_converted=False)) == set()
    natural = check("gas-tank-40", gas__heater_is_converted=True, gas__propane_stages="single").trade("gas")
    assert not {"propane-conversion", "propane-regulators"} & jobs_of(natural)


def test_no_page_of_a_propane_house_speaks_of_a_utility_or_of_cubic_feet_an_hour():
    """Plates and tables of propane speak of Btu/h, its pipes begin at a regulator, and a supplier brings it."""
    at = open_page("gas_line", "propane-at-altitude", "propane-tankless-condensing-199")
    told = words(at) + tables(at) + " ".join(field.label for field in at.number_input)
    assert "Btu/h" in told and "supplier" in told
    assert not {word for word in ("ft³/h", "the utility", "from the meter") if word in told}


def test_ten_psi_to_a_second_stage_at_the_house():
    """IFGC 2018 Table 402.4(25), 10 psi, 1 psi drop: 1/2 in. over 40 ft carries 1,570,000 Btu/h, three figures printed.

    The first stage's line is the trunk, and the second stage stands at its end and holds 11 in. w.c.
    """
    keys = {"gas__supply_pressure_inwc": "10 psi", "gas__trunk_size_in": "1/2", "gas__trunk_ft": 40}
    found = check(TANKLESS, **HOUSE, **keys, gas__branch_size_in="1", gas__branch_ft=10).trade("gas")
    trunk = found.detail.check.by_length.segment("trunk")
    assert trunk.capacity_cfh * 2488 == pytest.approx(1_570_000, rel=0.005)
    (second,) = found.detail.system.regulators
    assert (second.segment, second.outlet_inwc) == ("trunk", 11)
    assert found.detail.check.passes and "second-stage regulator" in said(found.assumed)
    assert "2 psi" not in said(found.assumed)
