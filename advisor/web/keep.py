"""Keep the answer: the sheet on paper or as a file, or the link."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from urllib.parse import urlsplit

import streamlit as st

from advisor.comparison import Comparison
from advisor.document.as_html import fragment
from advisor.document.make import written
from advisor.document.sheet import sheet
from advisor.web import state, widgets
from advisor.web.words import language, say

_STYLE = """
div { display: flex; flex-wrap: wrap; gap: 0.75rem; align-items: center; }
button {
  min-height: 44px; padding: 0 1rem; font: inherit; cursor: pointer; border-radius: 0.25rem;
  color: var(--st-text-color); background: transparent; border: 1px solid var(--st-text-color);
}
button:focus-visible { outline: 3px solid currentColor; outline-offset: 2px; }
"""
_SCRIPT = """
export default function ({ data, parentElement }) {
  const [print, copy] = parentElement.querySelectorAll("button");
  const told = parentElement.querySelector("[role=status]");
  print.textContent = data.print;
  copy.textContent = data.copy;
  print.onclick = () => window.print();
  copy.onclick = async () => {
    try {
      await navigator.clipboard.writeText(location.href);
      told.textContent = data.copied;
    } catch {
      told.textContent = data.refused;
    }
  };
}
"""


def show(comparison: Comparison) -> None:
    """Two buttons that the browser answers by itself, one that fetches the file, and the sheet that is printed."""
    st.subheader(say("keep.title"))
    st.caption(say("keep.what"))
    made = sheet(comparison, link=_link(), language=language(), si=widgets.is_si())
    with st.container(key="keep_answer", horizontal=True, vertical_alignment="center"):
        st.components.v2.component(
            "keep_answer",
            html='<div><button></button><button></button><span role="status"></span></div>',
            css=_STYLE,
            js=_SCRIPT,
        )(
            data={name: say(f"keep.{name}") for name in ("print", "copy", "copied", "refused")},
            key="keep_answer_buttons",
            width="content",
        )
        as_pdf: Callable[[], bytes] = partial(written, made, "pdf", day=comparison.today)
        st.download_button(say("keep.download"), as_pdf, "water-heater.pdf", on_click="ignore", key="keep_download")
    # Unseen on the screen; on paper it is all that is seen.
    with st.container(key="sheet"):
        st.html(fragment(made))


def _link() -> str:
    """The address that opens this house again."""
    parts, query = urlsplit(st.context.url or ""), state.link_query()
    return f"{parts.scheme}://{parts.netloc}/{f'?{query}' if query else ''}" if parts.netloc else ""
