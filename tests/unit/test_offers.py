"""Offers: sums to the cent, the calendar, lines that stand twice, and the work of the house set against the lines."""

import tomllib
from datetime import date
from types import SimpleNamespace

import pytest

from advisor.case.file import case_from, parse_case, write_case
from advisor.case.offer import Offer, OfferLine
from advisor.case.offer_csv import with_offers
from advisor.comparison import compare
from advisor.core import paths, tables
from advisor.core.errors import InputError
from advisor.heaters.catalogue import by_id
from advisor.house.items import base_item, item
from advisor.money.offer_check import _jobs_of, sum_findings, work_findings
from advisor.report.as_json import comparison_dict
from advisor.report.conclusion_text import conclusion_text
from advisor.report.offers_text import offers_text, questions, who
from advisor.report.text import comparison_text

TODAY = date(2026, 11, 28)
#: A half-inch branch, all of it measured: its gas pipe must become larger for a tankless heater.
FOUR = tomllib.loads((paths.CASES / "half-inch-gas-branch.toml").read_text(encoding="utf-8"))


def line(what, usd, kind="material", **more):
    return {"what": what, "kind": kind, "usd": usd, **more}


def offer(*lines, candidate="gas-tankless-199", valid_until="2026-12-31", **more):
    return {"candidate": candidate, "valid_until": valid_until, "lines": list(lines), **more}


def compared(*offers, **changes):
    return compare(case_from(FOUR | {"offers": list(offers)} | changes), today=TODAY, by_hand=True)


def codes(comparison, number=0):
    return [one.code for one in comparison.offers[number].findings]


WHOLE = (
    line("Tankless heater", 1500.25, "equipment"),
    line("Larger gas line, 40 ft", 640),
    line("Stainless vent pipe with terminal", 1100),
    line("Cap flue", 90),
    line("Plumbing permit", 80, "permit"),
    line("Work of two days", 900, "labor"),
)
SUM_USD = 4310.25


def test_a_sound_offer_raises_nothing_grave():
    found = compared(offer(*WHOLE, total_usd=SUM_USD))
    assert not {"offer.sum.more", "offer.sum.less", "offer.doubled", "offer.expired", "offer.extra"} & set(codes(found))


def test_sums_are_exact_to_the_cent():
    """Ten dimes are a dollar: as floats they are not."""
    dimes = Offer(candidate="x", lines=[line("dime", 0.1) for _ in range(10)], total_usd=1.0)
    assert dimes.sum_usd == 1.0 and sum([0.1] * 10) != 1.0
    short = Offer(candidate="x", lines=[line("a", 19.99), line("b", 0.01, "discount")])
    assert short.price_usd == 19.98


@pytest.mark.parametrize(
    ("total_usd", "code", "apart"),
    [(SUM_USD - 0.01, "offer.sum.less", "$0.01"), (SUM_USD + 100, "offer.sum.more", "$100.00")],
)
def test_a_wrong_total_is_told_in_both_languages(total_usd, code, apart):
    found = compared(offer(*WHOLE, total_usd=total_usd))
    assert code in codes(found)
    for language in ("en", "es"):
        assert apart in " ".join(questions(found.offers[0], language=language))


def test_a_total_that_counts_on_a_rebate_is_told_as_such():
    rebate = line("Utility rebate", 300, "rebate", as_of="2026-11-01")
    found = compared(offer(*WHOLE, rebate, total_usd=SUM_USD - 300))
    assert "offer.sum.rebate" in codes(found) and "offer.sum.less" not in codes(found)
    said = " ".join(questions(found.offers[0]))
    assert "2026-11-01" in said and "$4,310.25" in said
    assert "offer.sum.rebate" not in codes(compared(offer(*WHOLE, rebate, total_usd=SUM_USD)))


def test_a_line_that_stands_twice_is_found_however_it_is_spelled():
    found = compared(offer(*WHOLE, line("stainless  VENT pipe, with terminal.", 1100)))
    assert codes(found).count("offer.doubled") == 1
    assert "Stainless vent pipe with terminal" in " ".join(questions(found.offers[0]))


