"""Edges of the rules: what equals a limit, last days, leap days, what is missing, and what cannot be compared."""

import numpy as np
import pytest

from advisor.core.errors import InputError
from advisor.screening.applicants import NO_DAY
from advisor.screening.of_program import Others, years_after
from advisor.screening.tiers import in_order, tier_names
from tests.applicants import decided, frame, one, rows, rules


@pytest.mark.parametrize(
    ("application", "changed", "decision", "says"),
    [
        ("A8", {"input_btuh": "199999"}, "approve", ""),
        ("A8", {"input_btuh": "200000"}, "deny", "200000 Btu/h is not below 200,000 Btu/h (A-06)"),
        ("A6", {"rated_volume_gal": "55.0"}, "approve", ""),
        ("A6", {"rated_volume_gal": "55.1"}, "deny", "rated volume 55.1 gal is above 55 gal (A-06)"),
        ("A6", {"uef": "0.809"}, "deny", "0.809 is below 0.81, the floor for a medium draw pattern (A-06)"),
        ("A6", {"first_hour_gal": "75"}, "deny", "0.81 is below 0.86, the floor for a high draw pattern (A-06)"),
        ("A6", {"first_hour_gal": "50.9"}, "deny", "draw pattern low has no line here (A-06)"),
        ("A1", {"install_date": "2026-12-31", "received_date": "2027-01-31"}, "approve", ""),
        ("A1", {"install_date": "2026-12-31", "received_date": "2027-02-01"}, "deny", "(A-04)"),
        ("A1", {"install_date": "2027-01-01", "received_date": "2027-01-31"}, "deny", "(A-03)"),
        ("A1", {"received_date": "2026-03-09"}, "deny", "day received is before day of installation (A-04)"),
        ("A2", {"received_date": "2026-05-03T23:59"}, "approve", ""),
        ("A2", {"received_date": "2026-05-04 00:00"}, "deny", "91 days"),
        ("A2", {"received_date": "5/3/2026"}, "approve", ""),
        ("A2", {"received_date": "2026-02-30"}, "hold", "day received '2026-02-30' is not a day (A-04)"),
        ("A1", {"uef": ""}, "hold", "uniform energy factor is not given (A-06)"),
        ("A1", {"uef": "", "ef": "0.99"}, "hold", "an energy factor of the former test cannot stand for it (A-06)"),
        ("A1", {"uef": "95"}, "hold", "uniform energy factor '95' is not a number that can be (A-06)"),
        ("A1", {"invoice_usd": ""}, "hold", "invoice is not given (A-13)"),
        ("A1", {"other_incentives_usd": ""}, "hold", "other incentives is not given (A-13)"),
        ("A1", {"other_incentives_usd": "4300"}, "deny", "nothing is left to pay (A-13)"),
        ("A1", {"self_installed": "maybe"}, "hold", "'maybe' is neither yes nor no (A-08)"),
        ("A1", {"meter_id": ""}, "hold", "nothing tells which meter it is (A-11)"),
        ("A10", {"prior_rebate_date": "soon"}, "deny", "day of an earlier rebate 'soon' is not a day (A-11)"),
        ("A5", {"draw_pattern": "medium"}, "hold", "draw pattern is another than the rating selects (A-06)"),
        ("B2", {"ami_percent": "80.1"}, "approve", ""),
        ("B9", {"first_hour_gal": ""}, "deny", "first-hour rating is not given (B-04)"),
    ],
)
def test_an_edge(application, changed, decision, says):
    found = one("quillmarsh" if application[0] == "A" else "brindlewood", application, **changed)
    assert (found["decision"], says in found["reasons"]) == (decision, True), found["reasons"]


def test_income_exactly_at_a_tier_is_in_it():
    """800 for gas, 500 of wiring at most, and 600 to 80 %, 250 to 120 %; the wiring counts 1,200 / 2, at most 500."""
    paid = [one("brindlewood", "B2", ami_percent=ami)["amount_usd"] for ami in ("80", "80.1", "120", "120.1")]
    assert paid == [1900, 1550, 1550, 1300]


def test_without_proof_an_income_adds_nothing():
    assert one("brindlewood", "B2", income_proof="no")["amount_usd"] == 1300
    found = one("brindlewood", "B2", income_proof="")
    assert found["amount_usd"] == 1300
    assert "proof of income is not given" in found["notes"]


def test_amounts_are_rounded_down_after_every_limit():
    assert one("quillmarsh", "A4", invoice_usd="1050.99")["amount_usd"] == 680
    assert one("quillmarsh", "A4", invoice_usd="1049.99")["amount_usd"] == 679


@pytest.mark.parametrize(
    ("day", "years", "after"),
    [
        ("2016-02-29", 10, "2026-02-28"),
        ("2016-02-29", 4, "2020-02-29"),
        ("2017-06-15", 10, "2027-06-15"),
        ("2026-08-31", 0.5, "2027-02-28"),
    ],
)
def test_years_go_by_the_calendar(day, years, after):
    assert str(years_after(np.array([day], dtype="datetime64[D]"), years)[0]) == after


def test_ten_years_to_the_day_are_enough():
    last = {"prior_rebate_date": "2016-03-10", "install_date": "2026-03-10"}
    assert one("quillmarsh", "A1", **last)["decision"] == "approve"
    assert one("quillmarsh", "A1", **last | {"prior_rebate_date": "2016-03-11"})["deny_rules"] == "A-11"


def known(**changed):
    """What is known of others for one row."""
    day = np.array([NO_DAY])
    others = Others(np.array([True]), day, np.array([-1]), day)
    return {"meter": others._replace(**{name: np.array([value]) for name, value in changed.items()})}


