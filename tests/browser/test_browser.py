"""What a person does in the app: the four questions, links, back and forward, save and open, print, Spanish."""

import io
import re

import pypdf
import pytest

from advisor.case.file import read_case
from advisor.core import paths
from advisor.web.link import query_of
from tests.browser.windows import DESK, PHONE, answer_all, enter
from tests.hostile import HOUSE, TEXT

#: What a homeowner's first page does not say: the trade's words, our own, and keys of the case.
TRADE_WORDS = re.compile(
    r"\b(keeps? up with care|bench|hand method|natural draft|gpm|needs work|first.hour|UEF|\w+\.\w+_\w+)\b", re.I
)


@pytest.mark.parametrize("options", [PHONE, DESK], ids=["phone", "desk"])
def test_the_questions_give_the_answer(visit, options):
    window = visit(**options, color_scheme="light").go()
    assert "Duluth" in window.text and "demo house" in window.text
    assert not TRADE_WORDS.findall(window.text)
    # Care comes before any figure.
    assert window.text.index("Smell gas?") < window.text.index("Pay now")
    answer_all(window)
    assert "Phoenix, AZ" in window.text and "demo house" not in window.text and "was $" not in window.text
    assert window.heading.startswith("Put in a")
    assert window.text.index("Gas smell, alarm or leak?") < window.text.index("Pay now")
    assert not TRADE_WORDS.findall(window.text)


def test_the_decision_stands_above_the_fold_of_a_phone(visit):
    window = visit(**PHONE).go("?zip=85004&people=2&failed=electricity&fuels=electricity&gallons=40")
    for text in ("Hot water back:", "Pay now:", "Then a month:", "Warm enough?"):
        place = window.page.get_by_text(text).first.bounding_box()
        assert place["y"] + place["height"] < 844


def test_back_forward_and_reload_keep_the_question_and_the_answers(visit):
    window = visit(**PHONE).go()
    answer_all(window, upto="What heats your water now?")
    window.page.go_back()
    window.sees("How many people live there?")
    window.until("() => document.querySelector('.st-key-q_people input')?.value === '3'")
    window.page.go_back()
    window.sees("Where is the house?")
    window.page.go_forward()
    window.page.go_forward()
    window.sees("What heats your water now?")
    window.page.reload()
    window.settle()
    window.sees("What heats your water now?", "Phoenix, AZ")


def test_the_keyboard_stands_at_the_question_and_a_phone_shows_digits(visit):
    window = visit(**PHONE).go()
    answer_all(window, upto="How many people live there?")
    window.until("() => document.activeElement.tagName === 'H1'")
    assert window.page.evaluate("document.activeElement.innerText").startswith("How many people")
    field = window.page.locator(".st-key-q_people input")
    assert field.get_attribute("inputmode") == "decimal"
    for wrong in ("-3", "0", "21", "100"):
        enter(window, field, wrong)
        window.sees(f"“{wrong}” is not a number of people", "How many people live there?")
        assert field.input_value() == wrong
    assert "your house" in window.text and "demo house" not in window.text


def test_a_link_in_a_new_tab_shows_the_same_house(visit):
    window = visit(**DESK).go("?zip=85004&people=2&failed=electricity&fuels=electricity&gallons=40")
    link = window.page.get_by_role("link", name="What are the choices?").last
    link.hover()
    with window.context.expect_page() as opened:
        link.click(button="middle")
    tab = opened.value
    tab.wait_for_selector("h1")
    tab.get_by_text("Phoenix, AZ").first.wait_for()


def test_title_and_language_are_the_reader_s(visit):
    window = visit(**DESK).go("compare")
    assert window.page.title().startswith("What are the choices?")
    assert window.page.evaluate("document.documentElement.lang") == "en"
    window.press("Español")
    window.until("() => document.documentElement.lang === 'es' && document.title.startsWith('¿Qué opciones')")


def test_a_place_that_is_not_there_is_refused_at_once(visit):
    window = visit(**PHONE).go()
    answer_all(window, upto="Where is the house?")
    enter(window, window.page.get_by_label("ZIP code, or city and state"), "00000")
    assert window.sees("There is no ZIP code 00000", "Question 2 of 9")


