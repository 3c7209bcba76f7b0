"""Fresh state-average prices from the US Energy Information Administration's open data, only when asked for.

The household's own bill is always the better figure: these are state averages that already carry account
charges and taxes. Nothing here is needed to run the advisor, and nothing is stored. A failure is one
``LivePriceError`` with a reason code.

The service's key travels in the address of each call, so it is a secret that leaks easily: it is never
stored, never put in an error nor chained behind one, and blotted out of the connection library's log.
"""

from __future__ import annotations

import json
import logging
import math
import os
import queue
import re
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from typing import Any
from urllib.parse import quote_plus

from advisor.core.errors import AdvisorError, InputError
from advisor.core.findings import Value
from advisor.core.kinds import Fuel
from advisor.core.tables import load

#: Where the open data service answers; the only place that names it.
API_BASE = "https://api.eia.gov/v2"
KEY_VARIABLE = "EIA_API_KEY"
#: Trouble that may pass is tried again: at once, then after two and four times the back-off, as long as there is time.
_TRY_AGAIN, _TRY_AGAIN_ON = 3, (429, 500, 502, 503, 504)
_BACK_OFF_S = 1.0
#: For a connection and for each wait for data; and for the whole of it.
_WAIT_S, _DEADLINE_S = 10.0, 30.0
_LONGEST_REPLY_BYTES = 100_000


@dataclass(frozen=True)
class PriceQuote:
    """A state's average residential price.

    Parameters
    ----------
    fuel, state : str
        The fuel's id, and where; ``US`` for the nation.
    price_usd_per_unit : float
        Account charges and taxes as the publisher counts them. [$/unit]
    unit : str
        kWh, therm or gal.
    period : str
        The year or the week that the price is for, as published.
    source : str
        Publication to cite.
    fetched_on : str
        When it was fetched, ISO 8601, UTC.
    """

    fuel: str
    state: str
    price_usd_per_unit: float
    unit: str
    period: str
    source: str
    fetched_on: str


class LivePriceError(AdvisorError):
    """No fresh price could be had.

    Parameters
    ----------
    code : str
        ``no-key``, ``key-refused``, ``too-many-calls``, ``no-network``, ``timeout``, ``server-trouble``,
        ``bad-request``, ``not-json``, ``truncated``, ``bad-shape``, ``no-data``, ``wrong-unit`` or
        ``absurd-price``.
    reason : str
        For a reader, in English, without a full stop; it never holds the key. It may have blanks.
    **numbers
        What fills them.
    """

    def __init__(self, code: str, reason: str, **numbers: Value) -> None:
        self.code = code
        super().__init__(reason, **numbers)
        self.reason, why = str(self), self.finding
        super().__init__("No fresh price: {why}; the price in the case stays in use.", why=why)


def fetch_price(fuel: Fuel, state: str, *, key: str | None = None) -> PriceQuote:
    """The newest published residential price of a fuel in a state.

    Parameters
    ----------
    fuel : Fuel
        Propane and heating oil are surveyed from October to March and not in every state.
    state : str
        Two letters, or ``US``.
    key : str, optional
        The service's free key; without it the environment variable ``EIA_API_KEY`` is read.

    Returns
    -------
    PriceQuote

    Raises
    ------
    InputError
        A state that does not exist.
    LivePriceError
        Anything else. Trouble that may pass is tried again; after half a minute no answer is waited for.

    Sources
    -------
    US EIA, Open Data API version 2, documentation of the routes and facets.
    """
    place = state.strip().upper()
    if not re.fullmatch(r"[A-Z]{2}", place):
        raise InputError("state", state, "this is not a state", "write two letters, for example CO, or US")
    secret = (key or os.environ.get(KEY_VARIABLE, "")).strip()
    if not secret:
        raise LivePriceError("no-key", "no key was given and {variable} is not set", variable=KEY_VARIABLE)
    series = load("price_series").find(fuel.id)
    return _read_reply(fuel, series, place, _parse(_in_time(partial(_call, series, place, secret))))


