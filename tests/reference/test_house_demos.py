"""Demo houses whose trouble is known in advance: what is found must be what the published tables say."""

from datetime import date

import pytest

from advisor.case.file import read_case
from advisor.comparison import compare
from advisor.core import paths
from advisor.core.verdicts import DOES_NOT_FIT, FITS, NEEDS_WORK
from advisor.house.gas.changes import Delivery
from advisor.house.gas.piping import apply, by_branch_length, check
from tests.houses import said

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def houses():
    """The three demos, compared once."""
    names = ("half-inch-gas-branch", "chimney-left-behind", "full-panel")
    return {name: compare(read_case(paths.CASES / f"{name}.toml"), today=TODAY) for name in names}


def _gas(houses, heater_id):
    return houses["half-inch-gas-branch"].candidate(heater_id).house.trade("gas")


def test_the_half_inch_branch_fails_at_7_inches(houses):
    """IFGC 2018 Table 402.4(2) (0.5 in. w.c.), row 40 ft: 1/2 in. steel carries 81, 1 in. 320 cubic feet an hour."""
    found = _gas(houses, "gas-tankless-condensing-180")
    sizing = found.detail.check.by_length
    assert sizing.segment("heater branch").capacity_cfh == 81
    assert sizing.segment("trunk").capacity_cfh == 320
    # 360,000 Btu/h of 1,036 Btu gas is 347 cubic feet an hour at sea level, a little more at Indianapolis's height.
    assert sizing.segment("trunk").load_cfh == pytest.approx(360_000 / 1036, rel=0.015)
    assert not sizing.segment("heater branch").passes and not sizing.segment("trunk").passes
    assert found.verdict == NEEDS_WORK
    # The sizes that IFGC Table 402.4(2) gives in that row: 1-1/4 in. 657 for the trunk, 1 in. 320 for the branch.
    # 1-1/4 in. has a price of its own now, so a run of the same length beside the trunk comes first.
    pipes = next(way for way in found.detail.ways if way.kind == "larger pipe")
    assert said(pipes.title) == "Larger pipe: 'trunk' in 1-1/4 in. steel and 'heater branch' in 1 in. steel"
    assert [said(job.what) for job in found.items][-1] == (
        "A run of its own from the meter to 'water heater': 40 ft of 1 in. steel"
    )


def test_8_inches_at_the_meter_rescue_the_old_pipe(houses):
    """IFGC 2018 Table 402.4(3) (3.0 in. w.c. from 8 in.), row 40 ft: 1/2 in. carries 214, 3/4 in. 448."""
    found = _gas(houses, "gas-tankless-condensing-180")
    assert "higher pressure" in {way.kind for way in found.ways_out}
    way = next(way for way in found.detail.ways if way.kind == "higher pressure")
    assert way.changes == (Delivery(8.0, 3.0),)
    after = apply(found.detail.system, way)
    assert check(after).passes
    sizing = by_branch_length(after)
    assert sizing.segment("heater branch").capacity_cfh == 214
    assert [run.size for run in after.segments] == [run.size for run in found.detail.system.segments]
    shown = next(way for way in found.ways_out if way.kind == "higher pressure")
    assert "The utility decides" in said(shown.notes)


def test_a_like_tank_leaves_that_pipe_alone(houses):
    assert _gas(houses, "gas-tank-40").verdict == FITS
    assert houses["half-inch-gas-branch"].candidate("gas-tank-40").house.verdict == FITS


def test_the_boiler_left_behind_fails_the_seven_times_test(houses):
    """IFGC 2018 Table B-1: 8x12 tile is 63.6 in2; a 3 in. outlet 7.07 in2: 9.0 times, over the 7 of Table 504.2(3)."""
    house = houses["chimney-left-behind"]
    for heater_id in ("heat-pump-50", "gas-tankless-condensing-180", "electric-tank-50", "gas-tank-power-vent-40"):
        vent = house.candidate(heater_id).house.trade("vent")
        left = vent.detail.left_behind
        assert left.area_ratio_frac == pytest.approx(9.0, abs=0.05)
        assert left.verdict == DOES_NOT_FIT and "9.0 times the outlet" in said(vent.findings)
        liner = next(job for job in vent.items if job.job == "chimney-liner")
        assert liner.low_usd > 0, "nobody may hope that it can be spared"
        assert "shared_flue" in vent.cautions


def test_who_stays_on_the_chimney_leaves_nothing_behind(houses):
    vent = houses["chimney-left-behind"].candidate("gas-tank-40").house.trade("vent")
    assert vent.detail.left_behind is None
    # A shared chimney is at most seven times the smallest outlet on it (IFGC Appendix B, example 5): 9.0 with a 3 in.
    # one. Was: somebody must read the tables of chimneys with several appliances, and nothing of this rule.
    assert vent.verdict == NEEDS_WORK and "9.0 times the smallest outlet" in said(vent.findings)
    assert {job.job for job in vent.items} == {"vent-connector", "chimney-liner"}


@pytest.mark.parametrize(
    ("heater_id", "by_220_82", "by_220_83", "verdict"),
    [
        # 1,800 ft2, range 12, dryer 5, dishwasher 1.2, cooling 5 kVA, gas heat: 28,100 VA before the heater.
        # 220.82: (10,000 + 0.4 (28,100 + 4,500 - 10,000) + 5,000) / 240; 220.83 the same from 8,000.
        ("heat-pump-50", 100.2, 95.2, NEEDS_WORK),
        ("electric-tank-50", 100.2, 95.2, NEEDS_WORK),
        ("electric-tankless-18", 122.7, 117.7, DOES_NOT_FIT),
        ("electric-tankless-27", 137.7, 132.7, DOES_NOT_FIT),
    ],
)
def test_the_panel_by_both_routes(houses, heater_id, by_220_82, by_220_83, verdict):
    """NEC 220.82 and 220.83, worked by hand; the method is that of Annex D2(a), 89.5 A (see test_house.py)."""
    trade = houses["full-panel"].candidate(heater_id).house.trade("power")
    after = {route.section: route.after_a for route in trade.detail.service.routes}
    assert after == {"220.82": pytest.approx(by_220_82, abs=0.05), "220.83": pytest.approx(by_220_83, abs=0.05)}
    before = {route.section: route.before_a for route in trade.detail.service.routes}
    assert before == {"220.82": pytest.approx(92.7, abs=0.05), "220.83": pytest.approx(87.7, abs=0.05)}
    assert trade.detail.service.verdict == verdict
    if verdict == NEEDS_WORK:
        assert "passes by 220.83 but not by every route" in said(trade.findings)
        assert "load-sharing" in {job.job for job in trade.items}
    else:
        assert {"panel-200", "service-upgrade"} <= {job.job for job in trade.items}
        # A 5 kW dryer that pauses takes 8.3 A off at 40 %: 18 kW still ask 109.4 A, and 27 kW draw 112.5 A alone. Was
        # offered all the same.
        assert not trade.detail.service.can_share and not trade.ways_out


def test_what_plugs_in_or_burns_gas_leaves_the_panel_alone(houses):
    for heater_id in ("heat-pump-plug-in-50", "gas-tank-50", "gas-tankless-condensing-180"):
        trade = houses["full-panel"].candidate(heater_id).house.trade("power")
        assert trade.verdict == FITS and trade.detail.service is None