def test_back_and_forward_keep_the_case(visit):
    window = visit(**DESK).go()
    answer_all(window)
    window.page.get_by_role("link", name="What are the choices?").last.click()
    window.settle()
    assert "choices" in window.heading
    window.page.go_back()
    window.settle()
    assert "Phoenix, AZ" in window.text and window.heading.startswith("Put in")
    window.page.go_forward()
    window.settle()
    assert "choices" in window.heading and "Phoenix, AZ" in window.text


def test_a_link_brings_the_answers_back(visit):
    window = visit(**DESK).go("?zip=85004&people=2&failed=electricity&fuels=electricity&gallons=40")
    assert "Phoenix, AZ · 2 people" in window.text and "demo house" not in window.text


def test_a_reload_loses_nothing(visit):
    window = visit(**DESK).go()
    answer_all(window)
    window.press("Español")
    window.sees("Agua caliente de nuevo")
    window.page.get_by_role("link", name="¿Qué opciones hay?").last.click()
    window.settle()
    heading = window.heading
    window.page.reload()
    window.settle()
    assert "Phoenix, AZ" in window.text and window.heading == heading and "opciones" in heading


def type_into(window, *texts):
    """Type into the cell that is chosen and those below it, as a person does."""
    for text in texts:
        window.page.keyboard.type(text, delay=90)
        window.page.keyboard.press("Enter")
        window.settle()


def test_a_gas_segment_typed_larger_turns_the_verdict(visit):
    case = read_case(paths.CASES / "half-inch-gas-branch.toml")
    given = case.model_dump(mode="python", exclude_unset=True, exclude_none=True)
    window = visit(**DESK).go(f"gas-line?{query_of(given, {})}")
    assert "half-inch heater branch is too small" in window.heading
    pipes = window.page.locator("[data-testid=stDataFrame] .dvn-scroller").first
    pipes.scroll_into_view_if_needed()
    # Below the headings, 36 px high, the first cell of the first run; the size is the fourth.
    pipes.click(position={"x": 60, "y": 36 + 17})
    for _ in range(3):
        window.page.keyboard.press("ArrowRight")
    type_into(window, "1-1/4", "1")
    window.sees("The gas line carries it")
    assert "carries it" in window.heading
    # The table keeps its place; a size that no pipe has is explained and changes nothing.
    type_into(window, "frog")
    window.sees("Not used yet, and nothing was changed.", "'furnace branch': steel is not listed in size 'frog'")
    assert "carries it" in window.heading
    window.press("Take back what was typed")
    window.page.reload()
    window.settle()
    assert "carries it" in window.heading


def test_a_link_that_cannot_be_used_says_so(visit):
    window = visit(**DESK).go("?zip=85004&people=900&failed=electricity&fuels=electricity")
    assert "household.people" in window.text and "demo house" in window.text


def test_save_and_open_again(visit, tmp_path):
    window = visit(**DESK).go()
    answer_all(window)
    window.press("Save or load")
    with window.page.expect_download() as download:
        window.page.get_by_role("button", name="Save this house as a file").click()
    saved = tmp_path / "house.toml"
    download.value.save_as(saved)
    assert 'city = "Phoenix, AZ"' in saved.read_text()
    other = visit(**DESK).go()
    other.press("Save or load")
    other.page.locator("input[type=file]").set_input_files(saved)
    other.page.wait_for_timeout(800)
    other.settle()
    assert other.sees("Phoenix, AZ") and "was $" not in other.text


def test_a_damaged_file_is_explained_and_changes_nothing(visit, tmp_path):
    damaged = tmp_path / "broken.toml"
    damaged.write_text('[place]\nzip_code = "55811"\n[household]\npeople = "many"\n')
    window = visit(**DESK).go()
    window.press("Save or load")
    window.page.locator("input[type=file]").set_input_files(damaged)
    window.page.wait_for_timeout(800)
    window.settle()
    window.page.get_by_text("household.people").wait_for()
    assert "4 people" in window.text


