"""Imports point one way: up the list of layers, never back, never sideways."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import advisor

PACKAGE = Path(advisor.__file__).parent
DEVELOPERS = PACKAGE.parent / "DEVELOPERS.md"

#: Every module, ground first. A module imports only from lines above its own, so modules that share a line never
#: import each other. A new module goes on the highest line that is below everything it needs. An indented line goes on
#: from the one before.
LAYERS = """
core.paths core.files core.arrays core.findings
core.errors
core.units core.published core.verdicts
core.working
core.tables core.validation
core.references core.kinds core.long_tables
core.frozen
physics.water physics.present_value physics.moist_air
physics.combustion
case.base
case.house case.money case.offer case.people
case.reading
case.record
case.file case.usual
case.offer_csv
book.names
book.listing
book.store
place.names place.refusal place.weather place.mains_water place.air place.prices
place.towns place.typed place.emissions place.zone
place.location
place.site
demand.busy_hour demand.events demand.recirculation
demand.rating_home demand.loop_band
demand.daily_volume
demand.household demand.morning_sizes
circumstances
heaters.catalogue
heaters.rating heaters.heat_pump heaters.regional_rules
heaters.label_limits
heaters.annual_energy heaters.hand_sizing
heaters.in_homes heaters.room_effect heaters.flow_table
heaters.candidates
heaters.billed_use heaters.keeping_up
bench.code_store
bench.machine_code
bench.kernels
bench.stratification
bench.storage bench.instantaneous
bench.internals
bench.federal_tests
bench.calibration
bench.comfort
bench.carrying
bench.morning bench.compiling
bench.largest_morning
bench.seen
bench.household_run
bench.another_tap bench.staging
house.gas.flow
house.gas.pipe
house.gas.tree
house.gas.sizing
house.gas.pressure
house.gas.changes
house.gas.remedies house.gas.simple_tree
house.gas.piping
house.vent.vent_tables house.gas.propane_tank
house.vent.vent_run house.vent.vent_capacity house.vent.flue house.vent.terminal house.space.room
  house.air.combustion_air house.condensate.disposal house.electrical.circuits house.electrical.service_load
  house.electrical.power_cut house.water.water_side house.water.distribution house.commissioning
house.facts house.cautions
house.items house.gas.from_case
house.vent.old_flue house.vent.new_run house.local_prices house.gas.propane_supply
house.gas.scope house.vent.scope house.air.scope house.condensate.scope house.electrical.scope house.water.scope
  house.water.loop_scope house.space.scope house.rules.scope
house.work
house.lead_time
house.readings
money.chance money.escalation money.incentives money.live_prices money.rates
  money.upkeep money.life_cycle money.offers money.electrification
money.cost_arrays money.break_even money.tariffs
money.bill
money.monte_carlo money.energy_prices
money.running_cost
money.candidate_costs
money.results
money.sensitivity money.offer_check
candidate
recommendation.kinds recommendation.against
recommendation.rule recommendation.repair recommendation.successor
comparison formulas
turning
report.words report.escape
report.names
report.case_schema report.shortlist report.winners report.readings_text report.prices_text report.price_words
  report.csv_cells report.offers_text
  report.conclusion_text report.repair_words
