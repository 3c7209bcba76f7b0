"""A case on disk: read, write, explain what is wrong in one sentence, and describe itself as a schema."""

from __future__ import annotations

import difflib
import re
import tomllib
from pathlib import Path
from typing import Any, get_args

from pydantic import ValidationError

from advisor.case.record import Case, Section
from advisor.core.errors import InputError
from advisor.core.kinds import Kind
from advisor.core.units import UNITS, suffix_of

#: A case with every list full is a fifth of it.
MAX_FILE_BYTES = 250_000
_LONGEST_LINE = 5_000
#: Reading a key of many parts takes as long as its parts squared, and a case has no more than four.
_PART = r"""(?:[\w-]++|"(?:[^"\\]|\\.){0,100}+"|'[^']{0,100}+')[ \t]*+"""
_DEEP_KEY = re.compile(rf"(?<![\w-])(?:{_PART}\.[ \t]*+){{16}}")
#: Choices that are longer than this are not all told in a refusal.
_LONGEST_CHOICES = 120
#: TOML allows no number that begins with a zero.
_BARE_ZIP = re.compile(r"^[ \t]*zip_code[ \t]*=[ \t]*0\d", re.MULTILINE)


def read_case(path: str | Path) -> Case:
    """Read a case file.

    Raises
    ------
    InputError
        One sentence naming the file or the key.
    """
    path = Path(path)
    try:
        if path.is_dir():
            raise InputError("file", path.name, "this is a folder", "give a case file")
        with path.open("rb") as stream:
            content = stream.read(MAX_FILE_BYTES + 1)
    except FileNotFoundError as error:
        raise InputError("file", str(path), "there is no such file", "check the name") from error
    except OSError as error:
        raise InputError("file", str(path), "the file cannot be read", "check its permissions") from error
    return parse_case(content)


def parse_case(content: bytes | str) -> Case:
    """Read a case from the text of a TOML file."""
    if len(content) > MAX_FILE_BYTES:
        raise InputError(
            "file", None, "the file is larger than {most} kB", "a case is a page of text", most=MAX_FILE_BYTES // 1000
        )
    values = read_toml(text_of(content))
    if not values:
        raise InputError("file", None, "the file is empty", "write a starter with 'advisor case new FILE'")
    return case_from(values)


def text_of(content: bytes | str) -> str:
    """The text of a file."""
    try:
        return content.decode("utf-8-sig") if isinstance(content, bytes) else content
    except UnicodeDecodeError as error:
        raise InputError("file", None, "this is not a text file in UTF-8", "save it as UTF-8 text") from error


def read_toml(text: str) -> dict[str, Any]:
    """Nested dicts from the text of a case file; what would take long to read is refused before it is read."""
    for number, line in enumerate(text.split("\n"), start=1):
        if line.lstrip().startswith("#"):
            continue
        if len(line) > _LONGEST_LINE:
            reason = "line {number} is longer than {most:,} letters"
            raise InputError("file", None, reason, "break it up", number=number, most=_LONGEST_LINE)
        if _DEEP_KEY.search(line):
            reason = "a key in line {number} is nested too deep"
            raise InputError("file", None, reason, "a case has only one level", number=number)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        place = str(error).replace("\n", " ")
        fix = "put the ZIP code in quotes" if _BARE_ZIP.search(text) else "mend that line"
        raise InputError("file", None, "this is not valid TOML: {place}", fix, place=place) from error
    except ValueError as error:  # Python reads no whole number of more than some thousand digits
        raise InputError("file", None, "a number in it has too many digits", "shorten it") from error
    except RecursionError as error:
        raise InputError("file", None, "the brackets are nested too deep", "a case has only one level") from error


def case_from(values: dict[str, Any]) -> Case:
    """Make a case from nested dicts, with one clear sentence for the first thing that is wrong."""
    try:
        return Case.model_validate(values)
    except ValidationError as error:
        raise _as_input_error(error) from error
    except RecursionError as error:
        raise InputError("file", None, "the values are nested too deep", "a case has only one level") from error


def write_case(case: Case) -> str:
    """The case as TOML: exactly what was given, so that reading it back loses nothing."""
    import tomli_w

    return tomli_w.dumps(case.model_dump(mode="python", exclude_unset=True, exclude_none=True))


