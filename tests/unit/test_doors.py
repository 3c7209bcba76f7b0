"""What comes in is limited before it is read: each limit, and that what lies within it still comes in."""

import base64
import time
import warnings
import zlib

import pytest

from advisor.case.file import MAX_FILE_BYTES, case_from, parse_case
from advisor.comparison import compare
from advisor.core.errors import InputError
from advisor.core.units import read_quantity
from advisor.report.escape import as_typed, on_screen
from advisor.web.launch import content_policy
from advisor.web.link import given_of
from tests.hostile import HOUSE, ICON, RAW, TEXT

FOUR = {key: HOUSE[key] for key in ("place", "household", "failed", "house")}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a" + ".a" * 2000 + " = 1", "line 1 is nested too deep"),
        ('"!"' + '."!"' * 1000 + " = 1", "nested too deep"),
        ("\n".join(f"{'.'.join('abcdefghijklmnopqrst')}{number} = 1" for number in range(5000)), "nested too deep"),
        ("[" + ".".join("a" * 2000) + "]", "nested too deep"),
        ("a = " + "9" * 6000, "longer than 5,000 letters"),
        ("[[uses]]\nx = 1\n" * 10_000, "this list is too long"),
        ("#" * (MAX_FILE_BYTES + 1), "larger than 250 kB"),
    ],
)
def test_a_file_that_would_take_long_is_refused_at_once(text, said):
    began = time.process_time()
    with pytest.raises(InputError, match=said):
        parse_case(text)
    assert time.process_time() - began < 5  # a guard against squares: it took minutes


def test_comments_may_be_long():
    text = "# " + "a." * 20_000 + "\nplace.zip_code = '55811'\nhousehold.people = 4\n"
    assert parse_case(text + "failed.fuel = 'electricity'\nhouse.fuels = ['electricity']\n").household.people == 4


@pytest.mark.parametrize(
    "query",
    [
        {"zip": "55811", "more": "A" * 60_000},
        {"city": " " * 60_000},
    ],
)
def test_a_link_has_a_longest(query):
    with pytest.raises(InputError, match="far longer"):
        given_of(query)


def test_a_small_link_does_not_unpack_to_much():
    packed = base64.urlsafe_b64encode(zlib.compress(b"[place]\ncity = '" + b" " * 900_000 + b"'")).decode().rstrip("=")
    assert len(packed) < 2000
    with pytest.raises(InputError, match="damaged"):
        given_of({"more": packed})


@pytest.mark.parametrize("key", ["zip_code", "city", "state"])
def test_a_place_is_no_novel(key):
    with pytest.raises(InputError, match=f"place.{key}.*too long"):
        case_from(FOUR | {"place": {key: "x" * 4000}})


def test_a_number_with_its_unit_is_short():
    assert read_quantity("x_ft", "12" + " " * 40 + "ft", "ft") == 12
    with pytest.raises(InputError, match="too long"):
        read_quantity("x_ft", "12" + " " * 4000 + "ft", "ft")


def test_a_refusal_is_short_whatever_it_quotes():
    for value in ("x" * 5000, 10**5000, ["x"] * 5000):
        assert len(str(InputError("k" * 5000, value, "this is not a number", "give a number"))) < 300


@pytest.mark.parametrize(
    "text", [TEXT, ICON, *RAW, "# a", "- a", "1. a", "    a", "> a", "a & b &amp; c", "12:30", "a_b _c_"]
)
def test_a_text_on_the_screen_is_text(text):
    shown = on_screen(text)
    assert not any(raw in shown for raw in RAW)
    assert shown[:2] not in {"# ", "- ", "1.", "> "} and not shown.startswith("    ")
    assert as_typed(shown).split() == text.split()


@pytest.mark.parametrize(
    "text", ["50 gal gas tank, natural draft", "household.set_point_f = 90: too low.", "3/4 in.", "a & b"]
)
def test_a_plain_text_stays_as_it_is(text):
    assert on_screen(text) == text


def test_the_policy_names_no_other_host():
    policy = content_policy()
    assert "http" not in policy and "default-src 'self'" in policy and "'sha256-" in policy
    assert "'unsafe-inline'" not in policy.split("script-src")[1].split(";")[0]


def test_cold_water_as_warm_as_a_tap_asks_for():
    """In a desert's summer no tap draws hot water: it used to divide by nought."""
    desert = {"place": {"zip_code": "92328"}, "household": {"people": 4, "use_temperature_f": 85}}
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = compare(case_from(FOUR | desert), by_hand=True)
    assert found.circumstances.demand.mixed_gpd.min() == 0
