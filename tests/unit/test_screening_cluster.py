"""A cluster of two worker processes gives the bytes that one machine gives, by the same function."""

import pyarrow as pa
import pyarrow.csv
import pyarrow.parquet
import pytest

from advisor.cli import main
from advisor.screening.output import DECISIONS, REJECTS
from advisor.screening.record import Order, screen, verify
from tests.applicants import PROGRAMS, csv_file, rows
from tests.speed.dirty_applicants import write

RULES = PROGRAMS / "quillmarsh.toml"


@pytest.fixture(scope="module")
def address():
    """A scheduler and two worker processes on this machine."""
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, host="127.0.0.1", dashboard_address=None) as local:
        yield local.scheduler_address


def test_the_cluster_gives_the_same_bytes_duplicates_and_history_included(tmp_path, address):
    path = tmp_path / "a.csv"
    write(3000, path)
    meters = [{"meter_id": f"g{number:08}", "prior_rebate_date": "2020-01-01"} for number in range(100, 130)]
    history = csv_file(tmp_path / "h.csv", meters)
    here = screen(Order(path, RULES, tmp_path / "here", history))
    there = screen(Order(path, RULES, tmp_path / "there", history, chunk_rows=700, scheduler=address))
    assert (there["engine"], there["outputs"], there["totals"]) == ("dask", here["outputs"], here["totals"])
    for name in (DECISIONS, REJECTS):
        assert (tmp_path / "here" / name).read_bytes() == (tmp_path / "there" / name).read_bytes()
    assert b"came first for the same meter" in (tmp_path / "here" / DECISIONS).read_bytes()
    assert b"a rebate for the same meter on 2020-01-01" in (tmp_path / "here" / DECISIONS).read_bytes()
    assert verify(tmp_path / "there" / "record.json") == []


def test_parquet_folders_go_in_and_come_out(tmp_path, address):
    table = pa.csv.read_csv(csv_file(tmp_path / "a.csv", rows("brindlewood").values()))
    folder = tmp_path / "in"
    folder.mkdir()
    for number, begin in enumerate((0, 4, 7)):
        pa.parquet.write_table(table.slice(begin, (4, 3, 3)[number]), folder / f"{number}.parquet")
    rule_set = PROGRAMS / "brindlewood.toml"
    arguments = ["screen", str(folder), "--rules", str(rule_set), "--out", str(tmp_path / "out"), "--parquet"]
    assert main([*arguments, "--scheduler", address, "--chunk-rows", "2"]) == 0
    screen(Order(tmp_path / "a.csv", rule_set, tmp_path / "plain"))
    assert (tmp_path / "out" / DECISIONS).read_bytes() == (tmp_path / "plain" / DECISIONS).read_bytes()
    decisions = pa.parquet.read_table(tmp_path / "out" / "decisions.parquet")
    assert decisions["row"].to_pylist() == list(range(1, 11))
    assert decisions["decision"].to_pylist().count("deny") == 3


def test_nobody_there_is_one_sentence(tmp_path, monkeypatch, capsys):
    pytest.importorskip("distributed")
    monkeypatch.setattr("advisor.screening.cluster._WAIT_S", 1)
    path = csv_file(tmp_path / "a.csv", rows("quillmarsh").values())
    arguments = ["screen", str(path), "--rules", str(RULES), "--out", str(tmp_path / "out")]
    assert main([*arguments, "--scheduler", "tcp://127.0.0.1:9"]) == 2
    assert "no cluster answers there" in capsys.readouterr().err