@pytest.mark.parametrize(("day", "expired"), [("2026-11-27", True), ("2026-11-28", False)])
def test_an_offer_holds_through_its_last_day(day, expired):
    assert ("offer.expired" in codes(compared(offer(*WHOLE, valid_until=day)))) is expired


def test_a_missing_gas_pipe_is_asked_for_with_the_reason():
    """Forty feet of half-inch steel carry no 199,000 Btu/h: a larger pipe or a run of its own is in the work."""
    without = [one for one in WHOLE if "gas line" not in one["what"]]
    found = compared(offer(*without))
    # Since 1-1/4 in. pipe has a price of its own, the run of its own comes before the larger trunk in this house.
    pipes = {"gas-larger-pipe", "gas-dedicated-run"}
    needed = [job for job in found.candidate("gas-tankless-199").house.work if job.job in pipes]
    assert needed, "the house must need the pipe for this check to mean anything"
    missing = [one for one in found.offers[0].findings if one.code == "offer.missing"]
    assert needed[0].what in [one.number("job") for one in missing]
    whole = compared(offer(*WHOLE))
    assert needed[0].what not in [one.number("job") for one in whole.offers[0].findings if "missing" in one.code]


@pytest.mark.parametrize("what", ["Chimney liner", "Revestimiento de chimenea", "Water softener"])
def test_a_line_that_nothing_asks_for_is_questioned(what):
    found = compared(offer(*WHOLE, line(what, 900)))
    extra = [one.number("line") for one in found.offers[0].findings if one.code == "offer.extra"]
    assert extra == [what]


@pytest.mark.parametrize(
    ("what", "jobs"),
    [
        ("Labor, plastic vent and drain", {"condensate-drain", "condensate-pump", "vent-plastic"}),
        ("Drain pan with its line", {"drain-pan"}),
        ("Electric tank listed for manufactured homes, 40 gal", {"manufactured-listing"}),
        ("Propane tank heater, 50 gal", set()),
        ("Propane tank, 250 gal, set", {"propane-tank"}),
    ],
)
def test_the_words_of_a_line_tell_its_jobs(what, jobs):
    """Words as contractors write them; common practice, no published source."""
    told = _jobs_of(OfferLine(what=what, kind="equipment", usd=1))
    assert jobs <= told and bool(jobs) == bool(told)
    assert "pan" not in what or "condensate-drain" not in told


def test_a_heater_that_cannot_serve_is_told_first():
    """A tank of 60 in. under a ceiling of 62 in.; one that is far too small for six people."""
    low = compared(
        {"candidate": "gas-tank-50", "total_usd": 2295}, house={**FOUR["house"], "room_height_in": 62}
    ).offers[0]
    assert low.findings[0].code == "offer.does_not_fit"
    assert "does not fit the house" in questions(low)[0] and "62 in." in questions(low)[0]
    small = compared({"candidate": "electric-tank-30", "total_usd": 900}, household={"people": 6}).offers[0]
    assert "offer.falls_short" in [one.code for one in small.findings]
    assert "no alcanza" in " ".join(questions(small, language="es"))


def test_two_offers_of_one_firm_bear_their_numbers():
    two = compared(offer(*WHOLE, firm="Firm A"), offer(*WHOLE, firm="Firm A"), offer(*WHOLE, firm="Firm B"))
    assert [who(number, two.offers) for number in (1, 2, 3)] == ["Firm A (offer 1)", "Firm A (offer 2)", "Firm B"]


def test_how_an_offered_price_is_made_up_is_left_to_its_lines():
    """Our own share of work on the house is of our own estimate."""
    pick = compared().recommended.heater.id
    assert "work on the house" in comparison_text(compared())
    told = conclusion_text(compared(offer(line("Tank", 1000), candidate=pick)).advice).partition(";")[0]
    assert "to install" in told and "work on the house" not in told


