"""Every page by the rules of accessibility, on a phone and a desk, light and dark; and on paper."""

import io

import pypdf
import pytest

from tests.browser.looks import charts_are_drawn, is_accessible, is_easy_to_see, turn
from tests.browser.windows import DESK, PAGES, PHONE

#: More than the longest page, with all that is folded, takes.
MOST_SHEETS = 12
#: On paper, what can only be pressed or typed into.
CONTROLS = "button, input, textarea, select, canvas, [role=combobox], [role=radiogroup], [data-testid=stIconMaterial]"

#: Each page at both widths and in both schemes: half of the pages are light on the desk, half on the phone.
VISITS = [
    pytest.param(path, size, scheme, id=f"{path}-{scheme}-{'desk' if size is DESK else 'phone'}")
    for number, path in enumerate(PAGES)
    for size, scheme in ((DESK, ("light", "dark")[number % 2]), (PHONE, ("dark", "light")[number % 2]))
]


@pytest.mark.parametrize(("path", "size", "scheme"), VISITS)
def test_a_cold_deep_link_is_whole_and_accessible(kept_window, path, size, scheme):
    """Its frame and finding stand, nothing sticks out to the side; nothing serious or critical is found."""
    window = kept_window(size, scheme).go(path)
    assert "Duluth, MN" in window.text and len(window.heading) > 5
    assert window.page.locator("[data-testid=stException]").count() == 0
    width = size["viewport"]["width"]
    assert window.page.evaluate("document.querySelector('[data-testid=stMain]').scrollWidth") <= width
    is_accessible(window)
    if size is DESK:
        for shown in (scheme, "light" if scheme == "dark" else "dark"):
            turn(window, shown)
            is_easy_to_see(window)
            prints_well(window)
        # Enlarged two and four times, a desk's window of 1,280 px holds 640 and 320 px of the page.
        for wide in (640, 320):
            window.page.set_viewport_size({"width": wide, "height": 600})
            window.until("wide => document.querySelector('[data-testid=stMain]').scrollWidth <= wide", wide)
            assert window.page.evaluate("document.documentElement.scrollWidth") <= wide


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
