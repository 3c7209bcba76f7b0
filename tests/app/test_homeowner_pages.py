"""The homeowner's pages through the entry file: numbers, units and cautions for every demo house."""

import re
from math import hypot
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from advisor.case.file import read_case
from advisor.comparison import compare
from advisor.core import paths
from advisor.core.kinds import Fuel, electricity
from advisor.core.tables import load
from advisor.house.cautions import caution
from advisor.house.lead_time import stopgaps
from advisor.report.plain_words import name
from advisor.report.words import say, sentences
from advisor.web.draft import in_link
from advisor.web.services import gas_figure, vent_figure
from advisor.web.widgets import dollars, money_range

ENTRY = Path(__file__).resolve().parents[2] / "advisor" / "web" / "main.py"
DEMOS = sorted(path.stem for path in paths.CASES.glob("*.toml"))


def opened(demo: str | None = None) -> AppTest:
    app = AppTest.from_file(str(ENTRY), default_timeout=60)
    app.run()
    if demo is not None:
        given = read_case(paths.CASES / f"{demo}.toml")
        app.session_state["session"].given = given.model_dump(mode="python", exclude_unset=True, exclude_none=True)
        app.run()
    assert not app.exception
    return app


def words(app: AppTest) -> str:
    kinds = (app.title, app.header, app.subheader, app.markdown, app.caption, app.info, app.warning, app.error)
    # A sum within a sentence writes its dollar sign another way, which looks the same.
    return "\n".join(item.value for kind in kinds for item in kind).replace("&#36;", "\\$")


def whole(amount: float, step: float = 1) -> str:
    return f"{round(amount / step) * step:,.0f}"


@pytest.mark.parametrize("demo", DEMOS)
def test_start_gives_a_decision(demo):
    app = opened(demo)
    comparison = compare(read_case(paths.CASES / f"{demo}.toml"))
    said = words(app)
    assert "Smell gas?" in said and "Leave, touch no switch" in said
    chosen = comparison.recommended
    if chosen is None:
        assert app.title[0].value == say("home.none")
        return
    assert app.title[0].value.startswith("Put in a") and name(chosen.heater) in app.title[0].value
    assert app.title[0].value.endswith("the same kind as before.") == (chosen is comparison.advice.same_again)
    low, typical, high = chosen.installed_usd
    if chosen.quote_usd is None:
        assert f"\\${whole(low, 100)} to \\${whole(high, 100)}" in said and f"**\\${whole(typical, 100)}**" in said
    assert f"**\\${whole(chosen.running_cost.usd_per_yr / 12)}** for energy" in said
    mornings = chosen.capacity.short_mornings_per_yr
    assert (f"about {mornings} morning" in said) == bool(mornings)
    assert "not an inspection" in said


@pytest.mark.parametrize("demo", DEMOS)
def test_the_table_holds_the_four_places_and_no_other(demo):
    comparison = compare(read_case(paths.CASES / f"{demo}.toml"))
    advice, rows = comparison.advice, list(opened(demo).table[0].value.iloc[:, 0])
    places = {"Same again": advice.same_again, "Cheapest to own": advice.cheapest_to_own}
    places["Our pick if you can wait" if advice.pick is not advice.soonest else "Our pick"] = advice.pick
    for label, one in places.items():
        row = [text for text in rows if label in text]
        assert [text.endswith(f": {name(one.heater)}") for text in row] == ([True] if one else [])
    assert len(rows) == len(set(rows)) <= 4


