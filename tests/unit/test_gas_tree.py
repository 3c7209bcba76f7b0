"""The gas tree: what is refused, and how loads, zones and pressures follow from it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from advisor.core.errors import InputError, OutOfRangeError
from advisor.core.units import INWC_PER_PSI
from advisor.house.gas.flow import as_printed, low_pressure_flow_cfh
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

TRUNK = GasSegment("trunk", "source", "steel", "1", 20.0)
HEATER = GasSegment("heater branch", "trunk", "steel", "3/4", 20.0)
FURNACE = GasSegment("furnace branch", "trunk", "steel", "1/2", 10.0)
OUTLETS = (GasOutlet("heater", "heater branch", 150e3), GasOutlet("furnace", "furnace branch", 60e3))


def house(*segments, outlets=OUTLETS, **more):
    return GasSystem("natural", more.pop("supply", 7.0), segments or (TRUNK, HEATER, FURNACE), outlets, **more)


@pytest.mark.parametrize(
    ("segments", "words"),
    [
        (
            (TRUNK, HEATER, FURNACE, GasSegment("lost", "attic", "steel", "1", 5.0)),
            "'lost': .*'attic', is not listed",
        ),
        ((replace(TRUNK, upstream="heater branch"), HEATER, FURNACE), "circle: .*trunk"),
        (
            (TRUNK, HEATER, FURNACE, replace(FURNACE, upstream="heater branch")),
            "'furnace branch'.*two places",
        ),
        ((TRUNK, HEATER, FURNACE, FURNACE), "'furnace branch'.*twice"),
    ],
)
def test_bad_trees_are_refused_by_name(segments, words):
    with pytest.raises(InputError, match=words) as caught:
        house(*segments)
    assert str(caught.value).count(".") >= 1
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"length_ft": 0.0}, "above zero"),
        ({"length_ft": -3.0}, "above zero"),
        ({"length_ft": float("nan")}, "above zero"),
        ({"material": "lead"}, "material 'lead' is not known"),
        ({"size": "7/8"}, "not listed in size '7/8'"),
        ({"name": "source"}, "cannot have this name"),
        ({"elbows_90": -1}, "-1 fittings cannot be"),
    ],
)
def test_bad_segments_are_refused_by_name(changes, words):
    with pytest.raises(InputError, match=words) as caught:
        replace(HEATER, **changes)
    assert "name" in changes or "heater branch" in str(caught.value)


def test_loads_must_hang_on_the_tree():
    with pytest.raises(InputError, match="gas.outlets = 'dryer': there is no run 'laundry'"):
        house(outlets=(*OUTLETS, GasOutlet("dryer", "laundry", 35e3)))
    with pytest.raises(InputError, match="gas.outlets = 'dryer': it has no gas input"):
        GasOutlet("dryer", "trunk", 0)
    with pytest.raises(InputError, match="twice"):
        house(outlets=(*OUTLETS, OUTLETS[0]))
    with pytest.raises(InputError, match="there are none"):
        house(outlets=())
    with pytest.raises(InputError, match="largest inlet"):
        GasOutlet("dryer", "trunk", 35e3, 7.0, 5.0)


@pytest.mark.parametrize(
    ("more", "error"),
    [
        ({"supply": 0.25}, OutOfRangeError),
        ({"supply": 400.0}, OutOfRangeError),
        ({"allowed_drop_inwc": 3.0}, OutOfRangeError),  # 3.0 needs a supply of 8
        ({"supply": 8.0, "allowed_drop_inwc": 6.0}, OutOfRangeError),
        ({"allowed_drop_inwc": 8.0}, InputError),
        ({"heating_value_btu_per_ft3": 1.0}, InputError),
        ({"elevation_ft": 30_000.0}, InputError),
        ({"meter_capacity_cfh": 0.0}, InputError),
        ({"regulators": (LineRegulator("attic", 8.0, 4.0),)}, InputError),
        ({"regulators": (LineRegulator("trunk", 8.0, 4.0),)}, InputError),  # above the supply
    ],
)
def test_values_that_cannot_be(more, error):
    with pytest.raises(error):
        house(**more)


def test_propane_low_pressure_has_only_the_half_inch_drop():
    with pytest.raises(OutOfRangeError, match="propane"):
        GasSystem("propane", 11.0, (TRUNK, HEATER, FURNACE), OUTLETS, allowed_drop_inwc=1.0)


def test_loads_add_up_the_tree():
    system = house(heating_value_btu_per_ft3=1000.0)
    assert system.loads_cfh == pytest.approx({"trunk": 210.0, "heater branch": 150.0, "furnace branch": 60.0})
    assert system.total_cfh == pytest.approx(210.0)


def test_thin_air_means_more_cubic_feet():
    """5,280 ft: a cubic foot holds 0.84 of a sea-level one."""
    ratio = house(elevation_ft=5280.0).total_cfh / house().total_cfh
    assert ratio == pytest.approx(1 / 0.84, abs=0.01)


def test_order_of_listing_does_not_matter():
    forward, backward = by_pressure(house()), by_pressure(house(FURNACE, HEATER, TRUNK))
    assert forward.outlet("heater") == backward.outlet("heater")


def test_pressure_is_the_sum_of_the_drops():
    result = by_pressure(house())
    drops = {item.segment.name: item.drop_inwc for item in result.segments}
    assert result.outlet("heater").inlet_inwc == pytest.approx(7.0 - drops["trunk"] - drops["heater branch"])
    assert result.worst.outlet.name == "heater"
    assert result.passes


def test_too_small_a_pipe_starves_the_appliance_and_never_goes_below_nothing():
    thin = house(replace(TRUNK, material="copper_k", size="1/4"), HEATER, FURNACE)
    result = by_pressure(thin)
    assert result.worst.inlet_inwc == 0.0
    assert not result.passes
    assert "which needs 5" in said(result.finding)


def test_what_arrives_need_not_be_more_than_is_needed():
    outlet = by_pressure(house()).outlets[0]
    just = replace(outlet, min_inlet_inwc=outlet.inlet_inwc)
    assert just.passes and just.margin_inwc == 0
    assert not replace(outlet, min_inlet_inwc=outlet.inlet_inwc + 1e-6).passes


def test_a_pipe_may_carry_all_that_its_table_gives():
    trunk = by_longest_length(house()).segment("trunk")
    assert replace(trunk, load_cfh=trunk.capacity_cfh).passes
    assert not replace(trunk, load_cfh=trunk.capacity_cfh + 1e-6).passes


def test_static_pressure_above_the_plate_fails():
    limited = house(supply=12.0, outlets=(replace(OUTLETS[0], max_inlet_inwc=10.5), OUTLETS[1]))
    result = by_pressure(limited)
    assert not result.passes
    assert "With everything off, 'heater' stands at 12.0" in said(result.finding)


def test_a_short_meter_fails_and_an_unknown_one_is_said():
    assert by_pressure(house()).meter.passes
    assert "meter" in said(by_pressure(house()).notes)
    short = by_pressure(house(meter_capacity_cfh=150.0))
    assert not short.passes
    assert "gas meter passes about 150" in said(short.finding)


def test_hybrid_sizes_each_side_of_the_regulator_from_its_own_beginning():
    regulator = LineRegulator("trunk", 8.0, 4.0, 3.0, 500.0)
    system = house(supply=2 * INWC_PER_PSI, regulators=(regulator,))
    result = by_hybrid(system)
    assert result.passes
    assert (result.segment("trunk").length_ft, result.segment("heater branch").length_ft) == (20.0, 20.0)
    assert by_pressure(system).outlet("heater").static_inwc == 8.0
    starved = by_pressure(replace(system, regulators=(replace(regulator, capacity_cfh=100.0),)))
    assert "line regulator at 'trunk' passes about 100" in said(starved.finding)


def test_supply_from_3_inches_to_10_psi():
    for within in (3.0, 10 * INWC_PER_PSI):
        assert house(supply=within)
    for outside in (2.99, 10.01 * INWC_PER_PSI):
        with pytest.raises(OutOfRangeError, match="gas.supply_pressure_inwc"):
            house(supply=outside)


@pytest.mark.parametrize(("outlet_inwc", "own_loss_inwc"), [(0.6, 0.0), (8.0, 0.6), (8.0, 13.9), (13.9, 0.0)])
def test_a_regulator_holds_and_loses_less_than_feeds_it(outlet_inwc, own_loss_inwc):
    assert house(supply=14.0, regulators=(LineRegulator("trunk", outlet_inwc, own_loss_inwc),))


@pytest.mark.parametrize(("outlet_inwc", "own_loss_inwc"), [(0.0, 0.0), (8.0, -0.1), (8.0, 14.0), (14.0, 0.0)])
def test_a_regulator_that_cannot_be_is_refused(outlet_inwc, own_loss_inwc):
    with pytest.raises(InputError, match="gas.regulators"):
        house(supply=14.0, regulators=(LineRegulator("trunk", outlet_inwc, own_loss_inwc),))


def test_hybrid_needs_a_regulator():
    with pytest.raises(InputError, match="gas.regulators"):
        by_hybrid(house())


def test_a_weak_inlet_carries_through_the_regulator():
    """A regulator cannot hold 8 in. w.c. when less than that plus its loss arrives."""
    trunk = replace(TRUNK, material="copper_k", size="1/4", length_ft=100.0)
    system = house(trunk, HEATER, FURNACE, supply=2 * INWC_PER_PSI, regulators=(LineRegulator("trunk", 8.0, 4.0),))
    result = by_pressure(system)
    arrives = result.segments[0].outlet_inwc
    assert arrives < 12.0
    assert result.segments[1].inlet_inwc == pytest.approx(max(0.0, arrives - 4.0))


def test_branch_length_is_never_longer_than_longest_length():
    longest, branch = by_longest_length(house()), by_branch_length(house())
    assert branch.segment("furnace branch").length_ft == 30.0
    assert longest.segment("furnace branch").length_ft == 40.0
    assert branch.segment("heater branch").length_ft == longest.segment("heater branch").length_ft == 40.0


def test_copper_is_sized_on_the_type_k_bore():
    """As the printed copper tables do; the pressure calculation uses the type's own, wider bore."""
    outlets = (GasOutlet("heater", "trunk", 150e3),)
    thick, thin = (house(replace(TRUNK, material=m), outlets=outlets) for m in ("copper_k", "copper_l"))
    capacity = by_longest_length(thick).segment("trunk").capacity_cfh
    assert capacity == by_longest_length(thin).segment("trunk").capacity_cfh
    assert capacity == as_printed(low_pressure_flow_cfh(0.995, 20.0, 0.5, 0.6094))
    assert by_pressure(thin).worst.inlet_inwc > by_pressure(thick).worst.inlet_inwc


