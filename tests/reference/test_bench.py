"""The bench against labels, published laboratory values and heat balances worked by hand.

``bench_tables.csv`` holds heat balances worked by hand with 8.25 lb/gal (recovery, hot gallons) and with the trade's
500 Btu/(h gpm °F) (least flow); cold slugs follow from the exchanger that Grant (M.S. thesis, University of Colorado,
2010, abstract) measured. Tolerances there: the printed rounding, and 1 % for the water constants.
"""

from __future__ import annotations

import csv
import math
from dataclasses import asdict
from pathlib import Path

import numpy as np
import pytest

from advisor.bench import calibration, federal_tests, instantaneous, morning, storage
from advisor.bench.internals import Internals, Tankless, sources_of, tank_of, unit_of
from advisor.bench.kernels import HEAT_BTU, HOT_GAL, LIT, OUTCOME_SIZE, TRACE_GPM, TRACE_MIN, TRACE_OUTLET_F, TRACE_SIZE
from advisor.core.units import BTU_PER_KWH
from advisor.demand import events
from advisor.heaters import rating
from advisor.heaters.catalogue import by_id, catalogue
from advisor.physics.moist_air import wet_bulb_f
from advisor.physics.water import TEST_BTU_PER_GAL_DF

ROWS = list(csv.DictReader((Path(__file__).parent / "bench_tables.csv").open(encoding="utf-8")))
TANKS = [heater for heater in catalogue() if heater.is_storage]
TANKLESS = [heater for heater in catalogue() if heater.is_tankless]
#: A year's draws and months that only have to be plausible: 55 hot gallons a day of a cold-winter place.
MAINS = np.array([45, 44, 47, 52, 58, 64, 68, 69, 66, 60, 53, 48.0])
AIR = np.array([62, 62, 63, 65, 67, 69, 70, 70, 69, 67, 64, 62.0])


def rows(table: str) -> list[dict[str, str]]:
    return [row for row in ROWS if row["table"] == table]


# Labels ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("heater", catalogue(), ids=lambda heater: heater.id)
def test_the_bench_returns_every_label(heater, record_property):
    """First-hour rating and maximum flow within 2 %, UEF within 0.01 (heat pumps 1 %): the accuracy asked of a bench.

    A label is printed to 1 gal, 0.1 gpm and 0.01, so most of this is the label's own rounding. Run with ``-s`` for
    the numbers.
    """
    result = calibration.fit(heater)
    assert result.cannot_meet is None
    label, on_bench = (
        (result.fhr_label_gal, result.fhr_bench_gal)
        if heater.is_storage
        else (result.max_gpm_label, result.max_gpm_bench)
    )
    print(f"{heater.id}: {label:g} -> {on_bench:g}, UEF {result.uef_label:g} -> {result.uef_bench:g}")
    assert on_bench == pytest.approx(label, rel=0.02)
    allowed = 0.01 * heater.uef if heater.is_heat_pump else 0.01
    assert result.uef_bench == pytest.approx(heater.uef, abs=allowed)


def test_the_worst_label_of_all():
    """Stated once for all: the worst first-hour rating or flow is within 2 %, the worst UEF within 0.002."""
    results = [calibration.retest(heater) for heater in catalogue()]
    off = {
        r.heater_id: (r.fhr_bench_gal or r.max_gpm_bench) / (r.fhr_label_gal or r.max_gpm_label) - 1 for r in results
    }
    uef_off = {r.heater_id: r.uef_bench - r.uef_label for r in results}
    worst, worst_uef = max(off, key=lambda k: abs(off[k])), max(uef_off, key=lambda k: abs(uef_off[k]))
    print(f"worst capacity {worst} {off[worst]:+.2%}; worst UEF {worst_uef} {uef_off[worst_uef]:+.4f}")
    assert len(results) == len(catalogue())
    assert abs(off[worst]) <= 0.02
    assert abs(uef_off[worst_uef]) <= 0.002


@pytest.mark.parametrize("heater", catalogue(), ids=lambda heater: heater.id)
def test_the_kept_fit_is_what_fitting_gives(heater):
    """The table ``bench_fits`` is generated; a fresh fit must give it back (floats across machines: 1 in 1,000)."""
    fresh, kept = calibration.as_row(calibration.fit(heater)), calibration.as_row(calibration.retest(heater))
    for name, value in fresh.items():
        expected = pytest.approx(value, rel=2e-3) if isinstance(value, float) else value
        assert kept[name] == expected, name


