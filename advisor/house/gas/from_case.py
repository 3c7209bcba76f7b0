"""The gas line of a case with a candidate on it: the tree as measured, or the one that simple answers give."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

from advisor.case.base import Assumption
from advisor.case.house import Gas, GasLoad
from advisor.case.record import Case
from advisor.case.usual import assumption, usual
from advisor.circumstances import Circumstances
from advisor.core.errors import InputError
from advisor.core.kinds import Fuel
from advisor.heaters.catalogue import Heater
from advisor.house.facts import HouseFacts
from advisor.house.gas import pipe, piping
from advisor.house.gas.simple_tree import (
    NOT_ASKED,
    REGULATED,
    SIZE_KEYS,
    DefaultTree,
    LineRegulatorAnswers,
    class_capacity_cfh,
    default_tree,
    others_take,
)
from advisor.house.gas.tree import (
    HEATER,
    HEATER_BRANCH,
    LOW_METER_INWC,
    TRUNK,
    GasOutlet,
    GasSegment,
    GasSystem,
    LineRegulator,
    check_drop,
)

#: Stands for "no burner was here" where the tree asks what the old heater burned.
_NO_OLD_BURNER_BTUH = 1.0
#: What a tree of the candidate alone tells of the gas and of the candidate.
_OF_THE_GAS = frozenset(
    {
        "gas.supply_pressure_inwc",
        "gas.heating_value_btu_per_ft3",
        "gas.outlets.max_inlet_inwc",
    }
)
Found = tuple[GasSystem, tuple[Assumption, ...]]


def gas_system(heater: Heater, facts: HouseFacts, circumstances: Circumstances) -> Found:
    """The house's gas tree with the candidate on it, and what was assumed.

    Inputs are those that burners have at this height; the pipe meets the actual, thinner gas.

    Raises
    ------
    InputError
        The line in the case cannot be, or goes beyond the tables; the key of the case is named.
    """
    burns = heater.power_btuh * heater.n_units * circumstances.altitude_frac
    if is_measured(heater, facts):
        return _measured_system(burns, heater, facts, circumstances)
    others = _existing_loads(heater, facts, circumstances.altitude_frac)
    return _simple_system(burns, others, heater, facts, circumstances)


def usual_system(heater: Heater, facts: HouseFacts, circumstances: Circumstances) -> Found:
    """The same where nothing but a usual furnace burns beside the heater, whatever else the case names.

    What a guessed trunk may be trusted with: its size follows from what the case names, rounded up to a listed
    one, so that naming one more appliance would make room for a larger heater.
    """
    burns = heater.power_btuh * heater.n_units * circumstances.altitude_frac
    others = {"furnace": float(usual("gas.furnace_btuh"))} if _heats_with_it(heater, facts) else {}
    return _simple_system(burns, others, heater, facts, circumstances)


def has_guessed_trunk(heater: Heater, facts: HouseFacts) -> bool:
    """Whether the pipe that all gas enters by is there already and nobody measured it."""
    own_line = heater.fuel == line_fuel(facts.case)
    is_guessed = own_line and facts.gas.trunk_size_in is None and not is_measured(heater, facts)
    return is_guessed and TRUNK not in new_pipe(heater, facts)


def refuse_bad_line(case: Case) -> None:
    """Refuse a gas line that cannot be, whatever heater is put on it.

    Raises
    ------
    InputError
        A size that the material is not listed in, an unknown meter, runs that are no tree; the key is named.
    """
    gas, kind = case.gas, _gas_of(line_fuel(case))
    _check_sizes(gas)
    _check_regulator(gas)
    class_capacity_cfh(kind, gas.meter_class)
    fed = "two_psi" if _regulator_answers(gas).place in REGULATED else kind
    supply = gas.supply_pressure_inwc or usual("gas.supply_pressure_inwc", fed)
    if gas.allowed_drop_inwc is not None:
        check_drop(kind, supply, gas.allowed_drop_inwc)
    if not (gas.segments or gas.outlets):
        return
    _old_heater(gas)
    outlets = tuple(
        GasOutlet(load.name, load.segment, load.input_btuh, load.min_inlet_inwc, load.max_inlet_inwc)
        for load in gas.outlets
    )
    GasSystem(kind, supply, _segments(gas), outlets, gas.allowed_drop_inwc, regulators=_regulators(gas))


def _old_heater(gas: Gas) -> GasLoad:
    """The appliance of a measured tree in whose place the candidate stands."""
    for load in gas.outlets:
        if load.name == HEATER:
            return load
    reason, fix = "none of the gas appliances is called '{name}'", "name the one that is being replaced '{name}'"
    raise InputError("gas.outlets", None, reason, fix, name=HEATER)


def line_fuel(case: Case) -> Fuel:
    """The gas that the case's pipes and appliances burn; few houses have both gases."""
    for fuel in (case.failed.fuel, case.house.heating_fuel):
        if fuel is not None and fuel.is_fuel_gas:
            return fuel
    gases = [fuel for fuel in Fuel.all() if fuel.is_fuel_gas]
    # A house without gas would have it brought.
    return next((fuel for fuel in gases if fuel in case.house.fuels), gases[-1])


