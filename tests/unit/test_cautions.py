"""Cautions: this house's own before what always holds, and what can hurt someone first."""

from datetime import date

import pytest

from advisor.case.file import read_case
from advisor.comparison import compare
from advisor.core import paths
from advisor.core.findings import Severity
from advisor.core.tables import load
from advisor.house.cautions import always, caution, gravest_first, own_first
from advisor.report.as_json import comparison_dict
from advisor.report.text import comparison_text
from advisor.report.words import LOCALES, keys, say
from tests.houses import case_of

ROWS = {row["id"]: row for row in load("cautions").rows()}
TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def chimney():
    return compare(read_case(paths.CASES / "chimney-left-behind.toml"), today=TODAY)


@pytest.mark.parametrize("language", LOCALES)
def test_every_caution_has_its_words_and_no_words_are_left_over(language):
    worded = {key.removeprefix("caution.") for key in keys(language) if key.startswith("caution.")}
    topics = {f"of.{row['topic']}" for row in ROWS.values()}
    assert set(ROWS) <= worded <= set(ROWS) | topics


def test_a_list_begins_with_what_can_hurt_and_says_each_once():
    found = gravest_first(["tankless_flow", "leak", "scald", "leak", "licensed_work"])
    assert [one.code for one in found] == ["caution.scald", "caution.leak", "caution.tankless_flow"]
    assert found[0].severity is Severity.CARE and found[-1].severity is Severity.NOTE


def test_what_is_a_houses_own_stands_apart_from_what_holds_in_most():
    """Hot water scalds anywhere; a garage or an earthquake is some houses' own."""
    own, others = own_first(["scald", "earthquake", "draft_test", "power_cut", "garage", "relief_valve", "gas_smell"])
    assert [one.code for one in own] == ["caution.garage", "caution.draft_test", "caution.earthquake"]
    assert [one.code for one in others] == ["caution.scald", "caution.relief_valve", "caution.of.electric"]
    for name in ROWS:
        own, others = own_first([name])
        assert len(own) + len(others) == (ROWS[name]["raised_by"] != "always")


def test_a_list_says_which_heaters_it_speaks_of():
    (found,) = gravest_first(["heat_pump_drain"])
    assert say(found).startswith("Heat pump heaters: It drips condensate")
    assert say(found, language="es").startswith("Bombas de calor: Gotea")
    assert say(caution("heat_pump_drain")).startswith("It drips condensate")


def test_the_picks_own_come_first_and_what_always_holds_last(chimney):
    own = [one.code for one in gravest_first(chimney.recommended.house.cautions)]
    told = [one.code for one in chimney.cautions]
    assert told[: len(own)] == own and "caution.gas_smell" not in told
    raised = {name for candidate in chimney.candidates for name in candidate.house.cautions}
    codes = {dict(one.numbers).get("caution", one).code for one in chimney.cautions}
    assert {f"caution.{name}" for name in raised if ROWS[name]["raised_by"] != "always"} <= codes
    printed = comparison_dict(chimney)["cautions"]
    assert printed == [say(one) for one in (*chimney.cautions, *always())] and len(set(printed)) == len(printed)


def test_the_report_prints_this_houses_own_in_full_and_folds_the_common_ones(chimney):
    printed = " ".join(comparison_text(chimney).split())
    hurts = [one for one in always() if one.severity is Severity.CARE]
    assert all(say(one) in printed for one in (*chimney.cautions, *hurts))
    assert f"and {len(always()) - len(hurts)} more that always apply" in printed
    assert say(caution("as_typed")) not in printed


def test_a_promised_rebate_raises_its_own():
    promised = {"rebates": [{"candidate": "heat-pump-50", "rebate_usd": 500}]}
    for changes, is_told in (({}, False), (promised, True)):
        codes = {one.code for one in compare(case_of(changes), today=TODAY).cautions}
        assert ("caution.rules_change" in codes) == is_told
