"""What was read when a heater first ran: kept in the case, held against the sheet, told with what it usually means."""

from datetime import date
from urllib.parse import parse_qsl

import pytest

from advisor.case.file import case_from, parse_case, write_case
from advisor.case.reading import TakenReading, unit_of_reading
from advisor.cli import DONE, main
from advisor.comparison import compare
from advisor.core.errors import InputError
from advisor.document.make import document, written
from advisor.house.readings import judged, readings_for
from advisor.report.readings_text import readings_text
from advisor.report.words import LOCALES, has, say
from advisor.web.link import given_of, query_of
from tests.houses import USE, case_of, heater_of, house_of

HEATER = "gas-tankless-condensing-180"
HOUSE = {
    "place": {"zip_code": "55811"},
    "household": {"people": 4},
    "failed": {"fuel": "natural_gas", "size_gal": 50},
    "house": {"fuels": ["natural_gas"]},
}
READ = [
    {"reading": "dynamic_inwc", "value": 2.1, "read_on": date(2027, 3, 2), "by": "A. P.", "candidate": HEATER},
    {"reading": "bath_f", "value": "48 °C", "by": "A. P.", "read_on": date(2027, 3, 2)},
    {"reading": "leak_test", "value": "held 15 min"},
    {"reading": "static_inwc", "value": "7", "candidate": "gas-tank-50"},
]


@pytest.fixture(scope="module")
def comparison():
    return compare(case_from({**HOUSE, "readings": READ}), today=date(2027, 3, 2))


def sheet_of(comparison, heater_id=HEATER):
    one = comparison.candidate(heater_id)
    sheet = readings_for(one.heater, comparison.facts, comparison.circumstances, one.use)
    return sheet, judged(sheet, comparison.case.readings, heater_id)


def test_readings_come_back_from_a_file_and_from_a_link(comparison):
    case = comparison.case
    assert parse_case(write_case(case)) == case
    given = case.model_dump(mode="python", exclude_unset=True, exclude_none=True)
    assert case_from(given_of(dict(parse_qsl(query_of(given, {}))))) == case


def test_each_is_judged_against_the_sheet_of_its_own_heater(comparison):
    sheet, taken = sheet_of(comparison)
    assert [one.taken.reading for one in taken] == ["leak_test", "dynamic_inwc", "bath_f"]  # in the sheet's order
    leak, pressure, bath = taken
    assert (leak.holds, leak.means) == (None, None)
    # A tankless heater's least inlet pressure stands above 2.1 in. w.c.; 48 °C is 118.4 °F, below 120 °F (IPC 2021).
    assert pressure.holds is False and pressure.means.code == "reading.dynamic_inwc.low"
    assert bath.holds is True and bath.taken.amount == pytest.approx(48 * 1.8 + 32)
    _, at_tank = sheet_of(comparison, "gas-tank-50")
    assert [one.taken.reading for one in at_tank] == ["leak_test", "static_inwc", "bath_f"]


def test_the_sheet_tells_what_was_read_by_whom_and_what_it_means(comparison):
    sheet, taken = sheet_of(comparison)
    text = " ".join(readings_text("It", sheet, taken=taken).split())
    assert "2.10 in. w.c. (A. P., 2027-03-02) ✗ outside" in text
    assert "the pipe, the meter or the regulator is too small" in text
    assert "118.4 °F (A. P., 2027-03-02) ✓ as it should be" in text and "read: held 15 min" in text


@pytest.mark.parametrize("language", LOCALES)
def test_the_document_holds_what_was_read_and_a_blank_for_the_rest(comparison, language):
    made = document(comparison, chosen=comparison.candidate(HEATER), language=language)
    page = written(made, "html", day=date(2027, 3, 2)).decode()
    assert "2.10 in. w.c." in page and "held 15 min" in page and "____________" in page
    assert say("reading.dynamic_inwc.low", language=language) in page
    assert say("reading.signed", language=language, by="A. P.", day="2027-03-02") in page


@pytest.mark.parametrize("language", LOCALES)
def test_every_open_side_of_a_range_says_what_it_means(language):
    """Every heater of the catalogue's classes, with a gas house and an electric one."""
    asked = set()
    for heater, fuel in (
        (HEATER, "natural_gas"),
        ("gas-tank-50", "natural_gas"),
        ("heat-pump-50", "electricity"),
        ("electric-tankless-27", "electricity"),
    ):
        for reading in readings_for(heater_of(heater), *house_of(case_of(failed__fuel=fuel)), USE):
            for bound, beyond in ((reading.low, -1.0), (reading.high, 1.0)):
                if bound is not None:
                    asked.add(reading.means(bound + beyond).code)
            if None not in (reading.low, reading.high):
                assert reading.means((reading.low + reading.high) / 2) is None
    assert len(asked) > 18
    assert [code for code in asked if not has(code, language)] == []


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ({"reading": "dynamic_inw", "value": 5}, "'dynamic_inwc'"),
        ({"reading": "dynamic_inwc", "value": "low"}, "number"),
        ({"reading": "dynamic_inwc", "value": "5 gpm"}, "value"),
        ({"reading": "dynamic_inwc", "value": " "}, "empty"),
        ({"reading": "dynamic_inwc", "value": 1e9}, "no gauge"),
        ({"reading": "dynamic_inwc", "value": True}, "text"),
        ({"reading": "bath_f", "value": 110, "read_on": 20270302}, "date"),
        ({"reading": "bath_f", "value": 110, "unit": 4}, "range"),
        ({"reading": "bath_f", "value": "1" * 90}, "too long"),
    ],
)
def test_a_reading_that_cannot_be_is_refused_in_a_sentence(row, says):
    with pytest.raises(InputError) as refused:
        case_from({**HOUSE, "readings": [row]})
    assert says in str(refused.value) and str(refused.value).startswith("readings.1")
    assert len(str(refused.value)) < 300


def test_parts_per_million_may_bear_their_unit():
    assert TakenReading(reading="co_after_ppm", value="12 ppm").amount == 12
    assert TakenReading(reading="co_after_ppm", value="none seen").amount is None
    assert set(unit_of_reading()) >= {"draft_2", "co_after_ppm", "static_inwc"}


def test_two_heaters_are_read_one_by_one():
    rows = [{"reading": "bath_f", "value": 118, "unit": 2}, {"reading": "bath_f", "value": 131, "unit": 1}]
    found = compare(case_from({**HOUSE, "several": [{"candidate": "gas-tank-50", "n_units": 2}], "readings": rows}))
    _, taken = sheet_of(found, "gas-tank-50-x2")
    assert [(one.taken.unit, one.holds) for one in taken] == [(1, False), (2, True)]


def test_the_command_shows_them(tmp_path, capsys):
    path = tmp_path / "case.toml"
    path.write_text(write_case(case_from({**HOUSE, "readings": READ})), encoding="utf-8")
    assert main(("commission", str(path), "--candidate", HEATER)) == DONE
    assert "✗ outside" in capsys.readouterr().out
    assert main(("commission", str(path), "--candidate", HEATER, "--json")) == DONE
    assert '"holds": false' in capsys.readouterr().out
