"""What comes in from outside, made up at random: one generator for each door, all in one list.

A new door (an entry point that reads what somebody else wrote) adds its generator here, and is then attacked by
``tests/attack/run.py`` and, with a few fixed seeds, by the suite.
"""

from __future__ import annotations

import base64
import json
import random
import tempfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

import tomli_w

from advisor import formulas
from advisor.book.listing import matching
from advisor.book.store import Book
from advisor.case.base import Section
from advisor.case.file import case_from, parse_case, write_case
from advisor.case.record import Case
from advisor.comparison import Comparison, compare
from advisor.core import paths
from advisor.core.kinds import Fuel, Kind
from advisor.core.tables import load
from advisor.core.units import UNITS, read_quantity
from advisor.heaters.catalogue import catalogue
from advisor.money.live_prices import _parse, _read_reply
from advisor.place.location import locate
from advisor.report.as_json import comparison_dict
from advisor.report.escape import on_screen
from advisor.report.text import comparison_text
from advisor.web.link import given_of, query_of
from tests.attack import files_of_others, on_paper
from tests.hostile import ICON, RAW, TEXT

#: What a generator makes: what goes in, for the report, and the call that takes it.
Attempt = tuple[Any, Callable[[], Any]]
Generator = Callable[[random.Random], Attempt]
GENERATORS: dict[str, tuple[int, Generator]] = {}

HOSTILE = (
    TEXT,
    ICON,
    "",
    " ",
    "\0",
    "a\nb",
    "\u202egnp.exe",
    "\ud7ff",
    "é" * 40,
    "x" * 5000,
    " " * 20_000,
    "9" * 400,
    "1e999",
    "-1e308",
    "nan",
    "inf",
    "0x10",
    "1_000",
    "١٢",
    "½",
    "1/0",
    '3/4"',
    "6' 4\"",
    "12 ft",
    "1 year",
    "18 kW",
    "9**9**9",
    "$0.15/kWh",
    "=cmd|' /C calc'!A0",
    "../../etc/passwd",
    "C:\\con",
    "{n}",
    "%s%n",
    "'; --",
    "Duluth, MN",
    "a," * 2000,
    "St. " * 1000,
    "-" * 3000,
    "(" * 3000,
    "55811",
    "00000",
    "gas-tank-50",
    "water heater",
    "source",
)


def generator(name: str, share: int) -> Callable[[Generator], Generator]:
    """Put a generator into the list; its share says how often it is taken beside the others."""

    def put(made: Generator) -> Generator:
        GENERATORS[name] = (share, made)
        return made

    return put


def answer(case: Case) -> Comparison:
    """The answer of a case by the hand method, with everything that is printed; every number must be finite."""
    found = compare(case, by_hand=True)
    json.dumps(comparison_dict(found), allow_nan=False)
    assert comparison_text(found)
    return found


# Cases -----------------------------------------------------------------------------------------------------------


def _bare(annotation: Any) -> Any:
    options = [one for one in get_args(annotation) if one is not type(None)]
    return _bare(options[0]) if type(None) in get_args(annotation) and len(options) == 1 else annotation


def _value(chance: random.Random, name: str, field: Any) -> Any:
    """Something that the key may hold, the ends of its range more often than else."""
    kind = _bare(field.annotation)
    if get_origin(kind) is Literal:
        return chance.choice(get_args(kind))
    if kind is bool:
        return chance.random() < 0.5
    if kind in {int, float}:
        bounds = {
            key: getattr(one, key) for one in field.metadata for key in ("ge", "gt", "le", "lt") if hasattr(one, key)
        }
        low, high = bounds.get("ge", bounds.get("gt", 0.0) + 0.01), bounds.get("le", bounds.get("lt", 10_000.0))
        number = chance.choice([low, high, chance.uniform(low, high), low + (high - low) * chance.random() ** 3])
        return round(number) if kind is int else float(f"{number:.4g}")
    if isinstance(kind, type) and issubclass(kind, Kind):
        return chance.choice(kind.all()).id
    if get_origin(kind) is tuple:
        inner = get_args(kind)[0]
        if isinstance(inner, type) and issubclass(inner, Section):
            return [section(chance, inner) for _ in range(chance.randint(1, 3))]
        if isinstance(inner, type) and issubclass(inner, Kind):
            return [one.id for one in chance.sample(inner.all(), chance.randint(1, len(inner.all())))]
        return [chance.choice(get_args(inner) or ["a"]) for _ in range(chance.randint(1, 4))]
    if isinstance(kind, type) and issubclass(kind, Section):
        return section(chance, kind)
    words = {"size_in": ("1/2", "3/4", "1", "37"), "liner": ("8x8", "9x9"), "meter_class": ("175", "250", "99")}
    listed = next((texts for key, texts in words.items() if name.endswith(key)), None)
    return chance.choice(listed or ("trunk", "source", "water heater", "shower", TEXT[:30], catalogue()[0].id))


