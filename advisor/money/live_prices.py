"""Fresh state-average prices from the US Energy Information Administration's open data, only when asked for.

The household's own bill is always the better figure: these are state averages that already carry account
charges and taxes. Nothing here is needed to run the advisor. A failure is one ``LivePriceError`` with a
reason code and, if there is one, the price kept from an earlier call.

The service's key travels in the address of each call, so it is a secret that leaks easily: it is never
stored, never put in an error nor chained behind one, and blotted out of the connection library's log.
"""

from __future__ import annotations

import json
import logging
import math
import os
import re
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from urllib.parse import quote_plus

from advisor.core.errors import AdvisorError, InputError
from advisor.core.kinds import Fuel

#: Where the open data service answers; the only place that names it.
API_BASE = "https://api.eia.gov/v2"
KEY_VARIABLE = "EIA_API_KEY"
#: EIA's own factor for the heat in a thousand cubic feet of gas, as used in the shipped price table.
_THERM_PER_MCF = 10.37
_ATTEMPTS = 3
_BACK_OFF_S = 2.0
_LONGEST_REPLY_BYTES = 1_000_000


@dataclass(frozen=True)
class _Series:
    """Where one fuel's residential price stands, and how to read it."""

    route: str
    frequency: str
    column: str
    facets: tuple[tuple[str, str], ...]
    place_facet: str
    unit_field: str
    published_unit: str
    unit: str
    units_per_published: float
    lowest_usd: float
    highest_usd: float
    title: str


