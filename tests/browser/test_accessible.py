"""Every page and every question by the rules of accessibility, on a phone and a desk, light and dark; and on paper."""

import io

import pypdf
import pytest

from tests.browser.windows import DESK, PAGES, PHONE, answer_all

#: More than the longest page, with all that is folded, takes.
MOST_SHEETS = 12
#: On paper, what can only be pressed or typed into.
CONTROLS = "button, input, textarea, select, canvas, [role=combobox], [role=radiogroup], [data-testid=stIconMaterial]"

#: Letters of a line (WCAG 2.2, 1.4.8 asks for 80 at most); contrast of letters (1.4.3) and of lines and rings (1.4.11).
MOST_LETTERS, INK_CONTRAST, LINE_CONTRAST = 75, 4.5, 3.0
#: Contrast by WCAG 2.2, "relative luminance"; what is measured stands on the page's ground.
MEASURE = """
  const main = document.querySelector("[data-testid=stMain]");
  const seen = (one) => one.checkVisibility({ visibilityProperty: true, contentVisibilityAuto: true });
  const shown = (what) => [...main.querySelectorAll(what)].filter(seen);
  const look = (one, name) => getComputedStyle(one)[name];
  const channel = (c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
  const light = (color) => {
    const [r, g, b] = color.match(/[\\d.]+/g).map((c) => channel(c / 255));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const contrast = (color) => {
    const ground = getComputedStyle(document.querySelector(".stApp")).backgroundColor;
    const [more, less] = [light(color), light(ground)].sort((a, b) => b - a);
    return (more + 0.05) / (less + 0.05);
  };
"""
EASY_TO_SEE = f"""() => {{ {MEASURE}
  const lines = [];
  for (const block of shown("[data-testid=stMarkdownContainer] :is(p, li)")) {{
    if (block.closest("table, button, summary, label")) continue;
    const rows = new Map(), walker = document.createTreeWalker(block, NodeFilter.SHOW_TEXT), range = new Range();
    for (let node = walker.nextNode(); node; node = walker.nextNode())
      for (let at = 0; at < node.length; at++) {{
        range.setStart(node, at); range.setEnd(node, at + 1);
        const box = range.getBoundingClientRect(), row = Math.round(box.bottom / 6);
        if (box.width) rows.set(row, (rows.get(row) ?? "") + node.data[at]);
      }}
    lines.push(...rows.values());
  }}
  const letters = ".js-plotly-plot text:not(.bartext-inside, .annotation-text):not(.heatmap-label *)";
  return {{
    letters: shown(letters).filter((one) => one.textContent.trim()).map((one) => contrast(look(one, "fill"))),
    lines: shown(".js-plotly-plot .shapelayer path").map((one) => look(one, "stroke"))
      .filter((ink) => !/none|, 0\\)/.test(ink)).map(contrast),
    longest: lines.sort((a, b) => b.length - a.length)[0] ?? "",
    plain: shown("a[href]").filter((one) => ![one, ...one.querySelectorAll("*")]
      .some((part) => look(part, "textDecorationLine").includes("underline"))).map((one) => one.outerHTML),
    low: shown("summary, [role=radiogroup] label, [data-testid=stCheckbox] label, .react-aria-ComboBox > [role=group]")
      .filter((one) => one.offsetHeight && one.offsetHeight < 44).map((one) => one.outerHTML.slice(0, 150)),
  }};
}}"""
RING = f"""() => {{ {MEASURE}
  const one = document.activeElement, named = one.innerText || one.getAttribute("aria-label") || one.tagName;
  const ring = look(one, "outlineStyle") === "solid" && parseFloat(look(one, "outlineWidth")) >= 2;
  const name = named.replace(/keyboard_arrow_\\w+|expand_more/g, "").trim();
  return [name, one.tagName, ring ? contrast(look(one, "outlineColor")) : 0];
}}"""


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", PAGES)
def test_a_cold_deep_link_is_whole_and_accessible(visit, path, scheme, size):
    """Its frame and finding stand, nothing sticks out to the side; nothing serious or critical is found."""
    window = visit(**size, color_scheme=scheme).go(path)
    assert "Duluth, MN" in window.text and len(window.heading) > 5
    assert window.page.locator("[data-testid=stException]").count() == 0
    width = size["viewport"]["width"]
    assert window.page.evaluate("document.querySelector('[data-testid=stMain]').scrollWidth") <= width
    is_accessible(window)
    if size is DESK:
        is_easy_to_see(window)
        prints_well(window)
        # Enlarged two and four times, a desk's window of 1,280 px holds 640 and 320 px of the page.
        for wide in (640, 320):
            window.page.set_viewport_size({"width": wide, "height": 600})
            window.until("wide => document.querySelector('[data-testid=stMain]').scrollWidth <= wide", wide)
            assert window.page.evaluate("document.documentElement.scrollWidth") <= wide


