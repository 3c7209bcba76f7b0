"""Ways out of short gas piping, and the house made from simple answers."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from advisor.core.errors import InputError
from advisor.house.gas import pipe as gas_pipe
from advisor.house.gas.changes import Delivery, LargerMeter, NewRun, Resize, SmallerInput
from advisor.house.gas.piping import (
    GasOutlet,
    GasPrices,
    GasSegment,
    GasSystem,
    PriceRange,
    apply,
    by_pressure,
    check,
    default_tree,
    ways_out,
)
from tests.houses import said

PRICES = GasPrices(
    {"3/4": PriceRange(18, 30, 50), "1": PriceRange(24, 38, 65)},
    visit=PriceRange(150, 300, 600),
    connector=PriceRange(60, 120, 220),
    utility=PriceRange(0, 350, 1500),
)


def house(heater_btuh=180e3, trunk="3/4", branch="1/2", supply=7.0, **more):
    segments = (
        GasSegment("trunk", "source", "steel", trunk, 20.0),
        GasSegment("heater branch", "trunk", "steel", branch, 20.0),
        GasSegment("furnace branch", "trunk", "steel", "3/4", 15.0),
    )
    outlets = (
        GasOutlet("heater", "heater branch", heater_btuh, 5.0, more.pop("max_inlet", 10.5)),
        GasOutlet("furnace", "furnace branch", 80e3, 5.0, 14.0),
    )
    return GasSystem("natural", supply, segments, outlets, heating_value_btu_per_ft3=1000.0, **more)


def kinds(ways):
    return {way.kind: way for way in ways}


def test_no_ways_out_where_none_is_needed():
    assert ways_out(house(40e3, trunk="1"), "heater", PRICES) == ()


def test_every_kind_of_way_out_with_its_price():
    ways = ways_out(house(), "heater", PRICES)
    found = kinds(ways)
    assert set(found) == {
        "larger pipe",
        "dedicated run",
        "higher pressure",
        "2 psi with line regulator",
        "smaller input",
    }
    assert [way.price.typical_usd for way in ways] == sorted(way.price.typical_usd for way in ways)
    # 20 ft of 1 in. branch and 20 ft of 1 in. trunk at $38, and the visit at $300.
    assert found["larger pipe"].changes == (Resize("trunk", "1"), Resize("heater branch", "1"))
    assert found["larger pipe"].price == PriceRange(150 + 40 * 24, 300 + 40 * 38, 600 + 40 * 65)
    # 40 ft of 3/4 in.: 170 ft3/h is too little for 180, so 1 in.
    run = found["dedicated run"].changes[0]
    assert isinstance(run, NewRun)
    assert (run.segment.upstream, run.segment.size, run.segment.length_ft) == ("source", "1", 40.0)
    assert found["dedicated run"].price.typical_usd == 300 + 120 + 40 * 38
    assert found["higher pressure"].changes == (Delivery(8.0, 3.0),)
    assert found["higher pressure"].price == PRICES.utility
    assert "leaves out the line regulators" in said(found["2 psi with line regulator"].notes)


@pytest.mark.parametrize("rule", ["tables", "pressure"])
@pytest.mark.parametrize("supply", [5.6, 7.0])
@pytest.mark.parametrize("meter", [None, 200.0])
def test_every_way_out_passes_when_applied(rule, supply, meter):
    system = house(250e3, supply=supply, meter_capacity_cfh=meter)
    ways = ways_out(system, "heater", PRICES, rule=rule)
    assert ways
    for way in ways:
        changed = apply(system, way)
        assert check(changed, rule).passes, way.title
        assert way.check.passes
    assert not check(system, rule).passes


def test_apply_leaves_the_given_tree_alone():
    system = house()
    before = by_pressure(system)
    apply(system, ways_out(system, "heater", PRICES)[0])
    assert by_pressure(system) == before


def test_smaller_input_is_the_largest_that_passes():
    """The half-inch branch at 40 ft carries 81 ft3/h by IFGC 2018 Table 402.4(2); the trunk has room."""
    system = house(trunk="1")
    way = kinds(ways_out(system, "heater", PRICES))["smaller input"]
    change = way.changes[0]
    assert isinstance(change, SmallerInput)
    assert change.input_btuh == 81_000.0
    assert not check(apply(system, (SmallerInput("heater", 82_000.0),))).passes


def test_11_inches_only_where_every_appliance_takes_it():
    """A branch too thin for 8 in. w.c.: 11 passes, unless the heater's plate stops at 10.5."""
    takes = house(300e3, trunk="1-1/4", max_inlet=14.0)
    refuses = house(300e3, trunk="1-1/4", max_inlet=10.5)
    assert kinds(ways_out(takes, "heater", PRICES))["higher pressure"].changes == (Delivery(11.0, 6.0),)
    found = kinds(ways_out(refuses, "heater", PRICES))
    assert "higher pressure" not in found


def test_pressure_and_pipe_together_where_pressure_alone_is_not_enough():
    system = house(320e3, trunk="3/4", max_inlet=10.5)
    found = kinds(ways_out(system, "heater", PRICES))
    both = found["higher pressure and larger pipe"]
    assert sum(isinstance(change, Resize) for change in both.changes) == 1
    assert sum(isinstance(change, Resize) for change in found["larger pipe"].changes) == 2


