"""A rule set: the program's rules, lines, amounts and savings as data, read from TOML and held to its grammar."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date
from pathlib import Path
from typing import Any

from advisor.core.errors import InputError
from advisor.screening.amounts import Step
from advisor.screening.conditions import All, AnyOf, Compare, Condition, Floor, Given, Is, Not, OneOf, WithinDays
from advisor.screening.dictionary import columns
from advisor.screening.of_program import SHARED, FitsMeasure, Measure, NoRebate
from advisor.screening.savings import Deemed

EFFECTS = ("deny", "hold")
_LIMITS = ("at_least", "more_than", "at_most", "less_than")
_STEP_KEYS = {
    "id", "title", "add", "add_usd", "add_frac", "multiply", "cap_frac", "balance_usd", "of", "less", "minus",
    "at_most_usd", "when", "valid_from", "valid_to",
}  # fmt: skip


@dataclass(frozen=True)
class Rule:
    """One rule: what it asks, what happens to who fails it, and where that is written."""

    id: str
    message: str
    effect: str
    test: Condition
    source: str
    valid_from: date | None = None
    valid_to: date | None = None


@dataclass(frozen=True)
class RuleSet:
    """A program's whole rule set.

    Parameters
    ----------
    id, title, program, version, source : str
        What it is called, who pays, its version and where it is written.
    valid_from, valid_to : date
        Days for which it stands.
    dated_by : str
        Column whose day decides which of several dated rules applies.
    rounding : str
        ``down``, ``nearest`` or ``cents``.
    budget_usd : float or None
        What there is to spend.
    sha256 : str
        Hash of the file.
    """

    id: str
    title: str
    program: str
    version: str
    source: str
    valid_from: date
    valid_to: date
    dated_by: str
    rounding: str
    budget_usd: float | None
    rules: tuple[Rule, ...]
    measures: tuple[Measure, ...]
    steps: tuple[Step, ...]
    deemed: Deemed | None
    sha256: str

    @property
    def fits(self) -> FitsMeasure:
        """The condition that a line of the program fits."""
        return FitsMeasure(self.measures)

    def needed(self) -> dict[str, tuple[str, ...]]:
        """Every column that something reads, with the ids of what reads it."""
        found: dict[str, list[str]] = {self.dated_by: []}
        asked = [(rule.id, rule.test.fields) for rule in self.rules]
        asked += [(measure.id, measure.whole.fields) for measure in self.measures]
        asked += [(step.id, step.money_fields + (step.when.fields if step.when else ())) for step in self.steps]
        for name, read in asked:
            for field in read:
                if name not in found.setdefault(field, []):
                    found[field].append(name)
        return {field: tuple(names) for field, names in found.items()}

    def shared(self) -> tuple[str, ...]:
        """What two applications must not share, as far as a rule asks."""
        return tuple(
            dict.fromkeys(one.per for rule in self.rules for one in leaves(rule.test) if isinstance(one, NoRebate))
        )


def leaves(condition: Condition) -> list[Condition]:
    """The single conditions that a condition is made of."""
    if isinstance(condition, All):
        return [leaf for part in condition.parts for leaf in leaves(part)]
    return leaves(condition.part) if isinstance(condition, Not) else [condition]


def read_rules(path: str | Path) -> RuleSet:
    """A rule set from a file.

    Raises
    ------
    InputError
        What is wrong, by the rule and the key.
    """
    try:
        content = Path(path).read_bytes()
    except OSError as error:
        raise InputError("rules", str(path), "this file cannot be read", "name a rule set in TOML") from error
    return parse_rules(content)


def parse_rules(content: bytes) -> RuleSet:
    """A rule set from the content of a file."""
    try:
        data = tomllib.loads(content.decode("utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError("rules", None, f"this is not TOML: {error}", "mend the file at that line") from error
    except RecursionError as error:
        raise InputError(
            "rules", None, "tables stand within tables without end", "write conditions less deep"
        ) from error
    return _Reader(data, hashlib.sha256(content).hexdigest()).rule_set()


class _Reader:
    """Reads the tables of one file; what is wrong is named by its place."""

    def __init__(self, data: dict[str, Any], sha256: str) -> None:
        self.data, self.sha256 = data, sha256
        self.measures: tuple[Measure, ...] = ()

    def rule_set(self) -> RuleSet:
        data = self.data
        known = {field.name for field in fields(RuleSet)} - {"deemed", "sha256", "steps"} | {"amount", "savings"}
        self._only("rules", data, known)
        self.measures = tuple(self._measure(one, where) for one, where in self._tables("measures", required=True))
        rules = tuple(self._rule(one, where) for one, where in self._tables("rules", required=True))
        steps = tuple(self._step(one, where) for one, where in self._tables("amount", required=True))
        dated_by = self._text("rules", data, "dated_by", "install_date")
        self._field("dated_by", dated_by, ("date",))
        return RuleSet(
            id=self._text("rules", data, "id"),
            title=self._text("rules", data, "title"),
            program=self._text("rules", data, "program"),
            version=self._text("rules", data, "version"),
            source=self._text("rules", data, "source"),
            valid_from=self._day("rules", data, "valid_from", required=True),
            valid_to=self._day("rules", data, "valid_to", required=True),
            dated_by=dated_by,
            rounding=self._choice("rules", data, "rounding", ("down", "nearest", "cents"), "down"),
            budget_usd=self._number("rules", data, "budget_usd", required=False),
            rules=rules,
            measures=self.measures,
            steps=steps,
            deemed=Deemed.read(self._table("savings")) if "savings" in data else None,
            sha256=self.sha256,
        )

    def _table(self, name: str) -> dict[str, Any]:
        if not isinstance(self.data[name], dict):
            raise InputError(name, self.data[name], "this is not a table", f"write [{name}]")
        return self.data[name]

    def _tables(self, name: str, *, required: bool) -> list[tuple[dict[str, Any], str]]:
        found = self.data.get(name, [])
        if not isinstance(found, list) or not all(isinstance(one, dict) for one in found):
            raise InputError(name, None, "this is not a list of tables", f"write [[{name}]] before each")
        if required and not found:
            raise InputError(name, None, "there is none", f"write at least one [[{name}]]")
        return [(one, f"{name}.{one.get('id', number)}") for number, one in enumerate(found, start=1)]

    def _rule(self, data: dict[str, Any], where: str) -> Rule:
        self._only(where, data, {"id", "message", "effect", "test", "source", "valid_from", "valid_to"})
        return Rule(
            id=self._id(where, data),
            message=self._text(where, data, "message"),
            effect=self._choice(where, data, "effect", EFFECTS),
            test=self._condition(f"{where}.test", data.get("test")),
            source=self._text(where, data, "source"),
            valid_from=self._day(where, data, "valid_from"),
            valid_to=self._day(where, data, "valid_to"),
        )

    def _measure(self, data: dict[str, Any], where: str) -> Measure:
        self._only(where, data, {"id", "title", "kind", "test", "usd", "life_yr"})
        return Measure(
            id=self._id(where, data),
            title=self._text(where, data, "title"),
            kind=self._condition(f"{where}.kind", data.get("kind")),
            test=self._condition(f"{where}.test", data.get("test")),
            usd=self._number(where, data, "usd", required=False) or 0.0,
            life_yr=self._number(where, data, "life_yr", required=False),
        )

    def _step(self, data: dict[str, Any], where: str) -> Step:
        self._only(where, data, _STEP_KEYS)
        ways = [key for key in ("add", "add_usd", "add_frac", "multiply", "cap_frac", "balance_usd") if key in data]
        if len(ways) != 1:
            fix = 'write one of add = "measure", add_usd, add_frac, multiply, cap_frac and balance_usd'
            raise InputError(where, None, f"a step does one thing, and this does {len(ways)}", fix)
        way = ways[0]
        if way == "add" and data["add"] != "measure":
            raise InputError(f"{where}.add", data["add"], "this is not known", 'write add = "measure"')
        how = {"add": "measure", "add_usd": "add", "add_frac": "add", "cap_frac": "cap", "balance_usd": "balance"}
        of = self._money_fields(where, data, "of")
        if way in {"add_frac", "cap_frac", "balance_usd"} and not of:
            raise InputError(
                f"{where}.of", None, "it does not say of which columns", 'write for example of = ["invoice_usd"]'
            )
        return Step(
            id=self._id(where, data),
            title=self._text(where, data, "title"),
            how=how.get(way, way),
            value=1.0 if way == "add" else self._number(where, data, way) or 0.0,
            of=of,
            less=self._money_fields(where, data, "less"),
            minus=self._money_fields(where, data, "minus"),
            at_most_usd=self._number(where, data, "at_most_usd", required=False),
            when=self._condition(f"{where}.when", data["when"]) if "when" in data else None,
        )

    def _money_fields(self, where: str, data: dict[str, Any], key: str) -> tuple[str, ...]:
        names = data.get(key, [])
        if not isinstance(names, list):
            raise InputError(f"{where}.{key}", names, "this is not a list of columns", "write it in square brackets")
        for name in names:
            self._field(f"{where}.{key}", name, ("number",))
        return tuple(names)

    # Conditions

    def _condition(self, where: str, data: Any, depth: int = 0) -> Condition:
        if not isinstance(data, dict) or not data:
            example = 'write for example { field = "uef", at_least = 0.81 }'
            raise InputError(where, data, "this is not a condition", example)
        if depth > 20:
            raise InputError(where, None, "conditions stand within conditions without end", "write it less deep")
        for key, made in (("all", All), ("any", AnyOf)):
            if key in data:
                self._only(where, data, {key})
                parts = data[key]
                if not isinstance(parts, list) or not parts:
                    raise InputError(
                        f"{where}.{key}", parts, "this is not a list of conditions", "write them in square brackets"
                    )
                return made(
                    tuple(self._condition(f"{where}.{key}.{n}", part, depth + 1) for n, part in enumerate(parts, 1))
                )
        if "not" in data:
            self._only(where, data, {"not"})
            return Not(self._condition(f"{where}.not", data["not"], depth + 1))
        if "fits_a_measure" in data:
            self._only(where, data, {"fits_a_measure"})
            return FitsMeasure(self.measures)
        if "no_rebate_in_years" in data:
            self._only(where, data, {"no_rebate_in_years", "per", "before"})
            self._field(f"{where}.before", data.get("before"), ("date",))
            years = self._number(where, data, "no_rebate_in_years")
            if not years or not 0 < years <= 100:
                raise InputError(f"{where}.no_rebate_in_years", years, "this is no number of years", "write 1 to 100")
            return NoRebate(self._choice(where, data, "per", tuple(SHARED)), years, data["before"])
        return self._leaf(where, data)

    def _leaf(self, where: str, data: dict[str, Any]) -> Condition:
        field = data.get("field")
        self._field(f"{where}.field", field, ())
        kind, asks = columns()[field].kind, set(data) - {"field", "after"}  # type: ignore[index]
        known = {*_LIMITS, "one_of", "is", "given", "at_least_by", "within_days"}
        if not asks or asks - known:
            wrong = sorted(asks - known)[0] if asks - known else None
            raise InputError(where, wrong, "it does not say what is asked", f"write one of {', '.join(sorted(known))}")
        if "after" in data and "within_days" not in data:
            raise InputError(f"{where}.after", data["after"], "nothing asks for this", "write within_days beside it")
        parts = [self._one(where, str(field), kind, key, data) for key in data if key in known]
        return parts[0] if len(parts) == 1 else All(tuple(parts))

    def _one(self, where: str, field: str, kind: str, key: str, data: dict[str, Any]) -> Condition:
        asked, at = data[key], f"{where}.{key}"
        if key == "given":
            if asked is not True:
                raise InputError(at, asked, "nobody can be asked to leave a cell empty", "write given = true")
            return Given(field)
        allowed = {"is": ("flag",), "one_of": ("word",), "at_least_by": ("number",), "within_days": ("date",)}
        if kind not in allowed.get(key, ("number", "date")):
            raise InputError(at, asked, f"{field} is a {kind} and cannot be asked that", "ask a column of another kind")
        if key == "is":
            if not isinstance(asked, bool):
                raise InputError(at, asked, "this is neither true nor false", "write true or false")
            return Is(field, asked)
        if key == "one_of":
            words = self._words(at, field, asked)
            written = [word.replace("_", " ") for word in words] if columns()[field].words else asked
            return OneOf(field, words, tuple(written))
        if key == "at_least_by":
            return self._floor(at, field, asked)
        if key == "within_days":
            self._field(f"{where}.after", data.get("after"), ("date",))
            days = self._number(where, data, key)
            return WithinDays(field, data["after"], int(days or 0))
        if kind == "date":
            if not isinstance(asked, date):
                raise InputError(at, asked, "this is not a day", "write it as 2026-12-31, without quotes")
            return Compare(field, key, date(asked.year, asked.month, asked.day))
        return Compare(field, key, self._number(where, data, key))

    def _words(self, at: str, field: str, asked: Any) -> tuple[str, ...]:
        if not isinstance(asked, list) or not asked or not all(isinstance(word, str) for word in asked):
            raise InputError(at, asked, "this is not a list of words", 'write for example one_of = ["R1", "R2"]')
        words, known = (
            tuple(word.strip().lower().replace(" ", "_").replace("-", "_") for word in asked),
            columns()[field].words,
        )
        for word in words:
            if known and word not in known:
                raise InputError(at, word, f"{field} cannot be that", f"write some of {', '.join(known)}")
        return words

    def _floor(self, at: str, field: str, asked: Any) -> Floor:
        if not isinstance(asked, dict) or len(asked) != 1 or not isinstance(next(iter(asked.values())), dict):
            raise InputError(
                at, asked, "this is not a floor for each word of a column", "write { draw_pattern = { high = 0.86 } }"
            )
        by, limits = next(iter(asked.items()))
        self._field(at, by, ("word",))
        words = self._words(at, by, list(limits) or None)
        return Floor(
            field, by, tuple(zip(words, (self._number(at, limits, key) or 0.0 for key in limits), strict=True))
        )

    # Values

    def _only(self, where: str, data: Mapping[str, Any], known: set[str]) -> None:
        if unknown := sorted(set(data) - known):
            raise InputError(
                f"{where}.{unknown[0]}", None, "this key is not known", f"write some of {', '.join(sorted(known))}"
            )

    def _field(self, where: str, name: Any, kinds: tuple[str, ...]) -> None:
        import difflib

        if not isinstance(name, str) or name not in columns():
            near = difflib.get_close_matches(str(name), columns(), n=1)
            fix = f"write {near[0]!r} if that is meant" if near else "see 'advisor rules columns'"
            raise InputError(where, name, "there is no such column", fix)
        if kinds and columns()[name].kind not in kinds:
            raise InputError(where, name, f"this column is not a {' or '.join(kinds)}", "name another")

    def _id(self, where: str, data: Mapping[str, Any]) -> str:
        return self._text(where, data, "id")

    def _text(self, where: str, data: Mapping[str, Any], key: str, default: str | None = None) -> str:
        value = data.get(key, default)
        if not isinstance(value, str) or not value.strip():
            raise InputError(f"{where}.{key}", value, "this is missing", f'write {key} = "..."')
        return " ".join(value.split())

    def _choice(
        self, where: str, data: Mapping[str, Any], key: str, known: tuple[str, ...], default: str | None = None
    ) -> str:
        value = data.get(key, default)
        if value not in known:
            raise InputError(f"{where}.{key}", value, "this is not known", f"write one of {', '.join(known)}")
        return str(value)

    def _number(self, where: str, data: Mapping[str, Any], key: str, *, required: bool = True) -> float | None:
        value = data.get(key)
        if value is None and not required:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < 1e9:
            raise InputError(f"{where}.{key}", value, "this is not a number of 0 or more", "write a plain number")
        return float(value)

    def _day(self, where: str, data: Mapping[str, Any], key: str, *, required: bool = False) -> Any:
        value = data.get(key)
        if value is None and not required:
            return None
        if not isinstance(value, date):
            raise InputError(f"{where}.{key}", value, "this is not a day", "write it as 2026-12-31, without quotes")
        return date(value.year, value.month, value.day)