def is_measured(heater: Heater, facts: HouseFacts) -> bool:
    """Whether the case holds the whole tree that the candidate would stand on."""
    return heater.fuel == line_fuel(facts.case) and bool(facts.gas.segments or facts.gas.outlets)


def new_pipe(heater: Heater, facts: HouseFacts) -> tuple[str, ...]:
    """The runs of the simple tree that are not there yet: the branch, and the trunk where nothing burns this gas."""
    if _has_branch(heater, facts):
        return ()
    own_line = heater.fuel == line_fuel(facts.case)
    others = _given_loads(facts) or _furnace_is_assumed(heater, facts)
    trunk_is_there = own_line and (others or facts.gas.trunk_size_in)
    return (HEATER_BRANCH,) if trunk_is_there else (TRUNK, HEATER_BRANCH)


def _has_branch(heater: Heater, facts: HouseFacts) -> bool:
    """Whether a pipe with this gas ends at the heater already."""
    if heater.fuel != line_fuel(facts.case):
        return False
    return facts.burned_before(heater.fuel) or bool(facts.gas.segments) or facts.gas.branch_size_in is not None


def _given_loads(facts: HouseFacts) -> dict[str, float]:
    """The other appliances on the gas line, by their plates."""
    gas = facts.gas
    plates = {
        "furnace": gas.furnace_btuh,
        "range": gas.range_btuh,
        "dryer": gas.dryer_btuh,
        "fireplace": gas.fireplace_btuh,
    }
    return {name: load for name, load in plates.items() if load is not None}


def _existing_loads(heater: Heater, facts: HouseFacts, altitude_frac: float) -> dict[str, float]:
    """The other appliances on this gas, as they burn at this height; a furnace that nobody read, as usual."""
    if heater.fuel != line_fuel(facts.case):
        return {}
    loads = {name: load * altitude_frac for name, load in _given_loads(facts).items()}
    if _furnace_is_assumed(heater, facts):
        loads["furnace"] = usual("gas.furnace_btuh")
    return loads


def _furnace_is_assumed(heater: Heater, facts: HouseFacts) -> bool:
    """Whether a furnace burns this gas too, as far as anyone knows, and nobody read its plate."""
    return heater.fuel == line_fuel(facts.case) and facts.gas.furnace_btuh is None and _heats_with_it(heater, facts)


def _heats_with_it(heater: Heater, facts: HouseFacts) -> bool:
    """Whether the house is heated with the heater's gas, as far as anyone knows."""
    house = facts.case.house
    return house.heating_fuel in {heater.fuel, None} and house.uses_gas_otherwise


