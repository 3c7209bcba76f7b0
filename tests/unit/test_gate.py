"""Beyond this machine nothing is served without a code, which works once; the socket is held to the same."""

import asyncio
from types import SimpleNamespace
from urllib.parse import quote

import pytest

from advisor.cli import BAD_INPUT, main
from advisor.core.errors import InputError
from advisor.web.gate import COOKIE, Codes, Gate, is_beyond
from advisor.web.launch import ADDRESS, Guarded, free_port, settings

HOST = b"192.168.1.20:8501"


async def house(scope, receive, send):
    """What stands behind the gate."""
    if scope["type"] == "websocket":
        await send({"type": "websocket.accept"})
        return
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": b"the house"})


@pytest.fixture
def served():
    """The doors as they are built before the app, the codes, and what was told."""
    told = []
    codes = Codes(told.append)
    return Guarded(Gate(house, codes)), codes, told


def ask(app, path, query="", cookie=b"", method="GET"):
    """One request as the server hands it over."""
    sent = []

    async def send(message):
        sent.append(message)

    headers = [(b"host", HOST), (b"cookie", cookie)]
    scope = {"type": "http", "method": method, "path": path, "query_string": query.encode(), "headers": headers}
    asyncio.run(app(scope, None, send))
    start, body = sent
    found = {name.decode(): value.decode() for name, value in start["headers"]}
    return SimpleNamespace(status=start["status"], headers=found, text=body["body"].decode())


def is_socket_open(app, cookie=b"", origin=None, query=b""):
    sent = []

    async def send(message):
        sent.append(message["type"])

    headers = [(b"host", HOST), (b"cookie", cookie), *([(b"origin", origin)] if origin else [])]
    asyncio.run(app({"type": "websocket", "path": "/s", "query_string": query, "headers": headers}, None, send))
    assert sent in (["websocket.accept"], ["websocket.close"])
    return sent == ["websocket.accept"]


def let_in(app, codes):
    reply = ask(app, "/", f"code={codes.code}")
    return reply.headers["set-cookie"].partition(";")[0].encode()


@pytest.mark.parametrize("path", ["/", "/_stcore/health", "/static/x.js", "/media/a", "/_stcore/upload_file/a/b"])
@pytest.mark.parametrize("query", ["", "code=", "code=wrong", "code=%00", f"code={quote('é')}", "code=a&code=b", "x=1"])
@pytest.mark.parametrize("method", ["GET", "PUT"])
def test_without_the_code_nothing_is_served(served, path, query, method):
    app, _, told = served
    for cookie in (b"", f"{COOKIE}=made-up".encode(), f"{COOKIE}=; x=\xff;;=".encode("latin-1")):
        reply = ask(app, path, query, cookie, method)
        assert reply.status == 403 and "the house" not in reply.text
        assert "needs its code" in reply.text and "necesita su código" in reply.text
        assert "set-cookie" not in reply.headers and "content-security-policy" in reply.headers and told == []


def test_the_code_lets_one_browser_in_and_leaves_the_address(served):
    app, codes, told = served
    first = codes.code
    reply = ask(app, "/gas-line", f"lang=es&code={first}&x=a%26b")
    assert (reply.status, reply.headers["location"]) == (303, "/gas-line?lang=es&x=a%26b")
    held = reply.headers["set-cookie"]
    assert "HttpOnly" in held and "SameSite=Lax" in held and first not in held
    cookie = held.partition(";")[0].encode()
    assert ask(app, "/", cookie=cookie).text == "the house"
    assert told == [codes.code] and codes.code != first
    assert ask(app, "/", f"code={first}").status == 403
    other = let_in(app, codes)
    assert other != cookie
    assert ask(app, "/", cookie=other).text == ask(app, "/", cookie=cookie).text == "the house"


@pytest.mark.parametrize("path", ["//elsewhere.invalid/", "/\\elsewhere.invalid", "/a\r\nset-cookie: x=y"])
def test_a_redirect_stays_on_this_server(served, path):
    app, codes, _ = served
    location = ask(app, path, f"code={codes.code}").headers["location"]
    assert location.startswith("/") and not location.startswith(("//", "/\\")) and "\n" not in location


def test_the_socket_is_shut_without_a_pass_and_to_pages_of_others(served):
    app, codes, _ = served
    assert not is_socket_open(app)
    assert not is_socket_open(app, query=f"code={codes.code}".encode())
    cookie = let_in(app, codes)
    assert is_socket_open(app, cookie) and is_socket_open(app, cookie, b"http://" + HOST)
    assert not is_socket_open(app, cookie, b"http://elsewhere.invalid")
    # The usual server, without a gate, lets no page of another host in either.
    assert is_socket_open(Guarded(house)) and not is_socket_open(Guarded(house), origin=b"http://elsewhere.invalid")


@pytest.mark.parametrize(
    ("host", "is_it"), [("127.0.0.1", False), ("127.0.0.2", False), ("::1", False), ("localhost", False)]
)
def test_a_loopback_address_needs_none(host, is_it):
    assert is_beyond(host) is is_it


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.1.20", "10.0.0.3", "::", "fe80::1", "8.8.8.8"])
def test_any_other_does(host):
    assert is_beyond(host)


@pytest.mark.parametrize("host", ["", "house", "1.2.3", "127.0.0.1:80", "http://127.0.0.1", "\x00"])
def test_what_is_no_address_is_refused(host, capsys):
    with pytest.raises(InputError, match="no address"):
        is_beyond(host)
    assert main(("serve", "--host", host, "--no-browser")) == BAD_INPUT
    assert "host" in capsys.readouterr().err


def test_an_address_of_another_machine_is_refused():
    with pytest.raises(InputError, match="no such address"):
        free_port(None, "192.0.2.1")  # RFC 5737: kept for documents


def test_a_book_that_is_no_folder_is_refused(tmp_path, capsys):
    assert main(("serve", "--book", str(tmp_path / "none"), "--no-browser")) == BAD_INPUT
    assert "no such folder" in capsys.readouterr().err


def test_the_usual_server_listens_on_this_machine_alone():
    assert settings(8501)["server.address"] == ADDRESS == "127.0.0.1"
