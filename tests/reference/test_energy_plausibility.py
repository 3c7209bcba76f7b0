"""A year of energy against what homes were measured or estimated to use: plausibility, not precision.

The survey does not meter water heating: the agency splits each bill by a model. Its 2020 model rests on the same
federal test and much the same event schedule as ours, so agreement with it is partly circular. Its 2009 model probably
put other gas uses into water heating. What is missed stands in DISAGREEMENTS.md and is asserted as the band found.
"""

from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from statistics import NormalDist

import numpy as np
import pytest

from advisor.core import tables
from advisor.core.units import BTU_PER_KWH, BTU_PER_THERM, DAYS_BY_MONTH
from advisor.demand.daily_volume import hot_gal_per_day_by_month
from advisor.heaters import rating
from advisor.heaters.annual_energy import TANKLESS_DRAW_FACTOR, annual_energy, in_place_energy_btu_per_yr
from advisor.heaters.catalogue import by_id
from advisor.heaters.in_homes import field_gap_dimensionless
from advisor.money.chance import Z90
from advisor.money.cost_arrays import use_sigma
from advisor.money.monte_carlo import yearly_bill_band_usd
from advisor.physics.moist_air import wet_bulb_f
from advisor.place.air import HUMIDITY_FRAC, heater_air_f
from advisor.place.location import locate
from advisor.place.mains_water import MID_MONTH_DAY, mains_of
from advisor.place.weather import MONTHS
from tests.circumstances import circumstances
from tests.costs import STILL_MARKET, cost_arrays
from tests.houses import said

HERE = Path(__file__).parent
SET_POINT_F = 120.0
#: A survey home is heated by a heater of the middle of its stock: about eight years old.
STOCK_MADE_ON = {2009: date(2001, 6, 1), 2020: date(2012, 6, 1)}
STOCK = {"natural gas": "gas-tank-40", "electricity": "electric-tank-50"}
#: The former test, behind the energy factor: tank at 135 °F in a room of 67.5 °F, water heated by 77 °F.
EF_TEST_DIFFERENCE_DF, EF_TEST_RISE_DF = 67.5, 77.0


def _constant(item):
    return next(row["value"] for row in tables.load_from(HERE, "test_conditions").rows() if row["item"] == item)


@cache
def _survey():
    return tuple(tables.load_from(HERE, "survey_water_heating").rows())


def _field(study, number):
    rows = tables.load_from(HERE, "field_results").rows()
    return next(row["value"] for row in rows if (row["study"], row["number"]) == (study, number))


# --- the homes ---------------------------------------------------------------------------------------------------


@cache
def _station_years():
    places = tables.load_from(HERE, "city_normals")
    return np.column_stack([places[f"{month}_f"] for month in MONTHS])


def _air_by_month_f(annual_mean_f):
    """A plain sine around the mean of the year, coldest on 20 January.

    Its swing is the median of the stations (normals of 1991-2020) whose mean lies within 2 °F.
    """
    years = _station_years()
    near = np.abs(years.mean(axis=1) - annual_mean_f) <= 2.0
    swing = np.median(np.ptp(years[near], axis=1))
    return annual_mean_f - swing / 2 * np.cos(2 * np.pi * (MID_MONTH_DAY - 20) / 365)


def _home(people, outdoor_f, space=None):
    """What a heater meets in a home of so many people; where it stands is assumed from the climate, as for a user."""
    space = space or ("basement" if outdoor_f.mean() < 60 else "garage")
    mains = mains_of(outdoor_f).mains_f
    air = heater_air_f(space, outdoor_f)
    gallons = hot_gal_per_day_by_month(people, mains, SET_POINT_F, annual_air_f=outdoor_f.mean())
    temperatures = {"mains_f": mains, "set_point_f": SET_POINT_F, "air_f": air}
    return circumstances(daily_gal=gallons, wet_bulb_f=wet_bulb_f(air, HUMIDITY_FRAC), **temperatures)


def _home_in(city, people, space="basement"):
    return _home(people, locate(city=city).outdoor_f, space)