def _in_time(call: Callable[[float], bytes]) -> bytes:
    """What a call gives, or an error at the deadline, whatever it is still waiting for.

    Names are looked up and headers read without a clock of ours, so that the call is made aside and left to itself.
    """
    found: queue.SimpleQueue[bytes | LivePriceError] = queue.SimpleQueue()
    late_s = time.monotonic() + _DEADLINE_S

    def ask() -> None:
        try:
            found.put(call(late_s))
        except LivePriceError as error:
            found.put(error)
        except Exception:
            found.put(LivePriceError("no-network", "the price service cannot be asked"))

    threading.Thread(target=ask, daemon=True).start()
    try:
        reply = found.get(timeout=_DEADLINE_S + 1)
    except queue.Empty:
        reply = LivePriceError("timeout", "the reply was not there in {late_s:g} s", late_s=_DEADLINE_S)
    if isinstance(reply, LivePriceError):
        raise reply from None
    return reply


def _call(series: Mapping[str, Any], place: str, key: str, late_s: float) -> bytes:
    """What the service replies."""
    import requests

    area = place if series["place_facet"] == "stateid" else ("NUS" if place == "US" else f"S{place}")
    params = [
        ("api_key", key),
        ("frequency", series["frequency"]),
        ("data[0]", series["value_column"]),
        (f"facets[{series['place_facet']}][]", area),
        *((f"facets[{name}][]", value) for name, _, value in (facet.partition("=") for facet in series["facets"])),
        ("sort[0][column]", "period"),
        ("sort[0][direction]", "desc"),
        ("offset", "0"),
        ("length", "12"),
    ]
    try:
        with _key_kept_out_of_logs(key), _session(late_s) as session:
            # A redirect could carry the key to another host, so none is followed.
            address = f"{API_BASE}/{series['route']}/data/"
            # Packed, a small reply could unpack to more than there is memory, so none is taken.
            plain = {"Accept-Encoding": "identity"}
            reply = session.get(
                address, params=params, headers=plain, timeout=_WAIT_S, allow_redirects=False, stream=True
            )
            _check_status(reply.status_code)
            if reply.headers.get("Content-Encoding", "identity").strip().lower() != "identity":
                raise LivePriceError("bad-shape", "the reply is packed, which was not asked for")
            return _body(reply, late_s)
    except requests.exceptions.RequestException as error:
        failure = _failure(error)
    # Raised out here, because the library's own errors print the address with the key in it: none is chained.
    raise failure


def _session(late_s: float) -> Any:
    """A session that tries again what may pass, until it is late."""
    import requests
    from requests.adapters import HTTPAdapter
    from urllib3.util.retry import Retry

    class UntilLate(Retry):
        def is_exhausted(self) -> bool:
            return super().is_exhausted() or time.monotonic() + self.get_backoff_time() > late_s

    again = UntilLate(
        total=_TRY_AGAIN,
        status_forcelist=_TRY_AGAIN_ON,
        backoff_factor=_BACK_OFF_S,
        respect_retry_after_header=False,  # it may ask for an hour
        raise_on_status=False,
    )
    session = requests.Session()
    session.mount(API_BASE, HTTPAdapter(max_retries=again))
    return session


def _body(reply: Any, late_s: float) -> bytes:
    content = bytearray()
    for byte in reply.iter_content(1):  # one at a time, so that a trickle is cut off in time
        content += byte
        if len(content) > _LONGEST_REPLY_BYTES:
            raise LivePriceError("bad-shape", "the reply is far longer than a price")
        if time.monotonic() > late_s:
            raise LivePriceError("timeout", "the reply was not there in {late_s:g} s", late_s=_DEADLINE_S)
    return bytes(content)


def _failure(error: Any) -> LivePriceError:
    """Ours for the connection library's error; it wraps what ended the last attempt."""
    from requests import exceptions
    from urllib3.exceptions import ReadTimeoutError

    if isinstance(error, exceptions.ChunkedEncodingError | exceptions.ContentDecodingError):
        return LivePriceError("truncated", "the reply broke off")
    wrapped = error.args[0] if error.args else None
    if isinstance(error, exceptions.Timeout) or isinstance(getattr(wrapped, "reason", wrapped), ReadTimeoutError):
        return LivePriceError("timeout", "the price service did not answer in {late_s:g} s", late_s=_WAIT_S)
    return LivePriceError("no-network", "the price service cannot be reached")


