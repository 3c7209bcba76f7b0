"""Whoever is refused is told a key that can be changed: one of the case, or what a formula calls its own number."""

import ast
from pathlib import Path
from typing import get_args

import pytest

import advisor
from advisor.case.base import Section
from advisor.case.record import Case

HOUSE = Path(advisor.__file__).parent / "house"
#: What refuses a value, the field first.
REFUSE = {"InputError", "OutOfRangeError", "UnsupportedCaseError", "between", "positive", "not_negative", "one_of"}
REFUSE |= {"in_table"}


def keys_of(part, above=""):
    """Every key of the case; those of a list's entries without their number."""
    for name, field in part.model_fields.items():
        yield f"{above}{name}"
        for kind in (field.annotation, *get_args(field.annotation)):
            if isinstance(kind, type) and issubclass(kind, Section):
                yield from keys_of(kind, f"{above}{name}.")


CASE_KEYS = set(keys_of(Case))


def fields(tree, known=frozenset()):
    """Each literal field that is refused, with the names that are known where that happens."""
    for node in ast.iter_child_nodes(tree):
        inside = known
        if isinstance(node, ast.FunctionDef):
            given = (*node.args.args, *node.args.kwonlyargs)
            inside = known | {argument.arg for argument in given}
        elif isinstance(node, ast.ClassDef):
            named = (part.target for part in node.body if isinstance(part, ast.AnnAssign))
            inside = known | {target.id for target in named if isinstance(target, ast.Name)}
        elif isinstance(node, ast.Call) and node.args:
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            field = node.args[0]
            if name in REFUSE and isinstance(field, ast.Constant):
                yield node.lineno, field.value, known
            assert not (name in REFUSE and isinstance(field, ast.JoinedStr)), (
                f"line {node.lineno}: a field put together"
            )
        yield from fields(node, inside)


@pytest.mark.parametrize("path", sorted(HOUSE.rglob("*.py")), ids=lambda path: str(path.relative_to(HOUSE)))
def test_a_refusal_names_a_key_of_the_case_or_a_parameter(path):
    wrong = [
        (line, field)
        for line, field, known in fields(ast.parse(path.read_text(encoding="utf-8")))
        if field not in CASE_KEYS | known
    ]
    assert wrong == []


def test_the_search_finds_what_is_wrong():
    source = """
def check(volume_gal):
    positive("volume_gal", volume_gal, "gal")
    positive("electrical.service_a", 100, "a")
    positive("panel.service_a", 100, "a")
"""
    wrong = [field for _, field, known in fields(ast.parse(source)) if field not in CASE_KEYS | known]
    assert wrong == ["panel.service_a"]
