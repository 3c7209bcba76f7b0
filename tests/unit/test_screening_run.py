"""A file in, a folder out: every row in its place, the same bytes whatever the chunks, and nothing half written."""

import csv
import json
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.csv
import pyarrow.parquet
import pytest

from advisor.cli import main
from advisor.core.errors import InputError
from advisor.screening import records
from advisor.screening.output import DECISIONS, RECORD, REJECTS, Staged, staging_folder
from advisor.screening.record import Order, screen, verify
from tests.applicants import PROGRAMS, csv_file, rows

RULES = PROGRAMS / "quillmarsh.toml"
HEAD = "application_id,meter_id,uef,service_address\n"


def read(folder):
    """The decisions of a folder, as rows."""
    with (folder / DECISIONS).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def run(tmp_path, content, name="out", **how):
    """Screen a file's content."""
    path = tmp_path / "applicants.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    record = screen(Order(path, how.pop("rules", RULES), tmp_path / name, **how))
    return record, read(tmp_path / name)


@pytest.fixture
def applicants():
    """The ten worked ones."""
    return list(rows("quillmarsh").values())


def test_the_folder_holds_decisions_rejects_and_a_record_that_repeats(tmp_path, applicants):
    path = csv_file(tmp_path / "a.csv", applicants)
    record = screen(Order(path, RULES, tmp_path / "out"))
    assert {entry.name for entry in (tmp_path / "out").iterdir()} == {DECISIONS, REJECTS, RECORD}
    assert record == json.loads((tmp_path / "out" / RECORD).read_text())
    assert (record["rows_in"], record["rows_out"]) == (10, 10) and record["seconds"] > 0
    assert record["totals"]["paid_usd"] == 1930
    assert [row["row"] for row in read(tmp_path / "out")] == [str(number) for number in range(1, 11)]
    assert not staging_folder(tmp_path / "out").exists()
    assert verify(tmp_path / "out" / RECORD) == []


def test_what_has_changed_since_is_named(tmp_path, applicants):
    path = csv_file(tmp_path / "a.csv", applicants)
    screen(Order(path, RULES, tmp_path / "out"))
    csv_file(path, applicants[:9])
    assert verify(tmp_path / "out" / RECORD)[0] == "applicants"
    assert main(["screen", "--verify", str(tmp_path / "out" / RECORD)]) == 3


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("X,M1,0.95", "fields"),
        ("X,M1,0.95,a,b,c", "fields"),
        ('X,M1,0.95,"12 Oak Street', "quotation"),
        ('X,M1,0.95,12 "Oak" Street', "quotation"),
        ('X,M1,0.95,"12 Oak" Street', "quotation"),
        (b"X,M1,0.95,12 \xff Street", "bytes"),
        (b"\x00", "fields"),
    ],
)
def test_a_row_that_cannot_be_read_keeps_its_place_and_stands_among_the_rejects(tmp_path, line, reason):
    line = line if isinstance(line, bytes) else line.encode()
    content = HEAD.encode() + b"A,M7,0.95,1 Elm Road\n" + line + b"\nB,M9,0.95,2 Elm Road\n"
    record, found = run(tmp_path, content)
    assert [row["application_id"] for row in found] == ["A", "", "B"]
    assert [row["status"] for row in found] == ["read", "not read", "read"]
    assert (found[1]["decision"], found[1]["amount_usd"]) == ("hold", "0")
    assert record["totals"]["unread"] == 1
    with (tmp_path / "out" / REJECTS).open(encoding="utf-8", newline="") as stream:
        rejects = list(csv.DictReader(stream))
    assert [row["row"] for row in rejects] == ["2"] and reason in rejects[0]["reason"]


def test_line_ends_within_quotes_blank_lines_and_a_mark_in_front_are_no_rows_of_their_own(tmp_path):
    content = "\ufeff" + HEAD + 'A,M1,0.95,"12 Oak\nStreet, ""rear"""\r\n\n\r\nB,M2,0.95,3 Elm'
    _, found = run(tmp_path, content)
    assert [row["application_id"] for row in found] == ["A", "B"]


def test_any_chunks_and_one_or_two_processes_give_the_same_bytes(tmp_path, applicants):
    dirty = [row | {"application_id": f"{n}-{row['application_id']}"} for n in range(3) for row in applicants]
    dirty[4]["uef"], dirty[9]["service_address"] = "=1+1", '12 "Oak\nroad"'
    path = csv_file(tmp_path / "a.csv", dirty)
    with path.open("a", encoding="utf-8") as stream:
        stream.write('broken,"row\nshort,row\n')
    seen = set()
    for n, (chunk_rows, processes) in enumerate([(1, 1), (7, 1), (1000, 1), (5, 2)]):
        record = screen(Order(path, RULES, tmp_path / f"out{n}", chunk_rows=chunk_rows, processes=processes))
        assert record["rows_out"] == 32
        seen.add((record["outputs"][DECISIONS], record["outputs"][REJECTS], json.dumps(record["totals"])))
    assert len(seen) == 1