def test_the_fewest_segments_and_the_cheapest_sizes_by_trying_all():
    """Every choice of sizes of three segments is tried by brute force under the pressure rule."""
    system = house(trunk="1/2", supply=5.6)
    way = kinds(ways_out(system, "heater", PRICES, rule="pressure"))["larger pipe"]
    resized = [change for change in way.changes if isinstance(change, Resize)]
    best = None
    for sizes in product(gas_pipe.sizes("steel"), repeat=3):
        changed = [
            (segment, size) for segment, size in zip(system.segments, sizes, strict=True) if segment.size != size
        ]
        if any(gas_pipe.bore_in("steel", size) < gas_pipe.bore_in("steel", s.size) for s, size in changed):
            continue
        if by_pressure(apply(system, [Resize(s.name, size) for s, size in changed])).passes:
            cost = 300 + sum(PRICES.pipe("steel", size, s.length_ft)[0].typical_usd for s, size in changed)
            best = min(best or (9, 0.0), (len(changed), cost))
    assert best == (len(resized), way.price.typical_usd)


def test_a_short_meter_alone_is_mended_by_the_utility():
    system = house(40e3, trunk="1", meter_capacity_cfh=100.0)
    found = kinds(ways_out(system, "heater", PRICES))
    assert set(found) == {"larger meter", "smaller input"}
    assert found["larger meter"].price == PRICES.utility
    # The smallest class that carries 120 ft3/h: 175, times 1.03 for 0.60 gravity.
    assert found["larger meter"].changes[0].capacity_cfh == pytest.approx(175 * 1.033, abs=0.5)


def test_a_short_meter_goes_with_every_way_that_keeps_the_heater():
    found = kinds(ways_out(house(meter_capacity_cfh=200.0), "heater", PRICES))
    for kind in ("larger pipe", "dedicated run", "higher pressure"):
        assert any(isinstance(change, LargerMeter) for change in found[kind].changes)
        assert "meter of about" in said(found[kind].notes)


def test_a_second_run_gets_its_own_name():
    system = house()
    once = apply(system, kinds(ways_out(system, "heater", PRICES))["dedicated run"])
    grown = replace(
        once, outlets=tuple(replace(o, input_btuh=400e3) if o.name == "heater" else o for o in once.outlets)
    )
    assert "dedicated run" in kinds(ways_out(grown, "heater", PRICES))


def test_price_of_pipe_above_the_list_is_flagged():
    price, cautions = PRICES.pipe("steel", "1-1/4", 10.0)
    assert price.typical_usd == 380
    assert "expect to pay more" in said(cautions)
    assert PRICES.pipe("csst", "23", 10.0) == (PriceRange(180, 300, 500), ())


def test_unknown_appliance_is_refused():
    with pytest.raises(InputError, match="write one of heater, furnace"):
        ways_out(house(), "boiler", PRICES)


def test_default_tree_says_what_it_assumed():
    made = default_tree("natural", {"furnace": 80e3, "dryer": 35e3}, 180e3, place="CO", meter_class="250")
    system, assumed = made.system, said(made.assumed)
    assert {segment.name for segment in system.segments} == {
        "trunk",
        "heater branch",
        "furnace branch",
        "dryer branch",
    }
    assert system.heating_value_btu_per_ft3 == 1065
    assert system.meter_capacity_cfh == pytest.approx(258, abs=1)
    for words in ("7 in. w.c.", "furnace and dryer", "trunk", "20 ft", "40,000", "1,065", "10.5"):
        assert words in assumed
    assert all(said(one).endswith(".") for one in made.assumed)


def test_default_tree_keeps_what_is_known():
    made = default_tree(
        "natural",
        {},
        150e3,
        heater_branch_size="3/4",
        heater_branch_ft=35.0,
        trunk_size="1",
        trunk_ft=12.0,
        supply_pressure_inwc=8.0,
        heater_min_inlet_inwc=3.5,
        heater_max_inlet_inwc=10.5,
    )
    assert [(s.size, s.length_ft) for s in made.system.segments] == [("1", 12.0), ("3/4", 35.0)]
    assert len(made.assumed) == 1  # the heat in the gas


def test_unknown_pipe_is_what_the_old_house_needed():
    """A 40,000 Btu/h tank beside 180,000 of others, 40 ft: trunk 1 in. (320), branch 1/2 (81)."""
    made = default_tree("natural", {"furnace": 80e3, "range": 65e3, "dryer": 35e3}, 180e3)
    sizes = {segment.name: segment.size for segment in made.system.segments}
    assert (sizes["trunk"], sizes["heater branch"]) == ("1", "1/2")
    assert check(made.system).verdict == "needs work"


def test_default_tree_for_propane():
    made = default_tree(
        "propane", {}, 199e3, heater_branch_size="1/2", heater_branch_ft=10.0, trunk_size="1/2", trunk_ft=10.0
    )
    assert made.system.supply_pressure_inwc == 11.0
    assert check(made.system).passes  # the trade's rule: half-inch, 20 ft, 199,000 Btu/h on propane


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"meter_class": "300"}, "class is not listed"),
        ({"material": "lead"}, "material"),
        ({"gas": "coal gas"}, "gas is not known"),
        ({"heater_input_btuh": 0.0}, "no gas input"),
        ({"trunk_ft": -1.0}, "above zero"),
    ],
)
def test_default_tree_refuses(arguments, words):
    given = {"gas": "natural", "existing": {}, "heater_input_btuh": 150e3} | arguments
    with pytest.raises(InputError, match=words):
        default_tree(given.pop("gas"), given.pop("existing"), given.pop("heater_input_btuh"), **given)
