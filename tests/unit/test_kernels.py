"""Compiled code is kept by the state of everything that it was made from."""

import ast
from pathlib import Path

import advisor
from advisor.bench import code_store

PACKAGE = Path(advisor.__file__).resolve().parent
SOURCES = code_store.sources()


def _tree(path):
    return ast.parse(path.read_text(encoding="utf-8"))


def _holds_a_kernel(tree):
    return any(
        ast.unparse(mark).split("(")[0] in {"kernel", "entry", "kernels.kernel", "kernels.entry", "njit", "numba.njit"}
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef)
        for mark in node.decorator_list
    )


def _imports(tree):
    """Files of ours that a module imports, wherever in it."""
    for node in ast.walk(tree):
        names = []
        if isinstance(node, ast.ImportFrom):
            assert not node.level, "the list of sources reads absolute imports"
            names = [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        for name in names:
            path = PACKAGE.parent.joinpath(*name.split(".")).with_suffix(".py")
            if name.startswith("advisor.") and path.is_file():
                yield path


def test_every_kernel_is_among_the_sources_of_compiled_code():
    holders = {path for path in PACKAGE.rglob("*.py") if _holds_a_kernel(_tree(path))}
    assert len(holders) >= 4
    assert holders <= set(SOURCES)


def test_so_is_all_that_a_source_imports():
    """A constant of another module is compiled in: numba alone would not see it change."""
    for path in SOURCES:
        assert set(_imports(_tree(path))) <= set(SOURCES), path
    assert PACKAGE / "physics" / "water.py" in SOURCES
