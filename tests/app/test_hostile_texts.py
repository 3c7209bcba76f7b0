"""What anyone can type into a case or a link reaches the screen as text: no image, link, HTML, formula, icon, color."""

import json

import pytest
from streamlit.testing.v1 import AppTest

from advisor.case.file import case_from
from advisor.comparison import compare
from advisor.core.errors import AdvisorError
from advisor.web.link import query_of
from tests import hostile
from tests.app.test_contractor_pages import ENTRY
from tests.hostile import HOUSE, RAW, REFUSED, free_texts, refused

PAGES = (
    "start",
    "compare",
    "keep_up",
    "work",
    "book",
    "job",
    "offers",
    "money",
    "gas_line",
    "vent_and_air",
    "panel_and_drain",
    "trainer",
    "rebate_program",
    "method",
)
#: What these hold is shown as plain text, or is a field that is typed into.
PLAIN = {"selectbox", "multiselect", "text_input", "text_area", "code", "data_editor", "file_uploader"}


def texts(at: AppTest) -> list[str]:
    """Every text that the app sends to the browser to be read as Markdown or as a chart's text."""
    found: list[str] = []
    for block in (at.main, at.sidebar):
        walk(block, found)
    return found


def walk(node, found: list[str]) -> None:
    kind = getattr(node, "type", "")
    for child in getattr(node, "children", {}).values():
        walk(child, found)
    proto = getattr(node, "proto", None)
    if proto is None:
        return
    if kind in PLAIN:
        found.append(getattr(proto, "label", ""))
    elif kind == "table":
        found.append(node.value.to_csv())
    elif kind == "dataframe":
        # The choices of a column are drawn letter by letter on a canvas, as those of a list are.
        columns = json.loads(proto.columns or "{}")
        for column in columns.values():
            (column.get("type_config") or {}).pop("options", None)
        found.extend(leaves(columns))
    elif kind == "plotly_chart":
        figure = json.loads(proto.spec or proto.figure.spec)
        found.extend(leaves(figure))
    else:
        strings(proto, found)


def leaves(value) -> list[str]:
    if isinstance(value, dict):
        return [text for one in value.values() for text in leaves(one)]
    if isinstance(value, list):
        return [text for one in value for text in leaves(one)]
    return [value] if isinstance(value, str) else []


def strings(proto, found: list[str]) -> None:
    for _, value in proto.ListFields():
        many = [value] if isinstance(value, str) or not hasattr(value, "__iter__") else value
        for one in many:
            if isinstance(one, str):
                found.append(one)
            elif hasattr(one, "ListFields"):
                strings(one, found)


def assert_harmless(at: AppTest) -> str:
    assert not at.exception
    whole = "\n".join(texts(at))
    for raw in RAW:
        assert raw not in whole, next(text for text in texts(at) if raw in text)
    return whole


def test_the_house_holds_a_hostile_text_under_every_key_that_takes_any():
    def at(path: str, value) -> list[str]:
        key, _, rest = path.partition(".")
        held = value.get(key, ()) if isinstance(value, dict) else ()
        if not rest:
            return [held] if isinstance(held, str) else []
        many = held if isinstance(held, list) else [held]
        return [text for one in many for text in at(rest, one)]

    missing = {path for path in free_texts() - REFUSED if not any("](" in text for text in at(path, HOUSE))}
    assert missing == set()
    assert compare(case_from(HOUSE)).candidates


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("page", PAGES)
def test_no_page_takes_a_hostile_text_for_a_command(page, language):
    at = AppTest.from_file(str(ENTRY), default_timeout=60).run()
    held = at.session_state["session"]
    held.given, held.language, held.contractor_heater = HOUSE, language, "own-1"
    at.switch_page(f"../../pages/{page}.py").run()
    whole = assert_harmless(at)
    if page in {"compare", "keep_up", "gas_line"}:
        assert "&#91;a&#93;" in whole  # it was there to be shown


@pytest.mark.parametrize("path", sorted(REFUSED))
def test_a_refusal_quotes_a_hostile_text_harmlessly(path):
    given = refused(path)
    at = AppTest.from_file(str(ENTRY), default_timeout=60)
    for pair in query_of(given, {}).split("&"):
        name, _, value = pair.partition("=")
        at.query_params[name] = hostile.decoded(value)
    at.run()
    with pytest.raises(AdvisorError):
        compare(case_from(given))
    assert at.warning and (
        "&#91;" in at.warning[0].value or path == "place.city"
    )  # which is tidied before it is quoted
    assert_harmless(at)
