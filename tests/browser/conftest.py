"""The real app in a real browser: one server for the run, and a guard that fails on any request to another host."""

import os
import re
import shutil
import socket
import subprocess
import sys
import time
from contextlib import contextmanager
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import pytest

pytest.register_assert_rewrite("tests.browser.looks")

ROOT = Path(__file__).resolve().parents[2]
HOST = "127.0.0.1"
READY = "[data-testid='stApp'][data-test-script-state='notRunning']"
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        return probe.getsockname()[1]


def start_server(port: int, *more: str) -> subprocess.Popen:
    command = [sys.executable, "-m", "advisor", "serve", "--port", str(port), "--no-browser", *more]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    server = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    wait_until_up(server, port)
    return server


def wait_until_up(server: subprocess.Popen, port: int) -> None:
    for _ in range(300):
        try:
            with urlopen(f"http://{HOST}:{port}/_stcore/health", timeout=1):
                return
        except (URLError, OSError):
            if server.poll() is not None:
                raise RuntimeError(server.stdout.read() if server.stdout else "the server stopped") from None
            time.sleep(0.2)
    server.kill()
    raise RuntimeError("the app did not start")


@pytest.fixture(scope="session")
def address():
    port = free_port()
    server = start_server(port)
    yield f"http://{HOST}:{port}"
    server.terminate()
    server.wait(10)


@pytest.fixture(scope="module")
def browser():
    """Closed after each module: while it is open, no test of the same process can run a loop of its own."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        if os.environ.get("CI"):
            pytest.fail("Chromium is not installed, and on CI no browser test is skipped")
        pytest.skip("Chromium is not installed")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        yield started
        started.close()


class Visitor:
    """One person's window on the app."""

    def __init__(self, browser, address, **options):
        self.context = browser.new_context(**options)
        self.outside: list[str] = []
        self.context.on("request", self._note)
        self.page = self.context.new_page()
        self.address = address

    def _note(self, request):
        if not re.match(rf"(https?|wss?)://{re.escape(HOST)}[:/]|data:|blob:|about:", request.url):
            self.outside.append(request.url)

    def go(self, path: str = ""):
        self.page.goto(f"{self.address}/{path}")
        self.settle()
        return self

    def settle(self):
        """Wait until the script has run and nothing is left to be drawn."""
        self.page.wait_for_timeout(250)
        self.page.wait_for_selector(READY, timeout=60_000)
        self.until("() => document.querySelectorAll('[data-testid=stSkeleton]').length === 0", seconds=60)

    def until(self, script: str, given=None, *, seconds: float = 30):
        """Wait until a function says yes. Playwright's own way needs scripts from text, which the pages forbid."""
        late = time.monotonic() + seconds
        while not self.page.evaluate(script, given):
            if time.monotonic() > late:
                raise TimeoutError(f"{script} {given}")
            self.page.wait_for_timeout(50)

    def press(self, name: str):
        self.page.get_by_role("button", name=name, exact=True).click()
        self.settle()

    def sees(self, *texts: str) -> bool:
        """Whether all of these come to stand on the page; the run that draws them is waited for."""
        script = "texts => texts.every(text => document.querySelector('[data-testid=stMain]').innerText.includes(text))"
        self.until(script, list(texts))
        # What is typed while the run still draws can be drawn over.
        self.settle()
        return True

    @property
    def heading(self) -> str:
        return self.page.locator("h1").first.inner_text()

    @property
    def text(self) -> str:
        return self.page.locator("[data-testid='stMain']").inner_text()


@contextmanager
def visits(browser, address):
    """What opens a window; at the end, no request may have left this machine."""
    opened: list[Visitor] = []

    def open_window(**options) -> Visitor:
        window = Visitor(browser, address, **options)
        opened.append(window)
        return window

    yield open_window
    outside = [url for window in opened for url in window.outside]
    for window in opened:
        window.context.close()
    assert not outside, f"the app asked other hosts: {outside}"


@pytest.fixture
def visit(browser, address):
    """Open a window that knows of no other."""
    with visits(browser, address) as open_window:
        yield open_window


@pytest.fixture(scope="module")
def kept_window(browser, address):
    """A window for each size and scheme: what the browser has read for one page it need not read for the next."""
    with visits(browser, address) as open_window:
        held: dict[tuple[str, str], Visitor] = {}

        def window(size: dict, scheme: str) -> Visitor:
            key = str(size), scheme
            if key not in held:
                held[key] = open_window(**size, color_scheme=scheme)
            held[key].page.set_viewport_size(size["viewport"])
            held[key].page.emulate_media(color_scheme=scheme)
            return held[key]

        yield window
