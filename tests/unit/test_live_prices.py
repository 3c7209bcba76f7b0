"""The price client against replies of the documented shape, and against every way it can fail."""

import gzip
import json
import logging
import socket
import threading
import time
import tracemalloc
from contextlib import suppress
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest
import requests

from advisor.core.errors import InputError
from advisor.core.kinds import Fuel
from advisor.core.tables import load
from advisor.money import live_prices
from advisor.money.live_prices import LivePriceError, fetch_price

KEY = "s3cret/Key+123"
POWER = {
    "period": "2025",
    "stateid": "CO",
    "stateDescription": "Colorado",
    "sectorid": "RES",
    "sectorName": "residential",
    "price": "15.85",
    "price-units": "cents per kilowatthour",
}
GAS = {
    "period": "2023",
    "duoarea": "SCO",
    "area-name": "COLORADO",
    "process": "PRS",
    "value": "11.84",
    "units": "$/MCF",
}
PROPANE = {
    "period": "2026-03-30",
    "duoarea": "SCO",
    "product": "EPLLPA",
    "process": "PRS",
    "value": 2.61,
    "units": "$/GAL",
}


def reply(*rows, **extra):
    return {
        "response": {
            "total": str(len(rows)),
            "dateFormat": "YYYY",
            "frequency": "annual",
            "data": list(rows),
        },
        # The service repeats the key in its reply.
        "request": {"command": "/v2/", "params": {"api_key": KEY}},
        "apiVersion": "2.1.8",
        **extra,
    }


def address(fuel):
    return f"{live_prices.API_BASE}/{load('price_series').find(fuel)['route']}/data/"


def fetch(fuel="electricity", state="CO", key=KEY):
    return fetch_price(Fuel.named(fuel), state, key=key)


def fails(code, key=KEY):
    with pytest.raises(LivePriceError) as caught:
        fetch(key=key)
    assert caught.value.code == code
    assert str(caught.value).endswith(".")
    error = caught.value
    while error is not None:
        assert KEY not in str(error) and KEY not in repr(error)
        assert "s3cret" not in str(error)
        error = error.__context__ or error.__cause__
    return caught.value


@pytest.mark.parametrize(
    ("fuel", "row", "price", "unit"),
    [
        ("electricity", POWER, 0.1585, "kWh"),
        # 10.37 therm in a thousand cubic feet: 11.84 / 10.37 = 1.1418.
        ("natural_gas", GAS, 1.14176, "therm"),
        ("propane", PROPANE, 2.61, "gal"),
        ("heating_oil", {**PROPANE, "product": "EPD2F", "value": "3.90"}, 3.90, "gal"),
    ],
)
def test_real_shapes(requests_mock, fuel, row, price, unit):
    requests_mock.get(address(fuel), json=reply(row))
    quote = fetch(fuel)
    assert quote.price_usd_per_unit == pytest.approx(price, abs=5e-6)
    assert (quote.unit, quote.period) == (unit, row["period"])
    assert quote.period in quote.source and KEY not in quote.source


def test_what_is_asked(requests_mock):
    requests_mock.get(address("natural_gas"), json=reply(GAS))
    fetch("natural_gas", "co")
    query = requests_mock.last_request.qs
    assert query["facets[duoarea][]"] == ["sco"] and query["facets[process][]"] == ["prs"]
    assert query["data[0]"] == ["value"] and query["frequency"] == ["annual"]
    requests_mock.get(address("natural_gas"), json=reply({**GAS, "duoarea": "NUS"}))
    assert fetch("natural_gas", "US").state == "US"
    assert requests_mock.last_request.qs["facets[duoarea][]"] == ["nus"]


@pytest.mark.parametrize("withheld", [None, ""])
def test_a_withheld_value_gives_way_to_an_older_one(requests_mock, withheld):
    rows = [{**POWER, "price": withheld}, {**POWER, "period": "2024", "price": 15.1}]
    requests_mock.get(address("electricity"), json=reply(*rows))
    quote = fetch()
    assert (quote.price_usd_per_unit, quote.period) == (0.151, "2024")


def test_the_dearest_and_the_cheapest_that_are_believed(requests_mock):
    """Table ``price_series``; the service's cents to a hundredth of a thousandth of a dollar; of this very year."""
    series = load("price_series").find("electricity")
    this_year = str(datetime.now(UTC).year)
    for usd in (series["lowest_usd_per_unit"], series["highest_usd_per_unit"], 0.1234567):
        row = {**POWER, "price": repr(usd * 100), "period": this_year}
        requests_mock.get(address("electricity"), json=reply(row))
        assert fetch().price_usd_per_unit == round(usd, 5)
    for usd in (0.999 * series["lowest_usd_per_unit"], 1.001 * series["highest_usd_per_unit"]):
        requests_mock.get(address("electricity"), json=reply({**POWER, "price": repr(usd * 100)}))
        fails("absurd-price")