@cache
def _stock_tank(fuel, made_on):
    """A tank that just met the energy factor required when it was made, restated as a UEF by its own two parameters.

    40 gal (38 rated) and 40,000 Btu/h of gas with a recovery efficiency of 0.78, or 50 gal (45 rated) electric.
    """
    rise, over = EF_TEST_RISE_DF, EF_TEST_DIFFERENCE_DF
    old_heat = _constant("ef_daily_volume") * _constant("rho_ef") * _constant("cp_ef") * rise
    base = by_id(STOCK[fuel])
    heater_class = "gas_storage" if base.burns_fuel else "electric_storage"
    ef = rating.minimum_rating(heater_class, "medium", base.rated_volume_gal, made_on, metric="EF").minimum
    if base.burns_fuel:
        loss = (base.recovery_frac / ef - 1) / (over * (24 / old_heat - 1 / (base.power_btuh * ef)))
        efficiency = base.recovery_frac + loss * over / base.power_btuh
    else:
        loss, efficiency = old_heat * (1 / ef - 1) / (24 * over), 1.0
    heat, test = rating.pattern_heat_btu_per_day(55.0), rating.TEST_TANK_MINUS_AIR_DF
    uef = heat * efficiency / (heat + 24 * loss * test)
    recovery = efficiency - loss * test / base.power_btuh if base.burns_fuel else base.recovery_frac
    return replace(base, draw_pattern="medium", uef=uef, recovery_frac=recovery), ef


def _bought_btu(heater, home):
    energy = annual_energy(heater, home)
    return float(np.sum(energy.fuel_btu) + np.sum(energy.electricity_kwh) * BTU_PER_KWH)


def _heat_btu(heater, home):
    return float(np.sum(annual_energy(heater, home).heat_btu))


def test_the_stock_tank_keeps_its_old_rating():
    """Algebra: at the conditions of the former test it uses what its energy factor says, through the quoted model."""
    for fuel, made_on in (("natural gas", date(2001, 6, 1)), ("electricity", date(2012, 6, 1))):
        heater, ef = _stock_tank(fuel, made_on)
        # The former test weighs a gallon at 8.2938 lb, this model at 8.24.
        gallons = _constant("ef_daily_volume") * _constant("rho_ef") * _constant("cp_ef") / 8.24
        day = circumstances(daily_gal=gallons, mains_f=58.0, set_point_f=135.0, air_f=67.5, wet_bulb_f=56.4)
        assert _heat_btu(heater, day) / _bought_btu(heater, day) == pytest.approx(ef, rel=1e-9)


# --- the survey --------------------------------------------------------------------------------------------------


def _home_of(row):
    """The row's home; people and air of 2020 are those of the same homes in 2009."""
    known = row
    if row["annual_mean_air_f"] is None:
        known = next(
            other
            for other in _survey()
            if other["survey"] == "unit_energy_2009"
            and (other["area"], other["main_fuel"]) == (row["area"], row["main_fuel"])
        )
    return _home(known["mean_people"], _air_by_month_f(known["annual_mean_air_f"]))


def ours_over_survey(row, year):
    """Our energy over the survey's mean."""
    heater, _ = _stock_tank(row["main_fuel"], STOCK_MADE_ON[year])
    native = _bought_btu(heater, _home_of(row)) / (BTU_PER_THERM if row["main_fuel"] == "natural gas" else BTU_PER_KWH)
    return native / row["mean_native"]


def _rows(survey, population, *fuels, at_least=0):
    return [
        row
        for row in _survey()
        if (row["survey"] in survey)
        and row["population"] == population
        and row["main_fuel"] in fuels
        and (row["homes"] or 0) >= at_least
    ]


def electric_cells():
    """Homes with one electric tank of their own, by people and climate."""
    return _rows({"people_x_climate"}, "own_tank", "electricity")


def _row_name(row):
    return "-".join(str(row[key]) for key in ("main_fuel", "people", "climate", "area") if row[key])


_GROUPS = {"people_x_climate", "area"}


