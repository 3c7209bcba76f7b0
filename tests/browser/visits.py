"""A contractor's visit in the browser: a case is opened, kept, walked page by page, handed over, opened again.

By hand, for every job of ``tests/jobs``, with a picture of every page as a tablet shows it and every paper::

    python -m tests.browser.visits --out FOLDER [--job NAME]...
"""

from __future__ import annotations

import argparse
import re
import shutil
import tempfile
from pathlib import Path
from urllib.parse import urlsplit

from tests.browser.conftest import ARGUMENTS, HOST, Visitor, free_port, start_server

JOBS = Path(__file__).parents[1] / "jobs"
TABLET = {"viewport": {"width": 820, "height": 1180}}
PAGES = ("offers", "job", "gas-line", "vent-and-air", "panel-and-drain", "trainer", "work", "money", "compare", "")
_TALLEST_PX = 15_000


def open_case(window, path):
    """Open a case file as a person does, through the strip."""
    window.press("Save or load")
    window.page.locator("input[type=file]").first.set_input_files(path)
    window.page.wait_for_timeout(800)
    window.settle()
    window.page.keyboard.press("Escape")
    window.settle()


def walk(window, page):
    """Another page of the same session, by the navigation: its group is opened, its link pressed."""
    for group in window.page.get_by_test_id("stTopNavSection").all():
        group.click()
        window.until("() => [...document.links].some(link => link.closest('[role=menu]'))")
        links = window.page.get_by_role("menuitem").all()
        link = next((one for one in links if urlsplit(one.get_attribute("href") or "?").path == f"/{page}"), None)
        if link is not None:
            link.click()
            window.settle()
            return
        window.page.keyboard.press("Escape")
    raise AssertionError(f"no link leads to {page or 'the first page'}")


def into_the_book(window):
    """Put the house on the screen into the book under the name and day of its case."""
    window.press("Put into the book")


def keep(window):
    """Write what was answered, by the button in the strip."""
    window.press("Save or load")
    window.page.locator(".st-key-book_keep_strip button").click()
    window.settle()
    window.page.keyboard.press("Escape")
    window.settle()


def fetched(window, button):
    """What a button of a file hands over."""
    with window.page.expect_download(timeout=60_000) as download:
        window.page.get_by_role("button", name=button, exact=True).click()
    return Path(download.value.path()).read_bytes()


def pictured(window, path):
    """The whole page as the tablet shows it: a screen as tall as what is on it."""
    tall = window.page.evaluate("document.querySelector('[data-testid=stMain]').scrollHeight") + 90
    size = window.page.viewport_size
    window.page.set_viewport_size({"width": size["width"], "height": min(tall, _TALLEST_PX)})
    window.page.wait_for_timeout(700)
    window.settle()
    window.page.screenshot(path=path)
    window.page.set_viewport_size(size)
    window.settle()


def too_wide(window):
    """Texts that are cut off at the side of the screen, where nobody can scroll to."""
    return window.page.evaluate(
        """() => [...document.querySelectorAll('[data-testid=stMain] :is(h1, h2, h3, p, li, label, button, th, td)')]
        .filter(one => one.offsetParent !== null && !one.closest('[data-testid=stDataFrame]'))
        .filter(one => one.getBoundingClientRect().right > innerWidth + 1)
        .map(one => `${one.tagName}: ${one.innerText.slice(0, 60)}`)"""
    )


def visit(browser, address, name, out):
    """One job, from its file to the paper and out of the book again; what was cut off."""
    window = Visitor(browser, address, **TABLET)
    window.go("book")
    open_case(window, JOBS / f"{name}.toml")
    into_the_book(window)
    pictured(window, out / f"{name}-book.png")
    wide = []
    for page in PAGES:
        walk(window, page)
        pictured(window, out / f"{name}-{page or 'start'}.png")
        wide += [f"{page}: {text}" for text in too_wide(window)]
        errors = window.page.locator("[data-testid=stException]").count()
        wide += [f"{page}: an exception"] * errors
    walk(window, "offers")
    for kind, button in (("pdf", "Make the PDF"), ("html", "Make a page for a phone")):
        (out / f"{name}.{kind}").write_bytes(fetched(window, button))
    wide += window.outside
    window.context.close()
    return wide


def main() -> None:
    """Every job, or those that were named."""
    from playwright.sync_api import sync_playwright

    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--job", action="append")
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    port = free_port()
    with tempfile.TemporaryDirectory() as book, sync_playwright() as playwright:
        server = start_server(port, "--book", book)
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=ARGUMENTS)
        try:
            for name in options.job or sorted(path.stem for path in JOBS.glob("*.toml")):
                found = visit(browser, f"http://{HOST}:{port}", name, options.out)
                print(name, "; ".join(re.sub(r"\s+", " ", one) for one in found) or "nothing cut off", flush=True)
        finally:
            browser.close()
            server.terminate()
            server.wait(10)


if __name__ == "__main__":
    main()
