"""No code is carried that nobody runs: functions and constants, fields nobody reads, parameters nobody passes."""

import ast
from collections.abc import Iterator
from pathlib import Path

import advisor
from advisor import formulas

PACKAGE = Path(advisor.__file__).parent

#: Further names that the product never uses, and why they stay.
KEPT: dict[str, str] = {
    # Called by name from outside our code.
    "report.words._Blanks.convert_field": "the formatter of the standard library calls it",
    "report.words._Blanks.get_value": "the formatter of the standard library calls it",
    # What the bench can tell and no page asks: the tests close its balances with them.
    "bench.morning.MorningResult.minutes_slow": "what a flow-limiting valve does",
    "bench.morning.PauseResult.trickle_lit": "whether a tap left open keeps a burner alight",
    "bench.morning.YearResult.from_air_btu": "heat taken from the room",
    "bench.morning.YearResult.loop_btu": "heat given to the loop",
    "bench.morning.YearResult.lost_btu": "heat lost to the room",
    # For tests that vary one thing.
    "bench.storage.full_tank(layers)": "finer and coarser layers",
    "money.monte_carlo.simulate(width)": "one spread at a time",
    # A rule that the code has and no question of the case asks for yet; the checks know it and are held to it.
    **dict.fromkeys(
        (
            "house.electrical.circuits.check_circuit(material)",
            "house.electrical.circuits.smallest_conductor(column)",
            "house.electrical.circuits.storage_circuit(ambient_frac)",
            "house.electrical.circuits.tankless_circuits(ambient_frac)",
            "house.electrical.service_load.check_panel(aluminum_branches)",
            "house.electrical.service_load.check_panel(load_a)",
            "house.electrical.service_load.check_panel(panel_a)",
            "house.electrical.service_load.check_panel(tandem_listed)",
            "house.gas.sizing.by_branch_length(sizes)",
            "house.gas.sizing.by_hybrid",
            "house.space.room.check_heat_pump_room(louvered)",
        ),
        "no question asks for it yet",
    ),
    "report.offers_text.offers_text(language)": "no command asks for Spanish yet",
    "document.blocks.Table.widths": "the layout of the printed page reads it",
    "report.money_words.account(language)": "no command asks for Spanish yet",
    "screening.from_case.case_text(language)": "no command asks for Spanish yet",
    "report.readings_text.readings_text(language)": "no command asks for Spanish yet",
    # Told in a sentence as numbers.
    "house.electrical.circuits.Conductor.ampacity_a": "what a circuit is held to",
    "house.electrical.power_cut.PowerCut.warm_h": "in its findings",
    "house.water.water_side.Setpoint.second_degree_s": "in its finding",
    "demand.recirculation.LoopWithHeater.firing_share_frac": "in its finding",
    # What a label and a data sheet tell and nothing asks for yet.
    "heaters.catalogue.Heater.gas_connection_in": "the branch is sized without it",
    "bench.calibration.Retest.recovery_label_frac": "beside what the bench finds",
    "house.vent.vent_capacity.connector_limits_btuh": "connectors alone are not asked for",
    # The words that a case may use, which the tests walk.
    **dict.fromkeys(
        (
            "house.condensate.disposal.DRAIN_MATERIALS",
            "house.vent.flue.FLUE_KINDS",
            "house.vent.vent_run.EXISTING_VENTS",
        ),
        "every one of them is tried",
    ),
    # The place's own record.
    **dict.fromkeys(
        (
            "place.location.Location.climate_zone_2015",
            "place.mains_water.MainsWater.is_outside_fitted_range",
            "place.site.Site.pressure_psi",
        ),
        "told in its findings, or given by a reader of the record",
    ),
}