def case_schema() -> dict[str, Any]:
    """JSON Schema of the case; a number may also be a string with a unit, which each key names."""
    schema = Case.model_json_schema()
    for part in (schema, *schema.get("$defs", {}).values()):
        for name, prop in part.get("properties", {}).items():
            suffix = suffix_of(name)
            if suffix is not None and suffix in UNITS and UNITS[suffix].label and _says_number(prop):
                prop["x-unit"] = UNITS[suffix].label
                prop.setdefault("anyOf", [{"type": prop.pop("type")}] if "type" in prop else [])
                prop["anyOf"].append({"type": "string", "description": "a number with a unit"})
    return schema


def _says_number(prop: dict[str, Any]) -> bool:
    kinds = {prop.get("type")} | {option.get("type") for option in prop.get("anyOf", ())}
    return bool(kinds & {"number", "integer"})


STARTER_HEAD = """\
# A case: one house and its failed water heater. Lines that begin with # are optional.
# A number may be bare, in the unit that the key ends in, or a text with a unit: "189 L", "60 kBtu/h".
"""


def starter() -> str:
    """A commented case file: the four answers filled in, every other key explained behind a #."""
    answers: dict[str, dict[str, Any]] = {
        "place": {"zip_code": "55811"},
        "household": {"people": 4},
        "failed": {"fuel": "natural_gas", "size_gal": 50},
        "house": {"fuels": ["natural_gas"]},
    }
    lines = [STARTER_HEAD]
    for name, field in Case.model_fields.items():
        model = _section_in(field.annotation)
        if model is None:
            lines.append(f"# {name} =    # {field.description}")
            continue
        many, is_optional = isinstance(field.default, tuple), not field.is_required() and field.default is None
        given = answers.get(name, {})
        lines.append(f"\n# {field.description or (model.__doc__ or '').splitlines()[0]}")
        lines.append(("# [[{}]]" if many else "# [{}]" if is_optional else "[{}]").format(name))
        lines += [_starter_line(key, prop, given) for key, prop in model.model_fields.items()]
    return "\n".join(lines) + "\n"


def _starter_line(key: str, prop: Any, given: dict[str, Any]) -> str:
    unit = UNITS[suffix_of(key) or "dimensionless"].label
    meaning = f"{prop.description}{f' [{unit}]' if unit else ''}"
    if choices := _choices_in(prop.annotation):
        meaning += f": {', '.join(choices)}"
    if key in given:
        return f"{key} = {_toml(given[key])}    # {meaning}"
    has_default = not prop.is_required() and prop.default is not None
    return f"# {key} = {_toml(prop.default) if has_default else ''}    # {meaning}"


def _choices_in(annotation: Any) -> list[str]:
    """The words a key may hold, however deep the annotation hides them."""
    if isinstance(annotation, type) and issubclass(annotation, Kind):
        return [kind.id for kind in annotation.all()]
    found = [item for item in get_args(annotation) if isinstance(item, str)]
    return found or [word for item in get_args(annotation) for word in _choices_in(item)]


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_toml(item) for item in value) + "]"
    return f'"{value}"' if isinstance(value, str) else f"{value:g}"


def _section_in(annotation: Any) -> type[Section] | None:
    """The section class inside an annotation such as ``tuple[Use, ...]``."""
    candidates = [annotation, *get_args(annotation)]
    nested = [item for item in candidates if isinstance(item, type) and issubclass(item, Section)]
    return nested[0] if nested else None


