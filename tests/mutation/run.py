"""Would the tests notice? Small faults are put into the engine, one at a time, and the tests are run on each.

Run by hand, from the top of a clone: ``pip install cosmic-ray``, then

    python tests/mutation/run.py --sample 300 --seed 1 --jobs 2
    python tests/mutation/run.py --sample 40 recommendation/rule.py

The faults are those of cosmic-ray: a number one higher or lower, another operator, another comparison, a condition
turned round. They are drawn evenly from the modules below. A fault that no test notices, or whose tests do not end, is
listed with its line; it is either an equivalent program, to be explained, or a missing test. The worked examples of the
published formulas (decorators) are left out: they are demonstrations and decide nothing.
"""

from __future__ import annotations

import argparse
import ast
import json
import multiprocessing
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import pytest
from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator

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
#: The longest that one run of the tests may take. What has not ended by then counts as not noticed: it may be an
#: endless loop, or a slow machine. [s]
PATIENCE_S = 300
NOTICED, SURVIVED, NO_END = "noticed", "SURVIVED", "NO END"
#: Each fault is tried in a process of its own, forked from one that has read the large libraries.
FORKS = multiprocessing.get_context("forkserver")


@dataclass(frozen=True)
class Fault:
    """One change of one module."""

    module: str
    operator: str
    occurrence: int
    line: int


def _decorated(tree: ast.Module) -> set[int]:
    """Lines of decorators."""
    found: set[int] = set()
    for node in ast.walk(tree):
        for decorator in getattr(node, "decorator_list", []):
            found.update(_lines(decorator))
    return found


def _deciding(module: str, tree: ast.Module) -> set[int]:
    """Lines of published formulas, of the constants at the top, and all of money and recommendation."""
    if module.split("/")[0] in {"money", "recommendation"}:
        return set(range(1, tree.body[-1].end_lineno + 1))
    found: set[int] = set()
    for node in tree.body:
        is_formula = isinstance(node, ast.FunctionDef) and any(
            ast.unparse(one).startswith("published(") for one in node.decorator_list
        )
        if is_formula or isinstance(node, ast.Assign | ast.AnnAssign):
            found.update(_lines(node))
    return found


def _lines(node: ast.stmt | ast.expr) -> range:
    return range(node.lineno, (node.end_lineno or node.lineno) + 1)


def faults_of(path: Path, *, deciding: bool) -> Iterator[Fault]:
    """Every fault that can be put into a module, or into what decides an answer there."""
    source = path.read_text(encoding="utf-8")
    rows, tree = source.splitlines(), ast.parse(source)
    module = path.relative_to(ROOT).as_posix()
    wanted = (
        _deciding(path.relative_to(ROOT / "advisor").as_posix(), tree) if deciding else set(range(1, len(rows) + 1))
    )
    wanted -= _decorated(tree)
    for name in OPERATORS:
        operator = get_operator(name)()
        places = [place for node in ast_nodes(get_ast(source)) for place in operator.mutation_positions(node)]
        for occurrence, ((line, column), _) in enumerate(places):
            # A star that no blank follows marks parameters; it is no product.
            is_product = name != "core/ReplaceBinaryOperator_Mul_Div" or rows[line - 1][column:].startswith("* ")
            if line in wanted and is_product:
                yield Fault(module, name, occurrence, line)


def tests_of(module: str, root: Path) -> list[list[str]]:
    """What to run for a module, what is near and quick first: its own tests, others that name it, the demo houses."""
    room, leaf = Path(module).parts[-2], Path(module).stem
    # "from advisor.money.life_cycle import ..." or "from advisor.money import chance, life_cycle".
    names = rf"{room}\.{leaf}\b|advisor(\.\w+)*\.{room} import .*\b{leaf}\b|{room}/{leaf}\.py"
    # The trades are tested through a whole house, too.
    whole = r"|from tests\.houses import .*\b(check|house_of)\b" if "/house/" in module else ""
    naming = {
        folder: [
            path.relative_to(root).as_posix()
            for path in sorted((root / "tests" / folder).glob("test_*.py"))
            if path.stem != "test_layers" and re.search(names + whole, path.read_text(encoding="utf-8"))
        ]
        for folder in ("unit", "reference", "properties")
    }
    own = [name for name in naming["unit"] if name.endswith(f"test_{leaf}.py")]
    others = [name for name in naming["unit"] + naming["reference"] if name not in own]
    formulas = ["tests/unit/test_formulas.py"] if "@published(" in (root / module).read_text(encoding="utf-8") else []
    return [part for part in (own, others, formulas, ["tests/regression"], naming["properties"]) if part]


