"""The price client against replies of the documented shape, and against every way it can fail."""

import json
import logging
import threading
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, HTTPServer

import pytest
import requests

from advisor.core.errors import InputError
from advisor.core.kinds import Fuel
from advisor.money import live_prices
from advisor.money.live_prices import LivePriceError, fetch_price

KEY = "s3cret/Key+123"
NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
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
    return f"{live_prices.API_BASE}/{live_prices._SERIES[fuel].route}/data/"


def fetch(fuel="electricity", state="CO", pauses=None, **options):
    options = {"key": KEY, "now": NOW, **options}
    return fetch_price(Fuel.named(fuel), state, pause=(pauses if pauses is not None else []).append, **options)


def fails(code, **options):
    with pytest.raises(LivePriceError) as caught:
        fetch(**options)
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
    assert (quote.unit, quote.period, quote.from_cache) == (unit, row["period"], False)
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


def test_a_withheld_value_gives_way_to_an_older_one(requests_mock):
    rows = [{**POWER, "price": None}, {**POWER, "period": "2024", "price": 15.1}]
    requests_mock.get(address("electricity"), json=reply(*rows))
    quote = fetch()
    assert (quote.price_usd_per_unit, quote.period) == (0.151, "2024")


@pytest.mark.parametrize(
    ("code", "answer"),
    [
        ("key-refused", {"status_code": 403, "json": {"error": {"code": "API_KEY_INVALID", "message": KEY}}}),
        (
            "bad-request",
            {"status_code": 400, "json": {"error": "Invalid facet 'state' provided.", "code": 400}},
        ),
        ("bad-request", {"status_code": 404, "json": {"error": "Not found.", "code": 404}}),
        ("bad-request", {"status_code": 302, "headers": {"Location": "http://elsewhere.invalid/"}}),
        ("not-json", {"text": "<!doctype html><p>Down for maintenance</p>"}),
        ("not-json", {"content": b"\xff\xfe\x00"}),
        ("bad-shape", {"json": {"response": {"data": "none"}}}),
        ("bad-shape", {"json": {"error": "odd"}}),
        ("bad-shape", {"json": reply(["2025", "15.85"])}),
        ("bad-shape", {"json": reply({**POWER, "period": "soon"})}),
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
        ("too-many-calls", {"status_code": 429, "json": {"error": {"code": "OVER_RATE_LIMIT"}}}),
        ("server-trouble", {"status_code": 500, "text": "<html>"}),
        ("server-trouble", {"status_code": 503}),
        ("truncated", {"text": json.dumps(reply(POWER))[:-40]}),
        ("truncated", {"exc": requests.exceptions.ChunkedEncodingError(f"broken at {KEY}")}),
        ("timeout", {"exc": requests.exceptions.ReadTimeout(f"api_key={KEY}")}),
        ("timeout", {"exc": requests.exceptions.ConnectTimeout(f"api_key={KEY}")}),
        ("no-network", {"exc": requests.exceptions.ConnectionError(f"no route, api_key={KEY}")}),
        ("no-network", {"exc": requests.exceptions.SSLError(f"api_key={KEY}")}),
    ],
)
def test_failures_that_are_tried_again(requests_mock, code, answer):
    requests_mock.get(address("electricity"), **answer)
    pauses = []
    fails(code, pauses=pauses)
    assert requests_mock.call_count == 3
    assert pauses == [2.0, 4.0]


@pytest.mark.parametrize("status", [429, 500, 502])
def test_trouble_that_passes(requests_mock, status):
    requests_mock.get(address("electricity"), [{"status_code": status}, {"json": reply(POWER)}])
    assert fetch().price_usd_per_unit == 0.1585


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


def test_a_kept_price_saves_the_call_and_ages(requests_mock, tmp_path):
    requests_mock.get(address("electricity"), json=reply(POWER))
    first = fetch(cache_folder=tmp_path)
    again = fetch(cache_folder=tmp_path, now=NOW + timedelta(days=29))
    assert requests_mock.call_count == 1
    assert again.from_cache and not first.from_cache
    assert again.price_usd_per_unit == first.price_usd_per_unit
    assert again.age_day(NOW + timedelta(days=29)) == pytest.approx(29)
    fetch(cache_folder=tmp_path, now=NOW + timedelta(days=31))
    assert requests_mock.call_count == 2
    assert len(list(tmp_path.iterdir())) == 1
    assert all(KEY not in path.read_text() for path in tmp_path.iterdir())


def test_without_network_the_kept_price_comes_with_the_error(requests_mock, tmp_path):
    requests_mock.get(address("electricity"), json=reply(POWER))
    fetch(cache_folder=tmp_path)
    requests_mock.get(address("electricity"), exc=requests.exceptions.ConnectionError)
    error = fails("no-network", cache_folder=tmp_path, now=NOW + timedelta(days=400))
    assert error.cached.price_usd_per_unit == 0.1585
    assert "0.159" in str(error) and "2025" in str(error)
    assert fails("no-network").cached is None


@pytest.mark.parametrize("text", ["", "{", "[]", '{"fuel": "electricity"}', "null"])
def test_a_damaged_cache_is_no_cache(requests_mock, tmp_path, text):
    (tmp_path / "price_electricity_CO.json").write_text(text)
    requests_mock.get(address("electricity"), json=reply(POWER))
    assert not fetch(cache_folder=tmp_path).from_cache


def test_a_disk_that_cannot_be_written_costs_nothing(requests_mock, tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("")
    requests_mock.get(address("electricity"), json=reply(POWER))
    assert fetch(cache_folder=blocked / "below").price_usd_per_unit == 0.1585


def test_the_key_stays_out_of_the_connection_log(monkeypatch, caplog):
    """Over a real connection, with logging at its most talkative."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self):  # noqa: N802
            body = json.dumps(reply(POWER)).encode()
            self.send_response(200)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *args):
            pass

    server = HTTPServer(("127.0.0.1", 0), Handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    monkeypatch.setattr(live_prices, "API_BASE", f"http://127.0.0.1:{server.server_port}/v2")
    session = requests.Session()
    session.trust_env = False
    with caplog.at_level(logging.DEBUG):
        assert fetch(session=session).price_usd_per_unit == 0.1585
    server.shutdown()
    server.server_close()
    assert "GET /v2/electricity" in caplog.text
    assert "s3cret" not in caplog.text
