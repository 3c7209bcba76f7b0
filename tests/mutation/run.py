"""Would the tests notice? Small faults are put into the engine, one at a time, and the tests are run on each.

Run by hand, from the top of a clone: ``pip install cosmic-ray``, then

    python tests/mutation/run.py --sample 300 --seed 1 --jobs 2
    python tests/mutation/run.py --sample 40 recommendation/rule.py

The faults are those of cosmic-ray: a number one higher or lower, another operator, another comparison, a condition
turned round. They are drawn evenly from the modules below. A fault that no test notices is listed with its line; it is
either an equivalent program, to be explained, or a missing test. The worked examples of the published formulas
(decorators) are left out: they are demonstrations and decide nothing.
"""

from __future__ import annotations

import argparse
import ast
import json
import random
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator, operator_names

ROOT = Path(__file__).parents[2]
#: Formulas, verdicts, money and the recommendation; the compiled loops of the bench would each take a compilation.
MODULES = [
    "physics/*.py",
    "place/air.py",
    "place/mains_water.py",
    "demand/daily_volume.py",
    "demand/busy_hour.py",
    "demand/recirculation.py",
    "heaters/rating.py",
    "heaters/annual_energy.py",
    "heaters/hand_sizing.py",
    "heaters/heat_pump.py",
    "heaters/candidates.py",
    "bench/household_run.py",
    "house/gas/*.py",
    "house/vent/*.py",
    "house/air/*.py",
    "house/condensate/*.py",
    "house/electrical/*.py",
    "house/water/*.py",
    "house/space/*.py",
    "house/commissioning.py",
    "money/[b-z]*.py",
    "recommendation/*.py",
    "core/units.py",
    "core/validation.py",
]
#: Kinds of fault; the rest makes programs that cannot run, or changes annotations.
OPERATORS = (
    "core/NumberReplacer",
    "core/ReplaceComparisonOperator_Lt_LtE",
    "core/ReplaceComparisonOperator_LtE_Lt",
    "core/ReplaceComparisonOperator_Gt_GtE",
    "core/ReplaceComparisonOperator_GtE_Gt",
    "core/ReplaceComparisonOperator_Lt_Gt",
    "core/ReplaceComparisonOperator_GtE_LtE",
    "core/ReplaceComparisonOperator_Eq_NotEq",
    "core/ReplaceComparisonOperator_NotEq_Eq",
    "core/ReplaceComparisonOperator_Is_IsNot",
    "core/ReplaceComparisonOperator_IsNot_Is",
    "core/ReplaceBinaryOperator_Add_Sub",
    "core/ReplaceBinaryOperator_Sub_Add",
    "core/ReplaceBinaryOperator_Mul_Div",
    "core/ReplaceBinaryOperator_Div_Mul",
    "core/ReplaceUnaryOperator_USub_UAdd",
    "core/ReplaceTrueWithFalse",
    "core/ReplaceFalseWithTrue",
    "core/ReplaceAndWithOr",
    "core/ReplaceOrWithAnd",
    "core/AddNot",
)
#: The longest that one run of the tests may take: an endless loop is noticed too. [s]
PATIENCE_S = 300


@dataclass(frozen=True)
class Fault:
    """One change of one module."""

    module: str
    operator: str
    occurrence: int
    line: int


def _decorated(source: str) -> set[int]:
    """Lines of decorators."""
    found: set[int] = set()
    for node in ast.walk(ast.parse(source)):
        for decorator in getattr(node, "decorator_list", []):
            found.update(range(decorator.lineno, decorator.end_lineno + 1))
    return found


def faults_of(path: Path) -> Iterator[Fault]:
    """Every fault that can be put into a module."""
    source = path.read_text(encoding="utf-8")
    passed_over = _decorated(source)
    for name in operator_names():
        if name not in OPERATORS:
            continue
        operator = get_operator(name)()
        places = [place for node in ast_nodes(get_ast(source)) for place in operator.mutation_positions(node)]
        for occurrence, ((line, _), _) in enumerate(places):
            if line not in passed_over:
                yield Fault(path.relative_to(ROOT).as_posix(), name, occurrence, line)


