"""The link that brings a case back: every demo house survives it whole, but for its name."""

from urllib.parse import parse_qsl

import pytest

from advisor.case.file import case_from, read_case
from advisor.core import paths
from advisor.core.errors import InputError
from advisor.web.link import given_of, query_of

CASES = sorted(paths.CASES.glob("*.toml"))


def given_in(path):
    return read_case(path).model_dump(mode="python", exclude_unset=True, exclude_none=True)


def back(query):
    return given_of(dict(parse_qsl(query)))


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_every_demo_house_comes_back_without_its_name(path):
    given = given_in(path)
    query = query_of(given, {})
    assert "name" not in case_from(back(query)).model_fields_set
    assert case_from(back(query) | {"name": given["name"]}) == case_from(given)
    # Browsers and servers take a few thousand characters at the least.
    assert len(query) < 1500


def test_the_four_answers_are_short_and_can_be_read():
    given = {
        "place": {"zip_code": "85004"},
        "household": {"people": 4},
        "failed": {"fuel": "natural_gas", "size_gal": 50.0},
        "house": {"fuels": ("natural_gas", "electricity")},
    }
    assert query_of(given, {"lang": "es"}) == (
        "zip=85004&people=4&failed=natural_gas&gallons=50&fuels=natural_gas,electricity&lang=es"
    )


def test_what_was_measured_is_packed_behind_them():
    given = {"household": {"people": 4}, "gas": {"branch_size_in": "3/4"}, "tariffs": ({"fuel": "electricity"},)}
    assert set(dict(parse_qsl(query_of(given, {})))) == {"people", "more"}
    assert back(query_of(given, {})) == {**given, "tariffs": [{"fuel": "electricity"}]}


def test_no_case_in_no_link():
    assert given_of({}) is None
    assert given_of({"lang": "es"}) is None
    assert query_of({}, {}) == ""


def packed(text):
    import base64
    import zlib

    return base64.urlsafe_b64encode(zlib.compress(text.encode())).decode().rstrip("=")


@pytest.mark.parametrize(
    "more",
    [
        "",
        "abc",
        "%%%",
        "eJwr",
        packed("not = toml = at all"),
        packed("place = 3"),
        packed("[" * 5000),
        packed("[gas]\n" + "#" * 2_000_000)[:-9],
    ],
)
def test_a_damaged_link_is_refused_in_one_sentence(more):
    with pytest.raises(InputError, match="this part of the link is damaged"):
        given_of({"more": more, "zip": "85004"})


def test_a_number_that_is_none_is_left_to_the_case():
    given = given_of({"zip": "85004", "people": "many", "failed": "electricity", "fuels": "electricity"})
    with pytest.raises(InputError, match=r"household\.people"):
        case_from(given)