@pytest.mark.parametrize(
    "row", _rows({"unit_energy_2020"}, "single-family", "natural gas", "electricity"), ids=_row_name
)
def test_2020_by_division(row):
    # Residential Energy Consumption Survey 2020, average heater of single-family homes. 20 %: all kinds of heater are
    # averaged there, and people, volume and set point of ours are usual ones. Partly circular, see above.
    # Gas tanks in homes reach 0.80 of their energy factor (eight in Minnesota, Schoenbauer et al. 2012), and the survey
    # is of homes.
    ratio = ours_over_survey(row, 2020)
    if row["main_fuel"] == "natural gas":
        home = _home_of(row)
        heater, ef = _stock_tank("natural gas", STOCK_MADE_ON[2020])
        ratio *= _heat_btu(heater, home) / _bought_btu(heater, home) / (0.80 * ef)
    assert 0.80 <= ratio <= 1.20


@pytest.mark.parametrize("row", [row for row in electric_cells() if row["homes"] >= 60], ids=_row_name)
def test_people_and_climate_of_electric_tanks(row):
    # Each group of 60 homes and more, by people and climate. 0.85 to 1.20: a person alone draws more in the measured
    # homes than in the survey, and our line stands between the two.
    assert 0.85 <= ours_over_survey(row, 2009) <= 1.20


def test_level_of_electric_tanks():
    # The middle of all the groups, small ones too.
    assert np.median([ours_over_survey(row, 2009) for row in electric_cells()]) == pytest.approx(1.0, abs=0.05)


def test_swing_with_the_climate():
    # One, three and five people: a cold home over a hot one. The survey says 1.26, 1.14 and 1.17.
    printed = {(row["people"], row["climate"]): row["mean_native"] for row in electric_cells()}
    ours = {
        (row["people"], row["climate"]): ours_over_survey(row, 2009) * row["mean_native"] for row in electric_cells()
    }
    for people in ("1", "3", "5"):
        swing = ours[people, "cold"] / ours[people, "hot"]
        assert swing == pytest.approx(printed[people, "cold"] / printed[people, "hot"], rel=0.10)


@pytest.mark.parametrize("row", _rows(_GROUPS, "own_tank", "electricity", at_least=100), ids=_row_name)
def test_2009_electric_tanks(row):
    # The same survey of 2009, homes with one electric tank of their own, groups of 100 homes and more. 25 %: the survey
    # splits the bill by a regression.
    assert 0.75 <= ours_over_survey(row, 2009) <= 1.25


@pytest.mark.parametrize("row", _rows(_GROUPS, "own_tank", "natural gas", at_least=100), ids=_row_name)
def test_2009_gas_tanks_used_no_more_than_the_survey_says(row):
    # The 2009 gas estimate is probably too high (1.2 to 1.5 times that of 2020): ours must not exceed it. Nor may it
    # fall below half of it, our own limit.
    assert 0.50 <= ours_over_survey(row, 2009) <= 1.00


@pytest.mark.parametrize("row", _rows(_GROUPS, "own_tank", "natural gas", "electricity", at_least=100), ids=_row_name)
def test_ours_is_one_of_those_homes(row):
    # Homes of one kind differ 3.5 times between the tenth and the ninetieth percentile; ours must lie between.
    native = ours_over_survey(row, 2009) * row["mean_native"]
    assert row["p10_native"] <= native <= row["p90_native"]


@pytest.mark.parametrize("fuel", ["natural gas", "electricity"])
def test_2009_order_of_sizes_and_climates(fuel):
    # Survey and model must put the groups alike: more people more, colder more, wherever the survey does.
    rows = {(row["people"], row["climate"]): row for row in _rows({"people_x_climate"}, "own_tank", fuel)}
    ours = {key: ours_over_survey(row, 2009) * row["mean_native"] for key, row in rows.items()}
    pairs = [
        *((("1", climate), ("3", climate)) for climate in ("cold", "hot")),
        *((("3", climate), ("5", climate)) for climate in ("cold", "hot")),
        (("2", "mixed"), ("4", "mixed")),
        (("4", "mixed"), ("6+", "mixed")),
        *(((people, "hot"), (people, "cold")) for people in ("1", "3", "5")),
    ]
    for less, more in pairs:
        assert rows[less]["mean_native"] < rows[more]["mean_native"]
        assert ours[less] < ours[more]