report.money_words report.turning_text report.plain_words report.assumed_text
report.decision_text
report.money_text
report.text report.as_json
report.bench_results
report.bench_page
document.blocks document.logo document.drawing document.told
document.as_pdf document.as_html document.customer document.sheet
document.installer
document.make
screening.dictionary screening.savings
screening.applicants screening.mapping screening.records screening.wording
screening.conditions screening.keys screening.places screening.reading
screening.of_program screening.baselines screening.household
screening.amounts screening.boxes screening.duplicates screening.saved
screening.rules
screening.tiers
screening.checking screening.decide screening.explaining
screening.from_case screening.output screening.totals
screening.run
screening.cluster
screening.record
screening.what_if
web.session
web.words web.link web.method_words web.address web.drawings web.theme
web.style
web.draft
web.preparing web.fitting
web.state
web.widgets
web.handing_over
web.charts web.grid
web.bill web.card web.keep web.questions web.quote web.taken web.today web.working web.tables
web.answer web.job_book
web.book_page
web.frame
web.contractor web.fields
web.label_form web.offer_form
web.charts_house web.compare_page web.keep_up_page web.money_page
web.readings_sheet web.trainer_page web.screening_page web.method_page
web.gas_tree web.services web.water_page web.vent_page
web.gas_ways web.panel_page
web.gas_page web.work_page web.job_page web.offers_page
web.main web.gate
web.launch
screen_commands
cli
__main__
"""

#: Slow to import: never at the top of a module, but inside the function that needs them; and who is excepted.
HEAVY = {
    "pandas": set(),
    "numba": set(),
    "llvmlite": set(),
    "requests": set(),
    "pint": set(),
    "plotly": set(),
    "psychrolib": set(),
    "typst": set(),
    "PIL": set(),
}

#: What only the app needs: in no other module, wherever in it the import stands; and who is excepted.
OF_THE_APP = {"streamlit": set(), "pandas": set(), "plotly": {"report.bench_page"}}


def ranks(layers: str) -> dict[str, int]:
    """Module to the number of its line."""
    found: dict[str, int] = {}
    rank = 0
    for line in layers.split("\n"):
        rank += not line.startswith(" ")
        for name in line.split():
            assert name not in found, f"{name} stands twice in LAYERS"
            found[name] = rank
    return found


def modules_of(package: Path) -> dict[str, Path]:
    """Name below the package to file; a folder bears its own name."""
    found = {}
    for path in sorted(package.rglob("*.py")):
        parts = path.relative_to(package).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


def imported(tree: ast.AST, module: str, is_folder: bool, known: set[str]) -> Iterator[tuple[int, str]]:
    """Line and target of every import of our own, wherever in the file it stands."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                folder = ["advisor", *module.split(".")] if module else ["advisor"]
                up = node.level - is_folder
                base = ".".join([*folder[: len(folder) - up], *filter(None, [base])])
            names = [f"{base}.{alias.name}" for alias in node.names]
        else:
            continue
        for name in names:
            if name == "advisor" or name.startswith("advisor."):
                target = name.removeprefix("advisor").removeprefix(".")
                # "from advisor.water import heated_flow_gpm" means the module, not the function in it.
                while target and target not in known:
                    target = target.rpartition(".")[0]
                yield node.lineno, target