def section(chance: random.Random, model: type[Section], often: float = 0.25) -> dict[str, Any]:
    """Any of a section's keys, and all that it needs."""
    return {
        name: _value(chance, name, field)
        for name, field in model.model_fields.items()
        if field.is_required() or chance.random() < often
    }


def own_heater(chance: random.Random) -> dict[str, Any]:
    """A label like one of the catalogue's, its numbers stretched."""
    like = chance.choice(catalogue())
    label = {"title": chance.choice(("Mine", TEXT)), "technology": like.technology.id, "fuel": like.fuel.id}
    for name in (
        "uef",
        "rated_volume_gal",
        "nominal_gal",
        "fhr_gal",
        "max_gpm",
        "input_btuh",
        "input_kw",
        "recovery_frac",
    ):
        if (number := getattr(like, name)) is not None and chance.random() < 0.95:
            label[name] = round(number * chance.choice([1, 1, 1, 0.8, 1.25, chance.uniform(0.3, 3)]), 3)
    return label


def house(chance: random.Random) -> dict[str, Any]:
    """A house that its schema allows, mostly; whether it can be compared is for the advisor to say."""
    fuels = chance.sample(["natural_gas", "propane", "heating_oil", "electricity"], chance.randint(1, 3))
    kind = chance.choice(["tank", "tankless", "heat_pump", "boiler_tank"])
    burned = [fuel for fuel in fuels if fuel != "electricity"]
    among = {"heat_pump": ["electricity"], "boiler_tank": burned or fuels}.get(kind, fuels)
    failed = {"fuel": chance.choice(among), "kind": kind}
    if kind != "tankless" and chance.random() < 0.7:
        failed["size_gal"] = chance.choice([30, 40, 50, 75, 80, 120])
    made = {
        "place": {"zip_code": chance.choice(("55811", "85004", "99701", "96813", "80435", "33101", "04401"))},
        "household": {
            **section(chance, Case.model_fields["household"].annotation, 0.2),
            **({"people": chance.randint(1, 9)} if chance.random() < 0.9 else {"bedrooms": chance.randint(0, 6)}),
        },
        "failed": failed,
        "house": {**section(chance, Case.model_fields["house"].annotation, 0.3), "fuels": fuels},
    }
    for name in ("water", "gas", "vent", "electrical", "drain", "prices", "economics"):
        if chance.random() < 0.4:
            made[name] = section(chance, Case.model_fields[name].annotation, 0.3)
    if "gas" in made and chance.random() < 0.7:
        for name in ("segments", "outlets", "regulators"):
            made["gas"].pop(name, None)
    if chance.random() < 0.1:
        made["heaters"] = [own_heater(chance) for _ in range(chance.randint(1, 2))]
    if chance.random() < 0.15:
        ids = [heater.id for heater in catalogue()]
        made["offers"] = [
            {"candidate": one, "total_usd": chance.choice([0, 2500, 9000])} for one in chance.sample(ids, 3)
        ]
    if chance.random() < 0.1:
        made["uses"] = [section(chance, get_args(Case.model_fields["uses"].annotation)[0], 0.5) for _ in range(3)]
    if chance.random() < 0.1:
        made["tariffs"] = [section(chance, get_args(Case.model_fields["tariffs"].annotation)[0], 0.3)]
    return made


