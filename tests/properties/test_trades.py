"""More trouble in a house never makes a candidate's verdict, or the work for it, better."""

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from advisor.heaters.catalogue import catalogue
from advisor.house.electrical.scope import check_power
from advisor.house.gas import pipe
from advisor.house.gas.piping import apply, check
from advisor.house.gas.scope import check_gas
from advisor.house.vent.scope import check_vent
from advisor.house.water.scope import check_water
from advisor.house.work import check_house
from tests.houses import USE, case_of, house_of

quick = settings(max_examples=50, deadline=None)
heaters = st.sampled_from(catalogue())
gas_heaters = st.sampled_from([heater for heater in catalogue() if heater.fuel.is_fuel_gas and heater.has_flame])
steel = st.sampled_from(pipe.sizes("steel")[:6])
feet = st.floats(2, 120)
inputs = st.floats(20_000, 200_000)


@st.composite
def trees(draw):
    """A house's tree as a case holds it: a trunk, a branch to the heater, and up to three others along the trunk."""
    others = draw(st.lists(st.tuples(steel, feet, inputs), max_size=3))
    segments = [
        {"name": "trunk", "upstream": "source", "size_in": draw(steel), "length_ft": draw(feet)},
        {"name": "branch", "upstream": "trunk", "size_in": draw(steel), "length_ft": draw(feet)},
    ]
    outlets = [{"name": "water heater", "segment": "branch", "input_btuh": draw(inputs)}]
    for number, (size, length, burns) in enumerate(others):
        segments.append({"name": f"run {number}", "upstream": "trunk", "size_in": size, "length_ft": length})
        outlets.append({"name": f"appliance {number}", "segment": f"run {number}", "input_btuh": burns})
    pressure = draw(st.sampled_from([6.0, 7.0, 8.0, 11.0]))
    return {"supply_pressure_inwc": pressure, "segments": segments, "outlets": outlets}


def found(heater, tree, **keys):
    """The trade's finding with the tree on the heater's own gas."""
    fuels = {"failed__fuel": heater.fuel, "house__fuels": [heater.fuel]}
    return check_gas(heater, *house_of(case_of({"gas": tree}, **fuels, **keys)))


def shortfall(trade):
    """How bad the line is: the verdict, then the pressure and the table that are short."""
    if trade.detail is None:  # beyond every table
        return trade.verdict.severity, float("inf"), 0.0
    sizing, pressure = trade.detail.check.by_length, trade.detail.check.pressure
    short = sum(not segment.passes for segment in sizing.segments)
    return trade.verdict.severity, short, -pressure.outlet("water heater").inlet_inwc


def no_better(worse, plain):
    """Each of the three no better; the pressure to within rounding."""
    return all(after >= before - 1e-9 for after, before in zip(shortfall(worse), shortfall(plain), strict=True))


@quick
@given(gas_heaters, trees())
def test_the_way_out_that_is_priced_passes_when_it_is_carried_out(heater, tree):
    trade = found(heater, tree)
    ways = {way.title: way for way in trade.detail.ways}
    for way in ways.values():
        assert check(apply(trade.detail.system, way)).passes
        assert 0 <= way.price.low_usd <= way.price.typical_usd <= way.price.high_usd
    priced = [job for job in trade.items if job.job.startswith("gas-") and job.what in ways]
    assert len(priced) <= 1
    if trade.verdict == "needs work" and not trade.detail.check.passes:
        assert priced or "propane-supply" in {job.job for job in trade.items}


@quick
@given(gas_heaters, trees(), st.data())
def test_a_longer_pipe_is_no_better(heater, tree, data):
    run = data.draw(st.sampled_from(tree["segments"]))
    longer = {**run, "length_ft": run["length_ft"] + data.draw(st.floats(0.1, 200))}
    worse = {**tree, "segments": [longer if item is run else item for item in tree["segments"]]}
    assert no_better(found(heater, worse), found(heater, tree))


@quick
@given(gas_heaters, trees(), st.data())
def test_a_narrower_pipe_is_no_better(heater, tree, data):
    run = data.draw(st.sampled_from(tree["segments"]))
    place = pipe.sizes("steel").index(run["size_in"])
    assume(place > 0)
    narrower = {**run, "size_in": data.draw(st.sampled_from(pipe.sizes("steel")[:place]))}
    worse = {**tree, "segments": [narrower if item is run else item for item in tree["segments"]]}
    assert no_better(found(heater, worse), found(heater, tree))


