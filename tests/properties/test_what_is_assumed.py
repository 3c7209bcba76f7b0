"""What is taken for granted is told under the key that changes it: given as it was assumed, nothing else moves."""

import pytest

from advisor.case.file import case_from, read_case
from advisor.comparison import compare
from advisor.core import paths
from tests.regression.outcomes import TODAY

HOUSES = ("warm-city-small-household", "hard-water-recirculation", "oil-house", "propane-at-altitude", "full-panel")
#: What nobody has looked at may be there: its work is counted with its chance, and in full once it is said not to be.
SPARED = {"electrical.has_240_v_circuit", "electrical.has_receptacle", "vent.is_shared"}


def _told(candidate):
    return {(one.field, one.value) for one in candidate.house.assumed}


def _jobs(candidate):
    return [(one.job, one.quantity) for trade in candidate.house.trades for one in trade.items]


def _by_heater(case):
    found = compare(case, today=TODAY, by_hand=True)
    return {(one.heater.id, one.heater.n_units): one for one in found.candidates}


@pytest.mark.parametrize("house", HOUSES)
def test_what_is_assumed_may_be_given_and_nothing_else_moves(house):
    given = read_case(paths.CASES / f"{house}.toml").model_dump(mode="python", exclude_unset=True, exclude_none=True)
    before = _by_heater(case_from(given))
    tried = 0
    for field, value in sorted({one for candidate in before.values() for one in _told(candidate)}, key=str):
        section, _, key = field.partition(".")
        if value is None or not key or "." in key:
            continue  # a heater's own label, a run of a list, or what is no single value
        after = _by_heater(case_from({**given, section: {**given.get(section, {}), key: value}}))
        for heater, one in before.items():
            if (field, value) not in _told(one):
                continue
            other, tried = after[heater], tried + 1
            assert field not in {name for name, _ in _told(other)}, (field, heater)
            if _told(other) != {(name, what) for name, what in _told(one) if name != field}:
                continue  # it answers another question too, or asks one: that is told as well
            assert (other.house.verdict, _jobs(other)) == (one.house.verdict, _jobs(one)), (field, heater)
            if field in SPARED:
                assert other.money.point_usd >= one.money.point_usd, (field, heater)
            else:
                assert other.money.point_usd == pytest.approx(one.money.point_usd, abs=1), (field, heater)
    assert tried > 100