def test_growth_with_household_size_lies_between_two_surveys():
    # All fuels: a home of four over a home of two was 1.27 in 2009 and 1.82 in 2015 (US Energy Information
    # Administration): the two models disagree, and ours must not lie outside both.
    published = {(row["survey_year"], row["people"]): row["mean_mmbtu"] for row in _rows({"published"}, "all", "any")}
    growth = sorted(published[year, "4"] / published[year, "2"] for year in (2009, 2015))
    for fuel in ("natural gas", "electricity"):
        heater, _ = _stock_tank(fuel, STOCK_MADE_ON[2009])
        two, four = (_bought_btu(heater, _home(people, _air_by_month_f(57.0))) for people in (2, 4))
        assert growth[0] < four / two < growth[1]


def test_average_gas_household_of_california():
    # 354 therms a year of which 49 % heat water (CEC-500-2013-060, citing the 2009 Residential Appliance Saturation
    # Survey): 173 therms, not metered either. People and air are those of the 2009 survey's Californian gas homes.
    # 20 %, as for the other survey.
    printed = _field("California gas households", 1) * _field("California gas households", 2) / 100
    row = next(row for row in _rows({"area"}, "all", "natural gas") if row["area"] == "CA")
    home = _home(row["mean_people"], _air_by_month_f(row["annual_mean_air_f"]))
    heater, _ = _stock_tank("natural gas", STOCK_MADE_ON[2009])
    assert _bought_btu(heater, home) / BTU_PER_THERM == pytest.approx(printed, rel=0.20)


# --- how far homes of one kind differ ---------------------------------------------------------------------------


def _share_of_homes_inside(row, at_our_level):
    """Share of a group's homes between our 10th and 90th percentile of energy; theirs as lognormal on each side of its
    median. At our level the group is moved to our median first, so that the width alone is judged."""
    heater, _ = _stock_tank(row["main_fuel"], STOCK_MADE_ON[2009])
    home = _home_of(row)
    energy = annual_energy(heater, home)
    standby = float(np.sum(np.maximum(energy.standby_btu_per_day, 0.0) * DAYS_BY_MONTH))
    gap = field_gap_dimensionless(heater.technology)
    native = ours_over_survey(row, 2009) * row["mean_native"] * gap
    still = standby / (standby + float(np.sum(energy.heat_btu)))
    arrays = cost_arrays(
        ids=(heater.id,),
        technologies=(heater.technology,),
        fuel_per_yr=np.array([[native, 0, 0, 0]]),
        heater_usd=np.zeros((1, 3)),
        standby_frac=np.array([still]),
    )
    market = replace(STILL_MARKET, price_usd_per_unit=np.array([1.0, 0, 0, 0]), use_sigma=use_sigma("people_known"))
    low, middle, high = yearly_bill_band_usd(arrays, market, draws=20_000)[:, 0] * (
        row["p50_native"] / yearly_bill_band_usd(arrays, market, draws=20_000)[1, 0] if at_our_level else 1.0
    )

    def below_frac(amount):
        side = row["p10_native"] if amount < row["p50_native"] else row["p90_native"]
        spread = abs(np.log(side / row["p50_native"])) / Z90
        return NormalDist().cdf(np.log(amount / row["p50_native"]) / spread)

    assert low < middle < high
    return below_frac(high) - below_frac(low)


@pytest.mark.parametrize("fuel", ["natural gas", "electricity"])
@pytest.mark.parametrize("at_our_level", [False, True])
def test_eight_homes_in_ten_lie_in_our_range(fuel, at_our_level):
    # 75 to 85 % of the survey's homes of a number of people and a climate, groups weighed by their homes, once as they
    # are and once moved to our median (the 2009 survey has gas too high). Until the spreads were fitted: 61 and 45 %.
    rows = _rows({"people_x_climate"}, "own_tank", fuel)
    inside = [_share_of_homes_inside(row, at_our_level) for row in rows]
    assert 0.75 <= np.average(inside, weights=[row["homes"] for row in rows]) <= 0.85


# --- field studies -----------------------------------------------------------------------------------------------