@pytest.mark.parametrize("page", ["compare", "keep_up", "work", "money"])
@pytest.mark.parametrize("demo", DEMOS)
def test_every_page_opens_for_every_demo(demo, page):
    app = opened(demo)
    app.switch_page(f"../../pages/{page}.py").run()
    assert not app.exception
    said, heading = words(app), app.title[0].value
    comparison = compare(read_case(paths.CASES / f"{demo}.toml"))
    chosen = comparison.candidate(comparison.recommended_id)
    name = chosen.heater.title.lower()
    if page == "compare":
        assert heading.startswith(f"{len(comparison.candidates)} ")
        listed = app.table[0].value
        row = listed[listed["heater"].str.lower() == name].iloc[0]
        assert dollars(chosen.running_cost.usd_per_yr) == row["a year"]
        assert f"{chosen.running_cost.co2_lb_per_yr:,.0f} lb" in row["CO₂ a year"]
        assert chosen.capacity.verdict in row["keeps up?"] and chosen.house.verdict in row["this house?"]
    elif page == "keep_up":
        assert name in heading.lower() and sentences(chosen.capacity.why).replace("$", "\\$") in said
        assert "°F" in said and "gpm" in str(app.data_editor[0].proto.columns)
    elif page == "money":
        cost = dollars(chosen.money.life_cycle_cost_usd.point, 100)
        assert heading.lower() == f"{name}: about {cost} over {comparison.money.terms.study_yr} years"
    else:
        assert "Licensed people do it" in said and "Smell gas? Leave, touch no switch" in said
        low, _, high = chosen.installed_usd
        assert money_range(low, high) in said and name in heading.lower() and chosen.house.verdict in heading


def test_the_work_lists_every_job_with_its_price():
    app = opened("cold-city-basement")
    app.switch_page("../../pages/work.py").run()
    comparison = compare(read_case(paths.CASES / "cold-city-basement.toml"))
    chosen = comparison.candidate(comparison.recommended_id)
    rows = app.table[0].value
    assert len(rows) == 1 + len(chosen.house.work)
    assert all(rows["who"].str.len() > 0)


def test_the_work_shows_this_house_s_own_cautions_and_folds_the_rest():
    """A flat with an electric tank reads of no flue and no gas; where earthquakes are, a tank is strapped."""
    for demo, first in (("all-electric-flat-closet", ["earthquake"]), ("chimney-left-behind", ["gas_smell"])):
        app = opened(demo)
        app.switch_page("../../pages/work.py").run()
        folded = next(box for box in app.expander if "hold in most houses" in box.label)
        assert str(sum(text.value.count("\n") + 1 for text in folded.markdown)) in folded.label
        told = {text.value for text in folded.markdown}
        lists = [text.value for text in app.markdown if text.value.startswith("- ") and text.value not in told]
        shown = lists[-1].removeprefix("- ").split("\n- ")
        assert shown[0] == say(caution(first[0])) and (demo != "all-electric-flat-closet" or len(shown) == 1)


def test_a_changed_assumption_is_told_beside_one_s_own_last_answer():
    app = opened()
    assert not app.info
    before = app.title[0].value, words(app)
    app.number_input(key="in.household.hot_water_gpd").set_value(30.0).run()
    assert re.search(r"Now \\\$\d+ a year, was \\\$\d+", app.info[0].value)
    app.run()
    assert app.info
    app.button(key="undo_button").click().run()
    assert app.title[0].value == before[0]


def test_a_first_answer_and_an_opened_file_are_set_beside_nothing():
    app = opened()
    answer_all(app, where="Tucson, AZ", heater="tank_cable", fuels=())
    assert not app.info and app.title[0].value.startswith("Put in")
    app.button(key="ask_again").click().run()
    app.button(key="change_people").click().run()
    type_in(app, "q_people", "5")
    app.button(key="step_next").click().run()
    assert app.info and not app.exception


def test_a_value_that_cannot_be_is_refused_beside_its_widget():
    app = opened("cold-city-basement")
    app.session_state["session"].given = {**app.session_state["session"].given}
    app.number_input(key="in.water.measured_cold_f").set_value(90.0).run()
    app.number_input(key="in.household.set_point_f").set_value(100.0).run()
    assert not app.exception


#: Words that no Spanish sentence holds.
ENGLISH = re.compile(r"\b(the|about|heater|year|years|water|keeps|house|install|gallons?|cold|prices|assumed)\b", re.I)