@pytest.mark.parametrize(
    ("code", "answer"),
    [
        ("key-refused", {"status_code": 403, "json": {"error": {"code": "API_KEY_INVALID", "message": KEY}}}),
        (
            "bad-request",
            {"status_code": 400, "json": {"error": "Invalid facet 'state' provided.", "code": 400}},
        ),
        ("bad-request", {"status_code": 404, "json": {"error": "Not found.", "code": 404}}),
        ("key-refused", {"status_code": 401, "json": {}}),
        ("bad-request", {"status_code": 402, "json": {}}),
        ("bad-request", {"status_code": 201, "json": reply(POWER)}),
        ("bad-request", {"status_code": 499, "json": {}}),
        ("bad-request", {"status_code": 302, "headers": {"Location": "http://elsewhere.invalid/"}}),
        ("not-json", {"text": "<!doctype html><p>Down for maintenance</p>"}),
        ("not-json", {"content": b"\xff\xfe\x00"}),
        ("bad-shape", {"json": {"response": {"data": "none"}}}),
        ("bad-shape", {"json": {"error": "odd"}}),
        ("bad-shape", {"json": reply(["2025", "15.85"])}),
        ("bad-shape", {"json": reply({**POWER, "period": "soon"})}),
        ("bad-shape", {"json": reply({**POWER, "period": "2099"})}),
        ("bad-shape", {"json": reply({**POWER, "period": "2099-01"}, POWER)}),
        ("bad-shape", {"json": reply({**POWER, "stateid": "WY"})}),
        ("bad-shape", {"json": reply({**POWER, "price": "many"})}),
        ("bad-shape", {"content": b"{" + b" " * 1_000_001 + b"}"}),
        ("no-data", {"json": reply()}),
        ("no-data", {"json": reply({**POWER, "price": None})}),
        ("wrong-unit", {"json": reply({**POWER, "price-units": "dollars per kilowatthour"})}),
        ("wrong-unit", {"json": reply({k: v for k, v in POWER.items() if k != "price-units"})}),
        ("absurd-price", {"json": reply({**POWER, "price": "1585"})}),
        ("absurd-price", {"json": reply({**POWER, "price": "-3"})}),
        ("absurd-price", {"json": reply({**POWER, "price": "0.1585"})}),
        ("absurd-price", {"json": reply({**POWER, "price": "nan"})}),
    ],
)
def test_failures_that_trying_again_cannot_mend(requests_mock, code, answer):
    requests_mock.get(address("electricity"), **answer)
    fails(code)
    assert requests_mock.call_count == 1


@pytest.mark.parametrize(
    ("code", "answer"),
    [
        ("truncated", {"text": json.dumps(reply(POWER))[:-40]}),
        ("truncated", {"exc": requests.exceptions.ChunkedEncodingError(f"broken at {KEY}")}),
        ("timeout", {"exc": requests.exceptions.ReadTimeout(f"api_key={KEY}")}),
        ("timeout", {"exc": requests.exceptions.ConnectTimeout(f"api_key={KEY}")}),
        ("no-network", {"exc": requests.exceptions.ConnectionError(f"no route, api_key={KEY}")}),
        ("no-network", {"exc": requests.exceptions.SSLError(f"api_key={KEY}")}),
    ],
)
def test_failures_on_the_way(requests_mock, code, answer):
    requests_mock.get(address("electricity"), **answer)
    fails(code)


def test_no_key(monkeypatch, requests_mock):
    monkeypatch.delenv(live_prices.KEY_VARIABLE, raising=False)
    fails("no-key", key=None)
    assert requests_mock.call_count == 0
    monkeypatch.setenv(live_prices.KEY_VARIABLE, KEY)
    requests_mock.get(address("electricity"), json=reply(POWER))
    assert fetch(key=None).price_usd_per_unit == 0.1585


@pytest.mark.parametrize(("fuel", "state"), [("coal", "CO"), ("electricity", "Colorado"), ("electricity", "")])
def test_bad_questions(fuel, state):
    with pytest.raises(InputError):
        fetch(fuel, state)


# Over a real connection ------------------------------------------------------------------------------------------


class Service:
    """A price service on this machine that answers as it is told: a status, or a way to write the body."""

    def __init__(self):
        self.answers, self.calls = [], 0

    def take(self):
        self.calls += 1
        return self.answers[min(self.calls, len(self.answers)) - 1]


@pytest.fixture
def service(monkeypatch):
    told = Service()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self):  # noqa: N802
            answer = told.take()
            body = json.dumps(reply(POWER)).encode()
            self.send_response(answer if isinstance(answer, int) else 200)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            with suppress(OSError):  # whoever asked may have given up
                answer(self.wfile, body) if callable(answer) else self.wfile.write(body)

        def log_message(self, *args):
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    threading.Thread(target=server.serve_forever, args=(0.01,), daemon=True).start()
    monkeypatch.setattr(live_prices, "API_BASE", f"http://127.0.0.1:{server.server_port}/v2")
    monkeypatch.setattr(live_prices, "_BACK_OFF_S", 0.01)
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    yield told
    server.shutdown()
    server.server_close()


