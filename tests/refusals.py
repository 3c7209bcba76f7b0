"""Every sentence of a refusal in the code, found where it is raised."""

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import advisor

PACKAGE = Path(advisor.__file__).parent
#: What takes the words of a refusal, and which of its arguments they are.
TAKES_WORDS = {
    "InputError": (2, 3),
    "OutOfRangeError": (2, 3),
    "UnsupportedCaseError": (2, 3),
    "AdvisorError": (0,),
    "LivePriceError": (1,),
    "ChangedMeanwhileError": (0,),
    "require": (3, 4),
    "in_table": (3,),
}


class Raised(NamedTuple):
    """One place where something is refused: its words, the possible texts of each part, or what hides them."""

    where: str
    parts: tuple[tuple[str, ...], ...]
    blanks: frozenset[str]
    hidden: tuple[str, ...]


def raised() -> list[Raised]:
    """Every refusal of the package."""
    files = sorted(PACKAGE.rglob("*.py"))
    return [
        one
        for path in files
        for one in raised_in(path.read_text(encoding="utf-8"), str(path.relative_to(PACKAGE.parent)))
    ]


def raised_in(source: str, name: str = "") -> list[Raised]:
    """Every refusal of a module."""
    found = []
    tree = ast.parse(source)

    def walk(node: ast.AST, scopes: tuple[ast.AST, ...]) -> None:
        inner = (*scopes, node) if isinstance(node, ast.Module | ast.stmt) else scopes
        if isinstance(node, ast.Call) and (places := TAKES_WORDS.get(_name(node.func))):
            found.append(_read(name, node, places, inner))
        for child in ast.iter_child_nodes(node):
            walk(child, inner)

    walk(tree, ())
    return [one for one in found if one is not None]


def _name(function: ast.expr) -> str:
    return function.attr if isinstance(function, ast.Attribute) else getattr(function, "id", "")


def _read(name: str, call: ast.Call, places: tuple[int, ...], scopes: tuple[ast.AST, ...]) -> Raised | None:
    hidden: list[str] = []
    parts = []
    arguments = list(call.args)
    for place in places:
        expression = next((one for one in arguments if isinstance(one, ast.Starred)), None)
        if expression is None or arguments.index(expression) > place:
            if place >= len(arguments):
                hidden.append(f"no argument {place}")
                continue
            expression = arguments[place]
        parts.append(tuple(_texts(expression, scopes, hidden)))
    where = f"{name}:{call.lineno}"
    if not any(parts) and not hidden:
        return None  # handed on as it came
    return Raised(where, tuple(parts), frozenset(key.arg or "**" for key in call.keywords), tuple(hidden))


def _texts(expression: ast.AST, scopes: tuple[ast.AST, ...], hidden: list[str]) -> list[str]:
    """What an expression may say; what cannot be read from the code is hidden."""
    if isinstance(expression, ast.Starred):
        expression = expression.value
    if isinstance(expression, ast.Constant) and isinstance(expression.value, str):
        return [expression.value]
    if isinstance(expression, ast.IfExp):
        return _texts(expression.body, scopes, hidden) + _texts(expression.orelse, scopes, hidden)
    if isinstance(expression, ast.Tuple):
        return [text for item in expression.elts for text in _texts(item, scopes, hidden)]
    if isinstance(expression, ast.Subscript):
        return _texts(expression.value, scopes, hidden)
    if isinstance(expression, ast.Dict):
        return [text for item in expression.values for text in _texts(item, scopes, hidden)]
    if ast.unparse(expression) == "self._words":
        return []
    if isinstance(expression, ast.Name):
        for scope in reversed(scopes):
            if isinstance(scope, ast.FunctionDef) and expression.id in {a.arg for a in scope.args.args}:
                return [] if scope.name in TAKES_WORDS or scope.name == "__init__" else _hide(expression, hidden)
            if isinstance(scope, ast.FunctionDef | ast.Module) and (
                values := _assigned(expression.id, scope, scopes[-1])
            ):
                return [text for value in values for text in _texts(value, scopes, hidden)]
    return _hide(expression, hidden)


def _hide(expression: ast.AST, hidden: list[str]) -> list[str]:
    hidden.append(ast.unparse(expression))
    return []


def _assigned(name: str, scope: ast.AST, use: ast.AST) -> list[ast.expr]:
    """What a name may stand for where it is used: all that was assigned before, back to what is always assigned."""
    found: list[ast.expr] = []
    before = [
        pair for pair in _assignments(name, scope) if isinstance(scope, ast.Module) or pair[0].lineno <= use.lineno
    ]
    for statement, value in sorted(before, key=lambda pair: pair[0].lineno, reverse=True):
        found.append(value)
        if statement.col_offset <= use.col_offset:
            break
    return found


def _assignments(name: str, scope: ast.AST) -> Iterator[tuple[ast.stmt, ast.expr]]:
    for node in ast.walk(scope):
        if isinstance(node, ast.AnnAssign) and node.value and getattr(node.target, "id", "") == name:
            yield node, node.value
        for target in node.targets if isinstance(node, ast.Assign) else ():
            if isinstance(target, ast.Name) and target.id == name:
                yield node, node.value
            for place, item in enumerate(target.elts if isinstance(target, ast.Tuple) else ()):
                if getattr(item, "id", "") == name:
                    yield node, node.value.elts[place] if isinstance(node.value, ast.Tuple) else node.value
