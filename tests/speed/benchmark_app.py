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

EMPTY = 'import streamlit as st\nst.title("Empty")\n'
#: Resolves to the time from the key press until the page shows the new set point and, above it, the new verdict. [ms]
WATCH = """wanted => {
  window.answered = new Promise(resolve => {
    const start = () => { window.pressed = performance.now(); };
    document.addEventListener('keydown', start, {once: true, capture: true});
    const look = () => {
      const main = document.querySelector('[data-testid=stMain]').textContent;
      if (!window.pressed || !main.includes(wanted)) return;
      observer.disconnect();
      resolve(performance.now() - window.pressed);
    };
    const observer = new MutationObserver(look);
    window.pressed = 0;
    observer.observe(document.body, {subtree: true, childList: true, characterData: true});
  });
}"""


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
    """Change the set point again and again, each time to one not seen before. [ms]"""
    page = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
    page.goto(address)
    page.wait_for_selector(READY, timeout=60_000)
    found = []
    for number in range(count):
        set_point = 110 + number * 0.5
        page.wait_for_timeout(300)
        field = page.get_by_label("Set point (°F)", exact=True)
        if not field.is_visible():
            page.get_by_role("button", name=re.compile(r"^[\d.]+ °F$")).first.click()
        field.fill(f"{set_point:g}")
        page.evaluate(WATCH, f"{set_point:g} °F")
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
        command = [sys.executable, "-m", "streamlit", "run", str(entry), "--server.port", str(empty_port),
                   "--server.headless", "true", "--server.address", HOST, "--browser.gatherUsageStats", "false",
                   "--server.fileWatcherType", "none"]  # fmt: skip
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
    print(f"change to new verdict, {len(waits)} changes: median {median(waits):.0f} ms, 95th percentile"
          f" {waits[int(0.95 * len(waits))]:.0f} ms (aim: 300 at most)")  # fmt: skip


if __name__ == "__main__":
    main()