def at_the_top(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """Line and package of every import that runs when the module is imported."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            continue
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            continue
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name.split(".")[0]) for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and not node.level:
            yield node.lineno, (node.module or "").split(".")[0]
        else:
            yield from at_the_top(node)


def wrong_imports(package: Path, layers: str) -> list[str]:
    """One sentence for every import that goes the wrong way, and for every module that has no place yet."""
    rank, modules = ranks(layers), modules_of(package)
    found = []
    for module, path in modules.items():
        tree = ast.parse(path.read_text(encoding="utf-8"))
        is_folder = path.name == "__init__.py"
        targets = list(imported(tree, module, is_folder, set(modules)))
        if is_folder:
            found += [
                f"{module or 'advisor'}/__init__.py, line {line}: a folder's own file imports {target}"
                for line, target in targets
            ]
            continue
        if module not in rank:
            found.append(f"{module} has no place in LAYERS: add it on the highest line that is below all it imports")
            continue
        for line, target in targets:
            if target in rank and rank[target] >= rank[module]:
                way = "sideways" if rank[target] == rank[module] else "down"
                found.append(f"{module}, line {line}: imports {way}, from {target}")
    return found


def heavy_imports(package: Path) -> list[str]:
    """One sentence for every slow package that is imported too early, and for the app's packages outside ``web``."""
    found = []
    for module, path in modules_of(package).items():
        tree = ast.parse(path.read_text(encoding="utf-8"))
        if module != "web" and not module.startswith("web."):
            found += [
                f"{module}, line {line}: imports {name} at the top"
                for line, name in at_the_top(tree)
                if name in HEAVY and module not in HEAVY[name]
            ]
            names = {
                alias.name if isinstance(node, ast.Import) else node.module or ""
                for node in ast.walk(tree)
                if isinstance(node, ast.Import | ast.ImportFrom)
                for alias in node.names
            }
            found += [
                f"{module}: only web may import {package}"
                for package, excepted in OF_THE_APP.items()
                if module not in excepted and any(name.split(".")[0] == package for name in names)
            ]
    return found


def test_imports_only_point_up_the_list():
    assert not wrong_imports(PACKAGE, LAYERS)


def test_slow_packages_are_imported_where_they_are_used():
    assert not heavy_imports(PACKAGE)


def test_the_contributor_guide_names_the_folders_in_the_same_order():
    table = DEVELOPERS.read_text(encoding="utf-8").partition("| layer |")[2].partition("\n\n")[0]
    told = list(dict.fromkeys(re.findall(r"`(\w+)/`", table)))
    listed = list(dict.fromkeys(name.split(".")[0] for name in ranks(LAYERS) if "." in name))
    assert [folder for folder in told if folder in listed] == listed


LAYERS_OF_PLANT = "errors\ncase\nplace.air place.location\nplace.site\ncli"


@pytest.fixture
def plant(tmp_path):
    """A package in which every import is right, then what a test writes over it."""

    def write(**changed):
        files = {
            "__init__": "",
            "errors": "",
            "case": "from advisor.errors import InputError",
            "place/__init__": "",
            "place/air": "from advisor import errors",
            "place/location": "import advisor.case",
            "place/site": "from advisor.place import air, location\nfrom . import air\nfrom ..case import Case",
            "cli": "def run():\n    import pint\n    from advisor.place.site import site_of",
        }
        for name, text in (files | {key.replace("__in__", "/"): text for key, text in changed.items()}).items():
            path = tmp_path / f"{name}.py"
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8")
        return tmp_path

    return write


def test_right_imports_pass(plant):
    assert not wrong_imports(plant(), LAYERS_OF_PLANT)
    assert not heavy_imports(plant())


@pytest.mark.parametrize(
    ("where", "text", "says"),
    [
        ("case", "from advisor.place.site import site_of", "case, line 1: imports down, from place.site"),
        ("case", "\nimport advisor.cli", "case, line 2: imports down, from cli"),
        ("case", "from advisor import cli", "case, line 1: imports down, from cli"),
        ("case", "from . import cli", "case, line 1: imports down, from cli"),
        ("case", "def late():\n    from advisor.cli import main", "case, line 2: imports down, from cli"),
        (
            "errors",
            "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from advisor.case import Case",
            "errors, line 3: imports down, from case",
        ),
        ("case", "from advisor.case import Case", "case, line 1: imports sideways, from case"),
        ("place__in__air", "from advisor.place import location", "place.air, line 1: imports sideways, from place.loc"),
        ("place__in__air", "from .location import locate", "place.air, line 1: imports sideways, from place.location"),
        ("place__in__location", "from advisor.place.site import x", "place.location, line 1: imports down"),
        ("place__in____init__", "from advisor.place import air", "place/__init__.py, line 1: a folder's own file"),
        ("newcomer", "", "newcomer has no place in LAYERS: add it"),
    ],
)
def test_a_wrong_import_is_found(plant, where, text, says):
    found = wrong_imports(plant(**{where: text}), LAYERS_OF_PLANT)
    assert len(found) == 1
    assert says in found[0]


@pytest.mark.parametrize(
    ("where", "text", "says"),
    [
        ("case", "import pint as units", "case, line 1: imports pint at the top"),
        ("cli", "def late():\n    import pandas as pd", "cli: only web may import pandas"),
        ("cli", "def late():\n    from plotly import io", "cli: only web may import plotly"),
        ("case", "try:\n    from numba import njit\nexcept ImportError:\n    pass", "case, line 2: imports numba"),
        ("cli", "def late():\n    import streamlit as st", "cli: only web may import streamlit"),
        ("place__in__air", "from streamlit.testing.v1 import AppTest", "place.air: only web may import streamlit"),
    ],
)
def test_a_slow_import_is_found(plant, where, text, says):
    found = heavy_imports(plant(**{where: text}))
    assert len(found) == 1
    assert says in found[0]


def test_what_may_be_imported_may_be(plant):
    allowed = {
        "web": "import streamlit\nimport pandas",
        "bench__in__kernels": "def compile():\n    from numba import njit",
        "bench__in____init__": "",
        "report__in__bench_page": "def draw():\n    import plotly.graph_objects as go",
        "report__in____init__": "",
    }
    assert not heavy_imports(plant(**allowed))
