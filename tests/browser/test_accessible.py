"""Every page and every question by the rules of accessibility, on a phone and a desk, light and dark; and on paper."""

import io

import pypdf
import pytest

from tests.browser.windows import DESK, PAGES, PHONE, answer_all

#: More than the longest page, with all that is folded, takes.
MOST_SHEETS = 12
#: On paper, what can only be pressed or typed into.
CONTROLS = "button, input, textarea, select, canvas, [role=combobox], [role=radiogroup], [data-testid=stIconMaterial]"


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
        prints_well(window)


def prints_well(window):
    """Black on white from a dark screen too, nothing to press, what is folded open, charts drawn, no blank sheet."""
    window.until(
        "() => [...document.querySelectorAll('[data-testid=stPlotlyChart]')].every((one) => one.querySelector('svg'))"
    )
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
