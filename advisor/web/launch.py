"""Start the app on this machine: one process, the next free port, no outside request of any kind."""

from __future__ import annotations

import base64
import errno
import gc
import hashlib
import re
import socket
import threading
import time
import webbrowser
from contextlib import suppress
from pathlib import Path
from typing import Any
from urllib.error import HTTPError, URLError
from urllib.request import urlopen

from advisor.book.store import Book
from advisor.core.errors import InputError
from advisor.report.words import say
from advisor.web import job_book
from advisor.web.gate import Codes, Gate, is_beyond, is_foreign
from advisor.web.theme import THEME

ADDRESS = "127.0.0.1"
FIRST_PORT, LAST_PORT = 8501, 8599
LAST_OF_ALL = 65_535
#: Enough for thousands of sessions.
MOST_FILES = 8192


def content_policy() -> str:
    """What a page may load: only what this server sends, and no script but the app's own.

    Should a text ever slip through as a picture or a script, the browser still asks no other host for it. Streamlit
    and its charts write styles as they go and load parts of themselves from memory; its page holds a line of script,
    which is let through by its hash.
    """
    import streamlit

    page = (Path(streamlit.__file__).parent / "static" / "index.html").read_text(encoding="utf-8")
    lines = re.findall(r"<script>(.*?)</script>", page, re.DOTALL)
    hashes = [f"'sha256-{base64.b64encode(hashlib.sha256(line.encode()).digest()).decode()}'" for line in lines]
    return "; ".join(
        (
            "default-src 'self'",
            " ".join(("script-src 'self' blob:", *hashes)),
            "style-src 'self' 'unsafe-inline'",
            "img-src 'self' data: blob:",
            "font-src 'self' data:",
            "worker-src 'self' blob:",
            "connect-src 'self' blob: data:",
            "object-src 'none'",
            "base-uri 'self'",
            "form-action 'self'",
            "frame-ancestors 'self'",
        )
    )


class Guarded:
    """Sends the policy with every reply of the server."""

    def __init__(self, app: Any) -> None:
        self.app = app
        self.headers = [
            (b"content-security-policy", content_policy().encode()),
            (b"x-content-type-options", b"nosniff"),
            (b"referrer-policy", b"no-referrer"),
        ]

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        """Serve one request; a page of another host is not let into the browser's socket."""
        if scope["type"] == "websocket" and is_foreign(scope):
            await send({"type": "websocket.close", "code": 1008})
            return

        async def send_guarded(message: Any) -> None:
            if message["type"] == "http.response.start":
                ours = {name for name, _ in self.headers}
                others = [pair for pair in message.get("headers", ()) if pair[0].lower() not in ours]
                message = {**message, "headers": [*others, *self.headers]}
            await send(message)

        await self.app(scope, receive, send_guarded)


def settings(port: int, host: str = ADDRESS) -> dict[str, object]:
    """Options of the server: this machine only, nothing reported, no file watcher, no tracebacks shown."""
    return {
        "server.port": port,
        "server.address": host,
        "server.headless": True,
        "server.fileWatcherType": "none",
        "server.maxUploadSize": 1,
        # A session holds three files. Whoever has left is forgotten after a minute; the address still holds the house.
        "server.disconnectedSessionTTL": 60,
        "browser.gatherUsageStats": False,
        "browser.serverAddress": host,
        "client.showErrorDetails": "none",
        "client.showErrorLinks": False,
        "client.toolbarMode": "viewer",
        "runner.magicEnabled": False,
        # A full collection after every run holds all sessions up for longer than the run itself took; Python's own
        # collector still does its rounds.
        "runner.postScriptGC": False,
        "logger.level": "error",
        **THEME,
    }


