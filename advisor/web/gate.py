"""The gate before a server that listens beyond this machine: each code in an address lets one browser in, once."""

from __future__ import annotations

import ipaddress
import secrets
import threading
from collections.abc import Callable
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qsl, quote, urlencode, urlsplit

from advisor.core.errors import InputError
from advisor.report.words import LOCALES, say

COOKIE = "advisor_admitted"
_MOST_ADMITTED = 50


def is_beyond(host: str) -> bool:
    """Whether a server at this address can be reached from another machine: anything but a loopback address.

    Raises
    ------
    InputError
        It is no address.
    """
    if host == "localhost":
        return False
    try:
        return not ipaddress.ip_address(host).is_loopback
    except ValueError as error:
        fix = "give one such as 192.168.1.20, or 0.0.0.0 for every address of this machine"
        raise InputError("host", host, "this is no address", fix) from error


def is_foreign(scope: Any) -> bool:
    """Whether a page of another host opens the connection: the browser names where it comes from."""
    headers = dict(scope.get("headers", ()))
    origin = headers.get(b"origin", b"").decode("latin-1")
    return bool(origin) and urlsplit(origin).netloc != headers.get(b"host", b"").decode("latin-1")


class Codes:
    """The code that the next browser needs, and the browsers that were let in.

    Parameters
    ----------
    told : callable
        Told each new code, as the one before was used.
    """

    def __init__(self, told: Callable[[str], None]) -> None:
        self._told, self._alone = told, threading.Lock()
        self._admitted: list[str] = []
        self.code = secrets.token_urlsafe(16)

    def admit(self, code: str) -> str | None:
        """The pass of a browser that brings the code, which is used up by that; None for any other code."""
        with self._alone:
            if not secrets.compare_digest(code.encode(), self.code.encode()):
                return None
            made, self.code = secrets.token_urlsafe(32), secrets.token_urlsafe(16)
            self._admitted = [*self._admitted[-_MOST_ADMITTED + 1 :], made]
        self._told(self.code)
        return made

    def knows(self, brought: str) -> bool:
        """Whether a pass is that of a browser that was let in."""
        return any(secrets.compare_digest(brought.encode(), one.encode()) for one in self._admitted)


class Gate:
    """Refuses every request, the browser's socket too, that brings neither a pass nor the code.

    Parameters
    ----------
    app : ASGI application
        What stands behind it.
    codes : Codes
        Who may come in.
    """

    def __init__(self, app: Any, codes: Codes) -> None:
        self.app, self.codes = app, codes

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        """Serve one request, or refuse it."""
        if scope["type"] not in {"http", "websocket"} or self.codes.knows(_pass_of(scope)):
            await self.app(scope, receive, send)
        elif scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})
        else:
            await self._at_the_door(scope, send)

    async def _at_the_door(self, scope: Any, send: Any) -> None:
        asked = parse_qsl(scope.get("query_string", b"").decode("latin-1"), keep_blank_values=True)
        made = next((found for key, code in asked if key == "code" and (found := self.codes.admit(code))), None)
        if made is None:
            text = "\n".join(say("serve.refused", language=language) for language in LOCALES)
            await _answer(send, 403, [(b"content-type", b"text/plain; charset=utf-8")], text.encode())
            return
        # The code leaves the address: it stands in no history, and is used up anyway.
        rest = urlencode([pair for pair in asked if pair[0] != "code"])
        # One slash only: two would name another host.
        path = "/" + scope.get("path", "/").lstrip("/")
        headers = [
            (b"location", f"{quote(path)}{'?' + rest if rest else ''}".encode()),
            (b"set-cookie", f"{COOKIE}={made}; Path=/; HttpOnly; SameSite=Lax".encode()),
        ]
        await _answer(send, 303, headers, b"")


def _pass_of(scope: Any) -> str:
    held = dict(scope.get("headers", ())).get(b"cookie", b"").decode("latin-1")
    try:
        found = SimpleCookie(held).get(COOKIE)
    except CookieError:
        return ""
    return found.value if found else ""


async def _answer(send: Any, status: int, headers: list[tuple[bytes, bytes]], body: bytes) -> None:
    always = [(b"cache-control", b"no-store"), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": status, "headers": [*headers, *always]})
    await send({"type": "http.response.body", "body": body})
