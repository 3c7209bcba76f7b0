"""Every key of the case has a field; every heater goes through every contractor's page with every field filled."""

import re

import pytest

from advisor.case.file import case_from, parse_case
from advisor.case.record import Case, Label
from advisor.comparison import compare
from advisor.report.words import say
from advisor.web import fields, label_form
from tests.app.test_contractor_pages import open_page, tables, words
from tests.full_house import full_house

PAGES = tuple(fields.TOPICS)
#: Ends of each kind of venting: through a wall with room air, and sealed.
ONE_END_OF_EACH_KIND = {"gas-tank-power-vent-50", "gas-tankless-condensing-180", "propane-tankless-199"}
EVERY_KEY = {key for name in Case.model_fields for key in fields.keys_of(name)}


def plain(text):
    """Text without what the screen escapes in it."""
    return re.sub(r"\s+", " ", text.replace("\\", "").replace("&nbsp;", " "))


def page_of(page, given, heater=""):
    at = open_page("gas_line")
    held = at.session_state["session"]
    held.given, held.contractor_heater, held.is_demo = given, heater, False
    at.switch_page(f"../../pages/{page}.py").run()
    assert not at.exception
    return at


def test_every_key_belongs_to_a_page_or_says_why_not():
    topics = {
        key for page in fields.TOPICS.values() for _, paths in page for path in paths for key in fields.keys_of(path)
    }
    assert EVERY_KEY - topics - set(fields.ELSEWHERE) == set()
    assert set(fields.ELSEWHERE) <= EVERY_KEY


def test_every_key_is_drawn_when_the_pages_are_walked():
    drawn = set()
    for page in PAGES:
        at = page_of(page, {**full_house(), "gas": {"supply_pressure_inwc": 7.0}})
        drawn |= {key.removeprefix("in.") for key in at.session_state["session"].drawn}
    assert EVERY_KEY - drawn == {"heaters"}  # which has its own form


def test_the_label_form_asks_every_number_of_a_label():
    assert {name for _, names in label_form.ORDER for name in names} == set(Label.model_fields)


@pytest.mark.parametrize("page", PAGES)
def test_every_heater_goes_through_every_page_with_every_field_filled(page):
    given = full_house()
    at = page_of(page, given)
    ids = [one.heater.id for one in compare(case_from(given)).candidates]
    assert {"own-1", "own-1-x2", "gas-tank-50-x2"} <= set(ids)
    told = {"gas_line": "gas", "vent_and_air": "vent", "panel_and_drain": "power"}.get(page)
    for heater in ids:
        at.selectbox(key="contractor_candidate").set_value(heater).run()
        ends = [field for field in at.number_input if field.key.startswith("terminal.")]
        if ends and heater in ONE_END_OF_EACH_KIND:
            for field in ends:
                field.set_value(8.0)
            at.run()
            assert "✗ too near" in tables(at)
        assert not at.exception, (page, heater)
        assert at.session_state["session"].contractor_heater == heater
        # What is read is the finding of the comparison about this heater, word for word.
        found = at.session_state["session"].compared[2]().candidate(heater).house
        trade = found.trade(told) if told else None
        if trade is not None and trade.detail is not None:
            shown = plain(words(at) + tables(at))
            assert any(plain(say(one)) in shown for one in trade.findings), (page, heater)


def test_two_of_one_are_compared_when_asked_for():
    at = open_page("gas_line", candidate="gas-tank-50")
    at.selectbox(key="contractor_units").set_value(2).run()
    assert not at.exception
    held = at.session_state["session"]
    assert held.contractor_heater == "gas-tank-50-x2"
    assert held.given["several"] == [{"candidate": "gas-tank-50", "n_units": 2}]
    two = held.compared[2]().candidate("gas-tank-50-x2")
    one = held.compared[2]().candidate("gas-tank-50")
    # Two tanks give twice the first hour, and cost twice the heater.
    assert two.capacity.deliverable == pytest.approx(2 * one.capacity.deliverable)
    assert two.house.base.typical_usd == pytest.approx(2 * one.house.base.typical_usd)
    at.selectbox(key="contractor_units").set_value(1).run()
    assert at.session_state["session"].contractor_heater == "gas-tank-50"


def test_a_number_may_bring_its_unit_and_a_wrong_one_stays_in_its_field():
    at = open_page("job")
    at.text_input(key="in.place.elevation_ft").set_value("300 m").run()
    assert at.session_state["session"].given["place"]["elevation_ft"] == pytest.approx(984.25, abs=0.01)
    at.text_input(key="in.household.bedrooms").set_value("many").run()
    assert at.text_input(key="in.household.bedrooms").value == "many"
    assert at.session_state["session"].given["household"]["bedrooms"] == 3
    assert any("bedrooms" in error.value for error in at.error)
    at.text_input(key="in.household.bedrooms").set_value("4").run()
    assert at.session_state["session"].given["household"]["bedrooms"] == 4
    assert not at.error


