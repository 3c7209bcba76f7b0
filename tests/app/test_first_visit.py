"""The app on a machine that has compiled nothing: an answer by hand, which the bench takes the place of."""

import gc
from datetime import date
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from advisor.bench import machine_code
from advisor.report.words import say
from advisor.web import preparing, session, state

ENTRY = Path(__file__).resolve().parents[2] / "advisor" / "web" / "main.py"


@pytest.fixture
def unprepared(monkeypatch):
    """A machine on which the bench is not ready; how often it was asked to be."""
    begun = []
    monkeypatch.setattr(machine_code, "is_ready", lambda: False)
    monkeypatch.setattr(preparing, "begin", lambda: begun.append(date.today()))
    monkeypatch.setattr(preparing, "_troubles", [])
    return begun


def captions(app):
    assert not app.exception
    return [item.value for item in app.caption]


def test_the_hand_method_answers_until_the_bench_is_ready(unprepared, monkeypatch):
    app = AppTest.from_file(str(ENTRY), default_timeout=60).run()
    assert say("frame.by_hand") in captions(app) and unprepared
    by_hand = app.session_state["session"].compared[2]()
    assert by_hand.is_by_hand
    app.run()
    assert app.session_state["session"].compared[2]() is by_hand
    monkeypatch.setattr(machine_code, "is_ready", lambda: True)
    app.run()
    assert say("frame.by_hand") not in captions(app)
    assert not app.session_state["session"].compared[2]().is_by_hand


def test_an_answer_that_is_no_longer_kept_is_worked_out_again(monkeypatch):
    held = AppTest.from_file(str(ENTRY), default_timeout=60).run().session_state["session"]
    state._compared.cache_clear()
    gc.collect()
    assert held.compared[2]() is None
    monkeypatch.setattr(session, "current", lambda: held)
    assert state.can_bench()
    assert state.comparison() is held.compared[2]()


def test_a_machine_that_cannot_compile_says_so(unprepared):
    preparing._troubles.append("The bench cannot be compiled on this machine (no numba).")
    app = AppTest.from_file(str(ENTRY), default_timeout=60).run()
    assert any("(no numba)" in caption for caption in captions(app))


def test_it_is_compiled_once_and_its_trouble_is_remembered(monkeypatch):
    def prepare(*, gently):
        assert gently
        raise machine_code.NoBenchError("ImportError: no numba")

    monkeypatch.setattr(machine_code, "prepare", prepare)
    monkeypatch.setattr(preparing, "_troubles", [])
    threads = []
    monkeypatch.setattr(preparing.threading, "Thread", lambda target, daemon: threads.append(target) or Ready())
    preparing.begin.cache_clear()
    preparing.begin()
    preparing.begin()
    preparing.begin.cache_clear()
    assert len(threads) == 1
    threads[0]()
    assert len(preparing._troubles) == 1 and "no numba" in preparing._troubles[0]


class Ready:
    """A thread that is never run."""

    def start(self):
        """Nothing."""


def test_the_demo_comparison_is_the_bench_s_here():
    assert not state.demo_comparison().is_by_hand
