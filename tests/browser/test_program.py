"""The page of a rebate program in a browser: screened, read, and accessible, on a phone and a desk, light and dark."""

import pytest

PHONE = {"viewport": {"width": 390, "height": 844}, "user_agent": "Mozilla/5.0 (Linux; Android 15) Mobile"}
DESK = {"viewport": {"width": 1280, "height": 900}}


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("options", [PHONE, DESK], ids=["phone", "desk"])
def test_the_demo_is_screened_and_accessible(visit, options, scheme):
    from axe_playwright_python.sync_playwright import Axe

    window = visit(**options, color_scheme=scheme).go("rebate-program")
    window.press("Screen them")
    window.sees("4 of 10 can be paid: $1,930", "Why not, by rule", "One application", "By county")
    width = options["viewport"]["width"]
    assert window.page.evaluate("document.querySelector('[data-testid=stMain]').scrollWidth") <= width
    found = Axe().run(window.page, context="[data-testid=stMain]").response["violations"]
    assert [one["id"] for one in found if one["impact"] in {"serious", "critical"}] == []