def test_nothing_large_enough():
    result = by_longest_length(house(outlets=(GasOutlet("boiler", "trunk", 2e7),)))
    assert result.segment("trunk").required_size is None
    assert "no listed size" in said(result.finding)


def test_check_by_either_rule():
    """At 7 in. w.c. the half-inch table is stricter than the pressure at the appliances."""
    system = house(replace(TRUNK, size="3/4"), HEATER, FURNACE)
    tables, pressure = check(system), check(system, "pressure")
    # What passes by the pressure alone needs the official's consent (IFGC 2018 402.3): work, and no plain fit.
    assert (tables.passes, pressure.passes, pressure.by_consent) == (False, True, True)
    assert (tables.verdict, pressure.verdict) == ("needs work", "needs work")
    assert "code official's consent" in said(pressure.findings)
    assert "it takes 1 in. steel" in said(tables.findings)
    assert "code official" in said(tables.findings)
    assert "least to spare" in said(pressure.findings)


def test_a_fall_steeper_than_the_tables_is_said():
    tubing = replace(TRUNK, material="csst", size="13", length_ft=1.0)
    result = by_pressure(house(tubing, HEATER, FURNACE, outlets=(GasOutlet("heater", "trunk", 360e3),)))
    assert "falls faster" in said(result.notes)


def test_notes_say_what_is_derived():
    tubing = house(GasSegment("trunk", "source", "csst", "30", 20.0), HEATER, FURNACE)
    assert "maker's own table governs" in said(check(tubing).pressure.notes)
    propane = GasSystem("propane", 11.0, (TRUNK, HEATER, FURNACE), OUTLETS)
    assert "wrong row labels" in said(check(propane).pressure.notes)