def spoil(chance: random.Random, held: Any) -> Any:
    """The same with one value somewhere put wrong."""
    if isinstance(held, dict) and held:
        name = chance.choice(list(held))
        if chance.random() < 0.1:
            return {**held, chance.choice(["peple", "x", TEXT, name + "s"]): held[name]}
        if chance.random() < 0.1:
            return {key: value for key, value in held.items() if key != name}
        return {**held, name: spoil(chance, held[name])}
    if isinstance(held, list) and held:
        if chance.random() < 0.1:
            return held * (chance.choice([2, 100, 5000]) if len(held) < 10 else 1)
        place = chance.randrange(len(held))
        return [*held[:place], spoil(chance, held[place]), *held[place + 1 :]]
    return chance.choice([*HOSTILE, -1, 0, 1e308, 10**30, True, [], {}, [[]], {"a": {"b": 1}}])


@generator("cases", 4)
def cases(chance: random.Random) -> Attempt:
    """Houses as files; some are compared and read back."""
    made = house(chance)
    for _ in range(chance.choice([0, 0, 1, 2])):
        made = spoil(chance, made)

    def take() -> Any:
        case = case_from(made)
        assert parse_case(write_case(case)) == case
        return answer(case)

    return made, take


@generator("files", 8)
def files(chance: random.Random) -> Attempt:
    """The text of a case file with letters and lines mutilated."""
    text = bytearray(chance.choice(_demo_files()))
    for _ in range(chance.randint(1, 6)):
        place = chance.randrange(len(text) + 1)
        what = chance.choice(["cut", "put", "flip", "double", "key"])
        if what == "cut":
            del text[place : place + chance.randint(1, 30)]
        elif what == "flip" and place < len(text):
            text[place] = chance.randrange(256)
        elif what == "double":
            text[place:place] = text[place : place + chance.randint(1, 200)] * chance.choice([1, 50])
        elif what == "key":
            text[place:place] = b"\n" + b".".join([b"a"] * chance.choice([2, 20, 3000])) + b" = 1\n"
        else:
            text[place:place] = chance.choice(HOSTILE).encode(errors="replace")
    content = bytes(text)
    return content, lambda: parse_case(content)


def _demo_files() -> list[bytes]:
    return [path.read_bytes() for path in sorted(paths.CASES.glob("*.toml"))]


# Links -----------------------------------------------------------------------------------------------------------


@generator("links", 10)
def links(chance: random.Random) -> Attempt:
    """Links of houses, tampered with, and their packed part repacked with junk."""
    made = house(chance)
    try:
        query = dict(pair.partition("=")[::2] for pair in query_of(made, {}).split("&") if pair)
    except (TypeError, ValueError):
        query = {}
    for _ in range(chance.randint(0, 3)):
        name = chance.choice(
            ["zip", "city", "people", "failed", "kind", "gallons", "fuels", "space", "setpoint", "more"]
        )
        query[name] = chance.choice(HOSTILE)
    if chance.random() < 0.3:
        held = chance.choice(
            [
                b"a." * 40_000 + b"a = 1",
                b"x = " + b"[" * 3000,
                b" " * 900_000,
                b"[place]\ncity = '" + b" " * 4000 + b"'",
                tomli_w.dumps({"gas": spoil(chance, made.get("gas", {"trunk_ft": 9}))}).encode()
                if isinstance(made.get("gas"), dict)
                else b"gas = 3",
            ]
        )
        query["more"] = base64.urlsafe_b64encode(zlib.compress(held)).decode().rstrip("=")
    elif "more" in query and chance.random() < 0.5:
        text = query["more"]
        place = chance.randrange(len(text) + 1)
        query["more"] = text[:place] + chance.choice(["", "A", "=", "é"]) + text[place + 1 :]

    def take() -> Any:
        given = given_of(query)
        return None if given is None else case_from(given)

    return query, take


# Texts and numbers -----------------------------------------------------------------------------------------------


@generator("numbers", 10)
def numbers(chance: random.Random) -> Attempt:
    """Numbers with units as people and attackers write them."""
    suffix = chance.choice(list(UNITS))
    text = chance.choice(HOSTILE)
    if chance.random() < 0.7:
        pieces = [
            "1",
            "9" * 30,
            " ",
            ".",
            ",",
            "/",
            "-",
            "'",
            '"',
            "ft",
            "kW",
            "gal",
            "°F",
            "%",
            "$",
            "e",
            "*",
            "(",
            "btu/h",
        ]
        text = "".join(chance.choice(pieces) for _ in range(chance.choice([2, 5, 40, 2000])))
    return (suffix, text), lambda: read_quantity("water.value", text, suffix)