TANKLESS = ("gas-tankless-180", "gas-tankless-condensing-180")
#: Energy factor of the first integrated heat pump heaters; from memory, unverified.
FIRST_HEAT_PUMPS_UEF = 2.35


def _first_heat_pump():
    return replace(by_id("heat-pump-50"), uef=FIRST_HEAT_PUMPS_UEF)


def _savings_pct(old_tank, city):
    """Energy saved by the two kinds of tankless heater in homes of two, three and four."""
    homes = [_home_in(city, people) for people in (2, 3, 4)]
    return np.array(
        [
            [100 * (1 - _bought_btu(by_id(new), home) / _bought_btu(old_tank, home)) for new in TANKLESS]
            for home in homes
        ]
    )


def test_tankless_in_place_of_a_new_tank_in_minnesota():
    # Ten homes, heaters switched in turn for 15 months: 37 % saved by tankless heaters, condensing and not, against
    # natural-draft tanks of that time (Bohac et al. 2010, abstract). People are not given, so two to four.
    published = _field("Minnesota alternating test", 1)
    tank, _ = _stock_tank("natural gas", date(2008, 6, 1))
    savings = _savings_pct(tank, "Minneapolis, MN")
    assert savings.min() < published < savings.max()
    # Our mean is 36 %; 4 points, as people are not given.
    assert savings.mean() == pytest.approx(published, abs=4)
    # With the efficiencies measured in those very homes (circular) it is 42 %: the published figure lies between.
    heat = 10e6
    tank_in_place = in_place_energy_btu_per_yr(tank, heat)[0]
    in_place = [100 * (1 - in_place_energy_btu_per_yr(by_id(new), heat)[0] / tank_in_place) for new in TANKLESS]
    assert savings.mean() < published < np.mean(in_place)


def test_tankless_in_place_of_an_old_tank_in_toronto():
    # 23 homes, tanks of 2 to 25 years: 46 % saved, from 2 to 66 % by home (HPAC Magazine 2012, on a study of the Canada
    # Mortgage and Housing Corporation). Air of Buffalo, across the lake.
    savings = _savings_pct(_stock_tank("natural gas", date(2001, 6, 1))[0], "Buffalo, NY")
    assert _field("Toronto before-and-after", 2) < savings.min()
    assert savings.max() < _field("Toronto before-and-after", 3)
    # Our mean is 43 %: age takes nothing from a tank here. DISAGREEMENTS.md.
    assert 40 <= savings.mean() <= 45 < _field("Toronto before-and-after", 1)


def test_tanks_fall_below_their_rating_as_use_falls():
    # Eight tanks in Minnesota did nearly 20 % worse than their energy factor, rated at 64.3 gal a day (Schoenbauer et
    # al. 2012, abstract). Ours do so in a home of one or two; at three the loss explains half of it:
    # DISAGREEMENTS.md. The homes' gallons are in the body of the report, not read.
    tank, ef = _stock_tank("natural gas", date(2008, 6, 1))
    homes = [_home_in("Minneapolis, MN", people) for people in (1, 2, 3, 4)]
    in_use = [_heat_btu(tank, home) / _bought_btu(tank, home) / ef for home in homes]
    measured = 1 + _field("Minnesota alternating test", 5) / 100
    assert in_use == sorted(in_use)
    assert in_use[0] < measured < in_use[1]
    assert 0.86 <= in_use[2] <= 0.92


def test_tankless_heaters_fall_less_below_theirs():
    # Sixteen tankless heaters in the same homes: about 10 % below the energy factor. Ours: 6 % in every home, by the
    # rating standard's factor for short draws. Four points apart, stated and not tuned away.
    measured = 1 + _field("Minnesota alternating test", 6) / 100
    home = _home_in("Minneapolis, MN", 3)
    for heater_id in TANKLESS:
        heater = by_id(heater_id)
        in_use = _heat_btu(heater, home) / _bought_btu(heater, home) / heater.uef
        assert in_use == pytest.approx(TANKLESS_DRAW_FACTOR, rel=1e-9)
        assert in_use - measured == pytest.approx(0.04, abs=0.005)
    # The older factor on the older rating, 0.92 (RESNET 2012), lies between the two.
    assert measured < 0.92 < TANKLESS_DRAW_FACTOR