class Code:
    """What modules define, and what is used, by name alone: two things of one name count as one.

    Parameters
    ----------
    package : Path
        Folder of the modules.
    users : Path
        Further folders: what runs them, and the checks against published values, for which a record may hold a number
        between input and answer, and a function take what no house asks for.
    """

    def __init__(self, package: Path, *users: Path) -> None:
        self.trees = {
            ".".join(path.relative_to(package).with_suffix("").parts): _tree(path)
            for path in sorted(package.rglob("*.py"))
        }
        further = [_tree(path) for folder in users for path in folder.rglob("*.py")]
        nodes = [node for tree in self.trees.values() for node in ast.walk(tree)]
        self.names = {node.id for node in nodes if isinstance(node, ast.Name) and _is_read(node)}
        self.names |= {node.attr for node in nodes if isinstance(node, ast.Attribute) and _is_read(node)}
        nodes += [node for tree in further for node in ast.walk(tree)]
        self.attributes = {node.attr for node in nodes if isinstance(node, ast.Attribute) and _is_read(node)}
        self.calls: dict[str, list[ast.Call]] = {}
        for node in nodes:
            if isinstance(node, ast.Call) and (called := _called(node)):
                self.calls.setdefault(called, []).append(node)
        callees = {id(callee) for node in nodes if isinstance(node, ast.Call) for callee in _callees(node)}
        self.handed_on = {_last(node) for node in nodes if isinstance(node, ast.expr) and id(node) not in callees}

    def definitions(self) -> Iterator[tuple[str, ast.ClassDef | None, ast.stmt]]:
        """Module, class around it if there is one, and what is defined."""
        for module, tree in self.trees.items():
            for node in tree.body:
                yield module, None, node
                if isinstance(node, ast.ClassDef):
                    yield from ((module, node, inner) for inner in node.body)

    def unused(self) -> Iterator[str]:
        """Functions, classes, methods and constants that nobody names."""
        for module, around, node in self.definitions():
            name = _name(node)
            if name is None or name.startswith("__") or _marks(node, "validator"):
                continue
            if isinstance(node, ast.Assign | ast.AnnAssign) and around is not None:
                continue
            if name not in self.names:
                yield _path(module, around, name)

    def unread_fields(self) -> Iterator[str]:
        """Fields of our records that nobody reads."""
        for module, around, node in self.definitions():
            is_field = around is not None and isinstance(node, ast.AnnAssign) and _marks(around, "dataclass")
            if is_field and (name := _name(node)) not in self.attributes:
                yield _path(module, around, name)

    def unpassed(self) -> Iterator[str]:
        """Parameters with a default that no call gives, of functions that are only called and never handed on.

        Formulas are left out: people give theirs.
        """
        for module, around, node in self.definitions():
            if not isinstance(node, ast.FunctionDef) or _marks(node, "published", "validator"):
                continue
            named = around.name if around and node.name == "__init__" else node.name
            calls = self.calls.get(named, [])
            places = [argument.arg for argument in (*node.args.posonlyargs, *node.args.args)]
            bound = 1 if around and not _marks(node, "staticmethod") else 0
            optional = places[len(places) - len(node.args.defaults) :] if node.args.defaults else []
            pairs = zip(node.args.kwonlyargs, node.args.kw_defaults, strict=True)
            optional += [argument.arg for argument, default in pairs if default is not None]
            for name in optional:
                place = places.index(name) - bound if name in places else None
                if calls and named not in self.handed_on and not any(_gives(call, name, place) for call in calls):
                    yield f"{_path(module, around, node.name)}({name})"


def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def _is_read(node: ast.Name | ast.Attribute) -> bool:
    return isinstance(node.ctx, ast.Load)


def _name(node: ast.stmt) -> str | None:
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        return node.name
    target = node.targets[0] if isinstance(node, ast.Assign) else getattr(node, "target", None)
    return target.id if isinstance(target, ast.Name) else None


def _path(module: str, around: ast.ClassDef | None, name: str) -> str:
    return ".".join(filter(None, (module, around and around.name, name)))


def _marks(node: ast.stmt, *words: str) -> bool:
    marks = getattr(node, "decorator_list", [])
    return any(word in ast.unparse(mark).split("(")[0] for mark in marks for word in words)


def _callees(call: ast.Call) -> list[ast.expr]:
    """What stands where a call names what it calls; last what is called, ``partial`` looked through."""
    return [call.func, call.args[0]] if _last(call.func) == "partial" and call.args else [call.func]


def _called(call: ast.Call) -> str | None:
    return _last(_callees(call)[-1])


def _last(node: ast.expr) -> str | None:
    return node.id if isinstance(node, ast.Name) else node.attr if isinstance(node, ast.Attribute) else None


def _gives(call: ast.Call, name: str, place: int | None) -> bool:
    given = call.args[1:] if _last(call.func) == "partial" else call.args
    if any(isinstance(argument, ast.Starred) for argument in given) or any(item.arg is None for item in call.keywords):
        return True
    return any(item.arg == name for item in call.keywords) or (place is not None and place < len(given))


CODE = Code(PACKAGE, Path(__file__).parents[1] / "reference")
BY_HAND = {f"{formula.module}.{name}" for name, formula in formulas.index().items() if formula.published.by_hand}


def test_all_that_is_defined_is_used():
    """A formula that no answer rests on is marked ``by_hand``, which tells those who list it."""
    assert set(CODE.unused()) - set(KEPT) == BY_HAND


def test_all_fields_are_read():
    assert not set(CODE.unread_fields()) - set(KEPT)


def test_all_parameters_are_passed():
    assert not set(CODE.unpassed()) - set(KEPT)


def test_what_is_kept_is_there_and_unused():
    assert not set(KEPT) - {*CODE.unused(), *CODE.unread_fields(), *CODE.unpassed()}


def test_what_nobody_uses_is_found(tmp_path):
    """The search itself, on a package of one module."""
    (tmp_path / "one.py").write_text(
        "from dataclasses import dataclass\n"
        "IDLE, BUSY = 1, 2\nLONELY = 3\n"
        "@dataclass\nclass Record:\n    read: int\n    unread: int\n"
        "    def told(self): return self.read\n    def untold(self): return BUSY\n"
        "def used(first, second=1, *, third=2, fourth=3): return first + second + third + fourth\n"
        "def unused(): return used(1, 2, fourth=4) + Record(1, 2).told()\n",
        encoding="utf-8",
    )
    code = Code(tmp_path)
    assert set(code.unused()) == {"one.LONELY", "one.Record.untold", "one.unused"}
    assert set(code.unread_fields()) == {"one.Record.unread"}
    assert set(code.unpassed()) == {"one.used(third)"}