@generator("places", 4)
def places(chance: random.Random) -> Attempt:
    """Towns and ZIP codes, as long and as odd as the case lets them be."""
    letters = "abcdefghijklmnopqrstuvwxyz ,.'-é"
    text = chance.choice([*HOSTILE, "".join(chance.choice(letters) for _ in range(chance.randint(1, 80)))])[:80]
    if chance.random() < 0.3:
        return text, lambda: locate(zip_code=text[:20])
    return text, lambda: locate(city=text, state=chance.choice([None, "MN", "XX"]))


@generator("screen", 10)
def screen(chance: random.Random) -> Attempt:
    """Texts on their way to the screen: nothing of them is left that it would take for a command."""
    pieces = [*RAW, *"[]()<>*_`$~#:@&!\\|+-=.1 ", "www.", "http", "a", "\u2060", "&#36;", "&amp;", "é", "12:30", "\t"]
    text = "".join(chance.choice(pieces) for _ in range(chance.randint(1, 30)))

    def take() -> str:
        shown = on_screen(text)
        assert not any(sign in shown for sign in "[]<>*`$~\\"), shown
        assert not any(raw in shown for raw in RAW), shown
        return shown

    return text, take


@generator("formulas", 4)
def formula_inputs(chance: random.Random) -> Attempt:
    """Inputs of the published formulas."""
    chosen = chance.choice(list(formulas.index().values()))
    given = {
        parameter.name: chance.choice([*HOSTILE[:40], "0", "-1", "1e9", "1e-9", "50", "120"])
        for parameter in chosen.parameters
        if chance.random() < 0.95
    }
    return (chosen.name, given), lambda: formulas.run(chosen.name, given)


@generator("replies", 4)
def replies(chance: random.Random) -> Attempt:
    """What a price service may send."""
    fuel = chance.choice(Fuel.all())
    series = load("price_series").find(fuel.id)
    row: Any = {
        "period": "2025",
        series["place_facet"]: "CO",
        series["unit_column"]: series["published_unit"],
        series["value_column"]: 12,
    }
    sent: Any = {"response": {"data": [row]}}
    for _ in range(chance.randint(0, 3)):
        sent = spoil(chance, sent)
    content = json.dumps(sent).encode()
    if chance.random() < 0.2:
        content = content[: chance.randrange(len(content) + 1)]
    return content, lambda: _read_reply(fuel, series, "CO", _parse(content))


@generator("book", 4)
def book_of_jobs(chance: random.Random) -> Attempt:
    """Customers' names that become file names, names asked for, and junk that lies in the folder of jobs."""
    customer, asked = (chance.choice([*HOSTILE, TEXT, "Rivera", "a" * 119]) for _ in range(2))
    junk = bytes(chance.choice(_demo_files())[chance.randrange(200) :]) + chance.choice(HOSTILE).encode(
        errors="replace"
    )

    def take() -> Any:
        with tempfile.TemporaryDirectory() as made:
            folder = Path(made) / "book"
            folder.mkdir()
            (folder / "2026-01-02 junk.toml").write_bytes(junk)
            book = Book(folder)
            case = parse_case(_demo_files()[0]).model_copy(update={"name": customer})
            try:
                file, version = book.add(case)
                assert book.save(case, file, version) and book.copy(file)
                book.archive(file)
            finally:
                assert [path.name for path in Path(made).iterdir()] == ["book"]
                assert matching(book.jobs(), "") == book.jobs() and book.jobs()
            return book.read(asked)

    return (customer, asked, junk), take


# Files of others ---------------------------------------------------------------------------------------------------

generator("offers", 4)(files_of_others.offers)
generator("applicants", 1)(files_of_others.applicants)
generator("rule sets", 1)(files_of_others.rule_sets)

# What is read and typed on the spot, and paper ---------------------------------------------------------------------


@generator("readings", 4)
def readings(chance: random.Random) -> Attempt:
    """What was read when a heater first ran."""
    return on_paper.readings(chance, HOSTILE)


@generator("typed offers", 2)
def typed_offers(chance: random.Random) -> Attempt:
    """Offers as the form hands them over."""
    return on_paper.typed_offers(chance, HOSTILE)


generator("logos", 2)(on_paper.logos)


@generator("documents", 1)
def documents(chance: random.Random) -> Attempt:
    """The document and the sheet to keep, as PDF or HTML."""
    return on_paper.documents(chance, HOSTILE)
