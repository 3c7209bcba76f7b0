"""Whoever is refused is told a key that can be changed: one of the case, or what a formula calls its own number."""

import ast
import re
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


def names_in(tree):
    """What the module's records call their own numbers."""
    records = (node for node in ast.walk(tree) if isinstance(node, ast.ClassDef))
    parts = (part.target for record in records for part in record.body if isinstance(part, ast.AnnAssign))
    return {target.id for target in parts if isinstance(target, ast.Name)}


def wrong_in(tree, known):
    """Each field that is refused and that nobody could change, with its line."""
    for node in ast.iter_child_nodes(tree):
        inside = known
        if isinstance(node, ast.FunctionDef):
            inside = known | {argument.arg for argument in (*node.args.args, *node.args.kwonlyargs)}
        elif isinstance(node, ast.Call) and node.args:
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            field = node.args[0]
            # A field handed on by a helper is judged where it is written down.
            if name in REFUSE and not isinstance(field, ast.Name):
                said = field.value if isinstance(field, ast.Constant) else ast.unparse(field)
                # "price_list.{number}.id" is the key of an entry of a list.
                if re.sub(r"^f'(\w+)\.\{number\}\.(\w+)'$", r"\1.\2", said) not in known:
                    yield node.lineno, said
        yield from wrong_in(node, inside)


@pytest.mark.parametrize("path", sorted(HOUSE.rglob("*.py")), ids=lambda path: str(path.relative_to(HOUSE)))
def test_a_refusal_names_a_key_of_the_case_or_a_number_of_the_formula(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert list(wrong_in(tree, CASE_KEYS | names_in(tree))) == []


def test_the_search_finds_what_is_wrong():
    source = """
def check(volume_gal, field):
    positive("volume_gal", volume_gal, "gal")
    positive("electrical.service_a", 100, "a")
    positive("panel.service_a", 100, "a")
    raise InputError(f"gas segment {field}", 1, "wrong", "mend it")
"""
    wrong = [said for _, said in wrong_in(ast.parse(source), CASE_KEYS)]
    assert wrong == ["panel.service_a", "f'gas segment {field}'"]
