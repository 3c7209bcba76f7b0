"""The app in a real browser: how soon a change gives a new verdict, and how soon the first page stands.

Run by hand: python tests/speed/benchmark_app.py [--changes 60] [--visits 9]. It starts the app itself, and an empty
Streamlit app beside it: the ratio of their first paints compares two machines, or two days on one.
"""

import argparse
import re
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))

from conftest import ARGUMENTS, HOST, READY, free_port, start_server, wait_until_up
from playwright.sync_api import sync_playwright

from advisor.case.file import read_case
from advisor.comparison import compare
from advisor.core import paths
from advisor.web.answer import title
from advisor.web.state import DEMO
from advisor.web.widgets import dollars, money_range

EMPTY = 'import streamlit as st\nst.title("Empty")\n'
#: Resolves to the time from the key press until the page shows this heading and these three numbers. [ms]
WATCH = """([heading, numbers]) => {
  window.answered = new Promise(resolve => {
    document.addEventListener('keydown', () => { window.pressed = performance.now(); }, {once: true, capture: true});
    const look = () => {
      const shown = Array.from(document.querySelectorAll('[data-testid=stMetricValue]'), item => item.innerText.trim());
      if (!window.pressed || document.querySelector('h1').innerText.trim() !== heading) return;
      if (JSON.stringify(shown) !== JSON.stringify(numbers)) return;
      observer.disconnect();
      resolve(performance.now() - window.pressed);
    };
    const observer = new MutationObserver(look);
    window.pressed = 0;
    observer.observe(document.body, {subtree: true, childList: true, characterData: true});
  });
}"""


def verdict(gallons_a_day: float) -> tuple[str, list[str]]:
    """What the first page must say of the demo house with this much hot water: the heading and the three numbers."""
    given = read_case(paths.CASES / f"{DEMO}.toml")
    household = given.household.model_copy(update={"hot_water_gpd": gallons_a_day})
    comparison = compare(given.model_copy(update={"household": household}))
    assert comparison.recommended_id is not None
    chosen = comparison.candidate(comparison.recommended_id)
    low, _, high = chosen.installed_usd
    running = dollars(chosen.running_cost.usd_per_yr)
    keeps = f"{chosen.capacity.verdict.sign} {chosen.capacity.verdict}"
    texts = [f"{title(chosen)}: about {running} a year to run", money_range(low, high), running, keeps]
    heading, *numbers = (text.replace("\\", "") for text in texts)
    return heading, numbers


def first_paint_s(browser, address: str) -> float:
    """Time until the first page shows its heading, in a browser that has never been here. [s]"""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    started = perf_counter()
    page.goto(address, wait_until="commit")
    page.wait_for_selector("[data-testid=stMain] h1", timeout=60_000)
    seconds = perf_counter() - started
    context.close()
    return seconds


def changes_ms(browser, address: str, count: int) -> list[float]:
    """Change the hot water used, each time to an amount not seen before and far from the last. [ms]"""
    page = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
    page.goto(address)
    page.wait_for_selector(READY, timeout=60_000)
    page.get_by_role("button", name=re.compile(r"gal.day$")).first.click()
    field = page.get_by_label("Hot water (gal/day)", exact=True)
    found = []
    for number in range(count):
        gallons = (40 if number % 2 else 100) + number / 2
        wanted = verdict(gallons)
        page.wait_for_timeout(500)
        field.fill(f"{gallons:g}")
        page.evaluate(WATCH, wanted)
        field.press("Enter")
        found.append(page.evaluate("window.answered"))
    return found


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--changes", type=int, default=60)
    options.add_argument("--visits", type=int, default=9)
    chosen = options.parse_args()
    port, empty_port = free_port(), free_port()
    server = start_server(port)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        entry = Path(folder) / "empty.py"
        entry.write_text(EMPTY, encoding="utf-8")
        command = [
            sys.executable,
            "-m",
            "streamlit",
            "run",
            str(entry),
            "--server.port",
            str(empty_port),
            "--server.headless",
            "true",
            "--server.address",
            HOST,
            "--browser.gatherUsageStats",
            "false",
            "--server.fileWatcherType",
            "none",
        ]
        empty = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        try:
            wait_until_up(empty, empty_port)
            browser = playwright.chromium.launch(args=ARGUMENTS, executable_path="/usr/bin/chromium")
            addresses = [f"http://{HOST}:{one}" for one in (port, empty_port)]
            paints = [[first_paint_s(browser, address) for address in addresses] for _ in range(chosen.visits + 1)]
            ours, theirs = (median(one[place] for one in paints[1:]) for place in (0, 1))
            waits = sorted(changes_ms(browser, addresses[0], chosen.changes))
            browser.close()
        finally:
            empty.terminate()
            server.terminate()
    print(f"first page: {ours:.2f} s, an empty app {theirs:.2f} s, {ours / theirs:.2f} times (aim: 1.5 at most)")
    print(
        f"change to new verdict, {len(waits)} changes: median {median(waits):.0f} ms, 95th percentile"
        f" {waits[int(0.95 * len(waits))]:.0f} ms (aim: 300 at most)"
    )


if __name__ == "__main__":
    main()