@pytest.mark.parametrize("heater", TANKS, ids=lambda heater: heater.id)
def test_a_second_inside_returns_the_label_too(heater):
    """10 CFR 430 subpart B appendix E: first-hour rating within 2 %, UEF within 0.01 (heat pumps 1 %)."""
    usual, other = calibration.possible_internals(heater)
    again = calibration._retested(heater, other)
    assert again.cannot_meet is None
    kinds = ("dead_band_df", "sensor_frac", "element_frac", "upper_frac", "backup_drop_df", "boost_df")
    assert any(getattr(usual, kind) != getattr(other, kind) for kind in kinds)


@pytest.mark.parametrize("heater", TANKS, ids=lambda heater: heater.id)
def test_the_set_point_passes_the_acceptance_checks(heater):
    """10 CFR 430 subpart B app. E sec. 5.2.2: outlet within 5 °F of 125 °F, as one or several thermostats ask."""
    internals = calibration.retest(heater).internals
    result = federal_tests.first_hour(tank_of(heater, internals), sources_of(heater, internals, np.array([67.5]))[0])
    assert result.accepted


@pytest.mark.parametrize("heater", [h for h in TANKS if h.burns_fuel], ids=lambda heater: heater.id)
def test_the_fit_agrees_with_the_two_parameter_model(heater):
    """Loss and efficiency solved from the label (Burch and Erickson's form, closed algebra) against the test day.

    The algebra takes the tank at 125 °F and one recovery; the test has a dead band and corrects for it with measured
    loss. They agree to 15 % of the loss or 1 Btu/(h °F), the size that rounding UEF and recovery to 0.01 moves it.
    """
    internals = calibration.retest(heater).internals
    daily = rating.pattern_daily_gal(heater.draw_pattern)
    loss = float(rating.loss_coefficient_btuh_per_df(heater.uef, heater.recovery_frac, heater.power_btuh, daily))
    assert internals.loss_btuh_per_df == pytest.approx(loss, abs=max(1.0, 0.15 * loss))
    efficiency = float(rating.conversion_efficiency_frac(heater.recovery_frac, loss, heater.power_btuh))
    assert internals.eff_frac == pytest.approx(efficiency, abs=0.006)


@pytest.mark.parametrize("heater", [h for h in TANKS if h.technology.has_backup_element], ids=lambda h: h.id)
def test_heat_pump_recovery_efficiency_lies_near_the_label(heater):
    """The label's recovery efficiency is not fitted: the bench must come within 3 % on its own.

    It is computed in the catalogue as UEF times 1.108, the median of five certified units whose ratios run from
    1.06 to 1.13, so 3 % is that spread.
    """
    assert calibration.retest(heater).recovery_bench_frac == pytest.approx(heater.recovery_frac, rel=0.03)


# Heat balances --------------------------------------------------------------------------------------------------

INPUTS = {
    "4.5 kW element at 0.98": 4.5 * BTU_PER_KWH * 0.98,
    "5.5 kW element at 0.98": 5.5 * BTU_PER_KWH * 0.98,
    "40,000 Btu/h burner at 0.76": 30_400.0,
    "50,000 Btu/h burner at 0.80": 40_000.0,
    "76,000 Btu/h burner at 0.90": 68_400.0,
    "4,500 Btu/h heat pump": 4_500.0,
    "7,000 Btu/h heat pump": 7_000.0,
}


@pytest.mark.parametrize("row", rows("recovery"), ids=lambda row: f"{row['case']} {row['at']}F")
def test_recovery(row):
    """A cold tank without loss is heated through the rise; gallons over hours is the recovery."""
    rise = float(row["at"])
    tank = tank_of(by_id("gas-tank-50"), Internals(1.0, 0.0))._replace(
        set_point_f=60.0 + rise, pilot_btuh=0.0, flue_frac=0.0
    )
    source = np.array([INPUTS[row["case"]], 0, 0, 1, 0, 0, 0, -np.inf, np.inf])
    temps, state = np.full(storage.LAYERS + 1, 60.0), np.zeros(storage.STATE_SIZE)
    assert storage.recover(temps, state, tank, source, 60.0, 60.0, 3000.0, 5.0)
    gph = tank.volume_gal / (state[storage.CLOCK_MIN] / 60)
    places = len(row["expected"].partition(".")[2])
    assert gph == pytest.approx(float(row["expected"]), rel=0.01, abs=0.6 * 10**-places)


