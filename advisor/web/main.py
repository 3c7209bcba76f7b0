"""The frame around every page: navigation, the strip that says which house this is, language, undo, save and load."""

from typing import Any

import streamlit as st

from advisor.core import paths
from advisor.web import frame, job_book, state, style
from advisor.web.words import say

if state.start_session():
    job_book.from_link(st.query_params.get("job", ""))


def page(name: str, *, default: bool = False) -> Any:
    """One page file, titled by its question in the chosen language."""
    return st.Page(
        paths.PAGES / f"{name}.py",
        title=say(f"page.{name}"),
        url_path=name.replace("_", "-"),
        default=default,
        help=say(f"page.{name}.help"),
    )


chosen = st.navigation(
    {
        say("nav.answer"): [page("start", default=True), page("compare"), page("keep_up"), page("work"), page("money")],
        say("nav.contractor"): [
            page("book"),
            page("job"),
            page("offers"),
            page("gas_line"),
            page("vent_and_air"),
            page("panel_and_drain"),
            page("trainer"),
        ],
        say("nav.program"): [page("rebate_program")],
        say("nav.about"): [page("method")],
    },
    position="top",
)
st.set_page_config(
    page_title=f"{chosen.title} · {say('frame.title')}", page_icon=str(paths.ASSETS / "icon.png"), layout="wide"
)
style.apply()
frame.strip(chosen.url_path)
chosen.run()
frame.hold_browser(chosen.url_path)