def is_easy_to_see(window):
    """Letters and lines of charts, short lines of text, links as links, targets."""
    charts_are_drawn(window)
    found = window.page.evaluate(EASY_TO_SEE)
    assert min(found["letters"], default=21) >= INK_CONTRAST and min(found["lines"], default=21) >= LINE_CONTRAST
    assert len(found["longest"]) <= MOST_LETTERS, found["longest"]
    assert found["plain"] == [] and found["low"] == []


def charts_are_drawn(window):
    window.until(
        "() => [...document.querySelectorAll('[data-testid=stPlotlyChart]')].every((one) => one.querySelector('svg'))"
    )


def prints_well(window):
    """Black on white from a dark screen too, nothing to press, what is folded open, charts drawn, no blank sheet."""
    charts_are_drawn(window)
    sheets = pypdf.PdfReader(io.BytesIO(window.page.pdf(format="Letter"))).pages
    assert 1 <= len(sheets) <= MOST_SHEETS
    assert all(sheet.extract_text().strip() for sheet in sheets)
    window.page.emulate_media(media="print")
    found = window.page.evaluate(
        """(controls) => {
          const main = document.querySelector("[data-testid=stMain]");
          const seen = (one) => one.checkVisibility({ visibilityProperty: true, contentVisibilityAuto: true });
          const shown = (what) => [...main.querySelectorAll(what)].filter(seen);
          const look = (one, name) => getComputedStyle(one)[name];
          return {
            controls: shown(controls).map((one) => one.outerHTML.slice(0, 120)),
            ink: [...new Set(shown("p, li, h1, h2, h3, td, th").map((one) => look(one, "color")))],
            paper: [...new Set(shown("div, table").map((one) => look(one, "backgroundColor")))],
            charts: [...new Set(shown(".js-plotly-plot text:not(.bartext-inside)").map((one) => look(one, "fill")))],
            folded: shown("details").filter((one) => !seen(one.lastElementChild)).map((one) => one.innerText),
          };
        }""",
        CONTROLS,
    )
    window.page.emulate_media(media="screen")
    assert found["controls"] == [] and found["folded"] == []
    assert found["ink"] == ["rgb(0, 0, 0)"] and set(found["charts"]) <= {"rgb(0, 0, 0)"}
    assert set(found["paper"]) <= {"rgba(0, 0, 0, 0)", "rgb(255, 255, 255)"}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_keyboard_alone_leads_to_the_answer(visit, scheme):
    """Tab and Enter, and a ring that is seen around whatever holds the keyboard."""
    window = visit(**DESK, color_scheme=scheme).go()

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
        window.page.keyboard.press("Enter")
        window.settle()

    def type_in(question, text):
        window.sees(question)
        for _ in range(40):
            window.page.keyboard.press("Tab")
            if window.page.evaluate("document.activeElement.tagName") == "INPUT":
                break
        window.page.keyboard.type(text)
        window.page.keyboard.press("Enter")
        window.settle()

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
        turn_dark(window)
        is_accessible(window)
        window.page.emulate_media(color_scheme="light")

    answer_all(window, looked_at=looked_at)


def turn_dark(window):
    """The reader's device goes dark, and the page with it."""
    window.page.emulate_media(color_scheme="dark")
    window.until(
        "() => /rgb\\((\\d|[1-4]\\d), /.test(getComputedStyle(document.querySelector('.stApp')).backgroundColor)"
    )
    window.settle()


def is_accessible(window):
    """By axe-core, an open accessibility checker; and what is tapped in a question is 44 px high."""
    from axe_playwright_python.sync_playwright import Axe

    # The menu of a phone is mended a moment after it is drawn.
    window.page.wait_for_timeout(400)
    # Colours move over when the device goes dark; what is still between them is looked at once more.
    for again_ms in (0, 2000):
        window.page.wait_for_timeout(again_ms)
        found = Axe().run(window.page).response["violations"]
        grave = [item for item in found if item["impact"] in {"serious", "critical"}]
        if not grave:
            break
    told = [(item["id"], item["nodes"][0]["html"][:160], len(item["nodes"])) for item in grave]
    assert not grave, told
    low = window.page.evaluate(
        "() => [...document.querySelectorAll('[data-testid=stMain] [data-testid^=stBaseButton-]')]"
        ".filter((one) => one.offsetHeight && one.offsetHeight < 44 && one.checkVisibility())"
        ".map((one) => one.innerText)"
    )
    assert not [text for text in low if text.strip()], low
