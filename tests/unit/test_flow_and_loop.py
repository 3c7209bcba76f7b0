"""The trainer's table: flow by heat balance, a loop that cools by Newton's law, heaters that take turns."""

from datetime import date

import numpy as np
import pytest

from advisor.bench.another_tap import another_tap
from advisor.bench.staging import Staging, busiest_day, through_a_day
from advisor.case.file import case_from
from advisor.comparison import compare
from advisor.core.errors import InputError
from advisor.demand.events import morning
from advisor.demand.loop_band import BANDS_DF, banded, loop_cools_min, pump_current_a
from advisor.demand.recirculation import Loop, recirculation
from advisor.heaters.flow_table import RISES_DF, at_rise, by_month

TANKLESS = "gas-tankless-condensing-180"
BTU_PER_GAL_DF = 8.24  # 10 CFR 430 subpart B app. E


@pytest.fixture(scope="module")
def comparison():
    case = {
        "place": {"zip_code": "55811"},
        "household": {"people": 6, "full_baths": 4, "showers_together": 3},
        "failed": {"fuel": "natural_gas", "size_gal": 75},
        "house": {"fuels": ["natural_gas"]},
        "several": [{"candidate": TANKLESS, "n_units": n} for n in (2, 3)],
    }
    return compare(case_from(case), today=date(2026, 11, 29))


def heater_of(comparison, name):
    return comparison.candidate(name).heater


class TestFlow:
    @pytest.mark.parametrize("rise", [50.0, 67.0, 90.0])
    def test_a_tankless_heater_by_its_heat_balance(self, comparison, rise):
        """180,000 Btu/h at its recovery efficiency over 60 min of 8.24 Btu/(gal °F), within the label's rounding."""
        heater = heater_of(comparison, TANKLESS)
        heat = 180_000 * heater.usual_recovery_frac
        flow = at_rise(heater, comparison.circumstances, rise)
        assert flow.gives_gpm == pytest.approx(heat / (60 * BTU_PER_GAL_DF * rise), rel=0.05)

    def test_two_give_twice_and_the_least_is_that_of_one(self, comparison):
        one, two = (
            at_rise(heater_of(comparison, name), comparison.circumstances, 60) for name in (TANKLESS, f"{TANKLESS}-x2")
        )
        assert two.gives_gpm == pytest.approx(2 * one.gives_gpm) and two.least_gpm == one.least_gpm

    def test_the_coldest_month_is_the_one_that_the_answer_rests_on(self, comparison):
        candidate = comparison.candidate(TANKLESS)
        months = by_month(candidate.heater, comparison.circumstances)
        assert min(one.gives_gpm for one in months) == pytest.approx(candidate.capacity.deliverable)
        assert min(one.least_gpm for one in months) == pytest.approx(candidate.capacity.least_flow_winter_gpm)
        assert max(one.least_gpm for one in months) == pytest.approx(candidate.capacity.least_flow_summer_gpm)

    def test_a_tank_gives_its_recovery(self, comparison):
        """Rise times flow is the same heat at every rise."""
        heater = heater_of(comparison, "gas-tank-50")
        heats = [at_rise(heater, comparison.circumstances, rise).gives_gpm * rise for rise in RISES_DF]
        assert max(heats) == pytest.approx(min(heats))
        assert heats[0] * 60 * BTU_PER_GAL_DF == pytest.approx(40_000 * 0.8, rel=0.1)  # a usual burner of 40,000 Btu/h


class TestOtherTap:
    def test_what_it_can_heat_it_holds(self, comparison):
        run = another_tap(comparison.bench, heater_of(comparison, f"{TANKLESS}-x2"), other_gpm=1.0)
        assert run.off_s == 0 and run.settled_f == pytest.approx(run.before_f, abs=0.5)

    def test_what_it_cannot_it_gives_lukewarm_by_its_heat_balance(self, comparison):
        heater = heater_of(comparison, TANKLESS)
        run = another_tap(comparison.bench, heater, other_gpm=6.0)
        both = (run.time_min >= run.shuts_min - 0.5) & (run.time_min < run.shuts_min)
        inlet_f = float(comparison.circumstances.coldest_mains_f)
        heat = run.hot_gpm[both].mean() * 60 * BTU_PER_GAL_DF * (run.settled_f - inlet_f)
        assert run.settled_f < run.before_f - 5 and run.off_s > 60
        assert heat == pytest.approx(180_000 * heater.usual_recovery_frac, rel=0.05)

    def test_a_tank_hardly_notices(self, comparison):
        run = another_tap(comparison.bench, heater_of(comparison, "gas-tank-50"), other_gpm=2.0)
        assert abs(run.lowest_f - run.before_f) < 2


