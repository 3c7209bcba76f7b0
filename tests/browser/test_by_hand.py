"""The questions by the keyboard alone, and each by the rules of accessibility on a phone."""

import pytest

from tests.browser.looks import LINE_CONTRAST, MEASURE, is_accessible, turn
from tests.browser.windows import DESK, PHONE, answer_all

RING = f"""() => {{ {MEASURE}
  const one = document.activeElement, named = one.innerText || one.getAttribute("aria-label") || one.tagName;
  const ring = look(one, "outlineStyle") === "solid" && parseFloat(look(one, "outlineWidth")) >= 2;
  const name = named.replace(/keyboard_arrow_\\w+|expand_more/g, "").trim();
  return [name, one.tagName, ring ? contrast(look(one, "outlineColor")) : 0];
}}"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_keyboard_alone_leads_to_the_answer(visit, scheme):
    """Tab and Enter, and a ring that is seen around whatever holds the keyboard."""
    window = visit(**DESK, color_scheme=scheme).go()

    def enter():
        """Press Enter, which leads to another heading: what still stands of the page before is not to be pressed."""
        before = window.heading
        window.page.keyboard.press("Enter")
        window.until("before => document.querySelector('h1')?.innerText !== before", before)
        window.settle()

    def press(name):
        window.sees(name)
        for _ in range(40):
            window.page.keyboard.press("Tab")
            held, tag, ring = window.page.evaluate(RING)
            # The page itself takes the keyboard to be scrolled.
            assert tag in {"MAIN", "BODY", "H1"} or ring >= LINE_CONTRAST, (held, tag, ring)
            if held == name:
                break
        assert held == name
        enter()

    def type_in(question, text):
        window.sees(question)
        for _ in range(40):
            window.page.keyboard.press("Tab")
            if window.page.evaluate("document.activeElement.tagName") == "INPUT":
                break
        window.page.keyboard.type(text)
        enter()

    press("Start with my house")
    press("No hot water at all")
    type_in("Where is the house?", "Phoenix, AZ")
    type_in("How many people live there?", "3")
    for name in ("A tank with a thick cable, no pipe for fumes", "Next", "I don't know", "Sometimes", "Garage"):
        press(name)
    press("Show the answer")
    assert window.sees("Phoenix, AZ", "What to do today") and window.heading.startswith("Put in a")


def test_every_question_is_accessible_on_a_phone(visit):
    window = visit(**PHONE, color_scheme="light").go()

    def looked_at(window):
        is_accessible(window)
        turn(window, "dark")
        is_accessible(window)
        turn(window, "light")

    answer_all(window, looked_at=looked_at)
