"""Gas piping: what must hold in every house."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.core.errors import InputError
from advisor.core.units import INWC_PER_PSI
from advisor.house.gas import pipe as gas_pipe
from advisor.house.gas.piping import (
    GasOutlet,
    GasPrices,
    GasSegment,
    GasSystem,
    PriceRange,
    apply,
    by_branch_length,
    by_longest_length,
    by_pressure,
    check,
    ways_out,
)

FEW = settings(max_examples=50, deadline=None)
PRICES = GasPrices(
    {"3/4": PriceRange(18, 30, 50), "1": PriceRange(24, 38, 65)},
    visit=PriceRange(150, 300, 600),
    connector=PriceRange(60, 120, 220),
    utility=PriceRange(0, 350, 1500),
)


@st.composite
def houses(draw, most=6):
    """A random tree of mixed pipe, with an appliance at every end."""
    count = draw(st.integers(1, most))
    segments = []
    for number in range(count):
        upstream = "source" if number == 0 else f"s{draw(st.integers(0, number - 1))}"
        material = draw(st.sampled_from(gas_pipe.materials()))
        segments.append(
            GasSegment(
                f"s{number}",
                upstream,
                material,
                draw(st.sampled_from(gas_pipe.sizes(material)[:6])),
                draw(st.floats(2.0, 30.0)),
                elbows_90=draw(st.integers(0, 5)),
            )
        )
    feeders = {segment.upstream for segment in segments}
    ends = [segment.name for segment in segments if segment.name not in feeders]
    outlets = [GasOutlet(f"at {name}", name, draw(st.floats(3e3, 2e5)), 5.0) for name in ends]
    supply = draw(st.sampled_from([6.0, 7.0, 8.0, 11.0, 2 * INWC_PER_PSI, 5 * INWC_PER_PSI]))
    return GasSystem("natural", supply, tuple(segments), tuple(outlets))


def inlets(system):
    return {item.outlet.name: item.inlet_inwc for item in by_pressure(system).outlets}


def never_better(before, after):
    return all(after[name] <= pressure + 1e-9 for name, pressure in before.items())


@FEW
@given(houses(), st.data())
def test_a_longer_pipe_never_raises_a_pressure(system, data):
    index = data.draw(st.integers(0, len(system.segments) - 1))
    longer = replace(system.segments[index], length_ft=system.segments[index].length_ft * 1.5)
    segments = (*system.segments[:index], longer, *system.segments[index + 1 :])
    assert never_better(inlets(system), inlets(replace(system, segments=segments)))


@FEW
@given(houses(), st.data())
def test_a_narrower_pipe_never_raises_a_pressure(system, data):
    index = data.draw(st.integers(0, len(system.segments) - 1))
    segment = system.segments[index]
    known = gas_pipe.sizes(segment.material)
    narrower = replace(segment, size=known[max(0, known.index(segment.size) - 1)])
    segments = (*system.segments[:index], narrower, *system.segments[index + 1 :])
    assert never_better(inlets(system), inlets(replace(system, segments=segments)))


@FEW
@given(houses(), st.data(), st.floats(1e3, 2e5))
def test_one_more_appliance_never_helps_another(system, data, extra):
    where = data.draw(st.sampled_from([segment.name for segment in system.segments]))
    crowded = replace(system, outlets=(*system.outlets, GasOutlet("new", where, extra)))
    assert never_better(inlets(system), inlets(crowded))
    if by_branch_length(crowded).passes:
        assert by_branch_length(system).passes


@FEW
@given(houses())
def test_longest_length_is_the_stricter_table(system):
    if by_longest_length(system).passes:
        assert by_branch_length(system).passes


@FEW
@given(houses())
def test_gas_is_neither_made_nor_lost(system):
    loads = system.loads_cfh
    first = sum(loads[segment.name] for segment in system.segments if segment.upstream == "source")
    assert abs(first - system.total_cfh) <= 1e-9 * system.total_cfh
    for item in by_pressure(system).segments:
        assert 0 <= item.outlet_inwc <= item.inlet_inwc <= system.supply_pressure_inwc


@FEW
@given(houses(most=4), st.sampled_from(["tables", "pressure"]), st.sampled_from([None, 100.0, 500.0]))
def test_every_way_out_passes_when_applied_and_run_again(system, rule, meter):
    system = replace(system, meter_capacity_cfh=meter)
    ways = ways_out(system, system.outlets[-1].name, PRICES, rule=rule)
    assert bool(ways) <= (not check(system, rule).passes)
    for way in ways:
        assert check(apply(system, way), rule).passes
        assert way.price.low_usd <= way.price.typical_usd <= way.price.high_usd


@FEW
@given(houses(), st.data())
def test_a_tree_bent_into_a_circle_is_refused(system, data):
    """Feed a segment from one of its own ends, or from itself: never a traceback, always one sentence."""
    end = data.draw(st.sampled_from(system.outlets)).segment
    bent = data.draw(st.sampled_from(system.path(end)))
    segments = tuple(replace(s, upstream=end) if s.name == bent else s for s in system.segments)
    try:
        replace(system, segments=segments)
    except InputError as refusal:
        assert "circle" in str(refusal)
        assert "gas.segments" in str(refusal)
    else:
        raise AssertionError("a circle was accepted")