@pytest.mark.parametrize("row", rows("least flow"), ids=lambda row: f"{row['case']} {row['at']}F")
def test_least_flow_that_holds_the_set_point(row):
    """Just above the printed flow the outlet is the set point; clearly below it is hotter, held lit."""
    rise, least = float(row["at"]), float(row["expected"])
    turndown, efficiency = (float(part) for part in row["case"].split("Btu/h ")[1].replace(":1", "").split(" at "))
    unit = unit_of(by_id("gas-tankless-199"), Internals(efficiency, 1e-6), how=Tankless(overshoot_df=1e3))
    unit = unit._replace(min_btuh=199_000 / turndown, activation_gpm=0.1, deactivation_gpm=0.05)
    inlet = 125.0 - rise
    # The table uses 500 Btu/(h gpm °F), 60 x 8.24 is 1.1 % less; the rest is its printed rounding.
    held = steady_outlet_f(unit, (least + 0.006) * 500 / (60 * TEST_BTU_PER_GAL_DF), inlet)
    over = steady_outlet_f(unit, (least - 0.006) * 0.99, inlet)
    assert held == pytest.approx(125.0, abs=0.1)
    assert over > 125.2


def steady_outlet_f(unit: instantaneous.Unit, gpm: float, inlet_f: float) -> float:
    """Outlet after ten minutes of constant flow."""
    units, state = instantaneous.cold_units(unit, 67.5)
    trace = np.zeros((700, TRACE_SIZE))
    segment = np.array([(0.0, 10.0, 0.0, math.inf, gpm, 0.0)])
    instantaneous.run(
        units,
        state,
        unit,
        np.array([inlet_f]),
        np.array([67.5]),
        segment,
        10.0,
        1.0,
        (0.0, 0.0),
        np.zeros((1, OUTCOME_SIZE)),
        trace,
    )
    return float(trace[int(state[instantaneous.TRACE_ROWS]) - 1, TRACE_OUTLET_F])


def test_overshoot_of_a_burner_held_lit():
    """0.5 gpm at efficiency 0.95 and 19,900 Btu/h rises 76 °F (500 Btu/(h gpm °F)), whatever the set point."""
    unit = unit_of(by_id("gas-tankless-199"), Internals(0.95, 1e-6), set_point_f=110.0, how=Tankless(overshoot_df=1e3))
    unit = unit._replace(min_btuh=19_900.0)
    assert steady_outlet_f(unit, 0.5, 58.0) - 58.0 == pytest.approx(76, rel=0.012)


def test_overload_sags_or_cuts_the_flow():
    """Above full output: the rise is input times efficiency over flow, or a valve holds the set point."""
    heater = by_id("gas-tankless-150")
    sagging = unit_of(heater, Internals(0.84, 1e-6))
    expected = 58 + 150_000 * 0.84 / (60 * TEST_BTU_PER_GAL_DF * 6.0)
    assert steady_outlet_f(sagging, 6.0, 58.0) == pytest.approx(expected, abs=0.01)
    limiting = unit_of(heater, Internals(0.84, 1e-6), how=Tankless(limits_flow=True))
    assert steady_outlet_f(limiting, 6.0, 58.0) == pytest.approx(125.0, abs=0.01)


@pytest.mark.parametrize("row", rows("cold slug"), ids=lambda row: f"{row['case']} {row['at']}s")
def test_cold_slug(row):
    """From a 120 °F core and 50 °F inlet, what leaves at the end of the ignition delay: printed to 1 °F.

    Worked by hand with 8.3 Btu/(gal °F) and the measured 4.40 Btu/°F; the bench uses 8.24 (0.7 % of the exponent).
    """
    gpm, delay = float(row["case"].split()[0]), float(row["at"])
    unit = unit_of(
        by_id("gas-tankless-199"), Internals(0.802, 1e-6), set_point_f=120.0, how=Tankless(delay_s=delay + 5)
    )
    units, state = instantaneous.cold_units(unit, 120.0)
    trace = np.zeros((100, TRACE_SIZE))
    segment = np.array([(0.0, delay / 60, 0.0, math.inf, gpm, 0.0)])
    instantaneous.run(
        units,
        state,
        unit,
        np.array([50.0]),
        np.array([70.0]),
        segment,
        delay / 60,
        0.05,
        (0.0, 0.0),
        np.zeros((1, OUTCOME_SIZE)),
        np.zeros((0, TRACE_SIZE)),
    )
    assert len(trace)
    assert units[0, instantaneous.CORE_F] == pytest.approx(float(row["expected"]), abs=0.8)


