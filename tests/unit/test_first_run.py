"""On a machine that has compiled nothing the hand method answers at once, and says so; the bench follows."""

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

import advisor
from advisor.bench import code_store, machine_code
from advisor.case.file import read_case
from advisor.cli import BAD_INPUT, DONE, build_parser, main
from advisor.comparison import compare
from advisor.core import paths
from advisor.heaters.hand_sizing import hand_method

PART = "instantaneous"
WAIT_S = 300


@pytest.fixture
def run(capsys):
    def _run(*arguments):
        code = main(arguments)
        out, err = capsys.readouterr()
        return code, out, err

    return _run


@pytest.fixture
def unprepared(monkeypatch):
    """A machine on which the bench is not ready, until it is prepared; what is asked of it is written down."""
    asked = []

    def prepare():
        asked.append("wait")
        monkeypatch.setattr(machine_code, "is_ready", lambda: True)

    def prepare_in_background():
        asked.append("background")
        return machine_code.PREPARING

    monkeypatch.setattr(machine_code, "is_ready", lambda: False)
    monkeypatch.setattr(machine_code, "prepare", prepare)
    monkeypatch.setattr(machine_code, "prepare_in_background", prepare_in_background)
    return asked


def test_the_hand_method_answers_without_the_bench(monkeypatch):
    monkeypatch.setattr(machine_code, "run", None)  # the bench would stop here
    comparison = compare(read_case(paths.CASES / "oil-house.toml"), by_hand=True)
    assert comparison.is_by_hand
    for candidate in comparison.candidates:
        assert candidate.capacity == hand_method(candidate.heater, comparison.circumstances)


def test_compare_answers_by_hand_and_says_so_last(run, unprepared):
    code, out, err = run("compare", "oil-house")
    assert (code, err, unprepared) == (DONE, "", ["background"])
    *answer, blank, last = out.splitlines()
    assert blank == "" and last.startswith("Whether each keeps up is by the hand method so far")
    assert "run again" in last
    assert "On the bench" not in out and "the hand method alone" in out


def test_json_says_which_method_each_verdict_rests_on(run, unprepared):
    code, out, err = run("compare", "oil-house", "--json")
    assert code == DONE and err.strip().count("\n") == 0 and "hand method so far" in err
    capacities = [candidate["capacity"] for candidate in json.loads(out)["candidates"]]
    assert all(one["bench"] is None and one["analytic_verdict"] is None for one in capacities)
    machine_code.prepare()
    code, out, err = run("compare", "oil-house", "--json")
    capacities = [candidate["capacity"] for candidate in json.loads(out)["candidates"]]
    assert err == "" and all(one["bench"] and one["analytic_verdict"] for one in capacities)


@pytest.mark.parametrize("arguments", [("compare", "--wait"), ("bench",), ("money",), ("commission",)], ids=" ".join)
def test_who_needs_the_bench_waits_for_it(run, unprepared, monkeypatch, arguments):
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    code, out, err = run(*arguments)
    assert (code, unprepared) == (DONE, ["wait"])
    assert err.count("\n") == 1 and "first time" in err
    assert "hand method so far" not in out


def test_nobody_is_told_where_nobody_watches(run, unprepared):
    assert run("compare", "--wait")[2] == ""
    assert run("compare", "--wait")[2] == "" and unprepared == ["wait"]


def test_prices_need_no_bench(run, unprepared):
    before = run("prices")
    machine_code.prepare()
    assert run("prices") == before and before[0] == DONE and unprepared == ["wait"]


def test_where_it_cannot_be_kept_one_sentence_says_so(run, unprepared, monkeypatch, tmp_path):
    (tmp_path / "file").write_bytes(b"")
    monkeypatch.setenv(code_store.FOLDER_VARIABLE, str(tmp_path / "file"))
    monkeypatch.setattr(machine_code, "prepare_in_background", lambda: machine_code.UNKEPT)
    code, out, err = run("compare")
    assert (code, err) == (DONE, "") and "cannot be kept on this machine" in out.splitlines()[-1]
    code, out, err = run("compare", "--wait")
    assert code == DONE and err.count("\n") == 1 and "in every run" in err


def test_where_it_cannot_be_compiled_the_hand_method_still_answers(run, unprepared, monkeypatch):
    def prepare():
        raise machine_code.NoBenchError("Traceback\nImportError: no numba")

    monkeypatch.setattr(machine_code, "prepare", prepare)
    monkeypatch.setattr(machine_code, "prepare_in_background", lambda: machine_code.FAILED)
    monkeypatch.setattr(code_store, "failure", lambda: "ImportError: no numba")
    code, out, err = run("compare", "--wait")
    assert (code, out) == (BAD_INPUT, "")
    assert err.count("\n") == 1 and "(ImportError: no numba)" in err and "by the hand method" in err
    code, out, err = run("compare")
    assert code == DONE and "(ImportError: no numba)" in out.splitlines()[-1]


def test_help_says_what_waiting_is(capsys):
    with pytest.raises(SystemExit):
        build_parser().parse_args(["compare", "--help"])
    assert "--wait" in capsys.readouterr().out


def test_a_first_run_has_the_bench_compiled_behind_it(tmp_path, monkeypatch):
    """One part is missing: the answer is by hand, the part is compiled after it, and the next answer is the bench's.

    Whoever asks works in a folder with another ``advisor`` in it, as somebody does who installed it from a checkout.
    """
    code = code_store.kept("storage")
    monkeypatch.setenv(code_store.FOLDER_VARIABLE, str(tmp_path / "code"))
    code_store.keep("storage", code)
    (tmp_path / "advisor").mkdir()
    (tmp_path / "advisor" / "__init__.py").write_text("raise RuntimeError('another one')", encoding="utf-8")

    def answer():
        environment = {**os.environ, "PYTHONPATH": str(Path(advisor.__file__).resolve().parents[1])}
        command = [sys.executable, "-P", "-m", "advisor", "compare", "oil-house"]
        said = {"capture_output": True, "text": True, "encoding": "utf-8"}
        done = subprocess.run(command, env=environment, cwd=tmp_path, check=True, **said)
        assert done.stderr == ""
        return done.stdout

    assert "so far" in answer().splitlines()[-1]
    waited_until = time.monotonic() + WAIT_S
    while code_store.kept(PART) is None and time.monotonic() < waited_until:
        time.sleep(0.2)
    assert "On the bench" in answer()