@pytest.mark.parametrize(
    ("heater_id", "study", "numbers"),
    [
        ("gas-tank-40", "Minnesota alternating test", (5,)),
        ("gas-tankless-180", "Minnesota alternating test", (6,)),
        ("gas-tankless-condensing-180", "Minnesota alternating test", (6,)),
        ("heat-pump-50", "Michigan basement heat pumps", (1, 2)),
    ],
)
def test_in_place_figure_is_the_measured_one(heater_id, study, numbers):
    # The figure shown beside ours divides by the measured share of the rating: minus 20 and 10 % in Minnesota, 0.65 to
    # 0.75 in Michigan, middle taken.
    values = [_field(study, number) for number in numbers]
    measured = np.mean([1 + value / 100 if abs(value) > 1 else value for value in values])
    energy, found = in_place_energy_btu_per_yr(by_id(heater_id), 15e6)
    source = said(found)
    assert 15e6 / energy / by_id(heater_id).uef == pytest.approx(measured, abs=1e-9)
    assert study.split()[0] in source or "MN" in source


def test_heat_pumps_in_cold_basements():
    # Nine homes in Michigan: 65 to 75 % of the maker's rating (Gries, Cautley and Margolies 2022). Our map gives 87 to
    # 93 % for the cooler room alone: elements at peaks, defrosting and mixing are not in it. DISAGREEMENTS.md.
    heater = by_id("heat-pump-50")
    for people in (2, 4):
        home = _home_in("Lansing, MI", people)
        share = _heat_btu(heater, home) / _bought_btu(heater, home) / heater.uef
        assert 0.85 <= share <= 0.94
        assert share > _field("Michigan basement heat pumps", 2)


def test_net_zero_test_house_in_maryland():
    # Family of four, emulated, basement in Gaithersburg, a year measured and modelled (Balke, Healy and Ullah 2016):
    # heat pump 1.9 over the year, resistance tank 0.95.
    home = _home(4, locate(zip_code="20878").outdoor_f, "basement")
    resistance, heat_pump = by_id("electric-tank-50"), _first_heat_pump()
    # Ours draws less, so that the loss weighs more: 0.93, in DISAGREEMENTS.md.
    share = _heat_btu(resistance, home) / _bought_btu(resistance, home)
    assert 0.92 <= share <= 0.94 < _field("Net-zero test house, water heating", 2)
    # A heater of that time: 2.3 by our map, 1.65 with the share measured in Michigan; the published one lies between.
    by_map = _heat_btu(heat_pump, home) / _bought_btu(heat_pump, home)
    in_place = _heat_btu(heat_pump, home) / in_place_energy_btu_per_yr(heat_pump, _heat_btu(heat_pump, home))[0]
    assert 1.5 < in_place < _field("Net-zero test house, water heating", 1) < by_map < 2.45


def test_heat_pumps_in_warm_garages():
    # Florida: 64 % saved at Windermere, 59 % by its own efficiencies (144 % above resistance), 66 % in earlier work.
    # Ours, a heater of that time in a garage in Orlando, within three points of that range.
    heat_pump, resistance = _first_heat_pump(), by_id("electric-tank-50")
    lowest = 100 * (1 - 1 / (1 + _field("Windermere heat pump", 1) / 100))
    assert lowest == pytest.approx(59, abs=0.5)
    for people in (2, 3, 4):
        home = _home_in("Orlando, FL", people, "garage")
        saved = 100 * (1 - _bought_btu(heat_pump, home) / _bought_btu(resistance, home))
        assert lowest - 3 <= saved <= _field("Florida heat pumps", 1) + 3


def test_heat_pump_of_a_family_in_maine():
    # Five years of whole-house bills before and after: 2,072 kWh a year less (Stone 2021), a family of four. Ours is
    # 4 % less; 10 %, one home.
    home = _home_in("Augusta, ME", 4)
    saved = (_bought_btu(by_id("electric-tank-50"), home) - _bought_btu(_first_heat_pump(), home)) / BTU_PER_KWH
    assert saved == pytest.approx(_field("Maine family of four", 1), rel=0.10)