def _simple_system(
    burns: float, others: Mapping[str, float], heater: Heater, facts: HouseFacts, circumstances: Circumstances
) -> Found:
    """The tree from simple answers; what is not known of it is sized for the old heater, or for none."""
    _check_sizes(facts.gas)
    gas, new = facts.gas, new_pipe(heater, facts)
    old_btuh = facts.failed_input_btuh
    plate_is_assumed = old_btuh is not None and facts.case.failed.input_btuh is None and not new
    old_btuh = old_btuh * circumstances.altitude_frac if old_btuh else None
    branch_size, trunk_size = gas.branch_size_in, gas.trunk_size_in if heater.fuel == line_fuel(facts.case) else None
    if new:
        # Nothing was sized for a heater; pipe that is still to be laid gets its size afterwards.
        old_btuh, branch_size = _NO_OLD_BURNER_BTUH, pipe.sizes(gas.material)[0]
        trunk_size = branch_size if TRUNK in new else trunk_size
    tree = _default_tree(
        _gas_of(heater.fuel),
        tuple(others.items()),
        burns,
        heater_branch_size=branch_size,
        heater_branch_ft=gas.branch_ft,
        trunk_size=trunk_size,
        trunk_ft=gas.trunk_ft,
        material=gas.material,
        old_heater_input_btuh=old_btuh,
        **_line_of(heater, facts, circumstances),
    )
    assumed = tree.assumed
    if plate_is_assumed:
        assumed = (*assumed, assumption("failed.input_btuh", way="tankless"))
    if _furnace_is_assumed(heater, facts):
        assumed = (*assumed, assumption("gas.furnace_btuh"))
    if not new:
        return tree.system, assumed
    # Pipe that is still to be laid has no size to be mistaken about.
    laid = {SIZE_KEYS[name] for name in new}
    return _with_new_pipe(tree.system, new), tuple(one for one in assumed if one.field not in laid)


def _line_of(heater: Heater, facts: HouseFacts, circumstances: Circumstances) -> dict[str, object]:
    """What the case says of the gas itself, if it is the candidate's; and what the candidate needs of it."""
    gas, own_line = facts.gas, heater.fuel == line_fuel(facts.case)
    return {
        "supply_pressure_inwc": gas.supply_pressure_inwc if own_line else None,
        "heating_value_btu_per_ft3": gas.heating_value_btu_per_ft3 if own_line else None,
        "meter_class": gas.meter_class if own_line else None,
        "allowed_drop_inwc": gas.allowed_drop_inwc if own_line else None,
        "line_regulator": _regulator_answers(gas) if own_line else NOT_ASKED,
        "heater_min_inlet_inwc": _least_inlet_inwc(heater),
        "place": circumstances.us_state,
        "elevation_ft": circumstances.elevation_ft,
    }


def _regulator_answers(gas: Gas) -> LineRegulatorAnswers:
    """Where 2 psi ends; a tree whose regulators were measured is fed with 2 psi."""
    place = gas.regulator_at or ("trunk_end" if gas.regulators else None)
    return LineRegulatorAnswers(
        place, gas.regulator_outlet_inwc, gas.regulator_own_loss_inwc, gas.regulator_capacity_cfh
    )


def _check_regulator(gas: Gas) -> None:
    """Refuse a line regulator that the pressure before it leaves nothing to do."""
    supply = gas.supply_pressure_inwc
    if gas.regulator_at in REGULATED and supply is not None and supply <= LOW_METER_INWC:
        reason = "at {supply:g} in. w.c. from the meter there is nothing for a line regulator to lower"
        fix = "write 'none', or check the pressure"
        raise InputError("gas.regulator_at", gas.regulator_at, reason, fix, supply=supply)


def _check_sizes(gas: Gas) -> None:
    """Refuse a size that the pipe's material is not listed in, by the key of the case."""
    listed = pipe.sizes(gas.material)
    for key, size in (("gas.branch_size_in", gas.branch_size_in), ("gas.trunk_size_in", gas.trunk_size_in)):
        if size is not None and size not in listed:
            reason, known = "{material} is not listed in this size", ", ".join(listed)
            raise InputError(key, size, reason, "write one of {known}", material=gas.material, known=known)