@pytest.mark.parametrize("seed", range(40))
def test_rows_end_where_they_end_whatever_the_blocks(tmp_path, monkeypatch, seed):
    """Letters that matter in any order: the same rows in blocks of 3 bytes as in one, and no byte in two rows."""
    random = np.random.default_rng(seed)
    content = bytes(random.choice(list(b'ab,,""\n\n\r'), size=int(random.integers(1, 300))).astype(np.uint8))
    path = tmp_path / "a.csv"
    path.write_bytes(content)
    monkeypatch.setattr(records, "MOST_LINES", 5)

    def found(block, chunk_rows=1):
        monkeypatch.setattr(records, "_BLOCK_BYTES", block)
        chunks = list(records.chunks_of(path, 0, ",", chunk_rows))
        return [(c.offset, c.length, c.n_rows, c.cut) for c in chunks]

    whole = found(1_000_000)
    assert found(3) == found(17) == whole
    ends = [offset + length for offset, length, _, _ in whole]
    assert [0, *ends[:-1]] == [offset for offset, _, _, _ in whole] or not whole
    assert sum(one[2] for one in found(11, 4)) == len(whole)


def test_duplicates_are_found_however_they_are_spelled_and_the_first_received_goes_first(tmp_path, applicants):
    first = applicants[0]
    assert first["meter_id"] == "G-500117"
    later = first | {"application_id": "again", "meter_id": "g 500117", "received_date": "2026-05-02"}
    path = csv_file(tmp_path / "a.csv", [later, *applicants[1:], first])
    screen(Order(path, RULES, tmp_path / "out", chunk_rows=3))
    found = read(tmp_path / "out")
    assert (found[0]["decision"], found[0]["hold_rules"]) == ("hold", "A-11")
    assert "row 11 of the file came first for the same meter" in found[0]["reasons"]
    assert found[10]["decision"] == "approve"


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("12 North Oak Street, Apt. 4", "12 N OAK ST #4", True),
        ("12 North Oak Street Unit 4", "12 n. oak st apt 4", True),
        ("7 Peña Avenue", "7 PENA AVE", True),
        ("7 O'Neil Ave", "7 ONEIL AVENUE", True),
        ("301 Second Street", "301 2nd St", True),
        ("12 Oak Street", "12 Oak Road", False),
        ("12 Oak Street", "21 Oak Street", False),
        ("12 Oak Street Apt 4", "12 Oak Street Apt 5", False),
    ],
)
def test_two_spellings_of_one_dwelling_are_one(tmp_path, one, other, same):
    applicant = rows("brindlewood")["B1"]
    pair = [
        applicant | {"service_address": one, "zip_code": "05401-1234"},
        applicant | {"service_address": other, "zip_code": "5401"},
    ]
    path = csv_file(tmp_path / "a.csv", pair)
    screen(Order(path, PROGRAMS / "brindlewood.toml", tmp_path / "out"))
    assert [row["decision"] for row in read(tmp_path / "out")] == ["approve", "hold" if same else "approve"]


def test_a_history_denies(tmp_path, applicants):
    history = csv_file(tmp_path / "h.csv", [{"meter_id": "g500117", "prior_rebate_date": "2019-01-01"}])
    path = csv_file(tmp_path / "a.csv", applicants[:2])
    screen(Order(path, RULES, tmp_path / "out", history=history))
    assert [row["deny_rules"] for row in read(tmp_path / "out")] == ["A-11", ""]


def test_a_mapping_names_headings_units_encoding_and_separator(tmp_path, applicants):
    path = tmp_path / "a.csv"
    text = "No;Input;uef;meter_id\n1;180;0.95;Ñ-1\n"
    path.write_bytes(text.encode("cp1252"))
    mapping = tmp_path / "m.toml"
    mapping.write_text(
        'encoding = "cp1252"\ndelimiter = ";"\n[columns]\napplication_id = "No"\ninput_btuh = "Input"\n'
        '[units]\ninput_btuh = "kBtu/h"\n'
    )
    screen(Order(path, RULES, tmp_path / "out", mapping=mapping))
    assert read(tmp_path / "out")[0]["application_id"] == "1"
    csv_file(tmp_path / "b.csv", [applicants[7] | {"input_btuh": "200"}])
    units = tmp_path / "u.toml"
    units.write_text('[units]\ninput_btuh = "kBtu/h"\n')
    screen(Order(tmp_path / "b.csv", RULES, tmp_path / "out2", mapping=units))
    assert "rated input 200000 Btu/h is not below" in read(tmp_path / "out2")[0]["reasons"]


def test_parquet_gives_what_csv_gives(tmp_path, applicants):
    path = csv_file(tmp_path / "a.csv", applicants)
    table = pa.csv.read_csv(path)
    pa.parquet.write_table(table, tmp_path / "a.parquet", row_group_size=4)
    for name in ("a.csv", "a.parquet"):
        screen(Order(tmp_path / name, RULES, tmp_path / name.replace(".", "-"), chunk_rows=3))
    assert (tmp_path / "a-csv" / DECISIONS).read_bytes() == (tmp_path / "a-parquet" / DECISIONS).read_bytes()