def test_beside_a_picture_too_a_number_may_bring_its_unit():
    at = open_page("vent_and_air")
    at.text_input(key="in.vent.run_ft").set_value("3.5 m").run()
    assert at.session_state["session"].given["vent"]["run_ft"] == pytest.approx(11.483, abs=0.001)
    at.text_input(key="in.vent.run_ft").set_value("long").run()
    assert at.text_input(key="in.vent.run_ft").value == "long" and any("run_ft" in one.value for one in at.error)
    at.text_input(key="in.vent.run_ft").set_value("12' 6\"").run()
    assert at.session_state["session"].given["vent"]["run_ft"] == 12.5 and not at.error
    at.text_input(key="in.vent.run_ft").set_value("").run()
    assert "run_ft" not in at.session_state["session"].given.get("vent", {})


def test_a_tariff_is_typed_as_a_file_holds_it():
    at = open_page("job")
    at.text_area(key="in.tariffs").set_value('[[tariffs]]\nfuel = "electricity"\nprice_usd_per_unit = 0.2').run()
    assert at.session_state["session"].given["tariffs"][0]["price_usd_per_unit"] == 0.2
    at.text_area(key="in.tariffs").set_value("[[tariffs]").run()
    assert at.error and at.text_area(key="in.tariffs").value == "[[tariffs]"
    assert at.session_state["session"].given["tariffs"][0]["price_usd_per_unit"] == 0.2


class TestLabelForm:
    NUMBERS = (("title", "Quoted tank"), ("uef", "0.66"), ("rated_volume_gal", "178 L"), ("fhr_gal", "90"))

    def typed(self):
        at = open_page("job")
        at.selectbox(key="label.technology").set_value("gas_storage_power_vent").run()
        at.selectbox(key="label.fuel").set_value("natural_gas").run()
        for name, text in self.NUMBERS:
            at.text_input(key=f"label.{name}").set_value(text).run()
        return at

    def test_what_is_missing_is_told_while_it_is_typed(self):
        at = self.typed()
        assert "Still needed: burner input" in words(at)
        at.text_input(key="label.input_btuh").set_value("42 kBtu/h").run()
        assert "Still needed" not in words(at)

    def test_it_becomes_a_candidate_that_is_looked_at(self):
        at = self.typed()
        at.text_input(key="label.input_btuh").set_value("42 kBtu/h").run()
        at.button(key="label_put").click().run()
        assert not at.exception
        held = at.session_state["session"]
        assert held.contractor_heater == "own-1"
        label = held.compared[2]().case.heaters[0]
        assert label.input_btuh == pytest.approx(42_000)
        assert label.rated_volume_gal == pytest.approx(47.02, abs=0.01)
        at.button(key="label_drop").click().run()
        assert "heaters" not in at.session_state["session"].given

    def test_an_impossible_number_is_told_and_nothing_is_put_on_the_list(self):
        at = self.typed()
        at.text_input(key="label.uef").set_value("66").run()
        assert "this is outside the possible range" in words(at)
        at.button(key="label_put").click().run()
        assert "heaters" not in at.session_state["session"].given
        assert at.text_input(key="label.uef").value == "66"
        assert at.error


def test_a_file_of_labels_adds_to_the_list_once(monkeypatch):
    import tomli_w

    at = page_of("job", full_house())
    content = tomli_w.dumps({"heaters": full_house()["heaters"] + [{**full_house()["heaters"][0], "title": "Other"}]})
    held = at.session_state["session"]
    monkeypatch.setattr(label_form.session, "current", lambda: held)
    label_form.add(content.encode())
    label_form.add(content.encode())
    assert [label["title"] for label in held.given["heaters"]] == ["Quoted tankless", "Other"]
    label_form.add(b"name = 'x'")
    assert "no list of labels" in held.refused[label_form.SHOWN_AT]
    label_form.add(b"\xff\xfe")
    assert "UTF-8" in held.refused[label_form.SHOWN_AT]


def test_a_label_that_a_quote_rests_on_stays():
    given = {**full_house(), "offers": [{"candidate": "own-1-x2", "total_usd": 9000}]}
    at = page_of("job", given)
    at.selectbox(key="label_place").set_value(1).run()
    at.button(key="label_drop").click().run()
    assert not at.exception
    assert len(at.session_state["session"].given["heaters"]) == 1
    assert any("own-1 still stands" in error.value for error in at.error)


def test_the_full_house_can_be_kept_and_opened_again():
    from advisor.case.file import write_case

    case = case_from(full_house())
    assert parse_case(write_case(case)) == case