def free_port(wanted: int | None = None, host: str = ADDRESS) -> int:
    """The port asked for, or the first free one from 8501 up.

    Raises
    ------
    InputError
        The port asked for does not exist or is in use, or none is free; or this machine has no such address.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    if wanted is not None and not 1 <= wanted <= LAST_OF_ALL:
        raise InputError("port", wanted, "there is no such port", "give one from 1024 to {most}", most=LAST_OF_ALL)
    choices = [wanted] if wanted is not None else range(FIRST_PORT, LAST_PORT + 1)
    for port in choices:
        with socket.socket(family, socket.SOCK_STREAM) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((host, port))
            except OSError as error:
                if error.errno == errno.EADDRNOTAVAIL:
                    why = "this machine has no such address"
                    raise InputError("host", host, why, "give one of its own, or 0.0.0.0 for all of them") from error
                continue
            return port
    raise InputError(
        "port", wanted, "this port is in use" if wanted else "no port is free", "choose another with --port"
    )


def serve(port: int | None = None, *, open_browser: bool = True, host: str = ADDRESS, book: Path | None = None) -> None:
    """Run the app until it is stopped.

    Parameters
    ----------
    port : int, optional
        The next free one if not given.
    open_browser : bool
        Show the app in this machine's browser.
    host : str
        Address to listen at. Beyond this machine, a browser needs a code that stands in the address and works once.
    book : Path, optional
        Folder that jobs are kept in; nothing is stored without one.
    """
    import streamlit
    from starlette.middleware import Middleware

    beyond = is_beyond(host)
    job_book.may_choose = not beyond
    if book is not None:
        job_book.book = Book(book)
    chosen = free_port(port, host)
    _allow_many_sessions()
    _warm_up()
    address = server = _address(host, chosen)
    doors = [Middleware(Guarded)]
    if beyond:
        codes = Codes(lambda code: print(say("serve.next", address=f"{server}/?code={code}"), flush=True))
        doors.append(Middleware(Gate, codes=codes))
        print(say("serve.warning"), flush=True)
        address = f"{server}/?code={codes.code}"
    print(f"The advisor runs at {address} (stop it with Ctrl+C).", flush=True)
    if open_browser:
        threading.Thread(target=_open_when_ready, args=(address,), daemon=True).start()
    entry = Path(__file__).resolve().parent / "main.py"
    streamlit.App(entry, middleware=doors).run(config=settings(chosen, host))


def _address(host: str, port: int) -> str:
    """Where a browser finds the server; one that listens at every address is told by the one that others reach."""
    if host in {"0.0.0.0", "::"}:
        host = _seen_from_outside()
    # An address with colons stands in brackets.
    shown = f"[{host}]" if ":" in host else host
    return f"http://{shown}:{port}"


def _seen_from_outside() -> str:
    """This machine's address in its network. Nothing is sent: the system only chooses the way that it would go."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # kept for documents (RFC 5737), nobody's
        except OSError:
            return ADDRESS
        return str(probe.getsockname()[0])


def _allow_many_sessions() -> None:
    """A session holds three files open, and many a shell lets a program open only some hundred unless it asks."""
    try:
        import resource
    except ImportError:  # there is no such limit on this system
        return
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = MOST_FILES if hard == resource.RLIM_INFINITY else min(MOST_FILES, hard)
    if soft < wanted:
        with suppress(ValueError, OSError):
            resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, hard))


def _warm_up() -> None:
    """Load what every answer needs, so that the first visitor does not wait for it."""
    from advisor.web import state

    state.demo_comparison()
    # What is loaded by now stays for good: the collector need not walk through it again while people wait. One answer
    # makes some ten thousand objects, so that at its usual pace it would come round many times in each.
    gc.freeze()
    gc.set_threshold(50_000, 20, 10)


def _open_when_ready(address: str) -> None:
    for _ in range(100):
        try:
            with urlopen(f"{address.partition('/?')[0]}/_stcore/health", timeout=1):
                break
        except HTTPError:  # the gate has answered, so the server is there
            break
        except (URLError, OSError):
            time.sleep(0.2)
    else:
        return
    webbrowser.open(address)