def test_no_cell_is_ever_run_as_a_formula(tmp_path, applicants):
    path = csv_file(tmp_path / "a.csv", [applicants[0] | {"application_id": "=HYPERLINK(1)"}])
    with path.open("a") as stream:
        stream.write("=cmd|' /C calc'!A0\n")
    screen(Order(path, RULES, tmp_path / "out"))
    for name in (DECISIONS, REJECTS):
        cells = [cell for row in csv.reader((tmp_path / "out" / name).open(newline="")) for cell in row]
        assert not [cell for cell in cells if cell.lstrip()[:1] in {"=", "+", "@"}]


def test_a_run_cut_short_goes_on_and_gives_the_same_bytes(tmp_path, applicants, monkeypatch):
    path = csv_file(tmp_path / "a.csv", applicants)
    whole = screen(Order(path, RULES, tmp_path / "whole", chunk_rows=2))
    add, calls = Staged.add, []

    def cut_short(staged, *part):
        if len(calls) == 3:
            raise KeyboardInterrupt
        calls.append(part)
        add(staged, *part)

    monkeypatch.setattr(Staged, "add", cut_short)
    with pytest.raises(KeyboardInterrupt):
        screen(Order(path, RULES, tmp_path / "out", chunk_rows=2))
    assert not (tmp_path / "out").exists()
    monkeypatch.setattr(Staged, "add", add)
    staged = staging_folder(tmp_path / "out")
    with (staged / DECISIONS).open("ab") as stream:
        stream.write(b"half a li")
    added = []
    monkeypatch.setattr(Staged, "add", lambda staged, *part: (added.append(1), add(staged, *part)))
    again = screen(Order(path, RULES, tmp_path / "out", chunk_rows=2, resume=True))
    assert len(added) == 2
    assert (again["outputs"], again["totals"]) == (whole["outputs"], whole["totals"])


def test_another_files_parts_are_not_taken_over(tmp_path, applicants):
    folder = staging_folder(tmp_path / "out")
    folder.mkdir()
    (folder / "parts.jsonl").write_text('{"job": "another"}\n{"files": {}}\n')
    (folder / DECISIONS).write_text("old")
    path = csv_file(tmp_path / "a.csv", applicants)
    screen(Order(path, RULES, tmp_path / "out", resume=True))
    assert len(read(tmp_path / "out")) == 10


def test_a_folder_with_other_files_keeps_them(tmp_path, applicants):
    path = csv_file(tmp_path / "a.csv", applicants)
    screen(Order(path, RULES, tmp_path))
    screen(Order(path, RULES, tmp_path))
    assert path.exists() and len(read(tmp_path)) == 10


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["screen"], "APPLICANTS: this is missing"),
        (
            ["screen", "none.csv", "--rules", str(RULES), "--out", "x"],
            "applicants = 'none.csv': this file cannot be read",
        ),
        (["screen", "none.csv", "--rules", "none.toml", "--out", "x"], "rules = 'none.toml'"),
        (["screen", "none.csv", "--rules", str(RULES)], "--out: this is missing"),
        (["screen", "--verify", "none.json"], "verify = 'none.json'"),
        (["rules", "check", "none.toml"], "rules = 'none.toml'"),
    ],
)
def test_what_is_wrong_is_one_sentence(arguments, says, capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert main(arguments) == 2
    said = capsys.readouterr().err
    assert says in said and said.count("\n") == 1


@pytest.mark.parametrize("content", [b"", b"\n\n", b"\xff\xfea\x00", b"a,b\n1,2\n", b"uef,uef\n1,2\n", b"PAR1garbage"])
def test_a_file_that_is_none_is_refused(tmp_path, content):
    with pytest.raises(InputError):
        run(tmp_path, content)
    assert not (tmp_path / "out").exists()


def test_a_file_without_rows_gives_headings(tmp_path):
    record, found = run(tmp_path, HEAD)
    assert (record["rows_in"], found) == (0, [])


def test_the_commands_run(tmp_path, capsys):
    assert main(["screen", "--demo", "--out", str(tmp_path / "out")]) == 0
    assert "To pay now $1,930" in capsys.readouterr().out
    assert main(["screen", "--verify", str(tmp_path / "out" / RECORD)]) == 0
    for name in ("quillmarsh", "brindlewood", "hollowmere"):
        assert main(["rules", "check", str(PROGRAMS / f"{name}.toml")]) == 0
        assert main(["rules", "explain", str(PROGRAMS / f"{name}.toml")]) == 0
    assert "at most 1 x (invoice) - other incentives" in capsys.readouterr().out
    assert main(["rules", "columns", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["properties"]["uef"]["minimum"] == 0.1
    case = Path(PROGRAMS).parent / "cases" / "cold-city-basement.toml"
    assert main(["screen", "--case", str(case)]) == 0
    assert "permit number  [A-09]" in capsys.readouterr().out