def test_a_line_may_name_its_job():
    told = line("As talked over", 640, job="gas-larger-pipe")
    without = [one for one in WHOLE if "gas line" not in one["what"]]
    found = compared(offer(*without, told))
    assert not [one for one in found.offers[0].findings if one.code == "offer.extra"]
    assert len(found.offers[0].findings) == len(compared(offer(*WHOLE)).offers[0].findings)


def test_a_price_without_lines_asks_what_is_in_it():
    found = compared({"candidate": "gas-tankless-199", "total_usd": 3600})
    assert codes(found) == ["offer.no_last_day", "offer.no_lines"]


def test_the_lowest_offer_that_still_holds_is_the_price_that_counts():
    """An older and lower one does not."""
    old, dear, low = (
        {"candidate": "gas-tankless-199", "total_usd": usd, "valid_until": day}
        for usd, day in ((2000, "2026-10-01"), (4000.5, "2026-12-31"), (3900.25, "2026-12-31"))
    )
    found = compared(old, dear, low)
    assert found.candidate("gas-tankless-199").quote_usd == 3900.25
    assert found.offers[2].life_cycle_usd == pytest.approx(found.candidate("gas-tankless-199").money.point_usd)
    assert found.offers[1].life_cycle_usd > found.offers[2].life_cycle_usd > found.offers[0].life_cycle_usd


def _asked_of(*lines, jobs):
    """Codes of what is asked about an offer for a 50 gal gas tank where these jobs are needed."""
    house = SimpleNamespace(base=base_item(by_id("gas-tank-50")), work=jobs)
    offered = Offer(candidate="gas-tank-50", lines=lines, total_usd=None if lines else 1000.0)
    return [one.code for one in work_findings(offered, house)]


def test_what_is_asked_of_lines_and_jobs_by_hand():
    pipe, pan = (
        item(name, "x")._replace(chance_frac=1.0, asks_first=False) for name in ("gas-larger-pipe", "drain-pan")
    )
    tank, perhaps = OfferLine(what="Gas tank", kind="equipment", usd=900), pan._replace(chance_frac=0.5)
    assert _asked_of(jobs=(pipe,)) == ["offer.no_lines"] and _asked_of(jobs=()) == []
    assert _asked_of(tank, jobs=(pipe, perhaps)) == ["offer.missing", "offer.missing.perhaps"]
    assert _asked_of(tank, jobs=(pipe._replace(asks_first=True),)) == ["offer.missing.perhaps"]
    told = OfferLine(what="Drain pan", kind="material", usd=50)
    assert _asked_of(tank, told, jobs=(pan,)) == []
    # A discount on a job does not do it; a line that names a job which nothing here asks for is questioned.
    assert _asked_of(tank, OfferLine(what="Drain pan", kind="discount", usd=50), jobs=(pan,)) == ["offer.missing"]
    named = OfferLine(what="As talked over", kind="material", usd=50, job="drain-pan")
    assert _asked_of(tank, named, jobs=(pan,)) == [] and _asked_of(tank, named, jobs=()) == ["offer.extra"]
    for kind in ("rebate", "permit"):
        assert _asked_of(tank, OfferLine(what="Chimney liner", kind=kind, usd=50), jobs=()) == []
    assert _asked_of(tank, OfferLine(what="Chimney liner", kind="material", usd=50), jobs=()) == ["offer.extra"]
    # One permit line stands for both permits.
    permits = (item("permit", "x"), item("permit-electrical", "x"))
    assert _asked_of(tank, OfferLine(what="City fees", kind="permit", usd=80), jobs=permits) == []


def test_a_misspelled_candidate_is_told_what_is_near():
    with pytest.raises(InputError, match=r"write 'gas-tank-50' if that is meant") as caught:
        compared({"candidate": "gas-tank-50", "total_usd": 1}, {"candidate": "gas-tank50", "total_usd": 1})
    assert caught.value.field == "offers.2.candidate"


def test_each_offer_costs_over_the_years_what_it_would_cost_alone():
    first, other = ({"candidate": "gas-tankless-199", "total_usd": usd} for usd in (3000, 5200.4))
    both = compared(first, other)
    alone = compared(other).candidate("gas-tankless-199").money.point_usd
    assert both.offers[1].life_cycle_usd == pytest.approx(alone, abs=0.01)