@pytest.mark.parametrize("status", [429, 500, 502, 503, 504])
def test_trouble_that_passes_is_waited_for(service, status):
    service.answers = [status, status, 200]
    assert fetch().price_usd_per_unit == 0.1585
    assert service.calls == 3


@pytest.mark.parametrize(("status", "code"), [(429, "too-many-calls"), (503, "server-trouble")])
def test_trouble_that_stays_is_told_after_four_calls(service, status, code):
    service.answers = [status]
    fails(code)
    assert service.calls == 4


@pytest.mark.parametrize(("status", "code"), [(400, "bad-request"), (403, "key-refused"), (501, "server-trouble")])
def test_what_another_call_cannot_mend_is_asked_once(service, status, code):
    service.answers = [status, 200]
    fails(code)
    assert service.calls == 1


def test_no_call_begins_after_the_deadline(service, monkeypatch):
    """The second call follows at once; the third would wait two back-offs, which is too late."""
    monkeypatch.setattr(live_prices, "_BACK_OFF_S", 60.0)
    service.answers = [503]
    fails("server-trouble")
    assert service.calls == 2


def test_a_body_that_does_not_come(service, monkeypatch):
    monkeypatch.setattr(live_prices, "_WAIT_S", 0.05)
    service.answers = [lambda out, body: time.sleep(0.3)]
    assert "did not answer" in fails("timeout").reason


def test_a_line_that_stays_silent(monkeypatch):
    with socket.create_server(("127.0.0.1", 0)) as deaf:
        monkeypatch.setattr(live_prices, "API_BASE", f"http://127.0.0.1:{deaf.getsockname()[1]}/v2")
        monkeypatch.setattr(live_prices, "_BACK_OFF_S", 0.01)
        monkeypatch.setattr(live_prices, "_WAIT_S", 0.05)
        monkeypatch.setenv("NO_PROXY", "127.0.0.1")
        fails("timeout")


def test_nobody_there(monkeypatch):
    monkeypatch.setattr(live_prices, "API_BASE", "http://127.0.0.1:9/v2")
    monkeypatch.setattr(live_prices, "_BACK_OFF_S", 0.01)
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    fails("no-network")


def test_a_trickle_is_cut_off_at_the_deadline(service, monkeypatch):
    def trickle(out, body):
        for byte in body:
            out.write(bytes([byte]))
            time.sleep(0.02)

    monkeypatch.setattr(live_prices, "_DEADLINE_S", 0.2)
    service.answers = [trickle]
    assert "was not there in 0.2 s" in fails("timeout").reason


def test_headers_that_never_end(monkeypatch):
    """Each wait is short, so that only the whole deadline ends it."""

    def drip(line):
        with suppress(OSError):
            taken, _ = line.accept()
            taken.sendall(b"HTTP/1.1 200 OK\r\n")
            while True:
                taken.sendall(b"X-More: 1\r\n")
                time.sleep(0.1)

    with socket.create_server(("127.0.0.1", 0)) as line:
        threading.Thread(target=drip, args=(line,), daemon=True).start()
        monkeypatch.setattr(live_prices, "API_BASE", f"http://127.0.0.1:{line.getsockname()[1]}/v2")
        monkeypatch.setattr(live_prices, "_DEADLINE_S", 0.3)
        monkeypatch.setenv("NO_PROXY", "127.0.0.1")
        began = time.monotonic()
        fails("timeout")
        assert time.monotonic() - began < 10


def test_a_packed_reply_is_not_unpacked(requests_mock):
    """A hundred megabytes in a hundred kilobytes."""
    packed = gzip.compress(b"{" + b" " * 100_000_000)
    requests_mock.get(address("electricity"), content=packed, headers={"Content-Encoding": "gzip"})
    tracemalloc.start()
    try:
        assert "packed" in fails("bad-shape").reason
        assert tracemalloc.get_traced_memory()[1] < 5_000_000
    finally:
        tracemalloc.stop()
    assert requests_mock.last_request.headers["Accept-Encoding"] == "identity"


def test_a_reply_that_breaks_off(service):
    service.answers = [lambda out, body: out.write(body[:50])]
    fails("truncated")


def test_the_key_stays_out_of_the_connection_log(service, caplog):
    """With logging at its most talkative, where calls are tried again too."""
    service.answers = [503, 200]
    with caplog.at_level(logging.DEBUG):
        assert fetch().price_usd_per_unit == 0.1585
    assert "GET /v2/electricity" in caplog.text and "Retry: /v2/electricity" in caplog.text
    assert "s3cret" not in caplog.text
