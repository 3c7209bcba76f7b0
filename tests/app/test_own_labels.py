"""A label that takes long on the bench keeps nobody waiting: the hand method answers, the bench follows."""

import threading
import time

import pytest

from advisor.bench.calibration import possible_internals
from advisor.case.file import case_from
from advisor.heaters.candidates import own_heaters
from advisor.report.words import say
from advisor.web import fitting
from tests.app.test_first_visit import ENTRY, AppTest, captions
from tests.hostile import HOUSE
from tests.houses import said


@pytest.fixture
def slow(monkeypatch):
    """Labels that are fitted once the event is set."""
    release = threading.Event()

    def fit(heater):
        assert release.wait(60)
        return possible_internals(heater)

    monkeypatch.setattr(fitting, "possible_internals", fit)
    monkeypatch.setattr(fitting, "PATIENCE_S", 0.05)
    fitting._fit.cache_clear()
    yield release
    release.set()
    fitting._fit.cache_clear()


def test_the_hand_method_answers_while_a_label_is_tried(slow):
    app = AppTest.from_file(str(ENTRY), default_timeout=60).run()
    app.session_state["session"].given = HOUSE
    app.run()
    assert say("frame.labels") in captions(app)
    assert app.session_state["session"].compared[2]().is_by_hand
    slow.set()
    late = time.monotonic() + 60
    while not fitting.are_fitted(case_from(HOUSE)) and time.monotonic() < late:
        time.sleep(0.05)
    app.run()
    assert say("frame.labels") not in captions(app)
    assert not app.session_state["session"].compared[2]().is_by_hand


def test_a_case_without_labels_waits_for_none(slow):
    assert fitting.are_fitted(case_from({key: HOUSE[key] for key in ("place", "household", "failed", "house")}), 0.0)


def test_a_label_that_lacks_a_number_is_waited_for_by_nobody(slow):
    """It is told with its key and not compared, so the bench has nothing to find."""
    poor = {key: value for key, value in HOUSE["heaters"][0].items() if key != "fhr_gal"}
    case = case_from({**HOUSE, "heaters": [poor]})
    assert fitting.are_fitted(case, 0.0)
    own, (unread,) = own_heaters(case)
    assert own == [] and "heaters.1.fhr_gal" in said(unread)
