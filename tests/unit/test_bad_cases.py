"""Hundreds of spoilt case files: each ends with exit code 2 and one sentence that names the key, never a traceback."""

import copy
import functools
import io
import math
import subprocess
import sys
import tomllib
from datetime import date
from types import SimpleNamespace
from typing import Literal, get_args, get_origin

import pytest
import tomli_w

from advisor import cli
from advisor.case.file import MAX_FILE_BYTES, case_from, starter
from advisor.case.record import Case, Section
from advisor.cli import BAD_INPUT, main
from advisor.core.errors import InputError
from advisor.core.kinds import Kind
from advisor.core.units import UNITS, suffix_of

#: A record with every list filled, to be spoilt one key at a time.
TEXT = """\
name = "A house"
install_date = 2026-11-25

[place]
zip_code = "55811"

[household]
people = 4

[failed]
fuel = "natural_gas"
size_gal = 50

[house]
fuels = ["natural_gas"]

[gas]
supply_pressure_inwc = 14

[[gas.segments]]
name = "trunk"
upstream = "source"
size_in = "1"
length_ft = 20

[[gas.outlets]]
name = "water heater"
segment = "trunk"
input_btuh = 39000

[[gas.regulators]]
segment = "trunk"
outlet_inwc = 7

[[uses]]
name = "shower"
mixed_gpm = 2.1
duration_min = 8

[[heaters]]
title = "Mine"
technology = "gas_storage_atmospheric"
fuel = "natural_gas"
uef = 0.62
fhr_gal = 80
rated_volume_gal = 48
input_btuh = 40000

[[offers]]
candidate = "gas-tank-50"
total_usd = 2400

[[offers.lines]]
what = "all of it"
kind = "labor"
usd = 2400

[[tariffs]]
fuel = "electricity"
price_usd_per_unit = 0.15

[[rebates]]
candidate = "heat_pump_storage_240v"
rebate_usd = 300

[[price_list]]
id = "gas-tank-50"
price_usd = 2400

[bill]
used_therm = 25

[[several]]
candidate = "gas-tank-40"
n_units = 2

[[readings]]
reading = "bath_f"
value = "118"
"""


def _priced():
    """Blocks and hours, new ones at each place: one that is spoilt must not spoil another."""
    return {
        "blocks": [{"price_usd_per_unit": 0.1}],
        "windows": [{"price_usd_per_unit": 0.3, "start_h": 16, "end_h": 21}],
    }


#: Every list filled. Together these tariffs contradict each other, but no value is read that far.
SOUND = tomllib.loads(TEXT)
SOUND["tariffs"] = [{"fuel": "electricity", **_priced(), "seasons": [{"months": [6, 7], **_priced()}]}]


def _section_in(annotation):
    found = [
        item for item in (annotation, *get_args(annotation)) if isinstance(item, type) and issubclass(item, Section)
    ]
    return found[0] if found else None


def _fields(model=Case, path="", keys=()):
    """Every key however deep: its dotted path, the way to it, its declaration; entries of a list count from 1."""
    for name, field in model.model_fields.items():
        here, way = f"{path}{name}", (*keys, name)
        yield here, way, field
        inner = _section_in(field.annotation)
        if inner is not None and get_origin(field.annotation) is tuple:
            yield from _fields(inner, f"{here}.1.", (*way, 0))
        elif inner is not None:
            yield from _fields(inner, f"{here}.", way)


def _plain(annotation):
    """The one type, Literal or tuple behind ``X | None``."""
    options = [item for item in get_args(annotation) if item is not type(None)]
    is_optional = type(None) in get_args(annotation)
    return options[0] if is_optional and len(options) == 1 else annotation


def _choices(annotation):
    """The words that a key with a fixed list of them may hold."""
    if isinstance(annotation, type) and issubclass(annotation, Kind):
        return [kind.id for kind in annotation.all()]
    return get_args(annotation) if get_origin(annotation) is Literal else ()