def _tested(root: Path, rounds: list[list[str]]) -> None:
    """Run the tests in this process, which ends with 1 at the first that fails."""
    os.chdir(root)
    silence = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silence, 1)
    os.dup2(silence, 2)
    sys.path.insert(0, str(root))
    # No shrinking: that a test fails is enough. One process: it is a fork that has numpy and pandas already.
    options = ["-x", "-q", "-n0", "-p", "no:cacheprovider", "--hypothesis-profile=unshrunk"]
    sys.exit(any(pytest.main([*options, *part]) for part in rounds))


def _outcome(root: Path, rounds: list[list[str]], patience_s: float) -> str:
    run = FORKS.Process(target=_tested, args=(root, rounds))
    run.start()
    run.join(patience_s)
    if run.exitcode is None:
        run.kill()
        run.join()
        return NO_END
    return NOTICED if run.exitcode else SURVIVED


def outcome_of(fault: Fault, root: Path) -> str:
    """Put a fault in, run the tests, take it out again."""
    path = root / fault.module
    source = path.read_text(encoding="utf-8")
    changed = mutate_code(source, get_operator(fault.operator)(), fault.occurrence)
    if changed is None or changed == source:
        raise ValueError(f"{fault} changes nothing")
    path.write_text(changed, encoding="utf-8")
    try:
        return _outcome(root, tests_of(fault.module, root), PATIENCE_S)
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


def _run_some(faults: list[Fault], folder: Path) -> list[tuple[Fault, str]]:
    root = _copy(folder)
    results = []
    for fault in faults:
        began = time.monotonic()
        outcome = outcome_of(fault, root)
        results.append((fault, outcome))
        took_s = time.monotonic() - began
        print(f"{outcome:8} {took_s:4.0f} s {fault.module}:{fault.line} {fault.operator}", flush=True)
    return results


def main() -> int:
    """Draw, run, and report the share that was noticed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("modules", nargs="*", default=MODULES, help="files or patterns below advisor/")
    parser.add_argument("--deciding", action="store_true", help="only formulas, constants, money and recommendation")
    parser.add_argument("--sample", type=int, default=300, help="how many faults to draw")
    parser.add_argument("--seed", type=int, default=1, help="which ones")
    parser.add_argument("--jobs", type=int, default=2, help="copies of the clone that are run at once")
    parser.add_argument("--out", type=Path, help="write what was not noticed here as JSON")
    options = parser.parse_args()
    FORKS.set_forkserver_preload(["numpy", "pandas", "pydantic", "pytest", "hypothesis", "requests_mock"])
    paths = sorted({path for pattern in options.modules for path in (ROOT / "advisor").glob(pattern)})
    found = [
        fault for path in paths if path.name != "__init__.py" for fault in faults_of(path, deciding=options.deciding)
    ]
    drawn = random.Random(options.seed).sample(found, min(options.sample, len(found)))
    print(f"{len(found)} faults possible in {len(paths)} modules, {len(drawn)} drawn", flush=True)
    # A test that fails without a fault would notice every one.
    needed = sorted({name for fault in drawn for part in tests_of(fault.module, ROOT) for name in part})
    if subprocess.run([sys.executable, "-m", "pytest", "-q", *needed], cwd=ROOT, check=False).returncode:
        raise SystemExit("the tests fail without any fault")
    with tempfile.TemporaryDirectory() as scratch, ThreadPoolExecutor(options.jobs) as pool:
        folders = [Path(scratch) / str(number) for number in range(options.jobs)]
        parts = [drawn[number :: options.jobs] for number in range(options.jobs)]
        results = [one for part in pool.map(_run_some, parts, folders) for one in part]
    missed = [(fault, outcome) for fault, outcome in results if outcome != NOTICED]
    share = 1 - len(missed) / len(results) if results else 1.0
    print(f"{len(results) - len(missed)} of {len(results)} noticed: {share:.1%}; the others:")
    for fault, outcome in sorted(missed, key=lambda one: (one[0].module, one[0].line)):
        line = (ROOT / fault.module).read_text(encoding="utf-8").splitlines()[fault.line - 1].strip()
        print(f"  {outcome} {fault.module}:{fault.line} {fault.operator}: {line}")
    if options.out:
        told = [{**vars(fault), "outcome": outcome} for fault, outcome in missed]
        options.out.write_text(json.dumps(told, indent=1), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