@pytest.mark.parametrize("demo", DEMOS)
def test_the_start_page_is_all_in_spanish_with_the_same_figures(demo):
    app = opened(demo)
    figures = sorted(set(re.findall(r"\$\d+(?:,\d{3})*", words(app))))
    app.button(key="language_button").click().run()
    assert not app.exception
    # What was taken for granted cites its sources in their own language.
    taken = next(
        item.value for item in app.markdown if item.value.startswith("- ") and "Residential End Uses" in item.value
    )
    said = words(app).replace(taken.replace("&#36;", "\\$"), "")
    labels = [item.label for kind in (app.number_input, app.selectbox, app.button) for item in kind]
    # Places and the code's own keys aside, nothing is left in English.
    told = "\n".join([said, *labels])
    assert not ENGLISH.findall(told), [line for line in told.splitlines() if ENGLISH.search(line)]
    assert sorted(set(re.findall(r"\$\d+(?:,\d{3})*", words(app)))) == figures
    for needed in ("¿Huele a gas?", "Qué hacer hoy", "no toque ningún interruptor", "Agua caliente de nuevo"):
        assert needed in said
    assert "household." not in taken and "prices." not in taken


def test_what_helps_today_stands_in_spanish_for_every_heater():
    for row in load("stopgaps").rows():
        fuel = Fuel.named("natural_gas" if row["fuel"] == "any" else row["fuel"])
        told = stopgaps(fuel, row["kind"].replace("any", "tank"))
        assert f"stopgap.{row['hint']}" in {hint.code for hint in told}
        assert not ENGLISH.search(sentences(told, language="es"))


def test_the_cautions_of_the_work_stand_in_spanish():
    for row in load("cautions").rows():
        assert not ENGLISH.search(say(caution(row["id"]), language="es")), row["id"]
    app = opened("cold-city-basement")
    app.switch_page("../../pages/work.py").run()
    app.button(key="language_button").click().run()
    assert not app.exception
    said = words(app)
    assert "¿Huele a gas? Salga, no toque ningún interruptor" in said
    assert "alarmas de monóxido de carbono" in said and "Smell gas?" not in said


def type_in(app: AppTest, key: str, text: str) -> None:
    """Type, and go on as Enter does."""
    app.text_input(key=key).set_value(text)
    app.button(key="step_next").click().run()
    assert not app.exception


def press(app: AppTest, key: str) -> None:
    app.button(key=key).click().run()
    assert not app.exception


def asked(app: AppTest, upto: str, *, where="Seattle, WA", people="3", heater="tank_cable") -> AppTest:
    """Answer until a question is asked."""
    press(app, "own_house")
    ways = {
        "trouble": lambda: press(app, "pick_nothing"),
        "where": lambda: type_in(app, "q_where", where),
        "people": lambda: type_in(app, "q_people", people),
        "heater": lambda: press(app, f"pick_{heater}"),
    }
    while app.session_state["session"].step != upto:
        step = app.session_state["session"].step
        ways[step]()
        assert app.session_state["session"].step != step, app.error
    return app


def answer_all(app: AppTest, *, fuels=("natural_gas",), **answers) -> None:
    asked(app, "fuels", **answers)
    for fuel in fuels:
        app.checkbox(key=f"q_has_{fuel}").check().run()
    press(app, "step_next")
    while app.session_state["session"].step != "check":
        press(app, "pick_unknown")
    press(app, "step_next")


def test_the_questions_step_by_step():
    app = opened()
    answer_all(app, heater="tank_flue")
    given = app.session_state["session"].given
    assert given["place"] == {"city": "Seattle, WA"} and given["household"] == {"people": 3}
    assert given["failed"] == {"fuel": "natural_gas", "kind": "tank", "trouble": "nothing"}
    assert given["house"] == {"fuels": ("natural_gas", "electricity")}
    assert app.title[0].value.startswith("Put in") and "demo house" not in words(app)