def test_exchanger_cools_as_measured():
    """C/UA = 38.6 min (Grant 2010): of the excess 88 % is left after 5 min, 77 after 10, 60 after 20, 21 after 60."""
    unit = unit_of(by_id("gas-tankless-199"), Internals(0.802, 6.84, core_btu_per_df=4.40))
    for minutes, left in ((5, 0.88), (10, 0.77), (20, 0.60), (60, 0.21)):
        units, state = instantaneous.cold_units(unit, 120.0)
        instantaneous.run(
            units,
            state,
            unit,
            np.array([50.0]),
            np.array([70.0]),
            np.zeros((0, 6)),
            float(minutes),
            1.0,
            (0.0, 0.0),
            np.zeros((0, OUTCOME_SIZE)),
            np.zeros((0, TRACE_SIZE)),
        )
        assert (units[0, instantaneous.CORE_F] - 70) / 50 == pytest.approx(left, abs=0.006)


# A year ---------------------------------------------------------------------------------------------------------


def draws_efficiency(unit: instantaneous.Unit, segments: np.ndarray, until: float) -> float:
    units, state = instantaneous.cold_units(unit, 70.0)
    outcome = np.zeros((len(segments), OUTCOME_SIZE))
    instantaneous.run(
        units,
        state,
        unit,
        np.array([58.0]),
        np.array([70.0]),
        segments,
        until,
        1.0,
        (0.0, 0.0),
        outcome,
        np.zeros((0, TRACE_SIZE)),
    )
    lit = outcome[:, LIT] > 0
    return float(outcome[lit, HEAT_BTU].sum() / state[instantaneous.FUEL_IN])


def measured_unit(set_point_f: float = 120.0) -> instantaneous.Unit:
    """The non-condensing unit of Grant 2010: 4.40 Btu/°F, 6.84 Btu/(h °F), burning at 0.802."""
    return unit_of(by_id("gas-tankless-199"), Internals(0.802, 6.84, core_btu_per_df=4.40), set_point_f=set_point_f)


def test_penalty_of_realistic_draws():
    """About 8 % against draws of some 40 L (Burch, Thornton, Hoeschele, Springer and Rudd 2008, abstract).

    'About' and another house's draws: 4 to 12 % is taken as agreement.
    """
    year = events.random_year(45, 10)
    few = year.segments()
    few = few[few[:, 0] < 60 * 1440]
    gallons = 40 / 3.785411784
    starts = np.arange(60 * 6) * 240.0
    even = np.stack([starts, starts + gallons / 3, 0 * starts, np.inf + 0 * starts, 3 + 0 * starts, 0 * starts], axis=1)
    unit = measured_unit()
    penalty = 1 - draws_efficiency(unit, few, 60 * 1440.0) / draws_efficiency(unit, even, 60 * 1440.0)
    print(f"penalty {penalty:.1%}")
    assert 0.04 <= penalty <= 0.12


@pytest.mark.parametrize(("fixtures", "machines"), [(15, 3), (30, 8), (60, 15), (90, 20)])
def test_efficiency_over_use_patterns(fixtures, machines):
    """0.65 to 0.77 from low to high use (Grant 2010, abstract); one hundredth for other draws than the thesis's."""
    year = events.random_year(fixtures, machines).segments()
    year = year[year[:, 0] < 60 * 1440]
    assert 0.64 <= draws_efficiency(measured_unit(), year, 60 * 1440.0) <= 0.78


