"""Every number of our own that the engine's answers rest on, and its value: what is assumed moves no answer unseen.

``python tests/regression/pins.py`` writes ``pins.csv`` anew. A line changes only together with the reason for it in
CHANGELOG.md. Numbers of tables need no pin: they stand in ``data`` already.
"""

from __future__ import annotations

import ast
import csv
import importlib
import io
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import advisor

FILE = Path(__file__).parent / "pins.csv"
PACKAGE = Path(advisor.__file__).parent
#: What only shows answers, or takes them in.
_OUTSIDE = {"web", "report", "cli", "core", "case", "__main__"}


def _constants(tree: ast.Module) -> Iterator[str]:
    """Names in capitals that a module sets at its top."""
    for node in tree.body:
        targets = (
            node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
        )
        for target in targets:
            for name in ast.walk(target):
                if isinstance(name, ast.Name) and name.id.strip("_").isupper():
                    yield name.id


def _is_number(value: Any) -> bool:
    """A number, or a collection that holds numbers and words only, one number at least."""
    if isinstance(value, Mapping):
        value = [*value.keys(), *value.values()]
    if isinstance(value, list | tuple | set | frozenset):
        return any(map(_is_number, value)) and all(isinstance(one, str) or _is_number(one) for one in value)
    return isinstance(value, int | float) and not isinstance(value, bool)


def pins() -> list[dict[str, str]]:
    """Module, name and value of every such number."""
    rows = []
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        if parts[0] in _OUTSIDE or path.name == "__init__.py":
            continue
        module = importlib.import_module(".".join(["advisor", *parts]))
        for name in dict.fromkeys(_constants(ast.parse(path.read_text(encoding="utf-8")))):
            value = getattr(module, name)
            if _is_number(value):
                shown = sorted(value) if isinstance(value, set | frozenset) else value
                rows.append({"module": ".".join(parts), "name": name, "value": repr(shown)})
    return rows


def as_csv(rows: list[dict[str, str]]) -> str:
    """The lines of the file."""
    text = io.StringIO()
    writer = csv.DictWriter(text, fieldnames=["module", "name", "value"], lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


if __name__ == "__main__":
    FILE.write_text(as_csv(pins()), encoding="utf-8")