@quick
@given(gas_heaters, trees(), inputs, st.data())
def test_another_appliance_never_helps(heater, tree, burns, data):
    place = data.draw(st.sampled_from(tree["segments"]))["name"]
    more = {"name": "one more", "segment": place, "input_btuh": burns}
    assert no_better(found(heater, {**tree, "outlets": [*tree["outlets"], more]}), found(heater, tree))


@quick
@given(gas_heaters, st.floats(20_000, 200_000), st.floats(1_000, 100_000))
def test_a_larger_furnace_in_simple_answers_never_helps(heater, furnace, extra):
    """The pipes are given, so that nothing grows with the furnace."""
    sizes = {"gas__branch_size_in": "3/4", "gas__trunk_size_in": "1", "failed__fuel": heater.fuel}
    plain, worse = (
        check_gas(heater, *house_of(case_of(**sizes, gas__furnace_btuh=load))) for load in (furnace, furnace + extra)
    )
    assert (
        worse.detail.check.by_length.segment("trunk").load_cfh > plain.detail.check.by_length.segment("trunk").load_cfh
    )
    before, after = (trade.detail.check.pressure.outlet("water heater").inlet_inwc for trade in (plain, worse))
    assert after <= before + 1e-9


@quick
@given(heaters, st.floats(1, 150), st.floats(0.1, 150), st.integers(0, 8), st.integers(0, 3))
def test_a_longer_or_more_bent_vent_is_no_better(heater, run, extra, elbows, more):
    assume(heater.vent_category not in {"none", "I", "oil"})
    plain, worse = (
        check_vent(heater, *house_of(case_of(vent__run_ft=length, vent__n_elbows=bends)))
        for length, bends in ((run, elbows), (run + extra, elbows + more))
    )
    assert worse.verdict.severity >= plain.verdict.severity
    assert sum(job.typical_usd for job in worse.items) >= sum(job.typical_usd for job in plain.items) - 1e-9
    assert worse.detail.run.margin_ft < plain.detail.run.margin_ft


@quick
@given(heaters, st.integers(60, 400), st.integers(0, 200), st.integers(0, 10))
def test_more_amperes_never_add_work(heater, service, extra, free):
    weak, strong = (
        check_power(heater, *house_of(case_of(electrical__service_a=amperes, electrical__n_free_spaces=free)), USE)
        for amperes in (service, min(service + extra, 600))
    )
    assert strong.verdict.severity <= weak.verdict.severity
    assert sum(job.typical_usd for job in strong.items) <= sum(job.typical_usd for job in weak.items) + 1e-9


@quick
@given(heaters, st.integers(0, 12), st.integers(0, 6))
def test_more_free_spaces_never_add_work(heater, free, extra):
    tight, wide = (
        {job.job for job in check_power(heater, *house_of(case_of(electrical__n_free_spaces=count)), USE).items}
        for count in (free, free + extra)
    )
    assert wide <= tight


@quick
@given(heaters, st.floats(0, 40), st.floats(0, 40))
def test_harder_water_never_spares_work(heater, grains, more):
    soft, hard = (
        sum(job.typical_usd for job in check_water(heater, *house_of(case_of(water__hardness_gpg=value))).items)
        for value in (grains, grains + more)
    )
    assert hard >= soft


@quick
@given(heaters, st.integers(1, 3))
def test_more_units_never_cost_less(heater, n_units):
    from dataclasses import replace

    house = house_of(case_of())
    fewer, more = (
        check_house(replace(heater, id=f"{heater.id}-x{count}", n_units=count), *house, USE).installed_usd
        for count in (n_units, n_units + 1)
    )
    assert all(after >= before for before, after in zip(fewer, more, strict=True))


@quick
@given(heaters, st.floats(0.6, 1.0), st.sampled_from(["natural_gas", "propane", "heating_oil", "electricity"]))
def test_thin_air_never_asks_more_of_the_pipe_than_its_own_lack_of_heat(heater, kept, failed):
    """At height burners and gas both give less: the cubic feet that flow stay within what sea level asks, over 10 %."""
    assume(heater.fuel.is_fuel_gas and heater.has_flame)
    case = case_of(failed__fuel=failed)
    height = (1 - kept) / 0.04 * 1000
    sea = check_gas(heater, *house_of(case)).detail.check.by_length.segment("heater branch").load_cfh
    thin = house_of(case, altitude_frac=kept, elevation_ft=height)
    flows = check_gas(heater, *thin).detail.check.by_length.segment("heater branch").load_cfh
    assert flows <= sea * 1.10