@pytest.mark.parametrize("text", ["-3", "0", "21", "100", "2.5", "many", "", "1e99", "nan"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_a_number_of_people_that_cannot_be_stays_and_is_explained(text, language):
    app = opened()
    app.session_state["session"].language = language
    asked(app, "people")
    type_in(app, "q_people", text)
    told = app.error[0].value
    assert app.title[0].value == say("q.people.title", language=language)
    assert app.text_input(key="q_people").value == text
    assert (f"“{text}”" if language == "en" else f"«{text}»") in told if text else "1" in told
    type_in(app, "q_people", "4")
    assert not app.error and app.title[0].value == say("q.heater.title", language=language)


def test_bedrooms_are_asked_for_where_nobody_knows_how_many_live_there():
    app = asked(opened(), "people")
    press(app, "pick_unknown")
    type_in(app, "q_bedrooms", "many")
    assert "many" in app.error[0].value and app.text_input(key="q_bedrooms").value == "many"
    press(app, "pick_known")
    assert not app.error and app.text_input(key="q_people").value == ""
    press(app, "pick_unknown")
    type_in(app, "q_bedrooms", "4")
    assert app.title[0].value == say("q.heater.title")
    press(app, "pick_tank_cable")
    while app.session_state["session"].step != "check":
        press(app, "step_next" if app.session_state["session"].step == "fuels" else "pick_unknown")
    assert say("q.check.by_bedrooms", n=4) in words(app)
    press(app, "step_next")
    assert app.session_state["session"].given["household"] == {"bedrooms": 4}
    assert say("frame.bedrooms", n=4) in words(app)
    press(app, "ask_again")
    press(app, "change_people")
    assert app.text_input(key="q_bedrooms").value == "4"


@pytest.mark.parametrize("text", ["500", "1", "-40", "big", ""])
def test_a_size_that_cannot_be_stays_and_is_explained(text):
    app = asked(opened(), "fuels", heater="tank_cable")
    press(app, "step_next")
    assert app.title[0].value == say("q.size.title")
    type_in(app, "q_size", text)
    assert app.error and app.text_input(key="q_size").value == text
    press(app, "pick_unknown")
    assert app.title[0].value == say("q.ran_out.title")


def test_nothing_is_chosen_beforehand():
    app = asked(opened(), "fuels", heater="tank_flue")
    assert not any(box.value for box in app.checkbox)
    press(app, "step_next")
    assert "burns something" in app.error[0].value
    for fuel in ("natural_gas", "propane"):
        app.checkbox(key=f"q_has_{fuel}").check().run()
    assert app.radio(key="q_burns").value is None
    press(app, "step_next")
    assert "which of them the heater burns" in app.error[0].value
    app.radio(key="q_burns").set_value("propane").run()
    press(app, "step_next")
    assert app.title[0].value == say("q.size.title")


def test_during_the_questions_the_strip_speaks_of_one_s_own_house():
    app = asked(opened(), "people")
    assert "demo house" not in words(app) and "Duluth" not in words(app) and "Seattle, WA" in words(app)
    app.switch_page("../../pages/compare.py").run()
    assert "Duluth" in words(app) and "demo house" in words(app)


def test_an_answer_is_changed_without_losing_the_others():
    app = opened()
    answer_all(app, heater="tank_flue")
    app.number_input(key="in.household.set_point_f").set_value(130.0).run()
    press(app, "ask_again")
    assert app.title[0].value == say("q.check.title")
    press(app, "change_heater")
    press(app, "pick_box_pipe")
    assert app.title[0].value == say("q.check.title")
    press(app, "step_next")
    given = app.session_state["session"].given
    assert given["failed"]["kind"] == "tankless" and given["household"]["set_point_f"] == 130.0


def test_the_step_and_the_answers_are_in_the_address():
    app = asked(opened(), "heater", people="5")
    held = app.session_state["session"]
    again = AppTest.from_file(str(ENTRY), default_timeout=60)
    again.query_params["ask"], again.query_params["so_far"] = held.step, in_link(held.draft)
    again.run()
    assert not again.exception and again.title[0].value == say("q.heater.title")
    assert again.session_state["session"].draft["people"] == "5"
    assert "Seattle, WA" in words(again)


@pytest.mark.parametrize(
    "so_far", ["", "rubbish", "eNoDAAAAAAE", "eNorKcovTcpJVbBVUMpJTcwuVuLKLI5PzkhNzk5NAQqmJeYUp3IBAPMYDG0"]
)
@pytest.mark.parametrize("ask", ["check", "people", "frog", ""])
def test_an_address_that_was_tampered_with_asks_what_is_open(ask, so_far):
    app = AppTest.from_file(str(ENTRY), default_timeout=60)
    app.query_params["ask"], app.query_params["so_far"] = ask, so_far
    app.run()
    assert not app.exception
    assert app.title[0].value in {say("q.trouble.title"), say("q.where.title")}


@pytest.mark.parametrize(
    ("heater", "fuels", "trouble", "never"),
    [
        ("tank_cable", (), "pick_nothing", ("flue", "gas line")),
        ("box_pipe", ("natural_gas",), "pick_leaks", ("tank that leaks",)),
    ],
)
def test_the_advice_is_of_this_house(heater, fuels, trouble, never):
    app = opened()
    press(app, "own_house")
    press(app, trouble)
    if trouble == "pick_leaks":
        assert "Shut the cold water" in words(app)
        press(app, "step_next")
    type_in(app, "q_where", "Tucson, AZ")
    type_in(app, "q_people", "1")
    press(app, f"pick_{heater}")
    for fuel in fuels:
        app.checkbox(key=f"q_has_{fuel}").check().run()
    press(app, "step_next")
    while app.session_state["session"].step != "check":
        press(app, "pick_unknown")
    press(app, "step_next")
    said = words(app)
    said = said[said.index("if a plumber is free") if "if a plumber is free" in said else 0 :]
    told = said[: said.index("The heater is set to")]
    assert not [text for text in never if text in told.replace("Gas, flue, wires", "")]


def test_a_town_of_many_names_is_chosen_by_a_click():
    app = asked(opened(), "where")
    type_in(app, "q_where", "houston")
    assert "places called Houston. Which one is yours?" in app.error[0].value
    assert app.text_input(key="q_where").value == "houston"
    assert [button.label for button in app.button if button.key.startswith("choice_")][0] == "Houston, TX"
    press(app, "choice_0")
    assert not app.error
    assert app.session_state["session"].draft["place"] == {"city": "Houston, TX"}
    press(app, "step_back")
    assert app.text_input(key="q_where").value == "Houston, TX"


def test_where_no_prices_are_held_they_are_asked_for():
    app = asked(opened(), "fuels", where="San Juan, PR")
    app.text_input(key="q_price_electricity").set_value("free").run()
    press(app, "step_next")
    assert "“free” is not a price" in app.error[0].value
    app.text_input(key="q_price_electricity").set_value("").run()
    press(app, "step_next")
    while app.session_state["session"].step != "check":
        press(app, "pick_unknown")
    press(app, "step_next")
    assert "no energy prices for Puerto Rico" in app.error[0].value and "prices." not in app.error[0].value
    press(app, "change_fuels")
    app.text_input(key="q_price_electricity").set_value("0.26").run()
    press(app, "step_next")
    press(app, "step_next")
    assert app.session_state["session"].given["prices"] == {"electricity_usd_per_kwh": 0.26}
    assert app.title[0].value.startswith("Put in")


def test_a_place_that_cannot_be_is_answered_in_the_reader_s_language_without_keys():
    app = asked(opened(), "where")
    app.session_state["session"].language = "es"
    for typed, told in (("00000", "No existe el código postal 00000"), ("M5V 2T6", "está en Canadá"), ("", "Escriba")):
        type_in(app, "q_where", typed)
        assert told in app.error[0].value and "place" not in app.error[0].value


def on_money(demo: str | None = None) -> AppTest:
    app = opened(demo)
    app.switch_page("../../pages/money.py").run()
    assert not app.exception
    return app


def submit(app: AppTest, label: str) -> None:
    next(button for button in app.button if button.label == label).click()
    app.run()
    assert not app.exception


def test_a_tariff_as_on_the_bill_is_counted():
    """Electricity at 0.40 from 16 to 21 h and 0.10 outside lies between the two; the same as the case file gives."""
    app = on_money("all-electric-flat-closet")
    app.number_input(key="tariff.0.electricity_price").set_value(0.10)
    app.number_input(key="tariff.0.electricity_fixed").set_value(12.0)
    app.session_state["tariff.0.electricity_hours"] = {
        "edited_rows": {},
        "deleted_rows": [],
        "added_rows": [{"start_h": 16, "end_h": 21, "days": "all", "price_usd_per_unit": 0.40}],
    }
    submit(app, "Use this tariff")
    assert app.session_state["session"].given["tariffs"] == [
        {
            "fuel": "electricity",
            "price_usd_per_unit": 0.10,
            "fixed_usd_per_mo": 12.0,
            "windows": [{"start_h": 16, "end_h": 21, "days": "all", "price_usd_per_unit": 0.40}],
        }
    ]
    from advisor.case.file import case_from

    found = compare(case_from(app.session_state["session"].given))
    assert 0.10 < found.prices.bills[electricity()].usual_usd_per_unit < 0.40
    submit(app, "Back to the average price")
    assert "tariffs" not in app.session_state["session"].given


def test_a_tariff_that_cannot_be_is_refused_in_a_sentence():
    app = on_money("all-electric-flat-closet")
    before = app.session_state["session"].given
    app.session_state["tariff.0.electricity_blocks"] = {
        "edited_rows": {},
        "deleted_rows": [],
        "added_rows": [{"up_to_units": 500, "price_usd_per_unit": 0.1}, {"up_to_units": 300}],
    }
    submit(app, "Use this tariff")
    assert app.session_state["session"].given == before
    assert any("tariffs" in error.value for error in app.error)


def test_live_prices_are_asked_for_only_when_wanted(requests_mock):
    """A made-up reply in the documented form; without the button nothing is asked."""
    row = {"period": "2025", "stateid": "MN", "price": "15.5", "price-units": "cents per kilowatthour"}
    gas = {"period": "2025", "duoarea": "SMN", "value": "11.41", "units": "$/MCF"}
    requests_mock.get("/v2/electricity/retail-sales/data/", json={"response": {"data": [row]}})
    requests_mock.get("/v2/natural-gas/pri/sum/data/", json={"response": {"data": [gas]}})
    app = on_money()
    assert requests_mock.call_count == 0
    app.text_input(key="live_key.0").set_value("not-a-real-key")
    submit(app, "Ask now")
    assert requests_mock.call_count == 2
    assert "live_key.0" not in app.session_state and not app.text_input(key="live_key.1").value
    submit(app, "Use these prices")
    prices = app.session_state["session"].given["prices"]
    assert prices["electricity_usd_per_kwh"] == pytest.approx(0.155)
    assert prices["natural_gas_usd_per_therm"] == pytest.approx(11.41 / 10.37, rel=1e-4)


def test_a_refused_key_is_one_sentence(requests_mock):
    requests_mock.get("/v2/electricity/retail-sales/data/", status_code=403)
    requests_mock.get("/v2/natural-gas/pri/sum/data/", status_code=403)
    app = on_money()
    app.text_input(key="live_key.0").set_value("wrong")
    submit(app, "Ask now")
    assert any("refused the key" in error.value for error in app.error)


def on_work(demo: str, heater: str) -> AppTest:
    app = opened(demo)
    app.switch_page("../../pages/work.py").run()
    app.selectbox(key="work_of").set_value(heater).run()
    assert not app.exception
    return app


def test_the_services_are_drawn_from_the_checks():
    app = on_work("cold-city-basement", "gas-tankless-condensing-199")
    chosen = compare(read_case(paths.CASES / "cold-city-basement.toml")).candidate("gas-tankless-condensing-199")
    detail = chosen.house.trade("gas").detail
    drawing = gas_figure(detail.system, detail.check)
    told = [note.text for note in drawing.layout.annotations]
    for served in detail.check.pressure.outlets:
        assert f"<b>{served.outlet.name}</b><br>✓ {served.inlet_inwc:.1f} in. w.c." in told
    # Both pipes on the way to the heater are too small by the table: dotted, and said in words.
    assert sum("✗ too small" in text for text in told) == 2
    assert [trace.line.dash for trace in drawing.data if trace.mode == "lines"].count("dot") == 2
    # 12 ft and two elbows of 5 ft (generic allowance) count as 22 ft.
    assert "counts as 22 ft of 45 ft" in words(app)
    assert f"about {detail.check.pressure.outlet('water heater').inlet_inwc:.1f} in. w.c. reaches" in words(app)


def test_the_drawn_vent_is_as_long_as_the_vent():
    run = compare(read_case(paths.CASES / "cold-city-basement.toml")).candidate("gas-tankless-condensing-199")
    run = run.house.trade("vent").detail.run
    line = vent_figure(run).data[0]
    length = sum(hypot(b - a, d - c) for a, b, c, d in zip(line.x, line.x[1:], line.y, line.y[1:], strict=False))
    assert length == pytest.approx(run.exhaust.straight_ft)
    assert len(line.x) == 2 + run.exhaust.elbows_90 + run.exhaust.elbows_45


def test_a_heater_that_outdraws_the_service_is_drawn_by_itself():
    app = on_work("cold-city-basement", "electric-tankless-36-x2")
    # Two of 36 kW on 240 V: 300 A; a demand factor must not hide that.
    assert "the heater alone draws 300 A of 150 A" in words(app)


def test_a_way_out_is_tried_on_a_copy():
    app = on_work("cold-city-basement", "gas-tankless-condensing-199")
    given = app.session_state["session"].given
    app.button(key="try_larger pipe").click().run()
    assert not app.exception and "Tried on a copy: larger pipe" in words(app)
    assert "Installed with this way: about" in words(app) and app.session_state["session"].given == given
    app.button(key="way_away").click().run()
    assert "Tried on a copy" not in words(app)


def test_sharing_the_load_takes_the_place_of_the_larger_service():
    """110 A, 24 kW (100 A alone) and a car charger of 9.6 kW: they cannot both run, and need not."""
    app = opened("cold-city-basement")
    held = app.session_state["session"]
    held.given = {**held.given, "electrical": {**held.given["electrical"], "car_charger_kw": 9.6, "service_a": 110}}
    app.switch_page("../../pages/work.py").run()
    app.selectbox(key="work_of").set_value("electric-tankless-24").run()
    assert not app.exception
    chosen = app.session_state["session"].compared[2]().candidate("electric-tankless-24")
    way = next(way for way in chosen.house.trade("power").ways_out if way.kind == "load sharing")
    app.button(key="try_load sharing").click().run()
    gone = sum(job.typical_usd for job in chosen.house.work if job.job in way.instead_of)
    after = chosen.installed_usd[1] + way.typical_usd - gone
    # The panel; the utility's own part has no number until it answers.
    assert gone > 3_000
    assert f"Installed with this way: about \\${round(after, -2):,.0f}" in words(app)
    assert "It takes the place of: Main panel" in words(app)


def test_a_quote_is_set_in_our_range():
    app = opened("cold-city-basement")
    chosen = compare(read_case(paths.CASES / "cold-city-basement.toml")).recommended
    low, _, high = chosen.house.installed_usd
    for price, told in ((low - 200, "under our range"), (low + 1, "in our range"), (high + 200, "over our range")):
        app.text_input(key="quote_price").set_value(f"${price:,.0f}").run()
        assert not app.exception and told in words(app) and money_range(low, high) in words(app)
    app.text_input(key="quote_price").set_value("cheap").run()
    assert "“cheap” is not a price" in app.error[0].value and app.text_input(key="quote_price").value == "cheap"


@pytest.mark.parametrize(("trouble", "told"), [("too_little", "does not give enough"), ("noise", "makes a noise")])
def test_the_phone_says_what_is_wrong_and_which_of_two_alike(trouble, told):
    """Seven in Fargo: two tankless heaters of one name in the table, so the power is said where one is asked for."""
    app = opened()
    app.session_state["session"].given = {
        "place": {"city": "Fargo, ND"},
        "household": {"people": 7},
        "failed": {"kind": "tank", "fuel": "natural_gas", "size_gal": 50, "ran_out": "often", "trouble": trouble},
        "house": {"fuels": ("natural_gas", "electricity"), "heater_space": "basement"},
    }
    app.run()
    assert not app.exception
    said, rows = words(app), [row for table in app.table for row in table.value.iloc[:, 0]]
    assert f"My water heater {told}" in said and "Warm water for washing on the stove" not in said
    power = "of 180,000 Btu/h"
    assert power in app.title[0].value and sum(power in row for row in rows) == 1 and said.count(power) >= 2
    assert "how fast it heats" in said and f"What would a saver gas tankless heater {power} (condensing) cost" in said
    assert "No: it would run out of hot water too often" in app.table[0].value.to_string()
    # The age that a repair turns on can be told where it is taken for granted.
    app.number_input(key="in.failed.age_yr").set_value(3.0).run()
    assert "Heaters that reach 3 years" in words(app)