# The lowest and highest are our own bounds of belief, wide of any state average ever seen.
_SERIES = {
    "electricity": _Series(
        "electricity/retail-sales",
        "annual",
        "price",
        (("sectorid", "RES"),),
        "stateid",
        "price-units",
        "cents per kilowatthour",
        "kWh",
        100.0,
        0.02,
        1.50,
        "retail sales of electricity, residential price",
    ),
    "natural_gas": _Series(
        "natural-gas/pri/sum",
        "annual",
        "value",
        (("process", "PRS"),),
        "duoarea",
        "units",
        "$/MCF",
        "therm",
        _THERM_PER_MCF,
        0.20,
        10.0,
        "natural gas delivered to residential consumers, price",
    ),
    "propane": _Series(
        "petroleum/pri/wfr",
        "weekly",
        "value",
        (("process", "PRS"), ("product", "EPLLPA")),
        "duoarea",
        "units",
        "$/GAL",
        "gal",
        1.0,
        0.30,
        15.0,
        "weekly heating oil and propane prices, residential propane",
    ),
    "heating_oil": _Series(
        "petroleum/pri/wfr",
        "weekly",
        "value",
        (("process", "PRS"), ("product", "EPD2F")),
        "duoarea",
        "units",
        "$/GAL",
        "gal",
        1.0,
        0.30,
        15.0,
        "weekly heating oil and propane prices, residential heating oil",
    ),
}


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
    from_cache : bool
        It comes from an earlier call.
    """

    fuel: str
    state: str
    price_usd_per_unit: float
    unit: str
    period: str
    source: str
    fetched_on: str
    from_cache: bool = False

    def age_day(self, now: datetime | None = None) -> float:
        """Days since it was fetched. [days]"""
        return ((now or datetime.now(UTC)) - datetime.fromisoformat(self.fetched_on)).total_seconds() / 86400


class LivePriceError(AdvisorError):
    """No fresh price could be had.

    Parameters
    ----------
    code : str
        ``no-key``, ``key-refused``, ``too-many-calls``, ``no-network``, ``timeout``, ``server-trouble``,
        ``bad-request``, ``not-json``, ``truncated``, ``bad-shape``, ``no-data``, ``wrong-unit`` or
        ``absurd-price``.
    reason : str
        For a reader, without a full stop; it never holds the key.
    cached : PriceQuote or None
        The price kept from an earlier call.
    """

    def __init__(self, code: str, reason: str, cached: PriceQuote | None = None) -> None:
        self.code, self.reason, self.cached = code, reason, cached
        kept = "the price in the case stays in use"
        if cached is not None:
            kept = f"a price of ${cached.price_usd_per_unit:.3f} per {cached.unit} for {cached.period} is kept"
        super().__init__(f"No fresh price: {reason}; {kept}.")


def fetch_price(
    fuel: Fuel,
    state: str,
    *,
    key: str | None = None,
    cache_folder: Path | None = None,
    max_age_day: float = 30.0,
    timeout_s: float = 10.0,
    session: Any = None,
    pause: Callable[[float], None] = time.sleep,
    now: datetime | None = None,
) -> PriceQuote:
    """The newest published residential price of a fuel in a state.

    Parameters
    ----------
    fuel : str
        ``electricity``, ``natural_gas``, ``propane`` or ``heating_oil``. The last two are surveyed from
        October to March and not in every state.
    state : str
        Two letters, or ``US``.
    key : str, optional
        The service's free key; without it the environment variable ``EIA_API_KEY`` is read.
    cache_folder : Path, optional
        Where prices are kept, one small file each; without it nothing is stored.
    max_age_day : float
        A kept price younger than this is returned without a call. [days]
    timeout_s : float
        For the connection and for each wait for data. [s]
    session : requests.Session, optional
        To reuse a connection.
    pause : callable
        Called with the seconds to wait between attempts.
    now : datetime, optional
        The clock, with a time zone.

    Returns
    -------
    PriceQuote

    Raises
    ------
    InputError
        A fuel or a state that does not exist.
    LivePriceError
        Anything else, with the kept price if there is one, however old.

    Sources
    -------
    US EIA, Open Data API version 2, documentation of the routes and facets.
    """
    place = state.strip().upper()
    if not re.fullmatch(r"[A-Z]{2}", place):
        raise InputError("state", state, "this is not a state", "write two letters, for example CO, or US")
    clock = now or datetime.now(UTC)
    cached = _read_cache(cache_folder, fuel, place)
    if cached is not None and 0 <= cached.age_day(clock) < max_age_day:
        return cached
    secret = (key or os.environ.get(KEY_VARIABLE, "")).strip()
    try:
        if not secret:
            raise LivePriceError("no-key", f"no key was given and {KEY_VARIABLE} is not set")
        body = _call(_SERIES[fuel.id], place, secret, timeout_s, session, pause)
        quote = _read_reply(fuel, place, body, clock)
    except LivePriceError as error:
        raise LivePriceError(error.code, error.reason, cached) from None
    _write_cache(cache_folder, quote)
    return quote


def _call(
    series: _Series, place: str, key: str, timeout_s: float, session: Any, pause: Callable[[float], None]
) -> dict[str, Any]:
    """The parsed reply. Trouble on the way is tried again twice, each time after a longer wait."""
    area = place if series.place_facet == "stateid" else ("NUS" if place == "US" else f"S{place}")
    params = [
        ("api_key", key),
        ("frequency", series.frequency),
        ("data[0]", series.column),
        (f"facets[{series.place_facet}][]", area),
        *((f"facets[{name}][]", value) for name, value in series.facets),
        ("sort[0][column]", "period"),
        ("sort[0][direction]", "desc"),
        ("offset", "0"),
        ("length", "12"),
    ]
    trouble = LivePriceError("server-trouble", "the price service did not answer")
    for attempt in range(_ATTEMPTS):
        if attempt:
            pause(_BACK_OFF_S * 2 ** (attempt - 1))
        try:
            return _once(f"{API_BASE}/{series.route}/data/", params, key, timeout_s, session)
        except LivePriceError as error:
            if error.code not in {"too-many-calls", "server-trouble", "timeout", "no-network", "truncated"}:
                raise
            trouble = error
    raise trouble


def _once(address: str, params: list[tuple[str, str]], key: str, timeout_s: float, session: Any) -> dict[str, Any]:
    import requests

    getter = session or requests
    failure: tuple[str, str] | None = None
    try:
        with _key_kept_out_of_logs(key):
            # A redirect could carry the key to another host, so none is followed.
            reply = getter.get(address, params=params, timeout=timeout_s, allow_redirects=False)
            status, content = int(reply.status_code), reply.content
    except requests.exceptions.Timeout:
        failure = "timeout", f"the price service did not answer in {timeout_s:g} s"
    except (requests.exceptions.ChunkedEncodingError, requests.exceptions.ContentDecodingError):
        failure = "truncated", "the reply broke off"
    except requests.exceptions.RequestException:
        failure = "no-network", "the price service cannot be reached"
    # Raised out here, because the library's own errors print the address with the key in it: none is chained.
    if failure is not None:
        raise LivePriceError(*failure)
    _check_status(status)
    if len(content) > _LONGEST_REPLY_BYTES:
        raise LivePriceError("bad-shape", "the reply is far longer than a price")
    return _parse(content)


def _check_status(status: int) -> None:
    if status in {401, 403}:
        raise LivePriceError("key-refused", "the price service refused the key")
    if status == 429:
        raise LivePriceError("too-many-calls", "the key has made too many calls for now")
    if status >= 500:
        raise LivePriceError("server-trouble", f"the price service is in trouble (status {status})")
    if status != 200:
        raise LivePriceError("bad-request", f"the price service did not understand the call (status {status})")


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


def _read_reply(fuel: Fuel, place: str, body: dict[str, Any], clock: datetime) -> PriceQuote:
    """The newest row with a value, checked: shape, place, unit and a price that can be believed."""
    series = _SERIES[fuel.id]
    response = body.get("response")
    rows = response.get("data") if isinstance(response, dict) else None
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise LivePriceError("bad-shape", "the reply holds no list of prices")
    priced = [row for row in rows if row.get(series.column) not in (None, "")]
    if not priced:
        raise LivePriceError("no-data", f"no {fuel.title} price is published for {place}")
    row = max(priced, key=lambda one: str(one.get("period", "")))
    period = str(row.get("period", ""))
    if not re.fullmatch(r"(19|20)\d\d(-\d\d){0,2}", period):
        raise LivePriceError("bad-shape", "the reply does not say what time the price is for")
    area = str(row.get(series.place_facet, "")).upper()
    if area not in {place, f"S{place}", f"N{place}"}:
        raise LivePriceError("bad-shape", "the reply is about another place")
    if str(row.get(series.unit_field, "")).strip().lower() != series.published_unit.lower():
        raise LivePriceError("wrong-unit", f"the price is not in {series.published_unit} as it used to be")
    try:
        price = float(row[series.column]) / series.units_per_published
    except (TypeError, ValueError):
        raise LivePriceError("bad-shape", "the price is not a number") from None
    if not (math.isfinite(price) and series.lowest_usd <= price <= series.highest_usd):
        raise LivePriceError("absurd-price", f"a price of ${price:.3g} per {series.unit} cannot be believed")
    source = f"US Energy Information Administration, open data: {series.title}, {place}, {period}"
    fetched_on = clock.isoformat(timespec="seconds")
    return PriceQuote(fuel.id, place, round(price, 5), series.unit, period, source, fetched_on)


def _cache_file(folder: Path, fuel: str, place: str) -> Path:
    return folder / f"price_{fuel}_{place}.json"


def _read_cache(folder: Path | None, fuel: Fuel, place: str) -> PriceQuote | None:
    """A kept price, or None: a damaged file is as good as no file."""
    if folder is None:
        return None
    try:
        kept = json.loads(_cache_file(folder, fuel.id, place).read_text(encoding="utf-8"))
        quote = PriceQuote(**{**kept, "from_cache": True})
        series, price = _SERIES[fuel.id], float(quote.price_usd_per_unit)
        good = series.lowest_usd <= price <= series.highest_usd and quote.unit == series.unit
        good = good and (quote.fuel, quote.state) == (fuel.id, place)
        quote.age_day(datetime.now(UTC))
    except (OSError, ValueError, TypeError, AttributeError):
        return None
    return quote if good else None


def _write_cache(folder: Path | None, quote: PriceQuote) -> None:
    """Keep a price. A disk that cannot be written to costs the next call and nothing else."""
    if folder is None:
        return
    path = _cache_file(folder, quote.fuel, quote.state)
    draft = path.with_suffix(f".{os.getpid()}.part")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        draft.write_text(json.dumps(asdict(quote), indent=1), encoding="utf-8")
        draft.replace(path)
    except OSError:
        with suppress(OSError):
            draft.unlink()


@contextmanager
def _key_kept_out_of_logs(key: str) -> Iterator[None]:
    """The connection library logs each address at its most talkative level; the key is blotted out of it."""

    spellings = (key, quote_plus(key))

    def blot(record: logging.LogRecord) -> bool:
        text = record.getMessage()
        for spelling in spellings:
            text = text.replace(spelling, "[key]")
        record.msg, record.args = text, None
        return True

    logger = logging.getLogger("urllib3.connectionpool")
    logger.addFilter(blot)
    try:
        yield
    finally:
        logger.removeFilter(blot)