class TestRowOfHeaters:
    def day(self, comparison, gpm, staging=None, units=2, minutes=30.0):
        draws = morning([("load", 10.0, minutes, gpm, None)])
        return through_a_day(
            comparison.bench, heater_of(comparison, f"{TANKLESS}-x{units}"), staging or Staging(), draws
        )

    def full_gpm(self, comparison):
        """Hot flow that one of them heats to the set point on the bench."""
        rise = comparison.circumstances.set_point_f - float(comparison.circumstances.coldest_mains_f)
        return at_rise(heater_of(comparison, TANKLESS), comparison.circumstances, rise).gives_gpm

    @pytest.mark.parametrize(("share", "running"), [(0.6, 1), (0.78, 1), (0.95, 2), (1.5, 2), (1.8, 3), (2.6, 3)])
    def test_the_next_joins_near_the_output_of_those_running(self, comparison, share, running):
        day = self.day(comparison, share * self.full_gpm(comparison), units=3)
        assert day.running[-1] == running and day.joins == running - 1

    def test_one_leaves_when_lightly_loaded(self, comparison):
        full = self.full_gpm(comparison)
        heater = heater_of(comparison, f"{TANKLESS}-x2")
        for share, stays in ((0.8, 2), (0.5, 1)):
            draws = morning([("large", 0.0, 10.0, 1.4 * full, None), ("small", 10.0, 10.0, share * full, None)])
            day = through_a_day(comparison.bench, heater, Staging(), draws)
            # 30 % of two is 60 % of one.
            assert day.running[-1] == stays and day.leaves == 2 - stays

    def test_the_lead_goes_round_so_that_all_burn_alike(self, comparison):
        draws = morning([("draw", 60.0 * hour, 20.0, 0.5 * self.full_gpm(comparison), None) for hour in range(12)])
        heater = heater_of(comparison, f"{TANKLESS}-x3")
        turned = through_a_day(comparison.bench, heater, Staging(rotate_h=1.0), draws)
        fixed = through_a_day(comparison.bench, heater, Staging(rotate_h=24.0), draws)
        assert max(turned.burned_min) - min(turned.burned_min) <= 25 and turned.lead_changes >= 8
        assert min(fixed.burned_min) == 0 == fixed.lead_changes
        assert sum(turned.burned_min) == pytest.approx(sum(fixed.burned_min), rel=0.02)

    def test_the_busiest_day_is_in_the_coldest_month(self, comparison):
        day = busiest_day(comparison.bench)
        year = comparison.bench.year_draws
        assert day.start_min.min() >= 0 and day.start_min.max() < 1440
        assert float(day.gallons.sum()) > 1.5 * float(year.gallons.sum()) / 365

    @pytest.mark.parametrize(
        "bad", [{"join_frac": 1.2}, {"leave_frac": 0.9}, {"join_frac": 0.3, "leave_frac": 0.4}, {"rotate_h": 0}]
    )
    def test_settings_that_cannot_be_are_refused(self, bad):
        with pytest.raises(InputError):
            Staging(**bad)

    @pytest.mark.parametrize("name", [TANKLESS, "gas-tank-50"])
    def test_one_heater_takes_no_turns(self, comparison, name):
        with pytest.raises(InputError, match="take turns"):
            through_a_day(comparison.bench, heater_of(comparison, name), Staging(), busiest_day(comparison.bench))


class TestLoop:
    def test_it_cools_as_small_steps_say(self):
        """Explicit steps of a second, to the band."""
        content, loss, above, minutes = 3.0, 54.0, 45.0, 0.0
        left = above
        while left > above - 10:
            left -= loss * left / (content * BTU_PER_GAL_DF) / 3600
            minutes += 1 / 60
        assert loop_cools_min(content, loss, above, 10.0) == pytest.approx(minutes, abs=0.05)
        assert np.isinf(loop_cools_min(content, loss, 45.0, 50.0))

    def test_a_wider_band_costs_less_and_is_cooler(self):
        loop = Loop(120.0)
        made = [banded(loop, recirculation(loop), 3.0, band) for band in BANDS_DF]
        heats = [one.loop.heat_btu_per_yr for one in made]
        assert heats == sorted(heats) and [one.coldest_f for one in made] == [97, 105, 110, 113]
        assert [one.starts_per_day for one in made] == sorted(one.starts_per_day for one in made)
        assert heats[-1] < recirculation(loop).heat_btu_per_yr

    def test_a_narrow_band_comes_near_a_loop_that_always_runs(self):
        loop = Loop(120.0)
        near = banded(loop, recirculation(loop), 3.0, 0.01)
        assert near.loop.heat_btu_per_yr == pytest.approx(recirculation(loop).heat_btu_per_yr, rel=0.001)

    def test_the_pump_by_hand(self):
        assert pump_current_a(85.0) == pytest.approx(85 / 120 / 0.6)