@pytest.mark.parametrize("heater", [h for h in TANKS if not h.is_heat_pump], ids=lambda heater: heater.id)
def test_a_tank_year_agrees_with_the_two_parameter_model(heater):
    """Within 2 % on the same draws, the tank at the mean temperature that its own 24-hour test showed.

    The two-parameter model takes it at the set point; a dead band lets it stand some degrees lower, which the test
    method corrects for and the model cannot know.
    """
    year = morning.run_year(heater, events.random_year(45, 10), set_point_f=120.0, mains_f=MAINS, air_f=AIR)
    daily = rating.pattern_daily_gal(heater.draw_pattern)
    if heater.burns_fuel:
        loss = rating.loss_coefficient_btuh_per_df(heater.uef, heater.recovery_frac, heater.power_btuh, daily)
        efficiency = rating.conversion_efficiency_frac(heater.recovery_frac, loss, heater.power_btuh)
    else:
        loss, efficiency = rating.resistance_loss_btuh_per_df(heater.uef, daily), 1.0
    internals = calibration.retest(heater).internals
    decreed = None if heater.burns_fuel else 0.98
    day = federal_tests.simulated_use(
        tank_of(heater, internals), sources_of(heater, internals, np.array([67.5]))[0], heater.draw_pattern, decreed
    )
    tank_f = 120.0 - (125.0 - day.mean_tank_f)
    model = (year.heat_btu + 8760 * loss * (tank_f - AIR.mean())) / efficiency
    print(f"{heater.id}: {year.energy_btu / model - 1:+.2%}")
    assert year.energy_btu == pytest.approx(model, rel=0.02)


# Field results as bands of plausibility ---------------------------------------------------------------------------


@pytest.fixture(scope="module")
def household():
    return events.random_year(45, 10)


def efficiency_of(heater_id: str, draws: events.Draws, **more: object) -> float:
    year = morning.run_year(by_id(heater_id), draws, set_point_f=120.0, mains_f=MAINS, air_f=AIR, **more)
    return year.heat_btu / year.energy_btu


def test_tankless_in_place_of_tank_saves_what_homes_saved(household):
    """37 % saved, condensing and not together, in ten Minneapolis homes (Bohac and others 2010, verified abstract).

    Homes and heaters differ: 46 % on average and 2 to 66 % across homes elsewhere (Toronto 2012). 22 to 50 % passes.
    """
    tank = efficiency_of("gas-tank-40", household)
    for tankless in ("gas-tankless-199", "gas-tankless-condensing-199"):
        saved = 1 - tank / efficiency_of(tankless, household)
        print(f"{tankless}: {saved:.0%}")
        assert 0.22 <= saved <= 0.50


def test_tank_and_tankless_fall_below_their_ratings_in_homes(household):
    """Efficiency in place was nearly 20 % (tanks) and 10 % (tankless) below the former energy factor at 64 gal/day
    (Schoenbauer and others 2012, verified abstract). Against the UEF the gap is smaller by an unknown amount, so only
    its sign and a generous size are checked: tanks 0 to 25 %, tankless 2 to 15 %."""
    for heater_id, low, high in (
        ("gas-tank-40", 0.0, 0.25),
        ("gas-tankless-199", 0.02, 0.15),
        ("gas-tankless-condensing-199", 0.02, 0.15),
    ):
        gap = 1 - efficiency_of(heater_id, household) / by_id(heater_id).uef
        print(f"{heater_id}: {gap:.0%} below")
        assert low <= gap <= high


def test_heat_pumps_in_basements_fall_below_their_rating(household):
    """0.65 to 0.75 of the rating in nine Michigan basements (Gries, Cautley and Margolies 2022, official page).

    Those basements were cool and the water cold; the bench's mild ones may come up to 0.95 of the rating.
    """
    cold = morning.run_year(
        by_id("heat-pump-50"),
        household,
        set_point_f=125.0,
        mains_f=MAINS - 2,
        air_f=AIR - 10,
        wet_bulb_f=wet_bulb_f(AIR - 10, 0.6),
    )
    share = cold.heat_btu / cold.energy_btu / by_id("heat-pump-50").uef
    print(f"basement share of rating {share:.2f}, backup {cold.backup_share_frac:.1%}")
    assert 0.6 <= share <= 0.95


def test_resistance_tank_over_a_year(household):
    """COP 0.95 over a year, an electric tank in a mild house (Balke, Healy and Ullah 2016, verified abstract)."""
    assert efficiency_of("electric-tank-50", household) == pytest.approx(0.95, abs=0.04)