def _low(field):
    return next(
        (
            item.ge if hasattr(item, "ge") else item.gt
            for item in field.metadata
            if hasattr(item, "ge") or hasattr(item, "gt")
        ),
        -math.inf,
    )


def _spoilt_numbers(kind, key, field):
    yield from {
        "yes or no": True,
        "list": [1, 2],
        "table": {"a": 1},
        "date": date(2026, 11, 25),
        "word": "plenty",
        "empty text": "",
        "nan": math.nan,
        "inf": math.inf,
        "minus inf": -math.inf,
        "nan as text": "nan",
        "huge": 1e15,
        "hugest": 1e308,
        "as a huge text": "1e999",
        "very negative": -1e6,
        "unit of another kind": "5 candela",
        "two numbers": "5 7",
        "decimal comma": "2,1",
    }.items()
    unit = UNITS[suffix_of(key) or "dimensionless"]
    if unit.pint:
        yield "huge with unit", f"1e15 {unit.label}"
    else:
        yield "unit where there is none", "5 gal"
    if kind is int:
        yield "half", 2.5
    if _low(field) == 0 and "Gt" in {type(item).__name__ for item in field.metadata}:
        yield "zero", 0


def _spoilt_words():
    return {
        "number": 5,
        "yes or no": True,
        "list": ["a"],
        "table": {"a": 1},
        "date": date(2026, 11, 25),
        "line break": "a\nb",
        "control character": "a\x1b[31mb",
        "too long": "a" * 200,
    }.items()


def _spoilt(field, key):
    """Values that a key must refuse, by the kind of key."""
    annotation = _plain(field.annotation)
    if annotation in {int, float}:
        yield from _spoilt_numbers(annotation, key, field)
    elif annotation is bool:
        yield from {
            "number": 3,
            "word": "maybe",
            "list": [True],
            "table": {"a": 1},
            "date": date(2026, 1, 1),
            "nan": math.nan,
            "inf": math.inf,
            "float": 0.5,
        }.items()
    elif choices := _choices(annotation):
        capitals = choices[0].upper() + "S"
        yield from {
            "word": "none of them",
            "empty": "",
            "capitals": capitals,
            "number": 1,
            "list": ["tank"],
            "yes or no": True,
            "table": {"a": 1},
            "nan": math.nan,
            "date": date.min,
        }.items()
    elif annotation is date:
        yield from {
            "number": 20261125,
            "zero": 0,
            "word": "soon",
            "month 13": "2026-13-01",
            "list": [2026, 11, 25],
            "yes or no": True,
            "nan": math.nan,
            "half": 0.5,
        }.items()
    elif get_origin(annotation) is tuple:
        yield from {
            "word": "natural_gas",
            "number": 1,
            # A list with an empty default may be empty.
            **({"empty": []} if field.default else {}),
            "other fuel": ["coal"],
            "number inside": [1],
            "table": {"a": 1},
            "list inside": [["propane"]],
            "yes or no": True,
        }.items()
    else:
        assert annotation is str, annotation
        yield from _spoilt_words()


#: Text without a limit of its own is refused later or is harmless; a ZIP code or a gauge without quotes is read.
READ_AFTER_ALL = {
    ("place.zip_code", "number"),
    ("place.city", "too long"),
    ("gas.branch_size_in", "too long"),
    ("tariffs.1.seasons.1.months", "number inside"),
    ("readings.1.value", "number"),
}
#: Refused by another sentence than the key's own: the place is looked up, the date's file cannot hold it.
NAMED_OTHERWISE = {"place.city": "place", "place.state": "place", "place.zip_code": "place"}


def _changed(keys, value):
    values = copy.deepcopy(SOUND)
    target = values
    for key in keys[:-1]:
        target = target.setdefault(key, {}) if isinstance(target, dict) else target[key]
    if value is None:
        target.pop(keys[-1], None)
    else:
        target[keys[-1]] = value
    return values