def test_a_quote_of_an_older_case_is_an_offer():
    old = case_from(FOUR | {"quotes": [{"candidate": "gas-tank-50", "installed_usd": 2400.5}]})
    assert [one.price_usd for one in old.offers] == [2400.5]
    assert parse_case(write_case(old)) == old


def test_prices_are_shown_as_typed():
    found = compared(offer(*WHOLE, total_usd=SUM_USD, firm="North Side Plumbing"))
    assert "North Side Plumbing" in offers_text(found) and "$4,310.25" in offers_text(found)
    text = comparison_text(found)
    assert text.index("Offers\n") < text.index("Put in")
    data = comparison_dict(found)["offers"][0]
    assert data["price_usd"] == data["sum_of_lines_usd"] == SUM_USD


def test_the_contractor_stands_in_no_other_answer():
    named = compared(contractor={"name": "Zwölfton Plumbing", "licence": "QX-7731", "phone": "555 0100"})
    everything = comparison_text(named) + str(comparison_dict(named))
    assert "Zwölfton" not in everything and "QX-7731" not in everything


@pytest.mark.parametrize(
    ("spoilt", "field"),
    [
        ({"candidate": "gas-tank-51", "total_usd": 1}, "offers.1.candidate"),
        ({"candidate": "gas-tank-50"}, "offers.1.total_usd"),
        ({"candidate": "gas-tank-50", "total_usd": 12.345}, "offers.1.total_usd"),
        ({"candidate": "gas-tank-50", "lines": [line("a", -5)]}, "offers.1.lines.1.usd"),
        ({"candidate": "gas-tank-50", "lines": [line("a", 5), line("b", 6, "discount")]}, "offers.1.lines"),
        ({"candidate": "gas-tank-50", "total_usd": 1, "valid_until": "soon"}, "offers.1.valid_until"),
        ({"candidate": "gas-tank-50", "total_usd": 1, "made_on": 5}, "offers.1.made_on"),
        ({"candidate": "gas-tank-50", "lines": [line("a", 5, "gift")]}, "offers.1.lines.1.kind"),
    ],
)
def test_what_cannot_be_is_refused(spoilt, field):
    with pytest.raises(InputError) as caught:
        compared(spoilt)
    assert caught.value.field == field


def test_every_job_beyond_a_swap_has_words():
    """A job that no words tell would be asked for whatever the offer says."""
    told = {job for row in tables.load("offer_words").rows() for job in row["jobs"]}
    assert {row["id"] for row in tables.load("jobs").rows()} == told


SHEET = """firm,candidate,what,kind,usd,total_usd,valid_until
North,gas-tankless-199,Tankless heater,equipment,"$1,500.25",2400.25,2026-12-31
North,gas-tankless-199,Work,labor,900,,
South,gas-tank-50,All of it,labor,2290.50,,
"""


def test_a_spreadsheet_gives_the_same_offers(tmp_path):
    sheet = tmp_path / "offers.csv"
    sheet.write_text(SHEET, encoding="utf-8-sig")
    read = with_offers(case_from(FOUR), sheet).offers
    assert [(one.firm, one.price_usd, len(one.lines)) for one in read] == [("North", 2400.25, 2), ("South", 2290.5, 1)]
    assert read[0].valid_until == date(2026, 12, 31) and not sum_findings(read[0])


@pytest.mark.parametrize(
    "text",
    [
        "",
        "firm,price\na,1\n",
        'firm,what\n"a',
        SHEET + "a,b,c,labor,1,1,2026-12-31,extra\n",
        SHEET.replace("labor,900", "gift,900"),
    ],
    ids=["empty", "unknown column", "open quote", "a cell too many", "unknown kind"],
)
def test_a_spoilt_spreadsheet_is_refused_in_a_sentence(tmp_path, text):
    sheet = tmp_path / "offers.csv"
    sheet.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match="offers"):
        with_offers(case_from(FOUR), sheet)