def test_small_draws_that_never_light_a_burner():
    """At a heater-side share of 0.7, 18, 24 and 32 % of faucet draws are too small for 0.4, 0.5 and 0.6 gpm.

    Worked from the normal distribution of faucet flows (1.14, 0.61 gpm; Hendron and Burch 2007, from memory). The hand
    at the tap opens the hot side further while the water is cold, so the bench may light a few more: 0.09 is allowed.
    """
    year = events.random_year(45, 0)
    sinks = np.array([name == "sink" for name in year.name])
    only = events.Draws(
        year.start_min[sinks],
        year.minutes[sinks],
        year.flow_gpm[sinks],
        year.use_f[sinks],
        tuple(n for n in year.name if n == "sink"),
    )
    # 105 °F from 120 °F hot and 70 °F cold: a share of 0.7.
    for activation, expected in ((0.4, 0.18), (0.5, 0.24), (0.6, 0.32)):
        unit = unit_of(by_id("gas-tankless-199"), Internals(0.84, 6.84), set_point_f=120.0)
        unit = unit._replace(activation_gpm=activation, deactivation_gpm=0.7 * activation)
        segments = only.segments()
        units, state = instantaneous.cold_units(unit, 70.0)
        outcome = np.zeros((len(segments), OUTCOME_SIZE))
        instantaneous.run(
            units,
            state,
            unit,
            np.array([70.0]),
            np.array([70.0]),
            segments,
            events.YEAR_MIN,
            1.0,
            (0.0, 0.0),
            outcome,
            np.zeros((0, TRACE_SIZE)),
        )
        assert np.mean(outcome[:, LIT] == 0) == pytest.approx(expected, abs=0.09)


def test_stacking_of_small_draws():
    """Repeated small draws overheat the top of a gas tank by up to 15 to 20 °F, an electric one not at all
    (from memory, unverified: only bounds are checked)."""
    segments = np.array([(t, t + 1.0, 0.0, math.inf, 2.0, 0.0) for t in np.arange(0, 600, 12.0)])
    for heater_id, low, high in (("gas-tank-40", 2.0, 25.0), ("electric-tank-40", -1.0, 1.5)):
        heater = by_id(heater_id)
        internals = calibration.retest(heater).internals
        tank = tank_of(heater, internals)
        temps, state = storage.full_tank(tank)
        trace = np.zeros((2000, TRACE_SIZE))
        storage.run(
            temps,
            state,
            tank,
            sources_of(heater, internals, np.array([67.5])),
            np.array([58.0]),
            np.array([67.5]),
            segments,
            601.0,
            5.0,
            (0.0, 0.0),
            np.zeros((len(segments), OUTCOME_SIZE)),
            np.zeros((0, storage.LOG_SIZE)),
            trace,
        )
        used = trace[: int(state[storage.TRACE_ROWS])]
        hottest = used[:, TRACE_OUTLET_F].max() - 125
        print(f"{heater_id}: {hottest:+.1f} °F")
        assert low <= hottest <= high


def test_first_hour_arithmetic_of_the_forced_draw():
    """Worked example of the partial credit: 41.0 and 13.5 gal, then 6.0 gal at 113 °F after 119 and 109: 56.9 gal."""
    assert 41.0 + 13.5 + federal_tests.credited_gal(6.0, 113.0, 119.0, 109.0) == pytest.approx(56.9)
    for heater in TANKS:
        internals = calibration.retest(heater).internals
        result = federal_tests.first_hour(
            tank_of(heater, internals), sources_of(heater, internals, np.array([67.5]))[0]
        )
        assert result.fhr_gal == pytest.approx(sum(result.draws_gal))
        assert all(gallons >= 0 for gallons in result.draws_gal)


def test_auxiliary_electricity_of_the_test_day_is_the_labels():
    """Fan and controls add up to the label's kWh a year on the bench, to the 15 % by which running time differs."""
    for heater in catalogue():
        if heater.aux_kwh_per_yr and heater.is_storage:
            internals = calibration.retest(heater).internals
            day = federal_tests.simulated_use(
                tank_of(heater, internals), sources_of(heater, internals, np.array([67.5]))[0], heater.draw_pattern
            )
            assert day.auxiliary_btu * 365 / BTU_PER_KWH == pytest.approx(heater.aux_kwh_per_yr, rel=0.15)


def test_a_label_keeps_every_field():
    """Guards the flat row that the table keeps against a field added to ``Internals`` and forgotten in the table."""
    row = calibration.as_row(calibration.retest(by_id("gas-tank-40")))
    assert set(asdict(Internals(1.0, 1.0))) < set(row)
    assert HOT_GAL == 0 and TRACE_MIN == 0 and TRACE_GPM == 3  # the columns that the tables above rely on