def _spoilt_sections(path, keys, field):
    is_list = get_origin(field.annotation) is tuple
    wrong = {
        "number": 1,
        "word": "text",
        "yes or no": True,
        "nan": math.nan,
        "date": date(2026, 1, 1),
        "list and table": {"a": 1} if is_list else [{"a": 1}],
    }
    records = [(what, _changed(keys, value), path) for what, value in wrong.items()]
    if field.is_required():
        records.append(("missing", _changed(keys, None), path))
    inside = (*keys, 0, "colour") if is_list else (*keys, "colour")
    return [*records, ("unknown key", _changed(inside, "red"), f"{path}.1.colour" if is_list else f"{path}.colour")]


def _spoilt_records():
    """Key to its spoilt records: ``{path: [(what is spoilt, record, how the sentence starts)]}``."""
    found = {}
    for path, keys, field in _fields():
        inner = _section_in(field.annotation)
        if inner is not None:
            found[path] = _spoilt_sections(path, keys, field)
            continue
        records = [
            (what, _changed(keys, value), NAMED_OTHERWISE.get(path, path))
            for what, value in _spoilt(field, keys[-1])
            if (path, what) not in READ_AFTER_ALL
        ]
        if field.is_required():
            records.append(("missing", _changed(keys, None), path))
        found[path] = records
    return found