@lru_cache(maxsize=512)
def _default_tree(kind: str, existing: tuple[tuple[str, float], ...], burns: float, **known: object) -> DefaultTree:
    return default_tree(kind, dict(existing), burns, **known)  # type: ignore[arg-type]


def _gas_of(fuel: Fuel) -> str:
    """A fuel as the tables of the piping call it."""
    assert fuel.gas is not None, fuel
    return fuel.gas


def _least_inlet_inwc(heater: Heater) -> float | None:
    """Least gas pressure on a candidate's plate; None, for the usual one, where no pipe could deliver it. [in. w.c.]

    A class of propane heaters may ask for the regulator's full 11 in. w.c.; the code's own tables leave 10.5 of
    them. A plate that somebody typed counts as it stands.
    """
    plate = heater.min_inlet_inwc
    if heater.is_own:
        return plate
    most = usual("gas.outlets.min_inlet_inwc", _gas_of(heater.fuel))
    return None if plate is None or plate > most else plate


@lru_cache(maxsize=512)
def _with_new_pipe(system: GasSystem, names: tuple[str, ...]) -> GasSystem:
    """Pipe that is still to be laid, in the sizes that the code's table asks for; the largest where none is enough."""
    sizing = piping.by_branch_length(system)
    largest = {name: pipe.sizes(system.by_name[name].material)[-1] for name in names}
    return system.with_sizes({name: sizing.segment(name).required_size or largest[name] for name in names})


def _measured_system(burns: float, heater: Heater, facts: HouseFacts, circumstances: Circumstances) -> Found:
    """The tree as it was measured, the candidate in the failed heater's place."""
    gas = facts.gas
    old = _old_heater(gas)
    # A tree of the candidate alone holds what is known, or assumed, of the gas, the meter and the candidate.
    plain = _default_tree(
        _gas_of(heater.fuel),
        (),
        burns,
        heater_max_inlet_inwc=old.max_inlet_inwc,
        **_line_of(heater, facts, circumstances),
    )
    assumed = [one for one in plain.assumed if one.field in _OF_THE_GAS]
    others = [load for load in gas.outlets if load.name != HEATER]
    unread = tuple(load.name for load in others if load.max_inlet_inwc is None)
    if unread:
        assumed.append(others_take(unread))
    usual_most = usual("gas.outlets.max_inlet_inwc", "other")
    outlets = tuple(
        replace(
            plain.system.outlets[0],
            segment=load.segment,
            min_inlet_inwc=load.min_inlet_inwc or plain.system.outlets[0].min_inlet_inwc,
        )
        if load.name == HEATER
        else GasOutlet(
            load.name,
            load.segment,
            load.input_btuh * circumstances.altitude_frac,
            load.min_inlet_inwc,
            load.max_inlet_inwc or usual_most,
        )
        for load in gas.outlets
    )
    if any(outlet.min_inlet_inwc is None for outlet in outlets):
        assumed.append(assumption("gas.outlets.min_inlet_inwc", way=_gas_of(heater.fuel)))
    system = replace(plain.system, segments=_segments(gas), outlets=outlets, regulators=_regulators(gas))
    return system, tuple(dict.fromkeys(assumed))


def _segments(gas: Gas) -> tuple[GasSegment, ...]:
    return tuple(
        GasSegment(
            run.name,
            run.upstream,
            run.material,
            run.size_in,
            run.length_ft,
            run.elbows_90,
            run.elbows_45,
            run.tees,
            run.extra_ft,
        )
        for run in gas.segments
    )


def _regulators(gas: Gas) -> tuple[LineRegulator, ...]:
    return tuple(
        LineRegulator(one.segment, one.outlet_inwc, one.own_loss_inwc, one.allowed_drop_inwc, one.capacity_cfh)
        for one in gas.regulators
    )