@pytest.mark.parametrize("options", [PHONE, DESK], ids=["phone", "desk"])
def test_an_assumption_is_changed_in_place_and_its_box_stays_open(visit, options):
    window = visit(**options, color_scheme="light").go()
    window.page.get_by_role("button", name=re.compile("gallons of hot water a day · Change")).click()
    window.settle()
    field = window.page.get_by_label("Hot water (gal/day)", exact=True)
    for gallons in (40, 45):
        field.fill(str(gallons))
        field.press("Enter")
        window.settle()
        window.sees(" a year, was $", f"about {gallons} gallons")
        assert field.is_visible()
    if options is PHONE:
        # What changed stands at the foot of the screen.
        told = window.page.locator(".st-key-changed [data-testid=stAlert]").bounding_box()
        assert told["y"] > 600 and told["y"] + told["height"] <= 844
        ground = "getComputedStyle(document.querySelector('.st-key-changed')).backgroundColor"
        assert window.page.evaluate(ground) == "rgb(255, 253, 249)"  # what it covers does not shine through


def test_undo_takes_back_the_last_change(visit):
    window = visit(**DESK).go()
    answer_all(window)
    window.press("Undo")
    assert window.sees("Duluth, MN", "demo house")


def test_spanish(visit):
    window = visit(**PHONE).go()
    window.press("Español")
    window.sees("Agua caliente de nuevo")
    for sentence in ("¿Huele a gas?", "Pagar ahora", "Qué hacer hoy", "Lo que dimos por hecho"):
        assert sentence in window.text


def test_the_answer_is_kept_on_white_paper_and_as_a_link(visit):
    """A dark screen prints one white sheet, black on white, without what can be pressed."""
    window = visit(**DESK, color_scheme="dark", permissions=["clipboard-read", "clipboard-write"]).go()
    answer_all(window)
    window.page.evaluate("window.print = () => { window.isPrinted = true; }")
    window.page.get_by_role("button", name="Print", exact=True).click()
    window.until("() => window.isPrinted === true")
    window.page.get_by_role("button", name="Copy link").click()
    window.page.get_by_text("Copied.").wait_for()
    assert window.page.evaluate("navigator.clipboard.readText()") == window.page.url
    sheet = pypdf.PdfReader(io.BytesIO(window.page.pdf(format="Letter"))).pages
    assert len(sheet) == 1 and "What to ask the installer" in sheet[0].extract_text()
    with window.page.expect_download() as download:
        window.page.get_by_role("button", name="Download").click()
    assert download.value.path().read_bytes().startswith(b"%PDF")
    window.page.emulate_media(media="print")
    ink, paper = window.page.evaluate(
        "() => [getComputedStyle(document.querySelector('[data-testid=stMain] h1')).color,"
        " getComputedStyle(document.querySelector('[data-testid=stMain]')).backgroundColor]"
    )
    assert (ink, paper) in {("rgb(0, 0, 0)", "rgb(255, 255, 255)")}
    assert not window.page.get_by_role("button", name="Change your answers").is_visible()


@pytest.mark.parametrize("path", ["", "keep-up", "gas-line"])
def test_a_hostile_link_is_shown_as_text_and_asks_no_other_host(visit, path):
    """What the visitor's guard looks at in the end; and the browser itself is told to ask nobody else."""
    window = visit(**DESK)
    refused = []
    window.page.on(
        "console", lambda said: refused.append(said.text) if "Content Security Policy" in said.text else None
    )
    reply = window.page.goto(f"{window.address}/{path}?{query_of(HOUSE, {'heater': 'own-1'})}")
    window.settle()
    assert "default-src 'self'" in reply.headers["content-security-policy"]
    assert window.page.locator("a[href*='elsewhere.invalid'], a[href*='e.org'], [data-testid=stMain] i").count() == 0
    assert window.page.locator("[data-testid=stException]").count() == 0
    assert refused == []
    if path == "gas-line":
        assert TEXT.split("(")[0] in window.text
