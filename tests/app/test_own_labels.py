"""A label that takes long on the bench keeps nobody waiting: the hand method answers, the bench follows."""

import threading
import time

import pytest

from advisor.bench.calibration import retest
from advisor.case.file import case_from
from advisor.core.errors import InputError
from advisor.report.words import say
from advisor.web import fitting
from tests.app.test_first_visit import ENTRY, AppTest, captions
from tests.hostile import HOUSE


@pytest.fixture
def slow(monkeypatch):
    """Labels that are fitted once the event is set."""
    release = threading.Event()

    def fit(heater):
        assert release.wait(60)
        return retest(heater)

    monkeypatch.setattr(fitting, "retest", fit)
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
    assert app.session_state["session"].compared[2].is_by_hand
    slow.set()
    late = time.monotonic() + 60
    while not fitting.are_fitted(case_from(HOUSE)) and time.monotonic() < late:
        time.sleep(0.05)
    app.run()
    assert say("frame.labels") not in captions(app)
    assert not app.session_state["session"].compared[2].is_by_hand


def test_a_case_without_labels_waits_for_none(slow):
    assert fitting.are_fitted(case_from({key: HOUSE[key] for key in ("place", "household", "failed", "house")}), 0.0)


def test_a_label_that_lacks_a_number_is_refused_as_ever(slow):
    poor = {key: value for key, value in HOUSE["heaters"][0].items() if key != "fhr_gal"}
    with pytest.raises(InputError, match="heaters.1"):
        fitting.are_fitted(case_from({**HOUSE, "heaters": [poor]}), 0.0)
