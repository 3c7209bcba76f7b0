"""Spreads that have no width, and one candidate that is like another: an answer all the same, on every way out."""

import json

import pytest

from advisor.case.file import case_from
from advisor.comparison import Comparison, compare
from advisor.report.as_json import comparison_dict, money_dict
from advisor.report.money_text import money_text
from advisor.report.text import comparison_text
from tests.unit.test_results import FOUR, TODAY


def told(**changes) -> Comparison:
    found = compare(case_from(FOUR | changes), today=TODAY)
    assert found.advice.pick is not None
    assert comparison_text(found) and money_text(found)
    assert json.dumps([comparison_dict(found), money_dict(found)], allow_nan=False)
    return found


@pytest.fixture(scope="module")
def usual():
    return told()


def quoted(ids, usd):
    return [{"candidate": heater_id, "total_usd": usd} for heater_id in ids]


@pytest.mark.parametrize("usd", [0, 2500])
def test_the_pick_and_its_rival_are_quoted_the_same(usual, usd):
    rival = usual.advice.rival
    told(offers=quoted([usual.recommended_id, rival.heater.id], usd))


@pytest.mark.parametrize("usd", [0, 2500])
def test_everything_is_quoted_the_same(usual, usd):
    found = told(offers=quoted([one.heater.id for one in usual.candidates], usd))
    assert all(one.money.installed_usd.p10 == one.money.installed_usd.p90 == usd for one in found.candidates)


@pytest.mark.parametrize("quotes", [(), 2500])
def test_nobody_looks_after_the_heater(usual, quotes):
    some = quoted([one.heater.id for one in usual.candidates], quotes) if quotes else ()
    found = told(economics={"is_looked_after": False}, offers=some)
    assert all(
        (one.costs.upkeep.range_usd_per_yr[0] == one.costs.upkeep.range_usd_per_yr[2]) for one in found.candidates
    )


@pytest.mark.parametrize("years", [1, 24, 25, 40])
@pytest.mark.parametrize("course", ["outlook", "flat", "rise"])
def test_every_study_has_an_answer(years, course):
    """Beyond the last year of the outlook its courses can be told as well."""
    found = told(economics={"study_yr": years, "price_course": course})
    assert found.money.market.index_frac.shape[1] == years