def test_a_rebate_in_the_history_denies_and_an_earlier_application_in_the_file_holds():
    rule_set, applicant = rules("quillmarsh"), rows("quillmarsh")["A1"]
    paid = decided(rule_set, applicant, others=known(paid_on=np.datetime64("2020-01-01")))[0]
    assert (paid["decision"], paid["reasons"]) == ("deny", "a rebate for the same meter on 2020-01-01 (A-11)")
    before = known(earlier_row=3, earlier_on=np.datetime64("2026-01-05"))
    waits = decided(rule_set, applicant, others=before)[0]
    assert (waits["decision"], waits["hold_rules"]) == ("hold", "A-11")
    assert "row 3" in waits["reasons"]
    long_ago = known(earlier_row=3, earlier_on=np.datetime64("2015-01-05"))
    assert decided(rule_set, applicant, others=long_ago)[0]["decision"] == "approve"


def test_a_state_program_by_income_with_a_reservation_and_a_balance_is_data_alone():
    asked = {
        "application_id": "H1",
        "reservation_id": "R-1",
        "reservation_date": "2026-02-01",
        "install_date": "2026-03-01",
        "received_date": "2026-04-01",
        "income_proof": "yes",
        "ami_percent": "79.9",
        "new_technology": "heat pump",
        "uef": "3.4",
        "listing_id": "L-1",
        "invoice_usd": "6000",
        "electrical_cost_usd": "3000",
        "other_incentives_usd": "500",
        "prior_rebates_usd": "0",
        "household_id": "77",
        "zip_code": "55811",
    }
    rule_set = rules("hollowmere")

    def paid(**changed):
        return decided(rule_set, asked | changed)[0]

    assert paid()["amount_usd"] == 1750 + 2500
    assert (paid(ami_percent="80")["amount_usd"], paid(ami_percent="80")["reduce_rules"]) == (2500, "H-12")
    assert paid(prior_rebates_usd="12000")["amount_usd"] == 2000
    assert paid(prior_rebates_usd="14000")["deny_rules"] == "H-13"
    assert paid(reservation_date="2026-03-02")["deny_rules"] == "H-01"
    assert paid(reservation_id="")["hold_rules"] == "H-01"
    # 180 days hold for a reservation until 30 June 2026, 120 from July on: 150 days pass the first and fail the second.
    assert paid(received_date="2026-07-29")["decision"] == "approve"
    later = {"reservation_date": "2026-07-01", "install_date": "2026-07-15", "received_date": "2026-12-12"}
    assert paid(**later)["deny_rules"] == "H-04"


@pytest.mark.parametrize(
    ("name", "tiers", "by_income"),
    [
        (
            "brindlewood",
            ["<= 80", "> 80 <= 120", "> 120"],
            {"": "", "0": "<= 80", "80": "<= 80", "80.01": "> 80 <= 120", "120": "> 80 <= 120", "121": "> 120"},
        ),
        (
            "hollowmere",
            ["< 80", ">= 80 <= 150", "> 150"],
            {"79.99": "< 80", "80": ">= 80 <= 150", "150": ">= 80 <= 150", "150.5": "> 150", "some": ""},
        ),
        ("quillmarsh", [], {"80": None}),
    ],
)
def test_tiers_of_income_are_cut_where_the_rules_cut(name, tiers, by_income):
    """An income exactly at a limit is in the tier that the rule itself puts it in."""
    rule_set = rules(name)
    assert tier_names(rule_set) == in_order(sorted(tiers)) == tiers
    found = decided(rule_set, *({"application_id": "T", "ami_percent": one} for one in by_income))
    assert [row.get("income_tier") for row in found] == list(by_income.values())


def test_rows_stay_as_they_are_and_each_is_decided_as_if_alone():
    rule_set, applicants = rules("quillmarsh"), list(rows("quillmarsh").values())
    together = decided(rule_set, *reversed(applicants))
    assert [row["application_id"] for row in together] == [row["application_id"] for row in reversed(applicants)]
    alone = [decided(rule_set, applicant)[0] for applicant in reversed(applicants)]
    assert together == alone


def test_an_empty_frame_has_every_column_and_no_row():
    from advisor.screening.decide import decide

    empty = decide(frame([rows("quillmarsh")["A1"]]).slice(0, 0), rules("quillmarsh"))
    assert empty.num_rows == 0 and "decision" in empty.column_names


@pytest.mark.parametrize(
    ("old", "new", "field"),
    [
        ('field = "uef", at_least = 0.95', 'field = "efficiency", at_least = 0.95', "test"),
        ("at_most = 75000", "at_most = -1", "at_most"),
        ('effect = "hold"', 'effect = "wait"', "effect"),
        ('message = "an existing dwelling"\n', "", "message"),
        ("multiply = 1.5", "multiply = 1.5\nadd_usd = 3", "amount.A-12"),
        ('one_of = ["R1", "R2"]', "one_of = []", "one_of"),
        ("fits_a_measure = true", "fits_a_measure = true, field = 3", "rules.A-06.test.field"),
        ("valid_from = 2026-01-01", 'valid_from = "soon"', "valid_from"),
        ("use_gpd = 17.6", "use_gpd = 0", "savings.use_gpd"),
        ("[savings]", "[savings]\nfoo = 1", "savings.foo"),
        ("budget_usd = 250000", "budget_usd = true", "budget_usd"),
        ('of = ["invoice_usd"]', 'of = ["rate_class"]', "of"),
    ],
)
def test_a_fault_in_a_rule_set_is_named_by_its_place(old, new, field):
    with pytest.raises(InputError) as refused:
        rules("quillmarsh", (old, new))
    assert field in refused.value.field