def tests_of(module: str, root: Path) -> list[list[str]]:
    """What to run for a module: its own tests, the demo houses' outcomes, and every other test that names it."""
    room, leaf = Path(module).parts[-2], Path(module).stem
    # "from advisor.money.life_cycle import ..." or "from advisor.money import chance, life_cycle".
    names = re.compile(rf"{room}\.{leaf}\b|advisor(\.\w+)*\.{room} import .*\b{leaf}\b|{room}/{leaf}\.py")
    # The trades are tested through a whole house, too.
    whole = re.compile(r"from tests\.houses import|def houses\(" if "/house/" in module else r"(?!)")
    naming = [
        path.relative_to(root).as_posix()
        for folder in ("unit", "reference", "properties")
        for path in sorted((root / "tests" / folder).glob("test_*.py"))
        if path.stem != "test_layers"
        and any(pattern.search(path.read_text(encoding="utf-8")) for pattern in (names, whole))
    ]
    own = [name for name in naming if name.endswith(f"test_{leaf}.py")]
    rounds = [own, ["tests/regression"], [name for name in naming if name not in own]]
    return [part for part in rounds if part]


def is_noticed(fault: Fault, root: Path) -> bool:
    """Put a fault in, run the tests, take it out again."""
    path = root / fault.module
    source = path.read_text(encoding="utf-8")
    changed = mutate_code(source, get_operator(fault.operator)(), fault.occurrence)
    if changed is None or changed == source:
        raise ValueError(f"{fault} changes nothing")
    path.write_text(changed, encoding="utf-8")
    try:
        for part in tests_of(fault.module, root):
            command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *part]
            try:
                done = subprocess.run(command, cwd=root, capture_output=True, timeout=PATIENCE_S, check=False)
            except subprocess.TimeoutExpired:
                return True
            if done.returncode:
                return True
        return False
    finally:
        path.write_text(source, encoding="utf-8")


def _copy(folder: Path) -> Path:
    """The files of the clone, without its caches."""
    names = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.splitlines()
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(ROOT / name, folder / name)
    return folder


def _run_some(faults: list[Fault], folder: Path) -> list[tuple[Fault, bool]]:
    root = _copy(folder)
    results = []
    for fault in faults:
        noticed = is_noticed(fault, root)
        results.append((fault, noticed))
        print(f"{'noticed ' if noticed else 'SURVIVED'} {fault.module}:{fault.line} {fault.operator}", flush=True)
    return results


def main() -> int:
    """Draw, run, and report the share that was noticed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("modules", nargs="*", default=MODULES, help="files or patterns below advisor/")
    parser.add_argument("--sample", type=int, default=300, help="how many faults to draw")
    parser.add_argument("--seed", type=int, default=1, help="which ones")
    parser.add_argument("--jobs", type=int, default=2, help="copies of the clone that are run at once")
    parser.add_argument("--out", type=Path, help="write the survivors here as JSON")
    options = parser.parse_args()
    paths = sorted({path for pattern in options.modules for path in (ROOT / "advisor").glob(pattern)})
    found = [fault for path in paths if path.name != "__init__.py" for fault in faults_of(path)]
    drawn = random.Random(options.seed).sample(found, min(options.sample, len(found)))
    print(f"{len(found)} faults possible in {len(paths)} modules, {len(drawn)} drawn", flush=True)
    with tempfile.TemporaryDirectory() as scratch, ThreadPoolExecutor(options.jobs) as pool:
        folders = [Path(scratch) / str(number) for number in range(options.jobs)]
        parts = [drawn[number :: options.jobs] for number in range(options.jobs)]
        results = [one for part in pool.map(_run_some, parts, folders) for one in part]
    survivors = [fault for fault, noticed in results if not noticed]
    share = 1 - len(survivors) / len(results) if results else 1.0
    print(f"{len(results) - len(survivors)} of {len(results)} noticed: {share:.0%}")
    for fault in sorted(survivors, key=lambda one: (one.module, one.line)):
        line = (ROOT / fault.module).read_text(encoding="utf-8").splitlines()[fault.line - 1].strip()
        print(f"  {fault.module}:{fault.line} {fault.operator}: {line}")
    if options.out:
        options.out.write_text(json.dumps([vars(fault) for fault in survivors], indent=1), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
