"""Numbers of a rule set moved over a whole file, and what ``rules check`` finds."""

import json

import pytest

from advisor.cli import main
from advisor.core.errors import InputError
from advisor.screening.checking import check
from advisor.screening.record import Order
from advisor.screening.rules import parse_rules
from advisor.screening.what_if import moved, what_if
from tests.applicants import PROGRAMS, rules

QUILLMARSH = (PROGRAMS / "quillmarsh.toml").read_bytes()
DEMO = Order(PROGRAMS / "quillmarsh.csv", PROGRAMS / "quillmarsh.toml", PROGRAMS)


def test_a_lower_floor_turns_one_denial_and_costs_its_line():
    found = what_if(DEMO, ["measures.M1.uef.high=0.83"])
    assert found["turned"] == [{"from": "deny", "to": "approve", "count": 1}]
    assert found["becomes"]["paid_usd"] - found["was"]["paid_usd"] == 300
    assert found["becomes"]["saved"]["saved_therm_per_yr"] > found["was"]["saved"]["saved_therm_per_yr"]


def test_a_cap_an_adder_a_deadline_and_the_budget_move():
    """By hand: 60 % of 850 is 510; twice 600 is 1,200 held to 680; day 91 is let in for 600; 1,580 are spent first."""
    assert what_if(DEMO, ["amount.A-13.cap_frac=0.6"])["becomes"]["paid_usd"] == 1930 - 680 + 510
    assert what_if(DEMO, ["amount.A-12.multiply=2"])["becomes"]["paid_usd"] == 1930
    assert what_if(DEMO, ["rules.A-04.received_date.within_days=91"])["becomes"]["paid_usd"] == 2530
    assert what_if(DEMO, ["budget_usd=1800"])["becomes"]["budget"]["runs_out_on"] == "2026-05-03"


NO_MOVES = ["measures.M9.usd=3", "measures.M1.usd", "a=b", "measures.M1.usd=-4", "title=3", "rules=1", "a=inf"]


@pytest.mark.parametrize("move", NO_MOVES)
def test_a_move_that_is_none_is_refused(move):
    with pytest.raises(InputError):
        moved(QUILLMARSH, [move])


def test_the_command_prints_both(capsys):
    arguments = ["screen", "--demo", "--what-if", "measures.M1.usd=400", "--what-if", "budget_usd=1000"]
    assert main(arguments) == 0
    assert "1,930         2,030          +100" in capsys.readouterr().out
    assert main([*arguments, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["becomes"]["measures"]["M1"]["usd"] == 400


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("less_than = 200000", "less_than = 40000", "never"),
        ('{ field = "uef", at_least = 0.95 }', '{ field = "uef", at_least = 7 }', "never"),
        ('field = "existing_fuel", one_of = ["natural_gas"]', 'field = "new_fuel", one_of = ["propane"]', "never_with"),
        ("at_least = 0.87, less_than = 0.95", "at_least = 0.87", "both"),
        ("valid_to = 2026-12-31", "valid_to = 2025-12-31", "no_days"),
        ('id = "M2b"', 'id = "M1"', "twice"),
        (
            'when = { field = "rate_class", one_of = ["R2"] }\n\n[[amount]]',
            '\n[[amount]]\nid = "A-12"\ntitle = "again"\nmultiply = 2\n\n[[amount]]',
            "unreachable",
        ),
        ('add = "measure"', "multiply = 2", "pays_nothing"),
        ('source = "page 4"\ntest', 'source = "page 4"\nvalid_from = 2026-03-01\ntest', "gap"),
        ('source = "page 4"\ntest', 'source = "page 4"\nvalid_from = 2028-03-01\ntest', "outside"),
        ('field = "is_new_construction", is = false', 'field = "existing_fuel", one_of = ["natural_gas"]', "same"),
    ],
)
def test_a_fault_of_a_rule_set_is_found(old, new, code):
    assert f"screening.check.{code}" in {one.code for one in check(rules("quillmarsh", (old, new)))}


def test_two_versions_of_a_rule_overlap():
    later = ("valid_from = 2026-07-01\nvalid_to = 2027-06-30", "valid_from = 2026-06-01\nvalid_to = 2027-06-30")
    assert [one.code for one in check(rules("hollowmere", later))] == ["screening.check.overlap"]


def test_the_shipped_rule_sets_have_no_fault():
    assert not [one for name in ("quillmarsh", "brindlewood", "hollowmere") for one in check(rules(name))]
    assert parse_rules(QUILLMARSH).shared() == ("meter",)