def _as_input_error(error: ValidationError) -> InputError:
    """Pydantic's first complaint, in our words. Unknown keys come first: they explain what is missing."""
    complaints = error.errors(include_url=False)
    first = next((item for item in complaints if item["type"] == "extra_forbidden"), complaints[0])
    path = ".".join(str(part + 1) if isinstance(part, int) else str(part) for part in first["loc"])
    value, context, kind = first.get("input"), first.get("ctx", {}), first["type"]
    inner = context.get("error")
    if isinstance(inner, InputError):
        # A validator knows only its own key; one that names a full path has said where it is.
        if "." in inner.field or not path:
            field = inner.field
        else:
            field = path if path.endswith(inner.field) else f"{path}.{inner.field}"
        return inner.at(field)
    if kind == "extra_forbidden":
        near = difflib.get_close_matches(str(first["loc"][-1])[:80], _keys_beside(first["loc"]), n=1)
        fix = "write '{near}' if that is meant" if near else "remove it; 'advisor case schema' lists every key"
        return InputError(path, None, "there is no such key", fix, near="".join(near))
    if kind == "missing":
        return InputError(path, None, "this is needed and is not given", "add it")
    if kind in {"greater_than_equal", "less_than_equal", "greater_than", "less_than"}:
        low, high, unit = _range_of(first["loc"])
        fix = "correct it" if low is None or high is None else "give a value from {low:g} to {high:g}{unit}"
        return InputError(path, value, "this is outside the possible range", fix, low=low, high=high, unit=unit)
    if kind == "literal_error":
        return _no_choice(path, value, re.findall(r"'([^']*)'", context["expected"]))
    if kind in {"model_type", "model_attributes_type", "dict_type"}:
        return InputError(path, _plain(value), "this must be a table of keys", "write it as [{path}]", path=path)
    if kind in {"tuple_type", "list_type"}:
        return InputError(path, _plain(value), "this must be a list", "put it in square brackets")
    if kind in _KIND_SENTENCES:
        return InputError(path, _plain(value), *_KIND_SENTENCES[kind])
    return InputError(path, _plain(value), "this cannot be read ({why})", "correct it", why=first["msg"])


def _no_choice(path: str, value: Any, choices: list[str]) -> InputError:
    """All choices where they are few, else those that look most like what was written."""
    reason, known = "this is not one of the choices", ", ".join(map(repr, choices))
    if len(known) <= _LONGEST_CHOICES:
        return InputError(path, _plain(value), reason, "write one of {known}", known=known)
    near = difflib.get_close_matches(str(_plain(value))[:80], choices, n=3, cutoff=0.0)
    fix = "write one of {count}, such as {near}; 'advisor case schema' lists them"
    return InputError(path, _plain(value), reason, fix, count=len(choices), near=", ".join(map(repr, near)))


_KIND_SENTENCES = {
    "string_type": ("this must be text", "put it in quotes"),
    "int_from_float": ("this must be a whole number", "round it"),
    "int_type": ("this must be a whole number", "write it without quotes"),
    "bool_type": ("this must be true or false", "write true or false, without quotes"),
    "bool_parsing": ("this must be true or false", "write true or false, without quotes"),
    "string_too_short": ("this text is empty", "write something"),
    "string_too_long": ("this text is too long", "shorten it"),
    "too_short": ("this list is empty", "name at least one"),
    "too_long": ("this list is too long", "shorten it"),
    "date_from_datetime_parsing": ("this is not a date", "write it as 2026-11-25"),
    "date_from_datetime_inexact": ("this is not a date", "write it as 2026-11-25"),
    "date_type": ("this is not a date", "write it as 2026-11-25"),
}


def _plain(value: Any) -> Any:
    return value if isinstance(value, str | int | float | bool) else type(value).__name__


def _model_at(location: tuple[Any, ...]) -> type[Section] | None:
    """The section class that a location's last key lives in."""
    model: type[Section] = Case
    for part in location[:-1]:
        if isinstance(part, int):
            continue
        field = model.model_fields.get(part)
        if field is None:
            return None
        nested = _section_in(field.annotation)
        if nested is None:
            return None
        model = nested
    return model


def _keys_beside(location: tuple[Any, ...]) -> list[str]:
    model = _model_at(location)
    return list(model.model_fields) if model else []


def _range_of(location: tuple[Any, ...]) -> tuple[Any, Any, str]:
    """Smallest and largest value of a key, and its unit after a space."""
    model = _model_at(location)
    field = model.model_fields.get(str(location[-1])) if model else None
    bounds = {type(item).__name__: item for item in field.metadata} if field else {}
    low = next((getattr(bounds[key], key.lower()) for key in ("Ge", "Gt") if key in bounds), None)
    high = next((getattr(bounds[key], key.lower()) for key in ("Le", "Lt") if key in bounds), None)
    unit = UNITS[suffix_of(str(location[-1])) or "dimensionless"].label
    return low, high, f" {unit}" if unit else ""