@pytest.fixture(scope="module", autouse=True)
def _one_parser():
    """Building the parser takes longer than refusing a file; one serves all."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cli, "build_parser", functools.cache(cli.build_parser))
        yield


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("cases")


def _refused(capsys, content, folder, *names):
    path = folder / "case.toml"
    path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
    return _told_in_one_sentence(main(["compare", str(path)]), capsys, str(folder), *names)


def _told_in_one_sentence(code, capsys, folder, *names):
    out, err = capsys.readouterr()
    assert code == BAD_INPUT == 2, err
    assert out == ""
    assert err.count("\n") == 1 and err.endswith(".\n"), err
    assert err.startswith("advisor: ")
    assert "Traceback" not in err and "Error" not in err and "should not have happened" not in err
    assert "pydantic" not in err and "<class" not in err and folder not in err
    assert len(err) < 400
    for name in names:
        assert name in err, err
    return err


RECORDS = _spoilt_records()


def test_the_sound_record_is_sound(capsys, folder):
    path = folder / "case.toml"
    path.write_text(TEXT, encoding="utf-8")
    assert main(["compare", str(path)]) == 0
    assert capsys.readouterr().err == ""


def test_there_are_hundreds():
    assert sum(map(len, RECORDS.values())) > 2000


@pytest.mark.parametrize("records", RECORDS.values(), ids=RECORDS)
def test_a_spoilt_value_is_refused(records, capsys, monkeypatch):
    """Read from standard input, which spares thousands of files."""
    for what, values, named in records:
        monkeypatch.setattr(sys, "stdin", SimpleNamespace(buffer=io.BytesIO(tomli_w.dumps(values).encode())))
        err = _told_in_one_sentence(main(["compare", "-"]), capsys, "<stdin>")
        assert err.startswith(f"advisor: {named}"), (what, err)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "the file is empty"),
        (b"\n\n  \n", "the file is empty"),
        (b"# only a remark\n", "the file is empty"),
        (b"\x00\x01\x02\xff\xfe\x00", "not a text file in UTF-8"),
        (bytes(range(256)) * 10, "not a text file in UTF-8"),
        (b"\x00" * 100, "not valid TOML"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "not a text file in UTF-8"),
        (TEXT.encode("utf-16"), "not a text file in UTF-8"),
        (TEXT.encode("utf-16-le"), "not valid TOML"),
        (TEXT.encode("utf-32"), "not a text file in UTF-8"),
        (TEXT.replace("A house", "Ein schönes Haus").encode("latin-1"), "not a text file in UTF-8"),
        (b"[place\n", "not valid TOML"),
        (b"place = \n", "not valid TOML"),
        (b'name = "no end\n', "not valid TOML"),
        (b"people: 4\n", "not valid TOML"),
        (b'{"place": {"zip_code": "55811"}}', "not valid TOML"),
        (b"<case/>", "not valid TOML"),
        (b"zip_code,people\n55811,4\n", "not valid TOML"),
        (TEXT.encode() + b"\n[place]\n", "not valid TOML"),
        (TEXT.encode() + b"\n[offers]\n", "not valid TOML"),
        (b"name = 'a'\nname = 'b'\n" + TEXT.encode(), "not valid TOML"),
        (TEXT.replace("people = 4", "people = 4\npeople = 5").encode(), "not valid TOML"),
        (TEXT.replace("people = 4", "people = 04").encode(), "not valid TOML"),
        (TEXT.replace("people = 4", "people = " + "9" * 4500).encode(), "too many digits"),
        (TEXT.replace("people = 4", "people = 4 people").encode(), "not valid TOML"),
        (TEXT.replace("2026-11-25", "2026-13-45").encode(), "not valid TOML"),
        (b"a = " + b"[" * 2_000 + b"]" * 2_000, "nested too deep"),
        (b"a = " + b"{a=" * 1_200 + b"1" + b"}" * 1_200, "nested too deep"),
        (b"#" * (MAX_FILE_BYTES + 1), "larger than 250 kB"),
        (TEXT.encode() + b"#" * MAX_FILE_BYTES, "larger than 250 kB"),
    ],
    ids=range(30),
)
def test_a_spoilt_file_is_refused(content, says, capsys, folder):
    _refused(capsys, content, folder, "file", says)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("people = 4", "people = " + "9" * 400, "household.people"),
        ("people = 4", "people = -0x7", "file"),
        ("people = 4", "people = 0x1F", "household.people = 31"),
        ("people = 4", "people = 2026-11-25T10:00:00Z", "household.people"),
        ("people = 4", "people = 10:30:00", "household.people"),
        ("people = 4", "people.a.b.c.d = 4", "household.people"),
        ("people = 4", "people" + ".a" * 2000 + " = 4", "nested too deep"),
        ("people = 4", "peopel = 4", "write 'people' if that is meant"),
        ("people = 4", "People = 4", "household.People"),
        ("people = 4", '"peo\\nple" = 4', "household.peo ple"),
        ("people = 4", '"peo\\u001b[2Jple" = 4', "household.peo"),
        ("people = 4", '"' + "k" * 200 + '" = 4', "household.kkk"),
        ("people = 4", '"" = 4', "household"),
        ("install_date = 2026-11-25", "install_date = 2026-11-25T10:30:00", "install_date"),
        ("install_date = 2026-11-25", "install_date = 10:30:00", "install_date"),
        ('zip_code = "55811"', 'zip_code = "00000"', "place.zip_code"),
        ('zip_code = "55811"', 'zip_code = "5581"', "place.zip_code"),
        ('zip_code = "55811"', 'zip_code = "SW1A 1AA"', "place.zip_code"),
        ('zip_code = "55811"', 'city = "Atlantis, MN"', "place.city"),
        ('zip_code = "55811"', 'city = "Springfield"', "place"),
        ('zip_code = "55811"', 'zip_code = ""', "place"),
        ('zip_code = "55811"', 'zip_code = "55811"\nstate = "ZZ"', "place.state"),
        ('fuels = ["natural_gas"]', 'fuels = ["propane"]', "failed.fuel"),
        ('candidate = "gas-tank-50"', 'candidate = "gas-tank-51"', "offers.1.candidate"),
        ('candidate = "gas-tank-50"', 'candidate = "oil-tank-32"', "offers.1.candidate"),
        ('size_in = "1"', 'size_in = "5/8"', "gas.segments = 'trunk'"),
        ('upstream = "source"', 'upstream = "street"', "gas.segments = 'trunk'"),
        ('name = "water heater"', 'name = "heater"', "gas.outlets"),
        ('segment = "trunk"\ninput', 'segment = "branch"\ninput', "water heater"),
        ("duration_min = 8", "duration_min = 8\ncount = 1\ntogether = 3", "uses.1.together"),
        ("size_gal = 50", 'size_gal = 50\nkind = "tankless"', "failed.size_gal"),
        ("people = 4", "people = 4\nset_point_f = 90\n[water]\nmeasured_cold_f = 95", "household.set_point_f"),
    ],
)
def test_what_only_the_whole_shows_is_refused(old, new, says, capsys, folder):
    assert TEXT.count(old) == 1
    _refused(capsys, TEXT.replace(old, new), folder, says)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("fhr_gal = 80", "", "heaters.1.fhr_gal"),
        ("input_btuh = 40000", "input_kw = 4.5", "heaters.1.input_btuh"),
        ('technology = "gas_storage_atmospheric"', 'technology = "electric_tankless"', "heaters.1.fuel"),
    ],
)
def test_a_label_that_cannot_be_read_is_told_and_the_rest_answered(old, new, says, capsys, folder):
    path = folder / "case.toml"
    path.write_text(TEXT.replace(old, new), encoding="utf-8")
    assert main(["case", "check", str(path)]) == 0
    assert says in capsys.readouterr().out


@pytest.mark.parametrize("line", ['branch_size_in = "half"', 'trunk_size_in = "1/2 in."', 'meter_class = "9"'])
def test_a_gas_line_that_cannot_be_is_told_by_its_key(line, capsys, folder):
    text, _, rest = TEXT.partition("[gas]\n")
    without_tree = f"{text}[gas]\n{line}\n\n[[uses]]{rest.partition('[[uses]]')[2]}"
    _refused(capsys, without_tree, folder, f"gas.{line.split()[0]} = ")


@pytest.mark.parametrize("command", [["compare"], ["case", "check"]])
def test_too_many_entries_are_refused(command, capsys, folder):
    path = folder / "case.toml"
    path.write_text(tomli_w.dumps(SOUND | {"uses": SOUND["uses"] * 41}), encoding="utf-8")
    assert main([*command, str(path)]) == BAD_INPUT
    out, err = capsys.readouterr()
    assert out == "" and err.startswith("advisor: uses") and err.count("\n") == 1


def test_the_starter_spoilt_line_by_line(capsys, folder):
    """Cutting the file off anywhere gives a case or a sentence."""
    lines = starter().splitlines()
    for count in range(0, len(lines), 7):
        path = folder / "case.toml"
        path.write_text("\n".join(lines[:count]), encoding="utf-8")
        code = main(["case", "check", str(path)])
        out, err = capsys.readouterr()
        assert (code, err.count("\n")) in {(0, 0), (BAD_INPUT, 1)}
        assert bool(out) == (code == 0)


@pytest.mark.parametrize("name", ["absent.toml", "absent", "", ".", "..", "a" * 300, "dir/absent.toml", "-x"])
def test_a_file_that_is_not_there(name, capsys):
    code = main(["compare", name])
    out, err = capsys.readouterr()
    assert code == BAD_INPUT and out == ""
    assert err.count("\n") == 1 and "should not have happened" not in err


def test_a_fresh_process_says_the_same(folder):
    path = folder / "case.toml"
    path.write_text(TEXT.replace("people = 4", "people = 40"), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "advisor", "compare", str(path)], capture_output=True, text=True, check=False
    )
    assert done.returncode == BAD_INPUT
    assert done.stdout == ""
    assert done.stderr == (
        "advisor: household.people = 40: this is outside the possible range; give a value from 1 to 20 people.\n"
    )


@pytest.mark.parametrize("technology", ["gas_tank", "x" * 5000, "heatpump", ""])
def test_a_word_beside_many_choices_is_refused_in_a_short_sentence(technology):
    spoilt = tomllib.loads(TEXT) | {
        "heaters": [{"title": "Mine", "technology": technology, "fuel": "natural_gas", "uef": 0.6}]
    }
    with pytest.raises(InputError) as refused:
        case_from(spoilt)
    assert len(str(refused.value)) <= 300
    assert "write one of 11, such as '" in refused.value.fix