def _check_status(status: int) -> None:
    if status in {401, 403}:
        raise LivePriceError("key-refused", "the price service refused the key")
    if status == 429:
        raise LivePriceError("too-many-calls", "the key has made too many calls for now")
    if status >= 500:
        raise LivePriceError("server-trouble", "the price service is in trouble (status {status})", status=status)
    if status != 200:
        reason = "the price service did not understand the call (status {status})"
        raise LivePriceError("bad-request", reason, status=status)


def _parse(content: bytes) -> dict[str, Any]:
    try:
        text = content.decode("utf-8").strip()
    except UnicodeDecodeError:
        raise LivePriceError("not-json", "the reply is not text") from None
    if not text.startswith("{"):
        raise LivePriceError("not-json", "the reply is a web page or other text, not data")
    try:
        body = json.loads(text)
    except (ValueError, RecursionError):
        raise LivePriceError("truncated", "the reply breaks off or is damaged") from None
    return dict(body)


def _read_reply(fuel: Fuel, series: Mapping[str, Any], place: str, body: dict[str, Any]) -> PriceQuote:
    """The newest row with a value, checked: shape, place, unit and a price that can be believed."""
    response = body.get("response")
    rows = response.get("data") if isinstance(response, dict) else None
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise LivePriceError("bad-shape", "the reply holds no list of prices")
    priced = [row for row in rows if row.get(series["value_column"]) not in (None, "")]
    if not priced:
        raise LivePriceError("no-data", "no {fuel} price is published for {place}", fuel=fuel.word, place=place)
    row = max(priced, key=lambda one: str(one.get("period", "")))
    period = str(row.get("period", ""))
    if not re.fullmatch(r"(19|20)\d\d(-\d\d){0,2}", period):
        raise LivePriceError("bad-shape", "the reply does not say what time the price is for")
    if period > datetime.now(UTC).date().isoformat()[: len(period)]:
        raise LivePriceError("bad-shape", "the price is for {period}, a time to come", period=period)
    area = str(row.get(series["place_facet"], "")).upper()
    if area not in {place, f"S{place}", f"N{place}"}:
        raise LivePriceError("bad-shape", "the reply is about another place")
    if str(row.get(series["unit_column"], "")).strip().lower() != series["published_unit"].lower():
        unit = str(series["published_unit"])
        raise LivePriceError("wrong-unit", "the price is not in {unit} as it used to be", unit=unit)
    try:
        price = float(row[series["value_column"]]) / series["units_per_published_dimensionless"]
    except (TypeError, ValueError):
        raise LivePriceError("bad-shape", "the price is not a number") from None
    if not (math.isfinite(price) and series["lowest_usd_per_unit"] <= price <= series["highest_usd_per_unit"]):
        reason = "a price of ${price:.3g} per {unit} cannot be believed"
        raise LivePriceError("absurd-price", reason, price=price, unit=fuel.unit)
    source = f"US Energy Information Administration, open data: {series['title']}, {place}, {period}"
    fetched_on = datetime.now(UTC).isoformat(timespec="seconds")
    return PriceQuote(fuel.id, place, round(price, 5), fuel.unit, period, source, fetched_on)


@contextmanager
def _key_kept_out_of_logs(key: str) -> Iterator[None]:
    """The connection library logs each address where it is talkative; the key is blotted out of it."""
    spellings = (key, quote_plus(key))

    def blot(record: logging.LogRecord) -> bool:
        text = record.getMessage()
        for spelling in spellings:
            text = text.replace(spelling, "[key]")
        record.msg, record.args = text, None
        return True

    talkers = ("connection", "connectionpool", "poolmanager", "response", "util.retry")
    loggers = [logging.getLogger(f"urllib3.{name}") for name in talkers]
    for logger in loggers:
        logger.addFilter(blot)
    try:
        yield
    finally:
        for logger in loggers:
            logger.removeFilter(blot)
